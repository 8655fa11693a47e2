"""Pieces that tip over."""

import re
from collections.abc import Iterator
from dataclasses import replace
from math import radians, tan
from typing import NamedTuple

from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.layers import round_all
from planlint.geometry.shapes.vectors import minus
from planlint.model.directions import Side
from planlint.model.plan import Part
from planlint.statics.carried_loads import Standing, carried
from planlint.statics.footing import balance, footing_edges, footprint, loaded_weight
from planlint.statics.joint_ties import LEVEL, floor_ties
from planlint.statics.people import everywhere
from planlint.statics.weights import part_weight, piece_weight, together
from planlint.text.source import Span

CLOTHING = (
    r"\b(dresser|bureau|(?<!tool )(?<!tools )chest(?: of|,| with)(?: [\w-]+)? drawers|(?<!tool )drawer chest|wardrobe|"
    r"armoire|chifforobe|chiff?onn?ier|semainier|lingerie chest|tallboy|highboy|"
    r"clothes (?:chest|cabinet|press)|clothing (?:storage|chest|cabinet)|linen press)\b"
)
"""What the title of a plan calls clothing storage. Basis: 16 CFR 1261 names chests, bureaus, dressers, armoires and
wardrobes; the other words are our own judgement."""
CUBIC_FOOT = 1728.0
_IN_A_ROW = 1 / 3
"""Share of its depth within which all feet of a piece stand that leans on something. Basis: our own judgement."""
OPEN_SHARE = 2 / 3
"""Of its depth that a drawer is pulled out where the plan does not tell a stop. Basis: our own judgement."""


class Tips(NamedTuple):
    """What keeps a piece on its feet and what would tip it, both in inch-pounds about one edge of its footprint."""

    to: Side
    keeps: float
    tips: float
    pounds: float
    inside: float
    height: float
    push: float
    """Pounds: the push at ``height``, or the child on the drawers."""
    reach: float = 0.0
    """How far the open drawers stand out past that edge, in inches."""
    aside: bool = False
    """Whether its loads push it that way as well."""
    loaded: bool = True
    """Whether what lies on it counts: empty it may tip sooner."""


class Topples(NamedTuple):
    """A load that stands outside of the footprint, by so many inches: the piece falls as soon as it is loaded."""

    to: Side
    outside: float
    part: Part
    placed: bool
    """Whether it is people who sit or stand near an end."""


class PushedOver(NamedTuple):
    """Loads that push to a side, the most of them on one part, turn the piece over its feet by more than its weight
    and what lies on it keep, both in inch-pounds."""

    to: Side
    keeps: float
    tips: float
    part: Part


def tip_over(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A piece that nothing ties to the wall falls over its feet under its load, a push, or a child on its drawers."""
    drawers = [part for part in piece.plan.parts if "drawer" in part.name.lower()]
    clothing = bool(drawers) and re.search(CLOTHING, piece.plan.title, re.IGNORECASE) is not None
    if not (piece.plan.loads or clothing) or any(
        part.fixed_to_wall or part.bottom_height is not None for part in piece.plan.parts
    ):
        return
    if clothing:
        found = list(_drawers_out(piece, rule, drawers))
        yield from found
        if found:
            return
    for standing in carried(piece)[0]:
        yield from _pushed(piece, rule, standing)


def _pushed(piece: Piece, rule: Rule, standing: Standing) -> Iterator[Finding]:
    settings = piece.settings
    found = balance(piece, standing)
    if not found or _leans(piece, standing):
        return
    soonest = [balance(piece, each)[0] for each in everywhere(piece, standing)]
    edge, keeps, turns = min(soonest, key=lambda each: round(each.keeps - each.turns, 6))
    if keeps < turns:
        load = max(
            standing.loads, key=lambda each: (edge.inside < 0 or each.towards is not None, each.pounds)
        )
        yield rule.finding(
            fact=Topples(edge.falls, -edge.inside, load.part, found[0].edge.inside >= 0)
            if edge.inside < 0
            else PushedOver(edge.falls, keeps, turns, load.part),
            kind="topples",
            span=load.span,
            parts=[load.part.name],
            basis="geometry",
            grade=Grade.STOP,
        )
        return
    height = round_all(piece.body(part) for part in standing.parts).high[2] - standing.floor
    if height < rule.limit("height", settings):
        return
    push, at = rule.limit("push", settings), min(height, rule.limit("height of the push", settings))
    seen = piece.plan.seen_from
    steep = tan(radians(rule.limit("lean", settings)))
    for state in (standing, replace(standing, bears=())):
        whole = loaded_weight(piece, state)
        for edge, keeps, turns in balance(piece, state):
            if seen and edge.falls not in seen:
                continue  # There it stands against something.
            left, tips = keeps - max(0.0, turns), push * at
            if tips > left and (turns > 0 or edge.inside < steep * (whole.centre[2] - standing.floor)):
                aside, loaded, load = turns > 0, state is standing, standing.loads[0]
                fact = Tips(edge.falls, left, tips, whole.pounds, edge.inside, at, push, 0.0, aside, loaded)
                yield _tips(rule, fact, edge.falls.value, load.span, load.part, "push")
                return


def _leans(piece: Piece, standing: Standing) -> bool:
    """Whether a piece of which all that stands on the floor leans falls by its own weight over feet in a row: a ladder
    leans on something that is not drawn."""
    bodies = [piece.body(part) for part in standing.parts]
    edge, keeps, _ = balance(piece, replace(standing, bears=()))[0]
    axis, box = edge.falls.axis, round_all(bodies)
    feet = [corner[axis] for corner in footprint(standing.structure.ties)]
    on_floor = [body.part for body in bodies if body.bounds.low[2] < standing.floor + LEVEL]
    return (
        keeps < 0
        and all(part.turn is not None for part in on_floor)
        and max(feet) - min(feet) < _IN_A_ROW * (box.high[axis] - box.low[axis])
    )


def _drawers_out(piece: Piece, rule: Rule, drawers: list[Part]) -> Iterator[Finding]:
    settings = piece.settings
    group = piece.placement.group
    groups: dict[int, list[Part]] = {}
    for part in piece.plan.parts:
        groups.setdefault(group(part), []).append(part)
    case = max(groups.values(), key=lambda parts: sum(part_weight(piece, part).pounds for part in parts))
    box = round_all(piece.body(part) for part in case)
    height = box.high[2] - box.low[2]
    whole = piece_weight(piece)
    size = minus(box.high, box.low)
    if (
        height < rule.limit("height", settings)
        or whole.pounds < rule.limit("weight", settings)
        or size[0] * size[1] * size[2] / CUBIC_FOOT < rule.limit("volume", settings)
    ):
        return
    corners = footprint(floor_ties(piece, case))
    if len(corners) < 3:
        return
    centre = together(part_weight(piece, part) for part in case).centre
    front = next((edge for edge in footing_edges(corners, centre) if edge.falls is Side.FRONT), None)
    if front is None:
        return
    deep = max(float(part.size[1]) for part in drawers)
    if deep < size[1] / 2:
        deep = size[1]  # Only its front is drawn: the drawer behind it is taken to fill the case.
    out = OPEN_SHARE * deep
    weighs = sum(part_weight(piece, part).pounds for part in drawers)
    feet = centre[1] - front.inside
    reach = feet - (box.low[1] - out)
    shut = max(0.0, whole.pounds - weighs) * front.inside
    middle = feet - (box.low[1] + deep / 2 - out)
    child = rule.limit("child", settings)
    keeps, tips = shut, child * reach + weighs * middle
    if tips > keeps:
        fact = Tips(Side.FRONT, keeps, tips, whole.pounds, front.inside, height, child, reach)
        yield _tips(rule, fact, "drawers", piece.plan.span, case[0], "height")


def _tips(rule: Rule, fact: Tips, kind: str, span: Span, part: Part, basis: str) -> Finding:
    return rule.finding(
        fact=fact,
        kind=kind,
        span=span,
        parts=[part.name],
        measured=round(fact.tips),
        limit=round(fact.keeps),
        unit="in-lb",
        basis=basis,
    )

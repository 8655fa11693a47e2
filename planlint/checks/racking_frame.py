"""Frames that sway when they are pushed."""

from collections.abc import Iterator
from typing import NamedTuple

from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.join_holds import glue_holds, shaped
from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import scaled, unit
from planlint.model.directions import Axis
from planlint.model.plan import Part
from planlint.statics.carried_loads import UPRIGHT, Standing, carried, top_of
from planlint.statics.joint_ties import LEVEL
from planlint.statics.solved_loads import Force

SIDEWAYS: Vector = (1.0, 0.0, 0.0)
BACKWARDS: Vector = (0.0, 1.0, 0.0)


class Sways(NamedTuple):
    """A push at the top of a piece, in pounds, and how far it gives: ``sway`` inches at ``height``; or the parts that
    nothing keeps from it."""

    part: Part
    sideways: bool
    push: float
    sway: float
    height: float
    loose: tuple[Part, ...] = ()
    alone: float = 0.0
    """Of legs that nothing holds but the screws in their upper ends: how deep that joint is, in inches."""


def racking(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A loaded piece gives way to a push at its top by more than a share of its height."""
    if not piece.plan.loads:
        return
    for standing in carried(piece)[0]:
        if standing.hung or standing.solution.loose:
            continue
        limit = 1 / rule.limit("height to sway", piece.settings)
        every = list(sways(piece, rule, standing))
        swaying = [fact for fact in every if fact.loose or fact.sway > limit * fact.height]
        for fact in swaying or _alone(piece, rule, standing, every[0]):
            way = "sideways" if fact.sideways else "to-and-fro"
            yield rule.finding(
                fact=fact,
                kind="alone" if fact.alone else "loose" if fact.loose else way,
                span=standing.loads[0].span,
                parts=[part.name for part in fact.loose] or [fact.part.name],
                measured=None if fact.loose else fact.sway,
                limit=None if fact.loose else limit * fact.height,
                basis="leg to joint" if fact.alone else "height to sway",
            )


def _alone(piece: Piece, rule: Rule, standing: Standing, fact: Sways) -> Iterator[Sways]:
    """The legs that nothing holds but screws or nails in their upper ends, too long for such a joint."""
    most, found = rule.limit("leg to joint", piece.settings), dict[Part, float]()
    for part in standing.parts:
        joins, low = piece.graph.joins_of(part), piece.body(part).bounds.low[2]
        if len(joins) == 1 and part.grain is Axis.Z and low < standing.floor + LEVEL:
            points, normal = piece.contact(joins[0]).points, piece.contact(joins[0]).normal
            if points and abs(normal[2]) > UPRIGHT and not (shaped(joins[0]) or glue_holds(piece, joins[0])):
                across = [[point[n] for point in points] for n in (0, 1)]
                found[part] = min(max(each) - min(each) for each in across)
    long = [part for part, deep in found.items() if part.length > most * deep]
    if long and not any(part.fixed_to_wall for part in standing.parts):
        yield fact._replace(part=long[0], loose=tuple(long), alone=found[long[0]])


def sways(piece: Piece, rule: Rule, standing: Standing) -> Iterator[Sways]:
    """What a push does to a loaded unit, sideways and to and fro."""
    settings = piece.settings
    push = max(rule.limit("least push", settings), rule.limit("push of the load", settings) * standing.pounds)
    part, top = top_of(standing, piece)
    height = top[2] - standing.floor
    enough = height / rule.limit("height to sway", settings) / STIFFER
    for way in (SIDEWAYS, BACKWARDS):
        found = _pushed(standing, part, top, scaled(way, push), enough)
        if found[1] or found[0] > _NEAR * STIFFER * enough:
            found = max(
                found,
                _pushed(standing, part, top, scaled(way, -push), enough),
                key=lambda it: (bool(it[1]), it[0]),
            )
        sway, loose = found
        yield Sways(part, way is SIDEWAYS, push, sway, height, loose)


def _pushed(
    standing: Standing, part: Part, top: Vector, push: Vector, enough: float
) -> tuple[float, tuple[Part, ...]]:
    """How far a push takes the top of a piece that stands under its loads, and what it takes along for good."""
    force, way = Force(part, push, top), unit(push)
    structure, before = standing.structure, standing.solution
    # Joints that could neither open nor close would be stiffer: where that is far from enough, no more is asked.
    small = structure.pushed((force,), before)
    sway = small.shift(part, top, way)
    if sway <= enough and not small.loose:
        return sway, ()
    all_forces = (*standing.weights, *standing.bears, force)
    pushed = structure.solve(all_forces, before)
    if pushed.loose:  # If it is only that it tips over, its feet are held: that is another rule's.
        pushed = structure.solve(all_forces, before, feet_held=True)
    return pushed.shift(part, top, way) - before.shift(part, top, way), pushed.loose


_NEAR = 0.5
"""Of what it may sway: less is not tried the other way as well. Basis: our own judgement; the two differ by less."""
STIFFER = 15.0
"""How much less a piece might sway, were its joints fast in every direction as they press. Basis: our own judgement; 10
times was the most that was met, in frames of one screw a joint."""

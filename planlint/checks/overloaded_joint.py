"""Joints whose screws carry more than they may, and pieces that give way under their load."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from planlint.findings.finding import Finding, Grade
from planlint.findings.rulebook import Rule
from planlint.geometry.facts import Vector
from planlint.geometry.piece import Piece
from planlint.model.plan import Join, Part
from planlint.statics.carried_loads import Standing, carried
from planlint.statics.footing import balance
from planlint.statics.screw_strength import Allowed, allowed, shared_by
from planlint.statics.solved_loads import ScrewForce
from planlint.statics.wood_strength import screw_gravity


class Overloaded(NamedTuple):
    """The screw of a joint that carries most for what it may, ``used`` being the share; and how many would do."""

    join: Join
    force: ScrewForce
    may: Allowed
    used: float
    screws: int
    needed: int
    more: float
    """How much more is allowed of loads that come and go."""


class GivesWay(NamedTuple):
    """Parts that nothing keeps where they are under a load, and where they go."""

    parts: tuple[Part, ...]
    way: Vector
    under: Part
    slides: bool
    """Whether nothing but friction, which is too little, would keep them."""


class NotTold(NamedTuple):
    """Joints in a wood of which no figure for screws is known."""

    wood: str


def joint_overload(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The way of the loads to the floor asks more of a screw than is allowed, or finds nothing that holds."""
    if not piece.plan.loads:
        return
    for standing in carried(piece)[0]:
        solution = standing.solution
        if solution.loose:
            if balances(piece, standing):
                load = standing.loads[0]
                yield rule.finding(
                    fact=GivesWay(solution.loose, solution.way, load.part, standing.slides),
                    kind="gives-way",
                    span=load.span,
                    parts=[part.name for part in solution.loose],
                    basis="geometry",
                )
            continue
        yield from _overloaded(piece, rule, standing)


def balances(piece: Piece, standing: Standing) -> bool:
    """Whether a unit does not simply tip over under its loads: of that another rule speaks."""
    if standing.hung:
        return True
    found = balance(piece, standing)
    return bool(found) and found[0].keeps > found[0].turns


def _overloaded(piece: Piece, rule: Rule, standing: Standing) -> Iterator[Finding]:
    settings = piece.settings
    most = rule.limit("share of the allowed load", settings)
    breaks = rule.limit("share that may break it", settings)
    more = short_loads(piece, standing)
    names = {part.name for part in standing.parts}
    unknown: dict[str, list[Join]] = {}
    for join in piece.plan.joins:
        if not (join.pockets or join.driven) or join.part_a.name not in names or not piece.trusted(join):
            continue
        found = []
        for force in standing.solution.screw_forces(join):
            if piece.grip(force.screw) <= 0:
                continue  # Of one that reaches nothing other rules tell.
            may = allowed(piece, force.screw)
            if may is None:
                unknown.setdefault(_unknown(force), []).append(join)
                break
            found.append((may.used(force.along, force.across) / more, force, may))
        if not found:
            continue
        used, force, may = max(found, key=lambda each: round(each[0], 6))
        if used > most:
            many = len(found)
            yield rule.finding(
                fact=Overloaded(join, force, may, used, many, shared_by(many, used / most), more),
                span=join.pockets[0].span if join.pockets else join.span,
                joint=join.name,
                parts=[part.name for part in join.parts],
                measured=used,
                limit=most,
                unit="of the allowed load",
                basis=may.basis,
                judged_by="share of the allowed load",
                grade=None if used > breaks else Grade.CAUTION,
            )
    for wood, joins in unknown.items():
        parts = dict.fromkeys(part.name for join in joins for part in join.parts)
        if all(part.stock.material.known for join in joins for part in join.parts):
            yield rule.finding(
                fact=NotTold(wood),
                kind="not-told",
                span=standing.loads[0].span,
                parts=parts,
                basis="judgement",
                grade=Grade.ADVICE,
            )


def short_loads(piece: Piece, standing: Standing) -> float:
    """How much more its screws may carry than under loads that stay."""
    stays = any(load.per_foot for load in standing.loads)
    return 1.0 if stays else piece.limits["joint-overload", "loads that come and go"]


def _unknown(force: ScrewForce) -> str:
    pocket = force.screw.pocket
    into, drilled = pocket.into.stock.material, pocket.part.stock.material
    return into.name if screw_gravity(into) is None and not into.panel else drilled.name

"""What hangs on a wall, and what holds it there."""

from collections.abc import Iterator
from typing import NamedTuple

from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.piece import Piece
from planlint.model.plan import Part
from planlint.model.timber import find_material
from planlint.statics.carried_loads import Standing, carried
from planlint.statics.footing import Hanging, what_hangs
from planlint.statics.screw_strength import Allowed, lateral, shared_by, withdrawal
from planlint.statics.wood_strength import screw_gravity


class Hangs(NamedTuple):
    """What hangs on a wall, the screws that it would have in the studs, and the share of what they may carry."""

    hangs: Hanging
    studs: int
    screws: int
    used: float
    needed: int


class ThinHold(NamedTuple):
    """A piece that hangs by a part thinner than holds a screw's head."""

    hangs: Hanging
    part: Part
    least: float


WALL_SCREW = (10, 0.190, 1.5)
"""The screw of the sum for a wall: its gauge, its diameter and its thread in the stud, in inches. Basis: common
practice for hanging cabinets, a No. 10 screw of 2-1/2 to 3 in."""
STUD = "SPF"


def hanging_weight(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A loaded piece hangs by a part that is too thin for it, or asks more than its screws in the studs may carry."""
    if not piece.plan.loads:
        return
    for standing in carried(piece)[0]:
        found = what_hangs(piece, standing)
        if found is not None:
            yield from _hung(piece, rule, standing, found)


def _hung(piece: Piece, rule: Rule, standing: Standing, found: Hanging) -> Iterator[Finding]:
    settings = piece.settings
    fixed = [part for part in found.held_by if part.fixed_to_wall]
    thin = rule.limit("thickness", settings)
    span = standing.loads[0].span
    if fixed and all(part.thickness < thin for part in fixed):
        part = max(fixed, key=lambda each: each.thickness)
        yield rule.finding(
            fact=ThinHold(found, part, thin),
            kind="thin",
            span=part.span,
            parts=[part.name],
            measured=float(part.thickness),
            limit=thin,
            basis="thickness",
        )
    fact = wall_sum(piece, found)
    if fact.used > 1:
        yield rule.finding(
            fact=fact,
            kind="studs",
            span=span,
            parts=[part.name for part in found.held_by],
            measured=fact.used,
            limit=1.0,
            unit="of the allowed load",
            basis="studs apart",
        )


def wall_sum(piece: Piece, found: Hanging) -> Hangs:
    """What hangs, against screws in the studs behind it."""
    limits = piece.limits
    studs = max(1, int(found.wide // limits["hanging", "studs apart"]))
    screws = studs * int(limits["hanging", "screws in a stud"]) * len(found.held_by)
    may = wall_screw()
    used = may.used(found.pull / screws, found.pounds / screws)
    return Hangs(found, studs, screws, used, shared_by(screws, used))


def wall_screw() -> Allowed:
    """What one screw in a stud may carry: by the NDS, in the lightest wood that studs are sold in."""
    material = find_material(STUD)
    assert material is not None
    gauge, diameter, thread = WALL_SCREW
    pulled, g = withdrawal(material, diameter, thread, end=False), screw_gravity(material)
    assert pulled is not None
    assert g is not None
    return Allowed(pulled.value, lateral(g.value, g.value, gauge, diameter, thread, _SIDE), pulled.basis)


_SIDE = 0.75
"""Inches of what is fixed, under the screw's head. Basis: common practice, the side of a case."""

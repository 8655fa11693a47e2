"""How much wood stands between a bore and the outside of its own part."""

from __future__ import annotations

from math import inf
from typing import NamedTuple

from planlint.geometry.drilling.pocket_layout import RowFrame, covers, fences, wood_rule
from planlint.geometry.facts import Pocket, Vector
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.convex import Hull, Rim, apart, disc, point
from planlint.geometry.shapes.segments import rim, segment_to_box, tube_to_box
from planlint.geometry.shapes.vectors import cross, dot, plus, scaled, unit
from planlint.model.directions import Side
from planlint.model.workshop import Settings


class Wood(NamedTuple):
    """Least wood beside a bore or a pilot, in inches (negative: broken out), what lies there (a side of the part, or
    the name of a cut: ``groove``, ``rabbet`` …), and how much more that is than its limit."""

    wood: float
    at: Side | str
    spare: float


class Clearance(NamedTuple):
    """The wood that a pocket's bore and its pilot keep: of all round each, that which keeps least over its limit."""

    bore: Wood
    pilot: Wood

    @property
    def least(self) -> Wood:
        """That of the bore or of the pilot, whichever keeps less over its limit."""
        return self.bore if self.bore.spare <= self.pilot.spare else self.pilot


def clearance(pocket: Pocket, frame: RowFrame, body: Body, settings: Settings) -> Clearance:
    """Exact where wood is left; where a bore runs into a rabbet or groove, by its staves."""
    profile, limits, part = settings.profile, settings.limits, body.part
    bore = pilot = Wood(inf, pocket.face, inf)
    for side, plane in fences(body, pocket.side, pocket.face):
        found, needed = covers(frame, plane, profile), limits[wood_rule(part, pocket.side, side), "wood"]
        moved = found.change * pocket.station
        if found.bore + moved - needed < bore.spare:
            bore = Wood(found.bore + moved, side, found.bore + moved - needed)
        if found.pilot + moved - needed < pilot.spare:
            pilot = Wood(found.pilot + moved, side, found.pilot + moved - needed)
    # The shoulder's disc must stay behind the joint plane too.
    found = covers(frame, body.planes[pocket.side], profile)
    needed = limits[wood_rule(part, pocket.side, pocket.side), "wood"]
    wood = found.bore + found.change * pocket.station
    if wood - needed < bore.spare:
        bore = Wood(wood, pocket.side, wood - needed)
    if part.removals:
        bore, pilot = _beside_removals(pocket, body, settings, bore, pilot)
    return Clearance(bore, pilot)


def _beside_removals(
    pocket: Pocket, body: Body, settings: Settings, bore: Wood, pilot: Wood
) -> tuple[Wood, Wood]:
    """The same with rabbets, grooves and notches: what they leave beside the bore and the pilot."""
    profile, needed = settings.profile, settings.limits["thin-cover", "wood"]
    face, axis = body.own_planes[pocket.face], body.direction_to_own(pocket.direction)
    shoulder, exit_ = body.to_own(pocket.shoulder), body.to_own(pocket.exit)
    radius, thin = profile.bit_diameter / 2, profile.pilot_diameter / 2
    sine = -dot(axis, face.normal)
    wide = rim(shoulder, axis, radius)
    mouth = [plus(each, axis, -face.depth(each) / sine) for each in wide]
    along, aside = plus(axis, face.normal, sine), cross(axis, face.normal)
    oval = Rim(
        plus(shoulder, axis, -face.depth(shoulder) / sine),
        scaled(unit(along), radius / sine),
        scaled(unit(aside), radius),
    )
    bored = (disc(shoulder, axis, radius), oval)
    drilled = (disc(shoulder, axis, thin), disc(exit_, axis, thin))
    # The mouth's tail lies farther back than its middle.
    tail = plus(shoulder, axis, -face.depth(shoulder) / sine - radius * (1 / sine**2 - 1) ** 0.5)
    for removal, gone in zip(body.part.removals, body.own_removals, strict=True):
        # A capsule round it holds the bore: where that clears, no more need be asked.
        if segment_to_box(tail, shoulder, gone) - radius - needed < bore.spare:
            cover = _clear_of(bored, (wide, mouth), gone)
            if cover - needed < bore.spare:
                bore = Wood(cover, removal.kind, cover - needed)
        if segment_to_box(shoulder, exit_, gone) - thin - needed < pilot.spare:
            cover = _clear_of(drilled, (rim(shoulder, axis, thin), rim(exit_, axis, thin)), gone)
            if cover - needed < pilot.spare:
                pilot = Wood(cover, removal.kind, cover - needed)
    return bore, pilot


def _clear_of(hull: Hull, tube: tuple[list[Vector], list[Vector]], box: Box) -> float:
    """Distance from a round body to a box; where they run into one another, how deep its staves lie in it, negative."""
    away = apart(hull, [point(corner) for corner in box.corners])
    return away if away > 0 else min(0.0, tube_to_box(*tube, box))

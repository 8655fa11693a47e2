"""How much wood stands between a bore and the outside of its own part."""

from __future__ import annotations

from typing import NamedTuple

from planlint.geometry.drilling.pocket_layout import RowFrame, covers, fences
from planlint.geometry.facts import Pocket, Vector
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.convex import Hull, Rim, apart, disc, point
from planlint.geometry.shapes.segments import rim, segment_to_box, tube_to_box
from planlint.geometry.shapes.vectors import cross, dot, plus, scaled, unit
from planlint.model.directions import Side
from planlint.model.workshop import DrillingProfile


class Clearance(NamedTuple):
    """Least wood beside a pocket's bore and its pilot, in inches (negative: broken out), and what lies there:
    a side of the part, or the name of a cut (``groove``, ``rabbet`` …)."""

    bore: float
    bore_at: Side | str
    pilot: float
    pilot_at: Side | str

    @property
    def wood(self) -> float:
        return min(self.bore, self.pilot)

    @property
    def at(self) -> Side | str:
        """What is nearest."""
        return self.bore_at if self.bore <= self.pilot else self.pilot_at


def clearance(pocket: Pocket, frame: RowFrame, body: Body, profile: DrillingProfile) -> Clearance:
    """Exact where wood is left; where a bore runs into a rabbet or groove, by its staves."""
    bore, pilot = float("inf"), float("inf")
    bore_at: Side | str = pocket.face
    pilot_at: Side | str = pocket.face
    for side, plane in fences(body, pocket.side, pocket.face):
        found = covers(frame, plane, profile)
        moved = found.change * pocket.station
        if found.bore + moved < bore:
            bore, bore_at = found.bore + moved, side
        if found.pilot + moved < pilot:
            pilot, pilot_at = found.pilot + moved, side
    # The shoulder's disc must stay behind the joint plane too.
    found = covers(frame, body.planes[pocket.side], profile)
    if found.bore + found.change * pocket.station < bore:
        bore, bore_at = found.bore + found.change * pocket.station, pocket.side
    if body.part.removals:
        bore, bore_at, pilot, pilot_at = _beside_removals(
            pocket, body, profile, (bore, bore_at, pilot, pilot_at)
        )
    return Clearance(bore, bore_at, pilot, pilot_at)


_Found = tuple[float, Side | str, float, Side | str]


def _beside_removals(pocket: Pocket, body: Body, profile: DrillingProfile, found: _Found) -> _Found:
    """The same with rabbets, grooves and notches: what they leave beside the bore and the pilot."""
    bore, bore_at, pilot, pilot_at = found
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
        if segment_to_box(tail, shoulder, gone) - radius < bore:
            cover = _clear_of(bored, (wide, mouth), gone)
            if cover < bore:
                bore, bore_at = cover, removal.kind
        if segment_to_box(shoulder, exit_, gone) - thin < pilot:
            cover = _clear_of(drilled, (rim(shoulder, axis, thin), rim(exit_, axis, thin)), gone)
            if cover < pilot:
                pilot, pilot_at = cover, removal.kind
    return bore, bore_at, pilot, pilot_at


def _clear_of(hull: Hull, tube: tuple[list[Vector], list[Vector]], box: Box) -> float:
    """Distance from a round body to a box; where they run into one another, how deep its staves lie in it, negative."""
    away = apart(hull, [point(corner) for corner in box.corners])
    return away if away > 0 else min(0.0, tube_to_box(*tube, box))

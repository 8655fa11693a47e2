"""How much wood stands between a bore and the outside of its own part."""

from __future__ import annotations

from typing import NamedTuple

from planlint.geometry.body import Body
from planlint.geometry.pockets import RowFrame, bore_cover, fences, pilot_cover
from planlint.geometry.segments import segment_to_box
from planlint.geometry.types import Pocket
from planlint.model.directions import Side
from planlint.model.settings import DrillingProfile


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
    """Exact for the flat sides; a bore beside a rabbet or groove is taken as a capsule, round at both ends."""
    bore, pilot = float("inf"), float("inf")
    bore_at: Side | str = pocket.face
    pilot_at: Side | str = pocket.face
    for side, plane in fences(body, pocket.side, pocket.face):
        at_zero, change = bore_cover(frame, plane, profile)
        if at_zero + change * pocket.station < bore:
            bore, bore_at = at_zero + change * pocket.station, side
        at_zero, change = pilot_cover(frame, plane, profile)
        if at_zero + change * pocket.station < pilot:
            pilot, pilot_at = at_zero + change * pocket.station, side
    # The shoulder's disc must stay behind the joint plane too.
    at_zero, change = bore_cover(frame, body.planes[pocket.side], profile)
    if at_zero + change * pocket.station < bore:
        bore, bore_at = at_zero + change * pocket.station, pocket.side
    for removal, gone in zip(body.part.removals, body.own_removals, strict=True):
        mouth, shoulder, exit_ = (body.to_own(p) for p in (pocket.mouth, pocket.shoulder, pocket.exit))
        cover = segment_to_box(mouth, shoulder, gone) - profile.bit_diameter / 2
        if cover < bore:
            bore, bore_at = cover, removal.kind
        cover = segment_to_box(shoulder, exit_, gone) - profile.pilot_diameter / 2
        if cover < pilot:
            pilot, pilot_at = cover, removal.kind
    return Clearance(bore, bore_at, pilot, pilot_at)

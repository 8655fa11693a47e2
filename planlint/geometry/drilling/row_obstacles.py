"""One row's ground: which places along a joint are free for a pocket, by the wood and screws that are really there."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property
from itertools import pairwise
from math import ceil, floor

from planlint.geometry.drilling.allowed_places import LOOKS, Reasons, keeps_spacing, marched, spread
from planlint.geometry.drilling.bore_clearance import clearance
from planlint.geometry.drilling.pocket_layout import RowFrame, allowed_stretch, pocket_at
from planlint.geometry.drilling.screw_choice import end_distance, screw_in, tip_cover
from planlint.geometry.drilling.screw_clashes import ScrewMap, Tenon, bounds, clear, clear_of_tenon
from planlint.geometry.joint_facts import Pocket, Screw
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.box_index import boxes_meet
from planlint.geometry.shapes.vectors import dot
from planlint.model.directions import Side
from planlint.model.join_details import PocketRow
from planlint.model.plan import Join
from planlint.model.workshop import Settings
from planlint.rulebook.limits import NIL


def laid_on(
    ground: Ground, asked: PocketRow, first: list[float], hidden: Callable[[float], bool] | None = None
) -> list[float]:
    """The stations of a row that the tool lays out: ``first`` where all of them are free, else moved to free places.

    With ``hidden``, only places that it holds of count as free. Where so many do not fit, ``first`` is kept, and the
    checks tell what is wrong with it.
    """

    def free(station: float) -> bool:
        return (hidden is None or hidden(station)) and ground.free(station)

    apart = ground.settings.bore_spacing
    crowded = asked.every is None and any(b - a < apart - NIL for a, b in pairwise(first))
    if all(map(free, first)) and not crowded:
        return first
    width = ground.frame.high
    if asked.every is None:
        count = len(first)
        wanted = [width * (2 * i + 1) / (2 * count) for i in range(count)]
        return spread(wanted, width, apart, free, ground.placed_from_high) or first
    from_high = asked.origin is not None and asked.origin.sign > 0

    def free_from_origin(distance: float) -> bool:
        return free(width - distance if from_high else distance)

    found = marched(float(asked.first or 0), float(asked.every), width, ground.settings, free_from_origin)
    if from_high:
        found = [width - distance for distance in reversed(found)]
    return found or first


Look = Callable[[Sequence[Pocket]], frozenset[int]]
"""Which pockets of a row anyone sees, by their place in it."""


def looks_along(ground: Ground, look: Look) -> tuple[list[float], frozenset[int]]:
    """Places along a joint, end to end, and which of them would show a pocket to someone."""
    width = ground.frame.high
    count = max(1, ceil(width / LOOKS))
    places = [width * i / count for i in range(count + 1)]
    return places, look([ground.pocket(station) for station in places])


def out_of_sight(ground: Ground, asked: PocketRow, row: list[Pocket], look: Look) -> list[Pocket]:
    """A row in sight moved to where nobody sees it; as it was where that would not hold the joint over its width."""
    places, visible = looks_along(ground, look)
    if len(visible) == len(places):
        return row
    step = ground.frame.high / (len(places) - 1)

    def hidden(station: float) -> bool:
        return floor(station / step) not in visible and ceil(station / step) not in visible

    stations = laid_on(ground, asked, [pocket.station for pocket in row], hidden)
    if len(stations) < min(2, len(row)) or not keeps_spacing(
        stations, ground.frame.high, ground.settings.limits
    ):
        return row
    moved = [ground.pocket(station) for station in stations]
    return row if look(moved) else moved


def near_row(ground: Ground, screws: ScrewMap) -> list[Screw]:
    """The screws near the line of a row, those of the row itself left out."""
    reach = (
        ground.settings.profile.bit_diameter / 2
        + ground.settings.limits["screws-meet", "wood between screws"]
    )
    first, last = (bounds(ground.screw(station), reach) for station in (0.0, ground.frame.high))
    low = tuple(map(min, first.low, last.low))
    high = tuple(map(max, first.high, last.high))
    near = screws.near(Box((low[0], low[1], low[2]), (high[0], high[1], high[2])))
    return [s for s in near if s.pocket.join is not ground.join or s.pocket.row != ground.row]


class Ground:
    """A row of pockets of a joint that may be moved along it, away from ``others`` (screws) and ``tenons``."""

    def __init__(
        self,
        join: Join,
        row: int,
        frame: RowFrame,
        bodies: tuple[Body, Body],
        sides: tuple[Side, Side],
        settings: Settings,
        others: Sequence[Screw] = (),
        tenons: Sequence[Tenon] = (),
        allowed: tuple[float, float] | None = None,
    ) -> None:
        """``bodies`` and ``sides`` are the drilled part's and the receiving part's; ``allowed`` is the stretch in which
        a bore keeps its wood, where it is known already."""
        self.join, self.row, self.frame = join, row, frame
        self.body, self.into = bodies
        self.side, self.entered = sides
        self.settings = settings
        self.others, self.tenons = others, tenons
        self._allowed = allowed
        self._screws: dict[float, Screw] = {}
        self._bit_radius = settings.profile.bit_diameter / 2

    def pocket(self, station: float) -> Pocket:
        return pocket_at(self.frame, station, self.join, self.row, self.body, self.into, self.side)

    def screw(self, station: float) -> Screw:
        """The screw that a pocket at a station would have."""
        found = self._screws.get(station)
        if found is None:
            found = screw_in(self.pocket(station), self.into, self.entered, self.join.screws, self.settings)
            self._screws[station] = found
        return found

    def barred(self, station: float) -> Reasons:
        """Why a pocket may not go there, sight left out; the worst of each kind."""
        screw = self.screw(station)
        return (*self._cover(screw.pocket), *self._tip(screw), *self._end(screw), *self._meets(screw))

    def free(self, station: float) -> bool:
        bores = self._bores
        if bores is not None and not bores[0] - NIL <= station <= bores[1] + NIL:
            return False
        screw = self.screw(station)
        bad = (bores is None and self._cover(screw.pocket)) or self._tip(screw) or self._end(screw)
        return not (bad or self._meets(screw))

    @cached_property
    def splits_throughout(self) -> bool:
        """Whether a screw enters too near an end of the receiving part wherever it is: the row runs across its grain,
        as far from the end at every place. Then that bars no place before another."""
        into, screw = self.into, self.screw(self.frame.high)
        if not into.part.stock.material.solid or into.part.is_end(self.entered):
            return False
        near = min(into.planes[end].depth(screw.pocket.exit) for end in into.part.ends)
        least = self.settings.limits["near-end", "end distance"] * screw.diameter - NIL
        return abs(dot(into.grain, self.frame.across)) < NIL and 0 <= near < least

    @property
    def placed_from_high(self) -> bool:
        """Whether it is the high end of the row that the joint is placed by."""
        along = 3 - self.join.pockets[self.row].face.axis - self.side.axis
        sides = (placing.side for placing in self.join.placings)
        return any(side is not None and side.axis == along and side.sign > 0 for side in sides)

    @cached_property
    def _bores(self) -> tuple[float, float] | None:
        """Between which stations a bore keeps its wood; ``None`` where that is more than one stretch."""
        part = self.body.part
        if part.removals or part.cuts or part.trims:
            return None
        return self._allowed or allowed_stretch(
            self.frame, self.body, self.side, self.join.pockets[self.row].face, self.settings
        )

    def _cover(self, pocket: Pocket) -> Reasons:
        least = clearance(pocket, self.frame, self.body, self.settings, exact=False).least
        if least.spare >= -NIL:
            return ()
        at = least.at
        where = "joint" if at is self.side else at.value if isinstance(at, Side) else at
        whose = self._whose(least.rule, "wood")
        return (f"too little wood beside the bore, at the {where} of {self.body.part.name}{whose}",)

    def _whose(self, rule: str, name: str) -> str:
        """The limit and where it stands, if the shop set it."""
        limit = self.settings.limits.limit(rule, name)
        return f" ({limit.told})" if limit.shop else ""

    @cached_property
    def _thin(self) -> frozenset[Side]:
        """The far side of a receiving part that is so thin that no place has the wood before the point that is asked
        for: there the least will do, to all other sides not."""
        far, least = self.entered.opposite, self.settings.limits["tip-through", "wood before the point"]
        behind = self.into.planes[far].depth(self.screw(self.frame.high).tip)
        return frozenset({far} if behind < least - NIL else ())

    def _tip(self, screw: Screw) -> Reasons:
        asked = (("wood before the point", self._thin), ("wood at the least", frozenset[Side]()))
        for name, but in asked[: 1 + len(self._thin)]:
            cover, at = tip_cover(screw, self.into, self.entered, but)
            if cover < self.settings.limits["tip-through", name] - NIL:
                break
        else:
            return ()
        where = at.value if isinstance(at, Side) else at
        whose = self._whose("tip-through", name)
        return (f"too little wood round the screw, at the {where} of {self.into.part.name}{whose}",)

    def _end(self, screw: Screw) -> Reasons:
        if self.splits_throughout or not self.into.part.stock.material.solid:
            return ()
        distance = end_distance(screw, self.into, self.entered)
        if (
            distance is None
            or distance >= self.settings.limits["near-end", "end distance"] * screw.diameter - NIL
        ):
            return ()
        whose = self._whose("near-end", "end distance")
        return (f"too near the end of {self.into.part.name}, which splits there{whose}",)

    def _meets(self, screw: Screw) -> Reasons:
        for tenon in self.tenons:
            name = "wood beside a tenon"
            if not clear_of_tenon(
                screw, tenon, self._bit_radius, self.settings.limits["screws-meet", name] - NIL
            ):
                return (
                    f"in the way of the end of {tenon.join.part_a.name}{self._whose('screws-meet', name)}",
                )
        if not self.others:
            return ()
        name = "wood between screws"
        between = self.settings.limits["screws-meet", name]
        here = bounds(screw, self._bit_radius + between)
        for other in self.others:
            near = boxes_meet(here, bounds(other, self._bit_radius))
            if near and not clear(screw, other, self._bit_radius, between - NIL):
                return (
                    f"in the way of the screws of {other.pocket.join.name}{self._whose('screws-meet', name)}",
                )
        return ()

"""The piece as a whole: every fact about a placed plan, worked out when first asked for and kept.

Checks ask a ``Piece``; nothing here judges.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cached_property
from itertools import groupby
from typing import NamedTuple

from planlint.geometry.drilled_parts import DrilledParts
from planlint.geometry.drilling.allowed_places import Stretch, stretches
from planlint.geometry.drilling.driver_reach import Blockers, corridor, in_the_way
from planlint.geometry.drilling.end_rows import EndRows
from planlint.geometry.drilling.fastener_places import FASTENER_ROW, FastenerRow, fastener_rows
from planlint.geometry.drilling.pocket_layout import pocket_at, stations
from planlint.geometry.drilling.row_obstacles import Ground, laid_on, looks_along, near_row, out_of_sight
from planlint.geometry.drilling.screw_choice import screw_in
from planlint.geometry.drilling.screw_clashes import Meeting, ScrewMap, bounds, clear, screw_meetings
from planlint.geometry.joint_facts import Pocket, Screw, Sight
from planlint.geometry.kept_facts import of_joint, of_parts
from planlint.geometry.let_in import rabbet_floor
from planlint.geometry.shapes.layers import round_all
from planlint.geometry.sight.pocket_views import Looking
from planlint.model.directions import Side
from planlint.model.plan import Join, Part
from planlint.rulebook.limits import NIL


class _LaidOut(NamedTuple):
    """A row's pockets, the numbers of those that are seen, and their screws, where laying them out asked for these."""

    pockets: tuple[Pocket, ...]
    seen: frozenset[int] | None = None
    screws: tuple[Screw, ...] = ()


Moved = Mapping[tuple[int, int], tuple[float, ...]]
"""Stations of rows that gave way to others, by the numbers of the joint and of the row."""


class Piece(DrilledParts):
    """A placed plan and its facts. Lengths in inches, points in the piece's axes."""

    moved: Moved = {}  # noqa: RUF012 - never changed

    def with_rows(self, moved: Moved) -> Piece:
        """The piece with some rows that the tool lays out elsewhere."""
        other = self.with_joins(self.plan.joins)
        other.moved = moved
        for index, _ in {*moved, *self.moved}:
            other.facts.joints.pop(index, None)
        return other

    def with_joins(self, joins: Iterable[Join], *known: Piece) -> Piece:
        """The piece with only these joints, by number, each as it is here or drilled, screwed or glued otherwise.

        What stays true is shared; of joints that are the same in one of the pieces ``known``, what is known there too.
        """
        joins = tuple(joins)
        other = Piece(replace(self.plan, joins=joins), self.settings, self.tick)
        for name in of_parts.names(Piece):
            setattr(other, name, getattr(self, name))
        here = {join.index: join for join in self.plan.joins}
        changed = [join for join in joins if here.get(join.index) is not join]
        drilled = {join.index for join in changed if not join.drilled_as(here.get(join.index))}
        other.moved = {key: at for key, at in self.moved.items() if key[0] not in drilled}
        other._end_rows, ends = self._end_rows.otherwise({join.index: join for join in changed})
        anew = (
            {join.index for join in joins if any(part.index in ends for part in join.parts)} if ends else ()
        )
        for piece in (self, *known):
            same = {id(join) for join in piece.plan.joins}
            kept = (join.index for join in joins if id(join) in same and join.index not in anew)
            other.facts.take(piece.facts, kept)
        if not any(row.fixed for join in changed for row in here[join.index].pockets):
            # Pockets that the tool lays out keep clear of those whose places the plan gives.
            other._fixed_screws = self._fixed_screws
        return other

    # ------------------------------------------------------------ pockets and screws

    @of_joint
    def pockets(self, join: Join) -> tuple[Pocket, ...]:
        """All pockets of a join, laid out; none where the sides do not touch."""
        return tuple(pocket for row in range(len(join.pockets)) for pocket in self._row(join, row).pockets)

    @of_joint
    def _row(self, join: Join, row: int) -> _LaidOut:
        self.tick()
        frame = self.row_frame(join, row)
        if frame is None:
            return _LaidOut(())
        part, side, into, entered = self.drilled(join, row)
        asked, body, taker = join.pockets[row], self.body_at(join, part), self.body_at(join, into)
        allowed = self.allowed(join, row)
        moved = self.moved.get((join.index, row))
        found = moved or stations(asked, frame, allowed, body, self.settings)
        if asked.fixed or moved or not self.trusted(join):
            return _LaidOut(
                tuple(pocket_at(frame, station, join, row, body, taker, side) for station in found)
            )
        others = [
            *(self._near_row(self._fixed_screws, join, row) if self._fixed_screws else ()),
            *self._at_ends(part, side),
        ]
        sides, tenons = (side, entered), self.tenons_beside(join)
        ground = Ground(join, row, frame, (body, taker), sides, self.settings, others, tenons, allowed)
        screws = [ground.screw(station) for station in laid_on(ground, asked, [*found])]
        pockets = [screw.pocket for screw in screws]
        if not self.plan.seen_from or asked.plugged:
            return _LaidOut(tuple(pockets), None, tuple(screws))
        seen = self._looking(part).seen(pockets)
        if seen:
            hidden = out_of_sight(ground, asked, pockets, self._looking(part).seen)
            if hidden is not pockets:
                screws, seen = [ground.screw(pocket.station) for pocket in hidden], frozenset()
        return _LaidOut(tuple(screw.pocket for screw in screws), seen, tuple(screws))

    @cached_property
    def _fixed_screws(self) -> ScrewMap | None:
        """The screws of all rows whose places the plan gives, and all that is driven through a face; ``None`` where
        there are none."""
        screws = [*self._given_screws, *self._all_drives]
        return ScrewMap(screws, self.settings.profile.bit_diameter / 2) if screws else None

    @cached_property
    def _given_screws(self) -> list[Screw]:
        """The screws of all rows of pockets whose places the plan gives."""
        rows = [
            (join, row) for join in self.plan.joins for row, asked in enumerate(join.pockets) if asked.fixed
        ]
        return [
            screw_in(
                pocket, self.body_at(join, pocket.into), self.entered(pocket), join.screws, self.settings
            )
            for join, row in rows
            if self.trusted(join)
            for pocket in self._row(join, row).pockets
        ]

    @cached_property
    def _end_rows(self) -> EndRows:
        """Of all joins of the plan: those too that a piece with only some of them leaves out."""
        return EndRows({join.index: join for join in self.plan.joins})

    def _at_ends(self, part: Part, side: Side) -> Iterator[Screw]:
        """The screws at the ends of a part, for a row along its edge."""
        for join in () if part.is_end(side) else self._end_rows.of(part):
            if self.trusted(join):
                yield from self.screws(join)

    def _near_row(self, screws: ScrewMap, join: Join, row: int) -> list[Screw]:
        """The screws near the line of a row, of whatever lies fixed to it, those of the row itself left out."""
        frame = self.row_frame(join, row)
        if frame is None:
            return []
        part, side, into, entered = self.drilled(join, row)
        ground = Ground(
            join,
            row,
            frame,
            (self.body_at(join, part), self.body_at(join, into)),
            (side, entered),
            self.settings,
        )
        fixed = self.placement.fixed_together
        return [screw for screw in near_row(ground, screws) if fixed(screw.pocket.part, part)]

    @cached_property
    def _screws(self) -> list[Screw]:
        screws = [screw for join in self.plan.joins if self.trusted(join) for screw in self.screws(join)]
        return screws + self._all_drives

    @cached_property
    def all_screws(self) -> ScrewMap:
        return ScrewMap(self._screws, self.settings.profile.bit_diameter / 2)

    @cached_property
    def clashes(self) -> list[Meeting]:
        """Rods of two rows that leave too little wood between them, in parts that are placed for certain."""
        radius, least = (
            self.settings.profile.bit_diameter / 2,
            self.limits["screws-meet", "wood between screws"],
        )
        fixed = self.placement.fixed_together
        return [
            each
            for each in screw_meetings(self._screws, radius, least - NIL)
            if fixed(each.first.screw.pocket.part, each.second.screw.pocket.part)
        ]

    def ground(self, join: Join, row: int = 0) -> Ground | None:
        """What bars places along a row: its wood, and all screws of other rows as they are laid out."""
        frame = self.row_frame(join, row)
        if frame is None or not self.trusted(join):
            return None
        part, side, into, entered = self.drilled(join, row)
        others = self._near_row(self.all_screws, join, row)
        bodies = self.body_at(join, part), self.body_at(join, into)
        tenons = self.tenons_beside(join)
        return Ground(join, row, frame, bodies, (side, entered), self.settings, others, tenons)

    def allowed_stretches(self, join: Join, row: int = 0) -> tuple[Stretch, ...]:
        """Where along a joint a row's pockets may go and why not elsewhere, on a 1/16 in grid; empty without a row.

        All screws of other rows count as they are laid out; sight counts unless the row is plugged.
        """
        self.tick()
        ground = self.ground(join, row)
        if ground is None:
            return ()
        frame = ground.frame
        looks: list[float] = []
        seen: frozenset[int] = frozenset()
        if self.plan.seen_from and not join.pockets[row].plugged:
            looks, seen = looks_along(ground, self._looking(ground.body.part).seen)

        def barred(station: float) -> tuple[str, ...]:
            at = round(station / frame.high * (len(looks) - 1)) if looks else -1
            return (*ground.barred(station), *(("in sight",) if at in seen else ()))

        return stretches(frame.high, barred)

    @of_joint
    def screws(self, join: Join) -> tuple[Screw, ...]:
        """One screw for each pocket, in the same order."""
        rows = [self._row(join, row) for row in range(len(join.pockets))]
        return tuple(
            screw
            for laid in rows
            for screw in laid.screws
            or (
                screw_in(
                    pocket, self.body_at(join, pocket.into), self.entered(pocket), join.screws, self.settings
                )
                for pocket in laid.pockets
            )
        )

    @of_joint
    def fasteners(self, join: Join) -> tuple[FastenerRow, ...]:
        """The fasteners of a joint that are no pocket screws, line by line; none where its sides do not meet."""
        return self.fastened(join, self._passes) if join.fastenings and self.trusted(join) else ()

    def fastened(self, join: Join, passes: Callable[[Screw], bool] | None) -> tuple[FastenerRow, ...]:
        """The same, with what is driven without a place said moved to where it ``passes``."""
        a, b = self.meeting(join)
        floor = rabbet_floor(join, a, b) if join.driven else None
        moved = {row - FASTENER_ROW: at for (index, row), at in self.moved.items() if index == join.index}
        return tuple(fastener_rows(join, a, b, self.contact(join), passes, floor, moved))

    @cached_property
    def _passes(self) -> Callable[[Screw], bool] | None:
        """Whether a screw leaves enough wood to all pockets whose places the plan gives; ``None`` without any."""
        radius = self.settings.profile.bit_diameter / 2
        least = self.limits["screws-meet", "wood between screws"]
        given = self._given_screws
        there = ScrewMap(given, radius) if given else None

        def passes(screw: Screw) -> bool:
            near = there.near(bounds(screw, radius + least)) if there else ()
            return all(clear(screw, other, radius, least - NIL) for other in near)

        return passes if there else None

    def drives(self, join: Join) -> tuple[Screw, ...]:
        """What is driven through a face at a joint: screws, bolts and nails, in order."""
        return tuple(screw for row in self.fasteners(join) for screw in row.drives) if join.fastenings else ()

    @cached_property
    def _all_drives(self) -> list[Screw]:
        return [screw for join in self.plan.joins if join.fastenings for screw in self.drives(join)]

    # ------------------------------------------------------------ reach

    @of_parts
    def blockers(self) -> Blockers:
        return Blockers(self.bodies)

    @of_joint
    def blocking(self, join: Join) -> frozenset[int]:
        """Indices of the parts, other than the joint's own, that stand where the driver for one of its screws goes.

        None for a joint without screws, and none for parts that are not placed for certain.
        """
        self.tick()
        if (join.pockets or join.driven) and self.trusted(join):
            return self.in_the_way_of((*self.pockets(join), *self.turned_in(join)))
        return frozenset()

    def turned_in(self, join: Join) -> tuple[Pocket, ...]:
        """The places of the screws and bolts through a face of a joint: a nail wants no driver behind it."""
        return tuple(screw.pocket for screw in self.drives(join) if screw.thread != "nails")

    def in_the_way_of(self, pockets: Iterable[Pocket]) -> frozenset[int]:
        """The same for pockets of one joint wherever they might be drilled."""
        fixed, parts, profile = self.placement.fixed_together, self.plan.parts, self.settings.profile
        return frozenset(
            i
            for _, row in groupby(pockets, key=_row_of)
            for each in (list(row),)
            for i in self.blockers.of(each, profile)
            if fixed(each[0].part, parts[i])
        )

    def into_in_the_way(self, pocket: Pocket) -> bool:
        """Whether the receiving part itself stands where the driver goes: it reaches over the drilled face."""
        into = self.body(pocket.into)
        if into.plain and self.body(pocket.part).plain and not self.inset(pocket.join):
            return False
        return in_the_way(corridor(pocket, self.settings.profile), into)

    # ------------------------------------------------------------ sight

    @of_parts
    def _looks(self) -> dict[int, Looking]:
        """By the number of a rigid group: what has no place beside it neither hides it nor moves the eyes round it."""
        return {}

    def _looking(self, part: Part) -> Looking:
        group = self.placement.group(part)
        found = self._looks.get(group)
        if found is None:
            height, profile = self.plan.eye_height, self.settings.profile
            there = [body for body in self.bodies if self.placement.group(body.part) == group]
            found = self._looks[group] = Looking(
                self.bodies,
                round_all(there),
                self.plan.seen_from,
                self.settings.viewer,
                None if height is None else float(height),
                profile.bit_diameter / 2,
                there,
            )
        return found

    def in_sight(self, pocket: Pocket) -> bool:
        """Whether anyone sees a pocket's mouth."""
        self.tick()
        row = self._row_of(pocket)
        if not row:
            # A pocket that the plan does not have: where a repair would move it.
            return bool(self._looking(pocket.part).seen([pocket]))
        return pocket.station in self._seen(pocket.join, pocket.row)

    @of_joint
    def _seen(self, join: Join, row: int) -> frozenset[float]:
        """The stations of a row's pockets that anyone sees."""
        pockets, seen, _ = self._row(join, row)
        return frozenset(
            pockets[place].station
            for place in (self._looking(pockets[0].part).seen(pockets) if seen is None else seen)
        )

    def sight(self, pocket: Pocket) -> Sight:
        """Who sees a pocket's mouth, and how many of all eyes."""
        self.tick()
        row = self._row_of(pocket)
        return self._looking(pocket.part).sight(pocket, row[len(row) // 2].mouth if row else pocket.mouth)

    def _row_of(self, pocket: Pocket) -> tuple[Pocket, ...]:
        """The pockets of its row; none for a pocket that is not one of the plan's."""
        row = self._row(pocket.join, pocket.row).pockets if pocket.row < len(pocket.join.pockets) else ()
        return row if any(each is pocket for each in row) else ()


def _row_of(pocket: Pocket) -> int:
    return pocket.row

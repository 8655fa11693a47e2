"""Whether a hand with a driver gets out of the hollow that it works in, and what opens that hollow if it does not.

A hand is a cube that moves along the axes of the piece: its middle keeps clear of wood grown by half the cube.
"""

from bisect import bisect
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from heapq import heappop, heappush
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.box_index import BoxTree, box_round
from planlint.model.directions import Axis, Side, side_of

_HAND = 2.5
"""Inches: what a cube of this size does not pass lets in no hand with a driver. Basis: our own judgement."""
_MOST_PLACES = 4000
"""Places of a hand that are tried before a hollow counts as open. Basis: our own judgement."""

_Place = tuple[int, int, int]


class _ClosedHollow(NamedTuple):
    places: frozenset[_Place]
    walls: frozenset[int]
    """The units of wood that close it; none of an open one."""


class Hollows:
    """The room round bodies that are fixed to one another. ``unit_of`` tells by part what is glued up with it into one
    board. Wood that stands aslant closes nothing."""

    def __init__(self, bodies: Sequence[Body], unit_of: Mapping[int, int]) -> None:
        self._grown: list[Box] = []
        self._unit: list[int] = []
        self._parts: dict[int, set[int]] = {}
        for body in bodies:
            unit = unit_of[body.part.index]
            self._parts.setdefault(unit, set()).add(body.part.index)
            for low, high in body.own_boxes if body.rotation is None else ():
                self._grown.append(box_round(body.to_piece(low), body.to_piece(high), _HAND / 2))
                self._unit.append(unit)
        self._tree = BoxTree(self._grown)
        self._cuts = tuple(
            sorted({round(box[end][axis], 4) for box in self._grown for end in (0, 1)}) for axis in Axis
        )
        self._near: dict[_Place, frozenset[int]] = {}
        self._known: dict[_Place, tuple[frozenset[int], ...]] = {}

    def opened_by(self, at: Vector) -> tuple[frozenset[int], ...]:
        """The sets of parts of which any one, left away, lets a hand out of the hollow that a point lies in; nothing
        where it is open, or where there is no room for a hand at that point."""
        if next(self.ways_out(at), None):
            return ()
        place = self._place(at)
        if place not in self._known:
            places, walls = self._hollow(place, self._without())
            self._known.update(dict.fromkeys({*places, place}, self._ways_out(place, walls) if walls else ()))
        return self._known[place]

    def ways_out(self, at: Vector, present: Collection[int] | None = None) -> Iterator[Side]:
        """The sides to which a hand goes straight out from a point, past some units of wood or past all."""
        if not self._grown:
            yield from Side
            return
        for axis in Axis:
            for end in (0, 1):
                to = list(at)
                to[axis] = self._cuts[axis][-end]
                way = box_round(at, (to[0], to[1], to[2]), 0.0)
                near = (i for i in self._tree.near(way) if present is None or self._unit[i] in present)
                if not any(_through(way, self._grown[i], axis) for i in near):
                    yield side_of(axis, 2 * end - 1)

    def lets_out(self, at: Vector, present: Collection[int], down: Side, bench: float) -> bool:
        """Whether a hand gets out from a point at all, round corners too, past some units of wood that lie with a side
        on a bench; ``bench`` is where along its axis that is, in inches."""

        def walls(place: _Place) -> Collection[int]:
            cuts, number = self._cuts[down.axis], place[down.axis]
            middle = (cuts[max(number - 1, 0)] + cuts[min(number, len(cuts) - 1)]) / 2
            if (bench - middle) * down.sign < _HAND / 2:
                return (-1,)
            return self._units_at(place).intersection(present)

        return not self._hollow(self._place(at), walls).walls

    def _place(self, at: Vector) -> _Place:
        x, y, z = (bisect(cuts, each) for cuts, each in zip(self._cuts, at, strict=True))
        return x, y, z

    def _without(self, *units: int) -> Callable[[_Place], Collection[int]]:
        return lambda place: self._units_at(place).difference(units)

    def _ways_out(self, place: _Place, walls: frozenset[int]) -> tuple[frozenset[int], ...]:
        """Single units, then two where one lies behind the other, then all that is left: a wall of narrow slats."""
        found: list[tuple[int, ...]] = []
        behind: dict[int, frozenset[int]] = {}
        for unit in sorted(walls):
            more = self._hollow(place, self._without(unit)).walls
            if more:
                behind[unit] = more
            else:
                found.append((unit,))
        single = {unit for (unit,) in found}
        pairs = {
            (min(one, other), max(one, other)) for one, more in behind.items() for other in more - single
        }
        found += [pair for pair in sorted(pairs) if not self._hollow(place, self._without(*pair)).walls]
        left = tuple(unit for unit in behind if not any(unit in each for each in found))
        if left and not self._hollow(place, self._without(*left)).walls:
            found.append(left)
        return tuple(frozenset(i for unit in each for i in self._parts[unit]) for each in found)

    def _hollow(self, place: _Place, walls: Callable[[_Place], Collection[int]]) -> _ClosedHollow:
        """All that a hand reaches from a place, past the units that stand in its way at each, what leads out tried
        first; open too where there is no room for a hand at all."""
        ends = tuple(len(cuts) for cuts in self._cuts)
        met: set[int] = set()
        free: set[_Place] = set()
        seen = {place}
        waiting = [(0, place)]
        while waiting:
            _, here = heappop(waiting)
            stands = walls(here)
            if stands:
                met.update(stands)
                continue
            if any(at in {0, end} for at, end in zip(here, ends, strict=True)) or len(seen) > _MOST_PLACES:
                return _OPEN
            free.add(here)
            for axis in Axis:
                for step in (-1, 1):
                    to = list(here)
                    to[axis] += step
                    there = (to[0], to[1], to[2])
                    if there not in seen:
                        seen.add(there)
                        out = min(min(at, end - at) for at, end in zip(there, ends, strict=True))
                        heappush(waiting, (out, there))
        return _ClosedHollow(frozenset(free), frozenset(met)) if free else _OPEN

    def _units_at(self, place: _Place) -> frozenset[int]:
        """The units whose wood is too near for a hand there."""
        if place not in self._near:
            if any(at in {0, len(cuts)} for at, cuts in zip(place, self._cuts, strict=True)):
                return frozenset()
            x, y, z = ((cuts[at - 1] + cuts[at]) / 2 for cuts, at in zip(self._cuts, place, strict=True))
            self._near[place] = frozenset(self._unit[i] for i in self._tree.near(Box((x, y, z), (x, y, z))))
        return self._near[place]


_OPEN = _ClosedHollow(frozenset(), frozenset())


def _through(way: Box, wood: Box, axis: Axis) -> bool:
    """Whether a line along an axis runs into wood, not along it."""
    return all(wood.low[i] < way.low[i] < wood.high[i] for i in Axis if i is not axis)

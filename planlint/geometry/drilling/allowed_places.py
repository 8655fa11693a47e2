"""Where along a joint a pocket may go, why not elsewhere, and rows laid out on what is left.

A place is barred where the bore or pilot leaves too little wood to its own part, where the screw comes out of the
other or splits its end, where both meet the pockets of another row, and where people see the mouth. Stations are
tried on a 1/16 in grid. Lengths in inches.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from functools import cache
from itertools import chain, pairwise
from math import inf
from operator import sub
from typing import NamedTuple

from planlint.geometry.drilling.pocket_layout import GRID, end_margin
from planlint.model.workshop import Settings
from planlint.rulebook.limits import Limits
from planlint.text.rounding import TOUCH, whole_down

LOOKS = 1 / 2
"""Sight is asked at places no further apart than this, in inches. Basis: our own judgement."""

Reasons = tuple[str, ...]
"""Why a place is barred, in words; empty for a free place."""
Free = Callable[[float], bool]
Barred = Callable[[float], Reasons]
"""The reasons against a station."""


class Stretch(NamedTuple):
    """Stations from ``low`` to ``high`` of a row that are free, or barred for the same reasons."""

    low: float
    high: float
    why: Reasons


def grid(width: float) -> list[float]:
    """The stations tried on a joint: sixteenths from its low end, and the high end."""
    count = whole_down(width / GRID)
    found = [GRID * i for i in range(count + 1)]
    if width - found[-1] > TOUCH:
        found.append(width)
    return found


def stretches(width: float, barred: Barred) -> tuple[Stretch, ...]:
    """The whole joint, low to high, as stretches of one answer each; a stretch reaches from its first place to its
    last, so between two of them lies up to a step of the grid."""
    found: list[Stretch] = []
    for station in grid(width):
        why = barred(station)
        if found and found[-1].why == why:
            found[-1] = found[-1]._replace(high=station)
        else:
            found.append(Stretch(station, station, why))
    return tuple(found)


# ---------------------------------------------------------------- laying out


def spread(
    wanted: Sequence[float], width: float, apart: float, free: Free, from_high: bool = False
) -> list[float] | None:
    """As many pockets as ``wanted``, each as near to its wanted place as the free places of the grid let it be.

    Neighbours keep ``apart``. Symmetrical where that is free too; else set out from the end that lets them lie nearer
    and more evenly, or where both ends do ``from_high``, so that a mirrored joint is set out as this one is. ``None``
    where so many pockets do not fit.
    """
    free = cache(free)
    places = grid(width)
    count = len(wanted)
    if all(abs(a + b - width) < TOUCH for a, b in zip(wanted, reversed(wanted), strict=True)):
        middle = [width / 2] if count % 2 else []
        if all(free(place) for place in middle):
            last = width / 2 - (apart if middle else apart / 2)
            low_half = [place for place in places if place <= last + TOUCH]
            half = _settled(
                wanted[: count // 2], low_half, apart, lambda place: free(place) and free(width - place)
            )
            if half is not None:
                return [*half, *middle, *(width - place for place in reversed(half))]
    backward = [width - goal for goal in reversed(wanted)]
    back = _settled(backward, places, apart, lambda place: free(width - place))
    ways = [
        _settled(wanted, places, apart, free),
        [width - place for place in reversed(back)] if back else None,
    ]

    def moves(found: list[float]) -> tuple[float, float]:
        moved = sum((place - goal) ** 2 for place, goal in zip(found, wanted, strict=True))
        return round(moved, 9), round(abs(sum(found) - count * width / 2), 9)

    return min(filter(None, reversed(ways) if from_high else ways), key=moves, default=None)


def _settled(
    wanted: Sequence[float], places: Sequence[float], apart: float, free: Free
) -> list[float] | None:
    """The free places with the least sum of moves. Those near the wanted ones are asked first: what lies further off
    than the sum of all moves comes to is no better."""
    reach = LOOKS
    while True:
        near = [
            place
            for place in places
            if any(abs(place - goal) <= reach + TOUCH for goal in wanted) and free(place)
        ]
        found = _nearest(wanted, near, apart)
        if found is not None and sum(map(abs, map(sub, found, wanted))) <= reach:
            return found
        if not places or reach >= places[-1]:
            return found
        reach *= 4


def _nearest(wanted: Sequence[float], places: Sequence[float], apart: float) -> list[float] | None:
    """One place for each wanted one, in order and ``apart``, with the least sum of moves.

    Worked out place by place: the best way to set the first so many pockets with the last of them here.
    """
    if not wanted:
        return []
    cost = [abs(place - wanted[0]) for place in places]
    came: list[list[int]] = []
    for goal in wanted[1:]:
        best, best_at, behind = inf, -1, 0
        costs, before = [], []
        for place in places:
            while behind < len(places) and places[behind] <= place - apart + TOUCH:
                if cost[behind] < best:
                    best, best_at = cost[behind], behind
                behind += 1
            costs.append(best + abs(place - goal))
            before.append(best_at)
        cost = costs
        came.append(before)
    least = min(cost, default=inf)
    if least == inf:
        return None
    at = cost.index(least)
    found = [places[at]]
    for before in reversed(came):
        at = before[at]
        found.append(places[at])
    return found[::-1]


def marched(first: float, pitch: float, width: float, settings: Settings, free: Free) -> list[float]:
    """The fewest pockets from ``first`` on that lie no further apart than ``pitch``, as far as free places allow.

    Each goes as far from the one before as it may; where a barred stretch is wider than the pitch, to its far side.
    """
    found: list[float] = []
    goal, apart, places = first, settings.bore_spacing, grid(width)
    while not found or goal <= width - end_margin(settings) + TOUCH:
        low = found[-1] + apart if found else 0.0
        if not free(goal):
            start, end = bisect_left(places, low - TOUCH), bisect_right(places, goal)
            before, behind = reversed(places[start:end]), places[max(start, end) :]
            near = next(filter(free, chain(before, behind)), None)
            if near is None:
                break
            goal = near
        found.append(goal)
        goal += pitch
    return found


def keeps_spacing(stations: Sequence[float], width: float, limits: Limits) -> bool:
    """Whether a row moved out of sight still holds the joint over its whole width."""
    if len(stations) < 2:
        return True
    gaps = [after - before for before, after in pairwise(stations)]
    from_end, most = limits["far-from-end", "from the end"], limits["wide-spacing", "spacing"]
    first, last = from_end + gaps[0] / 2, from_end + gaps[-1] / 2
    return max(gaps) <= most and stations[0] <= first and width - stations[-1] <= last

"""Openings between bars: what a guard of rails, posts and slats leaves free, seen square to it."""

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import inf
from typing import NamedTuple

from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.vectors import plus
from planlint.model.directions import Axis
from planlint.model.plan import Part
from planlint.placement.joint_graph import groups_of
from planlint.text.rounding import ROUNDING

THIN = 4.0
"""Inches: what reaches no further through a guard is a bar of it. Basis: our own judgement."""
_APART = 1 / 4
"""Inches between bars of one guard, through it. Basis: our own judgement."""


class Rect(NamedTuple):
    """A rectangle, along two axes."""

    low: tuple[float, float]
    high: tuple[float, float]


class Opening(NamedTuple):
    """A place with no wood and wood all round it, and the side of the largest square that passes."""

    whole: Rect
    size: float


@dataclass(frozen=True)
class Guard:
    """Bars that lie in one layer, square to ``axis``, between ``low`` and ``high``, and all wood that crosses or meets
    it."""

    axis: Axis
    low: float
    high: float
    bars: tuple[Part, ...]
    wood: tuple[tuple[Part, Rect], ...]

    @cached_property
    def openings(self) -> tuple[Opening, ...]:
        return tuple(openings([rect for _, rect in self.wood]))


def guards(bodies: Iterable[Body], axis: Axis) -> Iterator[Guard]:
    """The upright layers of bars that lie square to a level axis, from its low end to its high one."""
    bodies = tuple(bodies)
    bars = [body for body in bodies if _is_bar(body, axis)]
    bars.sort(key=lambda body: body.bounds.low[axis])
    layer: list[Body] = []
    for bar in bars:
        if layer and bar.bounds.low[axis] > max(each.bounds.high[axis] for each in layer) + _APART:
            yield _guard(axis, layer, bodies)
            layer = []
        layer.append(bar)
    if layer:
        yield _guard(axis, layer, bodies)


def _is_bar(body: Body, axis: Axis) -> bool:
    part, bounds = body.part, body.bounds
    flat = part.facing.axis is not axis and part.thickness < 0.6 * float(part.width)
    return not flat and bounds.high[axis] - bounds.low[axis] <= THIN + ROUNDING


def _guard(axis: Axis, layer: Sequence[Body], bodies: Iterable[Body]) -> Guard:
    low = min(each.bounds.low[axis] for each in layer)
    high = max(each.bounds.high[axis] for each in layer)
    wood = [
        (body.part, _seen(cell, axis))
        for body in bodies
        for cell in _cells(body)
        if cell.low[axis] < high + _APART and cell.high[axis] > low - _APART
    ]
    return Guard(axis, low, high, tuple(each.part for each in layer), tuple(wood))


def _cells(body: Body) -> Iterable[Box]:
    """The wood of a body as boxes along the axes; of one that is turned or cut askew the box round it, so that no
    opening is found that is not there."""
    if body.rotation is not None or body.cut_ends:
        return (body.bounds,)
    return [Box(plus(low, body.origin), plus(high, body.origin)) for low, high in body.own_boxes]


def _seen(box: Box, axis: Axis) -> Rect:
    u = Axis.Y if axis is Axis.X else Axis.X
    return Rect((box.low[u], box.low[2]), (box.high[u], box.high[2]))


# ---------------------------------------------------------------- what is left free


def openings(wood: Sequence[Rect]) -> Iterator[Opening]:
    """The places free of all these rectangles and closed off by them on every side."""
    us, vs = (_lines(wood, which) for which in (0, 1))
    free = {(i, j) for i in range(len(us) - 1) for j in range(len(vs) - 1)}
    for (u0, v0), (u1, v1) in wood:
        for i in range(bisect_left(us, u0 - ROUNDING), bisect_left(us, u1 - ROUNDING)):
            free.difference_update(
                (i, j) for j in range(bisect_left(vs, v0 - ROUNDING), bisect_left(vs, v1 - ROUNDING))
            )
    last_u, last_v = len(us) - 2, len(vs) - 2
    beside = (((i, j), near) for i, j in free for near in ((i + 1, j), (i, j + 1)) if near in free)
    for place in groups_of(sorted(free), beside):
        if not any(i in {0, last_u} or j in {0, last_v} for i, j in place):
            yield _opening(set(place), us, vs)


def _lines(wood: Sequence[Rect], which: int) -> list[float]:
    """Where the edges of all wood lie, those that fall together once, with all that is round it."""
    found: list[float] = []
    for at in sorted(edge for rect in wood for edge in (rect.low[which], rect.high[which])):
        if not found or at - found[-1] > ROUNDING:
            found.append(at)
    return [-inf, *found, inf] if found else []


def _opening(place: set[tuple[int, int]], us: Sequence[float], vs: Sequence[float]) -> Opening:
    columns = sorted({i for i, _ in place})
    rows = sorted({j for _, j in place})
    whole = Rect((us[columns[0]], vs[rows[0]]), (us[columns[-1] + 1], vs[rows[-1] + 1]))
    size = 0.0
    for first in columns:
        open_rows = set(rows)
        for last in range(first, columns[-1] + 1):
            open_rows = {j for j in open_rows if (last, j) in place}
            if not open_rows:
                break
            tallest = max(_runs(sorted(open_rows), vs))
            size = max(size, min(us[last + 1] - us[first], tallest))
    return Opening(whole, size)


def _runs(rows: Sequence[int], vs: Sequence[float]) -> Iterator[float]:
    """How high each run of rows that follow one another is."""
    start = before = rows[0]
    for row in [*rows[1:], -1]:
        if row != before + 1:
            yield vs[before + 1] - vs[start]
            start = row
        before = row

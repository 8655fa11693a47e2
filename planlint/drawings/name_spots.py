"""Where on a shape the leader of its name ends: clear of its rim, of lines, and of what lies over it."""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import hypot

from planlint.drawings.primitives import Area, Item, Line
from planlint.drawings.viewpoints import SeenAt
from planlint.geometry.shapes.flat_shapes import turn
from planlint.text.rounding import STILL

_Shape = Sequence[SeenAt]
"""A convex outline on paper."""
_MANY = 7
"""Places looked at across a shape and along it."""
_ENOUGH = 4.0
"""Millimetres from all lines beyond which a place is as good as any: the one nearest to the middle is taken."""
_FINE = frozenset({"hatch", "thin"})
"""Lines on which the end of a leader is seen well enough."""


def spot(shapes: Iterable[_Shape], items: Sequence[Item], over: Sequence[_Shape] = ()) -> SeenAt | None:
    """The place in some shapes of one part that is farthest from all lines that are drawn, and where it can be on no
    fastener, in no bore and in nothing that lies ``over`` it; ``None`` where there is no shape."""
    lines = [
        pair
        for item in items
        if isinstance(item, Line) and item.kind not in _FINE
        for pair in pairwise((*item.points, *(item.points[:1] if item.closed else ())))
    ]
    covered: list[_Shape] = [
        item.points for item in items if isinstance(item, Area) and item.tone in {"steel", "bore"}
    ]
    covered += over
    best: tuple[float, float, SeenAt] | None = None
    for shape in shapes:
        rim = [*pairwise(shape), (shape[-1], shape[0])]
        xs, ys = zip(*shape, strict=True)
        (left, right), (top, bottom) = (min(xs), max(xs)), (min(ys), max(ys))
        for i in range(_MANY):
            for j in range(_MANY):
                at = left + (i + 0.5) / _MANY * (right - left), top + (j + 0.5) / _MANY * (bottom - top)
                if not in_outline(shape, at):
                    continue
                clear = min(away(at, a, b) for a, b in (*rim, *lines))
                if any(in_outline(area, at) for area in covered):
                    clear = -1.0
                off = hypot(at[0] - (left + right) / 2, at[1] - (top + bottom) / 2)
                found = (round(min(clear, _ENOUGH), 2), round(-off, 2), at)
                if best is None or found[:2] > best[:2]:
                    best = found
    return None if best is None else best[2]


def in_outline(shape: _Shape, at: SeenAt) -> bool:
    """Whether a place lies in a convex outline."""
    turns = [turn(p, q, at) for p, q in (*pairwise(shape), (shape[-1], shape[0])) if p != q]
    return all(each > 0 for each in turns) or all(each < 0 for each in turns)


def away(at: SeenAt, a: SeenAt, b: SeenAt) -> float:
    """How far a place is from a segment."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    size = dx * dx + dy * dy
    t = 0.0 if size < STILL else max(0.0, min(1.0, ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / size))
    return hypot(at[0] - a[0] - t * dx, at[1] - a[1] - t * dy)

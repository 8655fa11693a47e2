"""Half-spaces, boxes, and the convex cells that wood is told by: a box, trimmed by planes."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from itertools import product
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector

OnLine = tuple[float, float]
"""From where to where along a line."""


class Plane(NamedTuple):
    """A half-space: points with ``normal . point <= offset`` are inside; ``normal`` is unit and looks out."""

    normal: Vector
    offset: float

    def depth(self, point: Vector) -> float:
        """How far a point lies inside (negative: outside)."""
        n = self.normal
        return self.offset - n[0] * point[0] - n[1] * point[1] - n[2] * point[2]


class Box(NamedTuple):
    """A box along the axes of the frame it is given in."""

    low: Vector
    high: Vector

    @property
    def corners(self) -> list[Vector]:
        return list(product(*zip(self.low, self.high, strict=True)))  # type: ignore[arg-type]

    @property
    def volume(self) -> float:
        x, y, z = (high - low for low, high in zip(self.low, self.high, strict=True))
        return x * y * z

    def shared(self, other: Box) -> Vector:
        """How far two boxes lie beside one another along each axis; 0 or less where they do not."""
        x, y, z = (min(self.high[i], other.high[i]) - max(self.low[i], other.low[i]) for i in range(3))
        return x, y, z

    def common(self, other: Box) -> Box:
        """The room that two boxes share; inside out where they share none."""
        (a, b, c), (d, e, f) = map(max, self.low, other.low), map(min, self.high, other.high)
        return Box((a, b, c), (d, e, f))

    def between(self, axis: int, low: float, high: float) -> Box:
        """The same box from here to there along an axis."""
        lows, highs = list(self.low), list(self.high)
        lows[axis], highs[axis] = low, high
        return Box((lows[0], lows[1], lows[2]), (highs[0], highs[1], highs[2]))


def boxes_round(boxes: Collection[Box]) -> Box:
    """The smallest box round some boxes."""
    lows, highs = [box[0] for box in boxes], [box[1] for box in boxes]
    (x0, y0, z0), (x1, y1, z1) = map(min, *lows, lows[0]), map(max, *highs, highs[0])
    return Box((x0, y0, z0), (x1, y1, z1))


def united(spans: Iterable[OnLine], near: float) -> list[OnLine]:
    """Spans in order, those that meet or lie so ``near`` as one."""
    joined: list[OnLine] = []
    for low, high in sorted(spans):
        if joined and low <= joined[-1][1] + near:
            joined[-1] = joined[-1][0], max(joined[-1][1], high)
        else:
            joined.append((low, high))
    return joined


class Cell(NamedTuple):
    """A convex solid: what some planes leave of a box."""

    box: Box
    cuts: tuple[Plane, ...] = ()


def cell_less(cell: Box, gone: Box) -> list[Box]:
    """``cell`` less ``gone``, cut into boxes: what lies below and above it along x, then y, then z."""
    low, high = list(cell.low), list(cell.high)
    if any(gone.low[i] >= high[i] or gone.high[i] <= low[i] for i in range(3)):
        return [cell]
    pieces = []
    for i in range(3):
        if gone.low[i] > low[i]:
            top = list(high)
            top[i] = gone.low[i]
            pieces.append(Box((low[0], low[1], low[2]), (top[0], top[1], top[2])))
            low[i] = gone.low[i]
        if gone.high[i] < high[i]:
            bottom = list(low)
            bottom[i] = gone.high[i]
            pieces.append(Box((bottom[0], bottom[1], bottom[2]), (high[0], high[1], high[2])))
            high[i] = gone.high[i]
    return pieces

"""Finding what is near without asking everything: a tree of boxes and the pairs of boxes that meet."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Box
from planlint.geometry.shapes.cells import boxes_round
from planlint.text.rounding import STILL


def bounding_box(points: Sequence[Vector]) -> Box:
    """The smallest box along the axes round some points."""
    x, y, z = zip(*points, strict=True)
    return Box((min(x), min(y), min(z)), (max(x), max(y), max(z)))


def overlapping_pairs(boxes: Sequence[Box], slack: float = 0.0) -> Iterator[tuple[int, int]]:
    """Index pairs of boxes that run into one another by more than ``slack`` on every axis (``i < j``).

    Sweep along the axis on which the boxes are most spread out; cost grows with the boxes and the pairs that
    overlap on that axis.
    """
    if len(boxes) < 2:
        return
    axis = max(range(3), key=lambda i: max(b.high[i] for b in boxes) - min(b.low[i] for b in boxes))
    j, k = (axis + 1) % 3, (axis + 2) % 3
    order = sorted(range(len(boxes)), key=lambda i: boxes[i].low[axis])
    open_: list[int] = []
    for current in order:
        low, high = boxes[current]
        start = low[axis] + slack
        open_ = [i for i in open_ if boxes[i].high[axis] > start]
        for i in open_:
            other_low, other_high = boxes[i]
            if (
                low[j] + slack < other_high[j]
                and other_low[j] + slack < high[j]
                and low[k] + slack < other_high[k]
                and other_low[k] + slack < high[k]
            ):
                yield (i, current) if i < current else (current, i)
        open_.append(current)


def boxes_meet(a: Box, b: Box) -> bool:
    """Whether two boxes share more than a touch."""
    (a0, b0, c0), (a1, b1, c1) = a
    (p0, q0, r0), (p1, q1, r1) = b
    return a0 < p1 and p0 < a1 and b0 < q1 and q0 < b1 and c0 < r1 and r0 < c1


def box_round(a: Vector, b: Vector, reach: float) -> Box:
    """The box round a segment, ``reach`` wider all round."""
    (x0, y0, z0), (x1, y1, z1) = a, b
    if x0 > x1:
        x0, x1 = x1, x0
    if y0 > y1:
        y0, y1 = y1, y0
    if z0 > z1:
        z0, z1 = z1, z0
    return Box((x0 - reach, y0 - reach, z0 - reach), (x1 + reach, y1 + reach, z1 + reach))


class BoxTree:
    """A balanced tree over boxes (median split of the longest axis), for boxes near a box and along a segment."""

    _LEAF = 4

    def __init__(self, boxes: Sequence[Box]) -> None:
        self.boxes = boxes
        self._root = self._grow(list(range(len(boxes)))) if boxes else None

    def _grow(self, items: list[int]) -> _Node:
        boxes = self.boxes
        bounds = boxes_round([boxes[i] for i in items])
        if len(items) <= self._LEAF:
            return _Node(bounds, items, ())
        axis = max(range(3), key=lambda a: bounds.high[a] - bounds.low[a])
        items.sort(key=lambda i: boxes[i].low[axis] + boxes[i].high[axis])
        half = len(items) // 2
        return _Node(bounds, [], (self._grow(items[:half]), self._grow(items[half:])))

    def near(self, box: Box) -> list[int]:
        """Indices of the boxes that touch or meet ``box``."""
        found: list[int] = []
        waiting = [self._root] if self._root else []
        (x0, y0, z0), (x1, y1, z1) = box
        while waiting:
            node = waiting.pop()
            (a0, b0, c0), (a1, b1, c1) = node.bounds
            if a0 > x1 or a1 < x0 or b0 > y1 or b1 < y0 or c0 > z1 or c1 < z0:
                continue
            waiting += node.children
            for i in node.items:
                (a0, b0, c0), (a1, b1, c1) = self.boxes[i]
                if not (a0 > x1 or a1 < x0 or b0 > y1 or b1 < y0 or c0 > z1 or c1 < z0):
                    found.append(i)
        return found

    def along(self, start: Vector, end: Vector) -> Iterator[int]:
        """Indices of the boxes whose node a segment passes, those nearer the end first where cheap."""
        waiting = [self._root] if self._root else []
        d = (end[0] - start[0], end[1] - start[1], end[2] - start[2])
        while waiting:
            node = waiting.pop()
            if meets_box(start, d, node.bounds):
                waiting += node.children
                yield from node.items


class _Node:
    __slots__ = ("bounds", "children", "items")

    def __init__(self, bounds: Box, items: list[int], children: tuple[_Node, ...]) -> None:
        self.bounds = bounds
        self.items = items
        self.children = children


def meets_box(start: Vector, d: Vector, box: Box, touch: float = 0.0) -> bool:
    """Whether the segment ``start + t d``, 0 <= t <= 1, runs inside a box for longer than ``touch`` (in t)."""
    # Axis by axis, written out: it is asked for every line of sight and every box, and a loop takes 30 % longer.
    low, high = 0.0, 1.0
    (x0, y0, z0), (x1, y1, z1) = box
    x, y, z = start
    dx, dy, dz = d
    if dx > STILL or dx < -STILL:
        t0, t1 = (x0 - x) / dx, (x1 - x) / dx
        if t0 > t1:
            t0, t1 = t1, t0
        low = max(low, t0)
        high = min(high, t1)
    elif x <= x0 or x >= x1:
        return False
    if dy > STILL or dy < -STILL:
        t0, t1 = (y0 - y) / dy, (y1 - y) / dy
        if t0 > t1:
            t0, t1 = t1, t0
        low = max(low, t0)
        high = min(high, t1)
    elif y <= y0 or y >= y1:
        return False
    if dz > STILL or dz < -STILL:
        t0, t1 = (z0 - z) / dz, (z1 - z) / dz
        if t0 > t1:
            t0, t1 = t1, t0
        low = max(low, t0)
        high = min(high, t1)
    elif z <= z0 or z >= z1:
        return False
    return high - low > touch

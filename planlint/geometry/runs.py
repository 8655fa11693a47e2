"""Boxes of wood that run on from part to part: a rail and the legs it stands between, an apron and the top on it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from planlint.geometry.body import Box
from planlint.geometry.index import overlapping_pairs

TOUCH = 1e-6


def wood_runs(boxes: Sequence[Box]) -> list[Box]:
    """For each box of wood and axis, the box that is wood from the far side of one neighbour to that of the other.

    Neighbours are boxes that touch it flat; the section is what all three share, so every point of a run is wood.
    """
    beside: defaultdict[tuple[int, int, bool], list[Box]] = defaultdict(list)
    for i, j in overlapping_pairs(boxes, -TOUCH):
        a, b = boxes[i], boxes[j]
        for axis in range(3):
            if abs(a.high[axis] - b.low[axis]) < TOUCH:
                beside[i, axis, True].append(b)
                beside[j, axis, False].append(a)
            elif abs(b.high[axis] - a.low[axis]) < TOUCH:
                beside[i, axis, False].append(b)
                beside[j, axis, True].append(a)
    found = []
    for index, box in enumerate(boxes):
        for axis in range(3):
            before, after = beside.get((index, axis, False)), beside.get((index, axis, True))
            if before or after:
                run = _through(axis, box, [*(before or ())[:1], *(after or ())[:1]])
                if run is not None:
                    found.append(run)
    return found


def _through(axis: int, middle: Box, neighbours: Sequence[Box]) -> Box | None:
    low, high = list(middle.low), list(middle.high)
    for box in neighbours:
        for i in range(3):
            if i == axis:
                low[i], high[i] = min(low[i], box.low[i]), max(high[i], box.high[i])
            else:
                low[i], high[i] = max(low[i], box.low[i]), min(high[i], box.high[i])
    if any(high[i] - low[i] < TOUCH for i in range(3)):
        return None
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))

"""Boxes of wood that run on from part to part: a rail and the legs it stands between, an apron and the top on it."""

from collections import defaultdict
from collections.abc import Sequence

from planlint.geometry.shapes.body import Box
from planlint.geometry.shapes.box_index import overlapping_pairs
from planlint.text.rounding import ROUNDING


def solid_boxes(boxes: Sequence[Box]) -> list[Box]:
    """The largest boxes that are wood all through: for each box and axis the run from the far side of one neighbour
    to that of the other, and the boxes that no such run holds.

    Neighbours are boxes that touch flat; the section of a run is what all three share, so every point of it is wood.
    """
    beside: defaultdict[tuple[int, int, bool], list[int]] = defaultdict(list)
    for i, j in overlapping_pairs(boxes, -ROUNDING):
        a, b = boxes[i], boxes[j]
        for axis in range(3):
            if abs(a.high[axis] - b.low[axis]) < ROUNDING:
                beside[i, axis, True].append(j)
                beside[j, axis, False].append(i)
            elif abs(b.high[axis] - a.low[axis]) < ROUNDING:
                beside[i, axis, False].append(j)
                beside[j, axis, True].append(i)
    runs: dict[tuple[int, int], tuple[Box, list[int]]] = {}
    for index, box in enumerate(boxes):
        for axis in range(3):
            ends = [*beside.get((index, axis, False), ())[:1], *beside.get((index, axis, True), ())[:1]]
            through = _through(axis, box, [boxes[end] for end in ends]) if ends else None
            if through is not None:
                runs[index, axis] = through, ends
    found = []
    for (index, axis), (run, ends) in runs.items():
        others = ((end, runs.get((end, axis))) for end in ends)
        if not any(
            other and _holds(other[0], run) and (other[0] != run or end < index) for end, other in others
        ):
            found.append(run)
    for index, box in enumerate(boxes):
        if not any((own := runs.get((index, axis))) and _holds(own[0], box) for axis in range(3)):
            found.append(box)
    return found


def _holds(outer: Box, inner: Box) -> bool:
    (a, b, c), (d, e, f) = outer
    (p, q, r), (s, t, u) = inner
    return a <= p and b <= q and c <= r and d >= s and e >= t and f >= u


def _through(axis: int, middle: Box, neighbours: Sequence[Box]) -> Box | None:
    low, high = list(middle.low), list(middle.high)
    for box in neighbours:
        for i in range(3):
            if i == axis:
                low[i], high[i] = min(low[i], box.low[i]), max(high[i], box.high[i])
            else:
                low[i], high[i] = max(low[i], box.low[i]), min(high[i], box.high[i])
    if any(high[i] - low[i] < ROUNDING for i in range(3)):
        return None
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))

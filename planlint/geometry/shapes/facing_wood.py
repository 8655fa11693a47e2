"""Which body the side of another looks at, and how far off: what an end touches, or stops short of."""

from collections import defaultdict
from collections.abc import Sequence
from typing import NamedTuple

from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.box_index import BoxTree, box_round
from planlint.geometry.shapes.contact import side_polygons
from planlint.geometry.shapes.polygons import middle
from planlint.geometry.shapes.vectors import minus, plus
from planlint.model.directions import Side

BEHIND = 1 / 64
"""Inches behind a side from which one looks out of it, so as to meet wood that touches it. Basis: our own judgement."""


class Faced(NamedTuple):
    """A body by its number, the least way to it square to the side, and the share of the side that looks at it.

    The way is ``-BEHIND`` where the side lies inside the body.
    """

    number: int
    gap: float
    share: float


def faced(body: Body, side: Side, bodies: Sequence[Body], tree: BoxTree, reach: float) -> list[Faced]:
    """The bodies that a side looks at within ``reach`` inches, first come first met, the largest share first."""
    normal = body.planes[side].normal
    points = []
    for polygon in side_polygons(body, side):
        inner = middle(polygon)
        points += [inner, *(plus(point, minus(inner, point), 0.25) for point in polygon)]
    met: defaultdict[int, list[float]] = defaultdict(list)
    for point in points:
        start, end = plus(point, normal, -BEHIND), plus(point, normal, reach)
        least = None
        for index in tree.near(box_round(start, end, 0.0)):
            other = bodies[index]
            if other is body:
                continue
            runs = other.stretches(start, end)
            if runs:
                gap = runs[0][0] * (reach + BEHIND) - BEHIND
                if least is None or gap < least[0]:
                    least = gap, index
        if least is not None:
            met[least[1]].append(least[0])
    found = [Faced(index, min(gaps), len(gaps) / len(points)) for index, gaps in met.items()]
    return sorted(found, key=lambda each: (-each.share, each.gap, each.number))

"""The radius of an arch or a bow, written at its curve (letter and arrow by ISO 129-1, from memory)."""

from collections.abc import Callable, Iterator
from fractions import Fraction
from typing import NamedTuple

from planlint.drawings.primitives import Item, Line, Text, arrow
from planlint.drawings.viewpoints import SeenAt
from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.flat_shapes import beyond, flat_unit
from planlint.geometry.shapes.vectors import AXES, plus, scaled
from planlint.model.directions import Side
from planlint.model.plan import Part
from planlint.sheet.arc_shapes import ArcShape, arc_shapes
from planlint.text.measures import to_sixteenth

_REACH = (7.0, 10.0, 14.0, -7.0, -10.0)
"""Millimetres from the curve to its words: to the middle of its circle, then away from it."""


class ArcMark(NamedTuple):
    """A curve as it is seen on a side: a point of it in the part's own frame, the way to the middle of
    its circle, and the words."""

    at: Vector
    inward: Vector
    words: str


def arc_marks(part: Part, side: Side, unit: str) -> Iterator[ArcMark]:
    for arc in arc_shapes(part):
        if arc.level is side.axis:
            inward = scaled(AXES[arc.side.axis], float(-arc.side.sign if arc.swells else arc.side.sign))
            yield ArcMark(_highest(part, arc), inward, f"R {to_sixteenth(arc.radius, unit)}")


def _highest(part: Part, arc: ArcShape) -> Vector:
    """The middle of an arc, or the second of the points that it is told to run through."""
    if arc.points:
        x, y, z = arc.points[1]
        return float(x), float(y), float(z)
    deep = part.from_side(arc.side, Fraction(0) if arc.swells else arc.deep)
    return arc.place(float(arc.start + arc.stop) / 2, float(deep), float(part.size[arc.level]) / 2)


def written(mark: ArcMark, paper: Callable[[Vector], SeenAt]) -> Iterator[list[Item]]:
    """The ways to write a radius beside its arrow, the best first; ``paper`` tells where a point of the part lies."""
    tip = paper(mark.at)
    inner = paper(plus(mark.at, mark.inward))
    way = flat_unit(inner[0] - tip[0], inner[1] - tip[1])
    for reach in _REACH:
        tail = beyond(tip, way, reach)
        looks = (-way[0], -way[1]) if reach > 0 else way
        for anchor, aside in (("start", 1.0), ("end", -1.0)):
            yield [
                Line("dimension", (tail, tip)),
                arrow(tip, looks),
                Text(
                    (tail[0] + aside, tail[1] + (0.9 if abs(way[1]) > 0.5 else -0.9)), mark.words, 2.8, anchor
                ),
            ]

"""Curves as chords: how an arc becomes half-spaces that lie nowhere further than ``TRUE`` from it.

The error lies to one side, so that no wood is counted that is not there: what is left of a part is drawn inside its
curve, what is taken out of it outside.
"""

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import pairwise
from math import asin, atan2, cos, hypot, pi, sin
from typing import NamedTuple, TypeVar

from planlint.model.directions import Axis, Side
from planlint.model.plan import HalfSpace
from planlint.model.wood_cuts import Triple
from planlint.text.rounding import ROUNDING, TOUCH, whole_up

TRUE = 1 / 128
"""Inches by which a drawn outline may differ from the true curve: half of what a rule can be read to."""
_LEAST = 8
"""Chords of a full turn, at the least. Basis: our own judgement."""

Slants = Iterable[tuple[Triple, Triple]]
"""Planes of cut ends, each as a point and a normal."""


class Arc(NamedTuple):
    """An arc in the plane of two axes of a part, from angle to angle (radians, from the first axis to the second)."""

    axes: tuple[Axis, Axis]
    middle: tuple[float, float]
    radius: float
    first: float
    last: float

    def _steps(self, most: float, slants: Slants) -> list[float]:
        """The angles of points of the arc that lie no more than ``most`` apart: its ends, and where it is cut off."""
        count = max(1, whole_up((self.last - self.first) / min(most, 2 * pi / _LEAST)))
        turns = [self.first + n * (self.last - self.first) / count for n in range(count + 1)]
        met = [turn for turn in self._met_by(slants) if turn < self.last]
        return sorted([*turns, *(turn for turn in met if min(abs(turn - each) for each in turns) > ROUNDING)])

    def _met_by(self, slants: Slants) -> Iterator[float]:
        """The angles at which planes that stand square to its own run into its circle."""
        (one, other), third = self.axes, Axis(3 - sum(self.axes))
        for point, normal in slants:
            x, y = float(normal[one]), float(normal[other])
            off = x * (float(point[one]) - self.middle[0]) + y * (float(point[other]) - self.middle[1])
            reach = hypot(x, y) * self.radius
            if abs(float(normal[third])) < TOUCH and abs(off) < reach:
                turn, aside = atan2(y, x) - self.first, pi / 2 - asin(off / reach)
                yield from [self.first + each % (2 * pi) for each in (turn - aside, turn + aside)]

    def _plane(self, angle: float, reach: float) -> HalfSpace:
        normal = [0.0, 0.0, 0.0]
        normal[self.axes[0]], normal[self.axes[1]] = cos(angle), sin(angle)
        offset = reach + cos(angle) * self.middle[0] + sin(angle) * self.middle[1]
        return HalfSpace((normal[0], normal[1], normal[2]), offset)

    def rise(self, up: int) -> float:
        """How far the arc reaches along its second axis, the one way (1) or the other (-1)."""
        turns = {self.first, self.last} | ({up * pi / 2} if self.first <= up * pi / 2 <= self.last else set())
        return max(up * (self.middle[1] + self.radius * sin(turn)) for turn in turns)

    def inside(self, slants: Slants = ()) -> tuple[HalfSpace, ...]:
        """Chords between points of the arc: what lies within them lies within the arc. Where one of the ``slants`` of
        its part cuts it off they are exact."""
        # An arc of the angle a rises r (1 - cos(a / 2)) over its chord.
        turns = self._steps(2 * _angle(1 - min(1.0, TRUE / self.radius)), slants)
        halves = [(turn, (after - turn) / 2) for turn, after in pairwise(turns)]
        return tuple([self._plane(turn + half, self.radius * cos(half)) for turn, half in halves])

    def outside(self, slants: Slants = ()) -> tuple[HalfSpace, ...]:
        """Tangents of the arc: what lies within it lies within them. Its ends are exact, and where one of the
        ``slants`` of its part cuts it off; the box round it has those that lie along an axis."""
        # Two tangents, the angle a apart, meet r / cos(a / 2) from the middle.
        turns = self._steps(2 * _angle(1 / (1 + TRUE / self.radius)), slants)
        return tuple([self._plane(turn, self.radius) for turn in turns if abs(sin(2 * turn)) > TOUCH])


def _angle(cosine: float) -> float:
    return pi / 2 - asin(max(-1.0, min(1.0, cosine)))


def round_outline(
    axes: tuple[Axis, Axis], low: tuple[Fraction, Fraction], high: tuple[Fraction, Fraction]
) -> tuple[HalfSpace, ...]:
    """What bounds a hole, or a slot with round ends, that just fills a box, beside the sides of the box."""
    (a, b), (c, d) = [(float(one), float(other)) for one, other in (low, high)]
    radius = min(c - a, d - b) / 2
    found: list[HalfSpace] = []
    left, right, low_y, high_y = a + radius, c - radius, b + radius, d - radius
    corners = ((right, high_y), (left, high_y), (left, low_y), (right, low_y))
    for quarter, middle in enumerate(corners):
        found += Arc(axes, middle, radius, quarter * pi / 2, (quarter + 1) * pi / 2).outside()
    return tuple(found)


Inches = TypeVar("Inches", float, Fraction)


def radius_of(rise: Inches, half: Inches) -> Inches:
    """The radius of an arc that rises so far over half its span: h (2 r - h) = s s."""
    return (half * half + rise * rise) / (2 * rise)


def radius_through(points: list[tuple[float, float]]) -> float:
    """The radius of the circle through three points: the sides of their triangle multiplied, by four times its area."""
    (a, b), (c, d), (e, f) = points
    area = abs((c - a) * (f - b) - (e - a) * (d - b)) / 2
    return hypot(c - a, d - b) * hypot(e - c, f - d) * hypot(a - e, b - f) / (4 * area)


def rise_of(radius: float, half: float) -> float:
    """How far an arc of a radius rises over half its span."""
    return (
        half * half / (radius + hypot(radius, half))
        if radius > 1e9
        else radius - (radius**2 - half**2) ** 0.5
    )


def arc_through(
    axes: tuple[Axis, Axis], points: list[tuple[float, float]], radius: float | None, up: int
) -> Arc | None:
    """The arc through three points, or of a radius through two, that swells ``up`` or down the second axis; ``None``
    where there is none, or only one that is more than half a circle."""
    (a, b), (c, d) = points[0], points[-1]
    if radius is None:
        # What lies as far from the middle point as from both ends.
        (p, q), ends = points[1], ((a, b), (c, d))
        (u, v), (s, t) = ((2 * (x - p), 2 * (y - q)) for x, y in ends)
        one, other = (x * x + y * y - p * p - q * q for x, y in ends)
        turn = u * t - v * s
        if abs(turn) < TOUCH:
            return None
        middle = (one * t - other * v) / turn, (u * other - s * one) / turn
        radius = hypot(a - middle[0], b - middle[1])
        if (q - middle[1]) * up <= 0:
            return None
    else:
        chord = hypot(c - a, d - b)
        if radius < chord / 2 - TOUCH:
            return None
        high = max(0.0, radius**2 - chord**2 / 4) ** 0.5 / chord
        middle = (a + c) / 2 + up * high * (d - b), (b + d) / 2 - up * high * (c - a)
    if min((y - middle[1]) * up for y in (b, d)) < -TOUCH:
        return None
    turns = sorted(atan2(up * abs(y - middle[1]), x - middle[0]) for x, y in (points[0], points[-1]))
    return Arc(axes, middle, radius, turns[0], turns[1])


def arc_over(side: Side, run: Axis, start: float, stop: float, edge: float, rise: float) -> Arc:
    """The arc over a stretch of a side (whose plane lies at ``edge``) that swells ``rise`` toward where it looks."""
    half = (stop - start) / 2
    radius = radius_of(rise, half)
    turn = asin(min(1.0, half / radius))
    up = pi / 2 if side.sign > 0 else 3 * pi / 2
    middle = edge - side.sign * radius
    return Arc((run, side.axis), ((start + stop) / 2, middle), radius, up - turn, up + turn)

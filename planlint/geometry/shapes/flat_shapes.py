"""Points of a plane: which way they turn, and the convex outline round them."""

from collections.abc import Iterable, Sequence
from math import hypot

from planlint.text.rounding import TOUCH

Flat = tuple[float, float]


def turn(a: Flat, b: Flat, c: Flat) -> float:
    """Twice the area of a triangle: more than 0 where its corners go round against the clock."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def flat_unit(x: float, y: float) -> Flat:
    """A way on paper as long as one; one of no length stays as it is."""
    far = hypot(x, y) or 1.0
    return x / far, y / far


def beyond(at: Flat, way: Flat, far: float) -> Flat:
    """The place so far along a way from another."""
    return at[0] + far * way[0], at[1] + far * way[1]


def outline(points: Iterable[Flat]) -> list[Flat]:
    """The corners of what goes round all points, against the clock (Andrew's monotone chain, 1979)."""

    def chain(order: Sequence[Flat]) -> list[Flat]:
        found: list[Flat] = []
        for point in order:
            while len(found) > 1 and turn(found[-2], found[-1], point) <= TOUCH:
                found.pop()
            found.append(point)
        return found[:-1]

    rising = sorted(set(points))
    return chain(rising) + chain(rising[::-1])

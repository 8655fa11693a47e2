"""A window of a view: what of its paper is looked at, and what of a line or a shape lies in it."""

from collections.abc import Iterable
from math import inf

from planlint.drawings.viewpoints import SeenAt
from planlint.geometry.shapes.body import Plane
from planlint.geometry.shapes.cells import OnLine
from planlint.geometry.shapes.polygons import Polygon, clipped_by_all
from planlint.text.rounding import STILL, TOUCH

Window = tuple[float, float, float, float]
"""Left, low, right, high in a view, in inches."""
EVERYWHERE: Window = (-inf, -inf, inf, inf)
HAIR = 1e-4
"""Inches, or square inches, too little to be drawn, and as far as a place lies before a face so as not to lie in it.
Basis: our own judgement, a fortieth of the finest line."""
EYE_WIDE = 0.7
AN_EYE_S: Window = (-EYE_WIDE, -EYE_WIDE, EYE_WIDE, EYE_WIDE)
"""What an eye takes in round the place that it looks at: some 35 degrees to each side. Basis: our own judgement."""


def span_inside(a: SeenAt, b: SeenAt, window: Window) -> OnLine | None:
    """From where to where a segment, told from 0 to 1, runs in a window (Liang and Barsky, 1984)."""
    low, high = 0.0, 1.0
    for axis in (0, 1):
        run, start, end = b[axis] - a[axis], window[axis] - a[axis], window[axis + 2] - a[axis]
        if abs(run) < STILL:
            if not start <= 0 <= end:
                return None
            continue
        near, far = sorted((start / run, end / run))
        low, high = max(low, near), min(high, far)
    return (low, high) if high - low > TOUCH else None


def inside(a: SeenAt, b: SeenAt, window: Window) -> tuple[SeenAt, SeenAt] | None:
    """The part of a segment in a window."""
    span = span_inside(a, b, window)
    if span is None:
        return None
    x, y = ((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for t in span)
    return x, y


def in_window(shape: Iterable[SeenAt], window: Window) -> list[SeenAt]:
    """What of a convex shape of a view lies in a window."""
    left, low, right, high = window
    planes = (
        Plane((-1.0, 0.0, 0.0), -left),
        Plane((1.0, 0.0, 0.0), right),
        Plane((0.0, -1.0, 0.0), -low),
        Plane((0.0, 1.0, 0.0), high),
    )
    flat: Polygon = tuple((x, y, 0.0) for x, y in shape)
    return [(x, y) for x, y, _ in clipped_by_all(flat, planes)]

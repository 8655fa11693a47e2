"""A window of a view: what of its paper is looked at, and what of a line or a shape lies in it."""

from __future__ import annotations

from collections.abc import Iterable
from math import inf

from planlint.drawings.viewpoints import Flat
from planlint.geometry.shapes.body import Plane
from planlint.geometry.shapes.polygons import Polygon, clipped_by_all

Window = tuple[float, float, float, float]
"""Left, low, right, high in a view, in inches."""
EVERYWHERE: Window = (-inf, -inf, inf, inf)
EYE_WIDE = 0.7
AN_EYE_S: Window = (-EYE_WIDE, -EYE_WIDE, EYE_WIDE, EYE_WIDE)
"""What an eye takes in round the place that it looks at: some 35 degrees to each side. Basis: our own judgement."""


def inside(a: Flat, b: Flat, window: Window) -> tuple[Flat, Flat] | None:
    """The part of a segment in a window (Liang and Barsky, 1984)."""
    low, high = 0.0, 1.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    for p, q in (
        (-dx, a[0] - window[0]),
        (dx, window[2] - a[0]),
        (-dy, a[1] - window[1]),
        (dy, window[3] - a[1]),
    ):
        if abs(p) < 1e-12:
            if q < 0:
                return None
        elif p < 0:
            low = max(low, q / p)
        else:
            high = min(high, q / p)
    if high - low < 1e-9:
        return None
    return (a[0] + low * dx, a[1] + low * dy), (a[0] + high * dx, a[1] + high * dy)


def in_window(shape: Iterable[Flat], window: Window) -> list[Flat]:
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

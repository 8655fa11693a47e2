"""Exact distances between segments and boxes. Lengths in inches."""

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Box, clip_to_box
from planlint.geometry.shapes.vectors import dot, minus, norm, plus
from planlint.text.rounding import STILL, TOUCH

_POINT = TOUCH**2
"""Square inches of a segment below which it is a point."""


def segment_to_segment(a: Vector, b: Vector, c: Vector, d: Vector) -> float:
    """Least distance between segments ``ab`` and ``cd`` (Ericson, Real-Time Collision Detection, 2005, 5.1.9)."""
    u, v, w = minus(b, a), minus(d, c), minus(a, c)
    uu, vv, uv, uw, vw = dot(u, u), dot(v, v), dot(u, v), dot(u, w), dot(v, w)
    if uu < _POINT and vv < _POINT:
        return norm(w)
    if uu < _POINT:
        s, t = 0.0, min(1.0, max(0.0, vw / vv))
    elif vv < _POINT:
        s, t = min(1.0, max(0.0, -uw / uu)), 0.0
    else:
        den = uu * vv - uv * uv
        s = min(1.0, max(0.0, (uv * vw - uw * vv) / den)) if den > STILL * uu * vv else 0.0
        t = (uv * s + vw) / vv
        if t < 0:
            s, t = min(1.0, max(0.0, -uw / uu)), 0.0
        elif t > 1:
            s, t = min(1.0, max(0.0, (uv - uw) / uu)), 1.0
    return norm(minus(plus(a, u, s), plus(c, v, t)))


def segment_to_box(a: Vector, b: Vector, box: Box) -> float:
    """Distance from segment ``ab`` to a box; negative by the length that runs inside where it enters.

    The squared distance along the segment is convex, and between the places where the segment passes a side's
    plane a parabola: its slope is straight there, and where that passes zero is the least.
    """
    d = minus(b, a)
    inside = clip_to_box(a, d, box)
    if inside is not None:
        return (inside[0] - inside[1]) * norm(d)
    breaks = [0.0, 1.0]
    for i in range(3):
        if abs(d[i]) > STILL:
            breaks += [t for t in ((box.low[i] - a[i]) / d[i], (box.high[i] - a[i]) / d[i]) if 0 < t < 1]
    breaks.sort()
    low, slope_low = 0.0, _slope(a, d, box)
    if slope_low >= 0:
        return norm(_out(a, box))
    for high in breaks:
        slope = _slope(plus(a, d, high), d, box)
        if slope >= 0:
            low += (high - low) * slope_low / (slope_low - slope)
            break
        low, slope_low = high, slope
    return norm(_out(plus(a, d, low), box))


def _out(point: Vector, box: Box) -> Vector:
    """From the nearest point of the box to ``point``."""
    (x0, y0, z0), (x1, y1, z1) = box
    x, y, z = point
    return (
        x - x1 if x > x1 else x - x0 if x < x0 else 0.0,
        y - y1 if y > y1 else y - y0 if y < y0 else 0.0,
        z - z1 if z > z1 else z - z0 if z < z0 else 0.0,
    )


def _slope(point: Vector, d: Vector, box: Box) -> float:
    return dot(_out(point, box), d)

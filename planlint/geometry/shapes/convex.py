"""Least distance between two convex bodies, each the hull of a few rims (ellipses, circles, points). Lengths in inches.

Apart: Gilbert, Johnson and Keerthi's way (1988), on the difference of the two bodies, exact to ``NEAR``. Run into one
another: the least move that takes them apart, over the directions in which such bodies come apart.
"""

from collections.abc import Callable, Sequence
from math import copysign, cos, inf, pi, sin, sqrt
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.vectors import cross, dot, minus, norm, plus, scaled, unit
from planlint.text.rounding import ROUNDING, TOUCH

_NEAR = 1e-6
"""How exact a distance is, in inches."""
_FLAT = 1e-15
"""Cubic inches of a tetrahedron below which it is flat. Basis: geometry of floats."""
_MOST_STEPS = 60
"""Steps after which the distance found so far is taken; round bodies need ten to twenty. Basis: our own judgement."""


class Rim(NamedTuple):
    """An ellipse by its middle and its two half axes; a point where both are nothing.

    Of an ellipse that a plane cuts off, what is left reaches ``most`` of the half axis ``u``, on its side.
    """

    centre: Vector
    u: Vector
    v: Vector
    most: float = 1.0


_NOTHING: Vector = (0.0, 0.0, 0.0)
Hull = Sequence[Rim]
"""A convex body: all that lies between its rims."""


def point(at: Vector) -> Rim:
    return Rim(at, _NOTHING, _NOTHING)


def disc(centre: Vector, axis: Vector, radius: float) -> Rim:
    """A circle square to ``axis``, a unit vector."""
    helper: Vector = (1.0, 0.0, 0.0) if abs(axis[0]) < 0.7 else (0.0, 1.0, 0.0)
    u = scaled(unit(cross(axis, helper)), radius)
    return Rim(centre, u, cross(axis, u))


def oval(centre: Vector, axis: Vector, radius: float, normal: Vector) -> Rim:
    """The ellipse in which a round body about ``axis`` ends in a plane; ``centre`` is where the axis meets it."""
    aside = cross(axis, normal)
    if norm(aside) < TOUCH:
        return disc(centre, axis, radius)
    v = scaled(unit(aside), radius)
    return Rim(centre, scaled(unit(cross(normal, v)), radius / abs(dot(axis, normal))), v)


def reaches(axis: Vector, radius: float, normal: Vector, way: Vector) -> float:
    """How far such an ellipse reaches along ``way`` from its middle."""
    return radius * norm(minus(way, scaled(normal, dot(way, axis) / dot(normal, axis))))


def furthest(hull: Hull, way: Vector) -> Vector:
    """The point of a body that lies furthest along a direction."""
    x, y, z = way
    best, found = -inf, _NOTHING
    for (cx, cy, cz), (ux, uy, uz), (vx, vy, vz), most in hull:
        a, b = ux * x + uy * y + uz * z, vx * x + vy * y + vz * z
        wide = sqrt(a * a + b * b)
        cut = a > most * wide
        if cut:
            wide = most * a + sqrt(1 - most * most) * abs(b)
        far = cx * x + cy * y + cz * z + wide
        if far > best:
            best = far
            if cut:
                a, b = most, copysign(sqrt(1 - most * most), b)
            elif wide > 0:
                a, b = a / wide, b / wide
            found = (cx + a * ux + b * vx, cy + a * uy + b * vy, cz + a * uz + b * vz)
    return found


def _reach(hull: Hull, way: Vector) -> float:
    x, y, z = way
    best = -inf
    for (cx, cy, cz), (ux, uy, uz), (vx, vy, vz), most in hull:
        a, b = ux * x + uy * y + uz * z, vx * x + vy * y + vz * z
        wide = sqrt(a * a + b * b)
        if a > most * wide:
            wide = most * a + sqrt(1 - most * most) * abs(b)
        best = max(best, cx * x + cy * y + cz * z + wide)
    return best


def gap_between(first: Hull, second: Hull, enough: float = inf) -> float:
    """Least distance between two bodies; 0 where they meet. Where it is ``enough`` or more, some such value."""
    v = minus(first[0].centre, second[0].centre)
    simplex: list[Vector] = []
    for _ in range(_MOST_STEPS):
        size = norm(v)
        if size < _NEAR:
            return 0.0
        w = minus(furthest(first, (-v[0], -v[1], -v[2])), furthest(second, v))
        # All of the difference lies beyond the plane through w square to v.
        least = dot(v, w) / size
        if least >= enough or size - least < _NEAR or w in simplex:
            return size
        simplex.append(w)
        v, simplex = _nearest(simplex)
        if len(simplex) == 4:
            return 0.0
    return norm(v)


def _nearest(simplex: list[Vector]) -> tuple[Vector, list[Vector]]:
    """The point of a simplex nearest to the origin, and the corners that span the face it lies on."""
    if len(simplex) == 1:
        return simplex[0], simplex
    if len(simplex) == 2:
        return _on_segment(simplex[0], simplex[1])
    if len(simplex) == 3:
        return _on_triangle(simplex[0], simplex[1], simplex[2])
    a, b, c, d = simplex
    best: tuple[Vector, list[Vector]] | None = None
    for p, q, r, other in ((a, b, c, d), (a, b, d, c), (a, c, d, b), (b, c, d, a)):
        n = cross(minus(q, p), minus(r, p))
        inner, origin = dot(n, minus(other, p)), -dot(n, p)
        # A flat tetrahedron has no inside: all its faces are tried.
        if inner * origin > 0 and abs(inner) > _FLAT:
            continue
        found = _on_triangle(p, q, r)
        if best is None or dot(found[0], found[0]) < dot(best[0], best[0]):
            best = found
    return best or (_NOTHING, simplex)


def _on_segment(a: Vector, b: Vector) -> tuple[Vector, list[Vector]]:
    ab = minus(b, a)
    t, whole = -dot(a, ab), dot(ab, ab)
    if t <= 0:
        return a, [a]
    if t >= whole:
        return b, [b]
    return plus(a, ab, t / whole), [a, b]


def _on_triangle(a: Vector, b: Vector, c: Vector) -> tuple[Vector, list[Vector]]:
    """Ericson, Real-Time Collision Detection, 2005, 5.1.5, for the origin."""
    ab, ac = minus(b, a), minus(c, a)
    d1, d2 = -dot(ab, a), -dot(ac, a)
    if d1 <= 0 and d2 <= 0:
        return a, [a]
    d3, d4 = -dot(ab, b), -dot(ac, b)
    if d3 >= 0 and d4 <= d3:
        return b, [b]
    vc = d1 * d4 - d3 * d2
    if vc <= 0 and d1 >= 0 and d3 <= 0:
        return _on_segment(a, b)
    d5, d6 = -dot(ab, c), -dot(ac, c)
    if d6 >= 0 and d5 <= d6:
        return c, [c]
    vb = d5 * d2 - d1 * d6
    if vb <= 0 and d2 >= 0 and d6 <= 0:
        return _on_segment(a, c)
    va = d3 * d6 - d5 * d4
    if va <= 0 and d4 >= d3 and d5 >= d6:
        return _on_segment(b, c)
    whole = va + vb + vc
    return plus(plus(a, ab, vb / whole), ac, vc / whole), [a, b, c]


FAR_OUT = 4.0
"""What leaves a body through a face is looked for so far beyond it, in inches. Basis: our own judgement."""


def spare_outside(face: Sequence[Vector], normal: Vector) -> Hull:
    """What lies straight outside a face."""
    return [point(each) for corner in face for each in (corner, plus(corner, normal, FAR_OUT))]


# ---------------------------------------------------------------- bodies that run into one another

TURNS = 16
"""Directions tried round an axis before the best is made better. Basis: our own judgement."""
_STARTS = 4
"""Of these the best so many are made better: each may lead to another place. Basis: our own judgement."""
_FINEST = 1e-5
"""Smallest turn of a direction that is tried, in radians. Basis: our own judgement."""
LEAST_GAIN = 1e-6
"""Inches by which a turn must shorten the way out to count. Basis: our own judgement."""


def way_out(first: Hull, second: Hull, ways: Sequence[Vector]) -> Vector:
    """The least move of the first body that takes it out of the second, which it runs into.

    ``ways`` are unit vectors: the axes and the flat ends of both. Tried are they themselves, what is square to two of
    them, and a ring of directions round each; the best of them are then turned until no small turn betters them. So it
    may be found a little more than the least, by less than 1/64 in.
    """

    def move(way: Vector) -> float:
        """How far the first must go along ``way`` to clear the second."""
        return _reach(second, way) + _reach(first, scaled(way, -1))

    tried = [*ways]
    for at, a in enumerate(ways):
        tried += [unit(square) for b in ways[:at] if norm(square := cross(a, b)) > ROUNDING]
        round_it = disc(_NOTHING, a, 1.0)
        turns = [2 * pi * i / TURNS for i in range(TURNS)]
        tried += [plus(scaled(round_it.u, cos(t)), round_it.v, sin(t)) for t in turns]
    tried += [scaled(way, -1) for way in tried]
    found = [_bettered(way, move) for way in sorted(tried, key=move)[:_STARTS]]
    best = min(found, key=move)
    return scaled(best, move(best))


def _bettered(best: Vector, move: Callable[[Vector], float]) -> Vector:
    """A direction turned little by little as long as the way out gets shorter."""
    least, step = move(best), pi / TURNS
    while step > _FINEST:
        beside = disc(_NOTHING, best, step)
        turned = [unit(plus(plus(best, beside.u, x), beside.v, y)) for x, y in _BESIDE]
        nearer = min(turned, key=move)
        if (size := move(nearer)) < least - LEAST_GAIN:
            best, least = nearer, size
        else:
            step /= 2
    return best


_BESIDE = [(cos(pi * i / 6), sin(pi * i / 6)) for i in range(12)]

"""Bodies against solids that manifold3d builds from the same part: volume, points and lines in wood."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
import trimesh
from hypothesis import assume, given
from hypothesis import strategies as st

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Body, body_planes, body_polyhedra
from planlint.geometry.shapes.polygons import volume
from planlint.model.directions import SIDES, Axis, Side
from planlint.model.plan import Part
from tests.builders import part
from tests.solids import carved, crossings, mesh_of, parts, points, solid, tried, vector


@given(parts(), points)
@tried(300)
def test_volume(a: Part, origin: Vector) -> None:
    """Sum of the convex pieces against manifold3d's volume: one part in a million, or 1e-6 cubic inch."""
    pieces = body_polyhedra(Body(a, origin))
    assert sum(map(volume, pieces)) == pytest.approx(solid(a, origin).volume(), rel=1e-6, abs=1e-6)


@given(parts(), points)
@tried(150)
def test_pieces_do_not_overlap_and_have_closed_faces(a: Part, origin: Vector) -> None:
    """Each piece's faces bound it: its volume is that of the hull of its corners (1e-6), and the hulls share none."""
    hulls = []
    for faces in body_polyhedra(Body(a, origin)):
        corners = np.array([point for face in faces for point in face])
        hull = trimesh.PointCloud(corners).convex_hull
        assert volume(faces) == pytest.approx(hull.volume, rel=1e-6, abs=1e-6)
        hulls.append(hull)
    whole = solid(a, origin)
    assert sum(hull.volume for hull in hulls) == pytest.approx(whole.volume(), rel=1e-6, abs=1e-6)


@given(parts(longest=6), points, st.integers(0, 2**32 - 1))
@tried(60)
def test_holds(a: Part, origin: Vector, seed: int) -> None:
    """Points in and round the part against trimesh's ``contains``; none nearer to the surface than 1e-4 in."""
    body, mesh = Body(a, origin), mesh_of(solid(a, origin))
    low, high = np.array(body.bounds.low) - 0.25, np.array(body.bounds.high) + 0.25
    tried = np.random.default_rng(seed).uniform(low, high, (60, 3))
    away = trimesh.proximity.closest_point(mesh, tried)[1] > 1e-4
    tried = tried[away]
    inside = mesh.contains(tried)
    for point, within in zip(tried.tolist(), inside, strict=True):
        assert body.holds((point[0], point[1], point[2])) == within


@given(parts(), points, st.integers(0, 2**32 - 1))
@tried(150)
def test_stretches(a: Part, origin: Vector, seed: int) -> None:
    """Segments in wood against manifold3d's ray casts: ends of intervals to 1e-7 of the segment's length.

    Between two neighbouring crossings the middle decides, asked of trimesh's ``contains``. Slivers shorter than
    1e-6 of the segment are left out on both sides. Ends are drawn freely, so that no segment runs along a side.
    """
    body, wood = Body(a, origin), solid(a, origin)
    mesh = mesh_of(wood)
    low, high = np.array(body.bounds.low) - 0.5, np.array(body.bounds.high) + 0.5
    for start, end in np.random.default_rng(seed).uniform(low, high, (8, 2, 3)):
        first, last = vector(start), vector(end)
        cuts = [0.0, *crossings(wood, first, last), 1.0]
        spans = [(here, there) for here, there in pairwise(cuts) if there - here > 1e-6]
        inside = mesh.contains(np.array([start + (end - start) * sum(span) / 2 for span in spans]))
        expected: list[tuple[float, float]] = []
        for span, within in zip(spans, inside, strict=True):
            if within and expected and span[0] - expected[-1][1] < 1e-6:
                expected[-1] = (expected[-1][0], span[1])
            elif within:
                expected.append(span)
        found = [span for span in body.stretches(first, last) if span[1] - span[0] > 1e-6]
        assert found == [pytest.approx(span, abs=1e-7) for span in expected]


@given(parts(removals=False), points)
@tried(150)
def test_planes_are_the_sides_of_the_solid(a: Part, origin: Vector) -> None:
    """Six planes against the corners of manifold3d's solid: each holds them all, and some lie in it (1e-6 in).

    A side that cut ends have taken whole to an edge still has that edge in its plane.
    """
    body = Body(a, origin)
    corners = [tuple(v) for v in mesh_of(solid(a, origin)).vertices.tolist()]
    for side in SIDES:
        depths = [body.planes[side].depth(corner) for corner in corners]
        assert min(depths) == pytest.approx(0, abs=1e-6)


@given(parts(), points)
@tried(100)
def test_bounds_and_frames(a: Part, origin: Vector) -> None:
    """Bounds are those of the uncut solid by manifold3d (1e-9), of a turned part of what is left (1e-6); ``to_own``
    undoes ``to_piece`` (1e-9)."""
    body = Body(a, origin)
    left = solid(a, origin)
    assume(body.rotation is None or left.volume() > 1e-6)
    whole = (
        solid(replace(a, cuts=(), removals=()), origin) if body.rotation is None else left
    ).bounding_box()
    close = 1e-9 if body.rotation is None else 1e-6
    assert [*body.bounds.low, *body.bounds.high] == pytest.approx(list(whole), abs=close)
    assert body.to_own(body.to_piece((1.0, 2.0, 3.0))) == pytest.approx((1, 2, 3), abs=1e-9)
    for cell in body.own_cells:
        inside = tuple((low + high) / 2 for low, high in zip(*cell.box, strict=True))
        point = body.to_piece(vector(inside))
        planes = body_planes(body, cell)
        assert all(plane.depth(point) > 0 for plane in planes[:6])


# ---------------------------------------------------------------- by hand


def test_a_groove_parts_a_line() -> None:
    """A 3/4 x 3 x 10 board with a 1/4 groove 3/8 deep in its top, 1 in from the front: arithmetic, 1e-12."""
    board = carved(
        part("a", "10 x 3 x 3/4", "crosswise up"), ("groove", ("0", "1", "3/8"), ("10", "1-1/4", "3/4"))
    )
    body = Body(board, (0.0, 0.0, 0.0))
    assert body.stretches((5, -1, 0.5), (5, 4, 0.5)) == [
        pytest.approx((0.2, 0.4), abs=1e-12),
        pytest.approx((0.45, 0.8), abs=1e-12),
    ]
    assert body.stretches((5, -1, 0.2), (5, 4, 0.2)) == [pytest.approx((0.2, 0.8), abs=1e-12)]
    assert not body.holds((5, 1.1, 0.5))
    assert body.holds((5, 1.1, 0.3))


def test_a_line_along_a_face_only_touches() -> None:
    """A segment that runs in the plane of a side is not in wood; one a hair below is."""
    body = Body(part("a", "10 x 3 x 3/4", "crosswise up"), (0.0, 0.0, 0.0))
    assert body.stretches((-1, 1, 0.75), (11, 1, 0.75)) == []
    assert body.stretches((-1, 1, 0.75 - 1e-9), (11, 1, 0.75 - 1e-9)) == [pytest.approx((1 / 12, 11 / 12))]


def test_mitre_takes_half_a_square() -> None:
    """Both ends of a 2-1/2 wide, 20 long rail cut 45: volume (20 - 2-1/2) x 2-1/2 x 3/4 by arithmetic."""
    rail = part("a", "20 x 2-1/2 x 3/4", "crosswise front", "left 45 top", "right 45 top")
    assert sum(map(volume, body_polyhedra(Body(rail, (3.0, 4.0, 5.0))))) == pytest.approx(17.5 * 2.5 * 0.75)


def test_bevel_leans_through_the_thickness() -> None:
    """A board 1 thick, end cut 30 long at the front: at the back it is tan 30 shorter (arithmetic)."""
    board = part("a", "10 x 4 x 1", "crosswise front", "right 30 front")
    body = Body(board, (0.0, 0.0, 0.0))
    at_back = body.stretches((0, 1 - 1e-9, 2), (20, 1 - 1e-9, 2))
    assert at_back == [pytest.approx((0, (10 - 3**-0.5) / 20), abs=1e-8)]


def test_turn_is_right_handed_about_the_middle() -> None:
    """A 4 x 2 x 1 block turned 90 about vertical: its right end looks back, its middle stays."""
    block = part("a", "4 x 2 x 1", "crosswise up", turned=(Fraction(90), Axis.Z))
    body = Body(block, (0.0, 0.0, 0.0))
    assert body.planes[Side.RIGHT].normal == pytest.approx((0, 1, 0))
    assert [*body.bounds.low, *body.bounds.high] == pytest.approx([1, -1, 0, 3, 3, 1])

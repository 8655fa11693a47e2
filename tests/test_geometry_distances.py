"""Distances between segments, boxes and tubes, and the index that finds neighbours, against brute force."""

from __future__ import annotations

from itertools import combinations, combinations_with_replacement, product
from math import cos, dist, inf, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import Manifold
from scipy.optimize import linprog, minimize

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Body, Box, Plane
from planlint.geometry.shapes.box_index import BoxTree, box_round, boxes_meet, meets_box, overlapping_pairs
from planlint.geometry.shapes.carving import cut_off
from planlint.geometry.shapes.convex import Rim, disc, furthest, gap_between, oval, point
from planlint.geometry.shapes.facing_wood import BEHIND, faced
from planlint.geometry.shapes.segments import segment_to_box, segment_to_segment
from planlint.geometry.shapes.vectors import dot, minus, plus, scaled
from planlint.model.directions import Side
from tests.builders import part
from tests.solids import Array, tried, vector

# Whole and free coordinates: whole ones make segments parallel, crossing, touching and of no length.
coordinates = st.one_of(
    st.integers(-4, 4).map(float), st.floats(-4, 4, allow_subnormal=False).map(lambda x: round(x, 6))
)
points = st.tuples(coordinates, coordinates, coordinates)


@st.composite
def boxes(draw: st.DrawFn) -> Box:
    low, size = (
        draw(points),
        draw(st.tuples(*(st.floats(0.1, 3).map(lambda x: round(x, 4)) for _ in range(3)))),
    )
    return Box(low, plus(low, size))


@given(points, points, points, points)
@tried(150)
def test_segment_to_segment(a: Vector, b: Vector, c: Vector, d: Vector) -> None:
    """Against scipy's bounded least squares from all corners of the square of shares: 1e-6 in; and symmetric."""
    found = segment_to_segment(a, b, c, d)
    start, u, v = np.subtract(a, c), np.subtract(b, a), np.subtract(d, c)

    def square(x: Array) -> float:
        return float(np.sum((start + x[0] * u - x[1] * v) ** 2))

    def slope(x: Array) -> Array:
        away = start + x[0] * u - x[1] * v
        return np.array([2 * away @ u, -2 * away @ v])

    least = inf
    for first in ((0.5, 0.5), (0.0, 0.0), (0.0, 1.0), (1.0, 0.0), (1.0, 1.0)):
        done = minimize(
            square, first, jac=slope, bounds=[(0, 1), (0, 1)], options={"ftol": 1e-15, "gtol": 1e-12}
        )
        least = min(least, float(done.fun))
    assert found == pytest.approx(max(least, 0.0) ** 0.5, abs=2e-5)
    assert found <= least**0.5 + 1e-9
    assert segment_to_segment(d, c, b, a) == pytest.approx(found, abs=1e-9)


eighths = st.integers(-9, 9).map(lambda n: n / 8)
corners = st.lists(st.tuples(eighths, eighths, eighths), min_size=1, max_size=4, unique=True)


def to_triangle(at: Vector, a: Vector, b: Vector, c: Vector) -> float:
    """From a point to a triangle where it lies over its inside, else to what its sides are."""
    sides = min(segment_to_segment(at, at, *side) for side in ((a, b), (b, c), (c, a)))
    u, v, w = np.subtract(b, a), np.subtract(c, a), np.subtract(at, a)
    normal = np.cross(u, v)
    if np.linalg.norm(normal) < 1e-9:
        return sides
    *shares, off = np.linalg.solve(np.column_stack([u, v, normal]), w)
    inside = min(shares) >= 0 and sum(shares) <= 1
    return min(sides, abs(off) * float(np.linalg.norm(normal))) if inside else sides


@given(corners, corners, st.sampled_from([1 / 16, 1.0, 16.0]))
@tried(80)
def test_how_far_two_bodies_of_some_corners_are_apart(
    one: list[Vector], other: list[Vector], large: float
) -> None:
    """Of points, sticks, triangles and tetrahedra, small and large: corner to side, and edge to edge; those that do not
    meet, which no line through both tells apart from those that do."""
    first, second = ([scaled(each, large) for each in hull] for hull in (one, other))
    found = gap_between([point(each) for each in first], [point(each) for each in second])
    edges = [list(combinations_with_replacement(hull, 2)) for hull in (first, second)]
    least = min(segment_to_segment(*a, *b) for a, b in product(*edges))
    for at, hull in ((first, second), (second, first)):
        for corner, side in product(at, combinations(hull, 3)):
            least = min(least, to_triangle(corner, *side))
    # Where one reaches into the other nothing is between them, however far their sides are.
    assert found == pytest.approx(least, abs=1e-6 * large) or (found == 0 and not _parted(first, second))


def _parted(first: list[Vector], second: list[Vector]) -> bool:
    """Whether a plane parts two sets of corners: by scipy's linear programming."""
    rows = [[*corner, 1.0] for corner in first] + [[*(-x for x in corner), -1.0] for corner in second]
    return bool(linprog([0, 0, 0, 0], A_ub=rows, b_ub=[-1e-3] * len(rows), bounds=[(None, None)] * 4).success)


@given(points, points, boxes())
@tried(300)
def test_segment_to_box(a: Vector, b: Vector, box: Box) -> None:
    """Against 2001 points along the segment: never more than the least of them, and less by no more than a step.

    Where the segment runs inside, minus the length inside: to two steps of the same sampling.
    """
    found = segment_to_box(a, b, box)
    along = np.array(a) + np.linspace(0, 1, 2001)[:, None] * (np.array(b) - np.array(a))
    out = np.maximum(np.maximum(np.array(box.low) - along, along - np.array(box.high)), 0)
    away = np.linalg.norm(out, axis=1)
    step = dist(a, b) / 2000
    if found >= 0:
        assert away.min() - step - 1e-9 <= found <= away.min() + 1e-9
    else:
        inside = np.all((along >= box.low) & (along <= box.high), axis=1).sum() * step
        assert found == pytest.approx(-inside, abs=2 * step + 1e-9)


@given(st.lists(boxes(), max_size=30), st.sampled_from([0.0, 1e-6, 0.09]))
@tried(150)
def test_overlapping_pairs(many: list[Box], slack: float) -> None:
    """Each pair that shares more than the slack on all three axes, once, against all pairs tried.

    No box is thinner than the slack.
    """
    found = list(overlapping_pairs(many, slack))
    assert len(found) == len(set(found))
    expected = {
        (i, j)
        for j, b in enumerate(many)
        for i, a in enumerate(many[:j])
        if all(a.low[k] + slack < b.high[k] and b.low[k] + slack < a.high[k] for k in range(3))
    }
    assert set(found) == expected


@given(st.lists(boxes(), max_size=40), boxes())
@tried(150)
def test_near(many: list[Box], around: Box) -> None:
    """All boxes that touch or meet a box, each once, against all of them tried."""
    expected = [
        i
        for i, a in enumerate(many)
        if all(a.low[k] <= around.high[k] and around.low[k] <= a.high[k] for k in range(3))
    ]
    assert sorted(BoxTree(many).near(around)) == expected


@given(st.lists(boxes(), max_size=40), points, points)
@tried(200)
def test_along(many: list[Box], start: Vector, end: Vector) -> None:
    """No box that a segment runs through is left out, by 400 points along it; each comes but once."""
    found = list(BoxTree(many).along(start, end))
    assert len(found) == len(set(found))
    shares = np.linspace(0, 1, 401)[:, None]
    along = np.array(start) + shares * (np.array(end) - np.array(start))
    for i, box in enumerate(many):
        inside = np.all((along > np.array(box.low)) & (along < np.array(box.high)), axis=1)
        if inside.sum() > 1:
            assert i in found


LATTICE = [
    Box((x, y, z), (x + 2, y + 2, z + 2)) for x, y, z in product((0.0, 8.0, 16.0, 24.0, 32.0), repeat=3)
]


@pytest.mark.parametrize("start", [0, 7, 62, 93, 124])
def test_along_a_lattice(start: int) -> None:
    """From one box of many, apart from one another, to each other one: those that the line runs through are asked, and
    not all."""
    tree, asked = BoxTree(LATTICE), []
    for end in LATTICE:
        a, b = (plus(box.low, (1.0, 1.0, 1.0)) for box in (LATTICE[start], end))
        found = list(tree.along(a, b))
        along = np.array(a) + np.linspace(0, 1, 201)[:, None] * (np.array(b) - np.array(a))
        for i, box in enumerate(LATTICE):
            if np.all((along > np.array(box.low)) & (along < np.array(box.high)), axis=1).any():
                assert i in found
        asked.append(len(found))
    assert sum(asked) < len(LATTICE) ** 2 / 3


def test_boxes_that_touch_do_not_meet() -> None:
    still = Box((0.0, 0.0, 0.0), (2.0, 2.0, 2.0))
    for x, y, z in product((-3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0), repeat=3):
        other = Box((x, y, z), (x + 2, y + 2, z + 2))
        assert boxes_meet(still, other) is all(abs(each) < 2 for each in (x, y, z))


@given(points, points, boxes())
@tried(300)
def test_meets_box(start: Vector, end: Vector, box: Box) -> None:
    """Against manifold3d's ray cast, true if a box 1e-4 smaller is hit, false if one larger is not."""
    found = meets_box(start, minus(end, start), box, 1e-9)
    for grow, wrong in ((-1e-4, False), (1e-4, True)):
        low, high = plus(box.low, (1, 1, 1), -grow), plus(box.high, (1, 1, 1), grow)
        block = Manifold.cube(minus(high, low)).translate(low)
        within = all(low[i] < start[i] < high[i] for i in range(3))
        hit = within or bool(block.ray_cast(start, end))
        if dist(start, end) > 0.01 and hit is not wrong:
            assert found == hit


def test_known_distances() -> None:
    """Crossing, parallel, end to end, and of no length: by arithmetic."""
    assert segment_to_segment((0, 0, 0), (2, 0, 0), (1, -1, 3), (1, 1, 3)) == 3
    assert segment_to_segment((0, 0, 0), (2, 0, 0), (1, 2, 0), (5, 2, 0)) == 2
    assert segment_to_segment((0, 0, 0), (1, 0, 0), (4, 4, 0), (9, 4, 0)) == 5
    assert segment_to_segment((1, 1, 1), (1, 1, 1), (1, 1, 4), (1, 1, 4)) == 3
    cube = Box((0, 0, 0), (1, 1, 1))
    assert segment_to_box((3, 5, 0), (3, 5, 1), cube) == pytest.approx(20**0.5)
    assert segment_to_box((-1, 0.5, 0.5), (3, 0.5, 0.5), cube) == pytest.approx(-1)
    assert segment_to_box((-1, 0.5, 1), (3, 0.5, 1), cube) == pytest.approx(0)
    assert scaled(vector([1, 2, 3]), 2) == (2, 4, 6)


@pytest.mark.parametrize("most", [1.0, 0.75, 0.2, -0.4])
@pytest.mark.parametrize("tipped", [0.0, 35.0, 70.0])
def test_the_furthest_point_of_a_round_body_that_a_plane_cuts_off(most: float, tipped: float) -> None:
    """Against every degree of its rims: what is cut off reaches ``most`` of their first half axis, on its side."""
    axis = (sin(radians(tipped)), 0.0, cos(radians(tipped)))
    far = oval((4.0, 1.0, 2.0), axis, 0.5, (0.0, 0.0, 1.0))
    hull = (disc((0.0, 0.0, 0.0), axis, 0.5)._replace(most=most), far._replace(most=most))
    rims = [point_of for rim in hull for point_of in _round(rim)]
    for n, m in product(range(0, 360, 24), range(-80, 90, 20)):
        way = (
            cos(radians(n)) * cos(radians(m)),
            sin(radians(n)) * cos(radians(m)),
            sin(radians(m)),
        )
        found = furthest(hull, way)
        most_far = max(dot(each, way) for each in rims)
        assert dot(found, way) == pytest.approx(most_far, abs=1e-3)
        assert min(dist(found, each) for each in rims) < 0.02


def _round(rim: Rim) -> list[Vector]:
    """The points of a rim, degree by degree, and the two at which the plane cuts it."""
    shares = [(cos(radians(n)), sin(radians(n))) for n in range(360)]
    ends = [(rim.most, sign * (1 - rim.most**2) ** 0.5) for sign in (1, -1)]
    return [plus(plus(rim.centre, rim.u, u), rim.v, v) for u, v in (*shares, *ends) if u <= rim.most + 1e-12]


def test_the_box_round_a_line_reaches_as_far_beyond_it_on_every_side() -> None:
    line = (1.0, 7.0, -2.0), (4.0, 5.0, 3.0)
    box = Box((0.5, 4.5, -2.5), (4.5, 7.5, 3.5))
    assert box_round(line[0], line[1], 0.5) == box
    assert box_round(line[1], line[0], 0.5) == box


@pytest.mark.parametrize(
    ("plane", "off"),
    [
        (((1.0, 0.0, 0.0), 3.0), ((3.0, 0.0, 0.0), (4.0, 2.0, 1.0))),
        (((-1.0, 0.0, 0.0), -3.0), ((0.0, 0.0, 0.0), (3.0, 2.0, 1.0))),
        (((1.0, 0.0, 0.0), 5.0), None),
        (((0.5**0.5, 0.5**0.5, 0.0), 5 * 0.5**0.5), ((3.0, 1.0, 0.0), (4.0, 2.0, 1.0))),
    ],
)
def test_the_box_round_what_a_plane_cuts_off(
    plane: tuple[Vector, float], off: tuple[Vector, Vector] | None
) -> None:
    """Of a block 4 x 2 x 1 beyond the plane: a length, or of a corner cut at 45 degrees 1 in each way."""
    found = cut_off(Box((0.0, 0.0, 0.0), (4.0, 2.0, 1.0)), [Plane(*plane)])
    assert (found and [*found.low, *found.high]) == (off and pytest.approx([*off[0], *off[1]]))


def test_what_an_end_faces_is_told_with_the_way_to_it() -> None:
    """A board 4 in long, with another at its end, one inch off it, and one that its other end lies in."""
    board, beside, off, round_it = (
        Body(part(name, size, "crosswise front"), at)
        for name, size, at in (
            ("board", "4 x 2 x 1", (0.0, 0.0, 0.0)),
            ("beside", "3 x 1 x 1", (4.0, 0.0, 0.0)),
            ("off", "3 x 1 x 1", (5.0, 0.0, 1.0)),
            ("round_it", "2 x 2 x 1", (-1.0, 0.0, 0.0)),
        )
    )
    bodies = [board, beside, off, round_it]
    tree = BoxTree([body.bounds for body in bodies])
    right = {each.number: each for each in faced(board, Side.RIGHT, bodies, tree, 2.0)}
    assert right[1].gap == pytest.approx(0, abs=1e-9)
    assert right[2].gap == pytest.approx(1)
    assert {*right} == {1, 2}
    assert right[1].share + right[2].share == pytest.approx(0.8)
    (left,) = faced(board, Side.LEFT, bodies, tree, 2.0)
    assert (left.number, left.share) == (3, 1)
    assert left.gap == pytest.approx(-BEHIND)
    assert [each.number for each in faced(board, Side.RIGHT, bodies, tree, 0.5)] == [1]

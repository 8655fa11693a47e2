"""Contact patches and overlaps against slices and intersections by manifold3d."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import cos, hypot, radians

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import CrossSection, Manifold

from planlint.geometry.joint_facts import Contact, Vector
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.contact import contact
from planlint.geometry.shapes.overlaps import overlap, overlaps
from planlint.geometry.shapes.polygons import area
from planlint.geometry.shapes.vectors import minus, plus, scaled
from planlint.model.directions import Axis, Side
from planlint.model.plan import Part, Turn
from tests.builders import part, tradition
from tests.meetings import Meeting, meetings, put_together
from tests.solids import carved, join_of, parts, points, sixteenths, solid, tried, vector

HAIR = 1e-6
"""Inches from the joint plane at which the solids are sliced."""


def sliced(wood: Manifold, normal: Vector, at: float) -> CrossSection:
    """The section of a solid by the plane ``normal . p = at``, laid flat."""
    turn = trimesh.geometry.align_vectors(normal, (0.0, 0.0, 1.0))
    return wood.transform(turn[:3]).slice(at)


@given(meetings(), points, st.sampled_from([0.0, 0.0, 0.01, -0.01]), st.floats(0, 0.5))
@tried(300)
def test_contact_patch(m: Meeting, slide: Vector, gap: float, share: float) -> None:
    """Area of the patches against the shared area of both solids sliced a hair inside their planes (1e-4 sq in).

    The two sides are opposed (1e-6 degrees), ``gap`` is what was set (1e-9), and every corner lies in A's plane.
    """
    a, b = put_together(m, scaled(slide, share), gap)
    met = contact(join_of(m.a, m.side_a, m.b, m.side_b), a, b)
    n = a.planes[m.side_a].normal
    at = a.planes[m.side_a].offset
    shared = sliced(solid(m.a), n, at - HAIR) ^ sliced(solid(m.b, b.origin), n, at + gap + HAIR)
    assert met.area == pytest.approx(shared.area(), abs=1e-4)
    assert met.askew == pytest.approx(0, abs=1e-6)
    assert met.gap == pytest.approx(gap, abs=1e-9)
    assert sum(map(area, met.patches)) == pytest.approx(met.area)
    assert all(abs(a.planes[m.side_a].depth(point)) < 1e-9 for patch in met.patches for point in patch)


@given(
    meetings(),
    st.floats(-0.9, 0.9).filter(lambda angle: abs(angle) > 0.01),
    st.sampled_from([0.0, 0.01, -0.02]),
)
@tried(100)
def test_askew_and_gap_of_sides_that_are_not_opposed(m: Meeting, angle: float, gap: float) -> None:
    """B leans by a small angle more about an axis in the joint plane: the angle by arithmetic (1e-6 degrees).

    ``gap`` is then measured along A's normal from the patch's first corner (or from A's plane) to B's plane, by
    manifold3d's ray cast against B as a half space (1e-6).
    """
    if m.a.turn is not None or m.b.turn is not None:
        return
    n = Body(m.a, (0.0, 0.0, 0.0)).planes[m.side_a].normal
    axis = next(axis for axis in Axis if abs(n[axis]) < 1e-9)
    leaning = m._replace(b=replace(m.b, turn=Turn(Fraction(angle), axis)))
    a, b = put_together(m, (0.0, 0.0, 0.0), gap)
    b = Body(leaning.b, b.origin)
    met = contact(join_of(m.a, m.side_a, leaning.b, m.side_b), a, b)
    assert met.askew == pytest.approx(abs(angle), abs=1e-6)
    wide = Manifold.cube((400, 400, 200), True).translate((0, 0, -100))
    plane = b.planes[m.side_b]
    half = wide.transform(trimesh.geometry.align_vectors((0, 0, 1), plane.normal)[:3])
    half = half.translate(scaled(plane.normal, plane.offset))
    hits = half.ray_cast(plus(met.origin, n, -5), plus(met.origin, n, 5))
    assert len(hits) == 1
    assert met.gap == pytest.approx(hits[0].distance * 10 - 5, abs=1e-6)


# ---------------------------------------------------------------- contact by hand


def meet(a: Part, side_a: Side, b: Part, side_b: Side, origin: Vector) -> Contact:
    return contact(join_of(a, side_a, b, side_b), Body(a, (0.0, 0.0, 0.0)), Body(b, origin))


def test_plain_rail_on_a_stile() -> None:
    """3/4 x 2 rail end flush on a 3/4 x 2 stile's edge: 1-1/2 sq in."""
    rail, stile = part("a", "12 x 2 x 3/4", "crosswise front"), part("b", "24 x 2 x 3/4", "upright front")
    met = meet(rail, Side.LEFT, stile, Side.RIGHT, (-2.0, 0.0, -22.0))
    assert met.area == pytest.approx(1.5)
    assert met.normal == pytest.approx((-1, 0, 0))
    assert met.gap == 0


def test_groove_parts_the_patch() -> None:
    """A 3/4 thick edge on a face with a 1/4 wide groove under its middle: two strips, 1/2 x 10 in all."""
    top = carved(
        part("b", "10 x 6 x 3/4", "crosswise up"), ("groove", ("0", "3", "0"), ("10", "3-1/4", "3/8"))
    )
    rail = part("a", "10 x 3 x 3/4", "crosswise front")
    met = meet(rail, Side.TOP, top, Side.BOTTOM, (0.0, -2.75, 3.0))
    assert len(met.patches) == 2
    assert met.area == pytest.approx(5.0)


def test_groove_wider_than_the_part_leaves_no_contact() -> None:
    top = carved(part("b", "10 x 6 x 3/4", "crosswise up"), ("groove", ("0", "2", "0"), ("10", "4", "3/8")))
    rail = part("a", "10 x 3 x 3/4", "crosswise front")
    assert meet(rail, Side.TOP, top, Side.BOTTOM, (0.0, -2.5, 3.0)).patches == ()


def test_parts_that_miss_one_another_have_no_patch() -> None:
    rail, stile = part("a", "12 x 2 x 3/4", "crosswise front"), part("b", "24 x 2 x 3/4", "upright front")
    assert meet(rail, Side.LEFT, stile, Side.RIGHT, (-2.0, 0.75, 0.0)).patches == ()


def test_mitre_patch_is_the_width_times_root_two() -> None:
    """Two 2-1/2 x 3/4 pieces mitred at a frame's upper right corner: 2-1/2 sqrt 2 by 3/4."""
    rail = part("a", "20 x 2-1/2 x 3/4", "crosswise front", "right 45 top")
    stile = part("b", "30 x 2-1/2 x 3/4", "upright front", "top 45 right")
    met = meet(rail, Side.RIGHT, stile, Side.TOP, (17.5, 0.0, -27.5))
    assert met.area == pytest.approx(2.5 * hypot(1, 1) * 0.75)
    assert met.gap == pytest.approx(0, abs=1e-12)


def test_bevelled_end_on_a_face_is_as_much_longer() -> None:
    """A leg 1 thick cut 15 degrees, on a face turned 15 degrees: 1 / cos 15 by its width 3."""
    leg = part("a", "20 x 3 x 1", "upright front", "top 15 back")
    seat = part("b", "12 x 12 x 3/4", "crosswise up", turned=(Fraction(15), Axis.X))
    m = Meeting(leg, Side.TOP, seat, Side.BOTTOM)
    a, b = put_together(m, (0.0, 0.0, 0.0), 0.0)
    met = contact(join_of(leg, Side.TOP, seat, Side.BOTTOM), a, b)
    assert met.askew == pytest.approx(0, abs=1e-6)
    assert met.area == pytest.approx(3 / cos(radians(15)))


def test_tenon_into_a_stile_counts_the_whole_outline() -> None:
    """A rail that reaches 1 in into a grooved stile: A's side within B's outline; gap is -1."""
    rail = part("a", "14 x 2 x 3/4", "crosswise front")
    stile = carved(
        part("b", "24 x 2 x 3/4", "upright front"), ("groove", ("1-3/4", "1/4", "0"), ("2", "1/2", "24"))
    )
    join = replace(join_of(rail, Side.LEFT, stile, Side.RIGHT), tradition=tradition("mortise and tenon", 1))
    met = contact(join, Body(rail, (0.0, 0.0, 0.0)), Body(stile, (-1.0, 0.0, -22.0)))
    assert met.area == pytest.approx(1.5)
    assert met.gap == pytest.approx(-1)


# ---------------------------------------------------------------- overlaps


def shared_of(a: Body, b: Body) -> Manifold:
    return solid(a.part, a.origin) ^ solid(b.part, b.origin)


@given(parts(), parts(name="b"), points, st.floats(0, 1))
@tried(250)
def test_overlap_volume(a: Part, b: Part, slide: Vector, share: float) -> None:
    """Shared volume against manifold3d (1e-5 relative, 1e-5 cubic inch); moved by the depth, square to a side, the two
    come apart, and moved by less, square to any, they do not."""
    one, other = Body(a, (0.0, 0.0, 0.0)), Body(b, (0.0, 0.0, 0.0))
    other = Body(b, plus(minus(one.middle, other.middle), slide, share))
    found, common = overlap(one, other), shared_of(one, other)
    volume = common.volume()
    if found is None:
        assert volume < 1e-4
        return
    assert found.volume == pytest.approx(volume, rel=1e-5, abs=1e-5)
    mine, theirs = solid(one.part, one.origin), solid(other.part, other.origin)
    ways = [plane.normal for body in (one, other) for plane in body.planes.values()]
    ways += [scaled(way, -1) for way in ways]
    left = {
        share: min((mine.translate(scaled(way, share * found.depth)) ^ theirs).volume() for way in ways)
        for share in (0.9, 1.0)
    }
    assert left[1.0] < 1e-4
    assert left[0.9] > 0


@given(meetings(), points, st.floats(0, 0.3))
@tried(150)
def test_parts_that_meet_do_not_overlap(m: Meeting, slide: Vector, share: float) -> None:
    """Joined square, mitred, scarfed or leaning at no gap, uncut neighbours share no wood but what manifold3d finds."""
    a, b = put_together(m, scaled(slide, share), 0.0)
    found = overlap(a, b)
    assert (found.volume if found else 0.0) == pytest.approx(shared_of(a, b).volume(), abs=1e-4)


@given(
    st.tuples(*(sixteenths(0.5, 6) for _ in range(3))),
    st.tuples(*(sixteenths(0.5, 6) for _ in range(3))),
    st.tuples(*(sixteenths(-6, 6) for _ in range(3))),
)
@tried(200)
def test_boxes_by_arithmetic(
    a: tuple[Fraction, ...], b: tuple[Fraction, ...], at: tuple[Fraction, ...]
) -> None:
    """Depth of two plain boxes is the least of the six ways out: exact to 1e-12, turned alike to 1e-9."""
    extents = [min(a[i], at[i] + b[i]) - max(Fraction(0), at[i]) for i in range(3)]
    one, other = _block("a", a), _block("b", b)
    found = overlap(Body(one, (0.0, 0.0, 0.0)), Body(other, vector([float(each) for each in at])))
    if min(extents) <= 0:
        assert found is None
        return
    assert found is not None
    out = min(min(a[i] - at[i], at[i] + b[i]) for i in range(3))
    assert found.depth == pytest.approx(float(out), abs=1e-12)
    assert found.volume == pytest.approx(float(extents[0] * extents[1] * extents[2]))
    # The long way round, through polyhedra, must say the same.
    turn = Turn(Fraction(90), Axis.Z)
    turned = [replace(each, turn=turn) for each in (one, other)]
    spin = Manifold.cube((1, 1, 1)).translate([float(at[i] + (b[i] - a[i]) / 2) for i in range(3)])
    x, y, z = spin.rotate((0, 0, 90)).translate((1, 0, 0)).bounding_box()[:3]
    middle = [x + float(a[0]) / 2, y + float(a[1]) / 2, z + float(a[2]) / 2]
    origin = vector([middle[i] - float(b[i]) / 2 for i in range(3)])
    again = overlap(Body(turned[0], (0.0, 0.0, 0.0)), Body(turned[1], origin))
    assert again is not None
    assert again.volume == pytest.approx(found.volume)
    assert again.depth == pytest.approx(found.depth, abs=1e-9)


def _block(name: str, size: tuple[Fraction, ...]) -> Part:
    return part(name, f"{size[0]} x {size[1]} x {size[2]}", "crosswise up")


@given(st.lists(st.tuples(parts(longest=5), points), min_size=2, max_size=7))
@tried(60)
def test_every_overlapping_pair_is_found_once(drawn: list[tuple[Part, Vector]]) -> None:
    """All pairs of a heap of parts against manifold3d, one pair at a time."""
    bodies = [Body(replace(a, name=f"p{i}", index=i), scaled(at, 0.4)) for i, (a, at) in enumerate(drawn)]
    found = [(each.part_a.index, each.part_b.index) for each in overlaps(bodies)]
    assert len(found) == len(set(found))
    for i, a in enumerate(bodies):
        for j in range(i + 1, len(bodies)):
            volume = shared_of(a, bodies[j]).volume()
            # Between the two limits lie slivers: a part in a million of an inch deep, or of no size at all.
            if volume > 1e-4:
                assert (i, j) in found
            if volume < 1e-12:
                assert (i, j) not in found


def test_dado_that_fits_is_no_overlap() -> None:
    """A 3/4 shelf in a dado 3/4 wide 3/8 deep shares nothing with its side; 1/16 higher it cuts into the wall."""
    side = carved(
        part("a", "30 x 10 x 3/4", "upright left"), ("dado", ("3/8", "0", "10"), ("3/4", "10", "10-3/4"))
    )
    shelf = part("b", "20 x 10 x 3/4", "crosswise up")
    body = Body(side, (0.0, 0.0, 0.0))
    assert overlap(body, Body(shelf, (0.375, 0.0, 10.0))) is None
    found = overlap(body, Body(shelf, (0.375, 0.0, 10.0625)))
    assert found is not None
    assert found.volume == pytest.approx(0.375 * 10 / 16)
    assert found.depth == pytest.approx(1 / 16)


def test_notch_round_a_post() -> None:
    """A shelf notched 2 x 2 at a corner clears a 2 x 2 post there; without the notch they share 2 x 2 x 3/4,
    and 2 in is the way out: up or down is farther."""
    shelf, post = part("a", "20 x 10 x 3/4", "crosswise up"), part("b", "30 x 2 x 2", "upright front")
    notched = carved(shelf, ("notch", ("0", "0", "0"), ("2", "2", "3/4")))
    standing = Body(post, (0.0, 0.0, -10.0))
    assert overlap(Body(notched, (0.0, 0.0, 0.0)), standing) is None
    found = overlap(Body(shelf, (0.0, 0.0, 0.0)), standing)
    assert found is not None
    assert found.volume == pytest.approx(3.0)
    assert found.depth == pytest.approx(2.0)


def test_bounds_are_a_box() -> None:
    """Turned parts far apart but with crossing bounds do not overlap: two 1 x 1 sticks at 45 degrees, side by side."""
    stick = part("a", "12 x 1 x 1", "crosswise up", turned=(Fraction(45), Axis.Z))
    one, other = Body(stick, (0.0, 0.0, 0.0)), Body(replace(stick, name="b"), (2.0, -2.0, 0.0))
    assert isinstance(one.bounds, Box)
    assert one.bounds.high[0] > other.bounds.low[0]
    assert overlap(one, other) is None
    assert np.isclose(shared_of(one, other).volume(), 0)

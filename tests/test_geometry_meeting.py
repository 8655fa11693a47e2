"""Screws and bores that meet, against all pairs tried and against solids of manifold3d."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from math import atan, cos, radians

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import Manifold

from planlint.geometry.drilling.pocket_layout import pocket_at, row_frame
from planlint.geometry.drilling.screw_choice import screw_in
from planlint.geometry.drilling.screw_clashes import (
    Rod,
    _flats,
    clear,
    hull,
    nearest_rods,
    rods,
    screw_meetings,
    wood_between,
)
from planlint.geometry.joint_facts import Screw, Vector
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.contact import contact
from planlint.geometry.shapes.convex import way_out
from planlint.geometry.shapes.segments import segment_to_segment
from planlint.geometry.shapes.vectors import norm, plus
from planlint.model.directions import Side
from planlint.model.plan import Part
from planlint.model.workshop import DrillingProfile, Settings
from tests.builders import part
from tests.solids import join_of, row, tried

RADIUS = 3 / 16


def screw_at(index: int, a: Body, side: Side, b: Body, face: Side, station: float) -> Screw:
    """One screw from A into B, ``station`` along their joint; joints are told apart by their index."""
    join = replace(join_of(a.part, side, b.part, side.opposite, row(face.value)), index=index)
    frame = row_frame(a, side, face, contact(join, a, b), DrillingProfile())
    assert frame is not None
    pocket = pocket_at(frame, station, join, 0, a, b, side)
    return screw_in(pocket, b, side.opposite, None, Settings())


@st.composite
def screws(draw: st.DrawFn) -> list[Screw]:
    """Rails driven into blocks all over a box of 8 inches, one to four screws each, some in one place."""
    ways = st.sampled_from([Side.LEFT, Side.RIGHT, Side.FRONT, Side.BACK])
    found = []
    for index in range(draw(st.integers(2, 9))):
        side = draw(ways)
        lies = "crosswise" if side.axis == 0 else "deep"
        rail = Body(part(f"a{index}", "6 x 3 x 3/4", f"{lies} up"), _somewhere(draw))
        reach: Vector = (-6.0, 0.0, 0.0) if side.axis == 0 else (0.0, -6.0, 0.0)
        beyond = plus(rail.origin, reach, -side.sign)
        block = Body(part(f"b{index}", "6 x 6 x 2", f"{lies} up"), plus(beyond, (0, 0, 1), -0.5))
        face = draw(st.sampled_from([Side.TOP, Side.BOTTOM]))
        stations = draw(st.lists(st.integers(1, 23), min_size=1, max_size=4, unique=True))
        found += [screw_at(index, rail, side, block, face, eighths / 8) for eighths in stations]
    # Screws of one join must know it by identity, as those of a piece do.
    first = {screw.pocket.join.index: screw.pocket.join for screw in found}
    return [
        screw._replace(pocket=screw.pocket._replace(join=first[screw.pocket.join.index])) for screw in found
    ]


def _somewhere(draw: st.DrawFn) -> Vector:
    x, y, z = (draw(st.integers(0, 64)) / 8 for _ in range(3))
    return x, y, z


@given(screws(), st.sampled_from([1 / 16, 1 / 8, 1.0]))
@tried(120)
def test_meetings(drawn: list[Screw], least: float) -> None:
    """Each pair of different joints with less than the limit left, once, and how much: against all pairs (1e-12)."""
    expected = {}
    for (i, a), (j, b) in combinations(enumerate(drawn), 2):
        # Axes so far apart that round bodies all along them would clear.
        far = segment_to_segment(a.pocket.tail, a.tip, b.pocket.tail, b.tip) > least + 4 * RADIUS
        if a.pocket.join is not b.pocket.join and not far:
            wood = nearest_rods(a, b, RADIUS).wood
            if wood < least:
                expected[i, j] = wood
    found = screw_meetings(drawn, RADIUS, least)
    number = {id(screw): i for i, screw in enumerate(drawn)}
    pairs = {
        (min(pair), max(pair)): each.wood
        for each in found
        for pair in [(number[id(each.first.screw)], number[id(each.second.screw)])]
    }
    assert len(pairs) == len(found)
    assert pairs == pytest.approx(expected, abs=1e-12)


@given(screws())
@tried(25)
def test_wood_between(drawn: list[Screw]) -> None:
    """Bores drilled by manifold3d to the end of their mouths, and screws with their points, meshed: its least gap is
    the wood between them, 0.004 in (facets)."""
    a, b = drawn[0], drawn[-1]
    for first in rods(a, RADIUS):
        for second in rods(b, RADIUS):
            wood = wood_between(first, second)
            assert _solid(first).min_gap(_solid(second), 40.0) == pytest.approx(max(0.0, wood), abs=0.004)


@given(screws())
@tried(40)
def test_what_runs_into_one_another_comes_apart_by_the_least_move(drawn: list[Screw]) -> None:
    """Moved so far it is out; no move shorter by 1/64 in, of two hundred directions, takes it out."""
    for one, other in combinations(drawn, 2):
        if one.pocket.join is other.pocket.join or clear(one, other, RADIUS, 0.001):
            continue
        nearest = nearest_rods(one, other, RADIUS)
        if nearest.wood > -0.03:
            continue  # No deeper than the facets of the meshes.
        first, second = _solid(nearest.first), _solid(nearest.second)
        move = way_out(
            hull(nearest.first), hull(nearest.second), [*_flats(nearest.first), *_flats(nearest.second)]
        )
        assert (first.translate(plus(move, move, 0.02)) ^ second).volume() < 1e-6
        assert nearest.wood == pytest.approx(-norm(move), abs=0.02)
        for way in _ALL_WAYS:
            short = max(0.0, -nearest.wood - 1 / 64)
            assert (first.translate(tuple(short * way)) ^ second).volume() > 0
        return


_GOLDEN = np.pi * (3 - 5**0.5)
_RISE = np.linspace(-0.995, 0.995, 200)
_ALL_WAYS = np.column_stack(
    [np.sqrt(1 - _RISE**2) * f(_GOLDEN * np.arange(200)) for f in (np.cos, np.sin)] + [_RISE]
)


def _solid(rod: Rod) -> Manifold:
    """A bore as a drill leaves it, sawn off along the drilled face; a screw turned from a rod, with a point."""
    pocket, bit = rod.screw.pocket, rod.what == "bore"
    turned = trimesh.geometry.align_vectors((0, 0, 1), pocket.direction)
    if bit:
        made = Manifold.cylinder(6.0, RADIUS, RADIUS, 96).translate((0, 0, -6.0))
    else:
        long, point = rod.screw.length, 2 * rod.screw.diameter
        made = Manifold.cylinder(long - point, rod.radius, rod.radius, 96) + Manifold.cylinder(
            point, rod.radius, 0.0, 96
        ).translate((0, 0, long - point))
    made = made.transform(turned[:3]).translate(pocket.shoulder)
    out = 1.0 if pocket.face is Side.TOP else -1.0
    return made.trim_by_plane((0, 0, -out), -out * pocket.mouth[2]) if bit else made


def test_mouths_at_both_ends_of_a_short_rail() -> None:
    """In 3/4 in stock a mouth ends 0.375 / tan 15 + 0.1875 / sin 15 = 2.124 in from the joint (arithmetic): two from
    opposite ends of a rail clear by 1/8 in from 4.373 in on, and overlap in one of 3-1/2 in."""
    post = Body(part("post", "20 x 3 x 3", "upright front"), (-3.0, 0.0, 0.0))
    for size, clears in (("3-1/2", False), ("4-5/16", False), ("4-3/8", True)):
        rail = Body(part("rail", f"{size} x 3-1/2 x 3/4", "crosswise front"), (0.0, 0.0, 5.0))
        beyond = Body(part("far", "20 x 3 x 3", "upright front"), (float(rail.part.length), 0.0, 0.0))
        one = screw_at(0, rail, Side.LEFT, post, Side.BACK, 1.5)
        other = screw_at(1, rail, Side.RIGHT, beyond, Side.BACK, 1.5)
        assert one.pocket.tail[0] == pytest.approx(2.12396, abs=1e-4)
        assert clear(one, other, RADIUS, 1 / 8) is clears
        gap = other.pocket.tail[0] - one.pocket.tail[0]
        assert (nearest_rods(one, other, RADIUS).wood > 0) is (gap > 0)


def test_points_that_face_one_another() -> None:
    """Shelves on both sides of a divider: their points end 2 x 0.604 in into it and each other's line, so that 1-3/8 in
    leaves 0.168 in between them (arithmetic)."""
    divider = Body(part("divider", "20 x 6 x 1-3/8", "upright left"), (0.0, 0.0, 0.0))
    left = Body(part("left", "9 x 6 x 3/4", "crosswise up"), (-9.0, 0.0, 10.0))
    right = Body(part("right", "9 x 6 x 3/4", "crosswise up"), (1.375, 0.0, 10.0))
    one = screw_at(0, left, Side.RIGHT, divider, Side.BOTTOM, 3.0)
    other = screw_at(1, right, Side.LEFT, divider, Side.BOTTOM, 3.0)
    between = 1.375 - 2 * 0.625 * cos(radians(15))
    assert nearest_rods(one, other, RADIUS).wood == pytest.approx(between, abs=1e-5)


def table_corner() -> tuple[Part, Part, Part]:
    return (
        part("leg", "29 x 1-1/2 x 1-1/2", "upright front"),
        part("front", "30 x 3-1/2 x 3/4", "crosswise front"),
        part("side", "15 x 3-1/2 x 3/4", "deep left"),
    )


@pytest.mark.parametrize(("lower", "meets"), [(0.0, True), (0.125, True), (0.1875, True), (0.25, False)])
def test_slender_leg_takes_two_aprons(lower: float, meets: bool) -> None:
    """A 1-1/2 in leg, aprons flush with its inner faces: screws at one height cross 0.095 in from their tips, where
    each is a quarter of that thick, and come apart square to their flanks (arithmetic); set apart they clear as meshes
    do."""
    leg, front, side = table_corner()
    post = Body(leg, (0.0, 0.0, 0.0))
    one = screw_at(0, Body(front, (1.5, 0.75, 25.5)), Side.LEFT, post, Side.BACK, 1.5)
    other = screw_at(1, Body(side, (0.75, 1.5, 25.5)), Side.FRONT, post, Side.RIGHT, 1.5 + lower)
    nearest = nearest_rods(one, other, RADIUS)
    assert (nearest.first.what, nearest.second.what) == ("screw", "screw")
    if lower:
        gap = _solid(nearest.first).min_gap(_solid(nearest.second), 9.0)
        assert nearest.wood == pytest.approx(gap, abs=1e-3)
    else:
        assert nearest.wood == pytest.approx(-2 * 0.0947 / 4 * cos(atan(1 / 4)), abs=1e-4)
    assert bool(screw_meetings([one, other], RADIUS, 1 / 8)) is meets


def test_screws_of_one_row_are_not_judged_here() -> None:
    """Two screws of one row 1/4 in apart are no meeting: their spacing is another question."""
    leg, front, _ = table_corner()
    post, rail = Body(leg, (0.0, 0.0, 0.0)), Body(front, (1.5, 0.75, 25.5))
    one = screw_at(0, rail, Side.LEFT, post, Side.BACK, 1.5)
    other = screw_at(0, rail, Side.LEFT, post, Side.BACK, 1.75)
    other = other._replace(pocket=other.pocket._replace(join=one.pocket.join))
    assert nearest_rods(one, other, RADIUS).wood < 1 / 8
    assert screw_meetings([one, other], RADIUS, 1 / 8) == []

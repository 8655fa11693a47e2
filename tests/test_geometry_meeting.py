"""Screws and bores that meet, against all pairs tried and against manifold3d's least gaps."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from manifold3d import Manifold

from planlint.geometry.body import Body
from planlint.geometry.contact import contact
from planlint.geometry.meeting import Rod, meetings, nearest_rods, rods, wood_between
from planlint.geometry.pockets import pocket_at, row_frame
from planlint.geometry.screws import screw_in
from planlint.geometry.types import Screw, Vector
from planlint.geometry.vectors import plus
from planlint.model.directions import Side
from planlint.model.plan import Part
from planlint.model.settings import DrillingProfile, Settings
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
        if a.pocket.join is not b.pocket.join:
            wood = nearest_rods(a, b, RADIUS).wood
            if wood < least:
                expected[i, j] = wood
    found = meetings(drawn, RADIUS, least)
    number = {id(screw): i for i, screw in enumerate(drawn)}
    pairs = {
        (min(pair), max(pair)): each.wood
        for each in found
        for pair in [(number[id(each.first.screw)], number[id(each.second.screw)])]
    }
    assert len(pairs) == len(found)
    assert pairs == pytest.approx(expected, abs=1e-12)


@given(screws())
@tried(12)
def test_wood_between(drawn: list[Screw]) -> None:
    """Rods as capsules meshed by manifold3d: its least gap is the wood between them, 0.01 in (facets)."""
    a, b = drawn[0], drawn[-1]
    for first in rods(a, RADIUS):
        for second in rods(b, RADIUS):
            wood = wood_between(first, second)
            assert _capsule(first).min_gap(_capsule(second), 40.0) == pytest.approx(max(0.0, wood), abs=0.01)


def _capsule(rod: Rod) -> Manifold:
    ball = Manifold.sphere(rod.radius, 32)
    points = [
        np.asarray(ball.translate(end).to_mesh().vert_properties)[:, :3] for end in (rod.start, rod.end)
    ]
    return Manifold.hull_points(np.concatenate(points).astype(float))


def table_corner() -> tuple[Part, Part, Part]:
    return (
        part("leg", "29 x 1-1/2 x 1-1/2", "upright front"),
        part("front", "30 x 3-1/2 x 3/4", "crosswise front"),
        part("side", "15 x 3-1/2 x 3/4", "deep left"),
    )


@pytest.mark.parametrize(("lower", "wood"), [(0.0, -0.164), (1.0, 1.0 - 0.164)])
def test_slender_leg_takes_two_aprons(lower: float, wood: float) -> None:
    """A 1-1/2 in leg, aprons flush with its inner faces: screws at one height cross; 1 in apart they clear by that
    less twice their radius, 0.082 (arithmetic)."""
    leg, front, side = table_corner()
    post = Body(leg, (0.0, 0.0, 0.0))
    one = screw_at(0, Body(front, (1.5, 0.75, 25.5)), Side.LEFT, post, Side.BACK, 1.5)
    other = screw_at(1, Body(side, (0.75, 1.5, 25.5)), Side.FRONT, post, Side.RIGHT, 1.5 + lower)
    nearest = nearest_rods(one, other, RADIUS)
    assert (nearest.first.what, nearest.second.what) == ("screw", "screw")
    assert nearest.wood == pytest.approx(wood, abs=1e-9)
    assert len(meetings([one, other], RADIUS, 1 / 8)) == (wood < 1 / 8)


def test_screws_of_one_row_are_not_judged_here() -> None:
    """Two screws of one row 1/4 in apart are no meeting: their spacing is another question."""
    leg, front, _ = table_corner()
    post, rail = Body(leg, (0.0, 0.0, 0.0)), Body(front, (1.5, 0.75, 25.5))
    one = screw_at(0, rail, Side.LEFT, post, Side.BACK, 1.5)
    other = screw_at(0, rail, Side.LEFT, post, Side.BACK, 1.75)
    other = other._replace(pocket=other.pocket._replace(join=one.pocket.join))
    assert nearest_rods(one, other, RADIUS).wood < 1 / 8
    assert meetings([one, other], RADIUS, 1 / 8) == []

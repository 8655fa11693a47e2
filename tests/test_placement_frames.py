"""A part's own frame: planes of its sides, square and cut, and its turns."""

from __future__ import annotations

from fractions import Fraction
from math import cos, isclose, radians, sin, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.model.directions import SIDES, Axis, Side
from planlint.placement.part_frames import direction_to_piece, own_to_piece, rotation, side_plane
from tests.builders import part

RAIL = part("rail", "20 x 3-1/2 x 3/4", "crosswise front")


def test_sides_of_a_box_are_exact() -> None:
    planes = {side: side_plane(RAIL, side) for side in SIDES}
    assert planes[Side.LEFT] == ((0, 0, 0), (-1, 0, 0))
    assert planes[Side.RIGHT] == ((20, 0, 0), (1, 0, 0))
    assert planes[Side.BACK] == ((0, Fraction(3, 4), 0), (0, 1, 0))
    assert planes[Side.TOP] == ((0, 0, Fraction(7, 2)), (0, 0, 1))


@pytest.mark.parametrize(
    ("cut", "point", "normal"),
    [
        ("left 45 top", (0, 0, Fraction(7, 2)), (-1, 0, -1)),
        ("left 45 bottom", (0, 0, 0), (-1, 0, 1)),
        ("right 45 top", (20, 0, Fraction(7, 2)), (1, 0, -1)),
        ("right 45 front", (20, 0, 0), (1, 1, 0)),
        ("left 45 back", (0, Fraction(3, 4), 0), (-1, -1, 0)),
    ],
)
def test_a_cut_of_45_degrees_is_exact(cut: str, point: tuple[Fraction, ...], normal: tuple[int, ...]) -> None:
    mitred = part("rail", "20 x 3-1/2 x 3/4", "crosswise front", cut)
    found_point, found_normal = side_plane(mitred, mitred.cuts[0].end)
    assert found_point == point
    assert found_normal == normal
    assert not any(isinstance(share, float) for share in found_normal)


@pytest.mark.parametrize("angle", ["10", "30", "60", "22.5"])
def test_a_cut_leans_inward_from_its_long_point(angle: str) -> None:
    cut = part("rail", "20 x 3-1/2 x 3/4", "crosswise front", f"right {angle} top")
    point, normal = side_plane(cut, Side.RIGHT)
    slope = tan(radians(float(Fraction(angle))))
    # The short point, on the bottom: 3-1/2 below the long one and so much further in.
    short = (20 - 3.5 * slope, 0.0, 0.0)
    assert isclose(
        sum(float(n) * (s - float(p)) for n, s, p in zip(normal, short, point, strict=True)), 0, abs_tol=1e-12
    )
    assert isclose(sum(float(n) ** 2 for n in normal), 1)
    assert normal[0] > 0 > normal[2]


def test_an_uncut_end_of_a_cut_part_stays_square() -> None:
    cut = part("rail", "20 x 3-1/2 x 3/4", "crosswise front", "right 45 top")
    assert side_plane(cut, Side.LEFT) == ((0, 0, 0), (-1, 0, 0))
    assert side_plane(cut, Side.TOP) == ((0, 0, Fraction(7, 2)), (0, 0, 1))


def test_no_turn_is_no_matrix() -> None:
    assert rotation(RAIL) is None
    assert rotation(part("rail", "20 x 3-1/2 x 3/4", "crosswise front", turned=(360, Axis.Z))) is None


def test_quarter_turns_are_exact() -> None:
    turned = part("rail", "20 x 4 x 2", "crosswise front", turned=(90, Axis.Z))
    assert rotation(turned) == ((0, -1, 0), (1, 0, 0), (0, 0, 1))
    # About the middle (10, 1, 2) its left end comes to the front.
    assert own_to_piece(turned, (0, 0, 0), (0, 1, 2)) == (10, -9, 2)
    assert direction_to_piece(turned, (-1, 0, 0)) == (0, -1, 0)


@pytest.mark.parametrize(
    ("axis", "start", "end"),
    [(Axis.X, Side.BACK, Side.TOP), (Axis.Y, Side.TOP, Side.RIGHT), (Axis.Z, Side.RIGHT, Side.BACK)],
)
def test_turns_are_right_handed(axis: Axis, start: Side, end: Side) -> None:
    turned = part("rail", "20 x 4 x 2", "crosswise front", turned=(90, axis))
    assert direction_to_piece(turned, side_plane(turned, start)[1]) == side_plane(RAIL, end)[1]


@given(st.fractions(-720, 720, max_denominator=8), st.sampled_from(Axis))
def test_a_turn_keeps_lengths_and_its_axis(angle: Fraction, axis: Axis) -> None:
    matrix = rotation(part("rail", "20 x 4 x 2", "crosswise front", turned=(angle, axis)))
    if matrix is None:
        assert angle % 360 == 0
        return
    for one in range(3):
        for other in range(3):
            dot = sum(matrix[one][k] * matrix[other][k] for k in range(3))
            assert isclose(dot, one == other, abs_tol=1e-12)
    assert matrix[axis][axis] == 1
    first, second = [other for other in range(3) if other != axis]
    turn = radians(float(angle)) * (-1 if axis is Axis.Y else 1)
    assert isclose(matrix[first][first], cos(turn), abs_tol=1e-12)
    assert isclose(matrix[second][first], sin(turn), abs_tol=1e-12)

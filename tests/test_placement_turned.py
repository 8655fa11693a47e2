"""Mitres and turned parts: slanted contacts, corner lines, rings that close and rings that do not."""

from __future__ import annotations

import random
from fractions import Fraction
from math import isclose, pi, sqrt, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planlint.model.directions import Axis, Side
from planlint.model.plan import Part, Turn
from planlint.placement.askew_sides import Straightened, likeliest, off_level, straightened
from planlint.placement.part_frames import direction_to_piece, own_to_piece, side_plane
from planlint.placement.placement_results import Placement
from tests.builders import Builder, exactly, part, tradition
from tests.test_placement import exact, placed
from tests.test_placement_misfits import closed
from tests.test_survivors import piece_of


def frame(bottom: str = "20", rail_cut: str = "45", stile_cut: str = "45") -> Builder:
    """A picture frame, mitred, 20 wide and 30 high."""
    piece = Builder()
    for name, length in (("top", "20"), ("bottom", bottom)):
        cuts = [f"{end} {rail_cut} {name}" for end in ("left", "right")]
        piece.add(part(name, f"{length} x 3 x 3/4", "crosswise front", *cuts))
    for name in ("left", "right"):
        cuts = [f"{end} {stile_cut} {name}" for end in ("top", "bottom")]
        piece.add(part(name, "30 x 3 x 3/4", "upright front", *cuts))
    for rail in ("top", "bottom"):
        for stile in ("left", "right"):
            piece.join(f"{rail}.{stile} to {stile}.{rail}", f"flush front, flush {rail}")
    return piece


def ring(error: Fraction = Fraction(0), sides: int = 8, radius: float = 10.0) -> Builder:
    """Segments with mitred ends round a circle, long at the front; the fourth is ``error`` too long."""
    half_turn = Fraction(180, sides)
    long_side = Fraction(2 * radius * tan(pi / sides))
    piece = Builder()
    for n in range(sides):
        length = long_side + (error if n == 3 else 0)
        cuts = [f"{end} {half_turn} front" for end in ("left", "right")]
        turn = (2 * half_turn * n, Axis.Z)
        piece.add(part(f"s{n}", f"{length} x 3 x 1", "crosswise front", *cuts, turned=turn))
    for n in range(sides):
        piece.join(f"s{n}.right to s{(n + 1) % sides}.left", "flush front, flush top")
    return piece


def corner(placement: Placement, each: Part, *sides: Side) -> tuple[float, float, float]:
    """A corner of a part's box, in the piece: low sides where none is named."""
    own = [Fraction(0)] * 3
    for side in sides:
        own[side.axis] = each.size[side.axis] if side.sign > 0 else Fraction(0)
    x, y, z = own_to_piece(each, placement.position(each), own)
    return float(x), float(y), float(z)


def test_a_mitred_frame_is_exact() -> None:
    placement = placed(frame())
    assert exact(placement, "top") == (0, 0, 27)
    assert exact(placement, "left") == (0, 0, 0)
    assert exact(placement, "right") == (17, 0, 0)
    assert (placement.misfits, placement.free, placement.askew) == ((), (), ())
    assert placement.fixed_together(*placement.graph.parts[:2])


def test_a_mitre_of_30_and_60_degrees() -> None:
    placement = placed(frame(rail_cut="30", stile_cut="60"))
    assert (placement.misfits, placement.free, placement.askew) == ((), (), ())
    assert np.allclose(placement.position(placement.graph.parts[3]), (17, 0, 0), atol=1e-9)


@pytest.mark.parametrize("cuts", [("45", "45"), ("30", "60")])
def test_a_mitred_rail_that_is_too_long(cuts: tuple[str, str]) -> None:
    built = frame("20-1/4", *cuts)
    placement = placed(built)
    (misfit,) = placement.misfits
    assert misfit.axis is None
    # It shows square to the mitre: a quarter inch along the rail, times the slant.
    slant = sqrt(0.5) if cuts[0] == "45" else sqrt(0.75)
    assert isclose(abs(float(misfit.amount)), 0.25 * slant)
    assert len(misfit.loop) == len(misfit.loop_parts) == 4
    assert misfit.closing is not None
    assert misfit.closing.part.grain is Axis.X
    assert misfit.closing is not None
    assert isclose(abs(float(misfit.closing.by)), 0.25, abs_tol=1e-9)
    assert placed(closed(built.plan(), misfit)).misfits == ()


def test_mitres_that_do_not_add_up_are_askew() -> None:
    placement = placed(frame(rail_cut="45", stile_cut="44"))
    assert {askew.join.name for askew in placement.askew} == {join.name for join in placement.graph.joins}
    assert all(isclose(askew.angle, 1, abs_tol=1e-9) for askew in placement.askew)
    assert not placement.fixed_together(*placement.graph.parts[1:3])
    # Told once: that it slides along the joint is no second fault.
    assert placement.free == ()


def test_sides_that_look_the_same_way_are_askew() -> None:
    pair = Builder([part("a", "10 x 3 x 1", "crosswise front"), part("b", "10 x 3 x 1", "crosswise front")])
    pair.join("a.left to b.left", "flush front, flush top")
    (askew,) = placed(pair).askew
    assert isclose(askew.angle, 180)


def test_a_mitre_said_flush_one_way_too_few_is_free() -> None:
    built = frame()
    loose = Builder(built.parts.values())
    for join in built.joins:
        rail, stile = join.part_a.name, join.part_b.name
        loose.join(
            join.name, f"flush {rail}" if (rail, stile) == ("top", "left") else f"flush front, flush {rail}"
        )
    assert placed(loose).free == ()
    loose = Builder(built.parts.values())
    loose.join(built.joins[0].name, "flush top")
    assert [free.axis for free in placed(loose).free] == [Axis.Y]


# ---------------------------------------------------------------- turned


def test_a_ring_of_eight_closes() -> None:
    built = ring()
    placement = placed(built)
    assert (placement.misfits, placement.free, placement.askew) == ((), (), ())
    parts = placement.graph.parts
    middles = np.array(
        [own_to_piece(each, placement.position(each), [s / 2 for s in each.size]) for each in parts]
    )
    centre = middles.astype(float).mean(axis=0)
    # Each middle lies half a thickness inside the circle, and each long point meets its neighbour's.
    assert np.allclose(np.linalg.norm(middles.astype(float) - centre, axis=1), 9.5, atol=1e-9)
    for n, each in enumerate(parts):
        after = parts[(n + 1) % len(parts)]
        here = corner(placement, each, Side.RIGHT, Side.FRONT)
        assert np.allclose(here, corner(placement, after, Side.LEFT, Side.FRONT), atol=1e-9)


def test_a_ring_with_one_long_segment_is_one_misfit() -> None:
    built = ring(Fraction(1, 8))
    (misfit,) = placed(built).misfits
    assert len(misfit.loop) == 8
    assert misfit.closing is not None
    # The one opposite closes it as well: the two run the same way.
    assert misfit.closing.part.name in {"s3", "s7"}
    assert misfit.closing is not None
    assert isclose(abs(float(misfit.closing.by)), 0.125, abs_tol=1e-9)
    assert placed(closed(built.plan(), misfit)).misfits == ()


@settings(max_examples=30, deadline=None)
@given(st.integers(3, 12), st.fractions(-1, 1, max_denominator=16), st.randoms(use_true_random=False))
def test_a_ring_in_any_order(sides: int, error: Fraction, chance: random.Random) -> None:
    made = ring(error if sides > 3 else Fraction(0), sides)
    joins = list(made.joins)
    chance.shuffle(joins)
    built = Builder(made.parts.values())
    for join in joins:
        built.join(join.name, "flush front, flush top")
    placement = placed(built)
    assert (placement.free, placement.askew) == ((), ())
    if sides == 3 or error == 0:
        assert placement.misfits == ()
        return
    (misfit,) = placement.misfits
    assert len(misfit.loop) == sides
    assert misfit.closing is not None
    assert placed(closed(built.plan(), misfit)).misfits == ()


@pytest.mark.parametrize("axis", Axis)
@pytest.mark.parametrize("turn", [12, 45, 90, 123, 180, 270])
def test_a_whole_piece_turned_keeps_its_distances(turn: int, axis: Axis) -> None:
    def pair(turned: tuple[int, Axis] | None) -> Placement:
        built = Builder(
            [
                part("post", "30 x 3 x 3", "upright front", turned=turned),
                part("rail", "20 x 4 x 1", "crosswise front", turned=turned),
                part("shelf", "20 x 9 x 3/4", "crosswise up", turned=turned),
            ]
        )
        built.join("rail.left to post.right", "1/4 from front, 2 from top")
        built.join("rail.top to shelf.bottom", "centred left to right, proud 1 front")
        return placed(built)

    straight, slanted = pair(None), pair((turn, axis))
    assert (slanted.misfits, slanted.free, slanted.askew) == ((), (), ())
    for near, far in ((0, 1), (1, 2)):
        gaps = []
        for placement in (straight, slanted):
            one, other = placement.graph.parts[near], placement.graph.parts[far]
            gap = np.subtract(corner(placement, other), corner(placement, one))
            gaps.append(gap)
        expected = [float(share) for share in direction_to_piece(slanted.graph.parts[0], list(gaps[0]))]
        assert np.allclose(gaps[1], expected, atol=1e-9)
    if turn % 90 == 0:
        assert slanted.exact(slanted.graph.parts[2]) is not None


@pytest.mark.parametrize("seat", ["18 x 12 x 1", "2 x 2 x 1"])
@pytest.mark.parametrize(("angle", "deep"), [(10, "0"), (10, "1/2"), (45, "0"), (45, "1/2")])
def test_a_splayed_leg_meets_the_seat_with_its_level_cut(angle: int, deep: str, seat: str) -> None:
    """Let in or not, it lies so deep in the seat; the larger side counts, and that of a cut of 45 degrees has a normal
    that is not of length one."""
    built = Builder(
        [
            part("leg", "16 x 2 x 2", "upright front", f"top {angle} right", turned=(angle, Axis.Y)),
            part("seat", seat, "crosswise up"),
        ]
    )
    by = tradition("mortise and tenon", deep) if deep != "0" else None
    built.join("leg.top to seat.bottom", "2 from right, centred front to back", by)
    placement = placed(built)
    assert (placement.misfits, placement.free, placement.askew) == ((), (), ())
    leg, held = placement.graph.parts
    point, normal = side_plane(leg, Side.TOP)
    level = np.array(direction_to_piece(leg, normal), dtype=float)
    assert np.allclose(level / np.linalg.norm(level), (0, 0, 1), atol=1e-12), "the cut lies level"
    x, _, z = own_to_piece(leg, placement.position(leg), point)
    assert isclose(float(z), placement.position(held)[2] + float(exactly(deep)), abs_tol=1e-9)
    # The long point is the corner on the right: it lies 2 in from the seat's right side.
    assert isclose(placement.position(held)[0] + float(held.length - x), 2, abs_tol=1e-9)
    middle = placement.position(held)[1] + float(held.width) / 2
    assert isclose(placement.position(leg)[1] + 1, middle, abs_tol=1e-9)


def test_a_part_turned_away_is_offered_only_what_can_be_compared() -> None:
    built = Builder(
        [
            part("rail", "20 x 4 x 1", "crosswise front"),
            part("post", "30 x 3 x 2", "upright front", turned=(90, Axis.Z)),
        ]
    )
    built.join("rail.right to post.back", "flush top")
    (free,) = placed(built).free
    assert free.words == ("centred front to back",)


def test_a_level_shelf_on_a_leaning_side_is_measured_where_they_meet() -> None:
    piece = Builder()
    side = part("side", "76 x 4-1/2 x 3/4", "upright left", turned=(-12, Axis.X))
    shelf = part("shelf", "20 x 9 x 3/4", "crosswise up")
    piece.add(side)
    piece.add(shelf)
    piece.join("shelf.left to side.right", "8 from bottom, flush front")
    placement = placed(piece)
    bottom_front = np.array(corner(placement, side, Side.BOTTOM, Side.FRONT))
    lean = np.radians(12)  # The top goes to the back.
    up, back = np.array([0, np.sin(lean), np.cos(lean)]), np.array([0, np.cos(lean), -np.sin(lean)])
    low = np.array(corner(placement, shelf, Side.FRONT)) - bottom_front
    assert np.dot(low + np.array([0, 4.5, 0]), up) == pytest.approx(
        8
    )  # The middle of its lower edge, 9 wide.
    assert np.dot(low + np.array([0, 0, 3 / 8]), back) == pytest.approx(0)  # Half-way through its thickness.


def test_a_leg_leans_rather_as_the_one_behind_it_and_against_those_across() -> None:
    """A stool of four legs: those at the left turned by 10 degrees about the depth, those at the right by -10."""
    text = """\
plan "Stool"
stock leg of poplar, 1-1/2 x 1-1/2
stock top of poplar, 3/4 x 20
part top of top, 30 long, crosswise, facing up
part fl, bl of leg, 20 long, upright, facing front
    turned 10 about deep
part fr, br of leg, 20 long, upright, facing front
    turned -10 about deep
"""
    for name, from_left, from_front in (
        ("fl", "left", "front"),
        ("bl", "left", "back"),
        ("fr", "right", "front"),
        ("br", "right", "back"),
    ):
        text += f"join {name}.top to top.bottom\n    2 from {from_left}\n    2 from {from_front}\n"
    piece = piece_of(text)
    for leg in piece.plan.parts[1:]:
        ways = [Straightened(leg, turn=Turn(Fraction(angle), Axis.Y)) for angle in (0, 10, -10)]
        told = likeliest(piece.graph, piece.placement, ways)
        angles = [each.turn.angle for each in told if each.turn is not None]
        assert angles == ([10, 0, -10] if leg.name in {"fl", "bl"} else [-10, 0, 10])


@pytest.mark.parametrize(
    ("top", "bottom", "ways"),
    [
        ("15, long at right", "15, long at left", []),
        ("15, long at right", "15, long at right", [(None, ("bottom", 15, "left"))]),
        # That its top does not lie on the beam is a fault of its own, which stays.
        ("10, long at right", "15, long at right", [(None, ("bottom", 15, "left"))]),
        # Both its ends are cut for a leg that leans the other way.
        ("15, long at left", "15, long at right", [(-15, None)]),
    ],
)
def test_a_foot_that_is_not_level_is_cut_the_other_way_or_its_leg_leans_so(
    top: str, bottom: str, ways: list[object]
) -> None:
    piece = piece_of(f"""\
plan "Leg"
stock board of poplar, 1-1/2 x 3
part beam of board, 40 long, crosswise, facing front
part leg of board, 20 long, upright, facing front
    turned 15 about deep
    top end cut {top}
    bottom end cut {bottom}
join leg.top to beam.bottom
    flush front
    10 from left
""")
    found = list(off_level(piece.graph))
    assert [(each.part.name, each.end, round(each.angle, 6)) for each in found] == (
        [("leg", Side.BOTTOM, 30)] if ways else []
    )
    told = [
        (way.turn and way.turn.angle, way.cut and (way.cut.end.value, way.cut.angle, way.cut.long_at.value))
        for each in found
        for way in each.ways
    ]
    assert [*told] == ways


def test_one_cut_of_two_that_are_wrong_heals_its_own_joint() -> None:
    """A brace at 45 degrees, its ends cut 35: each is told alone, the other left as it is."""
    piece = piece_of("""\
plan "Brace"
stock board of poplar, 1-1/2 x 3
part post of board, 40 long, upright, facing front
part beam of board, 40 long, crosswise, facing front
part brace of board, 20 long, crosswise, facing front
    turned -45 about deep
    ends cut 35, long at bottom
join beam.left to post.right
    flush front, top
join brace.left to post.right
    flush front
    10 from bottom
join brace.right to beam.bottom
    flush front
""")
    told = {
        fault.join.name: [
            (each.part.name, each.cut and each.cut.end, float(each.cut.angle) if each.cut else None)
            for each in straightened(piece.graph, fault)
        ]
        for fault in piece.placement.askew
    }
    assert told == {
        "brace.left": [("brace", Side.LEFT, 45.0)],
        "brace.right": [("brace", Side.RIGHT, 45.0)],
    }

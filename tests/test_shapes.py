"""Tapers, chamfers, round holes, curves and bevelled edges, held against solids of another kernel."""

from __future__ import annotations

from math import cos, hypot, radians, sin

import pytest
from manifold3d import CrossSection, Manifold, OpType

from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import body_polyhedra
from planlint.geometry.shapes.polygons import volume
from planlint.inspection.inspect_plan import understand
from planlint.model.curves import TRUE
from planlint.model.workshop import Settings
from planlint.placement.askew_sides import straightened
from planlint.text.source import PlanText

PLAN = """plan "Board"
    unit inch
stock sheet of birch plywood, 3/4 thick
stock post of white oak, 2 x 2
part board of sheet, 24 long, 16 wide, crosswise, facing front
    {board}
part leg of post, 28 long, upright, facing front
    {leg}
"""
LONG, THICK, HIGH = 24.0, 0.75, 16.0
FINE = 720
"""Sides by which the other kernel draws a circle."""


def pieces(board: str = "exterior", leg: str = "exterior") -> Piece:
    plan, mistakes = understand(PlanText("x.plan", PLAN.format(board=board, leg=leg)), Settings())
    assert not mistakes, [each.says for each in mistakes]
    assert plan is not None
    return Piece(plan)


def ours(piece: Piece, number: int) -> float:
    return sum(map(volume, body_polyhedra(piece.bodies[number])))


def box(*size: float) -> Manifold:
    return Manifold.cube(list(size))


def drilled(x: float, z: float, radius: float, deep: float = THICK) -> Manifold:
    """A round hole into the front of the board."""
    return Manifold.cylinder(deep + 1, radius, radius, FINE).rotate([-90, 0, 0]).translate([x, -1, z])


def segment(span: float, rise: float) -> Manifold:
    """What lies between an arc and its chord: the chord from the origin to the right, the arc above."""
    radius = (span * span / 4 + rise * rise) / (2 * rise)
    whole = drilled(span / 2, rise - radius, radius, 3)
    return whole ^ box(span, 4, rise).translate([0, -1, 0])


def under(x: float, z: float, radius: float, low: float, high: float) -> Manifold:
    """What lies under an arc, whose middle is given, from here to there."""
    return drilled(x, z, radius, 3) ^ box(high - low, 3, HIGH).translate([low, -1, 0])


BOARD = box(LONG, THICK, HIGH)
ROUND = (
    ("hole 3 wide in front, 5 from left, 6 from bottom", BOARD - drilled(5, 6, 1.5)),
    ("hole 3 wide 1/4 deep in front, 5 from right, 6 from top", BOARD - drilled(19, 10, 1.5, 0.25)),
    (
        "slot 6 x 1-1/2 in back, 4 from left, 2 from bottom",
        BOARD
        - drilled(4.75, 2.75, 0.75)
        - drilled(9.25, 2.75, 0.75)
        - box(4.5, 2, 1.5).translate([4.75, -1, 2]),
    ),
    ("arch 3 deep along bottom", BOARD - segment(24, 3)),
    ("arch 3 deep along top, from 4 to 20", BOARD - segment(16, 3).mirror([0, 0, 1]).translate([4, 0, 16])),
    ("arch 12 radius along bottom", BOARD - segment(24, 12)),
    ("bow 3 deep along top", BOARD ^ (segment(24, 3).translate([0, 0, 13]) + box(24, 1, 13))),
    # As far from (2, 0), (8, 2) and (20, 1): 3 x + z = 16 and 18 x + z = 198-1/2.
    (
        "arch through 0 at 2, 2 at 8, 1 at 20 along bottom",
        BOARD - under(182.5 / 15, -20.5, hypot(182.5 / 15 - 2, 20.5), 2, 20),
    ),
    # As far from (0, 13), (10, 15-3/4) and (24, 14): 20 x + 5-1/2 z = 179-1/16 and 48 x + 2 z = 603.
    (
        "bow through 3 at 0, 1/4 at 10, 2 at 24 along top",
        BOARD ^ under(13.20703125, -15.46875, hypot(13.20703125, 28.46875), 0, 24),
    ),
    # On the chord from (2, 1/2) to (16, 2), 14.08 long, the middle lies (900 - 7.04 x 7.04) ** 1/2 = 29.162 under it.
    (
        "arch 30 radius through 1/2 at 2, 2 at 16 along bottom",
        BOARD - under(9 + 29.16226 * 1.5 / 14.08013, 1.25 - 29.16226 * 14 / 14.08013, 30, 2, 16),
    ),
    (
        "rounded 4 at right top",
        BOARD - (box(4, 3, 4).translate([20, -1, 12]) - drilled(20, 12, 4)),
    ),
    (
        "left end rounded 8",
        (BOARD - box(8, 3, 16).translate([0, -1, 0])) + (drilled(8, 8, 8) ^ BOARD),
    ),
)


@pytest.mark.parametrize(("words", "other"), ROUND, ids=[words for words, _ in ROUND])
def test_curves_are_true_to_1_128_and_no_wood_is_counted_that_is_not_there(
    words: str, other: Manifold
) -> None:
    mine = ours(pieces(words), 0)
    off = other.volume() - mine
    # No more than 1/128 along the whole curve, which is no longer than a turn of the largest circle.
    assert -1e-3 < off < TRUE * THICK * 40
    solid = _solid(pieces(words))
    assert (solid - other).volume() < 2e-3
    assert (other - solid).volume() == pytest.approx(off, abs=2e-3)


def _solid(piece: Piece) -> Manifold:
    """Our cells as one solid of the other kernel."""
    body = piece.bodies[0]
    hulls = [
        Manifold.hull_points([list(body.to_own(corner)) for face in faces for corner in face])
        for faces in body_polyhedra(body)
    ]
    return Manifold.batch_boolean(hulls, OpType.Add)


def wedge(wide: float, long: float, off: float) -> Manifold:
    """What a taper takes off the right of a leg 2 in wide: nothing ``long`` up, ``off`` at its foot."""
    outline = [[wide - off, 0], [wide + 1, 0], [wide + 1, long], [wide, long]]
    return Manifold.extrude(CrossSection([outline]), 9).rotate([90, 0, 0]).translate([0, 5, 0])


LEG = box(2, 2, 28)
STRAIGHT = (
    ("taper right to 1-1/4 at bottom, 4 from top", LEG - wedge(2, 24, 0.75)),
    ("taper right to 1-1/4 at bottom, 24 from bottom", LEG - wedge(2, 24, 0.75)),
    ("taper right to 1 at bottom, 0 from top", LEG - wedge(2, 28, 1)),
    (
        "taper left, right to 1 at bottom, 4 from top",
        LEG - wedge(2, 24, 0.5) - wedge(2, 24, 0.5).mirror([1, 0, 0]).translate([2, 0, 0]),
    ),
    (
        "taper right, back to 1 at bottom, 4 from top",
        LEG - wedge(2, 24, 1) - wedge(2, 24, 1).mirror([1, -1, 0]),
    ),
    ("chamfer 1/2 x 1 at front right", None),
    ("left edge cut 30, long at front", None),
    ("top end cut 45, long at left, top end cut 30, long at front", None),
)


@pytest.mark.parametrize(("words", "other"), STRAIGHT, ids=[words for words, _ in STRAIGHT])
def test_tapers_and_bevels_are_what_another_kernel_leaves(words: str, other: Manifold | None) -> None:
    piece = pieces(leg=words)
    if other is None:
        other = _by_planes(words)
    assert ours(piece, 1) == pytest.approx(other.volume(), rel=1e-9)


def _by_planes(words: str) -> Manifold:
    """The leg trimmed by planes told by a point and the way out of the wood."""
    root = 2**-0.5
    cuts: dict[str, list[tuple[tuple[float, float, float], tuple[float, float, float]]]] = {
        "chamfer": [((2, 0.5, 0), (1 / 5**0.5 * 1, -2 / 5**0.5, 0))],
        "left edge": [((0, 0, 0), (-sin(1.0471975511965976), 0.5, 0))],
        "top end": [((0, 0, 28), (root, 0, root)), ((0, 0, 28), (0, 0.5, sin(1.0471975511965976)))],
    }
    found = LEG
    for point, out in cuts[next(each for each in cuts if words.startswith(each))]:
        found = found.trim_by_plane([-x for x in out], -sum(a * b for a, b in zip(point, out, strict=True)))
    return found


def test_a_low_stretcher_sits_on_the_slant_of_a_partial_taper() -> None:
    # The leg loses 3/4 in over the 24 in below its flat: atan(1 / 32) is 1.79 degrees. 5 in up 19/32 in of it is gone.
    text = """plan "Low stretcher"
stock post of white oak, 2 x 2
stock rail of white oak, 3/4 x 2-1/2
part leg of post, 28 long, upright, facing front
    taper right to 1-1/4 at bottom, 4 from top
part stretcher of rail, 20 long, crosswise, facing front
    left end cut 1.79, long at bottom
join stretcher.left to leg.right
    5 from bottom
    centred front to back
    pockets 2 in back
part leg_r mirrors leg
part stretcher_r mirrors stretcher, with its joins
join stretcher.right to stretcher_r.left as dowels
    flush top, front
"""
    for words, angled in ((text, True), (text.replace("    left end cut 1.79, long at bottom\n", ""), False)):
        plan, mistakes = understand(PlanText("x.plan", words), Settings())
        assert plan is not None and not mistakes
        piece, join = Piece(plan), plan.joins[0]
        leg, stretcher = piece.bodies[:2]
        assert bool(piece.pockets(join)) is angled
        if angled:
            assert stretcher.origin[0] - leg.origin[0] == pytest.approx(2 - 19 / 32, abs=1e-4)
            assert piece.contact(join).area == pytest.approx(0.75 * 2.5 / cos(radians(1.79)), rel=1e-3)
            assert len(plan.joins) == 3 and not piece.overlaps


def test_an_edge_that_meets_a_bevel_is_bevelled_to_it() -> None:
    text = """plan "Two boards"
stock board of pine, 3/4 x 5-1/2
part a of board, 20 long, crosswise, facing up
    back edge cut 20, long at top
part b of board, 20 long, crosswise, facing up
join a.back to b.front as glued
    flush left, top
"""
    plan, _ = understand(PlanText("x.plan", text), Settings())
    assert plan is not None
    piece = Piece(plan)
    [fault] = piece.placement.askew
    cuts = [(each.part.name, each.cut) for each in straightened(piece.graph, fault) if each.cut is not None]
    told = {(name, cut.end.value, float(cut.angle), cut.long_at.value) for name, cut in cuts}
    assert told == {("a", "back", 0, "top"), ("b", "front", 20, "bottom")}


BOARD = """\
plan "Board"
    unit inch
    seen from nowhere
stock board of oak, 3/4 x 4
part a of board, 20 long, crosswise, facing front
    {words}
"""


@pytest.mark.parametrize(
    ("most", "more", "says"),
    [
        ("chamfer 4 x 1 at top right", "chamfer 4-1/16 x 1 at top right", "takes 4-1/16 in in from top"),
        ("chamfer 1 x 20 at top right", "chamfer 1 x 20-1/16 at top right", "takes 20-1/16 in in from right"),
        ("chamfer 3/4 at front right", "chamfer 13/16 at front right", "takes 13/16 in in from front"),
        ("rounded 4 at top right", "rounded 4-1/16 at top right", "takes 4-1/16 in in from top"),
        ("rounded 3/4 at front right", "rounded 13/16 at front right", "takes 13/16 in in from front"),
        ("ends rounded 2", "ends rounded 2-1/16", "an end that is 4 in wide is rounded by a radius of half that, 2 in"),
        ("left end rounded 2", "left end rounded 2-1/16", "a flatter curve is a `bow 1 deep along left`"),
        ("bow 3-15/16 deep along top", "bow 4 deep along top", "takes 4 in in from top"),
        ("taper top to 3-15/16 at left, 0 from right", "taper top to 4 at left, 0 from right", "cannot taper to 4 in"),
        ("taper top to 1 at left, 19-15/16 from right", "taper top to 1 at left, 20 from right", "starts 20 in along"),
        ("taper top to 1 at left, 1/16 from left", "taper top to 1 at left, 0 from left", "starts 20 in along"),
        ("taper top to 1 at left, 20 from left", "taper top to 1 at left, 20-1/16 from left", "starts -1/16 in along"),
        ("taper top to 1 at left, 1 from left", "taper top to 1 at top, 1 from top", "whose ends are left and right"),
        ("taper top to 1 at left, 1 from left", "taper left to 1 at left, 1 from left", "and left is none"),
        ("rounded 1 at top right", "rounded 1 at top bottom", "top and bottom do not meet at a corner"),
        ("left end rounded 1", "top end rounded 1", "top is not an end of this part: its ends are left and right"),
    ],
)  # fmt: skip
def test_how_much_may_be_taken_off(most: str, more: str, says: str) -> None:
    """As much as there is, or all but a sixteenth of it; and a sixteenth more is refused, in these words."""
    told = [understand(PlanText("a.plan", BOARD.format(words=words)), Settings()) for words in (most, more)]
    assert told[0][1] == [], told[0][1]
    assert any(says in each.says for each in told[1][1]), told[1][1]

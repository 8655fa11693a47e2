"""Who sees a pocket: the quick answer against every eye and every sample point, with rays cast by manifold3d."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import product
from math import radians, sin
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.findings.finding import Grade
from planlint.geometry.drilling.pocket_layout import pocket_at, row_frame
from planlint.geometry.joint_facts import Sight, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.contact import contact
from planlint.geometry.shapes.vectors import minus, plus
from planlint.geometry.shapes.wood_runs import solid_boxes
from planlint.geometry.sight.eye_shadows import EyePlace, Shadow
from planlint.geometry.sight.eyes import arcs
from planlint.geometry.sight.mouth_sight import walls
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.directions import Side
from planlint.model.workshop import DrillingProfile, Settings, Viewer
from planlint.text.source import PlanText
from tests.builders import part
from tests.scenes import RADIUS, UPRIGHT, Scene, brute, cabinets, clear, eye_heights, eyes_round, scenes
from tests.solids import join_of, mesh_of, row, tried

# ---------------------------------------------------------------- against all lines


@given(st.one_of(scenes(), cabinets()))
@tried(250)
def test_seen_and_share_are_those_of_all_lines(scene: Scene) -> None:
    """``seen`` and ``sight().share`` against every eye and sample point: exactly the same eyes.

    The nearest eye that sees is the nearest of those found by brute force (1e-6 in).
    """
    eyes = eyes_round(scene.bounds, scene.seen_from, eye_heights(scene.bounds, scene.height, Viewer()))
    found = [brute(mouth, eyes, scene.hiding) for mouth in scene.mouths]
    assert scene.seen() == {number for number, seeing in enumerate(found) if any(seeing)}
    answer = scene.sight()
    assert answer.share == pytest.approx(sum(found[0]) / len(eyes), abs=1e-12)
    middle = scene.mouths[0].points[0]
    seeing_eyes = [eye for eye, sees in zip(eyes, found[0], strict=True) if sees]
    if not seeing_eyes:
        assert answer.eye is None
    else:
        assert answer.eye is not None
        nearest = min(np.linalg.norm(np.subtract(eye, middle)) for eye in seeing_eyes)
        assert np.linalg.norm(np.subtract(answer.eye, middle)) == pytest.approx(nearest, abs=1e-6)


@given(scenes())
@tried(8)
def test_rays_by_trimesh_agree(scene: Scene) -> None:
    """The rays themselves, cast a second time by trimesh, from the middle of the mouth to each eye."""
    # Not from the ends of an arc: those eyes lie in the very planes of the walls' corners.
    eyes = [
        eye
        for eye in eyes_round(scene.bounds, scene.seen_from, [60.0])
        if _clear_of_planes(eye, scene.bounds)
    ]
    eyes = eyes[:20]
    point = scene.mouths[0].points[0]
    starts = [plus(point, minus(eye, point), 1e-7) for eye in eyes]
    ways = [minus(eye, point) for eye in eyes]
    blocked = np.zeros(len(eyes), bool)
    for wood in scene.hiding:
        places, rays, _ = mesh_of(wood).ray.intersects_location(np.array(starts), np.array(ways))
        for place, ray in zip(places, rays, strict=True):
            blocked[ray] |= np.linalg.norm(place - starts[ray]) < np.linalg.norm(ways[ray])
    assert [not clear(point, eye, scene.hiding) for eye in eyes] == blocked.tolist()


def _clear_of_planes(eye: Vector, bounds: Box) -> bool:
    return all(abs(eye[i] - at) > 1e-6 for i in range(2) for at in (bounds.low[i], bounds.high[i]))


@given(scenes())
@tried(30)
def test_mouth_is_the_ellipse_of_the_bore(scene: Scene) -> None:
    """Sample points lie on the face (1e-9) and, but for the middle, a bit's radius from the bore's axis (1e-9)."""
    for mouth in scene.mouths:
        assert all(abs(mouth.face.depth(point)) < 1e-9 for point in mouth.points)
        rim = np.array(mouth.points[1:])
        centre = np.array(mouth.points[0])
        reach = np.linalg.norm(rim - centre, axis=1)
        assert reach.max() == pytest.approx(RADIUS / sin(radians(15)))
        assert reach.min() == pytest.approx(RADIUS)
        assert rim.mean(0) == pytest.approx(centre, abs=1e-9)


# ---------------------------------------------------------------- shadows, line by line


@st.composite
def grid_boxes(draw: st.DrawFn) -> tuple[Box, Box]:
    """Mouths, and wood about them that is large enough to hide them from many places."""
    found = []
    for lows, sizes in (((-2, 2), (0, 2)), ((-7, 5), (1, 9))):
        low = [draw(st.integers(*lows)) for _ in range(3)]
        high = [at + draw(st.integers(*sizes)) for at in low]
        found.append(Box((low[0], low[1], low[2]), (high[0], high[1], high[2])))
    return found[0], found[1]


PLACES: list[EyePlace] = [(x + 1 / 3, y + 1 / 7) for x, y in product(range(-31, 33, 9), repeat=2)]


def side_beyond(mouths: Box, wood: Box, axis: int, toward: int, entered: bool) -> float | None:
    """The plane of the side of a box that lies next beyond the mouths; only that by which lines come in, on asking."""
    outer = mouths[toward > 0][axis]
    beyond = [at for at in (wood.low[axis], wood.high[axis]) if (at - outer) * toward >= 0]
    if len(beyond) < 2:
        return beyond[0] if beyond and beyond[0] != outer and not entered else None
    return min(beyond, key=lambda at: at * toward)


def crosses(
    mouths: Box, wood: Box, axis: int, toward: int, plane: float, eye: Vector, only: Sequence[int]
) -> bool:
    """Whether each line from a corner of the mouths to an eye beyond a plane, a side of a box, goes through it inside
    its outline along the axes of ``only``: not just along its edge."""
    if (eye[axis] - plane) * toward <= 0:
        return False
    for corner in product(*zip(*mouths, strict=True)):
        share = (plane - corner[axis]) / (eye[axis] - corner[axis])
        at = [c + share * (e - c) for c, e in zip(corner, eye, strict=True)]
        if not all(wood.low[i] + 1e-7 < at[i] < wood.high[i] - 1e-7 for i in only if i != axis):
            return False
    return True


@given(grid_boxes(), st.integers(-20, 40))
@tried(400)
def test_a_shadow_is_all_that_one_side_of_a_box_hides(boxes: tuple[Box, Box], halves: int) -> None:
    """Each eye of a height against the lines from all eight corners of the box round the mouths, side by side: what is
    ruled out is hidden, and what is hidden by a side through which all lines come in is ruled out."""
    (mouths, wood), level = boxes, halves / 2
    within = all(a < d and c < b for a, b, c, d in zip(*mouths, *wood, strict=True))
    if within or level in (wood.low[2], wood.high[2]):
        return  # Wood in the mouths, or an eye in the plane of a side.
    shadow = Shadow(mouths, wood)

    def hidden(place: EyePlace, axes: Sequence[int], entered: bool) -> bool:
        sides = [
            (axis, toward, plane)
            for axis, toward in product(axes, (-1, 1))
            if (plane := side_beyond(mouths, wood, axis, toward, entered)) is not None
        ]
        return any(crosses(mouths, wood, *side, (*place, level), (0, 1, 2)) for side in sides)

    for axes, left in (
        ([2], shadow.past_level_side(PLACES, level)),
        ([0, 1, 2], shadow.rule_out(PLACES, level)),
    ):
        out = set(PLACES).difference(left)
        assert all(hidden(place, axes, entered=False) for place in out)
        assert not any(hidden(place, axes, entered=True) for place in left)


# ---------------------------------------------------------------- wood that runs on


def turned(box: Box, axis: int) -> Box:
    """With what lies along x laid along an axis."""
    (a, b, c), (d, e, f) = box
    return [box, Box((c, a, b), (f, d, e)), Box((b, c, a), (e, f, d))][axis]


@given(st.lists(st.tuples(*[st.integers(0, 6), st.integers(1, 4)] * 3), min_size=1, max_size=7))
@tried(200)
def test_boxes_that_are_wood_all_through(drawn: list[tuple[int, ...]]) -> None:
    """Cell by cell of a grid: nothing but wood in them, all wood in them; and each box with the one neighbour that it
    has at either end of an axis, as far as all share their section."""
    boxes: list[Box] = []
    for x, wide, y, deep, z, tall in drawn:
        new = Box((x, y, z), (x + wide, y + deep, z + tall))
        if not any(all(a < d and c < b for a, b, c, d in zip(*new, *old, strict=True)) for old in boxes):
            boxes.append(new)

    def holds(outer: Box, inner: Box) -> bool:
        return all(a <= c and d <= b for a, b, c, d in zip(*outer, *inner, strict=True))

    found = solid_boxes(boxes)
    for run in found:
        for cell in product(*(range(int(a), int(b)) for a, b in zip(*run, strict=True))):
            assert any(holds(box, Box(cell, tuple(at + 1 for at in cell))) for box in boxes)  # type: ignore[arg-type]
    assert all(any(holds(run, box) for run in found) for box in boxes)
    for box, axis in product(boxes, range(3)):
        touching = [
            [
                other
                for other in boxes
                if other is not box
                and (other.low[axis] == box.high[axis] if after else other.high[axis] == box.low[axis])
                and all(a <= d and c <= b for a, b, c, d in zip(*box, *other, strict=True))
            ]
            for after in (False, True)
        ]
        if max(map(len, touching)) == 1:
            ends = [*touching[0], *touching[1]]
            low = [max(each.low[i] for each in (box, *ends)) for i in range(3)]
            high = [min(each.high[i] for each in (box, *ends)) for i in range(3)]
            low[axis] = min(each.low[axis] for each in (box, *ends))
            high[axis] = max(each.high[axis] for each in (box, *ends))
            whole = Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))
            if all(a < b for a, b in zip(low, high, strict=True)):
                assert any(holds(run, whole) for run in found)


@pytest.mark.parametrize("axis", range(3))
@pytest.mark.parametrize("count", range(1, 7))
def test_boards_end_to_end(axis: int, count: int) -> None:
    """Each with those at its ends, and none that lies in another: of two or three one run, of six four. A rail between
    two legs runs on into both, as thick as it is."""
    row = [turned(Box((4 * n, 0, 0), (4 * n + 4, 3, 1)), axis) for n in range(count)]
    firsts = range(max(1, count - 2))
    assert sorted(solid_boxes(row)) == sorted(
        turned(Box((4 * n, 0, 0), (4 * min(count, n + 3), 3, 1)), axis) for n in firsts
    )
    legs = [turned(Box((at, -1, -5), (at + 2, 1, 9)), axis) for at in (0, 22)]
    rail = turned(Box((2, 0, 1), (22, 1, 4)), axis)
    through = turned(Box((0, 0, 1), (24, 1, 4)), axis)
    assert sorted(solid_boxes([legs[0], rail, legs[1]])) == sorted([*legs, through])
    assert solid_boxes([legs[0]]) == [legs[0]]


# ---------------------------------------------------------------- by hand


def bookcase(height: str, face: str, *more: Body, seen_from: tuple[Side, ...] = (Side.FRONT,)) -> Scene:
    """A shelf 3/4 x 11 x 30 at a height between two sides 84 in high, with a back; one pocket toward the left."""
    shelf = part("shelf", "30 x 11 x 3/4", "crosswise up")
    left = part("left", "84 x 11 x 3/4", "upright left")
    back = part("back", "84 x 31-1/2 x 1/4", "upright front")
    z = float(Fraction(height))
    body = Body(shelf, (0.75, 0.0, z))
    sides = [Body(left, (0.0, 0.0, 0.0)), Body(replace(left, name="right"), (30.75, 0.0, 0.0))]
    return drilled(body, Side.LEFT, sides[0], face, seen_from, sides[1], Body(back, (0.0, 11.0, 0.0)), *more)


def drilled(body: Body, side: Side, into: Body, face: str, seen_from: tuple[Side, ...], *more: Body) -> Scene:
    join = join_of(body.part, side, into.part, side.opposite, row(face))
    frame = row_frame(body, side, Side(face), contact(join, body, into), DrillingProfile())
    assert frame is not None
    pocket = pocket_at(frame, frame.high / 2, join, 0, body, into, side)
    return Scene([body, into, *more], [pocket], seen_from)


def test_top_of_a_shelf_above_eye_height_is_hidden_and_below_is_not() -> None:
    """Tallest eye 69.0 in: a top at 70-3/4 is hidden from all, one at 30-3/4 is seen, by standing eyes in front."""
    assert bookcase("70", "top").seen() == set()
    assert bookcase("70", "top").sight() == Sight(0.0, None, None, False)
    low = bookcase("30", "top")
    assert low.seen() == {0}
    answer = low.sight()
    assert 0 < answer.share < 1
    assert answer.seen_from is Side.FRONT
    assert not answer.seated
    assert answer.eye is not None
    assert answer.eye[1] < 0


def test_underside_of_a_shelf_is_seen_only_from_lower_down() -> None:
    """Underside at 48 in: standing eyes, 55.9 in and over, look from above; a seated one at 41.9 sees it.

    A piece this high is looked at from a chair only where the settings say so.
    """
    scene = bookcase("48", "bottom")
    assert scene.seen() == set()
    chair = replace(Viewer(), seated_below=90.0)
    assert scene.seen(chair) == {0}
    assert scene.sight(chair).seated
    assert bookcase("72", "bottom").seen() == {0}


OVERHANG = """\
plan "High table"
    seen from front
stock ply of birch plywood, 3/4 thick
part top of ply, 96 long, 60 wide, crosswise, facing up
part apron of ply, 20 long, 4 wide, crosswise, facing front
part post of ply, 44 long, 4 wide, upright, facing front
join apron.top to top.bottom
    38 from front
    centred left to right
    pockets 2 in front
    screws coarse 1-1/4
join post.top to apron.bottom
    flush front, left
    glued
"""


def test_from_a_chair_only_what_looks_down_is_seen_of_a_high_piece() -> None:
    """Pockets an inch under a top that stands out 38 in, 48 in up: standing eyes, 10 ft off, look down on the top. A
    chair would show them; of so high a piece it is asked only about what looks down."""
    for chair, told in ((Settings(), False), (Settings(viewer=replace(Viewer(), seated_below=90.0)), True)):
        plan, mistakes = understand(PlanText("a.plan", OVERHANG), chair)
        assert plan is not None, mistakes
        piece = Piece(plan, chair)
        assert any(map(piece.in_sight, piece.pockets(plan.joins[0]))) is told


def toe_kick(*more: Body) -> Scene:
    """A rail 4 in high stands 3 in back under a bottom; a pocket in its front toward the left side."""
    rail = Body(part("rail", "30 x 4 x 3/4", "crosswise front"), (0.75, 3.0, 0.0))
    left = Body(part("left", "34 x 12 x 3/4", "upright left"), (0.0, 0.0, 0.0))
    right = Body(part("right", "34 x 12 x 3/4", "upright left"), (30.75, 0.0, 0.0))
    bottom = Body(part("bottom", "30 x 12 x 3/4", "crosswise up"), (0.75, 0.0, 4.0))
    return drilled(rail, Side.LEFT, left, "front", (Side.FRONT,), right, bottom, *more)


def test_behind_a_toe_board_is_hidden() -> None:
    """With a board across the front nobody sees the rail's pocket; without it, far eyes look in under the bottom."""
    board = Body(part("toe", "30 x 4 x 3/4", "crosswise front"), (0.75, 0.0, 0.0))
    assert toe_kick(board).seen() == set()
    assert toe_kick(board).sight().share == 0
    open_front = toe_kick()
    assert open_front.seen() == {0}


def test_back_against_a_wall_is_hidden() -> None:
    """A pocket in the back of a rail flush with the back of its leg: hidden from the front, seen from all round."""

    def table(seen_from: tuple[Side, ...]) -> Scene:
        rail = Body(part("rail", "30 x 4 x 3/4", "crosswise front"), (1.5, 0.75, 25.0))
        leg = Body(part("leg", "29 x 1-1/2 x 1-1/2", "upright front"), (0.0, 0.0, 0.0))
        return drilled(rail, Side.LEFT, leg, "back", seen_from)

    assert table((Side.FRONT,)).seen() == set()
    assert table((Side.FRONT, Side.LEFT)).seen() == set()
    assert table(UPRIGHT).seen() == {0}
    assert table((Side.BACK,)).sight().seen_from is Side.BACK


def test_no_head_is_in_the_wall_behind() -> None:
    """An apron 1/4 in before the back of its legs, seen from the front and the ends: the pockets in its back show only
    to eyes in the very plane of the wall. Turned round, the same."""

    def stand(face: str, seen_from: tuple[Side, ...]) -> Scene:
        apron = Body(
            part("apron", "30 x 4 x 3/4", "crosswise front"), (1.5, 0.5 if face == "back" else 0.25, 25.0)
        )
        leg = Body(part("leg", "29 x 1-1/2 x 1-1/2", "upright front"), (0.0, 0.0, 0.0))
        return drilled(apron, Side.LEFT, leg, face, seen_from)

    for face, seen_from in (("back", Side.FRONT), ("front", Side.BACK)):
        ends = (seen_from, Side.LEFT, Side.RIGHT)
        assert stand(face, ends).seen() == set()
        assert stand(face, ends).sight().share == 0
        assert stand(face, UPRIGHT).seen() == {0}


def test_walls_stand_against_the_sides_that_nobody_looks_from() -> None:
    """A piece of 30 x 12 in in a corner, seen from the front and the left: at its right end and its back, each on past
    the corner between them. In the middle of a room there is none."""
    bounds = Box((-10, 2, 0), (20, 14, 40))
    right, back = walls(bounds, (Side.FRONT, Side.LEFT))
    assert (right.side, right.plane, back.side, back.plane) == (Side.RIGHT, 20, Side.BACK, 14)
    assert (right.hider.box.low[0], right.hider.box.low[1], back.hider.box.low[:2]) == (20, 2, (-10, 14))
    assert all(wall.hider.box.high[i] > 1e4 for wall in (right, back) for i in range(3))
    assert all(wall.hider.box.low[2] < -1e4 for wall in (right, back))
    left, front = walls(bounds, (Side.RIGHT, Side.BACK))
    # How far out along the side of the wall itself: 10 to the left of nought, and 2 behind it.
    assert (left.side, left.plane, front.side, front.plane) == (Side.LEFT, 10, Side.FRONT, -2)
    assert (left.hider.box.high[:2], front.hider.box.high[:2]) == ((-10, 14), (20, 2))
    assert not walls(bounds, UPRIGHT)


def test_eyes_keep_clear_of_walls_but_pass_neighbours() -> None:
    """Depth 12 in, the back unseen: no eye of any arc with y over 8. In a corner: nor with x under 4. From the front
    alone, with a neighbour at each end: all eyes, before the neighbours too."""
    bounds = Box((0, 0, 0), (30, 12, 40))

    def places(*seen_from: Side) -> list[tuple[float, float]]:
        return [place for arc in arcs(bounds, seen_from, Viewer(), None) for place in arc.places]

    all_three = places(Side.FRONT, Side.LEFT, Side.RIGHT)
    assert max(y for _, y in all_three) <= 8 + 1e-5
    assert min(x for x, _ in all_three) == pytest.approx(-120)
    mirrored = places(Side.BACK, Side.LEFT, Side.RIGHT)
    assert sorted((round(x, 5), round(12 - y, 5)) for x, y in mirrored) == sorted(
        (round(x, 5), round(y, 5)) for x, y in all_three
    )
    corner = places(Side.FRONT, Side.RIGHT)
    assert min(x for x, _ in corner) >= 4 - 1e-5
    assert max(y for _, y in corner) <= 8 + 1e-5
    assert len(places(Side.FRONT)) == 15 * 3
    assert len(places(*UPRIGHT)) == 4 * 15 * 3


@pytest.mark.parametrize(("bottom", "seated"), [(41.0, 0), (44.0, 1), (54.0, 2)])
def test_a_hung_piece_is_looked_at_from_a_chair_beneath_it(bottom: float, seated: int) -> None:
    """Seated eyes at 41.9 and 51.8 in: each counts where the whole piece hangs above it."""
    (arc,) = arcs(Box((0, 0, bottom), (30, 12, bottom + 30)), (Side.FRONT,), Viewer(), None)
    assert sum(is_seated for _, is_seated in arc.heights) == seated
    hung = Body(part("shelf", "30 x 11 x 3/4", "crosswise up"), (0.75, 0.0, bottom))
    side = Body(part("side", "12 x 11 x 3/4", "upright left"), (0.0, 0.0, bottom))
    scene = drilled(hung, Side.LEFT, side, "bottom", (Side.FRONT,))
    assert scene.seen() == ({0} if seated else set())


def test_eye_height_said_stands_for_all_eyes() -> None:
    """An eye at 29 in does not see a top at 30-3/4; one at 32 does."""
    scene = bookcase("30", "top")
    for height, expected in ((29.0, set[int]()), (32.0, {0})):
        scene.height = height
        assert scene.seen() == expected


def test_nobody_looks() -> None:
    """Seen from nowhere: nothing is in sight."""
    assert bookcase("30", "top", seen_from=()).seen() == set()
    assert bookcase("30", "top", seen_from=()).sight().share == 0


def test_eyes_stand_where_the_design_says() -> None:
    """15 places at 3 distances and 2 heights for a side; all between 1 and 10 ft off, none behind its plane."""
    (arc,) = arcs(Box((0, 0, 0), (30, 12, 40)), (Side.FRONT,), Viewer(), None)
    assert (len(arc.places), len(arc.heights)) == (15 * 3, 2)
    for x, y in arc.places:
        away = np.hypot(max(0.0, -x, x - 30), y)
        assert min(abs(away - each) for each in (12, 48, 120)) < 1e-9
        assert y <= 1e-9
    assert {round(height, 1) for height, _ in arc.heights} == {55.9, 69.0}
    (low,) = arcs(Box((0, 0, 0), (30, 12, 30)), (Side.LEFT,), Viewer(), None)
    assert len(low.places) * sum(seated for _, seated in low.heights) == 15 * 3 * 2


def test_who_looks_along_a_face_sees_little_of_a_mouth_in_it() -> None:
    """Through a slit of 1/8 in, two degrees from the board's underside: a sliver, whose whole mouth no thing covers."""
    path = Path(__file__).parent / "pieces" / "wall_desk_shut_but_for_a_slit.plan"
    (found,) = inspect_text(PlanText("desk.plan", path.read_text("utf-8"))).told
    assert (found.rule, found.grade) == ("hole-in-sight", Grade.ADVICE)


@pytest.mark.parametrize("at", [0.0, 30.0, 150.0, 290.0, 300.0])
def test_people_walk_along_a_long_piece(at: float) -> None:
    """Who looks at a place stands round as much of the piece as lies within reach of it, as if it were no longer."""
    viewer, seen = Viewer(), (Side.FRONT,)
    reach = max(viewer.distances)
    assert 60 < reach < 150, "the piece is longer both ways than anybody stands off"
    near = Box((max(0.0, at - reach), 0.0, 0.0), (min(300.0, at + reach), 20.0, 30.0))
    long, short = (
        arcs(Box((0.0, 0.0, 0.0), (300.0, 20.0, 30.0)), seen, viewer, 60.0, (at, 10.0, 10.0)),
        arcs(near, seen, viewer, 60.0),
    )
    ours, theirs = ([x for place in sorted(each[0].places) for x in place] for each in (long, short))
    assert ours == pytest.approx(theirs)
    assert all(near.low[0] - reach <= x <= near.high[0] + reach for x, _ in long[0].places)

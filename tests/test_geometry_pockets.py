"""Pockets, bores and the wood round them against sampled and meshed bores; layouts against their promises."""

from __future__ import annotations

from dataclasses import replace
from math import cos, radians, sin, tan
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from manifold3d import Manifold

from planlint.geometry.drilling.bore_clearance import bore_hull, clearance
from planlint.geometry.drilling.pocket_layout import RowFrame, allowed_stretch, covers, pocket_at, row_frame
from planlint.geometry.joint_facts import Pocket
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.contact import contact
from planlint.geometry.shapes.convex import furthest
from planlint.geometry.shapes.vectors import dot, minus, norm, plus, scaled
from planlint.inspection.inspect_plan import inspect_text
from planlint.model.directions import SIDES, Side
from planlint.model.plan import Join, Part
from planlint.model.workshop import Settings
from planlint.text.source import PlanText
from tests.builders import exactly, part
from tests.meetings import Meeting, meetings, put_together
from tests.solids import Array, carved, join_of, row, solid, taken_away, tried

SHOP = Settings()
COVER = SHOP.limits["breakout", "wood"]
PROFILE = SHOP.profile
RADIUS, PILOT = 3 / 16, 9 / 128


class Drilled(NamedTuple):
    """One pocket in its part, and what it was laid out from."""

    pocket: Pocket
    frame: RowFrame
    body: Body
    into: Body
    join: Join


def drill(m: Meeting, face: Side, share: float, slide: tuple[float, float, float]) -> Drilled | None:
    """A pocket in A toward B, at a share of the joint's length; ``None`` where they do not touch."""
    body, into = put_together(m, slide, 0.0)
    join = join_of(m.a, m.side_a, m.b, m.side_b, row(face.value))
    frame = row_frame(body, m.side_a, face, contact(join, body, into), PROFILE)
    if frame is None:
        return None
    return Drilled(
        pocket_at(frame, share * frame.high, join, 0, body, into, m.side_a), frame, body, into, join
    )


@st.composite
def drillings(draw: st.DrawFn, *, removals: bool = False) -> Drilled:
    """A pocket anywhere in a joint, its part cut and turned in any way."""
    m = draw(meetings())
    if not removals:
        m = m._replace(a=replace(m.a, removals=()), b=replace(m.b, removals=()))
    faces = [side for side in SIDES if side.axis not in {m.side_a.axis, m.a.grain}]
    faces = [face for face in faces if not _slants(m.a, face)]
    slide = draw(st.tuples(*(st.floats(-0.5, 0.5) for _ in range(3))))
    found = drill(m, draw(st.sampled_from(faces)), draw(st.floats(-0.2, 1.2)), (slide[0], slide[1], slide[2]))
    assume(found is not None)
    assert found is not None
    return found


def _slants(a: Part, face: Side) -> bool:
    return a.cut_at(face) is not None


# ---------------------------------------------------------------- a bore in other words


class Bore(NamedTuple):
    """Points on the rims of a bore and of its pilot, sampled."""

    shoulder: Array
    mouth: Array
    pilot: Array


def bore_of(d: Drilled, count: int = 720) -> Bore:
    """Sampled from the definition: the axis runs 15 degrees off the face in the plane of the two normals and
    leaves the meeting side at half the thickness; only where along the row is taken from the pocket."""
    out = np.array(d.body.planes[d.pocket.face].normal)
    toward = np.array(d.body.planes[d.pocket.side].normal)
    thick = float(d.pocket.part.size[d.pocket.face.axis])
    flat = toward - out * (toward @ out)
    flat /= np.linalg.norm(flat)
    axis = flat * cos(radians(15)) - out * sin(radians(15))
    # On the meeting plane and half the thickness under the face; along the row as the pocket has it.
    row_way = np.cross(out, flat)
    exit_ = np.linalg.solve(
        np.array([out, toward, row_way]),
        [
            d.body.planes[d.pocket.face].offset - thick / 2,
            d.body.planes[d.pocket.side].offset,
            row_way @ np.array(d.pocket.exit),
        ],
    )
    setback = max(0.5, thick * 5 / 6)
    turns = np.linspace(0, 2 * np.pi, count, endpoint=False)
    up = np.cross(axis, row_way)
    ring = np.outer(np.cos(turns), row_way) + np.outer(np.sin(turns), up)
    shoulder = exit_ - axis * setback + RADIUS * ring
    depth = d.body.planes[d.pocket.face].offset - shoulder @ out
    mouth = shoulder - np.outer(depth / sin(radians(15)), axis)
    end = exit_ + PILOT * ring
    # It ends in the joint plane, aslant where that leans.
    end += np.outer((d.body.planes[d.pocket.side].offset - end @ toward) / (axis @ toward), axis)
    pilot = np.concatenate([exit_ - axis * setback + PILOT * ring, end])
    return Bore(shoulder, mouth, pilot)


@given(drillings(removals=True))
@tried(200)
def test_axis(d: Drilled) -> None:
    """Exit, shoulder, mouth and direction against the definition worked out again in numpy (1e-9 in)."""
    bore = bore_of(d, 8)
    assert d.pocket.shoulder == pytest.approx(bore.shoulder.mean(0), abs=1e-9)
    assert d.pocket.exit == pytest.approx(bore.pilot[8:].mean(0), abs=1e-9)
    assert d.pocket.mouth == pytest.approx(bore.mouth.mean(0), abs=1e-9)
    thick = float(d.pocket.part.size[d.pocket.face.axis])
    assert d.pocket.setback == pytest.approx(max(0.5, thick * 5 / 6))
    assert d.body.planes[d.pocket.face].depth(d.pocket.exit) == pytest.approx(thick / 2)


@given(drillings())
@tried(200)
def test_cover_to_each_side(d: Drilled) -> None:
    """Bore and pilot against 720 points round each rim, for each side of the part: 1e-4 in."""
    bore = bore_of(d)
    for side in SIDES:
        plane = d.body.planes[side]
        normal = np.array(plane.normal)
        found = covers(d.frame, plane, PROFILE)
        moved = found.change * d.pocket.station
        # In thin stock part of the shoulder's disc lies out of the face: no bore runs back from there to the mouth.
        back = (bore.mouth - bore.shoulder) @ np.array(d.pocket.direction) <= 0
        least = plane.offset - max(*(bore.shoulder @ normal), *(bore.mouth[back] @ normal))
        assert found.bore + moved == pytest.approx(least, abs=1e-4)
        # The pilot's far end is cut off by the joint plane, not square.
        half = len(bore.pilot) // 2
        axis, joint = np.array(d.pocket.direction), np.array(d.frame.meeting.normal)
        over = (d.frame.meeting.offset - bore.pilot[half:] @ joint) / (axis @ joint)
        ends = np.concatenate([bore.pilot[:half], bore.pilot[half:] + np.outer(over, axis)])
        assert found.pilot + moved == pytest.approx(plane.offset - (ends @ normal).max(), abs=1e-4)


def meshed_bore(d: Drilled, radius: float, start: float, end: float) -> Manifold:
    """A cylinder about the axis from ``start`` to ``end`` (inches before the exit), trimmed by the drilled face."""
    axis = np.array(d.pocket.direction)
    across = np.array(d.frame.across)
    matrix = np.column_stack([across, np.cross(axis, across), axis, np.array(d.pocket.exit) - axis * start])
    whole = Manifold.cylinder(start - end, radius, circular_segments=180).transform(matrix)
    plane = d.body.planes[d.pocket.face]
    return whole.trim_by_plane([-each for each in plane.normal], -plane.offset)


@given(drillings())
@tried(150)
def test_breaks_out_where_a_meshed_bore_does(d: Drilled) -> None:
    """A bore meshed by manifold3d leaves its part just where ``clearance`` says less than nothing is left.

    Band: clearances within 0.002 in of nothing are not judged (180 facets are 3e-5 in off, slivers have no volume).
    Stock of 5/8 and over: in thinner wood the shoulder's disc reaches out of the drilled face.
    """
    assume(d.frame.thickness >= 0.65)
    left = clearance(d.pocket, d.frame, d.body, SHOP)
    assume(abs(left.bore.wood) > 0.002)
    bore = meshed_bore(d, RADIUS, d.pocket.setback + 30, d.pocket.setback)
    outside = (bore - solid(d.pocket.part)).volume()
    assert (outside > 1e-9) == (left.bore.wood < 0)


@given(drillings(removals=True))
@tried(150)
def test_clearance_beside_removals(d: Drilled) -> None:
    """Least wood to any rabbet, groove or notch against manifold3d's least gap from the meshed bore: 0.01 in.

    Where a cut runs into the bore, both must say so. Of a cut only what lies in the part counts. The sides of the
    part are judged by the test before.
    """
    assume(d.frame.thickness >= 0.65 and d.pocket.part.removals)
    plain = Body(replace(d.pocket.part, removals=()), d.body.origin)
    sides = clearance(d.pocket, d.frame, plain, SHOP)
    left = clearance(d.pocket, d.frame, d.body, SHOP)
    bore = meshed_bore(d, RADIUS, d.pocket.setback + 30, d.pocket.setback)
    joint = d.frame.meeting
    pilot = meshed_bore(d, PILOT, d.pocket.setback, -1)
    pilot = pilot.trim_by_plane([-each for each in joint.normal], -joint.offset)
    gone = taken_away(d.pocket.part) ^ solid(plain.part)
    for tool, found, without in (
        (bore, left.bore.wood, sides.bore.wood),
        (pilot, left.pilot.wood, sides.pilot.wood),
    ):
        gap = tool.min_gap(gone, 40.0)
        if gap > 0:
            assert found == pytest.approx(min(gap, without), abs=0.01)
        elif (tool ^ gone).volume() > 1e-4:
            assert found < 0


@given(drillings())
@tried(150)
def test_allowed_stretch(d: Drilled) -> None:
    """Stations from end to end of the joint: those where ``clearance`` to the other sides is the cover (1e-9 in)."""
    side, face = d.pocket.side, d.pocket.face
    low, high = allowed_stretch(d.frame, d.body, side, face, SHOP)
    for share in np.linspace(0, 1, 41):
        station = float(share * d.frame.high)
        bore = bore_of(d._replace(pocket=pocket_at(d.frame, station, d.join, 0, d.body, d.into, side)), 180)
        back = (bore.mouth - bore.shoulder) @ np.array(d.pocket.direction) <= 0
        around = np.concatenate([bore.shoulder, bore.mouth[back], bore.pilot])
        planes = [d.body.planes[other] for other in SIDES if other not in {side, face}]
        least = min(plane.offset - (around @ np.array(plane.normal)).max() for plane in planes)
        if abs(least - COVER) > 1e-3:
            assert (low <= station <= high) == (least > COVER)


# ---------------------------------------------------------------- by hand


def by_hand(a: Part, side: Side, b: Part, meeting: Side, face: Side) -> Drilled:
    found = drill(Meeting(a, side, b, meeting), face, 0.5, (0.0, 0.0, 0.0))
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("thickness", "setback"), [("3/4", 5 / 8), ("1-1/2", 5 / 4), ("1/2", 1 / 2), ("1", 5 / 6)]
)
def test_setback_by_thickness(thickness: str, setback: float) -> None:
    """Check values of the design: max(1/2, 5/6 t), along the axis; cover over and under it by arithmetic."""
    rail = part("a", f"12 x 3 x {thickness}", "crosswise front")
    stile = part("b", f"24 x 3 x {thickness}", "upright front")
    d = by_hand(rail, Side.LEFT, stile, Side.RIGHT, Side.BACK)
    thick = float(rail.thickness)
    assert d.pocket.setback == pytest.approx(setback)
    assert d.pocket.exit == pytest.approx((0, thick / 2, 1.5))
    assert d.pocket.direction == pytest.approx((-cos(radians(15)), -sin(radians(15)), 0))
    assert d.pocket.shoulder == pytest.approx(
        (setback * cos(radians(15)), thick / 2 + setback * sin(radians(15)), 1.5)
    )
    assert d.pocket.mouth[1] == pytest.approx(thick)
    assert d.pocket.mouth[0] == pytest.approx(thick / 2 / tan(radians(15)))


def test_square_end_keeps_bores_off_the_edges() -> None:
    """3/4 x 3 rail: a bore of radius 3/16 may run from 5/16 to 2-11/16 (arithmetic, 1e-9)."""
    d = by_hand(
        part("a", "12 x 3 x 3/4", "crosswise front"),
        Side.LEFT,
        part("b", "24 x 3 x 3/4", "upright front"),
        Side.RIGHT,
        Side.BACK,
    )
    allowed = allowed_stretch(d.frame, d.body, Side.LEFT, Side.BACK, SHOP)
    assert allowed == pytest.approx((5 / 16, 3 - 5 / 16), abs=1e-9)
    middle = clearance(d.pocket, d.frame, d.body, SHOP)
    assert middle.pilot.wood == pytest.approx(0.375 - PILOT / cos(radians(15)))
    assert middle.pilot.at is Side.FRONT


def test_mitre_lets_bores_only_near_its_long_point() -> None:
    """A 45 degree mitre on 3/4 x 2-1/2: the mouth runs toward the heel, so the heel's end of the row is barred.

    By arithmetic: bores run square to the mitre; the mouth's far edge lies t/2 / tan 15 + r / sin 15 from the joint
    plane, and must keep r + 1/8 to the long edge, 45 degrees off.
    """
    rail = part("a", "20 x 2-1/2 x 3/4", "crosswise front", "right 45 top")
    stile = part("b", "30 x 2-1/2 x 3/4", "upright front", "top 45 right")
    d = by_hand(rail, Side.RIGHT, stile, Side.TOP, Side.BACK)
    low, high = allowed_stretch(d.frame, d.body, Side.RIGHT, Side.BACK, SHOP)
    # Bores run down and to the right out of the wood's middle, so their mouths lie up and to the left.
    assert d.pocket.mouth[2] > d.pocket.exit[2]
    assert 0 < low < high
    long_edge = (2.5 - 0.125) * 2**0.5
    back = 0.375 / tan(radians(15))
    ellipse = ((RADIUS / sin(radians(15))) ** 2 + RADIUS**2) ** 0.5
    assert high == pytest.approx(long_edge - back - ellipse, abs=1e-9)


def test_groove_in_the_inner_edge_takes_its_wood() -> None:
    """A rail 3/4 x 2 with a panel groove 1/4 wide, 3/8 deep in its inner edge: the pocket 7/16 from the edge breaks in.

    By arithmetic: from the middle of the bore's flank to the groove's floor, 7/16 - 3/8 - 3/16 < 0, at 1 in 7/16 left.
    """
    rail = carved(
        part("a", "12 x 2 x 3/4", "crosswise front"), ("groove", ("0", "1/4", "0"), ("12", "1/2", "3/8"))
    )
    d = by_hand(rail, Side.LEFT, part("b", "24 x 2 x 3/4", "upright front"), Side.RIGHT, Side.BACK)

    def left(station: float) -> tuple[float, Side | str]:
        pocket = pocket_at(d.frame, station, d.join, 0, d.body, d.into, Side.LEFT)
        found = clearance(pocket, d.frame, d.body, SHOP)
        return found.bore.wood, found.bore.at

    assert left(7 / 16)[0] < 0
    assert left(7 / 16)[1] == "groove"
    assert left(1.0)[0] < 1 - 3 / 8 - 3 / 16 + 0.01


@pytest.mark.parametrize("width", ["3", "11/16"])
def test_groove_behind_the_joint_under_the_far_end_of_the_mouth(width: str) -> None:
    """A groove in the drilled face that crosses only the tail of the mouth's ellipse is a breakout, in a narrow rail
    (whose edges are nearer than the groove is to the mouth's middle) as in a wide one.

    The mouth's middle lies 1.40 in from the joint, its tail 0.72 in farther; the groove runs from 1.8 to 2.
    """
    rail = carved(
        part("a", f"12 x {width} x 3/4", "crosswise front"),
        ("dado", ("1.8", "1/2", "0"), ("2", "3/4", width)),
    )
    d = by_hand(rail, Side.LEFT, part("b", "24 x 3 x 3/4", "upright front"), Side.RIGHT, Side.BACK)
    found = clearance(d.pocket, d.frame, d.body, SHOP)
    assert found.bore.wood < 0
    assert found.bore.at == "dado"


THIN = """\
plan "Thin"
    seen from nowhere
stock leg of oak, 2 x 2
stock rail of oak, {thick} x 3
part leg of leg, 20 long, upright, facing front
part apron of rail, 10 long, crosswise, facing front
join apron.left to leg.right
    flush top, front
    pockets 2 in back
    screws fine 1
"""


@pytest.mark.parametrize("thick", ["3/4", "1/2", "3/8", "1/4", "3/16"])
def test_a_bore_ends_at_its_shoulder_and_at_the_face(thick: str) -> None:
    """In thin stock the face cuts its shoulder off, and the two planes meet on one line in the face."""
    piece = inspect_text(PlanText("a.plan", THIN.format(thick=thick))).piece
    assert piece is not None
    pocket, radius = piece.pockets(piece.plan.joins[0])[0], piece.settings.profile.bit_diameter / 2
    hull = bore_hull(pocket, radius)
    face = float(exactly(thick))
    assert furthest(hull, (0.0, 1.0, 0.0))[1] == pytest.approx(face)
    deepest = dot(furthest(hull, pocket.direction), pocket.direction)
    assert deepest == pytest.approx(dot(pocket.shoulder, pocket.direction))
    for rim in hull:
        for share in (-1.0, 0.0, rim.most):
            at = plus(plus(rim.centre, rim.u, share), rim.v, (1 - share * share) ** 0.5)
            away = minus(at, pocket.shoulder)
            assert norm(minus(away, scaled(pocket.direction, dot(away, pocket.direction)))) <= radius + 1e-9
    if thick != "3/4":
        one, other = (plus(rim.centre, rim.u, rim.most) for rim in hull)
        assert one == pytest.approx(other) and one[1] == pytest.approx(face)
        assert dot(one, pocket.direction) == pytest.approx(dot(pocket.shoulder, pocket.direction))

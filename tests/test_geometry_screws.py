"""Screws against sampled and meshed screws, and against the check values of the design."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import cos, radians, sin

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from manifold3d import Manifold

from planlint.geometry.drilling.pocket_layout import pocket_at, row_frame
from planlint.geometry.drilling.screw_choice import diameter, end_distance, grip, screw_in, tip_cover
from planlint.geometry.joint_facts import Screw, Vector
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.contact import contact
from planlint.model.directions import SIDES, Side
from planlint.model.join_details import ScrewChoice
from planlint.model.threads import suited_thread
from planlint.model.timber import material_of
from planlint.model.workshop import DrillingProfile, Settings
from planlint.rulebook.limits import NIL, Limits
from tests.builders import NOWHERE, part, stock
from tests.meetings import Meeting, meetings, put_together
from tests.solids import carved, crossings, join_of, mesh_of, row, sheet, solid, taken_away, tried, vector

LENGTHS = (1, 1.25, 1.5, 2, 2.5)
SHANK = 0.164 / 2
"""Radius of a No. 8 screw: 0.060 + 0.013 x 8 inches through the thread."""


def screw_of(
    m: Meeting, face: Side, share: float = 0.5, *, length: str | None = None, slide: float = 0.0
) -> tuple[Screw, Body] | None:
    """One screw from A into B, with B; ``length`` as the plan says it, or chosen."""
    body, into = put_together(m, (slide, slide, slide), 0.0)
    join = join_of(m.a, m.side_a, m.b, m.side_b, row(face.value))
    frame = row_frame(body, m.side_a, face, contact(join, body, into), DrillingProfile())
    if frame is None:
        return None
    pocket = pocket_at(frame, share * frame.high, join, 0, body, into, m.side_a)
    choice = None if length is None else ScrewChoice("coarse", Fraction(length), 8, NOWHERE)
    return screw_in(pocket, into, m.side_b, choice, Settings()), into


@st.composite
def screws(draw: st.DrawFn, *, removals: bool = False) -> tuple[Screw, Body, Side]:
    """A screw of a said length anywhere in a joint of any kind, the body that takes it and the side it enters."""
    m = draw(meetings())
    m = m._replace(a=replace(m.a, removals=()))
    if not removals:
        m = m._replace(b=replace(m.b, removals=()))
    faces = [side for side in SIDES if side.axis not in {m.side_a.axis, m.a.grain}]
    length = draw(st.sampled_from(["1", "5/4", "3/2", "2", "5/2", "3"]))
    found = screw_of(
        m,
        draw(st.sampled_from(faces)),
        draw(st.integers(2, 99)) / 101,  # never just in the plane of a side or a wall
        length=length,
        slide=draw(st.floats(-0.4, 0.4)),
    )
    assume(found is not None)
    assert found is not None
    assume(found[0].reach > 0.05)
    return found[0], found[1], m.side_b


@given(screws())
@tried(200)
def test_tip_cover_by_sampling(drawn: tuple[Screw, Body, Side]) -> None:
    """Cover to every side but the one entered, from 360 points round the shank's two rims and the point: 1e-4 in.

    At a slanted end a plane may come nearer than the face in it: that is the second oracle's to judge.
    """
    screw, into, meeting = drawn
    rims = _rims(screw, 360, into.planes[meeting].normal)
    planes = {side: into.planes[side] for side in SIDES if side is not meeting}
    least = {side: plane.offset - (rims @ np.array(plane.normal)).max() for side, plane in planes.items()}
    cover, at = tip_cover(screw, into, meeting)
    assert isinstance(at, Side)
    if into.cut_ends:
        assert cover >= min(least.values()) - 1e-4
        assert (cover < 0) == (min(least.values()) < 0) or abs(cover) < 1e-4
        return
    assert cover == pytest.approx(min(least.values()), abs=1e-4)
    assert least[at] == pytest.approx(cover, abs=1e-4)


def _rims(screw: Screw, count: int, joint: Vector) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Rings round the screw in the joint plane and where its taper starts, two diameters before the point."""
    exit_, tip = np.array(screw.pocket.exit), np.array(screw.tip)
    axis = (tip - exit_) / np.linalg.norm(tip - exit_)
    u = np.cross(axis, [0.3, 0.5, 0.8])
    u /= np.linalg.norm(u)
    v = np.cross(axis, u)
    turns = np.linspace(0, 2 * np.pi, count, endpoint=False)
    ring = SHANK * (np.outer(np.cos(turns), u) + np.outer(np.sin(turns), v))
    neck = tip - axis * min(float(np.linalg.norm(tip - exit_)), 4 * SHANK)
    aslant = ring - np.outer(ring @ np.array(joint) / (axis @ np.array(joint)), axis)
    return np.concatenate([exit_ + aslant, neck + ring, tip[None, :]])


@given(screws(removals=True))
@tried(100)
def test_tip_cover_beside_removals(drawn: tuple[Screw, Body, Side]) -> None:
    """Cover to rabbets, grooves and notches against manifold3d's least gap from a meshed screw: 0.01 in.

    Where a cut runs into the screw, the cover is less than nothing.
    """
    screw, into, meeting = drawn
    assume(into.part.removals)
    plain = Body(replace(into.part, removals=()), into.origin)
    sides, (cover, _) = tip_cover(screw, plain, meeting)[0], tip_cover(screw, into, meeting)
    joint = into.planes[meeting].normal
    mesh = Manifold.hull_points(_rims(screw, 180, joint))
    gone = taken_away(into.part).translate(into.origin) ^ solid(plain.part, plain.origin)
    gone = gone.trim_by_plane([-each for each in joint], -float(np.array(joint) @ screw.pocket.exit))
    gap = mesh.min_gap(gone, 40.0)
    if gap > 0:
        assert cover == pytest.approx(min(sides, gap), abs=0.01)
    elif (mesh ^ gone).volume() > 1e-4:
        assert cover < 0


@given(screws(removals=True))
@tried(100)
def test_grip_by_rays(drawn: tuple[Screw, Body, Side]) -> None:
    """Length in the receiving wood from manifold3d's crossings, each stretch judged by trimesh's ``contains``: 1e-6.

    The screw starts on the surface: stretches shorter than 1e-7 of it are not counted on either side.
    """
    screw, into, _ = drawn
    wood = solid(into.part, into.origin)
    start, end = np.array(screw.pocket.exit), np.array(screw.tip)
    cuts = [0.0, *crossings(wood, vector(start), vector(end)), 1.0]
    spans = [(low, high) for low, high in pairwise(cuts) if high - low > 1e-7]
    inside = mesh_of(wood).contains(np.array([start + (end - start) * sum(span) / 2 for span in spans]))
    in_wood = sum(high - low for (low, high), within in zip(spans, inside, strict=True) if within)
    assert grip(screw, into) == pytest.approx(in_wood * float(np.linalg.norm(end - start)), abs=1e-6)


@given(screws())
@tried(100)
def test_end_distance_along_the_grain(drawn: tuple[Screw, Body, Side]) -> None:
    """From where the screw enters, along the grain, to where a ray leaves the uncut infinite side: 1e-6 in.

    A long bar is laid through the entry along the grain and cut by manifold3d with each end's plane.
    """
    screw, into, meeting = drawn
    found = end_distance(screw, into, meeting)
    if meeting.axis == into.part.grain:
        assert found is None
        return
    start, grain = np.array(screw.pocket.exit), np.array(into.grain)
    if found is None:
        inside = start - 1e-4 * np.array(into.planes[meeting].normal)
        assert not into.holds(vector(inside), -1e-9)
        return
    reaches = []
    for end in into.part.ends:
        plane = into.planes[end]
        way = grain if np.array(plane.normal) @ grain > 0 else -grain
        far = plane.offset - np.array(plane.normal) @ start
        reaches.append(far / float(np.array(plane.normal) @ way))
    # A little past the joint, where a slanted end is a little nearer.
    assert found == pytest.approx(min(reaches), abs=1e-3)


# ---------------------------------------------------------------- check values of the design


def made(m: Meeting, face: Side, *, length: str | None = None) -> tuple[Screw, Body]:
    found = screw_of(m, face, length=length)
    assert found is not None
    return found


def frame_joint(thickness: str, width: str) -> Meeting:
    rail = part("a", f"12 x 3 x {thickness}", "crosswise front")
    stile = part("b", f"24 x {width} x {thickness}", "upright front")
    return Meeting(rail, Side.LEFT, stile, Side.RIGHT)


def into_panel(thickness: str) -> Meeting:
    shelf = part("a", "20 x 10 x 3/4", "crosswise up")
    panel = sheet(part("b", f"30 x 20 x {thickness}", "upright left"))
    return Meeting(shelf, Side.LEFT, panel, Side.RIGHT)


@pytest.mark.parametrize(
    ("m", "face", "length", "reach"),
    [
        (frame_joint("3/4", "2"), Side.BACK, 1.25, 0.604),
        (frame_joint("1-1/2", "1-1/2"), Side.BACK, 2.5, 1.207),
        (into_panel("1/2"), Side.BOTTOM, 1.0, 0.362),
        (into_panel("3/4"), Side.BOTTOM, 1.25, 0.604),
    ],
    ids=["3/4 in a 2 in stile", "1-1/2 in 1-1/2", "3/4 in a 1/2 panel", "3/4 in a 3/4 panel"],
)
def test_lengths_the_shop_takes(m: Meeting, face: Side, length: float, reach: float) -> None:
    """The design's lengths and reaches (0.0005 in); drift off the face is (L - s) sin 15 by arithmetic (1e-9)."""
    screw, into = made(m, face)
    assert screw.chosen
    assert screw.length == length
    assert screw.reach == pytest.approx(reach, abs=5e-4)
    past = length - screw.pocket.setback
    assert screw.reach == pytest.approx(past * cos(radians(15)))
    drilled = Body(m.a, (0.0, 0.0, 0.0)).planes[face]
    half = float(m.a.size[face.axis]) / 2
    assert drilled.depth(screw.tip) == pytest.approx(half + past * sin(radians(15)))
    assert tip_cover(screw, into, m.side_b)[0] >= 1 / 16


@given(meetings())
@tried(50)
def test_the_length_chosen_is_the_best_that_keeps_cover(m: Meeting) -> None:
    """Of the shop's lengths the nearest to twice the setback that has 2-1/2 diameters of thread in the wood and keeps
    1/16 there; else that has them and keeps 1/64; else that keeps 1/16; else the nearest of all."""
    faces = [side for side in SIDES if side.axis not in {m.side_a.axis, m.a.grain}]
    for face in faces:
        found = screw_of(m, face)
        if found is None:
            return
        chosen, into = found
        ideal = 2 * chosen.pocket.setback
        ranks = {}
        for length in LENGTHS:
            tried = screw_of(m, face, length=str(Fraction(length)))
            assert tried is not None
            gauged = replace_gauge(tried[0], chosen)
            left = tip_cover(gauged, into, m.side_b)[0] if gauged.reach > 0 else -1
            thread = min(length - gauged.pocket.setback, grip(gauged, into))
            holds = thread >= 2.5 * gauged.diameter - NIL
            way = (holds and left >= 1 / 16, holds and left >= 1 / 64 - NIL, left >= 1 / 16, True).index(True)
            ranks[length] = way, abs(length - ideal), length
        assert chosen.length == min(LENGTHS, key=ranks.__getitem__)


def replace_gauge(screw: Screw, like: Screw) -> Screw:
    return screw._replace(gauge=like.gauge, diameter=like.diameter)


def test_thin_panel_takes_no_screw_of_the_shop() -> None:
    """A 1/4 panel: even the 1 in screw comes through, and the cover says by how much: 1/4 less its reach."""
    screw, into = made(into_panel("1/4"), Side.BOTTOM)
    assert screw.length == 1.25
    cover, at = tip_cover(screw, into, Side.RIGHT)
    assert cover == pytest.approx(0.25 - screw.reach)
    assert at is Side.LEFT


def test_grooved_panel_lets_the_point_out() -> None:
    """A 3/4 panel with a groove 3/8 deep behind the joint: the 1-1/4 screw reaches 0.604 and ends in the groove."""
    shelf = part("a", "20 x 10 x 3/4", "crosswise up")
    panel = carved(
        sheet(part("b", "30 x 10 x 3/4", "upright left")), ("dado", ("0", "0", "14"), ("3/8", "10", "16"))
    )
    screw, into = made(Meeting(shelf, Side.LEFT, panel, Side.RIGHT), Side.BOTTOM, length="5/4")
    cover, at = tip_cover(screw, into, Side.RIGHT)
    assert at == "dado"
    assert cover < 0
    assert grip(screw, into) == pytest.approx(3 / 8 / cos(radians(15)))


def test_point_counts_as_a_point_before_a_groove() -> None:
    """The floor of a groove lies 0.1 beyond the screw's point, square to it: cover 0.1, not a radius less."""
    shelf = part("a", "20 x 10 x 3/4", "crosswise up")
    floor = Fraction(3, 4) - Fraction("0.604") - Fraction("0.1")
    panel = carved(
        sheet(part("b", "30 x 10 x 3/4", "upright left")),
        ("dado", ("0", "0", "14"), (str(floor), "10", "16")),
    )
    screw, into = made(Meeting(shelf, Side.LEFT, panel, Side.RIGHT), Side.BOTTOM, length="5/4")
    assert tip_cover(screw, into, Side.RIGHT)[0] == pytest.approx(0.1, abs=1e-3)


def test_wood_that_takes_the_thread_decides() -> None:
    """Coarse into fir and plywood, fine into oak; diameters by the gauge: 0.164 for No. 8, 0.151 for No. 7."""
    assert diameter(8) == pytest.approx(0.164)
    assert diameter(7) == pytest.approx(0.151)
    m = frame_joint("3/4", "2")
    oak = replace(m.b, stock=stock("3/4", 2, "red oak"))
    hard, _ = made(m._replace(b=oak), Side.BACK)
    soft, _ = made(m._replace(a=replace(m.a, stock=oak.stock)), Side.BACK)
    assert (hard.thread, hard.gauge) == ("fine", 7)
    assert (soft.thread, soft.gauge) == ("coarse", 8)
    assert suited_thread(sheet(m.b).stock.material, Limits()) == "coarse"
    assert {suited_thread(material_of(name), Limits()) for name in ("European oak", "teak")} == {"fine"}


def test_bevelled_joint_reaches_square_to_its_plane() -> None:
    """In a 45 degree mitre the screw runs square to it: reach is (L - s) cos 15 there too."""
    rail = part("a", "20 x 2-1/2 x 3/4", "crosswise front", "right 45 top")
    stile = part("b", "30 x 2-1/2 x 3/4", "upright front", "top 45 right")
    screw, into = made(Meeting(rail, Side.RIGHT, stile, Side.TOP), Side.BACK, length="5/4")
    assert screw.reach == pytest.approx(0.625 * cos(radians(15)))
    assert end_distance(screw, into, Side.TOP) is None

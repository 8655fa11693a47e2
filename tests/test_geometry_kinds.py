"""The trade's names of joints, for parts of real sizes in real places. Lengths in inches."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.contact import contact
from planlint.geometry.shapes.joint_kinds import joint_kind
from planlint.model.directions import Axis, Side
from planlint.model.plan import Part
from tests.builders import part
from tests.meetings import Meeting, put_together
from tests.solids import join_of, sheet

RAIL = part("rail", "17 x 2 x 3/4", "crosswise front")
STILE = part("stile", "30 x 2 x 3/4", "upright front")
APRON = part("apron", "40 x 3-1/2 x 3/4", "crosswise front")
LEG = part("leg", "29 x 3-1/2 x 3-1/2", "upright front")
TOP = part("top", "47 x 24 x 3/4", "crosswise up")
SIDE = sheet(part("side", "72 x 11-1/4 x 3/4", "upright left"))
SHELF = sheet(part("shelf", "30 x 11-1/4 x 3/4", "crosswise up"))


def kind(a: Part, side_a: Side, b: Part, side_b: Side, origin: Vector = (0.0, 0.0, 0.0)) -> str:
    """The name found for A at the origin and B where given; the same whichever of the two is written first."""
    found = _named(a, side_a, b, side_b, (0.0, 0.0, 0.0), origin)
    assert _named(b, side_b, a, side_a, origin, (0.0, 0.0, 0.0)) == found
    return found


def _named(a: Part, side_a: Side, b: Part, side_b: Side, at_a: Vector, at_b: Vector) -> str:
    join, one, other = join_of(a, side_a, b, side_b), Body(a, at_a), Body(b, at_b)
    met = contact(join, one, other)
    assert met.area > 0.1
    assert met.gap == pytest.approx(0, abs=1e-9)
    name, why = joint_kind(join, one, other, met)
    assert why
    return name


def test_frame() -> None:
    """A face frame: the rail's end on the stile's edge."""
    assert kind(RAIL, Side.LEFT, STILE, Side.RIGHT, (-2.0, 0.0, -28.0)) == "frame"


def test_leg_and_rail() -> None:
    """An apron between 3-1/2 legs, and between 1-1/2 by 2 ones: squarish is enough."""
    assert kind(APRON, Side.LEFT, LEG, Side.RIGHT, (-3.5, -1.0, -25.5)) == "leg and rail"
    slim = part("slim", "29 x 2 x 1-1/2", "upright front")
    assert kind(APRON, Side.RIGHT, slim, Side.LEFT, (40.0, -0.5, -25.5)) == "leg and rail"


def test_wide_board_is_no_leg() -> None:
    """A rail on the edge of a 1-1/2 by 3-1/2 upright, faces alike, is a frame joint."""
    post = part("post", "29 x 3-1/2 x 1-1/2", "upright front")
    thick = part("rail", "40 x 3-1/2 x 1-1/2", "crosswise front")
    assert kind(thick, Side.LEFT, post, Side.RIGHT, (-3.5, 0.0, -25.5)) == "frame"


def test_edge_to_edge() -> None:
    """Two boards glued up for a top."""
    board = part("board", "47 x 5-1/2 x 3/4", "crosswise up")
    assert kind(board, Side.BACK, replace(board, name="next"), Side.FRONT, (0.0, 5.5, 0.0)) == "edge to edge"


def test_edge_band() -> None:
    """A solid 3/4 by 1-1/2 strip along the front edge of a plywood shelf; on solid wood it is edge to edge."""
    strip = part("strip", "30 x 3/4 x 3/4", "crosswise up")
    assert kind(strip, Side.BACK, SHELF, Side.FRONT, (0.0, 0.75, 0.0)) == "edge band"
    stiff = part("stiff", "30 x 1-1/2 x 3/4", "crosswise front")
    assert kind(stiff, Side.BACK, SHELF, Side.FRONT, (0.0, 0.75, 0.75)) == "edge band"
    solid = part("shelf", "30 x 11-1/4 x 3/4", "crosswise up")
    assert kind(strip, Side.BACK, solid, Side.FRONT, (0.0, 0.75, 0.0)) == "edge to edge"


def test_mitre() -> None:
    """The corner of a mirror frame, both ends cut 45."""
    head = part("head", "20 x 2-1/2 x 3/4", "crosswise front", "right 45 top")
    jamb = part("jamb", "30 x 2-1/2 x 3/4", "upright front", "top 45 right")
    assert kind(head, Side.RIGHT, jamb, Side.TOP, (17.5, 0.0, -27.5)) == "mitre"


def test_panel_corner() -> None:
    """The topmost shelf flush with the top of a case's side; and a case's top on the end of its side."""
    assert kind(SHELF, Side.LEFT, SIDE, Side.RIGHT, (-0.75, 0.0, -71.25)) == "panel corner"
    cover = sheet(part("cover", "31-1/2 x 11-1/4 x 3/4", "crosswise up"))
    assert kind(SIDE, Side.TOP, cover, Side.BOTTOM, (0.0, 0.0, 72.0)) == "panel corner"


def test_panel_tee() -> None:
    """A shelf half-way up a case's side, flush at the front or not; a divider on a bottom."""
    assert kind(SHELF, Side.LEFT, SIDE, Side.RIGHT, (-0.75, 0.0, -30.0)) == "panel tee"
    assert kind(SHELF, Side.RIGHT, SIDE, Side.LEFT, (30.0, -0.5, -30.0)) == "panel tee"
    divider = sheet(part("divider", "20 x 11-1/4 x 3/4", "upright left"))
    assert kind(divider, Side.BOTTOM, SHELF, Side.TOP, (-15.0, 0.0, -0.75)) == "panel tee"


def test_top_to_apron() -> None:
    """The apron's upper edge against a table's top, and the same table on its side: nothing of it hangs on gravity."""
    assert kind(APRON, Side.TOP, TOP, Side.BOTTOM, (-3.5, -2.0, 3.5)) == "top to apron"
    side = part("side", "48 x 30 x 3/4", "crosswise front")
    rail = part("rail", "40 x 3-1/2 x 3/4", "crosswise up")
    assert kind(rail, Side.BACK, side, Side.FRONT, (-3.5, 3.5, -2.0)) == "top to apron"


def test_end_to_end() -> None:
    """Two lengths of baseboard butted in a row."""
    assert kind(APRON, Side.RIGHT, replace(APRON, name="b"), Side.LEFT, (40.0, 0.0, 0.0)) == "end to end"


def test_lap() -> None:
    """A cleat laid flat on a panel's face."""
    cleat = part("cleat", "11 x 2 x 3/4", "deep left")
    assert kind(cleat, Side.LEFT, SIDE, Side.RIGHT, (-0.75, 0.0, -20.0)) == "lap"


def test_angled() -> None:
    """A splayed leg, its top cut 15, under a level seat; and a rail's square end on a turned leg's side."""
    seat = part("seat", "20 x 12 x 1", "crosswise up")
    splayed = part("splayed", "18 x 2 x 1-1/2", "upright front", "top 15 left", turned=(Fraction(15), Axis.Y))
    for m in (
        Meeting(splayed, Side.TOP, seat, Side.BOTTOM),
        Meeting(part("cut", "18 x 2 x 1-1/2", "upright front", "top 15 left"), Side.TOP, seat, Side.BOTTOM),
    ):
        one, other = put_together(m, (0.0, 0.0, 0.0), 0.0)
        join = join_of(m.a, m.side_a, m.b, m.side_b)
        assert joint_kind(join, one, other, contact(join, one, other)).name == "angled"

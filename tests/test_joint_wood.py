"""Wood that a joint leaves nothing of: each kind with sizes that spoil it, and with sizes that a builder would take."""

from __future__ import annotations

from pathlib import Path

import pytest

from planlint.checks.joint_wood import NoWood
from planlint.checks.screws_meet import MeetsTenon
from planlint.command.main import main
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.workshop import Settings
from planlint.text.source import PlanText

RAIL = """\
plan "Rail"
    seen from nowhere
stock post of red oak, {post}
stock board of red oak, 3/4 x 4
part leg of post, 30 long, upright, facing front
part rail of board, 20 long, crosswise, facing front
join rail.left to leg.right as {how}
    centred front to back
    2 from top
    glued
"""
SHELVES = """\
plan "Shelves"
    seen from nowhere
stock ply of birch plywood, 3/4 thick
part mid of ply, 30 long, 11 wide, upright, facing left
{cuts}part shelf_l, shelf_r of ply, 20 long, 11 wide, crosswise, facing up
join shelf_l.right to mid.left as dado, {left} deep
    12 from bottom
    flush front
    glued
join shelf_r.left to mid.right as dado, {right} deep
    {at} from bottom
    flush front
    glued
"""
EDGES = """\
plan "Boards edge to edge"
    seen from nowhere
stock board of poplar, 3/4 x 4
part one, two of board, 9 long, crosswise, facing up
join one.back to two.front as {how}
    flush left, top
    glued
"""
DRILLED = EDGES + "    pockets at {at} from left in bottom\n    screws coarse 1-1/4\n"


def found(text: str) -> list[tuple[str, str]]:
    return [(each.rule, each.kind) for each in _findings(text) if each.rule in {"poor-fit", "screws-meet"}]


def _findings(text: str) -> tuple[Finding, ...]:
    inspection = inspect_text(PlanText("test.plan", text))
    assert not inspection.unread, inspection.unread
    assert not inspection.crashed, inspection.crashed
    return inspection.findings


@pytest.mark.parametrize(
    ("post", "how", "kinds"),
    [
        ("3 x 3", "mortise and tenon, tenon 1 long, 3/8 thick, 3 wide", []),
        ("3 x 3", "mortise and tenon, tenon 1 long, 3/4 thick", []),  # Barefaced.
        ("3 x 3", "mortise and tenon, tenon 1 long, 1 thick", ["thick"]),
        ("3 x 3", "mortise and tenon, tenon 1 long, 3/8 thick, 4-1/4 wide", ["wide"]),
        ("3/4 x 2", "mortise and tenon, tenon 1 long, 3/4 thick", ["no-cheek"]),
        ("3/4 x 2", "mortise and tenon, tenon 1 long, 1/4 thick", []),
        ("3 x 3", "mortise and tenon, tenon 1 long, 3/8 thick, 7/8 deep", ["mortise-shallow"]),
        ("3 x 3", "mortise and tenon, tenon 1 long, 3/8 thick, 1-1/16 deep", []),
        ("3 x 3", "mortise and tenon, tenon 1 long, 3/8 thick, 3-1/4 deep", ["slot-deep"]),
        ("3 x 3", "mortise and tenon, tenon 2-15/16 long, 3/8 thick, through", ["not-through"]),
        ("3 x 3", "mortise and tenon, tenon 3 long, 3/8 thick, through", []),
        ("3/4 x 4", "bridle, 1/4 thick", []),
        ("3/4 x 4", "bridle, 3/4 thick", ["thick"]),
        ("3/4 x 4", "half lap, 3/4 thick", ["thick"]),
        ("3/4 x 4", "half lap, 3/8 thick", []),
        ("3/4 x 4", "half lap, 3/4 long", ["lap-short"]),  # What is cut out of both, taken for its length.
        ("3/4 x 4", "half lap, 13/16 long", []),
        ("3/4 x 4", "half lap, 3 wide", ["lap-wide"]),
        ("3/4 x 4", "half lap, 4 wide", []),
        ("3/4 x 4", "dowels, dowel 3/8 thick, 2 long", []),
        ("3/4 x 4", "dowels, dowel 3/4 thick, 2 long", ["insert-thick"]),
        ("3/4 x 4", "dowels, dowel 3/8 thick, 9 long", ["insert-long"]),
        ("3/4 x 4", "dowels, dowel 3/8 thick, 3 long, 1 deep", ["slot-shallow"]),
        ("3/4 x 4", "dowels, dowel 3/8 thick, 2 long, 4 deep", ["slot-deep"]),
        ("3/4 x 4", "dowels at 1, 3 from top, 3/8 thick, 2 long", []),
        ("3/4 x 4", "dowels at 1, 1-7/16 from top, 3/8 thick, 2 long", []),
        ("3/4 x 4", "dowels at 1, 1-27/64 from top, 3/8 thick, 2 long", ["crowded"]),
        ("3/4 x 4", "dowels at 15/64, 3 from top, 3/8 thick, 2 long", ["crowded"]),
        ("3/4 x 4", "biscuits", []),
        ("1/4 x 4", "biscuits", ["insert-thick"]),
        ("3/4 x 4", "loose spline, 1/4 thick, 1 wide", []),
        ("3/4 x 4", "loose spline, 3/4 thick, 1 wide", ["insert-thick"]),
        ("3/4 x 4", "loose spline, 1/4 thick, 9 wide", ["insert-long"]),
        ("3/4 x 4", "loose spline, 1/4 thick, 1 wide, 5 long", ["insert-run"]),
    ],
)
def test_measures_against_the_wood(post: str, how: str, kinds: list[str]) -> None:
    assert found(RAIL.format(post=post, how=how)) == [("poor-fit", kind) for kind in kinds]


@pytest.mark.parametrize(
    ("thick", "how", "kinds"),
    [
        ("3/8", "", []),
        ("5/16", "", ["slot-deep"]),
        ("7/16", ", 2-1/8 long", []),
        ("1/2", ", 2-3/8 long", ["slot-deep"]),
    ],
)
def test_biscuits_stay_within_the_face_they_enter(thick: str, how: str, kinds: list[str]) -> None:
    """The smallest goes 5/16 in deep, and wants 1/16 in of wood behind it; a No. 20 goes 1/2 in deep."""
    text = RAIL.format(post=f"{thick} x 4", how=f"biscuits{how}")
    text = text.replace("30 long, upright, facing front", "30 long, upright, facing left")
    assert found(text) == [("poor-fit", kind) for kind in kinds]


@pytest.mark.parametrize(("how", "part", "room"), [("9 long", "leg", 7.875), ("2 long, 4 deep", "leg", 4.0)])
def test_the_shallower_part_is_blamed(how: str, part: str, room: float) -> None:
    """Of the leg, 4 in deep, all but 1/8 in takes a dowel; of the rail, 20 in, what is good for one, 4 in."""
    (finding,) = _findings(RAIL.format(post="3/4 x 4", how=f"dowels, dowel 3/8 thick, {how}"))
    assert isinstance(finding.fact, NoWood)
    assert (finding.fact.part.name, finding.fact.most) == (part, room)


@pytest.mark.parametrize(("inset", "kinds"), [("0", [("poor-fit", "no-cheek")]), ("1/2", [])])
def test_both_cheeks_of_a_mortise_are_looked_at(inset: str, kinds: list[tuple[str, str]]) -> None:
    """A barefaced tenon that is flush with the leg leaves no wood before it, and 2-1/4 in behind."""
    text = RAIL.format(post="3 x 3", how="mortise and tenon, tenon 1 long, 3/4 thick")
    assert found(text.replace("centred front to back", f"{inset} from front")) == kinds


BACK_TO_BACK = """\
    dado 3/4 wide 3/8 deep across left, 12 from bottom
    dado 3/4 wide {} deep across right, {} from bottom
"""


@pytest.mark.parametrize(
    ("cuts", "left", "right", "at", "kinds"),
    [
        ("", "3/8", "3/8", "12", ["severed"]),
        ("", "1/4", "1/4", "12", []),
        ("", "3/8", "3/8", "14", []),
        ("", "3/8", "3/8", "12-3/4", ["severed"]),  # They touch corner to corner.
        ("", "3/8", "3/8", "13", []),
        ("", "3/4", "1/4", "14", ["no-floor"]),
        (BACK_TO_BACK.format("3/8", "12"), "3/8", "3/8", "12", ["severed"]),
        (BACK_TO_BACK.format("1/4", "12"), "3/8", "1/4", "12", []),
        ("    groove 3/4 wide 3/8 deep along right, 2 from front\n", "3/8", "1/4", "20", ["window"]),
        ("    groove 3/4 wide 1/4 deep along right, 2 from front\n", "3/8", "1/4", "20", []),
    ],
)
def test_wood_between_cuts(cuts: str, left: str, right: str, at: str, kinds: list[str]) -> None:
    text = SHELVES.format(cuts=cuts, left=left, right=right, at=at)
    assert found(text) == [("poor-fit", kind) for kind in kinds]


EDGED = """\
plan "Cut from both edges"
    seen from nowhere
stock oak of red oak, 3/4 x 4
part mid of oak, 30 long, upright, facing front
    dado 1 wide 2 deep across left, 12 from bottom
    dado 1 wide {} deep across right, 12 from bottom
part leg of oak, 30 long, upright, facing front
join mid.back to leg.front as resting
    flush left, top
"""


def test_cuts_from_both_edges_meet() -> None:
    assert found(EDGED.format("2")) == [("poor-fit", "severed")]
    assert found(EDGED.format("1-7/8")) == []


CROWDED = "1/2, 1-3/8, 2-1/4, 3-1/8, 4, 4-7/8, 5-3/4, 6-5/8, 7-1/2, 8-3/8"


@pytest.mark.parametrize(
    ("how", "at", "told"),
    [
        ("loose spline, 1 wide, 1/4 thick", "1, 8", ("screws-meet", "tenon")),
        ("loose spline, 1 wide, 1/4 thick, 4 long", "1, 8", None),
        ("loose spline, 1 wide, 1/4 thick, 7 long", "1, 8", ("poor-fit", "no-place")),
        ("dowels, dowel 3/8 thick, 2 long", "1, 8", None),
        ("dowels, dowel 1/2 thick, 2 long", CROWDED, ("poor-fit", "no-place")),
        ("biscuits", "1, 8", None),
        ("biscuits", "1, 3, 5, 7", ("poor-fit", "no-place")),
        ("tongue and groove, 1/4 deep", "1, 8", None),
    ],
)
def test_screws_and_what_else_holds_their_joint(how: str, at: str, told: tuple[str, str] | None) -> None:
    assert found(DRILLED.format(how=how, at=at)) == ([told] if told else [])


def test_where_dowels_lie_is_told_to_be_unknown(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plan = tmp_path / "a.plan"
    plan.write_text(DRILLED.format(how="dowels", at="1, 8"), encoding="utf-8")
    main(["inspect", "--explain-joints", "--no-cache", str(plan)])
    assert "where the dowels lie" in " ".join(capsys.readouterr().out.split())


CLEATED = """\
plan "A cleat where {how} lies"
    seen from nowhere
stock board of red oak, 3/4 x 8
part side of board, 30 long, upright, facing left
part lid of board, 20 long, crosswise, facing up
part cleat of board, 20 long, 3 wide, crosswise, facing up
join lid.left to side.right as {how}
    flush top, front
    glued
join cleat.right to side.left
    flush front
    {at} from top
    pockets 2 in bottom
    screws fine 1
"""
LAPPED = """\
plan "A rail beside a {how}"
    seen from nowhere
stock board of red oak, 1 x 3
part stile of board, 30 long, upright, facing front
part rail of board, 20 long, crosswise, facing front
part low of board, 12 long, crosswise, facing front
join rail.{side} as {how}
    flush top, {flush}
    glued
join low.right to stile.left
    {at} from top
    flush back
    pockets 2 in back
    screws fine 1-1/2
"""
JOINTS = ["rabbet, 1/2 deep", "through dovetail", "half-blind dovetail, 1/2 deep", "box joint"]


@pytest.mark.parametrize("how", JOINTS)
def test_wood_that_a_corner_joint_takes_by_its_name(how: str) -> None:
    assert found(CLEATED.format(how=how, at="0")) == [("screws-meet", "tenon")]
    assert found(CLEATED.format(how=how, at="3")) == []


@pytest.mark.parametrize(
    ("side", "how", "flush"),
    [
        ("back to stile.front", "half lap", "left"),
        ("back to stile.front", "cross lap, 1 deep", "left"),
        ("left to stile.right", "half lap", "front"),
        ("left to stile.right", "bridle", "front"),
    ],
)
def test_wood_that_a_lap_takes_by_its_name(side: str, how: str, flush: str) -> None:
    assert ("screws-meet", "tenon") in found(LAPPED.format(side=side, how=how, flush=flush, at="0"))
    assert found(LAPPED.format(side=side, how=how, flush=flush, at="6")) == []


@pytest.mark.parametrize(
    ("told", "groove", "kinds"),
    [
        ("", "groove 1/4 wide 1/4 deep along front, 1/4 from top", []),
        ("", "groove 1/4 wide 1/4 deep along front, 3/8 from top", []),
        (", 1/4 thick", "groove 1/4 wide 1/4 deep along front, 1/4 from top", []),
        (", 1/4 thick", "groove 1/4 wide 1/4 deep along front, 3/8 from top", ["misplaced"]),
        (", 3/8 thick", "groove 1/4 wide 1/4 deep along front, 1/4 from top", ["narrow"]),
    ],
)
def test_a_tongue_of_no_told_thickness_is_cut_to_its_groove(told: str, groove: str, kinds: list[str]) -> None:
    text = EDGES.format(how=f"tongue and groove, 1/4 deep{told}").replace(
        "part one, two of board, 9 long, crosswise, facing up",
        f"part one of board, 9 long, crosswise, facing up\npart two like one\n    {groove}",
    )
    assert found(text) == [("poor-fit", kind) for kind in kinds]


def test_dowels_in_wood_thinner_than_must_be_left_beside_them_are_judged() -> None:
    text = """\
plan "Dowels into a veneer"
    seen from nowhere
stock thin of birch plywood, 1/32 thick
stock ply of birch plywood, 3/4 thick
part side of thin, 30 long, 11 wide, upright, facing left
part shelf of ply, 20 long, 11 wide, crosswise, facing up
join shelf.left to side.right as dowels
    12 from bottom
    flush front
    glued
"""
    assert not inspect_text(PlanText("test.plan", text)).crashed


SPLINED = """\
plan "Corner"
    seen from nowhere
stock strip of ash, 3/4 x 3
part high of strip, 18 long, crosswise, facing {facing}
    left end cut 45, long at top
part near of strip, 14 long, upright, facing {other}
    top end cut 45, long at left
join high.left to near.top as splined mitre
    flush front
    flush top
    pockets 2 in {face}
    screws fine 1-1/4
"""


@pytest.mark.parametrize(
    ("facing", "other", "face", "told"),
    [("front", "front", "back", [("screws-meet", "tenon")]), ("up", "left", "bottom", [])],
)
def test_where_the_spline_of_a_corner_lies(
    facing: str, other: str, face: str, told: list[tuple[str, str]]
) -> None:
    """Of a mitre across the face it runs through the middle of the thickness, where the screws go; of a bevel it lies
    toward the heel, where the plan does not say."""
    text = SPLINED.format(facing=facing, other=other, face=face)
    assert found(text) == told
    tenons = [each.fact.tenon for each in _findings(text) if isinstance(each.fact, MeetsTenon)]
    for tenon in tenons:  # 1/8 in where nothing is said, in the middle of 3/4 in.
        assert tenon is not None
        assert tenon.box == Box((0, 0.3125, 0), (18, 0.4375, 3))


CROSSED = """\
plan "Cross"
    seen from nowhere
stock rail of red oak, 3/4 x 3
part a of rail, 20 long, crosswise, facing front
{of_a}part b of rail, 20 long, upright, facing front
{of_b}join a.back to b.front as half lap, 3/8 deep
    centred left to right
    5 from bottom
"""


@pytest.mark.parametrize(
    ("of_a", "of_b", "left"),
    [
        ("", "", {"a", "b"}),
        ("", "    dado 3 wide 3/8 deep across front, 5 from bottom\n", {"b"}),
        ("", "    dado 3 wide 3/8 deep across back, 5 from bottom\n", {"a", "b"}),
        ("    dado 3 wide 3/8 deep across back, 8-1/2 from left\n", "", {"a"}),
        ("    dado 3 wide 3/8 deep across front, 8-1/2 from left\n", "", {"a", "b"}),
    ],
)
def test_what_a_lap_takes_where_the_plan_cuts_it_is_left_to_the_plan(
    of_a: str, of_b: str, left: set[str]
) -> None:
    """Of two boards 3/4 in thick that lie 3/8 in in one another each takes the nearer half of that from the other."""
    text = CROSSED.format(of_a=of_a, of_b=of_b)
    plan, _ = understand(PlanText("x.plan", text), Settings())
    assert plan is not None
    boxes = {each.body.part.name: each.box for each in Piece(plan).tenons}
    assert boxes == {
        name: box
        for name, box in (
            ("a", Box((8.5, 0.375, 0), (11.5, 0.5625, 3))),
            ("b", Box((0, 0.1875, 5), (3, 0.375, 8))),
        )
        if name in left
    }

"""Fasteners that are placed and counted: where they come to lie, what they hold, what they meet, what is bought."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from planlint.conversion.convert_plan import convert
from planlint.findings.rules_in_force import rule_book
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.language.tidy_layout import tidied
from planlint.model.workshop import Settings
from planlint.reports.safe_words import measured
from planlint.reports.steps_entry import steps_entry
from planlint.reports.steps_report import sheet_steps
from planlint.rulebook.limits import Limits
from planlint.sheet.shop_sheet import shop_sheet
from planlint.text.source import PlanText
from planlint.wording.fastener_words import fastener_places
from planlint.workplan.work_steps import work_steps

CASE = """plan "Case"
    seen from front, left, right

stock panel of birch plywood, 3/4 thick
stock oak_board of red oak, 3/4 x 16
stock post of red oak, 2 x 2

part side_l, side_r of panel, 30 long, 12 wide, upright, facing left
part shelf of panel, 22-1/2 long, 11 wide, crosswise, facing up
join shelf.left to side_l.right
    12 from bottom
    flush front
{left}
join shelf.right to side_r.left
    12 from bottom
    flush front
{right}
"""


def case(left: str, right: str = "    glued") -> str:
    return CASE.format(left=f"    {left}", right=f"    {right.strip()}")


def piece_of(text: str) -> Piece:
    plan, mistakes = understand(PlanText("x.plan", text), Settings())
    assert not mistakes, mistakes
    assert plan is not None
    return Piece(plan)


def found(text: str) -> list[tuple[str, str]]:
    inspection = inspect_text(PlanText("x.plan", text), Settings())
    assert not inspection.unread, inspection.unread
    return [(each.rule, each.kind) for each in inspection.findings]


def test_screws_through_a_face_lie_where_a_rule_would_put_them() -> None:
    """Hand-worked: the side stands at x 0 to 3/4, the shelf is at z 12, 3/4 thick, 11 deep, both flush at the front."""
    piece = piece_of(case("screws 3 from 1 to 2 through side_l, gauge 8, 2 long, sunk 1/4"))
    drives = piece.drives(piece.plan.joins[0])
    side = piece.body(piece.plan.part_by_name["side_l"])
    x0, y0, z0 = side.origin
    assert [
        tuple(round(a - b, 6) for a, b in zip(s.pocket.exit, (x0, y0, z0), strict=True)) for s in drives
    ] == [
        (0.75, 1.0, 12.375),
        (0.75, 5.0, 12.375),
        (0.75, 9.0, 12.375),
    ]
    assert [round(s.tip[0] - x0, 6) for s in drives] == [2.25] * 3  # 1/4 sunk, 2 long
    assert [round(piece.grip(s), 6) for s in drives] == [1.5] * 3
    assert piece.drives(piece.plan.joins[0])[0].diameter == pytest.approx(0.164)  # ASME B18.6.1, No. 8


@pytest.mark.parametrize(
    ("line", "stations"),
    [
        ("screws at 1, 4 from back through side_l, 2 long", [8.0, 11.0]),
        ("screws every 4 from 1 through side_l, 2 long", [1.0, 5.0, 9.0]),
        ("screws every 4 from 1 of back through side_l, 2 long", [2.0, 6.0, 10.0]),
        ("screws every 5 from 1 to 1 through side_l, 2 long", [1.0, 5.5, 10.0]),
        ("screws every 20 from 3 through side_l, 2 long", [3.0]),
        ("screws every 20 from 3 of back through side_l, 2 long", [8.0]),
        ("screws every 20 from 3 to 2 through side_l, 2 long", [3.0, 9.0]),
        ("bolts 2 through side_l, M6, 50 mm long, into inserts", [2.75, 8.25]),
        ("nails 1 through side_l, 6d", [5.5]),
        ("pins 2", [2.75, 8.25]),
    ],
)
def test_rows_are_laid_out_as_pockets_are(line: str, stations: list[float]) -> None:
    piece = piece_of(case(line))
    (row,) = piece.fasteners(piece.plan.joins[0])
    assert [round(each, 6) for each in row.stations] == stations


def test_what_holds_and_what_does_not() -> None:
    """A shelf on pins rests; one nail is a pivot; nothing at all is told; a hinge holds and needs no more."""
    assert found(case("pins 2", "pins 2")) == []
    assert found(case("screws 3 through side_l, 2 long", "screws 3 through side_r, 2 long")) == []
    assert found(case("nails 1 through side_l, 6d", "pins 2")) == [("lone-screw", "fastener")]
    assert ("unheld", "nothing") in found(
        case("flush front", "pins 2").replace("    flush front\n    flush", "    flush")
    )
    assert found(case("hinges 2", "screws 3 through side_r, 2 long")) == []


def test_a_top_is_locked_by_screws_and_free_on_buttons() -> None:
    top = """plan "Table"
    seen from nowhere
stock board of red oak, 3/4 x 16
stock rail of red oak, 3/4 x 3
part top of board, 36 long, crosswise, facing up
part end_l, end_r of rail, 15 long, deep, facing left
join end_l.top to top.bottom
    set back 1 from left
    centred front to back
    {how}
join end_r.top to top.bottom
    set back 1 from right
    centred front to back
    {how}
"""
    assert ("locked-across-grain", "") in found(
        top.format(how="screws 3 from 1 to 1 through top, gauge 8, 2 long")
    )
    assert found(top.format(how="buttons 3")) == []
    assert found(top.format(how="clips every 4 from 1")) == []


@pytest.mark.parametrize("how", ["buttons 4", "clips every 10 from 3 of left"])
def test_a_top_drawn_down_by_buttons_does_not_slide_about(how: str) -> None:
    """A mortised frame is stiff: a push at its top that slid the top in its buttons would be told as a frame that
    sways."""
    table = f"""plan "Table"
    unit inch
    seen from all round
stock post of white oak, 2-1/2 x 2-1/2
stock rail of white oak, 7/8 x 4-1/2
stock ply of birch plywood, 3/4 thick
part leg of post, 29 long, upright, facing front
part apron of rail, 51 long, crosswise, facing front
part short of rail, 23 long, deep, facing left
part top of ply, 58 long, 29-1/2 wide, crosswise, facing up
join apron.left to leg.right as mortise and tenon, tenon 1 long, 3/8 thick
    flush top
    set back 1/4 from front
    glued
join short.front to leg.back as mortise and tenon, tenon 1 long, 3/8 thick
    flush top
    set back 1/4 from left
    glued
join apron.top to top.bottom
    centred left to right
    2 from front
    {how}
part leg_2 mirrors leg, with its joins
part short_2 mirrors short, with its joins
part leg_3 mirrors leg front to back, with its joins
part leg_4 mirrors leg_2 front to back, with its joins
part apron_2 mirrors apron front to back, with its joins
load 100 lb on top
"""
    assert "racking" not in {rule for rule, _ in found(table)}
    assert not found(table), found(table)


def test_slides_keep_a_drawer_off_its_case() -> None:
    text = case("slides 11 long, 1/2 thick").replace("    glued\n", "    slides 11 long, 1/2 thick\n")
    piece = piece_of(text)
    shelf, side = (piece.body(piece.plan.part_by_name[name]) for name in ("shelf", "side_l"))
    assert shelf.bounds.low[0] - side.bounds.high[0] == pytest.approx(0.5)
    assert found(text) == []


def test_a_pocket_row_moves_off_a_screw_through_the_face_or_is_told() -> None:
    text = """plan "Leg"
    seen from nowhere
stock post of pine, 2x4
stock board of pine, 1x4
part leg of post, 28 long, upright, facing front
part rail of board, 30 long, crosswise, facing front
part brace of board, 28 long, upright, facing left
join rail.left to leg.right
    flush top
    set back 3/8 from front
    {pockets} in back
    screws coarse 1-1/4
join brace.right to leg.left
    flush top, front
    screws at 1, 2-1/2 from top through brace, gauge 10, 3-3/4 long, 3/4 from front
"""
    crowded = text.format(pockets="pockets at 1, 2-1/2 from top")
    assert found(crowded) == [("screws-meet", "fastener")]
    assert found(text.format(pockets="pockets 2")) == []
    # A No. 8 of 0.164 in and a No. 10 of 0.190: 0.177 from middle to middle, and the shop's 1/2 in of wood.
    own = Settings(limits=Limits.of({("screws-meet", "wood between screws"): 1 / 2}))
    (told,) = inspect_text(PlanText("x.plan", crowded), own).findings
    assert "move one row by 11/16 in or more" in told.repairs[0].says


def test_a_driver_needs_room_behind_a_screw_through_a_face() -> None:
    """A wall a hand's breadth off is no room for a drill: it goes in after the screws."""
    text = case("screws 3 through side_l, 2 long", "screws 3 through side_r, 2 long")
    text += """part wall of panel, 30 long, 12 wide, upright, facing left
join side_l.left to wall.right
    gap 3
    flush top, front
""".replace("    gap 3\n", "    slides 11 long, 2 thick\n")
    piece = piece_of(text)
    wall = piece.plan.part_by_name["wall"].index
    assert piece.blocking(piece.plan.joins[0]) == {wall}
    steps = work_steps(piece)
    assert not any(step.stuck for step in steps)
    assert [part.name for part in steps[-1].added[-1].parts] == ["wall"]


def test_all_are_told_in_the_steps_and_bought_once() -> None:
    line = "screws 3 through side_{}, gauge 8, 2 long, countersunk"
    inspection = inspect_text(PlanText("x.plan", case(line.format("l"), line.format("r"))), Settings())
    assert inspection.piece is not None
    steps = work_steps(inspection.piece)
    told, _ = sheet_steps(inspection.piece, steps)
    words = " ".join(line.words for lines in told for line in lines)
    assert "3 No. 8 screws 2 in long, through the left of side_l into shelf" in words
    assert "clearance 11/64 in, pilot 3/32 in, countersunk" in words
    entry = steps_entry("x.plan", inspection.piece, steps)
    fasteners = [each for step in entry["steps"] for joint in step["joints"] for each in joint["fasteners"]]
    assert Counter(each["kind"] for each in fasteners) == {"screws": 2}
    (marked,) = fasteners[0]["set_out"]
    assert [round(place, 3) for place in marked["places"]] == [1.812, 5.5, 9.188]
    # The shelf is 3/4 thick and lies 12 up: its middle is at 12-3/8.
    assert (marked["line_from"], marked["line"]) == ("bottom", 12.375)
    (bought,) = shop_sheet(inspection, exact=False).sundries
    assert (bought.what, bought.needed) == ("screws", 6)
    assert bought.bought >= 6


def test_mirrored_they_lie_at_the_mirrored_places() -> None:
    text = """plan "Pair"
stock panel of birch plywood, 3/4 thick
assembly frame
    part side of panel, 30 long, 12 wide, upright, facing left
    part shelf of panel, 20 long, 11 wide, crosswise, facing up
    join shelf.left to side.right
        flush top, front
        screws every 4 from 1 through side, 2 long
end
place frame as one
place frame as two mirrored front to back
"""
    piece = piece_of(text)
    one, two = (piece.fasteners(join)[0] for join in piece.plan.joins)
    depth = [row.body.planes for row in (one, two)]
    sides = {side.value: side for side in depth[0]}
    front = [round(depth[0][sides["front"]].depth(at), 6) for at in one.at]
    back = sorted(round(depth[1][sides["back"]].depth(at), 6) for at in two.at)
    assert front == back == [1.0, 5.0, 9.0]


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("screws 3 through shelf.top, 2 long", "driven square to the joint, through shelf.right"),
        ("screws 3 through leg, 2 long", "leg is not part of this join"),
        ("screws 3 through side_l", "how long the screws are is not said"),
        ("bolts 2 through side_l, 3 long", "how thick the bolts are"),
        ("bolts 2, M8, 3 long", "go through one of the two parts"),
        ("hinges 2 through side_l", "lie between two parts"),
        ("nails 2 through side_l, 11d", "nails are sold as"),
        ("nails 2 through side_l, 8d, 2 long", "8d says that already"),
        ("screws 2 through side_l, gauge 30, 2 long", "screws are made in gauges"),
        ("screws 2 through side_l, 2 long, 3 long", "keep one of the two"),
        ("screws at 1 from left through side_l, 2 long", "left lies across the joint"),
        ("hinges 2, gauge 8", "hinges are told by `long`"),
        ("pins at 40 from front", "only 11 in long"),
    ],
)
def test_mistakes_are_told_in_a_builders_words(line: str, says: str) -> None:
    text = case(line)
    inspection = inspect_text(PlanText("x.plan", text), Settings())
    (mistake,) = inspection.unread
    assert says in mistake.says
    assert text[mistake.span.start : mistake.span.end] in line


def test_a_line_that_stands_for_two_joins_is_told_of_once() -> None:
    text = """plan "Two posts and a rail"
stock stud of pine, 2x4
part post_l, post_r of stud, 20 long, upright, facing front
part rail of stud, 20 long, crosswise, facing front
join rail.left, rail.right to post_l.right, post_r.left
    bolts 2, 3/8 thick, 4 long
    flush top, front
"""
    (mistake,) = inspect_text(PlanText("x.plan", text), Settings()).unread
    assert "through post_l" in mistake.says


def test_a_joint_that_is_nailed_too_is_not_converted() -> None:
    text = case("as dado, 3/8 deep\n    nails 3 through side_l, 6d")
    (told,) = convert(PlanText("x.plan", text)).joints
    assert "nails are told for it already" in (told.refused or "")


def test_a_panel_that_lies_whole_in_its_rabbet_stays_and_the_rest_is_converted() -> None:
    text = case("as dado, 3/8 deep\n    glued", "as dado, 3/8 deep\n    glued").replace("22-1/2", "23-1/4")
    text += """stock skin of birch plywood, 1/4 thick
part back of skin, 30 long, 23-1/4 wide, upright, facing front
join back.front to side_l.back as rabbet, 1/4 deep
    3/8 from left
    flush top
    glued
join back.front to side_r.back as rabbet, 1/4 deep
    glued
"""
    told = {each.joint: each.refused for each in convert(PlanText("x.plan", text)).joints}
    assert not told["shelf.left"]
    assert "let in by its face" in told["back.front"]


def test_tidied_they_say_the_same() -> None:
    text = case("screws  every 4 from 1 to 1.5   through side_l ,gauge 8, 2 long")
    tidy = tidied(PlanText("x.plan", text))
    assert "screws every 4 from 1 to 1-1/2 through side_l, gauge 8, 2 long" in tidy
    assert (
        piece_of(tidy).plan.joins[0].fastenings[0].row.last
        == piece_of(text).plan.joins[0].fastenings[0].row.last
    )


def test_what_reaches_nothing_and_what_stands_out_at_an_edge() -> None:
    """A screw that reaches nothing is no matter of a wood that is not known; a bolt past the edge is told as that."""
    bench = (Path(__file__).parent.parent / "planlint" / "demo" / "garden-bench.plan").read_text("utf-8")
    text = bench.replace("gauge 10, 3 long", "gauge 10, 1-1/4 long").replace(
        "at 1, 3 from", "at 1, 3-7/8 from"
    )
    bolts, screws = inspect_text(PlanText("x.plan", text), Settings()).told
    assert (bolts.rule, bolts.kind) == ("fastener-fit", "edge")
    assert (screws.rule, screws.kind) == ("fastener-fit", "no-reach")
    assert bolts.says.endswith("stand out of the bottom of rail_l by 1/32 in all along.")
    assert measured(bolts, "in")[1].startswith("comes out by 1/32 in; at least 5/16 in must stay")
    assert screws.judged_by == "wood held"


def test_nails_as_long_as_the_wood_before_them_are_told_longer_ones() -> None:
    """Nails told by their length alone have no thickness to ask for wood by: what they are asked is never nothing."""
    text = rule_book()["fastener-fit"].cases[1].plan
    (nails,) = inspect_text(PlanText("x.plan", text), Settings()).told
    assert measured(nails, "in")[1].startswith("0 in; at least 1/64 in")
    assert [each.says for each in nails.repairs] == ["Use nails 1-3/4 in to 2 in long."]


FITTED = """plan "Fitted"
    seen from nowhere
stock ply of birch plywood, 3/4 thick
part side of ply, 30 long, 12 wide, upright, facing left
part shelf of ply, 24 long, 11 wide, crosswise, facing up
part box of ply, 10 long, 5 wide, deep, facing left
part door of ply, 29 long, 25 wide, upright, facing front
join shelf.left to side.right
    12 from bottom
    flush front
    pins 2, 5 mm thick
join box.left to side.right
    set back 1/4 from front
    3 from top
    slides 9 long, 1/2 thick, 2 from bottom
join door.back to side.front
    centred top to bottom
    flush left
    hinges at 3, 25 from bottom, 2-1/2 long
"""


def test_what_is_not_driven_is_set_out_on_both_parts() -> None:
    """By hand: the box lies from 22 to 27 up the side, the slide's middle 2 in up the box and in the middle along it.
    The shelf's under side is 12 up; 2 pins over 11 in stand at its quarters. The door begins 1/2 up."""
    piece = piece_of(FITTED)
    pins, slides, hinges = (fastener_places(piece.fasteners(join)[0], "in") for join in piece.plan.joins)
    assert [each.called for each in piece.plan.joins[0].fastenings] == ["5 mm"]
    assert pins == "in side at 2-3/4 and 8-1/4 in from front, their tops 12 in from bottom"
    assert slides == (
        "its front end 1/2 in from front of box, its middle line 2 in from bottom; "
        "its front end 3/4 in from front of side, its middle line 24 in from bottom"
    )
    assert (
        hinges
        == "their middles at 3 and 25 in from bottom of door and 3-1/2 and 25-1/2 in from bottom of side"
    )
    # On the stile of a frame, narrower than the slide is long, it lies along the drawer.
    narrow = piece_of(FITTED.replace("12 wide", "3 wide").replace("2 from bottom", "5/2 from bottom"))
    slides = fastener_places(narrow.fasteners(narrow.plan.joins[1])[0], "in")
    assert slides.startswith("its front end flush with the front of box, its middle line 2-1/2 in")
    assert "its front end 1/4 in from front of side" in slides


@pytest.mark.parametrize(
    ("long", "drawer", "stile", "place"),
    [
        # The drawer's back lies 1/4 in before that of the stile: the slide ends with it.
        ("9 long", "set back 1/4 from back", "3 wide", "its front end 1 in from front of box"),
        # As long as the drawer, to the last bit; and shorter than the stile, where it lies in the middle of both.
        ("10 long", "set back 1/4 from front", "3 wide", "its front end flush with the front of box"),
        ("2 long", "set back 1/4 from front", "3 wide", "its front end 3/8 in from front of box"),
        # Longer than drawer and stile it lies in the middle of where they meet.
        ("11 long", "set back 1/4 from front", "3 wide", "the middle at 1-3/8 in from front of box"),
        # A case deeper than the drawer: along the case, whose front is 6 in before the drawer's.
        ("11 long", "6 from front", "18 wide", "the middle at 5 in from front of box"),
    ],
)
def test_where_a_slide_lies_along_the_longer_part(long: str, drawer: str, stile: str, place: str) -> None:
    text = FITTED.replace("9 long", long).replace("12 wide", stile)
    piece = piece_of(
        text.replace("set back 1/4 from front", drawer).replace("2 from bottom", "5/2 from bottom")
    )
    assert fastener_places(piece.fasteners(piece.plan.joins[1])[0], "in").startswith(place)


def test_of_several_joins_the_face_says_through_which_they_go() -> None:
    """By its face the part on either side is told; a head may lie deep in a rail."""
    text = """plan "Slats"
    seen from nowhere
stock board of pine, 1x4
part rail_l of board, 16 long, deep, facing left
part rail_r of board, 16 long, deep, facing left
part slat of board, 30 long, crosswise, facing up
join slat.bottom, slat.bottom to rail_l.top, rail_r.top
    screws 1 through bottom, gauge 8, 2 long, sunk 2-1/4
"""
    piece = piece_of(text)
    assert [each.row.in_b for join in piece.plan.joins for each in join.fastenings] == [True, True]
    piece = piece_of(text.replace("through bottom", "through top"))
    assert [each.row.in_b for join in piece.plan.joins for each in join.fastenings] == [False, False]


def test_a_mistake_in_what_is_copied_is_told_once() -> None:
    text = """plan "Once"
stock board of pine, 1x4
part a of board, 20 long, crosswise, facing up
    notch 4 x 3 at front left
part c like a
part e mirrors a
"""
    _, mistakes = understand(PlanText("x.plan", text), Settings())
    assert len(mistakes) == 1 and "the notch goes 4 in" in mistakes[0].says


STILES = """plan "Cupboard"
    seen from nowhere
stock board of red oak, 3/4 x 1-1/4
stock panel of birch plywood, 3/4 thick
part stile of board, 30 long, upright, facing front
part rail of board, 20 long, crosswise, facing front
part door of panel, 30 long, 17 wide, upright, facing front
join rail.left to stile.right
    flush front
    15 from bottom
    pockets 2 in back
    screws fine 1-1/4
join door.right to stile.left
    flush front, top
    hinges at 3, {} from bottom, 2-1/2 long
"""
APRON = """plan "Table"
    seen from nowhere
stock post of white oak, 2-1/2 x 2-1/2
stock rail of white oak, 3/4 x 4-1/2
stock ply of birch plywood, 3/4 thick
part leg of post, 29 long, upright, facing front
part apron of rail, 51 long, crosswise, facing front
part top of ply, 58 long, 29-1/2 wide, crosswise, facing up
join apron.left to leg.right
    flush top
    set back 1/4 from front
    pockets at {} from top in back
    screws fine 1-1/4
join apron.top to top.bottom
    set back 1-1/2 from front
    centred left to right
    {}
"""
CORNER = """plan "Drawer"
    seen from nowhere
stock panel of birch plywood, 3/4 thick
stock board of pine, 3/4 x 1-1/2
part case of panel, 14 long, 20 wide, upright, facing left
part stile of board, 14 long, upright, facing front
part side of panel, 18 long, 5 wide, deep, facing left
join case.front to stile.back
    flush left, top
    pockets at 3, {}, 11 from bottom in right
    screws coarse 1-1/4
join side.left to case.right
    4 from bottom
    flush front
    slides 18 long, 1/2 thick, 2-1/2 from bottom
"""


@pytest.mark.parametrize(
    ("text", "meets"),
    [
        # The screw ends 0.595 in from the door's edge of a stile 1-1/4 in wide, the hinge's 5/8 in from it.
        (STILES.format(15.75), True),
        (STILES.format(20), False),  # From 19 on, and the rail ends at 16-1/2.
        # A slot from 1-3/8 to 2-5/8 in, 1/2 to 7/8 in below the edge; a bore 1 in below it, up to 13/16.
        (APRON.format("1, 3", "buttons at 2, 25 from left"), True),
        (APRON.format("1-1/4, 3", "buttons at 2, 25 from left"), False),
        (APRON.format("1, 3", "buttons at 4, 25 from left"), False),
        (APRON.format("7/8, 3", "clips at 1-1/4, 25 from left"), True),
        (APRON.format("1-1/8, 3", "clips at 1-1/4, 25 from left"), False),
        (APRON.format("1, 3", "buttons 20"), False),  # Where they go is not said.
        # The slide lies 6-1/2 in up, its first hole 37 mm in, where a bore from the edge still is.
        (CORNER.format("6-1/2"), True),
        (CORNER.format("7-1/4"), False),
    ],
)
def test_pockets_keep_clear_of_the_screws_of_hinges_slides_clips_and_of_buttons(
    text: str, meets: bool
) -> None:
    """By hand, with the sizes that are named beside ``bored_for``; told as a caution, since makers differ."""
    told = [
        each for each in inspect_text(PlanText("x.plan", text), Settings()).findings if each.kind == "fitting"
    ]
    assert [each.grade.word for each in told] == ["caution"] * meets


@pytest.mark.parametrize(
    ("text", "boxes"),
    [
        # The apron begins 3-1/2 in from the top's left: about 4-3/4 and 28-1/2 in, 3/4 in across, deep and along.
        (
            APRON.format("1, 3", "clips at 1-1/4, 25 from left"),
            [((4.375, 1.5, -0.75), (5.125, 2.25, 0)), ((28.125, 1.5, -0.75), (28.875, 2.25, 0))],
        ),
        # 1-1/4 in long, from 1/2 in down 3/8 in high, 3/8 in deep from the inner face.
        (
            APRON.format("1, 3", "buttons at 2, 25 from left"),
            [((4.875, 1.875, -0.875), (6.125, 2.25, -0.5)), ((27.875, 1.875, -0.875), (29.125, 2.25, -0.5))],
        ),
        # A leaf 2-1/2 in long less 1/4 in at each end, 1/4 in about the middle of 3/4, 5/8 in into the door and stile.
        (
            STILES.format(20),
            [
                ((17, 0.25, 2), (17.625, 0.5, 4)),
                ((17, 0.25, 19), (17.625, 0.5, 21)),
                ((-0.625, 0.25, 2), (0, 0.5, 4)),
                ((-0.625, 0.25, 19), (0, 0.5, 21)),
            ],
        ),
        # 37 mm from each end of 18 in, 1/4 in across; the case lies 1/2 in beside the drawer's side and 4 in lower.
        (
            CORNER.format("7-1/4"),
            [
                ((-1, 1.3317, 2.375), (-0.5, 1.5817, 2.625)),
                ((-1, 16.4183, 2.375), (-0.5, 16.6683, 2.625)),
                ((1.25, 1.3317, 6.375), (1.75, 1.5817, 6.625)),
                ((1.25, 16.4183, 6.375), (1.75, 16.6683, 6.625)),
            ],
        ),
    ],
)
def test_the_wood_that_hinges_slides_clips_and_buttons_want(
    text: str, boxes: list[tuple[tuple[float, ...], tuple[float, ...]]]
) -> None:
    """In the frame of the part whose wood it is not: across the joint where less than 0 or past its size."""
    plan, _ = understand(PlanText("x.plan", text), Settings())
    assert plan is not None
    found = [[corner for end in each.box for corner in end] for each in Piece(plan).bored]
    assert found == [pytest.approx([*low, *high], abs=1e-4) for low, high in boxes]

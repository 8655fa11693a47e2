"""What a finding tells to do, done: the same rule then has nothing to say, nor does another in its place."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from planlint.findings.finding import Finding
from planlint.inspection.inspect_plan import inspect_text
from planlint.model.workshop import DrillingProfile, Settings
from planlint.settings.layered_settings import Shop
from planlint.text.source import PlanText


def findings(text: str, settings: Settings | None = None) -> list[Finding]:
    inspection = inspect_text(PlanText("test.plan", text), settings)
    assert inspection.whole, inspection.unread
    return list(inspection.findings)


def told(text: str, rule: str, settings: Settings | None = None) -> list[Finding]:
    return [finding for finding in findings(text, settings) if finding.rule == rule]


def set_out(finding: Finding) -> str:
    """The row that a repair tells to set out, as a plan says it: ``at 1, 2 from top``."""
    (match,) = {
        found
        for repair in finding.repairs
        for found in re.findall(r"out at (.+?)(?: in| mm)? ((?:from|along) [a-z, ]+?)(?:[:.]|$)", repair.says)
    }
    return f"at {match[0].replace(' and ', ', ')} {match[1]}"


def test_a_row_is_told_to_be_set_out_clear_of_what_is_driven_beside_it() -> None:
    """The middle one of five pockets 8 in apart would meet the screws of a bracket: instead of four six are told. Five
    that the tool laid out past those are not blamed for it."""
    rack = (Path(__file__).parent / "pieces" / "coat_rack_hat_shelf.plan").read_text("utf-8")
    assert findings(rack) == []
    (found,) = findings(rack.replace("pockets 5 in back", "pockets 4 in back"))
    assert found.rule == "wide-spacing"
    assert findings(rack.replace("pockets 5 in back", f"pockets {set_out(found)} in back")) == []


SHORT = """\
plan "Short rail"
    seen from front
stock frame of hard maple, 3/4 x 2
part stile_l, stile_r of frame, 30 long, upright, facing front
part rail of frame, {long} long, crosswise, facing front
join rail.left to stile_l.right
    flush front
    4 from top
    pockets at 1/2, 1-1/2 from top in back
    screws fine 1-1/4
join rail.right to stile_r.left
    flush front
    4 from top
    pockets at 1/2, 1-1/2 from top in back
    screws fine 1-1/4
"""


@pytest.mark.parametrize(
    ("long", "clears"), [("3-1/2", False), ("4-5/16", False), ("4-3/8", True), ("6", True)]
)
def test_a_rail_is_to_be_so_long_that_its_mouths_clear(long: str, clears: bool) -> None:
    """Two mouths end 2.124 in from their joints: 2 x 2.124 + 1/8 = 4.373 in."""
    found = told(SHORT.format(long=long), "screws-meet")
    assert bool(found) is not clears
    for finding in found:
        assert any(
            "ake rail 4-3/8 in or more from left to right" in repair.says for repair in finding.repairs
        )
        assert not any("rail or rail" in repair.says for repair in finding.repairs)


def test_a_metric_rail_is_to_be_so_many_whole_millimetres_long() -> None:
    """Board of 19 mm: 2 x 53.94 + 3.175 is more than 111 mm."""
    text = SHORT.replace("    seen", "    unit mm\n    seen").replace("3/4 x 2", "19 x 50")
    text = text.replace("30 long", "760 long").replace("4 from", "100 from").replace("fine 1-1/4", "fine 32")
    text = text.replace("at 1/2, 1-1/2", "at 12, 38")
    (finding,) = told(text.format(long="90"), "screws-meet")
    (match,) = re.findall(r"Make rail (\d+) mm or more", finding.repairs[0].says)
    assert told(text.format(long=match), "screws-meet") == []
    assert told(text.format(long=int(match) - 1), "screws-meet") != []


DIVIDER = """\
plan "Two shelves meet in a divider"
    seen from front
stock ply of birch plywood, 3/4 thick
stock div of birch plywood, {thick} thick
part div of div, 20 long, 15 wide, upright, facing left
part shelf_l, shelf_r of ply, 18 long, 15 wide, crosswise, facing up
join shelf_l.right to div.left
    10 from bottom
    flush front
    pockets {row} in bottom
    screws coarse 1-1/4
join shelf_r.left to div.right
    10 from bottom
    flush front
    pockets at 3, 7-1/2, 12 from front in bottom
    screws coarse 1-1/4
"""


EVEN = "at 3, 7-1/2, 12 from front"


@pytest.mark.parametrize("thick", ["3/4", "1-1/16", "1-1/4"])
def test_a_divider_is_to_be_so_thick_that_points_clear(thick: str) -> None:
    """2 x 0.604 + 1/8 = 1.33 in, told at once whatever it is now; the row told to be staggered clears too."""
    (finding,) = told(DIVIDER.format(thick=thick, row=EVEN), "screws-meet")
    assert any("ake div 1-3/8 in or more through" in repair.says for repair in finding.repairs)
    assert told(DIVIDER.format(thick="1-3/8", row=EVEN), "screws-meet") == []
    assert told(DIVIDER.format(thick=thick, row=set_out(finding)), "screws-meet") == []


CROSSED = """\
plan "Rows that cross in one rail"
    seen from nowhere
stock wood of white oak, 3/4 x 6
part side of wood, 20 long, upright, facing front
part top of wood, 20 long, crosswise, facing up
part rail of wood, 20 long, crosswise, facing front
join rail.left to side.right
    flush top, front
    pockets {row} in back
    screws fine 1-1/4
join top.bottom to rail.top
    flush left
    proud 2 at front
    pockets at 1-1/4 from left in rail.back
    glued
    screws fine 1-1/4
"""


def test_mouths_of_rows_that_cross() -> None:
    """The mouths reach 2.124 in from either joint: 2-1/4 in from top is too near by 3/16 and 1/8 in, 2-7/16 is not."""
    (finding,) = told(CROSSED.format(row="at 2-1/4, 5 from top"), "screws-meet")
    assert set_out(finding).startswith("at 2-7/16, ")
    assert told(CROSSED.format(row=set_out(finding)), "screws-meet") == []


def test_a_row_that_the_tool_lays_out_keeps_clear_of_mouths() -> None:
    assert told(CROSSED.format(row="2"), "screws-meet") == []
    assert told(CROSSED.format(row="at 1-1/2, 4-1/2 from top"), "screws-meet") != []


STOOL = """\
plan "Step stool"
    unit mm
    seen from front, left, right
stock board of beech, 19 x 235
stock rail of beech, 19 x 70
part side of board, 400 long, upright, facing left
part tread of board, 400 long, crosswise, facing up
part rail of rail, 362 long, crosswise, facing front
join side.top to tread.bottom
    flush left, front
    pockets 3 in right
    screws fine 32
join rail.left to side.right
    flush top
    set back 20 from front
    pockets {row} in back
    screws fine 32
"""


@pytest.mark.parametrize("row", ["2", "at 25, 45 from top"])
def test_whole_millimetres_keep_a_driver_clear(row: str) -> None:
    """A drill 2 in thick, held straight, clears the tread from 25.4 mm on: 26 mm, not 25."""
    drill = Settings(profile=DrillingProfile(bits=(6.0,), drivers=((8.0, 2.0),), lean=0.0))
    (finding,) = told(STOOL.format(row=row), "no-build-order", drill)
    assert set_out(finding).startswith("at 26, ")
    assert told(STOOL.format(row=set_out(finding)), "no-build-order", drill) == []


STILE = """\
plan "Point near an end"
    seen from front
stock frame of hard maple, 3/4 x 1-1/2
part stile of frame, 20 long, upright, facing front
part rail of frame, 20 long, crosswise, facing front
join rail.left to stile.right
    flush top, front
    pockets {row} in back
    screws fine 1-1/4
"""


def test_a_point_near_an_end_is_healed_by_moving_the_pocket() -> None:
    (finding,) = told(STILE.format(row="at 1/8, 1 from top"), "tip-through")
    assert not any("thicker" in repair.says for repair in finding.repairs)
    assert findings(STILE.format(row=set_out(finding))) == []


DADOED = """\
plan "Shelves back to back, one of them in a dado"
    seen from nowhere
stock ply of birch plywood, 3/4 thick
part mid of ply, 30 long, 11 wide, upright, facing left
    dado 3/4 wide 3/8 deep across right, 12 from bottom
part shelf of ply, 20 long, 11 wide, crosswise, facing up
join shelf.right to mid.left
    flush front
    {up} from bottom
    pockets 3 in bottom
    screws coarse 1-1/4
"""


def test_a_shelf_is_to_be_moved_off_a_dado_behind_it() -> None:
    (finding,) = told(DADOED.format(up="12"), "tip-through")
    (match,) = re.findall(
        r"Move shelf (.+) in toward its (top|bottom), away from the dado", finding.repairs[0].says
    )
    sign = "+" if match[1] == "top" else "-"
    assert told(DADOED.format(up=f"12 {sign} {match[0]}"), "tip-through") == []


CHEST = """\
plan "Floor of a chest"
    seen from nowhere
stock case of birch plywood, 3/4 thick
part front of case, {long} long, 18 wide, crosswise, facing front
part floor of case, {long} long, 16-1/2 wide, crosswise, facing up
join floor.front to front.back
    flush left
    1/2 from bottom
    pockets {row} in bottom
    screws coarse 1-1/4
"""


@pytest.mark.parametrize("long", ["33", "40-1/2", "47-3/4", "16-3/8"])
@pytest.mark.parametrize("row", ["2", "3", "at 7, 14 from left"])
def test_pockets_set_out_closer_also_hold_the_ends(long: str, row: str) -> None:
    rules = {"wide-spacing", "far-from-end"}
    found = [each for each in findings(CHEST.format(long=long, row=row)) if each.rule in rules]
    for finding in found:
        left = {each.rule for each in findings(CHEST.format(long=long, row=set_out(finding)))}
        assert not left & rules, set_out(finding)
    assert found or long == "16-3/8"


SHELF = """\
plan "Hidden range too small for two"
    seen from front
stock board of walnut, 3/4 x 8
stock cleat of walnut, 3/4 x 2-1/2
part side of board, 20 long, upright, facing left
    hung with bottom at 50 in
part top of board, 30 long, crosswise, facing up
part cleat of cleat, 30 long, crosswise, facing front
join top.left to side.right
    flush front
    1 from top
    pockets at 2, 6 from front in bottom
    screws fine 1-1/4
join cleat.top to top.bottom
    flush back, left
    pockets 5 in back
    screws fine 1-1/4
"""


def test_no_place_is_offered_where_a_row_has_no_room() -> None:
    """Nobody sees the last 3/8 in, but two bores with 1/4 in between them take 5/8 in."""
    (finding,) = [each for each in told(SHELF, "hole-in-sight") if each.joint == "top.left"]
    assert [repair.says[:14] for repair in finding.repairs] == ["Plug the holes"]


KEPT = """\
plan "Rail"
    seen from nowhere
stock board of white oak, {thick} x {wide}
stock panel of birch plywood, {sheet} thick
part rail of board, 30 long, crosswise, facing front
part side of panel, 20 long, 12 wide, upright, facing left
join rail.right to side.left
    flush top, front
    pockets 2 in back
    screws to suit
"""


@pytest.mark.parametrize(
    ("thick", "wide", "sheet", "says"),
    [
        ("3/4", "5-1/2", "3/4", []),
        ("3/4", "7-1/4", "3/4", []),  # Glued up of two.
        ("1/2", "3", "3/4", []),  # Planed from 3/4 in.
        ("1", "3", "3/4", ["rail is 1 in thick; the shop keeps white oak of 3/4 in, none so thick."]),
        ("3/4", "3", "5/8", ["side is 5/8 in thick; the shop keeps birch plywood of 3/4 in, not of that."]),
    ],
)
def test_thicknesses_that_the_shop_keeps(
    tmp_path: Path, thick: str, wide: str, sheet: str, says: list[str]
) -> None:
    (tmp_path / "planlint.toml").write_text(
        '[stock]\nkept = ["white oak, 3/4 x 5-1/2, 8 ft", "birch plywood, 3/4 thick, 48 x 96"]\n'
    )
    settings = Shop().settings_for(str(tmp_path / "a.plan"))
    found = findings(KEPT.format(thick=thick, wide=wide, sheet=sheet), settings)
    assert [each.says for each in found if each.rule == "stock-too-short"] == says
    assert {each.grade.word for each in found if each.rule == "stock-too-short"} <= {"caution"}
    elsewhere = findings(
        KEPT.format(thick=thick, wide=wide, sheet=sheet).replace("white oak", "ash"), settings
    )
    assert not any("rail is" in each.says for each in elsewhere if each.rule == "stock-too-short")


@pytest.mark.parametrize(
    ("held", "expected"),
    [
        ("glued", ["unheld"]),
        ("as glued", ["unheld"]),
        ("glued\n    pockets 1 in back", ["lone-screw"]),
        ("glued\n    pockets 2 in back", []),
        ("as dowels", []),
    ],
)
def test_glue_on_end_grain_does_not_hold(held: str, expected: list[str]) -> None:
    text = f"""\
plan "Arm"
    seen from nowhere
stock board of red oak, 3/4 x 4
part post of board, 20 long, upright, facing front
part arm of board, 20 long, crosswise, facing front
join arm.left to post.right
    flush top, front
    {held}
"""
    found = findings(text)
    assert [each.rule for each in found] == expected
    assert not any("glue" in repair.says for each in found for repair in each.repairs)
    # The edge of plywood has no end grain.
    assert (
        findings(
            text.replace("red oak, 3/4 x 4", "birch plywood, 3/4 thick").replace("20 long", "20 long, 4 wide")
        )
        == []
    )


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ("4", "4 in from bottom goes past the top of block, where no wood takes it."),
        ("1-31/32", "comes out at the"),
    ],
)
def test_a_screw_that_enters_nothing_is_said_to_go_past(place: str, words: str) -> None:
    """A block 2 in high takes the lower one of two screws in a rail 5-1/2 in wide."""
    (finding,) = told(PAST.format(place=place), "tip-through")
    assert words in finding.says
    assert told(PAST.format(place="1-5/8"), "tip-through") == []


PAST = """\
plan "Rail on a block"
    seen from nowhere
stock board of poplar, 3/4 x 5-1/2
part block of board, 2 long, upright, facing front
part rail of board, 20 long, crosswise, facing front
join rail.left to block.right
    flush bottom, front
    pockets at 1, {place} from bottom in back
    screws coarse 1-1/4
"""


APRONS = """\
plan "Table without a top"
    seen from nowhere
stock square of cherry, 1-1/2 x 1-1/2
stock board of cherry, 3/4 x 5
part leg_fl, leg_fr, leg_bl, leg_br of square, 27 long, upright, facing front
part apron_l, apron_r of board, 14 long, deep, facing left
part apron_b of board, 20 long, crosswise, facing back
join apron_l.front to leg_fl.back as mortise and tenon, tenon 1 long, 3/8 thick
    flush top
    set back 1/4 from left
join apron_l.back to leg_bl.front as mortise and tenon, tenon 1 long, 3/8 thick
    flush top
join apron_r.front to leg_fr.back as mortise and tenon, tenon 1 long, 3/8 thick
    flush top
    set back 1/4 from right
join apron_r.back to leg_br.front as mortise and tenon, tenon 1 long, 3/8 thick
    flush top
    set back 1/4 from right
join apron_b.left to leg_bl.right as mortise and tenon, tenon 1 long, 3/8 thick
    flush top
    set back 1/4 from back
join apron_b.right to leg_br.left as mortise and tenon, tenon 1 long, 3/8 thick
    flush top
    set back 1/4 from back
"""


def test_a_part_is_placed_at_one_end_as_at_its_other() -> None:
    """The apron's other end says where it lies; no part is offered a join to an end that is held already."""
    (finding,) = told(APRONS, "free-to-slide")
    first = finding.repairs[0].says
    (words,) = re.findall(r"Say `([^`]+)` in this join, as at leg_fl\.", first)
    head = "join apron_l.back to leg_bl.front as mortise and tenon, tenon 1 long, 3/8 thick\n"
    assert not told(APRONS.replace(head, f"{head}    {words}\n"), "free-to-slide")

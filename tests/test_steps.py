"""The order of work as it is told: whole, in an order that can be driven, and safe to print."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path

import pytest

from planlint.checks.no_way_in import ShutIn
from planlint.command.main import main
from planlint.command.start_command import started
from planlint.findings.finding import Grade
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.directions import Axis
from planlint.model.workshop import Settings, SetUp
from planlint.reports.page_layout import Page
from planlint.reports.steps_entry import steps_entry
from planlint.reports.steps_report import write_steps
from planlint.text.source import PlanText
from planlint.workplan.clamps import Clamping
from planlint.workplan.step_data import JoinWork
from planlint.workplan.work_steps import work_steps
from tests.plans import SOUND, row_of_furniture
from tests.played_back import check

DEMO = sorted((Path(__file__).parent.parent / "planlint" / "demo").glob("*.plan"))


def piece(text: str) -> Piece:
    plan, mistakes = understand(PlanText("test.plan", text), Settings())
    assert plan is not None and not mistakes, mistakes
    return Piece(plan)


def told(text: str, width: int = 100) -> str:
    file, p = io.StringIO(), piece(text)
    write_steps(Page(file, width), p, work_steps(p))
    return file.getvalue()


NEVER_TOLD = """\
plan "Low bookcase"
    seen from front
stock board of birch plywood, 3/4 thick
part side_l, side_r of board, 36 long, 18 wide, upright, facing left
part shelf of board, 19 mm long, 18 wide, crosswise, facing up
join shelf.left to side_l.right
    flush front
    20 from bottom
    pockets at 4, 8 from front in bottom
    screws coarse 1-1/4
join shelf.right to side_r.left
    flush front
    20 from bottom
    pockets at 4, 8 from front in bottom
    screws coarse 1-1/4
join side_r.left to side_l.bottom
    centred top to bottom
    glued
"""


def test_in_a_plan_with_faults_each_joint_is_told_as_well() -> None:
    p = piece(NEVER_TOLD)
    check(p, work_steps(p))


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_every_joint_is_made_once_and_free_when_it_is_made(path: Path) -> None:
    p = piece(path.read_text(encoding="utf-8"))
    steps = work_steps(p)
    check(p, steps)


def test_a_long_row_of_furniture() -> None:
    p = piece(row_of_furniture(400))
    check(p, work_steps(p))


def test_text_tells_pockets_screws_and_clamps() -> None:
    text = " ".join(told(SOUND).split())
    assert "Join rail to stile" in text or "Join stile to rail" in text
    assert "rail.left to stile.right: flush top, flush front" in text
    assert "2 in the back of rail, at 1/2 and 1-1/2 in from top" in text
    assert "2 fine 1-1/4 in, No. 7" in text
    assert (
        "from the right of rail to the left of stile, 14 in apart; and one that presses the joint flat at the front"
        in text
    )
    assert "In all 2 fine screws 1-1/4 in, No. 7" in text


SHELVES = """\
plan "Rack"
    seen from nowhere
stock board of birch plywood, 3/4 thick
part side_l, side_r of board, 40 long, 11 wide, upright, facing left
part low, high of board, 24 long, 11 wide, crosswise, facing up
join low.left to side_l.right
    flush front, bottom
    pockets 2 in bottom
    screws coarse 1-1/4
join low.right to side_r.left
    flush front, bottom
    pockets 2 in bottom
    screws coarse 1-1/4
join high.left to side_l.right
    flush front, top
    pockets 2 in top
    screws coarse 1-1/4
join high.right to side_r.left
    flush front, top
    pockets 2 in top
    screws coarse 1-1/4
"""


def test_a_shelf_between_two_sides_is_clamped_across_both_by_one_clamp() -> None:
    """A pad cannot go on the end of a shelf where a side stands: it goes on the far side of that one."""
    told = [
        ({(clamp.part_a.name, clamp.pad_a.value), (clamp.part_b.name, clamp.pad_b.value)}, clamp.again)
        for step in work_steps(piece(SHELVES))
        for work in step.work
        if (clamp := work.clamp) is not None
    ]
    across = {("side_l", "left"), ("side_r", "right")}
    assert told == [
        ({("low", "right"), ("side_l", "left")}, False),
        ({("high", "right"), ("side_l", "left")}, False),
        (across, False),
        (across, False),
    ]


def test_two_shelves_brought_in_one_step_take_a_clamp_each() -> None:
    """Joints on different lines are not held by one clamp, though its pads go on the same sides."""
    p = piece(SHELVES)
    clamps = Clamping(p).of_step(p.plan.joins, range(len(p.plan.parts)))
    assert [clamp.again for clamp in clamps if clamp] == [False, True, False, True]
    assert all(clamp.through for clamp in clamps if clamp)


def test_plugs_are_listed_and_counted() -> None:
    text = told(SOUND.replace("in back", "in back, plugged"))
    assert "Plugs     2, once the screws are in" in text
    assert "In all    2 plugs" in text


TOP = """\
plan "Bench"
    seen from front
stock rail of cherry, 3/4 x 4
stock board of cherry, 3/4 x 12
part rail_f, rail_b of rail, 20 long, crosswise, facing front
part end_l of rail, 22 long, deep, facing left
part top_1, top_2 of board, 26 long, crosswise, facing up
join rail_f.left to end_l.right
    flush top
    1 from front
    pockets 2 in back
    screws fine 1-1/4
join rail_b.left to end_l.right
    flush top
    1 from back
    pockets 2 in front
    screws fine 1-1/4
join top_1.bottom to rail_f.top
    proud 1 at front
    centred left to right
    pockets 3 in rail_f.back
    screws fine 1-1/4
    slotted
join top_2.front to top_1.back
    flush left, top
    glued
join top_2.bottom to rail_b.top
    pockets 3 in rail_b.front
    screws fine 1-1/4
    slotted
join top_1.bottom to end_l.top
    pockets 3 in end_l.right
    screws fine 1-1/4
    slotted
"""


def test_a_top_is_glued_up_before_anything_else_and_put_on_whole() -> None:
    p = piece(TOP)
    steps = work_steps(p)
    check(p, steps)
    assert [part.name for part in steps[0].made] == ["top_1", "top_2"]
    assert [part.name for unit in steps[-1].added for part in unit.parts] == ["top_1", "top_2"]


def test_slotted_is_told_with_what_it_means_at_the_bench() -> None:
    text = " ".join(told(TOP).split())
    assert (
        "3 in the back of rail_f, at 3-5/16, 10 and 16-11/16 in from left Screws 3 fine 1-1/4 in, No. 7 Slots make "
        "the holes at the foot of the pockets slots, front to back, so that top_1 can move across its grain; drive the "
        "screws just snug, and use no glue"
    ) in text
    # Where the row runs the way the top moves, its middle screw holds it.
    assert "as before, front to back, all but the middle one, so that top_1" in text
    assert text.count("Slots") == 3
    p = piece(TOP)
    joints = {
        each["joint"]: each
        for step in steps_entry("x.plan", p, work_steps(p))["steps"]
        for each in step["joints"]
    }
    assert joints["top_2.bottom"]["slotted"]
    assert joints["top_2.bottom"]["moves"] == {"part": "top_2", "along": "front to back"}
    assert not joints["top_2.front"]["slotted"] and joints["top_2.front"]["moves"] is None


@pytest.mark.parametrize(("wide", "moves"), [("12", "board"), ("3", "batten")])
def test_slots_let_the_wider_of_two_boards_move(wide: str, moves: str) -> None:
    """A batten of 4 in across the back of a board: both would move across it, and the wider of them does so more."""
    p = piece(f"""\
plan "Door"
stock board of cherry, 3/4 x {wide}
stock batten of cherry, 3/4 x 4
part board of board, 30 long, upright, facing front
part batten of batten, {wide} long, crosswise, facing front
join batten.front to board.back
    12 from bottom
    flush left
    pockets 2 in top
    screws fine 1-1/4
    slotted
""")
    slots = JoinWork(p.plan.joins[0], settled=True, clamp=None).slots
    assert slots is not None and slots.part.name == moves
    assert slots.along is (Axis.X if moves == "board" else Axis.Z)


DOORS = """\
plan "Two doors side by side"
    seen from front
stock st of red oak, 3/4 x 2-1/4
assembly door
    part stile_l, stile_r of st, 28 long, upright, facing front
    part rail_t, rail_b of st, 10-1/2 long, crosswise, facing front
    join rail_t.left to stile_l.right
        flush top, front
        pockets 2 in back
        screws fine 1-1/4
    join rail_t.right to stile_r.left
        flush top, front
        pockets 2 in back
        screws fine 1-1/4
    join rail_b.left to stile_l.right
        flush bottom, front
        pockets 2 in back
        screws fine 1-1/4
    join rail_b.right to stile_r.left
        flush bottom, front
        pockets 2 in back
        screws fine 1-1/4
end
place door as a
place door as b
join b_stile_l.left to a_stile_r.right as resting
    flush top, front
"""


def builders(name: str) -> str:
    return told((Path(__file__).parent / "orders" / f"{name}.plan").read_text("utf-8"))


def test_a_chair_whose_posts_stand_past_its_seat_is_not_turned_onto_it() -> None:
    text = builders("side_chair")
    assert (
        "from the left of leg_fl to the right of leg_fr, 18 in apart" in text
    )  # not on the tenon within leg_fl
    seat = text.split("Join seat to the base")[1]
    assert "upright" in seat.split("\n")[1]
    assert "screws driven from underneath" in seat  # of its buttons


def test_a_top_on_buttons_takes_the_base_set_on_it() -> None:
    text = builders("writing_table")
    assert "Set the base on lid\n   Lies      turn it: upside down; lid flat on the bench" in text


def test_a_runner_glued_into_its_rails_is_no_floating_panel_and_a_rabbet_no_groove() -> None:
    text = builders("chest_on_web_frames")
    assert "before going in" not in text
    assert "Lies      flat on the bench, its bottom down" in text
    rear = text.split("Nail rear to what is together")[1].split("\n\n")[0]
    # Not along both rabbets, from the top, and nailed from above.
    assert "grooves" not in rear and "on its front" in rear and "down from above" in rear


def test_units_are_called_and_parts_listed_as_a_builder_would() -> None:
    assert "Lay the grid in the box" in builders("box_with_egg_crate")
    assert "Lay door_r on the carcass" in builders("cupboard_with_two_doors")
    assert "Join head_1 and head_2 to post_hl" in builders("bed_of_two_frames")
    planter = builders("../pieces/planter_boards_in_a_loop")
    assert "Screw front_1, front_2 and front_3 to the left side frame and the right side frame" in planter
    assert "Mind" not in planter
    # Slats that go in level under the long rails lie on the low ones by themselves.
    bench = builders("workbench_with_a_shelf")
    assert "Screw slat_1 through slat_6 (6 in all) to the base\n   Lies      upright" in bench


def test_a_shelf_on_pins_and_its_door_go_into_a_cabinet_that_stands() -> None:
    text = builders("wall_cabinet")
    assert "Lay shelf in what is together\n   Lies      turn it: upright" in text
    assert "Hang the frame on the carcass\n   Lies      upright" in text


def test_a_top_with_its_breadboard_ends_is_called_by_its_panel() -> None:
    top = """plan "Top"
stock board of white oak, 7/8 x 6
stock leg_wood of white oak, 3 x 3
part board_1, board_2, board_3 of board, 56 long, crosswise, facing up
part end_l, end_r of board, 18 long, 3 wide, deep, facing up
part leg of leg_wood, 28 long, upright, facing front
join board_1.back, board_2.back to board_2.front, board_3.front
    flush left, top
    glued
join leg.top to board_2.bottom as mortise and tenon, tenon 1/2 long, 1 thick
    centred left to right
    centred front to back
    glued
join board_1.left to end_l.right as breadboard end, tenon 1 long, 3/8 thick
    flush top, front
join board_1.right to end_r.left as breadboard end, tenon 1 long, 3/8 thick
    flush top, front
"""
    assert "Makes     the panel with end_l and end_r" in told(top)


def test_a_part_comes_as_the_piece_lies_and_is_told_where_it_goes() -> None:
    steps = builders("case_with_divider").split("\n\n")
    low = next(step for step in steps if "Glue low to" in step)
    assert "Comes     level, from the left of the piece" in low
    assert "Comes     down from above" in steps[1] and "Lies      upright" in steps[1]
    # 10 in over the bottom of the ends is 3/8 in less over that of the divider, which stands 3/8 in above it.
    assert "low.right to mid.left: as dado (3/8 in deep), flush front, 9-5/8 in from bottom, glued" in low


def test_joints_with_other_sizes_are_not_told_as_one() -> None:
    text = told(
        """\
plan "Two pegs"
    seen from nowhere
stock w of ash, 1-1/2 x 1-1/2
part post_l, post_r of w, 20 long, upright, facing front
part a, b of w, 10 long, crosswise, facing front
join a.left, a.right to post_l.right, post_r.left as dowels, 3/8 thick, 2 long
    flush top, front
    glued
join b.left, b.right to post_l.right, post_r.left as dowels, 1/2 thick, 3 long
    flush bottom, front
    glued
"""
    )
    assert re.search(r"as dowels \(\d, 3/8 in thick, 2 in long\)", text)
    assert re.search(r"as dowels \(\d, 1/2 in thick, 3 in long\)", text)


def test_a_gap_is_told_as_it_is_set_out() -> None:
    text = told(
        """\
plan "Duckboard"
    seen from nowhere
stock w of cedar, 3/4 x 3
part rail_l, rail_r of w, 18 long, deep, facing left
part slat_1 of w, 24 long, crosswise, facing up
join slat_1.bottom to rail_l.top
    flush front, left
    glued
join slat_1.bottom to rail_r.top
    flush front, right
    glued
for n in 2 to 4
    part slat_{n} like slat_1
        gap 1/4 to slat_{n - 1}
        in line with slat_1.left
    join slat_{n}.bottom to rail_l.top, rail_r.top
        glued
"""
    )
    assert "Set out   slat_2 through slat_4 in line with slat_1.left; 1/4 in between slat_1" in text


def test_a_joint_that_stops_the_work_is_marked_at_its_step() -> None:
    inspection = inspect_text(PlanText("test.plan", SOUND.replace("pockets 2", "pockets 1")))
    piece, out = inspection.piece, io.StringIO()
    assert piece is not None
    write_steps(Page(out, 100), piece, work_steps(piece), inspection.findings)
    assert "     Stop      lone-screw: mend the plan first" in out.getvalue()


def test_what_rests_against_something_is_finished_first() -> None:
    p = piece(DOORS)
    steps = work_steps(p)
    check(p, steps)
    last = steps[-1]
    assert [{part.name[0] for u in side for part in u.parts} for side in (last.added, last.standing)] == [
        {"b"},
        {"a"},
    ]
    assert all(len({part.name[0] for part in step.made}) == 1 for step in steps[:-1])


def test_panels_are_glued_up_before_other_assemblies_are_begun() -> None:
    p = piece(
        DOORS
        + """\
part shelf_1, shelf_2 of st, 20 long, upright, facing front
join shelf_2.left to shelf_1.right
    flush top, front
    glued
join shelf_1.left to b_stile_r.right as resting
    flush top, front
"""
    )
    steps = work_steps(p)
    check(p, steps)
    assert [part.name for part in steps[0].made] == ["shelf_1", "shelf_2"]


def test_a_panel_that_rests_in_its_door_is_laid_in_before_the_doors_meet() -> None:
    p = piece(
        DOORS.replace(
            "end\n",
            """\
    part pane of st, 10 long, upright, facing front
    join pane.bottom to rail_b.top as resting
        centred left to right
        flush front
end
""",
        )
    )
    steps = work_steps(p)
    check(p, steps)
    assert [
        {part.name[0] for u in side for part in u.parts} for side in (steps[-1].added, steps[-1].standing)
    ] == [
        {"b"},
        {"a"},
    ]
    assert all(len({part.name[0] for part in step.made}) == 1 for step in steps[:-1])


@pytest.mark.parametrize("sides", ["{upper}.bottom to {lower}.top", "{lower}.top to {upper}.bottom"])
def test_what_lies_on_top_is_laid_on_what_carries_it(sides: str) -> None:
    """Though the upper one is the larger, or stands in the plan first."""
    join = sides.format(upper="lid_1", lower="rail_f")
    p = piece(f"""\
plan "Lid"
stock board of cherry, 3/4 x 5
part lid_1, lid_2, lid_3, lid_4 of board, 20 long, crosswise, facing up
part rail_f of board, 20 long, crosswise, facing front
part end_l of board, 12 long, deep, facing left
join end_l.front to rail_f.back
    flush left, top
    glued
for n in 2 to 4
    join lid_{{n}}.front to lid_{{n - 1}}.back
        flush left, top
        glued
join {join} as resting
    flush front, left
""")
    steps = work_steps(p)
    check(p, steps)
    assert {part.name[:3] for unit in steps[-1].added for part in unit.parts} == {"lid"}
    assert {part.name for unit in steps[-1].standing for part in unit.parts} == {"rail_f", "end_l"}


NARROW = """\
plan "Narrow bookcase"
    seen from front
stock ply of birch plywood, 3/4 thick
part side_l, side_r of ply, 40 long, 11 wide, upright, facing left
part sh_1, sh_2, sh_3 of ply, {inside} long, 11 wide, crosswise, facing up
for n in 1 to 3
    join sh_{{n}}.left to side_l.right
        flush front
        n * 12 - 10 from bottom
        pockets 3 in bottom
        screws coarse 1-1/4
    join sh_{{n}}.right to side_r.left
        flush front
        n * 12 - 10 from bottom
        pockets 3 in bottom
        screws coarse 1-1/4
"""


def test_what_another_set_up_puts_together_has_an_order() -> None:
    """Steps and inspection say the same of one plan: which set-up serves."""
    text = NARROW.format(inside=10)
    found = [f for f in inspect_text(PlanText("test.plan", text)).findings if f.rule == "no-build-order"]
    assert {(finding.grade, finding.limit) for finding in found} == {(Grade.ADVICE, 9)}
    p = piece(text)
    steps = work_steps(p)
    check(p, steps)
    assert not any(step.stuck for step in steps)
    assert {work.set_ups for step in steps for work in step.work} == {(), (SetUp(6, 3, 1.5),)}
    said = " ".join(told(text).split())
    assert "the 6 in bit in a right-angle head (3 in long): side_l stands in the way of the usual one" in said
    assert "In all 18 coarse screws" in said
    assert "Have the 6 in bit in a right-angle head (3 in long)" in said
    entry = steps_entry("x.plan", p, steps)
    said_up = [each for step in entry["steps"] for joint in step["joints"] for each in joint["set_ups"]]
    assert said_up[0] == {"bit": 6, "driver_length": 3, "driver_width": 1.5}
    assert not entry["stuck"]


def test_all_screws_are_counted_where_there_is_no_order() -> None:
    p = piece(NARROW.format(inside=5))
    steps = work_steps(p)
    check(p, steps)
    assert any(step.stuck for step in steps)
    assert "In all 18 coarse screws" in " ".join(told(NARROW.format(inside=5)).split())
    assert [each["count"] for each in steps_entry("x.plan", p, steps)["screws"]] == [18]


@pytest.mark.parametrize("width", [20, 40, 100])
def test_no_line_is_wider_than_the_page(width: int) -> None:
    assert all(len(line) <= width for line in told(SOUND, width).splitlines() if " " in line.strip())


def test_what_a_plan_calls_itself_is_not_read_as_markup() -> None:
    text = told(SOUND.replace('"Frame"', '"[bold red]Frame[/]"'))
    assert "[bold red]Frame[/]" in text


def test_json_is_whole() -> None:
    p = piece(SOUND)
    entry = json.loads(json.dumps(steps_entry("x.plan", p, work_steps(p)), allow_nan=False))
    (step,) = entry["steps"]
    assert sorted(step["makes"]["parts"]) == ["rail", "stile"]
    (joint,) = step["joints"]
    assert joint["clamp"] == {
        "pads": [["rail", "right"], ["stile", "left"]],
        "flush": ["front"],
        "corner": False,
        "lap": None,
        "again": False,
    }
    (row,) = joint["rows"]
    assert (row["part"], row["face"], row["from"], row["places"]) == ("rail", "back", "top", [0.5, 1.5])
    assert row["screws"] == [{"count": 2, "thread": "fine", "length": 1.25, "gauge": 7}] == entry["screws"]
    assert entry["stuck"] == []


def test_the_command(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    plan = tmp_path / "frame.plan"
    plan.write_text(SOUND, encoding="utf-8")
    assert main(["steps", str(plan)]) == 0
    assert capsys.readouterr().out.startswith("Order of work  Frame\n")
    assert main(["steps", str(plan), "--as", "json"]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Frame"


def test_a_piece_without_an_order_is_told_and_gives_1(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    box = tmp_path / "box.plan"
    box.write_text(NARROW.format(inside=5), encoding="utf-8")
    assert main(["steps", str(box)]) == 1
    out = capsys.readouterr().out
    assert "No order of work" in out
    assert "sh_2.right to side_r.left out of reach behind side_l" in " ".join(out.split())
    assert "faults in this plan" in out


@pytest.mark.parametrize("form", ["text", "json"])
def test_a_plan_that_cannot_be_read_gives_2(
    form: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    plan = tmp_path / "broken.plan"
    plan.write_text("part rail of nothing, 3 long\n", encoding="utf-8")
    assert main(["steps", str(plan), "--as", form]) == 2
    assert "nothing" in capsys.readouterr().out
    assert main(["steps", str(tmp_path / "none.plan"), "--as", form]) == 2


def shut_in(text: str) -> list[tuple[Grade, str | None]]:
    found = inspect_text(PlanText("shut.plan", text)).told
    return [(each.grade, each.joint) for each in found if each.rule == "no-way-in"]


def test_a_sliding_dovetail_is_not_sprung_in() -> None:
    """By hand: a thin long back bends, but no bending brings a dovetail in square to its slot."""
    corner = """plan "Corner"
    seen from nowhere
stock panel of birch plywood, 3/4 thick
part side of panel, 24 long, 12 wide, upright, facing left
part rear of panel, 24 long, 20 wide, upright, facing front
part shelf of panel, 20 long, 11-1/4 wide, crosswise, facing up
join rear.left to side.right as sliding dovetail, 3/8 deep
    flush bottom, back
join shelf.left to side.right as dowels, dowel 3/8 thick, 1-1/2 long
    12 from bottom
    flush front
    glued
join shelf.back to rear.front as dowels, dowel 3/8 thick, 1-1/2 long
    glued
"""
    assert [grade for grade, _ in shut_in(corner)] == [Grade.STOP]


def test_a_panel_is_not_bowed_along_grooves_that_keep_it_straight() -> None:
    """Rails are lapped on stiles from the front, with a thin panel in the grooves of all four: by hand, no rail gets
    past the panel's edge, and the stiles' grooves hold the panel flat."""
    laps = "".join(
        f"join rail_{r}.back to stile_{s}.front as cross lap, 1 deep\n    2 from {end}\n    proud 2 at {side}\n"
        for r, end in (("t", "top"), ("b", "bottom"))
        for s, side in (("l", "left"), ("r", "right"))
    )
    members = "".join(
        f"part {name} of bat, 24 long, {lies}, facing front\n"
        f"    groove 1/4 wide 1/4 deep along {side}, 3/8 from front\n"
        for name, lies, side in (
            ("stile_l", "upright", "right"),
            ("stile_r", "upright", "left"),
            ("rail_t", "crosswise", "bottom"),
            ("rail_b", "crosswise", "top"),
        )
    )
    sash = f"""plan "Sash with horns"
    seen from nowhere
stock bat of oak, 1 x 3
stock ply of birch plywood, 1/4 thick
{members}part pan of ply, 14-1/2 long, 14-1/2 wide, upright, facing front
{laps}join pan.left, pan.right to stile_l.right, stile_r.left as tongue and groove, 1/4 deep
    centred top to bottom
    set back 3/8 from front
join pan.top, pan.bottom to rail_t.bottom, rail_b.top as tongue and groove, 1/4 deep
"""
    assert [grade for grade, _ in shut_in(sash)] == [Grade.STOP]


def test_stopped_sliding_dovetails_open_at_one_end() -> None:
    """A shelf whose slots are open to the back on both sides slides in; to the back and to the front it does not,
    unless one of them is cut through."""
    case = """plan "Case"
    seen from nowhere
stock board of oak, 1 thick
part side_l of board, 30 long, 11 wide, upright, facing left
    dado 1 wide 3/8 deep across right, 14 from bottom, from 1 to 11
part side_r of board, 30 long, 11 wide, upright, facing left
    dado 1 wide 3/8 deep across left, 14 from bottom, from {stretch}
part top_b, floor_b of board, 24 long, 11 wide, crosswise, facing up
part shelf of board, 24-3/4 long, 11 wide, crosswise, facing up
    notch 3/8 x 1 at left front
    notch 3/8 x 1 at right {end}
join top_b.left, top_b.right to side_l.right, side_r.left as dowels, dowel 3/8 thick, 2 long
    flush top, front
join floor_b.left, floor_b.right to side_l.right, side_r.left as dowels, dowel 3/8 thick, 2 long
    flush bottom, front
join shelf.left, shelf.right to side_l.right, side_r.left as sliding dovetail, 3/8 deep
    14 from bottom
    flush front
"""
    assert shut_in(case.format(stretch="1 to 11", end="front")) == []
    assert shut_in(case.format(stretch="0 to 10", end="back")) == [(Grade.ADVICE, "shelf.left")]


def test_boxes_alike_but_for_their_height_are_told_as_twins() -> None:
    path = next(path for path in DEMO if path.stem == "bedside-cabinet")
    text = " ".join(told(path.read_text("utf-8")).split())
    assert "2 times likewise upper_box_f and upper_box_b to upper_box_l, in its own sizes" in text
    assert "2 in the back of upper_box_f, at 1-1/2 and 4-1/2 in from top" in text


def test_what_the_order_alone_wants_another_driver_for_says_what_to_do_without() -> None:
    path = Path(__file__).parent / "orders" / "nightstand_on_legs.plan"
    text = " ".join(told(path.read_text("utf-8")).split())
    assert "without it, put low, run_l and run_r in after this" in text


def test_a_foot_is_not_brought_in_through_the_post_that_stands_on_it() -> None:
    """The post's tenon goes through the upper of two lapped feet into the lower: the feet go together first."""
    text = """plan "Post on crossed feet"
    seen from nowhere
stock post of oak, 2 x 2
part foot_a of post, 24 long, crosswise, facing up
part foot_b of post, 24 long, deep, facing up
part pole of post, 40 long, upright, facing front
join foot_b.bottom to foot_a.top as cross lap, 2 deep
    centred left to right
    centred front to back
join pole.bottom to foot_a.top as mortise and tenon, tenon 1 long, 1 thick, 1 wide
    centred left to right
    centred front to back
"""
    joined = [[each.join.name for each in step.work] for step in work_steps(piece(text))]
    assert joined == [["foot_b.bottom"], ["pole.bottom"]]
    assert shut_in(text) == []


def test_a_box_on_the_way_to_a_drawer_is_called_after_the_drawer(capsys: pytest.CaptureFixture[str]) -> None:
    main(["start", "drawers"])
    text = " ".join(told(capsys.readouterr().out).split())
    assert "Glue lower_base to the box of lower Lies" in text
    assert "likewise upper_base to the box of upper Why" in text


def test_a_row_that_meets_two_rails_alike_is_told_once_and_a_frame_is_turned_when_it_is_whole() -> None:
    bed = " ".join(told(started("bed", {})).split())
    assert bed.count("slat_1 through slat_14") == 2  # in the heading, and once behind its first joint
    assert "each to ledge_l.top and ledge_r.top" in bed
    assert "2 times likewise post_br, its back down" in bed
    assert "Join post_fr to them Lies flat on the bench, its front down" in bed


def test_only_what_lets_all_of_a_piece_in_is_advised() -> None:
    settle = """\
plan "Settle"
    seen from nowhere
stock board of oak, 1 thick
part side_l, side_r of board, 16 long, 12 wide, upright, facing left
part seat of board, 20 long, 13 wide, crosswise, facing up
part rest of board, 22 long, 8 wide, crosswise, facing front
join seat.left to side_l.right as dowels, dowel 3/8 thick, 2 long
    flush front, bottom
join seat.right to side_r.left as dowels, dowel 3/8 thick, 2 long
    flush front, bottom
join rest.bottom to seat.top as dowels, dowel 3/8 thick, 2 long
    centred left to right
join rest.front to side_l.back as dowels, dowel 3/8 thick, 2 long
join rest.front to side_r.back as dowels, dowel 3/8 thick, 2 long
"""
    (found,) = inspect_text(PlanText("settle", settle)).told
    assert found.rule == "no-way-in"
    assert [join.name for join in found.judged(ShutIn).undoing] == ["rest.bottom"]


def test_boards_alike_are_told_once_though_their_screws_lie_at_half_a_thousandth() -> None:
    """1.1875 in is 1.187 or 1.188, as sums round on the way there: 3/16 in is no place to tell two boards apart."""
    boards = "".join(
        f"""\
part board_{n} of board, 1200 long, upright, facing front
join board_{n}.back to ledge.front
    {130 * n} from left
    proud 150 at top
    screws 2 through front, gauge 8, 40 long
"""
        for n in range(7)
    )
    text = f"""\
plan "Ledge"
    unit mm
    seen from nowhere
stock rail of larch, 28 x 95
stock board of larch, 20 x 120
part ledge of rail, 900 long, crosswise, facing back
{boards}"""
    assert told(text).count(" through the front of board_") == 2  # The first is set on alone.

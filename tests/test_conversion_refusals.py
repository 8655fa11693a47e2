"""What is not converted (measures that cannot be true, wood that must move, stock too thin), and the report."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from planlint.command.main import main
from planlint.conversion.convert_plan import convert
from planlint.model.workshop import Settings
from planlint.rulebook.limits import Limits
from planlint.text.source import PlanText
from tests.conversions import check_four_things, converted

HEAD = """\
plan "Test"
    unit inch
    seen from front

stock post of red oak, 2 x 2-1/2
stock rail of red oak, 3/4 x 3-1/2
part post_l, post_r of post, 20 long, upright, facing front
part rail of rail, 18 long, crosswise, facing front
    {rail}
part shelf of rail, 18 long, crosswise, facing up
join shelf.bottom to rail.top as resting
    flush front, left

join rail.left to post_l.right as {left}
    flush top, front
join rail.right to post_r.left as mortise and tenon, tenon 1 long
    flush top, front
"""


def with_joint(left: str, rail: str = "rough") -> str:
    return HEAD.format(left=left, rail=rail)


@pytest.mark.parametrize(
    ("joint", "says"),
    [
        ("mortise and tenon, tenon ⟦3 long⟧", "it would come out of the far side"),
        ("mortise and tenon, tenon 1 long, ⟦1 thick⟧", "The tenon of rail to post_l is to be 1 in thick"),
        ("mortise and tenon, tenon 1 long, ⟦4 wide⟧", "and rail is only 3-1/2 in wide"),
        ("mortise and tenon, tenon 1 long, ⟦3/4 deep⟧", "is to be 3/4 in deep, and the tenon is 1 in long"),
        (
            "mortise and tenon, tenon ⟦1 long⟧, through",
            "tenon of rail to post_l is 1 in long and post_l 2-1/2 in: it does not come through",
        ),
        ("half lap, ⟦3/8 long⟧", "lap of rail to post_l is 3/8 in long and post_l 2-1/2 in across"),
        ("half lap, ⟦3/4 thick⟧", "What is left of rail in its lap is to be 3/4 in thick"),
        ("half lap, ⟦3 wide⟧", "lap of rail to post_l is 3 in wide and rail 3-1/2 in"),
        ("half-blind dovetail, tails ⟦2-1/2 long⟧", "no wood is left behind it"),
        ("dowels, ⟦3/4 thick⟧", "The dowels of rail to post_l are to be 3/4 in thick"),
        ("dado, ⟦3 deep⟧", "which is only 2-1/2 in"),
    ],
)
def test_bad_measures_are_told_at_their_place_and_nothing_is_converted(joint: str, says: str) -> None:
    start, end = joint.index("⟦"), joint.index("⟧") - 1
    plain = joint.replace("⟦", "").replace("⟧", "")
    text = with_joint(plain)
    conversion = converted(text)
    assert conversion.result.text == text
    (mistake,) = conversion.unread
    assert says in mistake.says
    at = text.index(plain)
    assert tuple(mistake.span) == (at + start, at + end)


DADO = """\
plan "Dado"
stock plank of poplar, 3/4 x 10
part side of plank, 30 long, upright, facing left
    dado {wide} wide 1/4 deep across right, 10 from bottom
part shelf of plank, 20 long, crosswise, facing up
join shelf.left to side.right as dado, {deep} deep
    flush front
    10 from bottom
"""


def test_a_dado_must_take_the_board_and_be_as_deep_as_the_joint_says() -> None:
    deep = converted(DADO.format(wide="3/4", deep="3/8"))
    assert "1/8 in too shallow: shelf goes 3/8 in in" in deep.unread[0].says
    narrow = converted(DADO.format(wide="5/8", deep="1/4"))
    assert "1/8 in too narrow" in narrow.unread[0].says
    assert not converted(DADO.format(wide="3/4", deep="1/4")).unread


def test_a_poor_fit_that_the_shop_does_not_judge_stops_no_conversion() -> None:
    """A rule that is off is off here too, and its limit is the shop's."""
    plan = PlanText("off.plan", DADO.format(wide="11/16", deep="1/4"))
    assert convert(plan).unread
    assert not convert(plan, Settings(grades={"poor-fit": "off"})).unread
    assert not convert(plan, Settings(limits=Limits.of({("poor-fit", "difference"): 1 / 8}))).unread


def test_joints_that_take_up_the_whole_part() -> None:
    text = with_joint("mortise and tenon, tenon 1 long").replace(
        "part rail of rail, 18 long", "part rail of rail, 2 long"
    )
    refused = {each.joint: each.refused for each in converted(text).joints}
    assert set(refused) == {"rail.left", "rail.right"}
    assert all("nothing would be left of rail" in why for why in refused.values())


def test_a_lap_must_add_up_with_the_cut_that_is_there() -> None:
    plan = """\
plan "Lap"
stock lath of maple, 3/4 x 2
part stile of lath, 20 long, upright, facing front
    notch {deep} x 2 at front top
part rail of lath, 20 long, crosswise, facing front
join rail.left to stile.right as half lap, 3/8 thick
    flush top, front
"""
    assert "1/8 in more than the 3/4 in they share" in converted(plan.format(deep="1/4")).unread[0].says
    right = converted(plan.format(deep="3/8"))
    assert not right.unread and "notch" not in right.result.text
    check_four_things(right)


BREADBOARD = """\
plan "Breadboard"
    seen from front
stock slab of {species}, {thick}
stock end_ of hard maple, 3/4 x 3
part board of slab, 32 long, {wide}crosswise, facing up
part end_l of end_, 18 long, deep, facing up
join board.left to end_l.right as breadboard end, tongue 1 long
    flush front, top
{more}"""


def test_a_breadboard_end_that_would_lock_the_board_is_refused_with_the_movement() -> None:
    plan = BREADBOARD.format(species="hard maple", thick="3/4 thick, 18 wide", wide="", more="")
    conversion = converted(plan)
    (joint,) = conversion.joints
    assert (
        "it would lock board across its grain: 18 in of hard maple moves 5/16 in over a season"
        in joint.refused
    )
    assert "Wood Handbook, table 13-5" in joint.refused and "own judgement" in joint.refused
    assert "slotted" in joint.offers[0]
    assert not conversion.changed
    own = Limits.of({("locked-across-grain", "movement"): 1 / 4}, "planlint.toml, line 7")
    (joint,) = convert(PlanText("own.plan", plan), Settings(limits=own)).joints
    assert "held joints take up 1/4 in, the shop's own limit: planlint.toml, line 7" in joint.refused


@pytest.mark.parametrize(
    "plan",
    [
        BREADBOARD.format(species="hard maple", thick="3/4 thick, 18 wide", wide="", more="    slotted\n"),
        BREADBOARD.format(species="birch plywood", thick="3/4 thick", wide="18 wide, ", more=""),
    ],
    ids=["slotted", "plywood"],
)
def test_a_breadboard_end_that_lets_it_move_is_converted(plan: str) -> None:
    conversion = converted(plan)
    (joint,) = conversion.joints
    assert not joint.refused, joint.refused
    assert "part board of slab, 31 long" in conversion.result.text
    check_four_things(conversion)


def test_some_joints_converted_and_others_refused_is_a_valid_plan() -> None:
    conversion = converted((DEMO / "cope-and-stick-door.plan").read_text(encoding="utf-8"))
    assert {joint.joint: bool(joint.refused) for joint in conversion.joints} == {
        "rail_t.left": False,
        "rail_t.right": False,
        "rail_b.left": False,
        "rail_b.right": False,
        "panel.left": True,
        "panel.right": True,
        "panel.top": True,
        "panel.bottom": True,
    }
    assert "from 2-1/8 to tall - 2-1/8" in conversion.result.text
    assert all("thin-stock" in joint.refused for joint in conversion.joints if joint.refused)
    check_four_things(conversion)


def test_where_screws_come_out_in_an_open_groove_it_is_told_to_stop_that() -> None:
    plan = """\
plan "Dowelled corner"
    seen from front
stock wood of poplar, 3/4 x 2-1/2
part stile of wood, 30 long, upright, facing front
    groove 1/4 wide 3/8 deep along right, 1/4 from front
part rail of wood, 12 long, crosswise, facing front
join rail.left to stile.right as dowels
    flush top, front
"""
    (joint,) = converted(plan).joints
    assert "tip-through" in joint.refused
    assert joint.offers[0].startswith("stop the groove in stile where it lies open")
    stopped = plan.replace("1/4 from front\n", "1/4 from front, from 0 to 27-1/2\n")
    assert not converted(stopped).joints[0].refused


def test_a_narrow_mitre_is_left_alone() -> None:
    conversion = converted((DEMO / "small-frame.plan").read_text(encoding="utf-8"))
    assert all("narrow-mitre" in joint.refused for joint in conversion.joints)
    assert not conversion.changed


def test_a_joint_that_holds_another_part_by_the_wood_that_goes_is_refused() -> None:
    text = with_joint("half lap").replace("part shelf of rail, 18 long", "part shelf of rail, 4 long")
    text += "part cap of rail, 4 long, crosswise, facing front\n"
    text += "join cap.right to rail.left as butt\n    flush top, front\n"
    conversion = converted(text)
    refused = {joint.joint: joint.refused for joint in conversion.joints if joint.refused}
    assert "would no longer meet" in refused["rail.left"]


def test_a_cross_lap_becomes_two_parts_that_every_line_finds() -> None:
    plan = """\
plan "Cross"
    unit inch
    seen from front
let wide = 24
stock lath of hard maple, 3/4 x 2-1/2
stock shelf of hard maple, 3/4 x 2-1/2
part bar of lath, wide long, crosswise, facing front    # the bar
part post of lath, 30 long, upright, facing front
part ledge of shelf, 20 long, crosswise, facing up
join bar.back to post.front as cross lap, 3/4 deep      # let in
    proud 8 at left
    10 from bottom
join ledge.front to bar.back as resting
    flush top
    1 from left
load 20 lb per foot on bar
accept hole-in-sight on bar.back because "under the lid"
"""
    conversion = converted(plan)
    text = conversion.result.text
    assert "part bar_1 of lath, 8 long, crosswise, facing front    # the bar\n" in text
    assert "part bar_2 of lath, wide - 10-1/2 long, crosswise, facing front    # the bar\n" in text
    assert "join bar_1.right to post.left  # was: cross lap, 3/4 deep      # let in\n" in text
    assert "join bar_2.left to post.right  # was: cross lap, 3/4 deep" in text
    assert "join ledge.front to bar_1.back as resting\n    flush top\n    1 from left\n" in text
    assert "join ledge.front to bar_2.back as resting\n    flush top\n    proud 9-1/2 at left\n" in text
    assert 'accept hole-in-sight on bar_1.right/post.left because "under the lid"\n' in text
    assert "load 20 lb per foot on bar_1\nload 20 lb per foot on bar_2\n" in text
    check_four_things(conversion)


def test_laps_that_do_not_cover_one_another_are_refused_with_what_would_be_lost() -> None:
    plan = """\
plan "Trivet"
    seen from nowhere
stock bar of red oak, 3/4 x 1-1/2
part along of bar, 12 long, crosswise, facing up
part over of bar, 12 long, deep, facing up
join along.top to over.bottom as cross lap, 3/8 deep
    centred left to right
    centred front to back
"""
    (joint,) = converted(plan).joints
    assert "stands 3/8 in out past" in joint.refused


# ---------------------------------------------------------------- the command

DEMO = Path(__file__).parent.parent / "planlint" / "demo"


@pytest.fixture(name="plan")
def plan_file(tmp_path: Path) -> Path:
    path = tmp_path / "table.plan"
    path.write_bytes((DEMO / "mortised-table.plan").read_bytes())
    return path


def test_the_report_alone_writes_nothing(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = plan.read_bytes()
    assert main(["convert", str(plan), "--explain"]) == 0
    told = capsys.readouterr().out
    assert plan.read_bytes() == before
    for words in (
        "joints alike: apron_f.left, apron_f.right",
        "mortise and tenon, tenon 1 long, 3/8 thick, 3-1/2 wide, haunched (lines 29,",
        "apron_f is 1 in shorter at the left, now 35-1/2 in instead of 37-1/2 in",
        "2 pockets in the back of apron_f: clean.",
        "2 pockets in the front of apron_f: hole-in-sight (caution).",
        "apron_f.left and 7 others: no design value is told: NDS 2018 12.1.5.6 asks for 6 diameters of thread",
        "No published figure was found for the old joints (mortise and tenon)",
        "8 joints converted; nothing was written: add --to FILE or --in-place.",
    ):
        assert words in " ".join(told.split()), words


def test_writing_to_a_file_and_in_place(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = plan.with_name("screwed.plan")
    assert main(["convert", str(plan), "--to", str(target)]) == 0
    assert main(["inspect", str(target)]) == 0
    assert main(["convert", str(plan), "--to", str(target)]) == 2
    assert main(["convert", str(plan), "--in-place"]) == 0
    assert plan.read_bytes() == target.read_bytes()
    capsys.readouterr()
    assert main(["convert", str(plan), "--in-place"]) == 0
    assert "There is no traditional joint to convert." in capsys.readouterr().out
    assert plan.read_bytes() == target.read_bytes()
    assert sorted(path.name for path in plan.parent.iterdir()) == ["screwed.plan", "table.plan"]


def test_the_report_for_programs(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["convert", str(plan), "--as", "json", "--explain", "--joint", "apron_f.left"]) in {0, 1}
    report = json.loads(capsys.readouterr().out)
    (joint,) = report["joints"]
    assert joint["joint"] == "apron_f.left" and joint["line"] == 29
    assert joint["drilled"][0]["taken"]["face"] == "back" and not joint["drilled"][0]["taken"]["findings"]
    assert {other["face"] for other in joint["drilled"][0]["others"]} == {"front"}
    assert report["changed"] and report["written"] is None and "apron_long - 1 long" in report["text"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["--joint", "apron.left"], "there is no joint called 'apron.left'"),
        (["--to", "{plan}"], "is there already; add --in-place to change the plan itself"),
        (["--to", "x.plan", "--in-place"], "not allowed with"),
        (["--as", "patch"], "there is no 'patch'"),
    ],
)
def test_calls_that_ask_for_what_there_is_not(
    plan: Path, words: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["convert", str(plan), *(word.format(plan=plan) for word in words)]) == 2
    assert says in capsys.readouterr().err


def test_a_plan_that_cannot_be_read_is_told_and_not_written(
    plan: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan.write_text(plan.read_text(encoding="utf-8").replace("3-1/2 wide", "9 wide", 1), encoding="utf-8")
    before = plan.read_bytes()
    assert main(["convert", str(plan), "--in-place"]) == 2
    told = capsys.readouterr().out
    assert "NOT CONVERTED" in told and "Nothing was converted." in told and "line 29" in told
    assert plan.read_bytes() == before


def test_standard_input(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["convert", "-", "--in-place"]) == 2
    assert "standard input has none" in capsys.readouterr().err


HEAVY = """\
plan "Wall of shelves"
    seen from front
stock plank of poplar, 3/4 x 10
part side_l, side_r of plank, 60 long, upright, facing left
for n in 1 to 4
    part shelf_{{n}} of plank, 24-1/2 long, crosswise, facing up
    join shelf_{{n}}.left, shelf_{{n}}.right to side_l.right, side_r.left as dado, 1/4 deep
        12 * n from bottom
        flush front
    load {pounds} lb per foot on shelf_{{n}}
"""


def test_loads_are_solved_only_for_ways_that_may_bear_more() -> None:
    """Nothing else is tried anew, and what they find is told."""
    tries = []
    for pounds in (1, 120):
        ways: list[tuple[int, int]] = []
        plan = PlanText("test.plan", HEAVY.format(pounds=pounds))
        made = convert(plan, watch=lambda *each, ways=ways: ways.append(each))
        rules = [finding.rule for joint in made.joints for finding in joint.left]
        assert ("joint-overload" in rules) is (pounds > 1)
        tries.append(len(ways))
    assert tries[0] < tries[1] <= tries[0] + 3


def test_what_is_found_of_a_part_that_is_two_now_was_found_before(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As one that falls over under the load on it."""
    path = tmp_path / "t.plan"
    path.write_text(
        """\
plan "T"
    seen from front
stock lath of poplar, 3/4 x 3
part along of lath, 30 long, crosswise, facing front
part across of lath, 30 long, upright, facing front
join along.back to across.front as cross lap, 3/4 deep
    centred left to right
    centred top to bottom
load 20 lb on along
""",
        encoding="utf-8",
    )
    assert main(["convert", str(path)]) == 1
    told = capsys.readouterr().out
    assert "Elsewhere" not in told and "tip-over" in told.partition("Found before as well")[2]

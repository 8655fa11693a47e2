"""The order of work as it is told: whole, in an order that can be driven, and safe to print."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from planlint.command.main import main
from planlint.geometry.piece import Piece
from planlint.inspection.clamps import Clamping
from planlint.inspection.inspect import understand
from planlint.inspection.steps import Step, work_steps
from planlint.model.settings import Settings
from planlint.reports.page import Page
from planlint.reports.steps import steps_entry, write_steps
from planlint.text.source import PlanText
from tests.plans import SOUND, row_of_furniture

DEMO = sorted((Path(__file__).parent.parent / "planlint" / "demo").glob("*.plan"))


def piece(text: str) -> Piece:
    plan, mistakes = understand(PlanText("test.plan", text), Settings())
    assert plan is not None and not mistakes, mistakes
    return Piece(plan)


def told(text: str, width: int = 100) -> str:
    file, p = io.StringIO(), piece(text)
    write_steps(Page(file, width), p, work_steps(p))
    return file.getvalue()


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_every_joint_is_made_once_and_free_when_it_is_made(path: Path) -> None:
    p = piece(path.read_text(encoding="utf-8"))
    steps = work_steps(p)
    check(p, steps)


def check(p: Piece, steps: list[Step]) -> None:
    made = [work.join.index for step in steps if not step.stuck for work in step.work]
    assert len(made) == len(set(made))
    whole: dict[int, frozenset[int]] = {part.index: frozenset((part.index,)) for part in p.plan.parts}
    for number, step in enumerate(steps, 1):
        assert step.number == number
        together = frozenset(part.index for part in step.made)
        if step.stuck:
            for part in step.made:
                whole[part.index] = together
            continue
        added, standing = (frozenset(part.index for part in side) for side in (step.added, step.standing))
        # Both sides are things that earlier steps left hanging together, and each joint ties one to the other.
        assert whole[min(added)] == added
        assert whole[min(standing)] == standing
        for work in step.work:
            ends = {part.index for part in work.join.parts}
            assert len(ends & added) == 1 and len(ends & standing) == 1
            assert p.blocking(work.join).isdisjoint(together)
        for index in together:
            whole[index] = together
    if not any(step.stuck for step in steps):
        assert sorted(made) == [join.index for join in p.plan.joins if join.part_a is not join.part_b]


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
        "from the right of rail to the left of stile; and one that presses the joint flat at the front"
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
        (across, False),
        (across, False),
        (across, True),
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
    assert sorted(step["makes"]) == ["rail", "stile"]
    (joint,) = step["joints"]
    assert joint["clamp"] == {
        "pads": [["rail", "right"], ["stile", "left"]],
        "flush": ["front"],
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


def test_a_piece_without_an_order_is_told_and_gives_1(capsys: pytest.CaptureFixture[str]) -> None:
    (box,) = [path for path in DEMO if path.stem == "key-box"]
    assert main(["steps", str(box)]) == 1
    out = capsys.readouterr().out
    assert "No order of work" in out
    assert "side_r.front to front_b.back out of reach behind back_b" in " ".join(out.split())
    assert "Inspection finds 2 faults in this plan" in out


@pytest.mark.parametrize("form", ["text", "json"])
def test_a_plan_that_cannot_be_read_gives_2(
    form: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    plan = tmp_path / "broken.plan"
    plan.write_text("part rail of nothing, 3 long\n", encoding="utf-8")
    assert main(["steps", str(plan), "--as", form]) == 2
    assert "nothing" in capsys.readouterr().out
    assert main(["steps", str(tmp_path / "none.plan"), "--as", form]) == 2

"""Which rule tells which fault of a bore or a screw: one fault, one finding."""

from __future__ import annotations

import pytest

from planlint.inspection.inspect_plan import inspect_text
from planlint.text.source import PlanText

RAIL = """\
plan "Rail"
    seen from nowhere
stock post of red oak, 1-1/2 x 3-1/2
stock rail of red oak, 3/4 x 3-1/2
part post of post, 30 long, upright, facing front
{post_cut}
part rail of rail, 20 long, crosswise, facing front
{cut}
join rail.left to post.right
    centred front to back
    10 from bottom
    pockets {row} in back
    screws fine 1-1/4
"""


def told(row: str = "2", cut: str = "", post_cut: str = "") -> list[str]:
    text = RAIL.format(row=row, cut=cut and f"    {cut}", post_cut=post_cut and f"    {post_cut}")
    inspection = inspect_text(PlanText("test.plan", text))
    assert inspection.whole, inspection.unread
    return sorted(finding.rule for finding in inspection.findings)


@pytest.mark.parametrize(
    ("row", "cut", "expected"),
    [
        ("at 1/4, 2 from top", "", ["breakout"]),
        ("at 5/16, 2 from top", "", []),
        ("at 1, 2 from top", "groove 1/4 wide 1/4 deep along back, 1 from top", ["thin-cover"]),
        ("at 1, 2 from top", "groove 1/4 wide 1/8 deep along front, 1 from top", []),
        ("at 1, 2 from top", "groove 1/4 wide 7/16 deep along front, 7/8 from top", ["thin-cover"]),
        ("at 1, 2 from top", "rabbet 1/2 x 1/4 along top back", []),
        ("at 3/4, 2 from top", "rabbet 1/2 x 1/4 along top back", ["thin-cover"]),
        ("at 1/4, 2 from top", "rabbet 1/2 x 1/4 along top back", ["breakout", "thin-cover"]),
        ("at 1, 2 from top", "notch 3/4 x 1-1/8 at left top", ["thin-cover"]),
        # One pocket at an edge and another at a groove are two faults.
        ("at 1/4, 2 from top", "groove 1/4 wide 1/4 deep along back, 2 from top", ["breakout", "thin-cover"]),
    ],
)
def test_sides_are_told_by_breakout_and_what_was_taken_away_by_thin_cover(
    row: str, cut: str, expected: list[str]
) -> None:
    found = [rule for rule in told(row, cut) if rule != "apart"]
    assert found == expected


@pytest.mark.parametrize(
    ("post_cut", "expected"),
    [
        ("", []),
        # The screw reaches 0.604 in into a part 3-1/2 wide that way: behind a cut 2-7/8 deep 5/8 is left.
        ("groove 1 wide 2-7/8 deep along left, 1/4 from front", ["tip-through"]),
        # All along the joint 0.021 in is left, and no screw that is kept holds and leaves more: as in thin stock.
        ("dado 3-1/2 wide 2-7/8 deep across left, 10 from bottom", []),
        ("dado 3-1/2 wide 2-15/16 deep across left, 10 from bottom", ["tip-through"]),
        ("dado 3-1/2 wide 2-7/8 deep across left, 4 from bottom", []),
        ("dado 3-1/2 wide 2 deep across left, 10 from bottom", []),
        ("rabbet 2-3/4 x 1 along left back", []),
    ],
)
def test_a_screw_is_judged_by_the_wood_that_is_left(post_cut: str, expected: list[str]) -> None:
    assert told(post_cut=post_cut) == expected


def test_a_screw_through_the_floor_of_its_own_dado_is_sound() -> None:
    text = """\
plan "Shelf"
    seen from nowhere
stock board of birch plywood, 3/4 thick
part side of board, 30 long, 11-1/4 wide, upright, facing left
    dado 3/4 wide {deep} deep across right, 10 from bottom
part shelf of board, 20 long, 11-1/4 wide, crosswise, facing up
join shelf.left to side.right as dado, {deep} deep
    flush front
    10 from bottom
    pockets 2 in bottom
    screws coarse {length}
"""
    found = {
        (length, deep): [
            f.rule for f in inspect_text(PlanText("t", text.format(length=length, deep=deep))).findings
        ]
        for length in ("1", "1-1/4")
        for deep in ("1/8", "3/16")
    }
    # 5/8 or 9/16 of wood is left behind the dado: the 1-1/4 in screw reaches 0.604 in into it.
    assert "tip-through" not in found["1", "3/16"]
    assert "tip-through" not in found["1-1/4", "1/8"]
    assert found["1-1/4", "3/16"] == ["tip-through"]


def test_a_screw_that_comes_out_is_not_also_told_to_have_too_little_thread() -> None:
    assert "short-grip" not in told(post_cut="dado 3-1/2 wide 3-1/4 deep across left, 10 from bottom")


@pytest.mark.parametrize("row", ["at 4-1/2 from top", "at 1, 20 from top"])
def test_a_pocket_outside_its_part_is_a_finding_at_its_line(row: str) -> None:
    """The rest of the plan is judged all the same."""
    assert "breakout" in told(row, "finish both faces")

"""What is not converted, or said otherwise, since it was found wrong at the bench: panels of boards, the NDS, trays."""

from __future__ import annotations

from collections.abc import Iterable

import pytest

from planlint.conversion.convert_plan import convert
from planlint.conversion.joint_strength import new_strength
from planlint.inspection.inspect_plan import inspect_text
from planlint.model.directions import Side
from planlint.rulebook.figure_tables import figures
from planlint.text.source import PlanText
from tests.conversions import converted

BOARDS = """\
plan "Breadboard end on a glued top"
    seen from front
stock boards of white oak, 3/4 x {wide}
part end_l of boards, 24 long, deep, facing up
for n in 1 to {count}
    part b_{{n}} of boards, 40 long, crosswise, facing up
    join b_{{n}}.left to end_l.right as breadboard end, 1 long
        flush top
        {step} * (n - 1) from front
for n in 1 to {count} - 1
    join b_{{n + 1}}.front to b_{{n}}.back{how}
"""


@pytest.mark.parametrize(
    ("wide", "count", "named"),
    [
        (3, 8, "the panel of b_1, b_2, b_3, 4 more and b_8"),
        (6, 4, "the panel of b_1, b_2, b_3 and b_4"),
        (12, 2, "the panel of b_1 and b_2"),
    ],
)
@pytest.mark.parametrize(
    ("how", "tongue"),
    [("\n        glued", "0"), (" as tongue and groove, 1/4 deep", "1/4")],
    ids=["glued", "tongues"],
)
def test_boards_edge_to_edge_move_as_one_panel(
    wide: int, count: int, named: str, how: str, tongue: str
) -> None:
    conversion = converted(BOARDS.format(wide=wide, count=count, how=how, step=f"({wide} - {tongue})"))
    ends = [joint for joint in conversion.joints if joint.was.startswith("breadboard")]
    assert len(ends) == count
    for joint in ends:
        assert joint.refused.startswith(f"it would lock {named} across its grain: ")
        if how.strip() == "glued":
            assert "24 in of white oak moves 13/32 in over a season" in joint.refused
        else:  # The boards lie 1/4 in over one another.
            across = {8: "22-1/4 in", 4: "23-1/4 in", 2: "23-3/4 in"}[count]
            assert f"{across} of white oak moves" in joint.refused
        assert "`slotted` under the join of each board" in joint.offers[0]
    assert "breadboard end" in conversion.result.text and "was: breadboard end" not in conversion.result.text


@pytest.mark.parametrize(
    ("slotted", "refused"), [(range(1, 9), 0), ((1, 2, 3, 5, 6, 7, 8), 0), ((1, 2, 3), 5)]
)
def test_boards_with_slots_do_not_count_for_what_is_held(slotted: Iterable[int], refused: int) -> None:
    """One narrow board held fast is no more than it was alone; five of them are."""
    plan = BOARDS.format(wide=3, count=8, how="\n        glued", step=3)
    loop, rest = plan.split("    join b_{n}.left", 1)
    words, rest = rest.split("for n in 1 to 8 - 1", 1)
    each = "".join(
        f"join b_{n}.left{words.replace('{n}', str(n)).replace('(n - 1)', f'({n} - 1)')}".replace(
            "\n    ", "\n"
        )
        + ("    slotted\n" if n in slotted else "")
        for n in range(1, 9)
    )
    conversion = converted(f"{loop}{each}for n in 1 to 8 - 1{rest}")
    assert not conversion.unread, conversion.unread
    assert sum(bool(joint.refused) for joint in conversion.joints) == refused
    assert all("15 in of white oak" in joint.refused for joint in conversion.joints if joint.refused)


def test_a_panel_of_boards_floats_between_its_grooves_as_one() -> None:
    plan = """\
plan "Frame with a panel of two boards"
    seen from front
stock stile of red oak, 1-1/2 x 2
stock board of red oak, 3/4 x 1-1/2
part stile_l, stile_r of stile, 30 long, upright, facing front
part p_1, p_2 of board, 20 long, upright, facing front
join p_2.left to p_1.right
    flush top, front
    glued
join p_1.left to stile_l.right as tongue and groove, 3/8 deep
    5 from bottom
    3/8 from front
join p_2.right to stile_r.left as tongue and groove, 3/8 deep
    5 from bottom
    3/8 from front
"""
    assert not any("floats" in joint.refused for joint in converted(plan).joints)
    wide = converted(plan.replace("3/4 x 1-1/2", "3/4 x 6")).joints
    assert len(wide) == 2
    for joint in wide:
        assert joint.refused.startswith("the panel of p_1 and p_2 floats between grooves at both its edges")
        assert "7/32 in over a season" in joint.refused


def test_screws_that_reach_too_little_into_the_wood_get_no_design_value() -> None:
    """In 3/4 in stock 5/8 in of thread lies in the wood; the NDS asks for 6 diameters, 29/32 in of a No. 7."""
    (thin,) = converted(RAIL_AND_LEG.format(stock="3/4 x 3-1/2")).joints
    assert thin.strength == (
        "no design value is told: NDS 2018 12.1.5.6 asks for 6 diameters of thread in the wood, 29/32 in of a No. 7, "
        "and 5/8 in lies in leg"
    )
    plan = RAIL_AND_LEG.format(stock="1-1/2 x 3-1/2")
    (thick,) = converted(plan).joints
    # No. 7, 0.151 in thick; red oak of 0.67: 2850 x 0.67 x 0.67 x 0.151 x 1-1/4 in, twice.
    assert thick.strength == (
        "2 screws in red oak: 483 lb allowable in withdrawal (NDS 2018, 1-1/4 in of thread each); lateral: none told"
    )
    (walnut,) = converted(plan.replace("leg of red oak", "leg of black walnut")).joints
    assert walnut.strength == "no NDS figure for screws in black walnut is at hand"


def test_what_the_nds_tells_of_a_wood_is_a_share_of_the_weight_of_water() -> None:
    """No wood of its table weighs as much as water, and none less than a quarter of it."""
    told = [row["nds_gravity"] for row in figures("strength")["wood"].values() if "nds_gravity" in row]
    assert len(told) == 24 and all(0.25 < gravity < 1 for gravity in told)


def test_screws_in_end_grain_get_no_withdrawal_value() -> None:
    """NDS 2018, 12.2.2.3: thick stock, so that the thread would be long enough."""
    plan = """\
plan "End to end"
    seen from front
stock beam of douglas fir, 1-1/2 x 3-1/2
part one, two of beam, 20 long, crosswise, facing front
join one.right to two.left
    flush top, front
    pockets 2 in back
    screws coarse 2-1/2
"""
    piece = inspect_text(PlanText("test.plan", plan)).piece
    assert piece is not None
    (join,) = piece.plan.joins
    assert new_strength(piece, join) == "the NDS gives screws in end grain no withdrawal value at all"
    side = plan.replace("two of beam, 20 long, crosswise", "three of beam, 20 long, crosswise").replace(
        "join one.right to two.left",
        "part two of beam, 20 long, upright, facing front\njoin one.right to two.left",
    )
    piece = inspect_text(PlanText("test.plan", side)).piece
    assert piece is not None
    assert "lb allowable in withdrawal" in new_strength(piece, piece.plan.joins[0])


RAIL_AND_LEG = """\
plan "Rail and leg"
    seen from front
stock leg of red oak, 3-1/2 x 3-1/2
stock rail of red oak, {stock}
part leg of leg, 20 long, upright, facing front
part rail of rail, 18 long, crosswise, facing front
join rail.left to leg.right as dowels
    flush top
    set back 1/4 from front
"""


TRAY = """\
plan "Tray"
    seen from all round
stock wood of walnut, 3/4 x 4
part front_, back_ of wood, 16 long, crosswise, facing front
part side_l, side_r of wood, {long} long, deep, facing left
join side_l.front to front_.back as {joint}
    flush left, top
join side_r.front to front_.back as {joint}
    flush right, top
join side_l.back to back_.front as {joint}
    flush left, top
join side_r.back to back_.front as {joint}
    flush right, top
"""


def test_a_tray_is_drilled_inside_where_there_is_room() -> None:
    conversion = converted(TRAY.format(long=20, joint="butt"))
    faces = {joint.joint: [each.taken.choice.face for each in joint.drilled] for joint in conversion.joints}
    assert faces == {
        "side_l.front": [Side.RIGHT],
        "side_r.front": [Side.LEFT],
        "side_l.back": [Side.RIGHT],
        "side_r.back": [Side.LEFT],
    }


def test_a_short_tray_is_drilled_outside_and_told_why() -> None:
    """No driver goes in between front and back: what each joint alone does not tell."""
    conversion = converted(TRAY.format(long=6, joint="butt"))
    for joint in conversion.joints:
        (drilled,) = joint.drilled
        outside = Side.LEFT if "side_l" in joint.joint else Side.RIGHT
        assert drilled.taken.choice.face is outside
        inside = next(
            trial for trial in drilled.tried if trial.choice.plugged and trial.choice.face is outside.opposite
        )
        assert "no-build-order" in {finding.rule for finding in inside.findings}


def test_a_half_lap_whose_depth_was_meant_for_each_part_is_told() -> None:
    plan = """\
plan "Half lap by its depth"
stock fir of douglas fir, 2x4
part post of fir, 34 long, upright, facing front
part rail of fir, 48 long, crosswise, facing front
join rail.back to post.front as half lap{deep}
    flush top, left
    glued
"""
    (joint,) = converted(plan.format(deep=", 3/4 deep")).joints
    assert joint.refused.endswith(
        "3/4 in is how far rail goes into post in all, not what is cut out of each: for flush faces that is 1-1/2 in"
    )
    for flush in ("", ", 1-1/2 deep", ", 3/4 thick"):
        (joint,) = converted(plan.format(deep=flush)).joints
        assert not joint.refused


def test_a_search_broken_off_says_so_and_takes_what_it_has() -> None:
    plan = """\
plan "One end"
    seen from front
stock post of poplar, 2 x 2
stock rail of poplar, 3/4 x 3
part leg_l, leg_r of post, 28 long, upright, facing front
part apron of rail, 20 long, crosswise, facing front
    dado 1 wide 5/16 deep across back, 2 from left
join apron.left, apron.right to leg_l.right, leg_r.left as mortise and tenon, 1 long
    flush top
    centred front to back
"""
    late = convert(PlanText("test.plan", plan), seconds=0)
    left, right = late.joints
    assert late.late and not right.refused
    assert left.refused.startswith(
        "no way to drill it was found before the search was broken off, 1 untried: 2 pockets in the back of apron"
    )
    in_time = convert(PlanText("test.plan", plan))
    assert not in_time.late and not any(joint.refused for joint in in_time.joints)

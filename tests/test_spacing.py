"""Parts placed by others that they do not touch, and joins told as others are."""

from __future__ import annotations

from fractions import Fraction

import pytest

from planlint.conversion.convert_plan import convert
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.language.tidy_layout import tidied
from planlint.model.workshop import Settings
from planlint.text.source import PlanText

FENCE = """plan "Fence"
    seen from front
stock board of pine, 1x4
stock post of pine, 2x2
part leg_l, leg_r of post, 16 long, upright, facing front
    stands on floor
part rail of board, 40 long, crosswise, facing front
part slat_1 of board, 12 long, upright, facing front
join rail.left to leg_l.right
    6 from bottom
    set back 1/4 from front
    pockets 2 in back
    screws coarse 1-1/4
join rail.right to leg_r.left like rail.left
join slat_1.back to rail.front
    1 from left
    flush bottom
    screws at 1, 2-1/2 from bottom through slat_1, gauge 8, 1-1/4 long
for n in 2 to 5
    part slat_{n} of board, 12 long, upright, facing front
        gap 1/8 to slat_{n - 1}
    join slat_{n}.back to rail.front like slat_1.back
"""


def placed(text: str) -> dict[str, tuple[Fraction, ...]]:
    plan, mistakes = understand(PlanText("x.plan", text), Settings())
    assert not mistakes, mistakes
    assert plan is not None
    piece = Piece(plan)
    return {part.name: tuple(Fraction(x) for x in piece.body(part).bounds.low) for part in plan.parts}


def test_slats_lie_a_gap_apart_and_legs_stand_on_the_floor() -> None:
    lows = placed(FENCE)
    first = lows["slat_1"][0]
    # 1x4 is dressed 3-1/2 wide: each slat lies 3-1/2 and 1/8 further.
    assert [lows[f"slat_{n}"][0] - first for n in (2, 3, 4, 5)] == [Fraction(29, 8) * n for n in (1, 2, 3, 4)]
    assert lows["leg_l"][2] == lows["leg_r"][2] == 0
    assert lows["rail"][2] == 6
    assert not inspect_text(PlanText("x.plan", FENCE), Settings()).findings


def test_a_gap_is_measured_from_the_side_that_is_named() -> None:
    there = placed(FENCE.replace("gap 1/8 to slat_{n - 1}", "gap 1/8 to slat_{n - 1}.right"))
    assert there == placed(FENCE)


def test_what_does_not_add_up_is_a_misfit() -> None:
    text = FENCE.replace(
        "part slat_1 of board, 12 long, upright, facing front",
        "part slat_1 of board, 12 long, upright, facing front\n    gap 1 to leg_l.right",
        1,
    )
    assert not inspect_text(PlanText("x.plan", text), Settings()).findings
    worse = text.replace("gap 1 to leg_l", "gap 2 to leg_l")
    (found,) = inspect_text(PlanText("x.plan", worse), Settings()).findings
    assert (found.rule, found.measured) == ("misfit", 1.0)


def test_in_line_with_lays_two_sides_in_one_plane() -> None:
    text = """plan "Two"
stock board of pine, 1x4
stock post of pine, 2x2
part leg_l, leg_r of post, 16 long, upright, facing front
part rail of board, 20 long, crosswise, facing front
part low of board, 20 long, crosswise, facing front
    in line with rail.front
join rail.left to leg_l.right
    flush top
    set back 1/4 from front
    glued
join rail.right to leg_r.left like rail.left
join low.left to leg_l.right
    flush bottom
    glued
join low.right to leg_r.left
    flush bottom
    glued
"""
    lows = placed(text)
    assert lows["low"][1] == lows["rail"][1]


def test_what_is_said_anew_goes_before_what_is_told_as_another() -> None:
    text = FENCE.replace(
        "join rail.right to leg_r.left like rail.left",
        "join rail.right to leg_r.left like rail.left\n    7 from bottom\n    pockets 1 in back",
    )
    plan, mistakes = understand(PlanText("x.plan", text), Settings())
    assert not mistakes
    assert plan is not None
    join = plan.join_by_name["rail.right"]
    assert [row.count for row in join.pockets] == [1]
    assert sorted(placing.inset for placing in join.placings) == [Fraction(1, 4), 7]
    assert join.screws is not None
    assert join.screws.length == Fraction(5, 4)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("like rail.left", "like rial.left", "there is no join called rial.left; the nearest is rail.left"),
        ("like rail.left", "like rail.right", "like one another in a ring"),
        ("gap 1/8 to slat_{n - 1}", "gap 0 to slat_{n - 1}", "the gap"),
        ("gap 1/8 to slat_{n - 1}", "gap 1/8 to slat_{n}", "cannot be placed by itself"),
        ("gap 1/8 to slat_{n - 1}", "gap 1/8 to bench", "there is no part called bench"),
    ],
)
def test_mistakes_are_told(old: str, new: str, says: str) -> None:
    _, mistakes = understand(PlanText("x.plan", FENCE.replace(old, new)), Settings())
    assert mistakes
    assert says in mistakes[0].says


def test_joins_told_as_one_another_are_converted_alike() -> None:
    text = FENCE.replace(
        "    pockets 2 in back\n    screws coarse 1-1/4\n", "    as mortise and tenon, 1 long\n    glued\n"
    )
    text = text.replace("rail of board, 40 long", "rail of board, 42 long")
    conversion = convert(PlanText("x.plan", text))
    assert [(each.joint, each.refused) for each in conversion.joints] == [
        ("rail.left", ""),
        ("rail.right", ""),
    ]
    assert "rail of board, 40 long" in conversion.result.text
    assert "join rail.right to leg_r.left like rail.left" in conversion.result.text


def test_tidied_they_say_the_same() -> None:
    assert placed(tidied(PlanText("x.plan", FENCE.replace("gap 1/8 to", "gap   0.125  to")))) == placed(FENCE)

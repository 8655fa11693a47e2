"""Plans that contradict themselves: one fault told once, with its amount, its loop and what closes it."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planlint.model.directions import Axis
from planlint.model.plan import Plan
from planlint.placement.placement_results import Misfit
from tests.builders import Builder, part, plan, tradition
from tests.test_placement import apron_table, placed


def ladder(*lengths: str) -> Builder:
    """Two posts and a rung of each length between them."""
    piece = Builder(part(name, "60 x 2 x 2", "upright front") for name in ("left_post", "right_post"))
    for n, length in enumerate(lengths):
        piece.add(part(f"rung_{n}", f"{length} x 2 x 3/4", "crosswise front"))
        piece.join(f"rung_{n}.left to left_post.right", f"centred front to back, {10 * n + 5} from top")
        piece.join(f"rung_{n}.right to right_post.left", f"centred front to back, {10 * n + 5} from top")
    return piece


def closed(piece: Plan, misfit: Misfit) -> Plan:
    """The plan with the part that would close the loop made as long as the misfit says."""
    assert misfit.closing is not None
    name = misfit.closing.part.name
    old = piece.part_by_name[name]
    change = Fraction(misfit.closing.by).limit_denominator(1 << 20)
    new = replace(old, length=old.length + change)
    parts = {each.name: new if each is old else each for each in piece.parts}
    joins = [
        replace(join, part_a=parts[join.part_a.name], part_b=parts[join.part_b.name]) for join in piece.joins
    ]
    return plan(parts.values(), joins)


def test_an_apron_that_is_too_long() -> None:
    table = apron_table()
    table.parts["apron_f"] = replace(table.parts["apron_f"], length=Fraction(41) + Fraction(1, 8))
    piece = closed_over(table)
    (misfit,) = placed(piece).misfits
    assert misfit.axis is Axis.X
    assert abs(misfit.amount) == Fraction(1, 8)
    assert isinstance(misfit.amount, Fraction)
    assert len(misfit.loop) == len(misfit.loop_parts) == 8
    assert misfit.loop[0] is misfit.join
    assert misfit.closing is not None
    assert (misfit.closing.part.name, misfit.closing.by) in {
        ("apron_f", Fraction(-1, 8)),
        ("apron_b", Fraction(1, 8)),
    }
    assert placed(closed(piece, misfit)).misfits == ()


def closed_over(table: Builder) -> Plan:
    """The plan of a builder whose parts were changed after its joins were made."""
    joins = [
        replace(join, part_a=table.parts[join.part_a.name], part_b=table.parts[join.part_b.name])
        for join in table.joins
    ]
    return plan(table.parts.values(), joins)


def test_amount_is_signed() -> None:
    """Of two lengths the greater is told, whichever is joined first."""
    (early,) = placed(ladder("20-1/8", "20")).misfits
    assert (early.join.name, early.amount) == ("rung_0.left to left_post.right", Fraction(-1, 8))
    (long,) = placed(ladder("20", "20-1/8")).misfits
    assert long.join.name == "rung_1.left to left_post.right"
    assert long.placing is None
    assert (long.direction, long.amount) == ((-1, 0, 0), Fraction(-1, 8))
    assert long.closing is not None
    assert (long.closing.part.name, long.closing.by) == ("rung_1", Fraction(-1, 8))
    assert [each.name for each in long.loop] == [
        "rung_1.left to left_post.right",
        "rung_0.left to left_post.right",
        "rung_0.right to right_post.left",
        "rung_1.right to right_post.left",
    ]
    assert [each.name for each in long.loop_parts] == ["left_post", "rung_0", "right_post", "rung_1"]


@pytest.mark.parametrize("seed", range(5))
def test_the_part_told_does_not_hang_on_the_order_of_lines(seed: int) -> None:
    piece, chance = ladder("20-1/8", "20"), random.Random(seed)
    joins, parts = list(piece.joins), list(piece.parts.values())
    chance.shuffle(joins)
    chance.shuffle(parts)
    (misfit,) = placed(plan(parts, joins)).misfits
    assert (misfit.join.part_a.name, misfit.amount) == ("rung_0", Fraction(-1, 8))


def test_a_placing_that_cannot_hold() -> None:
    piece = ladder("20", "20")
    wrong = replace(
        piece.joins[3],
        placings=Builder(piece.parts.values())
        .join("rung_1.right to right_post.left", "centred front to back, 15-1/4 from top")
        .placings,
    )
    (misfit,) = placed(plan(piece.parts.values(), [*piece.joins[:3], wrong])).misfits
    assert misfit.placing is wrong.placings[1]
    assert misfit.axis is Axis.Z
    # The rung is held 15 down, a quarter less far in than it is asked to lie.
    assert misfit.amount == Fraction(-1, 4)
    assert misfit.closing is None


def test_a_join_may_refute_itself() -> None:
    pair = Builder(
        [part("post", "10 x 3 x 3", "upright front"), part("rail", "8 x 4 x 1", "crosswise front")]
    )
    pair.join("rail.left to post.right", "flush front, flush back, flush top")
    (misfit,) = placed(pair).misfits
    assert misfit.loop == (misfit.join,)
    assert abs(misfit.amount) == 2


def test_a_tenon_that_the_length_does_not_count() -> None:
    piece = ladder("20", "20")
    tenoned = replace(piece.joins[3], tradition=tradition("mortise and tenon", 1))
    made = plan(piece.parts.values(), [*piece.joins[:3], tenoned])
    # A rung of another width has no twin that is held without a tenon.
    wider = {"rung_1": replace(made.part_by_name["rung_1"], width=Fraction(5, 2))}
    (misfit,) = placed(made.with_parts(wider)).misfits
    assert misfit.amount == 1
    assert misfit.closing is not None
    assert (misfit.closing.part.name, misfit.closing.by) == ("rung_1", 1)


def test_less_than_a_sixty_fourth_is_no_misfit() -> None:
    assert placed(ladder("20", "20-1/64")).misfits == ()
    assert len(placed(ladder("20", "20-1/63")).misfits) == 1


@pytest.mark.parametrize("wrong", range(5))
def test_one_wrong_part_in_many_loops_is_one_misfit(wrong: int) -> None:
    piece = ladder(*("20-1/4" if n == wrong else "20" for n in range(5)))
    (misfit,) = placed(piece).misfits
    assert misfit.closing is not None
    assert misfit.closing.part.name == f"rung_{wrong}"
    assert misfit.closing.by == Fraction(-1, 4)


def test_two_wrong_parts_are_two_misfits() -> None:
    misfits = placed(ladder("20-1/4", "20", "20", "19", "20", "20")).misfits
    assert {(each.closing.part.name, each.closing.by) for each in misfits if each.closing} == {
        ("rung_0", Fraction(-1, 4)),
        ("rung_3", Fraction(1)),
    }


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 3), st.fractions(-2, 2, max_denominator=32), st.randoms(use_true_random=False))
def test_one_wrong_apron_in_any_order(which: int, error: Fraction, chance: random.Random) -> None:
    table = apron_table()
    name = f"apron_{'fblr'[which]}"
    table.parts[name] = replace(table.parts[name], length=table.parts[name].length + error)
    chance.shuffle(table.joins)
    piece = closed_over(table)
    misfits = placed(piece).misfits
    if abs(error) <= Fraction(1, 64):
        assert misfits == ()
        return
    (misfit,) = misfits
    assert abs(misfit.amount) == abs(error)
    assert misfit.axis is (Axis.X if which < 2 else Axis.Y)
    assert placed(closed(piece, misfit)).misfits == ()

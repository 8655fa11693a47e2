"""What a piece is found to be at fault for does not depend on how its plan is written down.

Each plan is written in another way (``tests/transforms.py``) and must be told the same faults: rule, grade, parts,
measured and limit. What depends on the order of a plan, by its nature:

* Where several joins or rings of parts are at fault alike, one of them is told (``ONE_OF_SEVERAL``): mirrored, and in
  another order except for misfits, compared by rule, grade and measured only.
* A plan that contradicts itself has many ways to be drawn, each with another join left open. With other names it
  must be told as contradictory too; what else is found in it follows from the way that it was drawn.
* A part that nothing fixes, or holds, is drawn to the low side of its neighbour, or apart: who sees a pocket past it is
  not compared where the order or the hand changes.

A size reads as a nominal one by the way it is spelled (``5/4``), so numbers are nudged in decimals.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from fractions import Fraction
from functools import lru_cache
from itertools import chain
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st

from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.language.syntax_tree import For, PlanHead, Statement
from planlint.model.directions import Axis
from planlint.text.edits import TextEdit, apply
from planlint.text.source import PlanText
from tests.plans import FAULTY, row_of_furniture
from tests.transforms import (
    all_statements,
    in_unit,
    mirrored,
    new_name,
    numbers_in,
    renamed,
    reordered,
    tree_of,
    turned_round,
)

FOLDER = Path(__file__).parent.parent / "planlint" / "demo"
PLANS = {path.stem: path.read_text(encoding="utf-8") for path in sorted(FOLDER.glob("*.plan"))}
PLANS |= {"row-of-furniture": row_of_furniture(16), "lone-frame": FAULTY}

ONE_OF_SEVERAL = frozenset({"misfit", "free-to-slide", "no-build-order"})
UNSETTLED = frozenset({"misfit", "free-to-slide", "unjoined"})

Told = dict[tuple[str, str, tuple[str, ...]], list[tuple[float | None, float | None]]]
"""By rule, grade and parts: measured and limit of each finding."""


@lru_cache(maxsize=64)
def inspected(text: str) -> Inspection:
    return inspect_text(PlanText("given.plan", text))


def told(text: str, called: Callable[[str], str] = str, leaving_out: frozenset[str] = frozenset()) -> Told:
    """The faults of a plan, accepted ones too."""
    inspection = inspected(text)
    assert inspection.whole, (inspection.unread, inspection.crashed, text)
    found: Told = defaultdict(list)
    for finding in (*inspection.findings, *inspection.accepted):
        if finding.rule not in leaving_out:
            parts = tuple(sorted(map(called, finding.parts)))
            found[finding.rule, finding.grade.word, parts].append((finding.measured, finding.limit))
    for measures in found.values():
        measures.sort(key=repr)
    return found


def one_of_several(found: Told) -> Told:
    """The same, without the parts where one of several alike is told."""
    loose: Told = defaultdict(list)
    for (rule, grade, parts), measures in found.items():
        loose[rule, grade, () if rule in ONE_OF_SEVERAL else parts] += measures
    for measures in loose.values():
        measures.sort(key=repr)
    return loose


def assert_same(found: Told, other: Told) -> None:
    assert set(found) == set(other)
    for key, measures in found.items():
        for ours, theirs in zip(measures, other[key], strict=True):
            assert ours == pytest.approx(theirs, abs=1e-6), key


def rules_of(text: str) -> set[str]:
    return {rule for rule, _, _ in told(text)}


# ---------------------------------------------------------------- what must not matter


def check_other_names(text: str) -> None:
    other = renamed(text)
    if "misfit" in rules_of(text):
        # Of twins in an open ring the names decide which one is told.
        assert "misfit" in rules_of(other)
        return
    assert_same(one_of_several(told(text, new_name)), one_of_several(told(other)))


def check_another_order(text: str, other: str) -> None:
    unseen = frozenset({"hole-in-sight"} if rules_of(text) & UNSETTLED else ())
    found, found_other = told(text, leaving_out=unseen), told(other, leaving_out=unseen)
    assert_same(one_of_several(found), one_of_several(found_other))
    assert misfits(text) == misfits(other)


def misfits(text: str) -> list[tuple[object, ...]]:
    """Where each ring that stays open is told, which one it is, and by how much."""
    found = (each for each in inspected(text).findings if each.rule == "misfit")
    return sorted((each.joint, sorted(each.parts), round(each.measured or 0, 6)) for each in found)


def check_another_unit(text: str, unit: str) -> None:
    other = in_unit(text, unit)
    assert f"unit {unit}\n" in other
    assert_same(told(text), told(other))


def check_mirrored(text: str, axis: Axis) -> None:
    other = mirrored(text, axis)
    unseen = frozenset({"hole-in-sight"} if rules_of(text) & UNSETTLED else ())
    found, found_other = told(text, leaving_out=unseen), told(other, leaving_out=unseen)
    assert_same(one_of_several(found), one_of_several(found_other))
    if not unseen:
        assert_mirrored_pockets(text, other, axis)


def assert_mirrored_pockets(text: str, other: str, axis: Axis) -> None:
    """Every pocket lies as far from one side of its part as its mirror image from the other."""
    piece, image = inspected(text).piece, inspected(other).piece
    assert piece is not None
    assert image is not None
    for join, join_image in zip(piece.plan.joins, image.plan.joins, strict=True):
        # Part by part: where parts are loose they may be drawn elsewhere.
        places = sorted(
            (pocket.row, pocket.exit[axis] - piece.body(pocket.part).bounds.low[axis])
            for pocket in piece.pockets(join)
        )
        images = sorted(
            (pocket.row, image.body(pocket.part).bounds.high[axis] - pocket.exit[axis])
            for pocket in image.pockets(join_image)
        )
        flat, flat_image = ([*chain.from_iterable(each)] for each in (places, images))
        assert flat == pytest.approx(flat_image, abs=1e-6), join.name


AXES = [Axis.X, Axis.Y]
UNITS = ["mm", "cm", "ft", "inch"]


# ---------------------------------------------------------------- on the plans as they are


@pytest.fixture(name="name", scope="module", params=PLANS)
def every_plan(request: pytest.FixtureRequest) -> str:
    """All that is asked of one plan is asked before the next, so that it is inspected once."""
    name: str = request.param
    return name


def test_each_way_of_writing_is_another(name: str) -> None:
    text = PLANS[name]
    others = [
        renamed(text),
        turned_round(text),
        in_unit(text, "cm"),
        *(mirrored(text, axis) for axis in AXES),
    ]
    assert len({text, *others}) == 1 + len(others)


def test_names_do_not_matter(name: str) -> None:
    check_other_names(PLANS[name])


def test_order_does_not_matter(name: str) -> None:
    check_another_order(PLANS[name], turned_round(PLANS[name]))
    check_another_order(PLANS[name], reordered(PLANS[name], Random(1)))


@pytest.mark.parametrize(
    "piece", ["f_misfit_rail_long", "f_misfit_floor_long", "f_rail_joined_to_the_other_leg"]
)
def test_a_misfit_is_told_alike_in_any_order(piece: str) -> None:
    """The same ring, at the same joint: it is chosen by what is joined, never by the order of lines."""
    text = (Path(__file__).parent / "pieces" / f"{piece}.plan").read_text(encoding="utf-8")
    for number in range(4):
        assert misfits(reordered(text, Random(number))) == misfits(text) != []


def test_the_unit_does_not_matter(name: str) -> None:
    check_another_unit(PLANS[name], "mm" if "unit inch" in PLANS[name] else "inch")


@pytest.mark.parametrize("axis", AXES)
def test_the_hand_does_not_matter(name: str, axis: Axis) -> None:
    check_mirrored(PLANS[name], axis)


# ---------------------------------------------------------------- on plans that went wrong


@st.composite
def faulty_plans(draw: st.DrawFn) -> str:
    """A plan with up to three numbers nudged and up to two details dropped."""
    text = PLANS[draw(st.sampled_from(sorted(PLANS)))]
    statements = all_statements(tree_of(text).statements)
    numbers = [
        (statement, number)
        for statement, _ in statements
        for number in numbers_in(statement.node)
        if number.unit is None and not isinstance(statement.node, For)
    ]
    details = [each for each, above in statements if above is not None and not _needed(each, above)]
    edits: dict[int, TextEdit] = {}
    for _ in range(draw(st.integers(0, 3))):
        statement, number = draw(st.sampled_from(numbers))
        nudged = number.value + Fraction(draw(st.sampled_from([-16, -8, -1, 1, 4, 8, 16])), 16)
        if nudged > 0:
            span = statement.at(number.start, number.end)
            edits[span.start] = TextEdit(span, str(float(nudged)))
    for _ in range(draw(st.integers(0, 2))):
        span = draw(st.sampled_from(details)).span
        edits = {start: edit for start, edit in edits.items() if not span.start <= start < span.end}
        edits[span.start] = TextEdit(span, "")
    other = apply(text, edits.values())
    assume(not inspected(other).unread)
    return other


def _needed(statement: Statement, above: Statement) -> bool:
    return isinstance(above.node, PlanHead) or bool(statement.details)


many = settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow]
)


@many
@given(faulty_plans())
def test_names_of_a_faulty_plan_do_not_matter(text: str) -> None:
    check_other_names(text)


@many
@given(faulty_plans(), st.randoms(use_true_random=False))
def test_order_of_a_faulty_plan_does_not_matter(text: str, chance: Random) -> None:
    check_another_order(text, reordered(text, chance))


@many
@given(faulty_plans(), st.sampled_from(UNITS))
def test_the_unit_of_a_faulty_plan_does_not_matter(text: str, unit: str) -> None:
    check_another_unit(text, unit)


@many
@given(faulty_plans(), st.sampled_from(AXES))
def test_the_hand_of_a_faulty_plan_does_not_matter(text: str, axis: Axis) -> None:
    check_mirrored(text, axis)


# ---------------------------------------------------------------- rows that the tool lays out on odd joints


def thirty_seconds(low: float, high: float) -> st.SearchStrategy[Fraction]:
    return st.integers(round(low * 32), round(high * 32)).map(lambda n: Fraction(n, 32))


@st.composite
def shelves_in_a_side(draw: st.DrawFn) -> str:
    """A shelf on a side, both carved, at odd sizes; at times with a second shelf whose screws are near."""
    wide, deep = draw(thirty_seconds(3, 14)), draw(thirty_seconds(6, 16))
    carved = {
        "": "",
        "notch": f"    notch {draw(thirty_seconds(0.5, 2))} x {draw(thirty_seconds(0.5, 2))} at left {draw(ends)}\n",
        "groove": f"    groove 1/4 wide 3/8 deep along bottom, {draw(thirty_seconds(0.5, 2.5))} from {draw(ends)}\n",
        "rabbet": f"    rabbet {draw(thirty_seconds(0.25, 1))} x 3/8 along {draw(ends)} bottom\n",
    }
    grooved = f"    groove 3/8 wide 3/8 deep along right, {draw(thirty_seconds(0.5, 5))} from {draw(ends)}\n"
    pockets = [
        f"pockets {draw(st.integers(1, 5))} in bottom",
        f"pockets every {draw(thirty_seconds(1.5, 4))} from {draw(thirty_seconds(0.5, 2))} of {draw(ends)} in bottom",
        f"pockets every {draw(thirty_seconds(1.5, 4))} from {draw(thirty_seconds(0.5, 2))} in bottom",
    ]
    near = (
        "part other of plank, 10 long, crosswise, facing up\n"
        "join other.left to side.right\n    4-1/4 from bottom\n"
        f"    flush {draw(ends)}\n    pockets at {draw(thirty_seconds(0.5, 2.5))} from {draw(ends)} in top\n"
    )
    return (
        'plan "Shelf"\n    unit inch\n    seen from nowhere\n'
        f"stock plank of red oak, 3/4 x {wide}\nstock panel of red oak, 3/4 x {deep}\n"
        f"part shelf of plank, 10 long, crosswise, facing up\n{carved[draw(st.sampled_from(sorted(carved)))]}"
        f"part side of panel, 20 long, upright, facing left\n{draw(st.sampled_from(['', grooved]))}"
        f"join shelf.left to side.right\n    5 from bottom\n"
        f"    {draw(st.sampled_from(['flush', '1-1/32 from']))} {draw(ends)}\n    {draw(st.sampled_from(pockets))}\n"
        f"{draw(st.sampled_from(['', near]))}"
    )


ends = st.sampled_from(["front", "back"])


@st.composite
def flat_mitres(draw: st.DrawFn) -> str:
    """Two boards of a frame that lies flat, mitred at any angle."""
    wide, angle = draw(thirty_seconds(2, 6)), draw(st.sampled_from(["45", "30", "22-1/2", "52"]))
    long_at, side = draw(st.sampled_from([("front", "right"), ("front", "left"), ("back", "right")]))
    other = "front" if long_at == "front" else "back"
    across = {"45": "45", "30": "60", "22-1/2": "67-1/2", "52": "38"}[angle]
    return (
        'plan "Mitre"\n    unit inch\n    seen from nowhere\n'
        f"stock board of red oak, 3/4 x {wide}\n"
        f"part rail of board, 20 long, crosswise, facing up\n    {side} end cut {angle}, long at {long_at}\n"
        f"part stile of board, 24 long, deep, facing up\n    {other} end cut {across}, long at {side}\n"
        f"join rail.{side} to stile.{other}\n    flush {long_at}, top\n"
        f"    pockets {draw(st.integers(1, 4))} in bottom\n"
    )


@settings(many, max_examples=100)
@given(st.one_of(shelves_in_a_side(), flat_mitres()), st.sampled_from(AXES))
@example(  # Marks that crowd a row are left outward from the end that it is drawn to.
    'plan "Mitre"\n    unit inch\n    seen from nowhere\nstock board of red oak, 3/4 x 77/32\n'
    "part rail of board, 20 long, crosswise, facing up\n    right end cut 22-1/2, long at front\n"
    "part stile of board, 24 long, deep, facing up\n    front end cut 67-1/2, long at right\n"
    "join rail.right to stile.front\n    flush front, top\n    pockets 3 in bottom\n",
    Axis.Y,
)
@example(  # Two places beside a groove in the very middle are as good: the flush side says which.
    'plan "Shelf"\n    unit inch\n    seen from nowhere\n'
    "stock plank of red oak, 3/4 x 3\nstock panel of red oak, 3/4 x 6\n"
    "part shelf of plank, 10 long, crosswise, facing up\n"
    "    groove 1/4 wide 3/8 deep along bottom, 1-3/8 from front\n"
    "part side of panel, 20 long, upright, facing left\n"
    "join shelf.left to side.right\n    5 from bottom\n    flush front\n    pockets 1 in bottom\n",
    Axis.Y,
)
def test_rows_on_odd_joints_are_laid_out_mirrored_too(text: str, axis: Axis) -> None:
    assume(not inspected(text).unread)
    check_mirrored(text, axis)

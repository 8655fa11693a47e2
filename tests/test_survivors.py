"""What small wrong changes to the code were not noticed once: each held here by what it must come to."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from functools import cache
from io import StringIO
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from reportlab.platypus import Spacer

from planlint.checks.bunk_guard import Unguarded
from planlint.checks.locked_across_grain import Locked
from planlint.checks.loose_end import loose_ends
from planlint.checks.loose_panel import groove_of
from planlint.checks.piece_purpose import bodies_together
from planlint.command.main import main
from planlint.conversion.conversion_result import traditional
from planlint.conversion.convert_plan import convert
from planlint.conversion.drilling_trials import Tries
from planlint.conversion.joins_like_others import written_out
from planlint.conversion.joint_strength import new_strength
from planlint.conversion.statement_sites import Sites
from planlint.conversion.text_stretches import struck_out
from planlint.findings.finding import Grade
from planlint.findings.rules_in_force import rule_book
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.joint_kinds import makes_panel
from planlint.geometry.shapes.layers import glued_in_layers
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.arc_statements import run_of
from planlint.model.curves import Arc, arc_through, rise_of
from planlint.model.directions import Axis, Side
from planlint.model.fastener_sizes import NAILS
from planlint.model.mirrored_parts import mirrored_part
from planlint.model.nearest_name import letters_apart
from planlint.model.pocket_statements import most_pockets
from planlint.model.trade_sizes import dressed
from planlint.model.workshop import Settings
from planlint.model.written_sums import common_name
from planlint.placement.askew_sides import left_free
from planlint.placement.likely_lengths import fellows
from planlint.placement.misread_units import other_units
from planlint.placement.placement_results import Closing, Unlike
from planlint.placement.retold_joins import cut_there
from planlint.reports.conversion_report import write_conversion
from planlint.reports.page_layout import Page
from planlint.reports.safe_words import measured
from planlint.reports.setout_words import works
from planlint.reports.sheet_buying import buying_section
from planlint.reports.two_columns import two_columns
from planlint.sheet.shop_sheet import shop_sheet
from planlint.statics.weights import part_weight
from planlint.text.edits import apply
from planlint.text.source import PlanText, Span
from tests.builders import part
from tests.solids import join_of
from tests.test_kept_record import text_of

TOP = """\
plan "Top"
stock board of white oak, 3/4 x 5-1/2
part front, back of board, 36 long, crosswise, facing up
join front.back to back.front
    flush top, left
    pockets 5 in bottom
    screws fine 1-1/4{slotted}
"""
END_GRAIN = """\
plan "Rail onto the end of a post"
stock post of red oak, 3/4 x 3
part post of post, 30 long, upright, facing front
part rail of post, 21 long, crosswise, facing front
join rail.bottom to post.top
    flush front, left
    pockets 2 in back
    screws fine 1-1/4
"""
SHORT = """\
plan "Short"
stock board of poplar, 3/4 x 5-1/2
part a of board, {long} long, crosswise, facing front
    ends cut 45, long at top
"""
GROOVED = """\
plan "Grooved"
stock board of poplar, 3/4 x 5-1/2
part a of board, 20 long, crosswise, facing front
    groove {wide} wide 1/4 deep along top, {inset}from back
"""


def piece_of(text: str) -> Piece:
    plan, mistakes = understand(PlanText("a.plan", text), Settings())
    assert plan is not None and not mistakes, mistakes
    return Piece(plan)


def mistakes_in(text: str) -> list[str]:
    return [each.says for each in understand(PlanText("a.plan", text), Settings())[1]]


@pytest.mark.parametrize(("slotted", "panel"), [("", True), ("\n    slotted", False)])
def test_boards_that_slide_in_slots_are_no_panel(slotted: str, panel: bool) -> None:
    piece = piece_of(TOP.replace("{slotted}", slotted))
    assert makes_panel(piece.plan.joins[0]) is panel


def test_no_strength_is_told_of_screws_in_end_grain() -> None:
    piece = piece_of(END_GRAIN)
    assert "end grain no withdrawal value" in new_strength(piece, piece.plan.joins[0])
    held = piece_of(TOP.replace("{slotted}", "").replace("fine 1-1/4", "fine 2"))
    assert "no withdrawal value" not in new_strength(held, held.plan.joins[0])


@pytest.mark.parametrize(("long", "crosses"), [("10-15/16", True), ("11", False), ("11-1/16", False)])
def test_cut_ends_may_meet_in_a_point_and_not_cross(long: str, crosses: bool) -> None:
    """Two cuts of 45 degrees across 5-1/2 in take 5-1/2 in each from the far side: 11 in leave a point."""
    assert any("so the cuts cross" in each for each in mistakes_in(SHORT.replace("{long}", long))) is crosses


@pytest.mark.parametrize(
    ("wide", "inset", "refused"),
    [("3/4", "", True), ("11/16", "", False), ("1/2", "1/4 ", False), ("1/2", "3/8 ", True)],
)
def test_a_groove_leaves_wood_beside_it(wide: str, inset: str, refused: bool) -> None:
    """Along the 3/4 in edge: as wide as the part it is no groove, and it does not run out of the part's side."""
    text = GROOVED.replace("{wide}", wide).replace("{inset}", inset or "0 ")
    assert bool(mistakes_in(text)) is refused


def test_a_shop_that_grades_a_rule_up_does_not_raise_its_milder_findings() -> None:
    """tip-through is a stop, and a caution where the point only comes near."""
    text = """\
plan "Frame"
stock frame of cherry, 3/4 x 3
part stile of frame, 30 long, upright, facing front
    dado 3/4 wide 1/8 deep across front, 1/2 from top
part rail of frame, 21 long, crosswise, facing front
join rail.left to stile.right
    flush front, top
    pockets at 3/4, 2-1/4 from top in back
    screws fine 1-1/2
"""
    for grades, grade in (
        ({}, Grade.CAUTION),
        ({"tip-through": "stop"}, Grade.CAUTION),
        ({"tip-through": "advice"}, Grade.ADVICE),
    ):
        found = inspect_text(PlanText("a.plan", text), Settings(grades=grades)).findings
        assert [each.grade for each in found if each.rule == "tip-through"] == [grade]


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_turned_part_is_set_in_from_the_side_that_is_said(side: str) -> None:
    """2 in more from the left lies further to the right, from the right further to the left."""
    text = """\
plan "Turned"
stock board of poplar, 3/4 x 5-1/2
stock stick of poplar, 3/4 x 1-1/2
part base of board, 30 long, crosswise, facing up
part stick of stick, 12 long, upright, facing left
    turned 30 about vertical
join stick.bottom to base.top
    {inset} from {side}
    centred front to back
"""

    def middle(inset: str) -> float:
        piece = piece_of(text.replace("{inset}", inset).replace("{side}", side))
        low, high = piece.body(piece.plan.part_by_name["stick"]).bounds
        return (low[0] + high[0]) / 2

    moved = middle("6") - middle("4")
    assert moved == pytest.approx(2 if side == "left" else -2, abs=0.4)
    assert 4 < middle("4") < 15 if side == "left" else 15 < middle("4") < 26


@pytest.mark.parametrize("end", ["", "\n"])
def test_what_a_part_lacks_may_stand_in_the_last_line(end: str) -> None:
    """What stands in a line that cannot be read is not said to be missing, be that line the last of all."""
    text = f"""\
plan "Short"
stock board of poplar, 3/4 x 5-1/2
part a of board
    20 zzzz qq, crosswise{end}"""
    (mistake,) = inspect_text(PlanText("a.plan", text)).unread
    assert "`# 20 zzzz qq`" in mistake.says


@pytest.mark.parametrize(("out", "told"), [(0.0004, "a hair"), (0.095, "0.095 in"), (0.125, "1/8 in")])
def test_nothing_comes_out_by_nothing(out: float, told: str) -> None:
    found = rule_book()["tip-through"].finding(span=Span(0, 1), measured=-out, limit=1 / 16, unit="in")
    assert measured(found, "in") == (
        "Measured",
        f"comes out by {told}; at least 1/16 in must stay (judgement)",
    )


def test_a_child_on_open_drawers_against_the_case() -> None:
    """About the front of a case 8 in deep: 4 in of its weight against a child 12 in out and a drawer's middle 3 in out,
    for a drawer 18 in deep comes out by two thirds."""
    text = """\
plan "Chest of drawers"
stock block of basswood, 8 x 24
stock box of basswood, 4 x 18
part case of block, 40 long, upright, facing front
part drawer_1 of box, 16 long, crosswise, facing up
"""
    case, drawer = (part_weight(piece_of(text), part).pounds for part in piece_of(text).plan.parts)
    (found,) = [each for each in inspect_text(PlanText("a.plan", text)).findings if each.rule == "tip-over"]
    assert (found.kind, found.limit) == ("drawers", round(case * 4))
    assert found.measured == round(60 * 12 + drawer * 3)


def test_the_end_cut_that_takes_too_much_is_told() -> None:
    """Of two that slope alike each takes from its own long side: 5-1/2 in at 60 degrees take 9-1/2 of 5 in."""
    text = SHORT.replace("{long}", "5").replace(
        "    ends cut 45, long at top\n",
        "    left end cut 10, long at bottom\n    right end cut 60, long at top\n",
    )
    (mistake,) = mistakes_in(text)
    assert "take 9.526 in" in mistake


def test_how_far_an_arc_rises() -> None:
    arc = Arc((Axis.X, Axis.Z), (0.0, 1.0), 2.0, 0.0, 3.0)
    assert arc.rise(1) == pytest.approx(3.0)
    assert arc.rise(-1) == pytest.approx(-1.0)
    assert arc._replace(last=0.5).rise(1) == pytest.approx(1 + 2 * math.sin(0.5))


def test_a_name_that_cannot_be_filled_excuses_no_other() -> None:
    (first, second) = mistakes_in("""\
plan "Loop"
stock board of poplar, 3/4 x 5-1/2
for n in 1 to 2
    part leg_{n / 0} of board, 5 long, upright, facing front
part rail of board, 5 long, crosswise, facing front
join rail.left to leg_1.right
    glued
join rail.right to log.left
    glued
""")
    assert first == "n is divided by 0, which is nothing"
    assert second.startswith("there is no part called log")


def test_a_taper_goes_along_when_a_tenon_is_taken_off() -> None:
    text = """\
plan "Rail"
stock board of red oak, 3/4 x 4
part leg of board, 30 long, upright, facing front
part rail of board, 20 long, crosswise, facing front
    taper bottom to 2 at right, 6 from left
join rail.left to leg.right as mortise and tenon, tenon 1 long, 1/4 thick
    centred front to back
    flush top
"""
    converted = convert(PlanText("a.plan", text), Settings())
    assert (
        "19 long, crosswise, facing front\n    taper bottom to 2 at right, 5 from left"
        in converted.result.text
    )


@pytest.mark.parametrize("placed", ["flush front, bottom", "flush bottom\n    centred front to back"])
def test_a_join_is_told_as_another_again_only_where_that_still_says_the_same(placed: str) -> None:
    text = f"""\
plan "Likes"
stock board of poplar, 3/4 x 3-1/2
part post of board, 30 long, upright, facing front
part low, high of board, 24 long, crosswise, facing front
join low.left to post.right as mortise and tenon, tenon 1 long, 1/4 thick
    {placed}
join high.left to post.right like low.left
    flush top
"""
    plan = piece_of(text).plan
    apart = written_out(plan, Settings())
    assert apart is not None
    result = PlanText("a.plan", apart.text.text.replace("1/4 thick", "1/2 thick", 1))
    assert apart.told_again(result, Settings()) is result
    assert apart.told_again(apart.text, Settings()).text == text


def test_loads_that_push_leave_less_to_keep_a_piece_on_its_feet() -> None:
    """A block 8 in deep and 40 high is pushed at half its height: 4 in of its weight, less 5 lb at 20 in, against the
    10 lb at its top that the rule asks for."""
    text = """\
plan "Block"
stock block of basswood, 8 x 24
part case of block, 40 long, upright, facing front
load 5 lb on case towards the front
"""
    (found,) = inspect_text(PlanText("a.plan", text)).findings
    weighs = part_weight(piece_of(text), piece_of(text).plan.parts[0]).pounds
    assert (found.rule, found.measured, found.limit) == ("tip-over", 400, round(weighs * 4 - 5 * 20))


@pytest.mark.parametrize(("grades", "grade"), [({}, Grade.CAUTION), ({"askew": "advice"}, Grade.ADVICE)])
def test_a_joint_that_opens_beside_a_taper_does_not_stop_the_work(
    grades: dict[str, str], grade: Grade
) -> None:
    (case,) = [each for each in rule_book()["askew"].cases if each.findings and "taper" in each.plan]
    found = inspect_text(PlanText("a.plan", case.plan), Settings(grades=grades)).findings
    assert {each.grade for each in found} == {grade}


def test_where_dowels_might_go_is_worked_out_along_their_joint() -> None:
    """Two in 4 in: in the middle of each half, and 4 in lower in the part that they go into."""
    text = """\
plan "Cleat"
stock board of red oak, 3/4 x 4, 8 ft
part side of board, 20 long, upright, facing left
part cleat of board, 10 long, crosswise, facing front
join cleat.left to side.right as dowels, 3/8 thick, 2 long
    centred front to back
    4 from top
"""
    sheet = shop_sheet(inspect_text(PlanText("a.plan", text)))
    told = {part.names[0]: " ".join(works(part, "in")) for group in sheet.parts for part in group.parts}
    assert told["side"].endswith("such as 2, at 5 and 7 in from top")
    assert told["cleat"].endswith("such as 2, at 1 and 3 in from bottom")


@pytest.mark.parametrize(
    ("flips", "facing", "rings"),
    [
        ({Axis.X}, "up", "up"),
        ({Axis.Z}, "up", "down"),
        ({Axis.X, Axis.Z}, "up", "down"),
        ({Axis.Z}, "front", "up"),
    ],
)
def test_rings_of_a_part_that_lies_flat_turn_over_where_up_and_down_change(
    flips: set[Axis], facing: str, rings: str
) -> None:
    told = part("lid", "20 x 5 x 3/4", f"crosswise {facing}")
    assert mirrored_part(replace(told, rings="up"), frozenset(flips)).rings == rings


@pytest.mark.parametrize(
    ("side_a", "side_b", "more", "layers"),
    [
        (Side.FRONT, Side.BACK, {"glue": "all"}, True),
        (Side.TOP, Side.BACK, {"glue": "all"}, False),
        (Side.FRONT, Side.TOP, {"glue": "all"}, False),
        (Side.FRONT, Side.BACK, {}, False),
    ],
)
def test_two_faces_glued_all_over_are_layers(
    side_a: Side, side_b: Side, more: dict[str, str], layers: bool
) -> None:
    a, b = (part(name, "20 x 5 x 3/4", "crosswise front") for name in "ab")
    assert glued_in_layers(replace(join_of(a, side_a, b, side_b), **more)) is layers  # type: ignore[arg-type]


@pytest.mark.parametrize(("wood", "steep"), [("red oak", "1 in 8"), ("pine", "1 in 6")])
def test_tails_are_steeper_in_soft_wood(wood: str, steep: str) -> None:
    text = f"""\
plan "Box"
stock board of {wood}, 3/4 x 5
part front of board, 20 long, crosswise, facing front
part side of board, 10 long, deep, facing left
join side.front to front.back as through dovetail
    flush left, top
"""
    parts = [
        part for group in shop_sheet(inspect_text(PlanText("a.plan", text))).parts for part in group.parts
    ]
    assert any(
        line.endswith(f"half a pin at each edge, {steep} steep")
        for part in parts
        for line in works(part, "in")
    )


@example("ab", "ba", 2)
@given(st.text("abc", max_size=6), st.text("abc", max_size=6), st.integers(0, 4))
def test_how_far_words_are_apart(one: str, other: str, limit: int) -> None:
    """Against the definition, word by word: a letter changed, added, dropped, or swapped with its neighbour."""

    @cache
    def apart(i: int, j: int) -> int:
        if not i or not j:
            return i + j
        ways = [apart(i - 1, j) + 1, apart(i, j - 1) + 1, apart(i - 1, j - 1) + (one[i - 1] != other[j - 1])]
        if i > 1 and j > 1 and one[i - 2 : i] == other[j - 2 : j][::-1]:
            ways.append(apart(i - 2, j - 2) + 1)
        return min(ways)

    assert letters_apart(one, other, limit) == min(apart(len(one), len(other)), limit + 1)


@pytest.mark.parametrize(
    ("row", "places"),
    [
        ("2 from 12 to 12", (12, 9)),
        ("2 from 10 to 10", None),
        ("2 from 22 to 1", (22,)),
        ("2 from 1 to 22", (22,)),
    ],
)
def test_the_ends_of_a_row_that_cross_are_its_places(row: str, places: tuple[int, ...] | None) -> None:
    """On a rail 21 in long 12 in from its other end is 9 in from its first."""
    piece = piece_of(END_GRAIN.replace("pockets 2", f"pockets {row}"))
    assert piece.plan.joins[0].pockets[0].at == places


@pytest.mark.parametrize(("said", "what"), [("0 long", "length"), ("2 long, 0 thick", "size")])
def test_a_size_that_comes_to_nothing_is_named(said: str, what: str) -> None:
    text = TOP.format(slotted="").replace("fine 1-1/4", f"fine 1-1/4\n    nails 2 through front, {said}")
    assert f"the {what} of the nails comes to nothing" in mistakes_in(text)[0]


@pytest.mark.parametrize(("long", "kinds"), [("20", {"no-rail"}), ("25", {"gap"})])
def test_a_rail_that_is_too_short_for_one_is_none(long: str, kinds: set[str]) -> None:
    """Of 75 in a rail counts for one from 0.3 on, which is 22-1/2 in; what it leaves open is told then."""
    (plan,) = [each.plan for each in rule_book()["bunk-guard"].cases if "55 long" in each.plan]
    plan = plan.replace("rail, 55 long", f"rail, {long} long")
    found = inspect_text(PlanText("a.plan", plan)).findings
    told = {each.kind for each in found if isinstance(each.fact, Unguarded) and each.fact.side is Side.FRONT}
    assert told - {"end"} == kinds


@pytest.mark.parametrize(
    ("stock", "told"),
    [
        ("3/4 thick", "3/4 in thick, 48 in x 96 in"),
        ("3/4 x 24", "3/4 in x 24 in, 96 in"),
        ("3/4 x 24, 60 long", "3/4 in x 24 in x 60 in"),
    ],
)
def test_the_size_that_is_bought_is_told_where_the_plan_does_not(stock: str, told: str) -> None:
    text = f'plan "P"\nstock ply of birch plywood, {stock}\npart a of ply, 20 long, 10 wide, crosswise, facing up\n'
    sheet = shop_sheet(inspect_text(PlanText("a.plan", text)))
    table = buying_section(sheet).table
    assert table is not None
    assert table.rows[0][2] == f"birch plywood, {told}"


@pytest.mark.parametrize(
    ("unit", "long", "told"), [("mm", 1010, "1.1 m"), ("mm", 1000, "1.0 m"), ("inch", 36, "3 feet")]
)
def test_tape_is_bought_by_the_tenth_of_a_metre_or_by_the_foot(unit: str, long: int, told: str) -> None:
    text = f"""\
plan "Tape"
    unit {unit}
stock ply of birch plywood, 3/4 in thick
part a of ply, {long} long, 10 in wide, crosswise, facing up
    taped front
"""
    words = buying_section(shop_sheet(inspect_text(PlanText("a.plan", text)))).words
    assert any(f"some to trim: {told} on birch plywood" in each for each in words)


@pytest.mark.parametrize(
    "details",
    [
        "pockets at 1, ⟦2 / 0⟧ from left in back",
        "pockets 2 from 1 to ⟦1 / 0⟧ in back",
        "nails at ⟦1 / 0⟧, 2 from left through top, 2 long",
        "nails 2 from ⟦1 / 0⟧ to 1 through top, 2 long",
    ],
)
def test_sums_under_a_join_to_a_part_that_is_not_there_are_told(details: str) -> None:
    plain = details.replace("⟦", "").replace("⟧", "")
    text = END_GRAIN.replace("to post.top", "to pots.top").replace("pockets 2 in back", plain)
    mistakes = understand(PlanText("a.plan", text), Settings())[1]
    start = text.index(plain) + details.index("⟦")
    marked = Span(start, start + details.index("⟧") - 1 - details.index("⟦"))
    assert [each.says[1:] for each in mistakes if each.span == marked] == [
        " is divided by 0, which is nothing"
    ]


PS_20 = {2: "1-1/2", 3: "2-1/2", 4: "3-1/2", 5: "4-1/2", 6: "5-1/2", 7: "6-1/2", 8: "7-1/4", 9: "8-1/4"}
PS_20 |= {10: "9-1/4", 11: "10-1/4", 12: "11-1/4", 14: "13-1/4", 16: "15-1/4"}
"""Widths of boards as they are sold and as they are, by the American Softwood Lumber Standard, from memory."""


@pytest.mark.parametrize(("nominal", "real"), PS_20.items())
def test_each_width_of_a_board_is_that_of_the_standard(nominal: int, real: str) -> None:
    whole, part = real.split("-")
    assert dressed(f"1x{nominal}") == (Fraction(3, 4), int(whole) + Fraction(part))


WIRE = {15: 0.072, 14: 0.080, 12.5: 0.0985, 11.5: 0.113, 10.25: 0.131, 9: 0.148, 8: 0.162, 6: 0.192}
"""Washburn and Moen's steel wire gauge in inches, from memory."""
PENNIES = {2: 15, 3: 14, 4: 12.5, 5: 12.5, 6: 11.5, 7: 11.5, 8: 10.25, 9: 10.25, 10: 9, 12: 9, 16: 8, 20: 6}
"""Gauge of a common nail's wire by its pennies, from memory."""


def test_nails_are_as_long_and_as_thick_as_their_pennies_say() -> None:
    """A quarter of an inch more for each penny up to ten, and for each of the sizes after that but the last."""
    longer = {12: Fraction(13, 4), 16: Fraction(7, 2), 20: Fraction(4)}
    assert {penny: long for penny, (long, _) in NAILS.items()} == {
        penny: longer.get(penny, Fraction(penny + 2, 4)) for penny in PENNIES
    }
    for penny, (_, thick) in NAILS.items():
        assert thick == pytest.approx(WIRE[PENNIES[penny]], abs=0.0006)


@pytest.mark.parametrize(
    ("sum_", "long"),
    [("sqrt(4/9)", Fraction(2, 3)), ("sqrt(4/3)", Fraction("1.1547005")), ("sqrt(3/4)", None)],
)
def test_a_root_is_exact_where_it_can_be(sum_: str, long: Fraction | None) -> None:
    piece = piece_of(SHORT.split("    ends", maxsplit=1)[0].format(long=f"30 * {sum_}"))
    found = piece.plan.parts[0].length / 30
    assert found == long or abs(found - (long or Fraction("0.8660254"))) < Fraction(1, 10**6)


@pytest.mark.parametrize("grain", list(Axis))
@pytest.mark.parametrize("facing", list(Axis))
def test_a_curve_runs_along_its_side_and_never_through_the_face(grain: Axis, facing: Axis) -> None:
    for side in Side if grain is not facing else ():
        if side.axis is not facing:
            assert {run_of(side, grain, facing), side.axis, facing} == set(Axis)


def test_a_copy_of_a_part_that_is_fixed_to_the_wall_is_fixed_too() -> None:
    text = (
        SHORT.split("    ends", maxsplit=1)[0].format(long="30")
        + "    fixed to wall\npart b like a\npart c like b\n"
    )
    assert [part.fixed_to_wall for part in piece_of(text).plan.parts] == [True, True, True]


@pytest.mark.parametrize(("join", "weak"), [("a.top to b.bottom", False), ("a.left to b.right", True)])
def test_glue_alone_is_replaced_on_end_grain_only(join: str, weak: bool) -> None:
    text = SHORT.split("    ends", maxsplit=1)[0].format(long="30")
    (joined,) = piece_of(f"{text}part b like a\njoin {join} as glued\n    flush front\n").plan.joins
    assert traditional(joined) is weak


CORNER = """\
plan "Corner"
stock lath of poplar, 3/4 x 2-1/2
stock post of poplar, 1-1/2 x 2-1/2
part bar of lath, 24 long, crosswise, facing front
part post of {post}, 30 long, upright, facing front
join bar.left to post.right as {how}
    flush front, top
"""


@pytest.mark.parametrize(
    ("post", "how", "seen"),
    [
        ("lath", "half lap, 2-1/2 long", "the lap is no longer seen"),
        (
            "post",
            "mortise and tenon, 2-1/2 long, 1/4 thick, through",
            "the end of the tenon is no longer seen",
        ),
        ("post", "mortise and tenon, 1 long, 1/4 thick", ""),
    ],
)
def test_what_is_no_longer_seen_of_a_joint(post: str, how: str, seen: str) -> None:
    (joint,) = convert(PlanText("a.plan", CORNER.format(post=post, how=how))).joints
    assert [each[: len(seen)] for each in joint.outside] == ([seen] if seen else [])


def test_the_measure_that_stops_a_conversion_is_underlined(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / "a.plan"
    plan.write_text(CORNER.format(post="lath", how="half lap, 2-1/2 long, 2 wide"), encoding="utf-8")
    main(["convert", str(plan)])
    lines = capsys.readouterr().out.splitlines()
    (mark,) = [number for number, line in enumerate(lines) if "├" in line]
    start, end = lines[mark].index("├"), lines[mark].index("┤") + 1
    assert lines[mark - 1][start:end] == "2 wide"


@pytest.mark.parametrize(
    ("gone", "left"),
    [
        (
            {0},
            "    dado 3/4 wide 1/4 deep across back, 8 from left, groove 1/4 wide 1/4 deep along top, 1/4 from back",
        ),
        ({0, 1}, "    groove 1/4 wide 1/4 deep along top, 1/4 from back"),
        ({1, 2}, "    dado 3/4 wide 1/4 deep across back, 2 from left"),
        ({0, 1, 2}, ""),
    ],
)
def test_cuts_that_go_take_their_commas_along(gone: set[int], left: str) -> None:
    first = "dado 3/4 wide 1/4 deep across back, 2 from left"
    second = "dado 3/4 wide 1/4 deep across back, 8 from left"
    third = "groove 1/4 wide 1/4 deep along top, 1/4 from back"
    head = SHORT.split("    ends", maxsplit=1)[0].format(long="30")
    piece = piece_of(f"{head}    {first}, {second}, {third}\n")
    sites = Sites(piece.plan)
    details = [each for number, each in enumerate(sites.removals(piece.plan.parts[0])) if number in gone]
    assert apply(sites.text, list(struck_out(sites, details))).removeprefix(head).strip("\n") == left


@pytest.mark.parametrize("turn", range(-360, 721, 15))
@pytest.mark.parametrize("name", ["sin", "cos", "tan"])
def test_angles_all_round_the_circle(name: str, turn: int) -> None:
    """Against the library's, and exact where it is a whole or a half; nothing is told of an upright tangent."""
    if name == "tan" and turn % 180 == 90:
        return
    text = SHORT.split("    ends", maxsplit=1)[0].format(long=f"30 + {name}({turn})")
    found = piece_of(text).plan.parts[0].length - 30
    true = getattr(math, name)(math.radians(turn))
    assert float(found) == pytest.approx(true, abs=1e-6)
    if abs(2 * true - round(2 * true)) < 1e-9:
        assert found == Fraction(round(2 * true), 2)


@pytest.mark.parametrize("halves", range(4, 10))
def test_dimension_timber_is_half_an_inch_thinner_than_it_is_called(halves: int) -> None:
    name = {0: str(halves // 2), 1: f"{halves // 2}-1/2"}[halves % 2]
    assert dressed(f"{name}x6") == (Fraction(halves - 1, 2), Fraction(11, 2))


def test_what_a_screw_holds_is_worked_out_as_the_standard_does() -> None:
    """NDS 2018, 12.2-1, by hand: 2850 x 0.43 x 0.43 x 0.164 in for each inch of a No. 8 in poplar, and 1-1/4 in."""
    text = CORNER.replace("lath of poplar, 3/4", "lath of poplar, 1-1/2").format(post="lath", how="butt")
    piece = piece_of(f"{text}    pockets 1 in back\n    screws coarse 2-1/2\n")
    pounds = 2850 * 0.43**2 * 0.164 * 1.25
    assert f"one screw in poplar: {pounds:.0f} lb allowable" in new_strength(piece, piece.plan.joins[0])


@pytest.mark.parametrize(("boards", "slotted"), [(1, {1}), (2, {1}), (3, {1, 3}), (4, {1, 2, 4})])
def test_of_the_boards_on_a_cleat_all_but_the_middle_one_are_slotted(boards: int, slotted: set[int]) -> None:
    """A lid 20 in wide on a cleat across it, of one board or of several edge to edge."""
    numbers = range(1, boards + 1)
    text = f"""\
plan "Lid"
stock board of red oak, 3/4 x {20 // boards}
stock strip of red oak, 3/4 x 2
part {", ".join(f"lid_{n}" for n in numbers)} of board, 30 long, crosswise, facing up
part cleat of strip, 20 long, deep, facing up
"""
    for n in numbers[:-1]:
        text += f"join lid_{n}.back to lid_{n + 1}.front\n    glued\n    flush left, top\n"
    for n in numbers:
        text += f"join cleat.top to lid_{n}.bottom\n    5 from left\n    glued\n" + "    flush front\n" * (
            n == 1
        )
    (found,) = [
        each.fact for each in inspect_text(PlanText("a.plan", text)).findings if isinstance(each.fact, Locked)
    ]
    assert {int(join.part_b.name[-1]) for join in found.slot} == slotted


@pytest.mark.parametrize(("third", "told"), [(None, 0.75), ("3/4", None)])
def test_runners_that_lie_level_stand_on_the_floor_alone(third: str | None, told: float | None) -> None:
    """One runner is joined by its side to the deck's edge, 3/4 in higher; what else stands there may be meant so."""
    text = """\
plan "Runners"
stock board of red oak, 3/4 x 10
stock strip of red oak, 1-1/2 x 2
part deck of board, 30 long, crosswise, facing up
part runner_1, runner_2 of strip, 10 long, deep, facing left
join runner_1.top to deck.bottom
    flush front
    2 from left
join runner_2.right to deck.left
    flush front, top
"""
    if third:
        text += f"""\
stock other of red oak, {third} x 2
part third of other, 10 long, deep, facing left
join third.top to deck.bottom
    flush front
    10 from left
"""
    found = [each.measured for each in inspect_text(PlanText("a.plan", text)).findings if each.kind == "foot"]
    assert found == ([] if told is None else [told])


def test_the_parts_of_a_bed_are_those_that_lie_fixed_to_the_most_others() -> None:
    """A board apart is told first, then three that are joined, then two."""
    text = """\
plan "Parts"
stock board of red oak, 3/4 x 4
part alone, one, two, three, four, five of board, 10 long, crosswise, facing up
"""
    for a, b in (("one", "two"), ("two", "three"), ("four", "five")):
        text += f"join {a}.back to {b}.front\n    flush left, top\n    glued\n"
    assert [body.part.name for body in bodies_together(piece_of(text))] == ["one", "two", "three"]
    loose = text.replace("    flush left, top\n", "", 1)
    assert bodies_together(piece_of(loose)) == []


def test_how_far_an_arc_of_a_radius_rises() -> None:
    """5 in over half of 30: 12, 5 and 13. So flat that a float would lose it: half the square over the radius."""
    assert rise_of(17.0, 15.0) == pytest.approx(9)
    assert rise_of(4e9, 20.0) == pytest.approx(20**2 / 2 / 4e9)
    assert rise_of(1e9, 20.0) == pytest.approx(20**2 / 2 / 1e9, abs=1e-6)


@pytest.mark.parametrize("radius", [5.0, 6.5, 13.0])
@pytest.mark.parametrize("up", [1, -1])
def test_an_arc_of_a_radius_through_two_points(radius: float, up: int) -> None:
    """Of 10 in between its ends 5 in is half a circle, and no less is one; it swells to its own side."""
    ends = [(1.0, 3.0), (11.0, 3.0)]
    arc = arc_through((Axis.X, Axis.Z), ends, radius, up)
    assert arc is not None
    assert arc.middle == pytest.approx((6, 3 - up * (radius**2 - 25) ** 0.5))
    assert arc.radius == radius
    points = [
        (arc.middle[0] + radius * math.cos(turn), arc.middle[1] + radius * math.sin(turn)) for turn in arc[3:]
    ]
    assert sorted(points) == [pytest.approx(each) for each in ends]
    assert arc_through((Axis.X, Axis.Z), ends, 4.99, up) is None


@pytest.mark.parametrize(("side", "rise"), [("top", 3), ("bottom", 3)])
def test_a_bow_through_points_takes_as_much_as_its_deepest(side: str, rise: int) -> None:
    text = f"""\
plan "Bow"
stock board of poplar, 3/4 x 8
part rail of board, 24 long, crosswise, facing front
    bow through 3 at 0, 1/4 at 10, 2 at 24 along {side}
"""
    (trim,) = piece_of(text).plan.parts[0].trims
    assert [*trim.sizes] == [rise]


def test_a_piece_is_tried_no_more_often_than_was_said() -> None:
    tries = Tries(2)
    tries.spend()
    assert not tries.spent
    tries.spend()
    assert tries.spent


def test_two_columns_of_blocks_as_high_stand_rather_left() -> None:
    for heights, cut in (((10, 10, 10), 2), ((10, 10), 1), ((30, 10, 10), 1), ((10, 10, 30), 2), ((), 0)):
        columns = two_columns([Spacer(1, high) for high in heights], 200)
        assert columns.cut == cut
        assert columns.high == max(sum(heights[:cut]), sum(heights[cut:]))


@pytest.mark.parametrize(
    ("one", "other", "third", "name"),
    [
        ("high - 2", "high + 1 - 3", "9", "high"),
        ("low", "high", "9", "high"),
        ("low - 1", "low + 2", "9", "low"),
        ("low - 1", "low + 2", "high", "low"),
        ("high - 2", "low", "high", ""),  # The third counts on it too.
        ("2 * high", "high", "9", ""),
        ("9", "high", "9", ""),
    ],
)
def test_the_name_of_a_length_that_two_parts_start_with(one: str, other: str, third: str, name: str) -> None:
    plan = piece_of(f"""\
plan "Names"
let high = 30
let low = high - 4
stock board of poplar, 3/4 x 3
part a of board, {one} long, upright, facing front
part b of board, {other} long, upright, facing front
part c of board, {third} long, upright, facing front
""").plan
    assert common_name(plan, plan.parts[:2], "long") == name


@pytest.mark.parametrize(
    ("distance", "read"),
    [
        ("200", ("mm", 200)),  # Further than the part is long.
        ("2 * 100", ("mm", 200)),
        ("150 + 50", ("mm", 200)),
        ("50 mm", ("in", 50)),
        ("20", None),
        ("200-1/2", None),  # Nobody counts halves of a millimetre, but fifths, as a sum may come to.
        ("200-1/5", ("mm", Fraction(1001, 5))),
        ("more + 50 mm", None),  # Who counts on a name knows its unit.
        ("50 mm + more", None),
        ("200 + more", None),
        ("more", None),
        ("1 + 50 mm", None),
    ],
)
def test_what_distance_may_be_meant_in_another_unit(
    distance: str, read: tuple[str, int | Fraction] | None
) -> None:
    piece = piece_of(f"""\
plan "Units"
    unit inch
let more = 2
stock board of poplar, 3/4 x 3
part a of board, 30 long, upright, facing front
part b of board, 30 long, upright, facing front
join b.left to a.right
    flush front
    {distance} from bottom
""")
    found = [(each.instead, each.bare) for each in other_units(piece.graph, piece.plan.parts[1:])]
    assert found == ([(read[0], Fraction(read[1]))] if read else [])


@pytest.mark.parametrize(("turns", "refused"), [(5, False), (100, True)])
def test_a_unit_with_a_loop_in_a_unit_of_its_own_is_counted_each_time_it_is_placed(
    turns: int, refused: bool
) -> None:
    text = f"""\
plan "Units"
stock board of poplar, 3/4 x 3
assembly leaf
    part a of board, 30 long, upright, facing front
end
assembly row(n)
    for k in 1 to n
        part a_{{k}} of board, 30 long, upright, facing front
end
assembly both(n)
    place leaf as x
    place row as y, n n
end
place both as one, n 1
place both as two, n {turns}
"""
    mistakes = understand(PlanText("a.plan", text), Settings(most_items=20))[1]
    assert ["more than 20 parts and joins" in each.says for each in mistakes] == [True] * refused


def test_what_the_rules_say_twice_of_a_way_is_counted() -> None:
    """Two findings of one rule and grade are told once, with their number."""
    done = convert(PlanText("a.plan", text_of("hand", "a box with through dovetails, all flush")), Settings())
    page = StringIO()
    write_conversion(Page(page, 120), done, None, explain=True)
    assert "2 pockets in the right of wall_l: no-build-order (advice) 2 times." in page.getvalue()


@pytest.mark.parametrize(
    ("long", "told"),
    [
        ("20", None),
        ("19-15/16", None),
        ("19-7/8", None),
        ("19-13/16", None),
        ("19-4/5", ("gap", 0.2)),
        ("19-3/4", ("gap", 0.25)),
        ("20-1/16", ("too-long", 0.0625)),
        ("20-1/8", ("too-long", 0.125)),
    ],
)
def test_a_shelf_on_pins_may_be_3_16_in_short_and_no_longer(
    long: str, told: tuple[str, float] | None
) -> None:
    text = f"""\
plan "Shelf"
stock board of poplar, 1 x 10
part side_l, side_r of board, 30 long, upright, facing left
part top of board, 20 long, crosswise, facing up
part shelf of board, {long} long, crosswise, facing up
join top.left to side_l.right
    flush front, top
    glued
join top.right to side_r.left
    glued
join shelf.left to side_l.right
    flush front
    10 from bottom
    pins 2, 1/4 thick
join shelf.right to side_r.left
    pins 2, 1/4 thick
"""
    found = [each for each in inspect_text(PlanText("a.plan", text)).findings if each.rule == "misfit"]
    assert [(each.kind, each.measured) for each in found] == ([told] if told else [])


@pytest.mark.parametrize(("long", "told"), [("18-1/2", None), ("18-1/4", 0.375), ("18-3/4", 0.125)])
def test_half_a_quarter_of_an_inch_is_play_too(long: str, told: float | None) -> None:
    """Of a base 40-1/4 in long a board in its middle leaves 18-5/8 in beside a side."""
    text = f"""\
plan "Shelf"
stock board of poplar, 1 x 10
part base of board, 40-1/4 long, crosswise, facing up
part side, mid of board, 30 long, upright, facing left
part shelf of board, {long} long, crosswise, facing up
join side.bottom to base.top
    flush front, left
    glued
join mid.bottom to base.top
    flush front
    centred left to right
    glued
join shelf.left to side.right
    flush front
    10 from bottom
    pins 2, 1/4 thick
join shelf.right to mid.left
    pins 2, 1/4 thick
"""
    found = [each for each in inspect_text(PlanText("a.plan", text)).findings if each.rule == "misfit"]
    assert [each.measured for each in found] == ([] if told is None else [told])


@pytest.mark.parametrize(
    ("row", "most"),
    [
        ("pockets 3 in back", 3),
        ("pockets at 1, 2, 5, 9 from left in back", 4),
        ("pockets every 5 from 2 to 2 in back", 5),
        ("pockets every 7 from 2 to 2 in back", 4),
        ("pockets every 22 from 2 to 2 in back", 1),
    ],
)
def test_how_many_pockets_a_row_comes_to_at_most(row: str, most: int) -> None:
    """On 21 in one at its start, and one for each whole step."""
    (join,) = piece_of(END_GRAIN.replace("pockets 2 in back", row)).plan.joins
    assert most_pockets(join.pockets[0], *join.both_ways[0]) == most


@pytest.mark.parametrize(("high", "kind"), [("5", "groove"), ("29", "groove"), ("31", None)])
def test_the_groove_that_a_panel_lies_in(high: str, kind: str | None) -> None:
    """Stiles 30 in long: of a panel that stands past their ends nothing lies in a groove."""
    piece = piece_of(f"""\
plan "Panel"
stock stile of red oak, 3/4 x 3
stock panel of red oak, 1/4 x 8
part stile of stile, 30 long, upright, facing front
    groove 1/4 wide 3/8 deep along right, 1/4 from back
part panel of panel, 20 long, upright, facing front
join panel.left to stile.right as tongue and groove, 3/8 deep
    centred front to back
    {high} from bottom
""")
    groove = groove_of(piece, piece.plan.joins[0])
    assert (groove and groove.kind) == kind


@pytest.mark.parametrize("placed", ["", "as x", "as x mirrored"])
@pytest.mark.parametrize("twin", [False, True])
def test_what_a_copied_line_may_mean_is_told_in_the_words_of_its_own_lines(placed: str, twin: bool) -> None:
    """In a unit parts have no name before their own, and in its mirror image the lines say what they say in it."""
    parts = """\
part leg of board, 30 long, upright, facing front
part leg_b of board, 30 long, upright, facing front
part apron of board, 10 long, crosswise, facing front
"""
    joins = "join apron.left to leg.right\n    flush top, front\n" * 2
    meant = "if its other end is meant, write `apron.right to leg_b.left`; else say all of it there"
    if twin:
        joins = f"join apron.right to leg_b.left\n    flush top, front\n{joins}"
        meant = "if leg_b is meant, write `leg_b.right` for `leg.right`; else say all of it there"
    if placed:
        body = "".join(f"    {line}\n" for line in f"{parts}{joins}".splitlines())
        text = f"assembly frame\n{body}end\nplace frame {placed}\n"
    else:
        text = f"{parts}{joins}"
    (says,) = mistakes_in(f'plan "Copied"\nstock board of poplar, 3/4 x 3\n{text}')
    assert says.endswith(f": {meant}")


@pytest.mark.parametrize(
    ("told", "instead", "there"),
    [
        ("12 from bottom", "10", 1),
        ("10 from bottom", "12", -1),
        ("12 from bottom", "11", 0),
        ("10 from bottom", "10-3/4", 0),  # At its other edge.
        ("12 from top", "19-1/4", 1),  # The dado runs from 19-1/4 to 20 in below the top.
        ("12 from top", "20", 1),
        ("20 from top", "12", -1),
        ("12 from top", "10", 0),
    ],
)
def test_a_place_for_which_a_cut_is_there_is_likelier(told: str, instead: str, there: int) -> None:
    piece = piece_of(f"""\
plan "Shelf"
stock board of poplar, 3/4 x 10
part side of board, 30 long, upright, facing left
    dado 3/4 wide 1/4 deep across right, 10 from bottom
part shelf of board, 20 long, crosswise, facing up
join shelf.left to side.right
    flush front
    {told}
""")
    (join,) = piece.plan.joins
    whole, _, part = instead.partition("-")
    meant = Fraction(whole) + Fraction(part or 0)
    assert cut_there(Unlike(join, join.placings[1], meant, join)) == there


@pytest.mark.parametrize(
    ("by", "more"),
    [
        (
            "1",
            (1, 2),
        ),  # Two rails are 21 in long, and one strip; its own line, which makes three of 20, counts once.
        ("-1", (-1, 0)),  # One strip is 19.
        ("2", (-1, -1)),
    ],
)
def test_how_many_fellows_a_part_would_have_as_long(by: str, more: tuple[int, int]) -> None:
    plan = piece_of("""\
plan "Rails"
stock board of poplar, 3/4 x 3
stock strip of poplar, 3/4 x 1
part short_1, short_2, short_3 of board, 20 long, crosswise, facing front
part long_1, long_2 of board, 21 long, crosswise, facing front
part post of board, 21 long, upright, facing front
part strip_1 of strip, 21 long, crosswise, facing front
part strip_2 of strip, 19 long, crosswise, facing front
""").plan
    assert fellows(plan.parts, Closing(plan.parts[0], Fraction(by))) == more


@pytest.mark.parametrize(
    ("by", "slight"), [("12", False), ("767/64", True), ("-767/64", True), ("-12", False)]
)
def test_what_makes_a_part_half_as_long_or_half_as_long_again_is_no_slight_change(
    by: str, slight: bool
) -> None:
    (rail,) = piece_of("""\
plan "Rail"
stock board of poplar, 3/4 x 3
part rail of board, 24 long, crosswise, facing front
""").plan.parts
    assert Closing(rail, Fraction(by)).slight is slight


@pytest.mark.parametrize(("held", "told"), [((2, 4), []), ((2, 4, 5), ["slat_1", "slat_3"])])
def test_a_slat_lacks_a_bearer_where_most_like_it_have_both(held: tuple[int, ...], told: list[str]) -> None:
    """Of the four others two are glued to both bearers, or three are."""
    text = """\
plan "Slats"
stock bearer of cedar, 1-1/2 x 3
stock slat of cedar, 3/4 x 3
part bearer_l, bearer_r of bearer, 24 long, deep, facing left
part slat_1, slat_2, slat_3, slat_4, slat_5 of slat, 30 long, crosswise, facing up
for n in 1 to 5
    join slat_{n}.bottom to bearer_l.top as glued
        5 * (n - 1) from front
        proud 2 at left
"""
    for number in held:
        text += f"join slat_{number}.bottom to bearer_r.top as glued\n    {5 * (number - 1)} from front\n"
        text += "    proud 2 at right\n"
    ends = list(loose_ends(piece_of(text), rule_book()["loose-end"]))
    assert [(each.part.name, each.side, each.other.name) for each in ends] == [
        (name, Side.BOTTOM, "bearer_r") for name in told
    ]


def test_a_join_is_meant_for_the_free_part_of_the_same_length() -> None:
    """Two stiles are mitred so that the rail would meet them, and joined to nothing there: one is 1 in too short."""
    piece = piece_of("""\
plan "Frame"
stock rail of poplar, 3/4 x 2
part top of rail, 20 long, crosswise, facing front
    ends cut 45, long at top
part left of rail, 30 long, upright, facing front
    ends cut 45, long at left
part right of rail, 30 long, upright, facing front
    ends cut 45, long at right
part short of rail, 29 long, upright, facing front
    ends cut 45, long at right
part low of rail, 10 long, crosswise, facing front
    ends cut 45, long at bottom
join top.left to left.top
    flush front, top
join top.right to left.top
    flush front, top
join low.left to right.bottom
    flush front, bottom
join low.right to short.bottom
    flush front, bottom
""")
    (fault,) = (each for each in piece.placement.askew if each.join.name == "top.right")
    ways = [(at, named.name, its, free.name) for at, named, its, free in left_free(piece.graph, fault)]
    assert ways == [("top.right", "left", "top", "right")]


@pytest.mark.parametrize(("places", "backed"), [((2, 3), True), ((2, 10), False), ((10, 12), False)])
def test_a_side_is_backed_where_what_is_glued_to_it_lies_behind_all(
    places: tuple[int, ...], backed: bool
) -> None:
    """A pad 5 in long behind the left of a rail."""
    rail, _ = piece_of("""\
plan "Thick"
stock board of poplar, 3/4 x 4
part rail of board, 20 long, crosswise, facing front
part pad of board, 5 long, crosswise, facing front
join pad.front to rail.back as glued
    flush left, top
""").bodies
    assert rail.origin == (0.0, 0.0, 0.0)
    points = [(float(place), 0.375, 1.0) for place in places]
    assert rail.backed(Side.BACK, points) is backed
    assert not rail.backed(Side.FRONT, points)


def test_pockets_that_a_joint_has_already_stay_whatever_is_wrong_elsewhere() -> None:
    """The rail below has screws that come through the leg, before as after: the apron's tenon goes all the same."""
    text = """\
plan "Pockets"
stock post of poplar, 2 x 2
stock rail of poplar, 3/4 x 3
part leg_l, leg_r of post, 28 long, upright, facing front
part apron, low of rail, 20 long, crosswise, facing front
join apron.left to leg_l.right as mortise and tenon, 1 long
    flush top
    centred front to back
    pockets 2 in back
    screws coarse 1-1/4
join apron.right to leg_r.left as mortise and tenon, 1 long
    flush top
    centred front to back
join low.left to leg_l.right
    2 from bottom
    centred front to back
    pockets 2 in back
    screws coarse 3
"""
    joints = convert(PlanText("a.plan", text), Settings()).joints
    assert [(each.joint, each.refused) for each in joints] == [("apron.left", ""), ("apron.right", "")]

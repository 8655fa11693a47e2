"""What small wrong changes to the code were not noticed once: each held here by what it must come to."""

from __future__ import annotations

import pytest

from planlint.conversion.joint_strength import new_strength
from planlint.findings.finding import Grade
from planlint.findings.rulebook import rule_book
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.joint_kinds import makes_panel
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.model.workshop import Settings
from planlint.reports.safe_words import measured
from planlint.text.source import PlanText, Span

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
    assert mistake.says.startswith("`zzzz` cannot stand here")


@pytest.mark.parametrize(("out", "told"), [(0.0004, "a hair"), (0.095, "0.095 in"), (0.125, "1/8 in")])
def test_nothing_comes_out_by_nothing(out: float, told: str) -> None:
    found = rule_book()["tip-through"].finding(span=Span(0, 1), measured=-out, limit=1 / 16, unit="in")
    assert measured(found, "in") == (
        "Measured",
        f"comes out by {told}; at least 1/16 in must stay (judgement)",
    )

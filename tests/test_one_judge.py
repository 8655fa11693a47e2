"""A finding's identity, the judge that everyone asks, and what a piece with other joints shares."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from planlint.checks.registry import CHECKS, By, Judges, judge
from planlint.collection.findings_ledger import with_lines
from planlint.findings.finding import Finding, Identity
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.inspection.inspection_result import Inspection
from planlint.model.join_details import PocketRow
from planlint.model.workshop import Settings
from planlint.repairs.joint_trial import tried
from planlint.repairs.repair_context import Context
from planlint.rulebook.grades import Grade
from planlint.text.source import PlanText, Span
from planlint.wording.words_by_rule import WORDS

DEMO = Path(__file__).parent.parent / "planlint" / "demo"
WIDE = """\
plan "Long joint"
    seen from nowhere
stock board of red oak, 3/4 x 6
part rail of board, 30 long, crosswise, facing front
part shelf of board, 30 long, crosswise, facing up
join shelf.back to rail.front
    flush left, top
    pockets 5 in bottom
    screws to suit
"""


def finding(
    joint: str | None, parts: tuple[str, ...], *, says: str = "", against: str | None = None
) -> Finding:
    return Finding(
        "a-rule", Grade.STOP, joint, parts, Span(0, 1), says, 1.0, None, None, "judgement", against=against
    )


def test_identity_is_rule_and_place() -> None:
    here = finding("rail.left", ("rail", "stile"))
    assert here.identity == Identity("a-rule", "rail.left")
    worse = replace(here, says="other words", measured=9.0, kind="comes-out", grade=Grade.ADVICE)
    assert worse.identity == here.identity
    assert finding(None, ("b", "a", "b")).identity == finding(None, ("a", "b")).identity


def test_a_pair_is_the_same_from_either_side() -> None:
    one, other = finding("a.left", (), against="b.left"), finding("b.left", (), against="a.left")
    assert one.identity == other.identity != finding("a.left", ()).identity
    source = PlanText("a", " ")
    lines = [
        [line for _, line in with_lines("a", Inspection("a", source, findings=(each,)))]
        for each in (one, other)
    ]
    assert lines[0] == lines[1] == ['["a", "a-rule", "a.left + b.left", 1]']


def test_every_rule_of_ours_is_worded_in_one_place_or_by_its_check() -> None:
    assert set(WORDS) >= {name for name, check in CHECKS.items() if check.by & By.PLACING}


@pytest.mark.parametrize("off", [False, True])
def test_a_rule_that_is_off_is_asked_nowhere(*, off: bool) -> None:
    settings = Settings(grades={"wide-spacing": "off"} if off else {})
    inspection = inspect_text(PlanText("long", WIDE), settings)
    assert not inspection.findings
    assert ("wide-spacing" in judge(settings).names(Judges.JOINT)) is not off
    context = Context(inspection)
    join = context.plan.joins[0]
    sparse = replace(join, pockets=(replace(join.pockets[0], count=2),))
    assert ("wide-spacing" in tried(context, sparse)) is not off


@pytest.mark.parametrize("plan", sorted(DEMO.glob("*.plan")), ids=lambda path: path.stem)
def test_a_piece_with_one_joint_changed_is_as_if_made_anew(plan: Path) -> None:
    text, _ = understand(PlanText(plan.name, plan.read_text(encoding="utf-8")), Settings())
    assert text is not None
    piece = Piece(text)
    for each in text.joins:
        piece.screws(each)
    drilled = [join for join in text.joins if join.pockets and not any(row.fixed for row in join.pockets)]
    for join in drilled[:3]:
        changed = replace(
            join,
            pockets=tuple(
                PocketRow(row.face, row.in_b, row.span, count=1, plugged=row.plugged) for row in join.pockets
            ),
        )
        joins = tuple(changed if each is join else each for each in text.joins)
        shared, anew = piece.with_joins(joins), Piece(replace(text, joins=joins))
        assert shared.contact(changed) is piece.contact(join)
        assert shared.contact(changed) == anew.contact(changed)
        assert shared.screws(changed) == anew.screws(changed)
        assert piece.screws(join) != shared.screws(changed) or len(piece.screws(join)) == 1
        assert all(shared.screws(each) == anew.screws(each) for each in joins)
        # A row along an edge keeps clear of those at its ends, so what meets the same parts is asked anew.
        near = {part.index for part in changed.parts}
        apart = [each for each in joins if not near & {part.index for part in each.parts}]
        assert all(shared.screws(each) is piece.screws(each) for each in apart)

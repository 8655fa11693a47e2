"""Every worked case of every rule, run through the whole engine."""

from __future__ import annotations

import pytest

from planlint.checks.acceptance import OWN_RULES
from planlint.checks.registry import CHECKS, By, hangs_on
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import rule_book
from planlint.geometry.piece import Piece
from planlint.model.stock import Stock
from planlint.repairs.mended_plan import Mending
from planlint.repairs.mending import mend
from planlint.rulebook.rule_files import Case
from planlint.text.source import PlanText

BASES = {"published source", "common practice", "from memory", "geometry", "judgement"}
CASES = {f"{name}: {each.title}": each for name, rule in rule_book().items() for each in rule.cases}


@pytest.fixture(name="case", scope="module", params=CASES.values(), ids=list(CASES))
def every_case(request: pytest.FixtureRequest) -> Case:
    """All that is asked of one case is asked before the next, so that it is inspected and mended once."""
    case: Case = request.param
    return case


@pytest.fixture(name="mending", scope="module")
def mending_of_case(case: Case) -> Mending:
    mending = mend(PlanText("case.plan", case.plan))
    assert not mending.before.unread, [says for _, says in mending.before.unread]
    assert not mending.before.crashed
    return mending


def told(finding: Finding) -> str:
    return f"{finding.rule} on {finding.joint or finding.parts[0]}"


def test_case(case: Case, mending: Mending) -> None:
    assert sorted(map(told, mending.before.findings)) == sorted(case.findings)


def test_case_is_mended(case: Case, mending: Mending) -> None:
    """Mending gives the text that the case shows, takes findings away and adds none."""
    assert mending.source.text == (case.plan if case.mended is None else case.mended)
    left = sorted(map(told, mending.after.findings))
    assert left == sorted(case.findings) if case.mended is None else len(left) < len(case.findings)


def test_stock_size_and_screws_stay(mending: Mending) -> None:
    """What is mended without asking takes no screws away, and changes neither stock nor the piece's size."""
    before, after = mending.before.piece, mending.after.piece
    assert before is not None and after is not None
    assert [*map(bought, before.plan.stocks)] == [*map(bought, after.plan.stocks)]
    assert [part.stock.name for part in before.plan.parts] == [part.stock.name for part in after.plan.parts]
    if not any(hangs_on(finding.rule, By.PLACING | By.LIKENESS) for finding in mending.before.findings):
        for now, then in zip(before.bounds, after.bounds, strict=True):
            assert now == pytest.approx(then, abs=1 / 64)
        kept = screws(after)
        assert all(kept.get(name, many) >= many for name, many in screws(before).items())


def bought(stock: Stock) -> tuple[object, ...]:
    return stock.name, stock.material, stock.thickness, stock.width, stock.length


def screws(piece: Piece) -> dict[str, int]:
    return {join.name: len(piece.screws(join)) for join in piece.plan.joins}


@pytest.mark.parametrize("name", rule_book())
def test_rule_has_cases_both_ways(name: str) -> None:
    """At least two plans that the rule finds at fault, and two that it passes."""
    fired = [
        any(each.startswith(f"{name} on ") for each in case.findings) for case in rule_book()[name].cases
    ]
    assert fired.count(True) >= 2
    assert fired.count(False) >= 2


def test_every_rule_has_a_check() -> None:
    assert set(CHECKS) | OWN_RULES == set(rule_book())


def test_findings_are_whole(case: Case, mending: Mending) -> None:
    """A finding says one plain sentence, has a basis, offers a repair, and points into the text."""
    for finding in mending.before.findings:
        assert finding.says.endswith(".")
        assert "\n" not in finding.says
        assert finding.repairs
        assert all(repair.says.endswith(".") for repair in finding.repairs)
        assert finding.basis.split(":")[0] in BASES or "settings" in finding.basis
        assert 0 <= finding.span.start < finding.span.end <= len(case.plan)
        assert (finding.measured is None) == (finding.unit is None)

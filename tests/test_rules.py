"""Every worked case of every rule, run through the whole engine."""

from __future__ import annotations

import pytest

from planlint.checks.acceptance import OWN_RULES
from planlint.checks.registry import CHECKS
from planlint.findings.finding import Finding
from planlint.findings.rulebook import rule_book
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.repairs.mending import mend
from planlint.rulebook.rule_files import Case
from planlint.text.source import PlanText

BASES = {"published source", "common practice", "from memory", "geometry", "judgement"}
CASES = [(name, case) for name, rule in rule_book().items() for case in rule.cases]


def inspected(plan: str) -> Inspection:
    inspection = inspect_text(PlanText("case.plan", plan))
    assert not inspection.unread, [says for _, says in inspection.unread]
    assert not inspection.crashed
    return inspection


def told(finding: Finding) -> str:
    return f"{finding.rule} on {finding.joint or finding.parts[0]}"


EACH_CASE = pytest.mark.parametrize(
    "case", [case for _, case in CASES], ids=[f"{name}: {case.title}" for name, case in CASES]
)


@EACH_CASE
def test_case(case: Case) -> None:
    assert sorted(map(told, inspected(case.plan).findings)) == sorted(case.findings)


@EACH_CASE
def test_case_is_mended(case: Case) -> None:
    """Mending gives the text that the case shows, takes findings away and adds none."""
    mending = mend(PlanText("case.plan", case.plan))
    assert mending.source.text == (case.plan if case.mended is None else case.mended)
    left = sorted(map(told, mending.after.findings))
    assert left == sorted(case.findings) if case.mended is None else len(left) < len(case.findings)


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


@EACH_CASE
def test_findings_are_whole(case: Case) -> None:
    """A finding says one plain sentence, has a basis, offers a repair, and points into the text."""
    for finding in inspected(case.plan).findings:
        assert finding.says.endswith(".")
        assert "\n" not in finding.says
        assert finding.repairs
        assert all(repair.says.endswith(".") for repair in finding.repairs)
        assert finding.basis.split(":")[0] in BASES or "settings" in finding.basis
        assert 0 <= finding.span.start < finding.span.end <= len(case.plan)
        assert (finding.measured is None) == (finding.unit is None)

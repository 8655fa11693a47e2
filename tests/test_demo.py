"""The demo collection: each plan is held to exactly the findings that a note at its top names."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import rule_book
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.text.decode import decode
from planlint.text.source import PlanText
from tests.faults import NOTE, named_faults

FOLDER = Path(__file__).parent.parent / "planlint" / "demo"
PLANS = sorted(FOLDER.glob("*.plan"))


def inspected(path: Path) -> Inspection:
    text = decode(path.name, path.read_bytes())
    assert isinstance(text, PlanText)
    return inspect_text(text)


def called(finding: Finding) -> str:
    """A finding as a note names it: by its joint, or else by its parts."""
    return f"{finding.rule} on {finding.joint or ', '.join(finding.parts)}"


@pytest.mark.parametrize("path", PLANS, ids=lambda path: path.stem)
def test_a_plan_gives_exactly_the_findings_it_names(path: Path) -> None:
    inspection = inspected(path)
    assert not inspection.unread, [
        (mistake.says, inspection.position(mistake.span.start)) for mistake in inspection.unread
    ]
    assert not inspection.crashed
    assert all(finding.says and finding.repairs for finding in inspection.findings)
    found = Counter(map(called, inspection.findings))
    assert found == Counter(named_faults(path)), [finding.says for finding in inspection.findings]


@pytest.mark.parametrize("path", [path for path in PLANS if named_faults(path)], ids=lambda path: path.stem)
def test_the_faults_are_named_before_the_plan_begins_and_by_rules_of_the_book(path: Path) -> None:
    head = path.read_text(encoding="utf-8").split("\nplan ")[0]
    assert head.count(NOTE) == len(named_faults(path))
    assert {fault.partition(" on ")[0] for fault in named_faults(path)} <= set(rule_book())


def test_a_good_part_of_the_collection_is_sound_and_a_good_part_is_not() -> None:
    sound = [path for path in PLANS if not named_faults(path)]
    assert len(PLANS) >= 12
    assert len(PLANS) / 3 <= len(sound) <= 2 * len(PLANS) / 3


def test_the_faulty_plans_show_most_of_the_rules() -> None:
    fired = {fault.partition(" on ")[0] for path in PLANS for fault in named_faults(path)}
    assert len(fired) >= 20


def test_an_acceptance_with_a_reason_is_honoured_in_a_sound_plan() -> None:
    chair = FOLDER / "chair-repair.plan"
    assert not named_faults(chair)
    assert [finding.rule for finding in inspected(chair).accepted] == ["hole-in-sight", "hole-in-sight"]

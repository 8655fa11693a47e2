"""Repairs that an editor offers one by one: each, made alone, takes its finding away and brings no other."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import pytest

import planlint
from planlint.budget.allowance import Budget
from planlint.collection.worker import inspect_within_budget
from planlint.collection.worker_task import Task
from planlint.findings.finding import Finding
from planlint.inspection.inspect_plan import inspect_text
from planlint.model.workshop import Settings
from planlint.text.edits import apply
from planlint.text.source import PlanText
from tests.faults import named_faults

FAULTY = [
    path for path in sorted((Path(planlint.__file__).parent / "demo").glob("*.plan")) if named_faults(path)
]


def kind(finding: Finding) -> tuple[str, str | None, tuple[str, ...]]:
    return finding.rule, finding.joint, finding.parts


@pytest.mark.parametrize("path", FAULTY, ids=lambda path: path.stem)
def test_each_fix_of_a_demo_plan_is_right_alone(path: Path) -> None:
    task = Task(path.name, path.read_bytes(), Settings(), Budget(60, 2000), fixes=True)
    inspection = inspect_within_budget(task)
    before = Counter(map(kind, inspection.findings))
    for finding, repair in inspection.proved:
        text = apply(inspection.source.text, repair.edits)
        after = inspect_text(PlanText(path.name, text))
        assert after.whole, repair.says
        left = Counter(map(kind, after.findings))
        assert left[kind(finding)] < before[kind(finding)], repair.says
        assert not left - before, repair.says

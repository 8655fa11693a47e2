"""What is read back from files is held to a strict shape: records of a cache, reports to join, changed at random."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random
from typing import Any

import pytest

from planlint.collection.inspection_record import record_of, remembered
from planlint.command.join_command import join_reports
from planlint.command.usage_error import CallWrong
from planlint.findings.finding import Grade
from planlint.inspection.inspect_plan import inspect_text
from planlint.reports.json_report import JsonReport
from planlint.reports.sarif_report import SarifReport
from planlint.reports.tally import Tally
from planlint.text.source import PlanText

PLAN = (Path(__file__).parent.parent / "planlint/demo/plant-stand.plan").read_text(encoding="utf-8")
STRANGE: list[Any] = [None, True, -1, 0, 1, 10**30, 0.5, "", "x", [], [[]], {}, {"a": 1}]
CHANGES = 1500


def spoilt(whole: Any, chance: Random) -> Any:
    """One place of some JSON taken away, doubled, or put in the place of something else."""
    copy = json.loads(json.dumps(whole))
    at = copy
    while True:
        keys = list(at) if isinstance(at, dict) else range(len(at))
        if not keys:
            return chance.choice(STRANGE)
        key = chance.choice(keys)
        if isinstance(at[key], list | dict) and at[key] and chance.random() < 0.8:
            at = at[key]
            continue
        way = chance.randrange(3)
        if way == 0:
            del at[key]
        elif way == 1 and isinstance(at, list):
            at.insert(key, chance.choice([at[key], *STRANGE]))
        else:
            at[key] = chance.choice(STRANGE)
        return copy


def test_records_changed_at_random_are_read_whole_or_not_at_all() -> None:
    chance, data = Random(14), PLAN.encode()
    record = json.loads(json.dumps(record_of(inspect_text(PlanText("a.plan", PLAN)))))
    assert record[1] or record[2], "a plan with findings"
    assert record_of(remembered(record, "a.plan", data)) == record
    refused = 0
    for _ in range(CHANGES):
        changed = spoilt(record, chance)
        try:
            found = remembered(changed, "a.plan", data)
        except ValueError:
            refused += 1
            continue
        for make in (JsonReport, SarifReport):
            words: list[str] = []
            report = make(words.append)
            report.add("a.plan", found)
            report.end(Tally())
            json.loads("".join(words))
    assert refused > CHANGES / 2


def test_reports_changed_at_random_are_joined_or_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words: list[str] = []
    report = JsonReport(words.append)
    inspection, tally = inspect_text(PlanText("a.plan", PLAN)), Tally()
    tally.add(inspection)
    report.add("a.plan", inspection)
    report.end(tally)
    whole, chance, file = json.loads("".join(words)), Random(15), tmp_path / "a.json"
    whole["shard"] = {"number": 1, "of": 1}
    refused = 0
    for number in range(CHANGES // 5):
        file.write_text(json.dumps(spoilt(whole, chance) if number else whole), encoding="utf-8")
        form = chance.choice(["json", "sarif", "text"])
        try:
            assert join_reports([str(file)], form, (), Grade.ADVICE, brief=False) in {0, 1, 2}
        except CallWrong:
            refused += 1
            assert number, "the report as it was"
        else:
            out = capsys.readouterr().out
            if form != "text":
                json.loads(out)
    assert refused > CHANGES / 10

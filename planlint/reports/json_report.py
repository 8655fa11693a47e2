"""The report for programs. ``reports.json_schema`` describes its shape."""

from __future__ import annotations

import json
from collections.abc import Iterable
from json import JSONEncoder
from math import isfinite
from typing import Any

from planlint.collection.collection_root import portable
from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspection_result import Inspection
from planlint.reports.report_protocol import Write
from planlint.reports.tally import Tally
from planlint.text.source import PlanText


class JsonReport:
    """All plans as one JSON text, in ASCII, with a line end behind it.

    What could not be read and what could not be checked are both told under ``unread``; ``summary`` counts findings
    by grade, the entries under ``unread``, and what a plan accepts or a ledger knows. ``unmatched`` holds the lines of
    the ledger that no longer match. ``shard`` is told where the run was one of several.
    """

    def __init__(self, write: Write, shard: tuple[int, int] | None = None) -> None:
        self._write = write
        self._shard = shard
        words = [*(grade.word for grade in reversed(Grade)), "unread", "accepted", "known", "unmatched"]
        self._counts = dict.fromkeys(words, 0)
        self._started = False
        path = "in-between"
        before, _, behind = _indented(plan_entry(Inspection(path, PlanText(path, ""))), "    ").partition(
            f'"{path}"'
        )
        self._sound = before, behind

    def add(self, _name: str, inspection: Inspection) -> None:
        self._write(",\n    " if self._started else '{\n  "plans": [\n    ')
        self._started = True
        if inspection.sound and not (inspection.accepted or inspection.known):
            # Most plans of a collection: they differ by their paths only.
            self._write(self._sound[0] + _in_json(portable(inspection.path)) + self._sound[1])
            return
        entry = plan_entry(inspection)
        for finding in inspection.told:
            self._counts[finding.grade.word] += 1
        for what in ("unread", "accepted", "known"):
            self._counts[what] += len(entry[what])
        self._write(_indented(entry, "    "))

    def end(self, tally: Tally) -> None:
        self._write("\n  ],\n" if self._started else '{\n  "plans": [],\n')
        self._write(f'  "unmatched": {_indented(tally.unmatched, "  ")},\n')
        self._counts["unmatched"] = len(tally.unmatched)
        if self._shard:
            number, of = self._shard
            self._write(f'  "shard": {_indented({"number": number, "of": of}, "  ")},\n')
        self._write(f'  "summary": {_indented(self._counts, "  ")}\n}}\n')


def json_report(inspections: Iterable[Inspection]) -> str:
    """The report on all of these as one string."""
    words: list[str] = []
    report = JsonReport(words.append)
    for inspection in inspections:
        report.add(inspection.path, inspection)
    report.end(Tally())
    return "".join(words)


_in_json = JSONEncoder().encode


def _indented(value: object, indent: str) -> str:
    # Words inside the text hold no line ends: JSON writes them out.
    return json.dumps(value, indent=2, allow_nan=False).replace("\n", f"\n{indent}")


def plan_entry(inspection: Inspection) -> dict[str, Any]:
    """One plan's entry under ``plans``."""
    unread = []
    for mistake in inspection.unread:
        place = inspection.position(mistake.span.start)
        unread.append({"line": place.line, "column": place.column, "says": mistake.says})
    unread += [{"line": 1, "column": 1, "says": trouble.says} for trouble in inspection.crashed]
    return {
        "path": portable(inspection.path),
        "findings": [_finding_entry(inspection, finding) for finding in inspection.told],
        "accepted": [_finding_entry(inspection, finding) for finding in inspection.accepted],
        "known": [_finding_entry(inspection, finding) for finding in inspection.known],
        "unread": unread,
    }


def _finding_entry(inspection: Inspection, finding: Finding) -> dict[str, Any]:
    start, end = inspection.position(finding.span.start), inspection.position(finding.span.end)
    return {
        "rule": finding.rule,
        "grade": finding.grade.word,
        "joint": finding.joint,
        "parts": list(finding.parts),
        "line": start.line,
        "column": start.column,
        "end_line": end.line,
        "end_column": end.column,
        "says": finding.says,
        "measured": _number(finding.measured),
        "limit": _number(finding.limit),
        "unit": finding.unit,
        "basis": finding.basis,
        "repairs": [{"says": repair.says} for repair in finding.repairs],
        "also": [each.place for each in finding.also],
        "beside": [{"rule": each.rule, "says": each.says} for each in finding.beside],
    }


def _number(value: float | None) -> float | None:
    """To a millionth, and ``null`` for what JSON has no word for."""
    return round(value, 6) if value is not None and isfinite(value) else None

"""The report for programs. ``reports.schema`` describes its shape."""

from __future__ import annotations

from collections.abc import Iterable
from math import isfinite
from typing import Any

from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspect import Inspection


def json_report(inspections: Iterable[Inspection]) -> str:
    """All plans as one JSON text, in ASCII, with a line end behind it.

    What could not be read and what could not be checked are both told under ``unread``; ``summary`` counts findings
    by grade, and the entries under ``unread``.
    """
    import json  # noqa: PLC0415 - the report for people does without

    counts = dict.fromkeys((grade.word for grade in reversed(Grade)), 0)
    unread = 0
    plans = []
    for inspection in inspections:
        for finding in inspection.findings:
            counts[finding.grade.word] += 1
        entry = plan_entry(inspection)
        unread += len(entry["unread"])
        plans.append(entry)
    return (
        json.dumps({"plans": plans, "summary": {**counts, "unread": unread}}, indent=2, allow_nan=False)
        + "\n"
    )


def plan_entry(inspection: Inspection) -> dict[str, Any]:
    """One plan's entry under ``plans``."""
    unread = []
    for mistake in inspection.unread:
        place = inspection.position(mistake.span.start)
        unread.append({"line": place.line, "column": place.column, "says": mistake.says})
    unread += [{"line": 1, "column": 1, "says": trouble.says} for trouble in inspection.crashed]
    return {
        "path": inspection.path,
        "findings": [_finding_entry(inspection, finding) for finding in inspection.findings],
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
    }


def _number(value: float | None) -> float | None:
    """To a millionth, and ``null`` for what JSON has no word for."""
    return round(value, 6) if value is not None and isfinite(value) else None

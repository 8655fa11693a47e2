"""The report for programs. ``reports.json_schema`` describes its shape."""

import json
from collections.abc import Iterable
from dataclasses import asdict, replace
from json import JSONEncoder
from math import isfinite
from typing import Any

from planlint.collection.collection_root import portable
from planlint.collection.inspection_record import record_of
from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspection_result import About, Inspection, Trouble
from planlint.reports.run_marks import UNMARKED, RunMarks
from planlint.reports.safe_words import safe_json
from planlint.reports.tally import Tally, Write
from planlint.text.source import Mistake, PlanText, Position


class JsonReport:
    """All plans as one JSON text, in ASCII, with a line end behind it.

    What could not be read and what could not be checked are both told under ``unread``; ``summary`` counts findings
    by grade, the entries under ``unread``, and what a plan accepts or a ledger knows. ``unmatched`` holds the lines of
    the ledger that no longer match, ``touched`` what a change touches of settings and ledger, ``unchecked`` own rules
    that are not there or cannot be used, ``run`` what the run was made with. ``shard`` is told where it was one of
    several.
    """

    def __init__(self, write: Write, shard: tuple[int, int] | None = None, run: RunMarks = UNMARKED) -> None:
        self._write = write
        self._shard = shard
        self._run = run
        words = [*(grade.word for grade in reversed(Grade)), "unread", "accepted", "known", "unmatched"]
        self._counts = dict.fromkeys(words, 0)
        self._started = False
        path, about = "in-between", About("in-between", "in-between", 0, 0)
        sound = plan_entry(path, Inspection(path, PlanText(path, ""), about=about))
        entry = _indented({**sound, "name": path, "owner": path, "about": path}, "    ")
        self._sound = entry.split(f'"{path}"')

    def add(self, name: str, inspection: Inspection) -> None:
        self._write(",\n    " if self._started else '{\n  "plans": [\n    ')
        self._started = True
        if inspection.sound and not (inspection.accepted or inspection.known):
            # Most plans of a collection: they differ by their paths only.
            told = (portable(inspection.path), name, inspection.owner or None)
            words = [*(safe_json(_encoded(each)) for each in told), _indented(_about(inspection), "      ")]
            self._write(
                "".join(each for pair in zip(self._sound, [*words, ""], strict=True) for each in pair)
            )
            return
        entry = plan_entry(name, inspection)
        for finding in inspection.told:
            self._counts[finding.grade.word] += 1
        for what in ("unread", "accepted", "known"):
            self._counts[what] += len(entry[what])
        self._write(_indented(entry, "    "))

    def end(self, tally: Tally) -> None:
        self._write("\n  ],\n" if self._started else '{\n  "plans": [],\n')
        self._write(f'  "unmatched": {_indented(tally.unmatched, "  ")},\n')
        self._write(f'  "touched": {_indented(tally.touched, "  ")},\n')
        unchecked = [{"rule": each.what, "says": each.says} for each in tally.troubles]
        self._write(f'  "unchecked": {_indented(unchecked, "  ")},\n')
        self._write(f'  "run": {_indented(asdict(self._run), "  ")},\n')
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
        report.add(portable(inspection.path), inspection)
    report.end(Tally())
    return "".join(words)


_encoded = JSONEncoder().encode


def _indented(value: object, indent: str) -> str:
    # Words inside the text hold no line ends: JSON writes them out.
    return safe_json(json.dumps(value, indent=2, allow_nan=False)).replace("\n", f"\n{indent}")


def plan_entry(name: str, inspection: Inspection) -> dict[str, Any]:
    """One plan's entry under ``plans``."""
    entry: dict[str, Any] = {
        "path": portable(inspection.path),
        "name": name,
        "owner": inspection.owner or None,
        "about": _about(inspection),
        "findings": [_finding_entry(inspection, finding) for finding in inspection.told],
        "accepted": [_finding_entry(inspection, finding) for finding in inspection.accepted],
        "known": [_finding_entry(inspection, finding) for finding in inspection.known],
        "unread": unread_entries(inspection.source, inspection.unread, inspection.crashed),
    }
    if not inspection.sound or inspection.accepted or inspection.known:
        everything = replace(inspection, findings=(*inspection.findings, *inspection.known))
        newly = inspection.newly_accepted
        entry["whole"] = {
            "text": None if inspection.no_plan else inspection.source.text,
            "record": _finite(record_of(everything)),
            "known": len(inspection.known),
            "newly_accepted": None if newly is None else [inspection.accepted.index(each) for each in newly],
        }
    return entry


def unread_entries(
    source: PlanText, unread: Iterable[Mistake], troubles: Iterable[Trouble]
) -> list[dict[str, Any]]:
    """Mistakes at their places, and what could not be done at the first."""
    told = [(source.position(each.span.start), each.says) for each in unread]
    told += [(Position(1, 1), each.says) for each in troubles]
    return [{**place._asdict(), "says": says} for place, says in told]


def _about(inspection: Inspection) -> dict[str, Any] | None:
    return inspection.about._asdict() if inspection.about else None


def _finite(value: Any) -> Any:
    """Plain data without the numbers that JSON has no word for."""
    if isinstance(value, list):
        return list(map(_finite, value))
    return None if isinstance(value, float) and not isfinite(value) else value


def _finding_entry(inspection: Inspection, finding: Finding) -> dict[str, Any]:
    start, end = inspection.position(finding.span.start), inspection.position(finding.span.end)
    return {
        "rule": finding.rule,
        "kind": finding.kind,
        "grade": finding.grade.word,
        "joint": finding.joint,
        "lasting": finding.lasting or None,
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
        "reason": finding.reason,
        "beside": [{"rule": each.rule, "says": each.says} for each in finding.beside],
    }


def _number(value: float | None) -> float | None:
    """To a millionth, and ``null`` for what JSON has no word for."""
    return round(value, 6) if value is not None and isfinite(value) else None

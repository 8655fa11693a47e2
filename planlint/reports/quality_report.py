"""A list of findings as JSON: the plain shape that services for the quality of code read.

An entry has ``description``, ``check_name``, ``fingerprint``, ``severity`` (``info``, ``minor``, ``major``,
``critical`` or ``blocker``) and ``location`` with ``path`` and ``lines.begin``; written down from memory.
The fingerprint outlives edits elsewhere, as in SARIF.
"""

import json

from planlint.collection.findings_ledger import fingerprint, with_lines
from planlint.findings.finding import Grade
from planlint.inspection.inspection_result import Inspection
from planlint.reports.line_report import accepted, told_in_a_line
from planlint.reports.safe_words import NamesGiven, safe_json, sentence, visible
from planlint.reports.tally import Tally, Write

SEVERITIES = {Grade.STOP: "critical", Grade.CAUTION: "major", Grade.ADVICE: "minor"}


class QualityReport:
    """What is found, what the plans accept (as ``info``), and what could not be read; what is known has no entry."""

    def __init__(self, write: Write) -> None:
        self._write = write
        self._started = False

    def add(self, name: str, inspection: Inspection) -> None:
        known, kept = set(map(id, inspection.known)), set(map(id, inspection.accepted))
        for finding, entry in with_lines(name, inspection):
            if id(finding) in known:
                continue
            severity, says = SEVERITIES[finding.grade], told_in_a_line(finding)
            if id(finding) in kept:
                severity, says = "info", accepted(finding)
            line = inspection.position(finding.span.start).line
            self._entry(name, line, finding.rule, says, severity, entry)
        names = NamesGiven(inspection.source.text)
        numbers: dict[str, int] = {}
        told = [
            (inspection.position(each.span.start).line, "not-read", sentence(each.says, names))
            for each in inspection.unread
        ]
        told += [(1, "not-checked", sentence(each.says)) for each in inspection.crashed]
        for line, rule, says in told:
            number = numbers[says] = numbers.get(says, 0) + 1
            self._entry(name, line, rule, says, "blocker", json.dumps([name, rule, says, number]))

    def end(self, _tally: Tally) -> None:
        self._write("\n]\n" if self._started else "[]\n")

    def _entry(self, name: str, line: int, rule: str, says: str, severity: str, mark: str) -> None:
        entry = {
            "description": visible(says),
            "check_name": rule,
            "fingerprint": fingerprint(mark),
            "severity": severity,
            "location": {"path": name, "lines": {"begin": line}},
        }
        self._write((",\n" if self._started else "[\n") + safe_json(json.dumps(entry)))
        self._started = True

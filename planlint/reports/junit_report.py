"""The report as JUnit XML, which most build servers show: a plan is a class, and each finding in it a failed case.

A sound plan is one case that passed. Findings below the grade that fails the run passed too, with their words as
output; those that a plan or a ledger accepts were skipped; what could not be read or checked is an error.
"""

from collections import Counter

from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspection_result import Inspection
from planlint.reports.safe_words import NamesGiven, measured, sentence, target, visible
from planlint.reports.tally import Tally, Write

_MARKUP = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&apos;", "#": "&#35;"})
"""A build server takes ``##name[`` for a word to it, wherever it stands in a log."""


class JunitReport:
    """One suite. Its head counts what is in it, so the cases are held until the end."""

    def __init__(self, write: Write, lowest: Grade = Grade.ADVICE) -> None:
        self._write = write
        self._lowest = lowest
        self._cases: list[str] = []
        self._named: Counter[tuple[str, str]] = Counter()
        self._counts = {"tests": 0, "failures": 0, "errors": 0, "skipped": 0}

    def add(self, name: str, inspection: Inspection) -> None:
        names = NamesGiven(inspection.source.text)
        for number, mistake in enumerate(inspection.unread, 1):
            place = inspection.position(mistake.span.start)
            # Where it stands is no part of a name: a line written above would make another test of it.
            title = "not read" if number == 1 else f"not read, mistake {number}"
            says = f"line {place.line}, column {place.column}: {sentence(mistake.says, names)}"
            self._case(name, title, "error", "not-read", says)
        for trouble in inspection.crashed:
            self._case(name, f"not checked: {trouble.what}", "error", "not-checked", sentence(trouble.says))
        for finding in inspection.told:
            what = "failure" if finding.grade >= self._lowest else "system-out"
            self._finding(name, inspection, finding, what)
        for finding in (*inspection.known, *inspection.accepted):
            self._finding(name, inspection, finding, "skipped")
        if inspection.whole and not (inspection.findings or inspection.known or inspection.accepted):
            self._case(name, "nothing found")

    def end(self, tally: Tally) -> None:
        for trouble in tally.troubles:
            self._case(
                "planlint", f"not checked: {trouble.what}", "error", "not-checked", sentence(trouble.says)
            )
        counts = " ".join(f'{word}="{number}"' for word, number in self._counts.items())
        self._write('<?xml version="1.0" encoding="UTF-8"?>\n')
        self._write(f'<testsuites name="planlint" {counts} time="0">\n')
        self._write(f'  <testsuite name="planlint" {counts} time="0">\n')
        for case in self._cases:
            self._write(case)
        self._write("  </testsuite>\n</testsuites>\n")

    def _finding(self, name: str, inspection: Inspection, finding: Finding, what: str) -> None:
        line = inspection.position(finding.span.start).line
        label, numbers = measured(finding, inspection.about.unit if inspection.about else "in")
        body = [f"line {line}: {sentence(finding.says, finding.parts)}", f"{label}: {numbers}"]
        body += (f"Do: {sentence(repair.says, finding.parts)}" for repair in finding.repairs)
        if finding.also:
            body.append(f"The same at {', '.join(each.place for each in finding.also)}.")
        body += (f"Also {each.rule}: {sentence(each.says, each.parts)}" for each in finding.beside)
        if finding.reason:
            body.append(f"Accepted: {finding.reason}")
        # No line in it: a server follows a case by its name, and lines move. Of several alike each has its number.
        place = f"joint {visible(finding.lasting)}" if finding.lasting else target(finding)
        title = f"{finding.rule} on {place}"
        self._named[name, title] += 1
        if self._named[name, title] > 1:
            title += f", no. {self._named[name, title]}"
        says = (
            f"{sentence(finding.says, finding.parts)} Accepted: {finding.reason}"
            if finding.reason
            else finding.says
        )
        self._case(name, title, what, f"{finding.grade.word} {finding.rule}", says, body)

    def _case(
        self,
        name: str,
        title: str,
        what: str | None = None,
        kind: str = "",
        says: str = "",
        body: list[str] | None = None,
    ) -> None:
        self._counts["tests"] += 1
        counted = {"failure": "failures", "error": "errors", "skipped": "skipped"}.get(what or "")
        if counted:
            self._counts[counted] += 1
        head = f'    <testcase classname="{_safe(name)}" name="{_safe(title)}" time="0"'
        if what is None:
            self._cases.append(f"{head}/>\n")
            return
        words = "\n".join(map(_safe, body or [says]))
        marks = {"system-out": "", "skipped": f' message="{_safe(says)}"'}
        mark = marks.get(what, f' type="{_safe(kind)}" message="{_safe(says)}"')
        inside = f"<{what}{mark}/>" if what == "skipped" else f"<{what}{mark}>{words}</{what}>"
        self._cases.append(f"{head}>{inside}</testcase>\n")


def _safe(words: str) -> str:
    """Words inside XML: no markup, and no character that XML has no place for."""
    return visible(words).translate(_MARKUP)

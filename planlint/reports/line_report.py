"""A line a finding, ``path:line:column: grade: what is wrong [rule]``: the usual shape of a compiler's complaints.

Editors and build servers put them beside the lines of a file.

The shape is that of the GNU Coding Standards, "Formatting Error Messages". In a path a colon before a digit is written
as ``\\x3a``, so that the first ``:NUMBER:NUMBER: `` of a line ends its path.
"""

from __future__ import annotations

import re

from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspection_result import Inspection
from planlint.reports.report_protocol import Write
from planlint.reports.safe_words import Names, inert, sentence, visible
from planlint.reports.tally import Tally
from planlint.text.source import Span

LEVELS = {Grade.STOP: "error", Grade.CAUTION: "warning", Grade.ADVICE: "note"}
_COLON = re.compile(r":(?=\d)")


class LineReport:
    """What is found, and what could not be read; what is accepted or known has no line, and a sound plan none."""

    def __init__(self, write: Write) -> None:
        self._write = write

    def add(self, name: str, inspection: Inspection) -> None:
        names = Names(inspection.source.text)
        for mistake in inspection.unread:
            self._line(name, inspection, mistake.span, "error", sentence(mistake.says, names), "not-read")
        for trouble in inspection.crashed:
            self._line(name, inspection, Span(0, 0), "error", sentence(trouble.says), "not-checked")
        for finding in inspection.told:
            self._line(name, inspection, finding.span, LEVELS[finding.grade], _says(finding), finding.rule)

    def end(self, _tally: Tally) -> None:
        """A line is whole in itself."""

    def _line(self, name: str, inspection: Inspection, span: Span, level: str, says: str, rule: str) -> None:
        place = inspection.position(span.start)
        path = _COLON.sub(r"\\x3a", visible(name))
        words = inert(f"{path}:{place.line}:{place.column}: {level}: {visible(says)} [{rule}]")
        self._write(f"{words}\n")


def _says(finding: Finding) -> str:
    do = [f"Do: {sentence(repair.says, finding.parts)}" for repair in finding.repairs[:1]]
    return " ".join([sentence(finding.says, finding.parts), *do])

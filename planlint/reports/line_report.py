"""A line a finding, ``path:line:column: grade: what is wrong [rule]``: the usual shape of a compiler's complaints.

Editors and build servers put them beside the lines of a file.

The shape is that of the GNU Coding Standards, "Formatting Error Messages". In a path a colon before a digit is written
as ``\\x3a``, so that the first ``:NUMBER:NUMBER: `` of a line ends its path.
"""

import re

from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspection_result import Inspection
from planlint.reports.safe_words import NamesGiven, inert, sentence, visible
from planlint.reports.tally import Tally, Write
from planlint.text.source import Span

_LEVELS = {Grade.STOP: "error", Grade.CAUTION: "warning", Grade.ADVICE: "note"}
_COLON = re.compile(r":(?=\d)")


class LineReport:
    """What is found, what a plan accepts, and what could not be read; what is known has no line, a sound plan none."""

    def __init__(self, write: Write) -> None:
        self._write = write

    def add(self, name: str, inspection: Inspection) -> None:
        names = NamesGiven(inspection.source.text)
        for mistake in inspection.unread:
            self._line(name, inspection, mistake.span, "error", sentence(mistake.says, names), "not-read")
        for trouble in inspection.crashed:
            self._line(name, inspection, Span(0, 0), "error", sentence(trouble.says), "not-checked")
        for finding in inspection.told:
            self._line(
                name, inspection, finding.span, _LEVELS[finding.grade], told_in_a_line(finding), finding.rule
            )
        for finding in inspection.accepted:
            self._line(name, inspection, finding.span, "note", accepted(finding), finding.rule)

    def end(self, _tally: Tally) -> None:
        """A line is whole in itself."""

    def _line(self, name: str, inspection: Inspection, span: Span, level: str, says: str, rule: str) -> None:
        place = inspection.position(span.start)
        path = _COLON.sub(r"\\x3a", visible(name))
        words = inert(f"{path}:{place.line}:{place.column}: {level}: {visible(says)} [{rule}]")
        self._write(f"{words}\n")


def accepted(finding: Finding) -> str:
    """An accepted finding in one line, with the reason."""
    why = f", because {finding.reason}" if finding.reason else ""
    return f"Accepted{why}: {sentence(finding.says, finding.parts)}"


def told_in_a_line(finding: Finding) -> str:
    """What is wrong, and the first thing to do."""
    do = [f"Do: {sentence(repair.says, finding.parts)}" for repair in finding.repairs[:1]]
    return " ".join([sentence(finding.says, finding.parts), *do])

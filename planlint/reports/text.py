"""The builder's report: by plan, then by joint; one sentence each, then the numbers, then what to do."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspect import Inspection
from planlint.reports.page import Page, visible
from planlint.reports.tally import Tally
from planlint.text.measures import degrees, length
from planlint.text.source import Span

_STYLES = {Grade.STOP: "bold red", Grade.CAUTION: "bold yellow", Grade.ADVICE: "bold cyan"}
_MOST_MARKED = 100_000
"""Longest line of a plan, in characters, of which a piece is shown."""


def write_inspection(page: Page, inspection: Inspection) -> None:
    """One plan's part of the report."""
    _head(page, inspection)
    for mistake in inspection.unread:
        page.blank()
        page.graded("NOT READ", _place_words(inspection, mistake.span), style="bold magenta")
        page.prose(sentence(mistake.says), indent=4)
        _mark(page, inspection, mistake.span)
    for trouble in inspection.crashed:
        page.blank()
        page.graded("NOT CHECKED", visible(trouble.what), style="bold magenta")
        page.prose(sentence(trouble.says), indent=4)
    for heading, findings in _by_joint(inspection.findings):
        page.blank()
        page.heading(heading)
        for number, finding in enumerate(findings):
            if number:
                page.blank()
            _write_finding(page, inspection, finding)
    if not inspection.sound:
        page.blank()
    page.flush()


def write_summary(page: Page, tally: Tally) -> None:
    """The last line of the report."""
    counts = ", ".join(f"{count} {grade.word}" for grade, count in tally.by_grade.items())
    if tally.sound == tally.plans:
        page.blank()
    words = f"{_count(tally.plans, 'plan')}: {counts}"
    if tally.accepted:
        words += f"; {_count(tally.accepted, 'finding')} accepted by the plans themselves"
    if tally.unread:
        words += f"; {_count(tally.unread, 'plan')} not read or not inspected whole"
    page.prose(words + ".", style="bold")
    page.flush()


def _head(page: Page, inspection: Inspection) -> None:
    path = "standard input" if inspection.path == "-" else visible(inspection.path)
    about = inspection.about
    behind = visible(about.title) if about else ""
    if inspection.sound and about:
        behind += ": " if behind else ""
        behind += f"nothing found in {_count(about.parts, 'part')} and {_count(about.joins, 'joint')}"
        if inspection.accepted:
            behind += f", {len(inspection.accepted)} accepted"
    page.heading(path, behind)
    if not inspection.sound:
        page.rule(len(path) + 2 + len(behind) if behind else len(path))


def _by_joint(findings: Iterable[Finding]) -> Iterable[tuple[str, list[Finding]]]:
    groups: dict[str, list[Finding]] = {}
    for finding in findings:
        if finding.joint:
            heading = f"Joint {visible(finding.joint)}"
        elif finding.parts:
            names = dict.fromkeys(finding.parts)
            heading = f"{'Part' if len(names) == 1 else 'Parts'} {', '.join(map(visible, names))}"
        else:
            heading = "The whole piece"
        groups.setdefault(heading, []).append(finding)
    return groups.items()


def _write_finding(page: Page, inspection: Inspection, finding: Finding) -> None:
    page.graded(finding.grade.word.upper(), finding.rule, style=_STYLES[finding.grade])
    page.prose(sentence(finding.says, finding.parts), indent=4)
    _mark(page, inspection, finding.span)
    _write_numbers(page, finding, inspection.about.unit if inspection.about else "in")
    for repair in finding.repairs:
        page.labelled("Do", sentence(repair.says, finding.parts))


def _write_numbers(page: Page, finding: Finding, plan_unit: str) -> None:
    limit = None if finding.limit is None else quantity(finding.limit, finding.unit, plan_unit)
    if finding.measured is not None:
        measured = quantity(finding.measured, finding.unit, plan_unit)
        page.labelled(
            "Measured",
            f"{measured}; limit {limit} ({finding.basis})" if limit else f"{measured} ({finding.basis})",
        )
    elif limit:
        page.labelled("Limit", f"{limit} ({finding.basis})")
    else:
        page.labelled("Basis", finding.basis)


def quantity(value: float, unit: str | None, plan_unit: str = "in") -> str:
    """A measured value as a builder reads it: lengths in the plan's own unit."""
    if unit == "in":
        return length(value, plan_unit)
    if unit in {"degree", "degrees"}:
        return degrees(value)
    number = f"{round(value, 3):g}"
    if not unit:
        return number
    return f"{number} {unit.removesuffix('s') if number == '1' and ' ' not in unit else unit}"


def sentence(words: str, names: Collection[str] = ()) -> str:
    """With a capital in front and a stop behind, if it is ordinary words; one of ``names`` keeps its spelling."""
    words = words.strip()
    first = words.split(" ", 1)[0]
    if first.isalpha() and first.islower() and first not in names:
        words = words[0].upper() + words[1:]
    return words if words.endswith((".", "!", "?", ":")) else words + "."


def _place_words(inspection: Inspection, span: Span) -> str:
    if not inspection.source.text:
        return "the whole file"
    place = inspection.position(span.start)
    return f"line {place.line}, column {place.column}"


def _mark(page: Page, inspection: Inspection, span: Span) -> None:
    source = inspection.source
    if not source.text:
        return
    place = inspection.position(span.start)
    line = source.line(place.line)
    start = place.column - 1
    end = start + max(1, span.end - span.start)
    if len(line) > _MOST_MARKED:  # A hostile line: only the piece around the mark is worth measuring.
        first = max(0, start - 500)
        line, start, end = line[first : first + 2000], start - first, end - first
    page.marked(f"Line {place.line}", line, start, end)


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"

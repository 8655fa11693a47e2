"""The builder's report: by plan, then by joint; one sentence each, then the numbers, then what to do."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from io import StringIO

from planlint.collection.collection_root import portable
from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspection_result import Inspection, Trouble, our_fault
from planlint.reports.count_table import write_owners, write_table
from planlint.reports.numbered_names import ordered_by_number, runs_of
from planlint.reports.page_layout import Page
from planlint.reports.safe_words import NamesGiven, count, measured, path_words, sentence, target, visible
from planlint.reports.tally import Tally, Write, touches
from planlint.text.grouping import grouped
from planlint.text.source import Mistake, PlanText, Span

_STYLES = {Grade.STOP: "bold red", Grade.CAUTION: "bold yellow", Grade.ADVICE: "bold cyan"}
_MOST_MARKED = 100_000
"""Longest line of a plan, in characters, of which a piece is shown."""


_MOST_ACCEPTED = 50
"""Accepted findings that are told, with their reasons, at the end. Basis: own judgement."""
MOST_UNREAD = 50
"""Plans that were not read, told again at the end. Basis: own judgement."""


class TextReport:
    """The whole report. ``sound_too``: also plans in which nothing was found, which of a collection are most.
    ``in_full`` says of which plans findings are told in full; of the others each has one line."""

    def __init__(
        self,
        write: Write | None = None,
        *,
        explain: bool = False,
        sound_too: bool = True,
        in_full: Callable[[Inspection], bool] = lambda _: True,
    ) -> None:
        """To ``write``, or to standard output. ``explain`` also tells what each joint was found to be."""
        self._page = Page(_Written(write) if write else None)
        self._explain = explain
        self._brief = not sound_too
        self._in_full = in_full
        self._unread: list[str] = []
        self._accepted: list[str] = []
        self._more_accepted = 0
        self.status = 0
        """2 where something that was asked for could not be told."""

    def add(self, name: str, inspection: Inspection) -> None:
        if name != inspection.path:  # One name in every form.
            inspection = replace(inspection, path=name)
        if not inspection.whole:
            self._unread.append(inspection.path)
        for finding in inspection.accepted:
            if len(self._accepted) < _MOST_ACCEPTED:
                self._accepted.append(_accepted_line(inspection, finding))
            else:
                self._more_accepted += 1
        in_full = self._in_full(inspection)
        if not (self._brief and inspection.sound):
            if in_full:
                write_inspection(self._page, inspection, name)
            else:
                write_brief(self._page, inspection)
        if self._explain and inspection.piece:
            from planlint.reports.joint_explanations import write_joints  # noqa: PLC0415 - not in a usual run

            try:
                write_joints(self._page, inspection.piece)
            except Exception as problem:
                self._page.prose(our_fault("explaining the joints", problem).says)
                self.status = 2

    def end(self, tally: Tally) -> None:
        if tally.plans > 1 and tally.by_rule:
            write_table(self._page, tally)
        if any(tally.by_owner):
            write_owners(self._page, tally)
        self._told(self._accepted, f"and {self._more_accepted} more accepted" if self._more_accepted else "")
        for file in tally.touched:
            self._page.gap()
            self._page.prose(sentence(touches(file)))
        self._told([f"This entry of the ledger no longer matches: {entry}" for entry in tally.unmatched])
        for trouble in tally.troubles:
            self._page.gap()
            self._page.prose(f"NOT CHECKED: {visible(trouble.what)}: {sentence(trouble.says)}")
        if tally.plans > 1:  # Of hundreds of plans these would be lost far above.
            unread = [
                f"not read or not inspected whole: {visible(path)}" for path in self._unread[:MOST_UNREAD]
            ]
            more = len(self._unread) - MOST_UNREAD
            self._told(unread, f"and {more} more" if more > 0 else "")
        write_summary(self._page, tally, brief=self._brief)

    def _told(self, lines: Sequence[str], more: str = "") -> None:
        """Lines that programs may look for, with a space before them."""
        if lines:
            self._page.gap()
        for words in lines:
            self._page.line(words)
        if more:
            self._page.prose(more)


def _accepted_line(inspection: Inspection, finding: Finding) -> str:
    line = inspection.position(finding.span.start).line
    path = path_words(inspection.path)
    reason = f": {visible(finding.reason)}" if finding.reason else ", without a reason"
    return f"{path}, line {line}: {finding.rule} on {visible(finding.place) or 'the whole piece'} is accepted{reason}"


class _Written(StringIO):
    """A file for a page that hands on what is written to it."""

    def __init__(self, write: Write) -> None:
        super().__init__()
        self._hand_on = write

    def write(self, words: str) -> int:
        self._hand_on(words)
        return len(words)


def write_inspection(page: Page, inspection: Inspection, name: str | None = None) -> None:
    """One plan's part of the report, under a ``name``; else under its path."""
    _head(page, inspection, portable(inspection.path) if name is None else name)
    names = NamesGiven(inspection.source.text)
    write_unread(page, inspection.source, inspection.unread, inspection.crashed)
    for heading, findings in _by_joint(inspection.told):
        page.blank()
        page.heading(heading)
        for number, finding in enumerate(findings):
            if number:
                page.blank()
            _write_finding(page, inspection, finding, names)
            _write_beside(page, finding, names)
            if finding.also:
                page.labelled("Also", places_told(inspection, finding.also))
    if not inspection.sound:
        page.blank()
    page.flush()


def write_unread(
    page: Page,
    source: PlanText,
    unread: Iterable[Mistake],
    troubles: Iterable[Trouble],
    heads: tuple[str, str] = ("NOT READ", "NOT CHECKED"),
) -> None:
    """The mistakes in a text, each at its place, and what could not be done with it."""
    names = NamesGiven(source.text)
    for mistake in unread:
        page.blank()
        page.graded(heads[0], _place_words(source, mistake.span), style="bold magenta")
        page.prose(sentence(mistake.says, names), indent=4)
        _mark(page, source, mistake.span)
    for trouble in troubles:
        page.blank()
        page.graded(heads[1], visible(trouble.what), style="bold magenta")
        page.prose(sentence(trouble.says), indent=4)


MOST_BESIDE = 2
"""Findings of one rule that are told in full where they follow from another: more are counted (our own judgement)."""


def _write_beside(page: Page, finding: Finding, names: NamesGiven) -> None:
    """What follows from a finding, by rule."""
    said = dict.fromkeys((each.rule, each.says) for each in finding.beside)
    for rule, each in grouped((rule, sentence(says, names)) for rule, says in said).items():
        first = each if len(each) <= MOST_BESIDE + 1 else each[:MOST_BESIDE]
        for says in first:
            page.labelled("Also", f"{rule}: {says}")
        if left := len(each) - len(first):
            page.labelled("Also", f"{rule} {left} times more.")


def write_brief(page: Page, inspection: Inspection) -> None:
    """One line for each finding and mistake; one for a plan in which there are none."""
    path = path_words(inspection.path)
    names = NamesGiven(inspection.source.text)
    if inspection.sound:
        page.line(
            f"{path}: {', '.join(['nothing new' if inspection.known else 'nothing found', *_kept(inspection)])}"
        )
    for mistake in inspection.unread:
        place = inspection.position(mistake.span.start)
        page.line(f"{path}, line {place.line}: NOT READ: {sentence(mistake.says, names)}")
    for trouble in inspection.crashed:
        page.line(f"{path}: NOT CHECKED: {visible(trouble.what)}: {sentence(trouble.says)}")
    for finding in inspection.told:
        line = inspection.position(finding.span.start).line
        more = f" (and at {count(len(finding.also), 'more place')})" if finding.also else ""
        says = sentence(finding.says, names)
        page.line(f"{path}, line {line}: {finding.grade.word.upper()} {finding.rule}: {says}{more}")
    page.flush()


def write_summary(page: Page, tally: Tally, *, brief: bool = False) -> None:
    """The last line of the report."""
    counts = ", ".join(f"{number} {grade.word}" for grade, number in tally.by_grade.items())
    page.gap()
    words = f"{count(tally.plans, 'plan')}: {counts}"
    if brief:
        words += f"; {tally.sound} sound"
        if tally.nothing_new:
            words += f", {tally.nothing_new} with nothing new"
    besides = (
        (tally.known, "finding", "known from the ledger"),
        (tally.accepted, "finding", "accepted by the plans themselves"),
        (tally.unread, "plan", "not read or not inspected whole"),
        (len(tally.troubles), "own rule", "not checked"),
        (tally.paths, "path", "could not be read"),
    )
    words += "".join(f"; {count(many, what)} {how}" for many, what, how in besides if many)
    page.prose(words + ".", style="bold")
    page.flush()


def _head(page: Page, inspection: Inspection, name: str) -> None:
    path = path_words(name)
    about = inspection.about
    told: list[str] = []
    if inspection.sound and about:
        whole = f"nothing found in {count(about.parts, 'part')} and {count(about.joins, 'joint')}"
        told.append("nothing new" if inspection.known else whole)
    elif inspection.findings:
        # In a long report the few that stop the work are looked for first.
        grades = [finding.grade for finding in inspection.told]
        told += [f"{grades.count(grade)} {grade.word}" for grade in reversed(Grade) if grade in grades]
    if told:
        told += _kept(inspection)
    behind = ": ".join(filter(None, [visible(about.title) if about else "", ", ".join(told)]))
    page.heading(path, behind)
    if not inspection.sound:
        page.rule(len(path) + 2 + len(behind) if behind else len(path))


def _kept(inspection: Inspection) -> list[str]:
    """How many findings the ledger knows, and how many a sound plan accepts."""
    accepted = len(inspection.accepted) if inspection.sound else 0
    counts = ((len(inspection.known), "known"), (accepted, "accepted"))
    return [f"{number} {word}" for number, word in counts if number]


def _by_joint(findings: Iterable[Finding]) -> Iterable[tuple[str, list[Finding]]]:
    headed = ((target(finding), finding) for finding in findings)
    return grouped((heading[0].upper() + heading[1:], finding) for heading, finding in headed).items()


def places_told(inspection: Inspection, findings: Sequence[Finding]) -> str:
    """Every joint that has the same fault, by line."""
    lines = grouped(
        (inspection.position(each.span.start).line, each.joint or " and ".join(each.parts))
        for each in findings
    )
    told = "; ".join(
        f"{', '.join(runs_of(ordered_by_number(each)))} (line {line})" for line, each in lines.items()
    )
    what = "more joint" if all(each.joint for each in findings) else "more place"
    places = {place for each in lines.values() for place in each}
    return f"the same in {count(len(places), what)}: {told}."


def _write_finding(page: Page, inspection: Inspection, finding: Finding, names: NamesGiven) -> None:
    page.graded(finding.grade.word.upper(), finding.rule, style=_STYLES[finding.grade])
    page.prose(sentence(finding.says, names), indent=4)
    _mark(page, inspection.source, finding.span)
    page.labelled(*measured(finding, inspection.about.unit if inspection.about else "in"))
    for repair in finding.repairs:
        page.labelled("Do", sentence(repair.says, names))


def _place_words(source: PlanText, span: Span) -> str:
    if not source.text:
        return "the whole file"
    place = source.position(span.start)
    return f"line {place.line}, column {place.column}"


def _mark(page: Page, source: PlanText, span: Span) -> None:
    if not source.text:
        return
    place = source.position(span.start)
    line = source.line(place.line)
    start = place.column - 1
    end = start + span.end - span.start
    if len(line) > _MOST_MARKED:  # A hostile line: only the piece around the mark is worth measuring.
        first = max(0, start - 500)
        line, start, end = line[first : first + 2000], start - first, end - first
    page.marked(f"Line {place.line}", line, start, end)

"""A summary as Markdown, fit for a merge request: the verdict, a table of rules, the first findings and what to do."""

import re

from planlint.findings.finding import Finding, Grade
from planlint.inspection.inspection_result import Inspection
from planlint.reports.safe_words import NamesGiven, count, sentence, visible
from planlint.reports.tally import NOBODY, Tally, Write, touches

MOST_ROWS = 50
"""Findings told in full; a reader of a merge request looks at no more. Basis: own judgement."""
_MARKS = str.maketrans(
    {mark: f"\\{mark}" for mark in "\\`*_[]<>|~$"} | {"&": "&amp;", "@": "@&#8203;", "#": "#&#8203;"}
)
"""``@name`` would call somebody and ``#1`` another request: a space of no width keeps them apart."""
_NO_CODE = re.compile(r"[`|\\#@<>]|::|://|^$")


class MarkdownReport:
    """The worst findings first, as many as ``MOST_ROWS``; plans that could not be read before them."""

    def __init__(self, write: Write, lowest: Grade = Grade.ADVICE) -> None:
        self._write = write
        self._lowest = lowest
        self._accepted: list[str] = []
        self._accepted_newly = False
        self._more_accepted = 0
        self._findings: list[tuple[int, int, str]] = []
        self._unread: list[str] = []
        self._number = 0

    def add(self, name: str, inspection: Inspection) -> None:
        names = NamesGiven(inspection.source.text)
        for mistake in inspection.unread:
            line = inspection.position(mistake.span.start).line
            says = sentence(mistake.says, names)
            self._keep_unread(f"| {code(name)} | {line} | {escaped(says)} |")
        for trouble in inspection.crashed:
            self._keep_unread(f"| {code(name)} | | {escaped(sentence(trouble.says))} |")
        for finding in inspection.told:
            self._number += 1
            self._findings.append((-finding.grade, self._number, _row(name, inspection, finding)))
        newly = inspection.newly_accepted
        self._accepted_newly |= newly is not None
        for finding in inspection.accepted if newly is None else newly:
            if len(self._accepted) < MOST_ROWS:
                self._accepted.append(_accepted_row(name, inspection, finding))
            else:
                self._more_accepted += 1
        if len(self._findings) > 20 * MOST_ROWS:
            self._findings = sorted(self._findings)[:MOST_ROWS]

    def _keep_unread(self, row: str) -> None:
        if len(self._unread) < MOST_ROWS:
            self._unread.append(row)

    def end(self, tally: Tally) -> None:
        found = sum(tally.by_grade.values())
        none = "nothing new" if tally.known else "nothing found"
        if not tally.whole:
            none = "not everything inspected"
        for trouble in tally.troubles:
            self._keep_unread(f"| all | | {escaped(sentence(trouble.says))} |")
        lines = [
            f"## planlint: {count(found, 'finding') if found else none}",
            "",
            _verdict(tally, self._lowest),
            "",
            _counts(tally),
            "",
        ]
        for file in tally.touched:
            lines += [f"**{escaped(sentence(touches(file)))}**", ""]
        if tally.by_rule:
            lines += ["| grade | rule | findings | plans |", "|---|---|---:|---:|"]
            lines += [
                f"| {grade.word} | {code(rule)} | {findings} | {plans} |"
                for rule, grade, findings, plans in tally.rows()
            ]
            lines.append("")
        if any(tally.by_owner):
            lines += ["| owner | findings | plans |", "|---|---:|---:|"]
            lines += [
                f"| {escaped(owner or NOBODY)} | {found} | {plans} |"
                for owner, found, plans in tally.owners()
            ]
            lines.append("")
        if self._unread:
            lines += [
                "### Not read or not inspected whole",
                "",
                "| plan | line | what is wrong |",
                "|---|---:|---|",
            ]
            lines += [*self._unread, ""]
            if len(self._unread) == MOST_ROWS:
                lines += [f"These are the first {MOST_ROWS}.", ""]
        if self._findings:
            lines += [
                "### Findings",
                "",
                "| grade | plan | line | joint or parts | rule | what is wrong | what to do |",
                "|---|---|---:|---|---|---|---|",
            ]
            rows = [row for _, _, row in sorted(self._findings)[:MOST_ROWS]]
            lines += [*rows, ""]
            if found > len(rows):
                lines += [f"These are the first {len(rows)} of {found}, the worst grade first.", ""]
        if self._accepted:
            newly = "Newly accepted" if self._accepted_newly else "Accepted by the plans themselves"
            lines += [
                f"### {newly}",
                "",
                "| plan | joint or parts | rule | what | reason |",
                "|---|---|---|---|---|",
            ]
            lines += [*self._accepted, ""]
            if self._more_accepted:
                lines += [f"And {self._more_accepted} more.", ""]
        if tally.unmatched:
            lines += ["### Entries of the ledger that no longer match", ""]
            lines += [*(f"- {code(entry)}" for entry in tally.unmatched[:MOST_ROWS]), ""]
        self._write("\n".join(lines))


def _verdict(tally: Tally, lowest: Grade) -> str:
    status = tally.exit_status(lowest)
    if status == 2:
        return "**Not everything could be inspected: mend what could not be read first.**"
    words = "" if lowest is Grade.ADVICE else f" of grade {lowest.word} or worse"
    if status:
        number = sum(found for grade, found in tally.by_grade.items() if grade >= lowest)
        return f"**Fails: {count(number, 'finding')}{words} to mend or to accept.**"
    return f"**Passes: nothing {'new' if tally.known else 'found'}{words}.**"


def _counts(tally: Tally) -> str:
    new = f", {tally.nothing_new} with nothing new" if tally.nothing_new else ""
    words = [f"{count(tally.plans, 'plan')} inspected, {tally.sound} sound{new}"]
    words += [f"{number} {grade.word}" for grade, number in tally.by_grade.items()]
    if tally.accepted:
        words.append(f"{tally.accepted} accepted by the plans themselves")
    if tally.known:
        words.append(f"{tally.known} known from the ledger")
    if tally.unread:
        words.append(f"**{count(tally.unread, 'plan')} not read or not inspected whole**")
    if tally.troubles:
        words.append(f"**{count(len(tally.troubles), 'own rule')} not checked**")
    if tally.paths:
        words.append(f"**{count(tally.paths, 'path')} could not be read**")
    return "; ".join(words) + "."


def _row(name: str, inspection: Inspection, finding: Finding) -> str:
    line = inspection.position(finding.span.start).line
    more = f" The same at {', '.join(each.place for each in finding.also)}." if finding.also else ""
    says = escaped(sentence(finding.says, finding.parts) + more)
    place = escaped(finding.place) or "the whole piece"
    do = escaped(" ".join(sentence(repair.says, finding.parts) for repair in finding.repairs))
    return (
        f"| {finding.grade.word} | {code(name)} | {line} | {place} | {code(finding.rule)} | {says} | {do} |"
    )


def _accepted_row(name: str, inspection: Inspection, finding: Finding) -> str:
    says, reason = escaped(sentence(finding.says, finding.parts)), escaped(finding.reason or "none given")
    line = inspection.position(finding.span.start).line
    place = escaped(finding.place) or "the whole piece"
    return f"| {code(name)}, line {line} | {place} | {code(finding.rule)} | {says} | {reason} |"


def escaped(words: str) -> str:
    """Words that Markdown shows as they are: no markup, no link, nobody called."""
    shown = visible(words).translate(_MARKS)
    return shown.replace("://", ":&#8203;//").replace("www.", "www&#8203;.")


def code(words: str) -> str:
    """Words as code in a table; as any others where something in them might be more than words, there or in a log."""
    plain = words.isprintable() and words.strip() == words and not _NO_CODE.search(words)
    return f"`{words}`" if plain else escaped(words)

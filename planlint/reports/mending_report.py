"""What was mended, or could be: each change as the plan has it now and as it reads then, with its reason."""

from collections.abc import Iterator
from typing import Any, NamedTuple

from planlint.inspection.inspection_result import Inspection
from planlint.language.plain_lines import line_at
from planlint.repairs.mended_plan import Mending, MendStep, RepairMade
from planlint.repairs.open_choices import Choices
from planlint.reports.json_report import plan_entry
from planlint.reports.line_difference import write_difference
from planlint.reports.page_layout import Page
from planlint.reports.safe_words import count, sentence, visible
from planlint.reports.text_report import places_told
from planlint.text.edits import TextEdit, apply, before
from planlint.text.grouping import grouped
from planlint.text.measures import listed
from planlint.text.source import Span


class Passage(NamedTuple):
    """Lines that change: the number of the first (from 1), how they read now, and how they read then."""

    line: int
    now: tuple[str, ...]
    then: tuple[str, ...]


def passages(text: str, edits: tuple[TextEdit, ...]) -> Iterator[Passage]:
    """The lines of a text that edits change, in order; lines side by side are one passage."""
    groups: list[tuple[int, int, list[TextEdit]]] = []
    for edit in sorted(set(edits)):
        start, _, end = line_at(text, Span(edit.span.start, max(edit.span.start, edit.span.end - 1)))
        if groups and start < groups[-1][1]:
            first, last, inside = groups.pop()
            groups.append((first, max(last, end), [*inside, edit]))
        else:
            groups.append((start, end, [edit]))
    for start, end, inside in groups:
        moved = [TextEdit(Span(e.span.start - start, e.span.end - start), e.new) for e in inside]
        now, then = text[start:end].splitlines(), apply(text[start:end], moved).splitlines()
        line = text.count("\n", 0, start) + 1
        while now and then and now[0] == then[0]:
            now, then, line = now[1:], then[1:], line + 1
        while now and then and now[-1] == then[-1]:
            now, then = now[:-1], then[:-1]
        if now or then:
            yield Passage(line, tuple(now), tuple(then))


def write_change(page: Page, inspection: Inspection, change: RepairMade) -> None:
    """One change: why, what is done, the lines now and then, and what else they stand for."""
    first = change.findings[0]
    names = first.joint or ", ".join(dict.fromkeys(first.parts))
    rules = ", ".join(dict.fromkeys(finding.rule for finding in change.findings))
    page.blank()
    page.graded(first.grade.word.upper(), f"{rules}: {visible(names)}", style="bold")
    alike = grouped(((finding.rule, finding.kind), finding) for finding in change.findings)
    for why, *others in list(alike.values())[:2]:
        more = f" The same in {count(len(others), 'more place')}." if others else ""
        page.labelled("Why", f"{sentence(why.says, why.parts)}{more}")
    page.labelled("Repair", sentence(change.repair.says, first.parts))
    for passage in passages(inspection.source.text, change.edits):
        write_difference(page, *passage)
    if change.also:
        more = listed([*map(visible, change.also)], most=12)
        page.labelled("Also", f"The same words stand for {more}: that is right there too.")


def write_left(page: Page, after: Inspection, choices: Choices) -> None:
    """What nobody but the builder can mend, with the changes to choose from, or what the tool suggests."""
    if not after.findings:
        return
    page.blank()
    page.prose("Left for you to mend:", style="bold")
    for finding in after.told:
        names = finding.joint or ", ".join(dict.fromkeys(finding.parts))
        page.graded(finding.grade.word.upper(), f"{finding.rule}: {visible(names)}", style="bold")
        ways = choices.get(finding.identity, ())
        for way in ways:
            page.labelled("Choice", sentence(way.repair.says, finding.parts))
            for passage in passages(after.source.text, way.edits):
                write_difference(page, *passage)
        for repair in finding.repairs if len(ways) < 2 else ():  # One change alone is no choice.
            page.labelled("Suggestion", sentence(repair.says, finding.parts))
        if finding.also:
            page.labelled("Also", places_told(after, finding.also))


def mended_entry(mending: Mending, choices: Choices, *, written: bool) -> dict[str, Any]:
    """One plan's entry in the report for programs. Lines are those of the plan as it was read."""
    changes = []
    for number, step, change in mending.changes:
        first = change.findings[0]
        changes.append(
            {
                "rules": list(dict.fromkeys(finding.rule for finding in change.findings)),
                "grade": first.grade.word,
                "joint": first.joint,
                "parts": list(first.parts),
                "why": first.says,
                "says": change.repair.says,
                "sure": change.repair.sure,
                "also": list(change.also),
                "step": number + 1,
                "passages": _passages(mending, mending.steps[:number], step.before, change),
            }
        )
    left = plan_entry(mending.before.path, mending.after)
    for finding, entry in zip(mending.after.told, left["findings"], strict=True):
        entry["choices"] = [
            {"says": way.repair.says, "passages": _passages(mending, mending.steps, mending.after, way)}
            for way in choices.get(finding.identity, ())
        ]
    return {
        "path": mending.before.path,
        "inspections": mending.inspections,
        "written": written,
        "changes": changes,
        "left": left["findings"],
        "unread": left["unread"],
    }


def _passages(
    mending: Mending, steps: tuple[MendStep, ...], inspection: Inspection, change: RepairMade
) -> list[dict[str, Any]]:
    """What changes, each passage with the number that its line had before all steps."""
    starts = inspection.source.line_starts

    def line_before(line: int) -> int:
        offset = starts[min(line, len(starts)) - 1]
        for step in reversed(steps):
            offset = before(offset, [edit for each in step.changes for edit in each.edits])
        return mending.before.position(offset).line

    return [
        {"line": line_before(each.line), "now": list(each.now), "then": list(each.then)}
        for each in passages(inspection.source.text, change.edits)
    ]

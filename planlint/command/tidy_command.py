"""``planlint tidy``: plans in one layout, written only where they are proved to say the same as before."""

import argparse
import sys
from collections.abc import Sequence

from planlint.command.inspect_options import add_plans
from planlint.command.mend_command import each_file
from planlint.command.missing_rules import without_own
from planlint.command.stderr_notes import tell
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.inspection.plan_files import STANDARD_INPUT, Refused, read_plan_file
from planlint.inspection.used_files import settings_in_force
from planlint.language.tidy_layout import tidied
from planlint.model.plan_comparison import comparable
from planlint.reports.line_difference import differences
from planlint.reports.page_layout import Page
from planlint.reports.safe_words import count, inert, visible
from planlint.text.atomic_replace import NotReplaced, replace_file
from planlint.text.source import PlanText


def add_words(parser: argparse.ArgumentParser) -> None:
    add_plans(parser)
    parser.add_argument(
        "--check", action="store_true", help="write nothing; the exit status is 1 if a plan is not tidy"
    )
    parser.set_defaults(run=lambda call: tidy_paths(call.plans, check=call.check))


def tidy_paths(paths: Sequence[str], *, check: bool) -> int:
    """Tidy plans one after the other; returns the exit status.

    0 all are tidy (now), 1 with ``check`` one is not, 2 one could not be read, proved or written.
    """
    status = 0
    for path, within in each_file(paths):
        read = read_plan_file(path) if isinstance(path, str) else path
        if isinstance(read, Refused):
            _say(read.path, f"was not read: {read.says}")
            status = 2
        else:
            status = max(status, _one(read, within, check=check))
    return status


def _one(source: PlanText, within: str | None, *, check: bool) -> int:
    straight = source.path == STANDARD_INPUT
    new, trouble = _proved(source)
    if straight and not check:
        sys.stdout.flush()
        sys.stdout.buffer.write(new.to_bytes())
        sys.stdout.buffer.flush()
    if trouble:
        _say(source.path, trouble)
        return 2
    if new.text == source.text:
        return 0
    if check:
        print(f"{'standard input' if straight else inert(visible(source.path))} is not tidy")
        _show_first(source, new)
        return 1
    if straight:
        return 0
    try:
        replace_file(source.path, source.to_bytes(), new.to_bytes(), within)
    except NotReplaced as problem:
        _say(source.path, f"was left as it is: {problem}")
        return 2
    print(f"{inert(visible(source.path))} is tidy now")
    return 0


def _proved(source: PlanText) -> tuple[PlanText, str]:
    """The tidy text, or the text as it is and what stood in the way."""
    try:
        settings = without_own(settings_in_force(source.path, source))
    except ValueError as problem:
        return source, f"was left as it is: {problem}"
    before = inspect_text(source, settings)
    if not before.whole or before.piece is None:
        if before.unread:
            place = before.position(before.unread[0].span.start).line
            return (
                source,
                f"was left as it is, since it cannot be read: line {place}: {before.unread[0].says}",
            )
        trouble = before.crashed[0].says if before.crashed else "it cannot be inspected"
        return source, f"was left as it is: {trouble}"
    new = PlanText(source.path, tidied(source), source.byte_order_mark)
    if new.text == source.text:
        return source, ""
    after = inspect_text(new, settings)
    if after.piece is None or not after.whole or _meaning(before) != _meaning(after):
        return source, "was left as it is: tidied, it would not say the same; this is a fault of planlint"
    return new, ""


def _show_first(source: PlanText, new: PlanText) -> None:
    """The first line that tidying changes, and how many more there are."""
    page = Page()
    rows = differences(1, source.text.splitlines(), new.text.splitlines())
    first = next(rows, None)
    if first is None:
        page.prose("its line ends differ", indent=4)
    else:
        page.lines([row._replace(line=_with_white(row.line)) for row in first])
        more = sum(1 for _ in rows)
        if more:
            page.prose(f"and {count(more, 'more place')}", indent=4)
    page.flush()


def _with_white(line: str) -> str:
    """A line with the white space shown that nobody sees."""
    bare = line.rstrip()
    told = bare.replace("\t", "(tab)")
    return f"{told}(spaces)" if bare != line else told


def _say(path: str, words: str) -> None:
    sys.stdout.flush()
    tell(f"{'standard input' if path == STANDARD_INPUT else path} {words}")


# ---------------------------------------------------------------- the meaning of a plan


def _meaning(inspection: Inspection) -> object:
    """All that a plan says and all that is found in it, without the places in its text."""
    assert inspection.piece is not None
    found = sorted(
        (each.rule, each.joint or "", each.parts, each.says, each.measured or 0.0)
        for each in (*inspection.findings, *inspection.accepted)
    )
    return comparable(inspection.piece.plan), found

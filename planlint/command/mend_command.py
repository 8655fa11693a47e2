"""``planlint mend``: show repairs that are proved, ask, and write them into the plan."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Sequence
from typing import NamedTuple

from planlint.budget.alarm import TimeSpent
from planlint.collection.collection_root import find_root
from planlint.collection.discovery import discover
from planlint.command.change_page import add_page, check_page_file, write_change_page
from planlint.command.inspect_options import CHANGING, add_most_seconds, add_plans, time_spent
from planlint.command.missing_rules import without_failed, without_missing
from planlint.command.stderr_notes import tell
from planlint.command.usage_error import CallWrong, add_form, call_word, nearest_or
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import rule_book
from planlint.inspection.inspection_result import Inspection, refused
from planlint.inspection.plan_files import STANDARD_INPUT, Refused, read_plan_file
from planlint.inspection.used_files import settings_in_force
from planlint.repairs.mended_plan import Mending, MendStep, RepairMade
from planlint.repairs.mending import MOST_INSPECTIONS, mend
from planlint.repairs.open_choices import Choices, open_choices
from planlint.reports.mending_report import mended_entry, write_change, write_left
from planlint.reports.page_layout import Page
from planlint.reports.safe_words import path_words
from planlint.reports.text_report import write_inspection
from planlint.settings.layered_settings import SettingsBroken, Shop
from planlint.text.atomic_replace import NotReplaced, replace_file
from planlint.text.edits import patch
from planlint.text.source import PlanText

_FORMS = ("text", "json", "patch")
_ASKED_INSPECTIONS = 3 * MOST_INSPECTIONS
"""Inspections that one plan may cost while a builder answers: each *no* may ask for another way."""


def add_words(parser: argparse.ArgumentParser) -> None:
    add_plans(parser)
    parser.add_argument("--all", action="store_true", help="make every sure repair without asking")
    parser.add_argument("--show", action="store_true", help="show the repairs and write nothing")
    parser.add_argument("--rule", metavar="NAME", help="only what this rule finds")
    parser.add_argument("--joint", metavar="NAME", help="only what is found at this joint or part")
    add_form(parser, *_FORMS, usual="text", behind="; a patch is a unified diff, and no plan is written")
    add_page(parser, "; for one plan")
    add_most_seconds(parser, CHANGING)
    parser.set_defaults(run=_run)


def _run(call: argparse.Namespace) -> int:
    if call.form == "patch" and call.all:
        raise CallWrong("--as patch writes no plan: leave --all away, and give the patch to `git apply`")
    if call.write:
        if len(call.plans) != 1 or os.path.isdir(call.plans[0]):  # noqa: PTH112
            raise CallWrong("--write page=FILE draws one plan: say which")
        check_page_file(call.write, call.plans[0])
    if call.all and call.show:
        raise CallWrong("--all writes and --show does not: leave one of the two away")
    if call.rule is not None and call.rule not in rule_book():
        hint = nearest_or(call.rule, rule_book(), "`planlint rules` lists them")
        raise CallWrong(f"there is no rule {call_word(call.rule)}; {hint}")
    wish = Wish(call.form, call.all, call.show, call.rule, call.joint, call.write, call.most_seconds)
    return mend_paths(call.plans, wish)


class Wish(NamedTuple):
    """What the builder asks of a run."""

    form: str
    """``text``, ``json`` or ``patch``."""
    take_all: bool
    show: bool
    rule: str | None
    joint: str | None
    page: str | None = None
    """Where to draw the piece before and after; then there is one plan."""
    seconds: float = CHANGING
    """Time for one plan."""

    def wants(self, finding: Finding) -> bool:
        return self.rule in {None, finding.rule} and (
            self.joint is None or self.joint in {finding.joint, *finding.parts}
        )


class PlanFile(NamedTuple):
    """A plan's file, and the folder that was named to find it (``None``: the file itself was)."""

    path: str | Refused
    within: str | None


def each_file(paths: Sequence[str]) -> list[PlanFile]:
    """Plan files for files and folders, each once, as they are found to be inspected. Raises ``CallWrong``."""
    root = find_root(path for path in paths if path != STANDARD_INPUT)
    left_out = Shop().left_out
    files: list[PlanFile] = []
    seen: set[str] = set()
    for path in paths:
        within = path if os.path.isdir(path) else None  # noqa: PTH112
        try:
            for found in discover([path], root, left_out):
                if isinstance(found, Refused):
                    files.append(PlanFile(found, within))
                elif (real := os.path.realpath(found.path)) not in seen:
                    seen.add(real)
                    files.append(PlanFile(found.path, within))
        except SettingsBroken as problem:  # Nobody knows what to leave out: no plan is touched.
            raise CallWrong(str(problem)) from problem
    return files


def mend_paths(paths: Sequence[str], wish: Wish) -> int:
    """Mend plans one after the other; returns the exit status.

    0 nothing is left to find, 1 something is, 2 a plan could not be read, inspected whole or written.
    """
    telling = _TELLINGS[wish.form](wish)
    worst = 0
    for path, within in each_file(paths):
        read = read_plan_file(path) if isinstance(path, str) else path
        if isinstance(read, Refused):
            telling.unread(refused(*read))
            worst = 2
            continue
        worst = max(worst, _one(read, within, wish, telling))
    telling.end()
    return worst


def _one(source: PlanText, within: str | None, wish: Wish, telling: _Teller) -> int:
    asks = telling.asks and source.path != STANDARD_INPUT
    try:
        settings, least = without_missing(settings_in_force(source.path, source))
    except ValueError as problem:
        tell(f"{source.path} was left as it is: {problem}")
        return 2
    try:
        while True:
            mending = mend(
                source,
                settings,
                wish.wants,
                telling.pick if asks else lambda step: step.changes,
                _ASKED_INSPECTIONS if asks else MOST_INSPECTIONS,
                asked=asks,
                seconds=wish.seconds,
            )
            fewer = without_failed(settings, mending.before.crashed)
            if fewer is None:
                break
            settings, least = fewer, 2
    except TimeSpent:
        tell(f"{source.path} was left as it is: {time_spent(wish.seconds)}")
        return 2
    if not mending.before.whole:
        telling.unread(mending.before)
        return 2
    writes = (wish.take_all or asks) and not wish.show and source.path != STANDARD_INPUT
    written = False
    trouble = ""
    if writes and mending.source.text != source.text:
        try:
            replace_file(source.path, source.to_bytes(), mending.source.to_bytes(), within)
            written = True
        except NotReplaced as problem:
            trouble = str(problem)
    # Who is asked has been shown them.
    listed = open_choices(mending.after, settings, wish.seconds) if wish.show and wish.form != "patch" else {}
    telling.told(mending, listed, written=written)
    if mending.spent:
        sys.stdout.flush()
        tell(f"{source.path} is mended as far as could be seen: {time_spent(wish.seconds)}")
    if trouble:
        sys.stdout.flush()
        tell(f"{source.path} was left as it is: {trouble}")
        return 2
    write_change_page(wish.page, source, mending.source, settings)
    left = mending.after if written or source.path == STANDARD_INPUT else mending.before
    return max(least, 0 if left.sound else 1)


# ---------------------------------------------------------------- telling


class _Teller:
    """How a run is told; this one tells nothing."""

    asks = False

    def __init__(self, wish: Wish) -> None:
        self.wish = wish

    def pick(self, step: MendStep) -> tuple[RepairMade, ...] | None:
        return step.changes

    def unread(self, inspection: Inspection) -> None:
        pass

    def told(self, mending: Mending, choices: Choices, *, written: bool) -> None:
        pass

    def end(self) -> None:
        pass


class _TextTeller(_Teller):
    """For people: on standard output, or on standard error where that takes a mended plan."""

    def __init__(self, wish: Wish) -> None:
        super().__init__(wish)

        self.page = Page()
        self.asks = not wish.take_all and not wish.show and sys.stdin.isatty() and sys.stdout.isatty()
        self.rest = False
        self.stopped = False
        self.headed = ""

    def _head(self, path: str) -> None:
        if self.headed != path:
            self.headed = path
            self.page.heading(path_words(path))

    def pick(self, step: MendStep) -> tuple[RepairMade, ...] | None:
        """Show each change and ask; nothing more is asked after *all* or *stop*."""
        if self.stopped:
            return None
        self._head(step.before.path)
        kept = []
        for change in step.changes:
            if change.asks and self.rest:  # "All the rest" is all that is sure.
                continue
            write_change(self.page, step.before, change)
            self.page.flush()
            answer = "yes" if self.rest else _ask(_ONLY_YOU if change.asks else "")
            if answer == "stop":
                self.stopped = True
                break
            self.rest = self.rest or answer == "all"
            if answer in {"yes", "all"}:
                kept.append(change)
        return tuple(kept) or (None if self.stopped else ())

    def unread(self, inspection: Inspection) -> None:
        write_inspection(self._page(inspection.path), inspection)

    def _page(self, path: str) -> Page:
        return Page(sys.stderr) if path == STANDARD_INPUT and not self.wish.show else self.page

    def told(self, mending: Mending, choices: Choices, *, written: bool) -> None:
        path = mending.before.path
        plain = path == STANDARD_INPUT and not self.wish.show
        if plain:
            sys.stdout.flush()
            sys.stdout.buffer.write(mending.source.to_bytes())
            sys.stdout.buffer.flush()
        page = self.page = self._page(path)
        changes = sum(len(step.changes) for step in mending.steps)
        self._head(path)
        if not self.asks or plain:
            for step in mending.steps:
                for change in step.changes:
                    write_change(page, step.before, change)
        write_left(page, mending.after, choices)
        page.blank()
        many = f"{changes} change{'' if changes == 1 else 's'}"
        if not changes:
            page.prose("Nothing to mend." if mending.before.sound else "Nothing that is sure to be right.")
        elif plain or written:
            page.prose(f"{many} made.")
        elif self.wish.show or self.asks:
            page.prose(f"{many}; nothing was written.")
        else:
            page.prose(f"{many}; nothing was written: add --all to make them.")
        page.blank()
        page.flush()


_ONLY_YOU = "This takes screws away, or changes the stock or the size of the piece: you decide. "


def _ask(first: str = "") -> str:
    """The builder's answer: yes, no, all or stop; the first letter will do."""
    while True:
        try:
            said = input(f"    {first}Make this change? yes, no, all the rest, or stop: ").strip().lower()
        except EOFError:
            return "stop"
        for word in ("yes", "no", "all", "stop"):
            if said and word.startswith(said):
                return word


class _Json(_Teller):
    def __init__(self, wish: Wish) -> None:
        super().__init__(wish)
        self.plans: list[object] = []

    def unread(self, inspection: Inspection) -> None:
        self.plans.append(mended_entry(Mending(inspection, inspection, (), 1), {}, written=False))

    def told(self, mending: Mending, choices: Choices, *, written: bool) -> None:
        self.plans.append(mended_entry(mending, choices, written=written))

    def end(self) -> None:
        sys.stdout.write(json.dumps({"plans": self.plans}, indent=2, allow_nan=False) + "\n")


class _Patch(_Teller):
    def unread(self, inspection: Inspection) -> None:
        for mistake in inspection.unread[:1]:
            place = inspection.position(mistake.span.start)
            tell(f"{inspection.path}, line {place.line}: {mistake.says}")
        for trouble in inspection.crashed[:1]:
            tell(f"{inspection.path}: {trouble.says}")

    def told(self, mending: Mending, choices: Choices, *, written: bool) -> None:  # noqa: ARG002
        path = mending.before.path
        named = "standard-input" if path == STANDARD_INPUT else os.path.relpath(path)
        sys.stdout.flush()
        told = patch(named, mending.before.source, mending.source)
        sys.stdout.buffer.write(told.encode("utf-8", "surrogateescape"))
        sys.stdout.buffer.flush()


_TELLINGS: dict[str, type[_Teller]] = {"text": _TextTeller, "json": _Json, "patch": _Patch}

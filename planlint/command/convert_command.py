"""``planlint convert``: a plan with traditional joints as the same piece joined with pocket screws."""

import argparse
import os
import sys
from dataclasses import replace
from pathlib import Path

from planlint.budget.alarm import TimeSpent, alarm
from planlint.command.change_page import add_page, check_page_file, write_change_page
from planlint.command.inspect_options import CHANGING, add_most_seconds, time_spent
from planlint.command.missing_rules import without_failed, without_missing
from planlint.command.stderr_notes import tell
from planlint.command.usage_error import CallWrong, add_form
from planlint.conversion.assembly_copies import NotCopied, placed_here, waits_for_users, with_own_copies
from planlint.conversion.conversion_result import Conversion, User
from planlint.conversion.convert_plan import convert
from planlint.conversion.joins_like_others import of_source
from planlint.inspection.inspect_plan import inspect_text, understand
from planlint.inspection.plan_files import STANDARD_INPUT, Refused, read_plan_file
from planlint.inspection.used_files import settings_in_force
from planlint.model.workshop import Files, Settings
from planlint.reports.conversion_report import write_conversion
from planlint.reports.page_layout import Page
from planlint.text.atomic_replace import NotReplaced, replace_file, whole_file
from planlint.text.edits import TextEdit
from planlint.text.os_error_words import refused_by_system
from planlint.text.source import Mistake, PlanText

_LONGEST = 2
"""Times as long as said a conversion may take until it is given up: joints are still held against one another once the
ways that were tried are known. Basis: our own judgement."""


def add_words(parser: argparse.ArgumentParser) -> None:
    """The command's words and options."""
    parser.add_argument("plan", metavar="PLAN", help="a plan, or - for standard input")
    where = parser.add_mutually_exclusive_group()
    where.add_argument(
        "--to", metavar="FILE", help="write the new plan to this file, which must not be there yet"
    )
    where.add_argument("--in-place", action="store_true", help="write the new plan in place of the old")
    parser.add_argument(
        "--joint",
        metavar="NAME",
        action="append",
        help="convert only this joint; may be given more than once",
    )
    add_form(parser, "text", "json", usual="text")
    parser.add_argument(
        "--explain", action="store_true", help="also tell the other ways to drill that were tried"
    )
    copies = parser.add_mutually_exclusive_group()
    copies.add_argument(
        "--own-copy",
        action="store_true",
        help="copy the assemblies that the plan places from other files into it, and convert the copies",
    )
    copies.add_argument(
        "--placed-in",
        metavar="USER",
        action="append",
        help="convert the assemblies of PLAN for all who use it, as USER places them; may be given more than once",
    )
    add_page(parser)
    add_most_seconds(parser, CHANGING)
    parser.set_defaults(run=_run)


def _run(call: argparse.Namespace) -> int:
    """0 all converted and clean, 1 something stays or is found, 2 not read, not written, or the call is wrong."""
    if call.plan == STANDARD_INPUT and call.in_place:
        raise CallWrong("--in-place needs a file; standard input has none")
    if call.to is not None and os.path.lexists(call.to):
        hint = (
            "add --in-place to change the plan itself" if _same_file(call.to, call.plan) else "name another"
        )
        raise CallWrong(f"{call.to} is there already; {hint}")
    check_page_file(call.write, call.plan)
    source = read_plan_file(call.plan)
    if isinstance(source, Refused):
        raise CallWrong(f"{source.path}: {source.says}")
    original: PlanText = source
    try:
        settings, least = without_missing(settings_in_force(source.path, source))
        users = _users(call)
        source, added = _with_assemblies(call, source, settings, users)
    except ValueError as problem:
        raise CallWrong(f"{source.path} was left as it is: {problem}") from problem
    try:
        with alarm(call.most_seconds * _LONGEST):
            conversion = _converted(call, source, settings)
            while (fewer := without_failed(settings, conversion.troubles)) is not None:
                settings, least = fewer, 2
                conversion = _converted(call, source, settings)
    except TimeSpent:
        raise CallWrong(f"{source.path} was left as it is: {time_spent(call.most_seconds)}") from None
    if added:
        conversion = _without(conversion, original, added)
        conversion = replace(conversion, users=tuple(_user_after(conversion, *each) for each in users))
    written, trouble = None, ""
    target = call.to if call.to is not None else call.plan if call.in_place else None
    broken = [user.path for user in conversion.users if user.unread]
    if target is not None and broken:
        trouble = f"{', '.join(broken)} could not be read any longer"
    elif target is not None and not conversion.unread and not conversion.troubles:
        trouble = _write(conversion, original, target, in_place=call.in_place)
        written = None if trouble or (call.in_place and not conversion.changed) else target
    _tell(conversion, call.form, written, explain=call.explain)
    write_change_page(call.write, original, conversion.result, settings)
    if conversion.late:
        sys.stdout.flush()
        says = f"its time ({call.most_seconds} seconds) ran out; the best ways so far are taken"
        tell(f"{source.path}: {says}; allow more by --most-seconds")
    if trouble:
        sys.stdout.flush()
        tell(f"{target} was not written: {trouble}")
        return 2
    return max(least, _status(conversion))


def _converted(call: argparse.Namespace, source: PlanText, settings: Settings) -> Conversion:
    """The conversion, with a line that tells who waits at a terminal what goes on."""

    def watched(tried: int, most: int) -> None:
        words = f"planlint: {tried} ways to drill tried, of {most} at the most …"
        print(words, end="\r", file=sys.stderr, flush=True)

    seen = sys.stderr.isatty()
    try:
        conversion = convert(
            source,
            settings,
            call.joint,
            thorough=call.explain,
            seconds=call.most_seconds,
            watch=watched if seen else None,
        )
    except KeyError as unknown:
        raise CallWrong(f"there is no joint called {unknown.args[0]!r} in {call.plan}") from None
    finally:
        if seen:
            print(" " * 60, end="\r", file=sys.stderr, flush=True)
    if not conversion.joints and not conversion.unread and waits_for_users(source):
        return replace(conversion, waits_for_users=True)
    return conversion


def _users(call: argparse.Namespace) -> list[tuple[PlanText, Settings]]:
    """The plans that use the file, each with its settings. Raises ``ValueError`` for one that cannot be read."""
    users = []
    for path in call.placed_in or ():
        user = read_plan_file(path)
        if isinstance(user, Refused):
            raise ValueError(f"{user.path}: {user.says}")
        users.append((user, without_missing(settings_in_force(user.path, user))[0]))
    return users


def _with_assemblies(
    call: argparse.Namespace, source: PlanText, settings: Settings, users: list[tuple[PlanText, Settings]]
) -> tuple[PlanText, list[TextEdit]]:
    """The plan with its own copies of assemblies, or with them placed as its users do and what is added for that."""
    if call.own_copy:
        try:
            return with_own_copies(source, settings.files), []
        except NotCopied as problem:
            raise ValueError(str(problem)) from None
    plans = []
    for user, theirs in users:
        plan, mistakes = understand(user, theirs)
        if plan is None or mistakes:
            raise ValueError(f"{user.path} cannot be read: inspect it first")
        plans.append(plan)
    return placed_here(source, plans) if plans else (source, [])


def _user_after(conversion: Conversion, user: PlanText, settings: Settings) -> User:
    """What is found anew in a plan once it uses the new text of the file."""

    old, new = conversion.source.text, conversion.result.text
    texts = settings.files.texts if settings.files is not None else {}
    now = Files(
        {
            path: replace(each, text=new) if not isinstance(each, Mistake) and each.text == old else each
            for path, each in texts.items()
        }
    )
    before, after = inspect_text(user, settings), inspect_text(user, replace(settings, files=now))
    known = {finding.identity for finding in before.findings}
    return User(user.path, after.unread, tuple(each for each in after.findings if each.identity not in known))


def _without(conversion: Conversion, original: PlanText, added: list[TextEdit]) -> Conversion:
    """A conversion of a file's assemblies without the lines that were added for it."""
    text = conversion.result.text
    for _, words in added:
        head, _, rest = text.rpartition(words)
        text = head + rest
    conversion = of_source(conversion, original, conversion.source, added)
    return replace(conversion, result=replace(original, text=text), elsewhere=())


def _tell(conversion: Conversion, form: str, written: str | None, *, explain: bool) -> None:
    if form == "json":
        from planlint.reports.conversion_record import json_conversion  # noqa: PLC0415 - people do without

        sys.stdout.write(json_conversion(conversion, written))
        return

    write_conversion(Page(), conversion, written, explain=explain)


def _status(conversion: Conversion) -> int:
    if conversion.unread or conversion.troubles:
        return 2
    after = conversion.after
    found = after is None or not after.sound or any(user.unread or user.new for user in conversion.users)
    return 1 if found or any(joint.refused for joint in conversion.joints) else 0


def _write(conversion: Conversion, original: PlanText, target: str, *, in_place: bool) -> str:
    """Write the new text whole or not at all; returns what stands in the way, or nothing."""
    data = conversion.result.to_bytes()
    try:
        if not in_place:
            if os.path.lexists(target):  # Made while the ways to drill were tried.
                return "it is there now"
            with whole_file(target) as file:
                file.buffer.write(data)
        elif conversion.changed:
            replace_file(target, original.to_bytes(), data)
    except NotReplaced as problem:
        return str(problem)
    except OSError as problem:
        return refused_by_system(problem)
    return ""


def _same_file(one: str, other: str) -> bool:
    try:
        return Path(one).samefile(other)
    except OSError:
        return False

"""``planlint inspect | ledger | join``: their words on the command line."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from planlint.command.report_forms import FORMS, PAGE
from planlint.command.usage_error import CallWrong
from planlint.findings.finding import GRADE_BY_WORD, Grade

if TYPE_CHECKING:
    from planlint.command.inspect_command import Wishes
    from planlint.command.usage_error import Commands, OneOf

_GRADES = tuple(grade.word for grade in reversed(Grade))
_DEFAULT_LEDGER = "planlint.ledger"


def add_inspect(commands: Commands, one_of: OneOf) -> None:
    parser = commands.add_parser("inspect", help="inspect plans")
    add_plans(parser)
    _add_forms(parser, one_of, "text", (*FORMS, PAGE))
    _add_lowest(parser, one_of)
    parser.add_argument(
        "--explain-joints", action="store_true", help="also tell what each joint was found to be, and why"
    )
    parser.add_argument("--brief", action="store_true", help="one line for each finding, without what to do")
    parser.add_argument("--ledger", metavar="FILE", help="findings listed there do not fail the run")
    parser.add_argument(
        "--changed-since", metavar="REV", help="only plans that changed since a revision, or use what changed"
    )
    parser.add_argument(
        "--fixes",
        action="store_true",
        help="look for repairs of the text too, for sarif: a plan with findings takes two or three times as long",
    )
    parser.add_argument(
        "--heed-excludes",
        action="store_true",
        help="leave out plans that the settings exclude though they are named here, as a hook names them",
    )
    parser.add_argument(
        "--shard", metavar="K/N", type=_shard, help="only the K-th of N parts of the collection"
    )
    _add_work(parser)
    parser.set_defaults(run=_inspect)


def add_ledger(commands: Commands) -> None:
    parser = commands.add_parser("ledger", help="keep a list of findings that are known")
    actions = parser.add_subparsers(metavar="ACTION", required=True)
    record = actions.add_parser("record", help="write all that is found now to the ledger")
    add_plans(record)
    record.add_argument(
        "--ledger",
        metavar="FILE",
        default=_DEFAULT_LEDGER,
        help=f"the ledger ({_DEFAULT_LEDGER}, if not said)",
    )
    _add_work(record)
    record.set_defaults(run=_record)
    show = actions.add_parser("show", help="count what is in the ledger, by rule, folder, owner and age")
    show.add_argument(
        "--ledger",
        metavar="FILE",
        default=_DEFAULT_LEDGER,
        help=f"the ledger ({_DEFAULT_LEDGER}, if not said)",
    )
    show.set_defaults(run=_show)


def add_join(commands: Commands, one_of: OneOf) -> None:
    parser = commands.add_parser("join", help="make one report of several")
    parser.add_argument("reports", metavar="REPORT", nargs="+", help="a report written by --as json")
    _add_forms(parser, one_of, "json", FORMS)
    _add_lowest(parser, one_of)
    parser.add_argument("--brief", action="store_true", help="with --as text: one line for each finding")
    parser.set_defaults(run=_join)


def _add_forms(parser: argparse.ArgumentParser, one_of: OneOf, usual: str, writable: tuple[str, ...]) -> None:
    parser.add_argument(
        "--as", dest="form", metavar="FORM", default=usual, type=one_of(*FORMS), help=f"{', '.join(FORMS)}"
    )
    pages = ", or page=FOLDER: drawings" if PAGE in writable else ""
    parser.add_argument(
        "--write",
        metavar="FORM=FILE",
        default=[],
        action="append",
        type=lambda words: _written(words, one_of, writable),
        help=f"also write the report in another form to a file{pages}; may be said several times",
    )


def add_plans(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "plans", metavar="PLAN", nargs="+", help="a plan, a folder of plans (*.plan), or - for standard input"
    )


def _add_lowest(parser: argparse.ArgumentParser, one_of: OneOf) -> None:
    parser.add_argument(
        "--from",
        dest="lowest",
        metavar="GRADE",
        default="advice",
        type=one_of(*_GRADES),
        help="stop, caution or advice: the grade from which the exit status is 1 (advice, if not said)",
    )


def _add_work(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--workers",
        metavar="N",
        type=_number,
        help="processes to share the work among (all cores, if not said)",
    )
    parser.add_argument(
        "--cache", metavar="FOLDER", help="where to remember results (.planlint-cache at the root)"
    )
    parser.add_argument("--no-cache", action="store_true", help="neither use nor keep remembered results")
    add_most_seconds(parser)
    parser.add_argument(
        "--most-memory", metavar="MB", type=_number, default=2000, help="memory that one plan may take (2000)"
    )


def add_most_seconds(parser: argparse.ArgumentParser, usual: int = 60) -> None:
    """How long one plan may take, of whatever is done with it."""
    says = f"time that one plan may take ({usual})"
    parser.add_argument("--most-seconds", metavar="N", type=_number, default=usual, help=says)


CHANGING = 300
"""Seconds that a plan may take which is changed, and so is inspected again and again. Basis: our own judgement."""


def time_spent(seconds: float) -> str:
    """That a plan had its time, and what to do."""
    return f"its time ({seconds:g} seconds) ran out; allow more by --most-seconds"


def _number(words: str) -> int:
    if not (words.isdecimal() and int(words[:10]) >= 1 and len(words) < 7):
        raise argparse.ArgumentTypeError(f"{words[:60]!a} is no number from 1 to 999999")
    return int(words)


def _shard(words: str) -> tuple[int, int]:
    from planlint.collection.sharding import Shard  # noqa: PLC0415

    try:
        return Shard.read(words[:60])
    except ValueError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from problem


def _written(words: str, one_of: OneOf, writable: tuple[str, ...]) -> tuple[str, str]:
    kind, equals, file = words.partition("=")
    kind = one_of(*writable)(kind)
    if not (equals and file):
        what = "folder" if kind == PAGE else "file"
        raise argparse.ArgumentTypeError(f"say which {what}: {kind}={what.upper()}")
    return kind, file


def _wishes(call: argparse.Namespace, **more: object) -> Wishes:
    from planlint.budget.allowance import Budget  # noqa: PLC0415
    from planlint.command.inspect_command import Wishes  # noqa: PLC0415

    if call.cache and call.no_cache:
        raise CallWrong("--cache and --no-cache cannot both be meant")
    wishes: dict[str, object] = {
        "workers": call.workers,
        "cache": call.cache,
        "remember": not call.no_cache,
        "budget": Budget(call.most_seconds, call.most_memory),
    }
    return Wishes(**wishes, **more)  # type: ignore[arg-type]


def _inspect(call: argparse.Namespace) -> int:
    from planlint.command.inspect_command import WishDenied, inspect_paths  # noqa: PLC0415
    from planlint.text.atomic_replace import NotReplaced  # noqa: PLC0415

    if call.explain_joints and call.form != "text":
        raise CallWrong(f"--explain-joints goes with --as text; the {call.form} report has no place for it")
    if call.brief and call.form != "text":
        raise CallWrong(f"--brief goes with --as text; a {call.form} report is for programs, and is whole")
    if call.fixes and not {"sarif", "json"} & {call.form, *(kind for kind, _ in call.write)}:
        raise CallWrong(
            "--fixes goes with a sarif report, or a json report to be joined: the others have no place for them"
        )
    wishes = _wishes(
        call,
        brief=call.brief,
        explain=call.explain_joints,
        writes=tuple(call.write),
        ledger=call.ledger,
        changed_since=call.changed_since,
        shard=call.shard,
        heed_excludes=call.heed_excludes,
        fixes=call.fixes,
    )
    try:
        return inspect_paths(call.plans, call.form, GRADE_BY_WORD[call.lowest], wishes)
    except (WishDenied, NotReplaced) as problem:
        raise CallWrong(str(problem)) from problem


def _record(call: argparse.Namespace) -> int:
    from planlint.command.inspect_command import WishDenied  # noqa: PLC0415
    from planlint.command.ledger_command import record_ledger  # noqa: PLC0415

    try:
        return record_ledger(call.plans, call.ledger, _wishes(call))
    except WishDenied as problem:
        raise CallWrong(str(problem)) from problem


def _show(call: argparse.Namespace) -> int:
    from planlint.command.ledger_shown import show_ledger  # noqa: PLC0415

    return show_ledger(call.ledger)


def _join(call: argparse.Namespace) -> int:
    from planlint.command.join_command import join_reports  # noqa: PLC0415

    if call.brief and call.form != "text":
        raise CallWrong(f"--brief goes with --as text; a {call.form} report is for programs, and is whole")
    return join_reports(
        call.reports, call.form, tuple(call.write), GRADE_BY_WORD[call.lowest], brief=call.brief
    )

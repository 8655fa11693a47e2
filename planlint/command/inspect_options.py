"""``planlint inspect``: its words on the command line, and those that other commands share with it."""

import argparse

from planlint.budget.allowance import Budget
from planlint.collection.sharding import Shard
from planlint.command.inspect_command import Wishes, inspect_in_form
from planlint.command.report_forms import FORMS, PAGE
from planlint.command.usage_error import CallWrong, add_form, one_of
from planlint.findings.finding import GRADE_BY_WORD, Grade
from planlint.text.atomic_replace import NotReplaced

_GRADES = tuple(grade.word for grade in reversed(Grade))


def add_words(parser: argparse.ArgumentParser) -> None:
    add_plans(parser)
    add_forms(parser, "text", (*FORMS, PAGE))
    add_lowest(parser)
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
    add_work(parser)
    parser.set_defaults(run=_run)


def add_forms(parser: argparse.ArgumentParser, usual: str, writable: tuple[str, ...]) -> None:
    add_form(parser, *FORMS, usual=usual)
    pages = ", or page=FOLDER: drawings" if PAGE in writable else ""
    parser.add_argument(
        "--write",
        metavar="FORM=FILE",
        default=[],
        action="append",
        type=lambda words: _written(words, writable),
        help=f"also write the report in another form to a file{pages}; may be said several times",
    )


def add_plans(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "plans", metavar="PLAN", nargs="+", help="a plan, a folder of plans (*.plan), or - for standard input"
    )


def add_lowest(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--from",
        dest="lowest",
        metavar="GRADE",
        default="advice",
        type=one_of(*_GRADES),
        help="stop, caution or advice: the grade from which the exit status is 1 (advice, if not said)",
    )


def add_work(parser: argparse.ArgumentParser) -> None:
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
    try:
        return Shard.read(words[:60])
    except ValueError as problem:
        raise argparse.ArgumentTypeError(str(problem)) from problem


def _written(words: str, writable: tuple[str, ...]) -> tuple[str, str]:
    kind, equals, file = words.partition("=")
    kind = one_of(*writable)(kind)
    if not (equals and file):
        what = "folder" if kind == PAGE else "file"
        raise argparse.ArgumentTypeError(f"say which {what}: {kind}={what.upper()}")
    return kind, file


def wishes_of(call: argparse.Namespace, **more: object) -> Wishes:
    if call.cache and call.no_cache:
        raise CallWrong("--cache and --no-cache cannot both be meant")
    wishes: dict[str, object] = {
        "workers": call.workers,
        "cache": call.cache,
        "remember": not call.no_cache,
        "budget": Budget(call.most_seconds, call.most_memory),
    }
    return Wishes(**wishes, **more)  # type: ignore[arg-type]


def _run(call: argparse.Namespace) -> int:
    if call.explain_joints and call.form != "text":
        raise CallWrong(f"--explain-joints goes with --as text; the {call.form} report has no place for it")
    if call.brief and call.form != "text":
        raise CallWrong(f"--brief goes with --as text; a {call.form} report is for programs, and is whole")
    if call.fixes and not {"sarif", "json"} & {call.form, *(kind for kind, _ in call.write)}:
        raise CallWrong(
            "--fixes goes with a sarif report, or a json report to be joined: the others have no place for them"
        )
    wishes = wishes_of(
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
        return inspect_in_form(call.plans, call.form, GRADE_BY_WORD[call.lowest], wishes)
    except NotReplaced as problem:
        raise CallWrong(str(problem)) from problem

"""Reports of several runs joined to one, in any form: what one run over all the plans would have told."""

import argparse
import json
import sys
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from planlint import __version__
from planlint.collection.failing_rules import told_once
from planlint.collection.inspection_record import rejoined
from planlint.collection.sharding import NotJoined, join
from planlint.command.inspect_command import Wishes, as_told, report_in, tell_beside
from planlint.command.inspect_options import add_forms, add_lowest
from planlint.command.output_files import for_programs, keep_apart, report_file
from planlint.command.report_forms import FORMS
from planlint.command.stderr_notes import tell
from planlint.command.usage_error import CallWrong
from planlint.findings.finding import GRADE_BY_WORD, Grade
from planlint.inspection.inspection_result import About, Inspection
from planlint.inspection.plan_files import why_shut
from planlint.reports.json_schema import ReportEntry
from planlint.reports.run_marks import RunMarks
from planlint.reports.safe_words import named_again, visible
from planlint.reports.tally import Tally
from planlint.text.decode import utf8
from planlint.text.source import Mistake, PlanText


def add_words(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("reports", metavar="REPORT", nargs="+", help="a report written by --as json")
    add_forms(parser, "json", FORMS)
    add_lowest(parser)
    parser.add_argument("--brief", action="store_true", help="with --as text: one line for each finding")
    parser.set_defaults(run=_run)


def _run(call: argparse.Namespace) -> int:
    if call.brief and call.form != "text":
        raise CallWrong(f"--brief goes with --as text; a {call.form} report is for programs, and is whole")
    return join_reports(
        call.reports, call.form, tuple(call.write), GRADE_BY_WORD[call.lowest], brief=call.brief
    )


def join_reports(
    files: list[str], form: str, writes: tuple[tuple[str, str], ...], lowest: Grade, *, brief: bool
) -> int:
    """Write one report made of several; returns the exit status that one run over all plans would have had."""
    keep_apart([file for _, file in writes], files, what="a report to be joined")
    reports = [_read(file) for file in files]
    try:
        joined = join(reports)
        plans = [(named_again(plan["name"]), _inspection(plan)) for plan in joined["plans"]]
    except NotJoined as problem:
        raise CallWrong(visible(str(problem))) from problem
    for says in joined["told"]:
        tell(says)
    run = RunMarks(**joined["run"])
    tally = Tally(unmatched=joined["unmatched"], touched=joined["touched"], troubles=joined["unchecked"])
    wishes = Wishes(ledger=run.ledger, brief=brief)
    several = as_told(len(plans))
    with ExitStack() as stack:
        to = sys.stdout.write if form == "text" else for_programs()
        told = [report_in(form, to, wishes, lowest, several=several, run=run)]
        told += [
            report_in(kind, report_file(file, stack), wishes, lowest, several=several, run=run)
            for kind, file in writes
        ]
        for name, inspection in told_once(plans, tally.troubles):
            tally.add(inspection)
            for report in told:
                report.add(name, inspection)
        for report in told:
            report.end(tally)
    if form != "text":
        tell_beside(tally)
    return tally.exit_status(lowest)


def _read(file: str) -> dict[str, Any]:
    report: Any = None
    try:
        text = utf8(Path(file).read_bytes())
        if isinstance(text, Mistake):
            raise CallWrong(f"{visible(file)} cannot be joined: {text.says}")
        report = json.loads(text, parse_constant=_no_number)
        ReportEntry.model_validate(report, strict=True)
    except (OSError, ValidationError, ValueError, RecursionError) as problem:
        raise CallWrong(f"{visible(file)} cannot be joined: {_why(problem, report)}") from problem
    return dict(report)


def _why(problem: Exception, report: Any) -> str:
    if isinstance(problem, OSError):
        return why_shut(problem)
    says = "it is no JSON report of this planlint"
    if isinstance(problem, json.JSONDecodeError):
        return f"{says}: line {problem.lineno}, column {problem.colno} is not JSON, or it breaks off there"
    if isinstance(problem, ValidationError):
        run = report.get("run") if isinstance(report, dict) else None
        version = run.get("version") if isinstance(run, dict) else None
        if isinstance(version, str) and version != __version__:
            return f"it was written by planlint {version}, and this is {__version__}"
        place = ", ".join(map(str, problem.errors(include_url=False)[0]["loc"]))
        return f"{says}, by what stands at {place}" if place else says
    return says


def _no_number(word: str) -> None:
    raise ValueError(f"{word} is no number")


def _inspection(plan: dict[str, Any]) -> Inspection:
    path, whole, about = named_again(plan["path"]), plan.get("whole"), plan["about"]
    owner = plan["owner"] or ""
    if whole is None:
        return Inspection(path, PlanText(path, ""), about=About(**about) if about else None, owner=owner)
    try:
        found = rejoined(whole["record"], path, whole["text"] or "", whole["known"])
        numbers = whole["newly_accepted"]
        newly = None if numbers is None else tuple(found.accepted[number] for number in numbers)
    except (ValueError, IndexError, TypeError) as problem:
        raise NotJoined(f"what is told of the plan {path!r} is damaged") from problem

    return replace(found, newly_accepted=newly, owner=owner, no_plan=whole["text"] is None)

"""``planlint steps PLAN``: the order of work of one plan."""

import argparse
import json
import sys

from planlint.command.inspected_plan import inspected_plan
from planlint.command.usage_error import add_form
from planlint.inspection.inspection_result import Inspection, our_fault
from planlint.reports.json_report import json_report
from planlint.reports.page_layout import Page
from planlint.reports.steps_entry import steps_entry
from planlint.reports.steps_report import write_steps
from planlint.reports.text_report import write_inspection
from planlint.workplan.work_steps import work_steps


def add_words(parser: argparse.ArgumentParser) -> None:
    """The command's words and options."""
    parser.add_argument("plan", metavar="PLAN", help="a plan, or - for standard input")
    add_form(parser, "text", "json", usual="text")
    parser.set_defaults(run=_run)


def _run(call: argparse.Namespace) -> int:
    """Write the steps to standard output and return the exit status: 1 where no order puts the piece together.

    A plan that cannot be read is told as ``inspect`` tells it, and gives 2.
    """
    path, form = call.plan, call.form
    inspection = inspected_plan(path)
    piece = inspection.piece
    if piece is None:
        return _not_told(inspection, form)
    try:
        steps = work_steps(piece)
    except Exception as problem:
        trouble = our_fault("the order of work", problem)
        return _not_told(Inspection(path, inspection.source, crashed=(trouble,)), form)
    if form == "json":
        entry = steps_entry(inspection.path, piece, steps)
        sys.stdout.write(json.dumps(entry, indent=2, allow_nan=False) + "\n")
    else:
        write_steps(Page(), piece, steps, inspection.findings)
        _warn(inspection)
    return 1 if any(step.stuck for step in steps) else 0


def _not_told(inspection: Inspection, form: str) -> int:
    if form == "json":
        sys.stdout.write(json_report([inspection]))
    else:
        write_inspection(Page(), inspection)
    return 2


def _warn(inspection: Inspection) -> None:
    """Steps of a faulty plan are told, but nobody should cut timber by them unwarned."""
    faults = len(inspection.findings)
    if faults:
        page = Page()
        page.blank()
        page.prose(
            f"Inspection finds {faults} fault{'' if faults == 1 else 's'} in this plan: see to "
            f"{'it' if faults == 1 else 'them'} before timber is cut.",
            style="bold",
        )
        page.flush()

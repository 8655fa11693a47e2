"""``planlint steps PLAN``: the order of work of one plan."""

from __future__ import annotations

import sys

from planlint.inspection.collect import Refused, read_plan_file
from planlint.inspection.inspect import Inspection, inspect_text, our_fault, refused
from planlint.inspection.steps import work_steps
from planlint.reports.page import Page
from planlint.reports.steps import steps_entry, write_steps


def write_order(path: str, form: str) -> int:
    """Write the steps to standard output and return the exit status: 1 where no order puts the piece together.

    A plan that cannot be read is told as ``inspect`` tells it, and gives 2.
    """
    read = read_plan_file(path)
    inspection = refused(*read) if isinstance(read, Refused) else inspect_text(read)
    piece = inspection.piece
    if piece is None:
        return _not_told(inspection, form)
    try:
        steps = work_steps(piece)
    except Exception as problem:
        trouble = our_fault("the order of work", problem)
        return _not_told(Inspection(path, inspection.source, crashed=(trouble,)), form)
    if form == "json":
        import json  # noqa: PLC0415 - the text does without

        entry = steps_entry(inspection.path, piece, steps)
        sys.stdout.write(json.dumps(entry, indent=2, allow_nan=False) + "\n")
    else:
        write_steps(Page(), piece, steps)
        _warn(inspection)
    return 1 if any(step.stuck for step in steps) else 0


def _not_told(inspection: Inspection, form: str) -> int:
    if form == "json":
        from planlint.reports.json import json_report  # noqa: PLC0415 - not in a usual run

        sys.stdout.write(json_report([inspection]))
    else:
        from planlint.reports.text import write_inspection  # noqa: PLC0415 - not in a usual run

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

"""Inspecting files and folders, one after the other, and telling it in the form asked for."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Iterator

from planlint.findings.finding import Grade
from planlint.inspection.collect import Refused, collect, read_plan_file
from planlint.inspection.inspect import Inspection, inspect_text, our_fault, refused
from planlint.model.settings import Settings
from planlint.reports.tally import Tally


def inspect_paths(
    paths: Iterable[str],
    form: str,
    lowest: Grade,
    *,
    explain: bool = False,
    called: Callable[[str], str] = str,
) -> int:
    """Inspect, write the report to standard output, and return the exit status.

    ``form`` is ``text`` or ``json``; ``called`` gives the name under which a file is told.
    """
    tally = Tally()
    counted = _counted(paths, called, tally)
    if form == "json":
        from planlint.reports.json import json_report  # noqa: PLC0415 - not in a usual run

        sys.stdout.write(json_report(counted))
        return tally.exit_status(lowest)
    explained = _write_text(counted, tally, explain=explain)
    return tally.exit_status(lowest) if explained else 2


def _counted(paths: Iterable[str], called: Callable[[str], str], tally: Tally) -> Iterator[Inspection]:
    settings = Settings()
    for found in collect(paths):
        read = read_plan_file(found, called(found)) if isinstance(found, str) else found
        inspection = refused(*read) if isinstance(read, Refused) else inspect_text(read, settings)
        tally.add(inspection)
        yield inspection


def _write_text(inspections: Iterable[Inspection], tally: Tally, *, explain: bool) -> bool:
    """Write the report; whether everything asked for could be told."""
    from planlint.reports.page import Page  # noqa: PLC0415 - not for a report as JSON
    from planlint.reports.text import write_inspection, write_summary  # noqa: PLC0415

    page = Page()
    told = True
    for inspection in inspections:
        write_inspection(page, inspection)
        if explain and inspection.piece:
            from planlint.reports.explain import write_joints  # noqa: PLC0415 - not in a usual run

            try:
                write_joints(page, inspection.piece)
            except Exception as problem:
                page.prose(our_fault("explaining the joints", problem).says)
                told = False
    write_summary(page, tally)
    return told

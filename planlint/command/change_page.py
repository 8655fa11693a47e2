"""``--write page=FILE`` of ``mend`` and ``convert``: the piece before and after, drawn."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from planlint.model.workshop import Settings
    from planlint.text.source import PlanText


def add_page(parser: argparse.ArgumentParser, only: str = "") -> None:
    """``--write page=FILE``; ``only`` says where it serves."""
    parser.add_argument(
        "--write",
        metavar="page=FILE",
        type=_page_file,
        help=f"also draw the piece before and after, on a page written to a file{only}",
    )


def _page_file(words: str) -> str:
    """The file in ``page=FILE``."""
    kind, _, file = words.partition("=")
    if kind != "page" or not file:
        raise argparse.ArgumentTypeError("says page=FILE: the drawings of before and after")
    return file


def check_page_file(file: str | None, plan: str) -> None:
    """Raise ``CallWrong`` where the page would take the place of a plan."""
    from planlint.command.output_files import keep_apart  # noqa: PLC0415 - only where a page is asked for

    if file is not None:
        keep_apart([file], [plan])


def write_change_page(file: str | None, before: PlanText, after: PlanText, settings: Settings) -> None:
    """Draw two texts of a plan side by side. Nothing is written where one of them is no piece. Raises ``CallWrong``."""
    if file is None:
        return
    from planlint.command.output_files import put  # noqa: PLC0415
    from planlint.command.usage_error import CallWrong  # noqa: PLC0415
    from planlint.drawings.change_sheet import change_sheets, changes  # noqa: PLC0415
    from planlint.drawings.missing_packages import ExtraNeeded  # noqa: PLC0415
    from planlint.drawings.page_html import sheets_page  # noqa: PLC0415
    from planlint.inspection.inspect_plan import inspect_text  # noqa: PLC0415

    was, now = (inspect_text(text, settings).piece for text in (before, after))
    if was is None or now is None or not was.plan.parts or not now.plan.parts:
        return
    said = changes(was, now).said
    try:
        text = sheets_page(
            f"{now.plan.title}: before and after", said or ["Nothing changed."], list(change_sheets(was, now))
        )
    except ExtraNeeded as problem:
        raise CallWrong(str(problem)) from problem
    put(text, file)

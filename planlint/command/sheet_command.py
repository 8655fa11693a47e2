"""``planlint sheet PLAN …``: what to cut, from what, what to buy, how to drill, in which order."""

import argparse
import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from io import StringIO
from pathlib import Path

from planlint.collection.collection_root import find_root
from planlint.collection.discovery import discover
from planlint.command.inspected_plan import inspected_plan
from planlint.command.output_files import keep_apart, put
from planlint.command.stderr_notes import tell
from planlint.command.usage_error import CallWrong, add_form, one_of
from planlint.drawings.pdf_pages import POINT, draw_sheet
from planlint.drawings.primitives import Sheet
from planlint.drawings.step_sheets import step_sketch
from planlint.drawings.svg_text import style, svg
from planlint.inspection.inspection_result import Inspection, refused
from planlint.inspection.plan_files import STANDARD_INPUT, Refused
from planlint.reports.page_layout import Page
from planlint.reports.safe_words import count, visible
from planlint.reports.sheet_files import sheet_csv, sheet_json
from planlint.reports.sheet_html import sheet_html
from planlint.reports.sheet_pdf import NoPdf, Sketch, sheet_pdf
from planlint.reports.sheet_text import write_sheet
from planlint.reports.text_report import write_inspection
from planlint.settings.layered_settings import Shop
from planlint.sheet.buying_list import Laying
from planlint.sheet.cut_list import CutGroup
from planlint.sheet.shop_sheet import ShopSheet, joined_sheet, shop_sheet

MOST_SKETCHES = 50
"""Steps that have a picture: each takes longer, the more stands already. Basis: own judgement, from times."""
_FORMS = ("text", "html", "pdf", "csv", "json")


def add_words(parser: argparse.ArgumentParser) -> None:
    """The command's words and options."""
    parser.add_argument(
        "plans",
        metavar="PLAN",
        nargs="+",
        help="plans or folders of plans, or - for standard input; name a plan twice to build two",
    )
    parser.add_argument(
        "--to", metavar="FILE", help="write it to FILE: its ending (.html, .pdf, .csv, .json) decides"
    )
    add_form(parser, *_FORMS)
    parser.add_argument(
        "--paper", metavar="PAPER", default="letter", type=one_of("letter", "a4"), help="letter or a4"
    )
    parser.set_defaults(run=_run)


def _run(call: argparse.Namespace) -> int:
    """Write the sheet; 1 where a fault says not to cut yet, 2 where a plan cannot be read."""
    form = _form(call)
    if call.to is not None:
        keep_apart([call.to], call.plans)
    inspections, unread = _inspected(call.plans)
    if unread:
        for each in unread:
            write_inspection(Page(), each)
        return 2

    with _laying() as laying:
        if len(inspections) == 1:
            sheet = shop_sheet(inspections[0], laying=laying)
        else:
            sheet = joined_sheet(inspections, laying=laying)
    _write(sheet, form, call)
    return 1 if sheet.stops else 0


def _form(call: argparse.Namespace) -> str:
    ending = Path(call.to).suffix[1:].lower() if call.to and call.to != "-" else ""
    if call.form is not None:
        return str(call.form)
    if not call.to or call.to == "-":
        return "text"
    ending = {"htm": "html", "txt": "text"}.get(ending, ending)
    if ending not in _FORMS:
        raise CallWrong(
            f"what form is {call.to} to have? Let it end in .html, .pdf, .csv, .json or .txt, or say --as"
        )
    return ending


def _inspected(paths: list[str]) -> tuple[list[Inspection], list[Inspection]]:
    """The plans that were read, and those that were not. Raises ``CallWrong`` where there is none."""
    found: list[Inspection] = []
    try:
        for each in discover(paths, find_root(paths), Shop().left_out):
            inspection = refused(*each) if isinstance(each, Refused) else inspected_plan(each.path)
            found += [inspection] * (_times(each.path, paths) if inspection.piece is not None else 1)
    except ValueError as problem:
        raise CallWrong(str(problem)) from problem
    if not found:
        raise CallWrong(f"there is no plan in {' '.join(paths)}")
    return [each for each in found if each.piece is not None], [each for each in found if each.piece is None]


def _times(path: str, paths: list[str]) -> int:
    """How often a plan is to be built: as often as it is named."""
    if path == STANDARD_INPUT:
        return 1
    named = sum(Path(each).samefile(path) for each in paths if Path(each).is_file())
    within = named and any(
        Path(each).is_dir() and Path(path).resolve().is_relative_to(Path(each).resolve()) for each in paths
    )
    if named > 1 or within:
        often = f"{named} times, as it is named" if named > 1 else "once (name it twice to build two)"
        tell(f"{path} is counted {often}{', though it lies in a folder that is named too' * bool(within)}")
    return max(1, named)


@contextmanager
def _laying() -> Iterator[Laying | None]:
    """Tells which stock is being laid out, where somebody watches: that may take some seconds each."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console  # noqa: PLC0415 - where somebody watches
    from rich.text import Text  # noqa: PLC0415

    def told(group: CutGroup) -> None:
        parts = sum(part.count for part in group.parts)
        shown.update(Text(f"laying out {parts} parts of {visible(group.stock.material.name)} …"))

    with Console(stderr=True).status("") as shown:
        yield told


def _write(sheet: ShopSheet, form: str, call: argparse.Namespace) -> None:
    if form == "text":
        if not call.to or call.to == "-":
            write_sheet(Page(), sheet)
            return

        page = StringIO()
        write_sheet(Page(page), sheet)
        put(page.getvalue(), call.to)
        return
    if form == "pdf":
        try:
            data = sheet_pdf(sheet, call.paper, _sketches_for_pdf(sheet))
        except NoPdf as problem:
            raise CallWrong(str(problem)) from problem
        put(data, call.to or "-")
        return
    put(_told(sheet, form), call.to or "-")


def _told(sheet: ShopSheet, form: str) -> str:
    if form == "csv":
        if sheet.stops:
            tell(
                f"do not cut yet: {count(len(sheet.stops), 'fault')} that planlint inspect tells stand in no CSV"
            )
        return sheet_csv(sheet)
    if form == "json":
        return json.dumps(sheet_json(sheet), indent=2, allow_nan=False) + "\n"

    sketches = {number: svg(each, alone=False) for number, each in _sketches(sheet).items()}
    return sheet_html(sheet, sketches, style(".sheet "))


def _sketches(sheet: ShopSheet) -> dict[int, Sheet]:
    """A picture of each step, by its number; of very many the first."""
    piece = sheet.piece
    return (
        {}
        if piece is None
        else {step.number: step_sketch(piece, step) for step in sheet.steps[:MOST_SKETCHES]}
    )


def _sketches_for_pdf(sheet: ShopSheet) -> dict[int, Sketch]:
    return {
        number: Sketch(each.wide * POINT, each.high * POINT, partial(draw_sheet, sheet=each))
        for number, each in _sketches(sheet).items()
    }

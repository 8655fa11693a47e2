"""``planlint draw PLAN --to FILE``: what a plan says, to look at."""

import argparse
import sys

from planlint.command.inspected_plan import inspected_plan
from planlint.command.output_files import keep_apart, put
from planlint.command.stderr_notes import tell
from planlint.command.usage_error import CallWrong, add_form, one_of
from planlint.drawings.missing_packages import ExtraNeeded
from planlint.drawings.page_html import page
from planlint.drawings.pdf_pages import pdf
from planlint.drawings.primitives import on_paper
from planlint.drawings.solids_file import glb
from planlint.drawings.svg_text import svg_of
from planlint.drawings.wanted_sheets import NOTHING_SAID, NotInPlan, Wanted, every_sheet, sheets_for
from planlint.inspection.inspection_result import Inspection
from planlint.inspection.plan_files import STANDARD_INPUT
from planlint.reports.page_layout import Page
from planlint.reports.text_report import write_inspection

_PAPERS = ("letter", "a4")
_FORMS = ("svg", "pdf", "html", "glb")


def add_words(parser: argparse.ArgumentParser) -> None:
    """The command's words and options."""
    parser.add_argument("plan", metavar="PLAN", help="a plan, or - for standard input")
    parser.add_argument(
        "--to",
        metavar="FILE",
        required=True,
        help=f"the drawing; its ending says the form: {', '.join(_FORMS)}; or -",
    )
    add_form(parser, *_FORMS, behind=", whatever the ending")
    parser.add_argument(
        "--view", metavar="NAME", help="one view, large: front, back, left, right, top, bottom, corner …"
    )
    parser.add_argument("--part", metavar="NAME", help="a part as it goes to the drill")
    parser.add_argument("--joint", metavar="NAME", help="a joint: where it lies, and a cut along its screws")
    parser.add_argument(
        "--finding",
        metavar="WHICH",
        help="a finding, by its number in the report, its rule, its joint or its part",
    )
    parser.add_argument("--step", metavar="N", type=_number, help="a step of the order of work")
    parser.add_argument(
        "--paper",
        metavar="NAME",
        type=one_of(*_PAPERS),
        help="letter or a4; as the plan counts, in inches or metric, where it is not said",
    )
    parser.set_defaults(run=_run)


def _number(word: str) -> int:
    if not word.isdecimal() or len(word) > 6:
        raise argparse.ArgumentTypeError(f"needs the number of a step, not {word[:20]!r}")
    return int(word)


def _run(call: argparse.Namespace) -> int:
    """0 drawn, 2 the plan could not be read, the drawing not written, or the call is wrong."""
    form = _form(call)
    if call.to != STANDARD_INPUT:
        keep_apart([call.to], [call.plan])
    inspection = inspected_plan(call.plan)
    if inspection.piece is None:
        write_inspection(Page(sys.stderr), inspection)
        return 2
    wanted = Wanted(call.view, call.part, call.joint, call.finding, call.step)
    try:
        with on_paper(call.paper):
            data = _drawing(inspection, wanted, form)
    except (NotInPlan, ExtraNeeded) as problem:
        raise CallWrong(str(problem)) from None
    put(data, call.to)
    for trouble in inspection.crashed:
        tell(f"drawn, but not checked whole: {trouble.says}")
    return 0


def _form(call: argparse.Namespace) -> str:
    if call.form:
        return str(call.form)
    ending = call.to.rpartition(".")[2].lower() if "." in call.to else ""
    if ending in _FORMS:
        return str(ending)
    listed = ", ".join(f".{form}" for form in _FORMS)
    if call.to == "-":
        raise CallWrong("--to - needs --as and a form")
    raise CallWrong(f"{call.to} does not say in which form to draw: end it in {listed}, or add --as")


def _drawing(inspection: Inspection, wanted: Wanted, form: str) -> str | bytes:
    piece = inspection.piece
    assert piece is not None
    whole = wanted == NOTHING_SAID
    if form in {"html", "glb"} and not whole:
        raise CallWrong(f"a {form} file shows the whole piece: leave the other options out")
    if form == "svg":
        return svg_of(list(sheets_for(inspection, wanted)))
    if form == "pdf":
        return pdf(every_sheet(inspection) if whole else sheets_for(inspection, wanted), piece.plan.title)
    if form == "glb":
        return glb(piece)
    return page(piece, inspection.findings, inspection.crashed)

"""Sheets as a PDF, each on a page of its own size, by reportlab (the extra ``draw``)."""

from collections.abc import Iterable
from io import BytesIO
from typing import Any

from planlint.drawings.missing_packages import needed
from planlint.drawings.piece_sheets import EDGE
from planlint.drawings.primitives import PENS, TONES, Area, Line, Sheet, Text, abbreviated, words_wide
from planlint.drawings.viewpoints import SeenAt
from planlint.reports.pdf_fonts import CODES, letters_written_out, points_wide, write
from planlint.reports.safe_words import visible
from planlint.text.rounding import LEAST_DIVISOR

POINT = 72 / 25.4
"""Points in a millimetre."""
_NARROWEST = 0.6
"""The share of their width to which words are pressed at the most. Basis: our own judgement."""
_WHOLE = 18
"""Letters of what is written out that stand whatever was laid out, three codes: what is shorter could be any part."""


def pdf(sheets: Iterable[Sheet], title: str) -> bytes:
    """The pages; the same bytes for the same sheets. Raises ``ExtraNeeded`` without the extra ``draw``."""
    with needed("a PDF"):
        from reportlab.pdfgen.canvas import Canvas  # noqa: PLC0415
    out = BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1)
    canvas.setTitle(visible(title))
    told = False
    for sheet in sheets:
        canvas.setPageSize((sheet.wide * POINT, sheet.high * POINT))
        canvas.bookmarkPage(sheet.name)
        canvas.addOutlineEntry(visible(sheet.title), sheet.name)
        draw_sheet(canvas, sheet)
        if not told and any(
            isinstance(item, Text) and letters_written_out(item.words) for item in sheet.items
        ):
            told = True
            write(canvas, (EDGE * POINT, EDGE / 2 * POINT), CODES, 2.5 * POINT, "start")
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def draw_sheet(canvas: Any, sheet: Sheet) -> None:
    """A sheet on a canvas of reportlab's, its left lower corner where the canvas has its origin."""

    def at(point: SeenAt) -> SeenAt:
        return point[0] * POINT, (sheet.high - point[1]) * POINT

    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    for item in sheet.items:
        if isinstance(item, Area):
            canvas.setFillColor(TONES[item.tone])
            canvas.drawPath(_path(canvas, [at(p) for p in item.points], closed=True), stroke=0, fill=1)
    for kind, pen in PENS.items():
        canvas.setStrokeColor(TONES[pen.tone])
        canvas.setLineWidth(pen.wide * POINT)
        canvas.setDash([each * POINT for each in pen.dashes])
        for item in sheet.items:
            if isinstance(item, Line) and item.kind == kind:
                canvas.drawPath(
                    _path(canvas, [at(p) for p in item.points], closed=item.closed), stroke=1, fill=0
                )
    for item in sheet.items:
        if isinstance(item, Text):
            _write(canvas, item, at(item.at))


def _path(canvas: Any, points: list[SeenAt], *, closed: bool) -> Any:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    if closed:
        path.close()
    return path


def _write(canvas: Any, text: Text, at: SeenAt) -> None:
    canvas.saveState()
    canvas.translate(*at)
    canvas.rotate(text.turn)
    canvas.setFillColor(TONES[text.tone])
    words, size = text.words, text.size * POINT
    if longer := letters_written_out(words, text.bold):
        # It is longer than what was laid out: narrower then, and with its middle left out.
        room = words_wide(text.words, text.size, text.bold)
        least = words_wide(longer[:_WHOLE], text.size, text.bold)
        words = abbreviated(longer, text.size, max(room / _NARROWEST, least), text.bold)
        pressed = room * POINT / max(points_wide(words, size, text.bold), LEAST_DIVISOR)
        canvas.scale(max(_NARROWEST, min(1.0, pressed)), 1.0)
    write(canvas, (0.0, 0.0), words, size, text.anchor, text.bold)
    canvas.restoreState()

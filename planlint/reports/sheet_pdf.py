"""The shop sheet as PDF, Letter or A4, by reportlab (the extra ``sheet``)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from io import BytesIO
from typing import TYPE_CHECKING, Any, NamedTuple

from planlint.reports.pdf_fonts import CODES, font_runs, letters_written_out, marked_up, points_wide, write
from planlint.reports.sheet_document import sheet_sections, without_pictures
from planlint.reports.sheet_section import Picture, Section, unbroken
from planlint.reports.steps_report import StepLine, sheet_steps
from planlint.reports.two_columns import GUTTER, two_columns
from planlint.sheet.shop_sheet import ShopSheet
from planlint.text.sayings import Saying

if TYPE_CHECKING:
    from reportlab.lib.styles import ParagraphStyle

    from planlint.geometry.piece import Piece

PAPERS = {"letter": (612.0, 792.0), "a4": (595.27, 841.89)}
"""Points of 1/72 in: ANSI/ASME Y14.1 size A, and ISO 216 A4."""
MARGIN = 40.0
SKETCHES = (0.84, 0.76)
"""The share of a column that the picture of a step takes, and what it takes where the pages would be too many. Basis:
our own judgement: names in it are no lower than 5 points."""
MOST_PAGES = 4
"""Pages of one piece that pictures are made smaller for."""
_BESIDE = 7.0
"""Points that a cell of a table keeps free beside its words."""
FINE = 0.1
"""Points that nobody sees."""
_STEP = 8.0
"""Points by which a column of a table grows."""
_SHORT = 0.15
"""The share of a line up to which a column of a table is never wrapped. Basis: our own judgement."""


class NoPdf(RuntimeError):  # noqa: N818 - says what is missing
    """The extra that writes PDF is not installed."""


class Sketch(NamedTuple):
    """A picture of a step: points wide and high, and what draws it on a canvas from its left lower corner."""

    wide: float
    high: float
    draw: Callable[[Any], None]


def sheet_pdf(sheet: ShopSheet, paper: str = "letter", sketches: Mapping[int, Sketch] | None = None) -> bytes:
    """The pages, with ``sketches`` beside the steps, by their number. ``paper`` is a key of ``PAPERS``.

    Raises ``NoPdf`` without the extra ``sheet``.
    """
    try:
        from reportlab.platypus import SimpleDocTemplate  # noqa: PLC0415
    except ImportError as problem:
        raise NoPdf("a PDF needs the extra `sheet`: pip install 'planlint[sheet]'") from problem
    size = PAPERS[paper]
    for broad in SKETCHES:
        out = BytesIO()
        document = SimpleDocTemplate(
            out,
            pagesize=size,
            **{f"{side}Margin": MARGIN for side in ("left", "right", "top", "bottom")},
            title=f"Shop sheet: {sheet.title}",
            invariant=1,
        )

        def foot(canvas: Any, _document: Any) -> None:
            write(canvas, (MARGIN, MARGIN / 2), sheet.title[:90], 7, "start")
            write(canvas, (size[0] - MARGIN, MARGIN / 2), f"page {canvas.getPageNumber()}", 7, "end")

        document.build(
            _story(sheet, size[0] - 2 * MARGIN, sketches or {}, broad), onFirstPage=foot, onLaterPages=foot
        )
        if document.page <= MOST_PAGES or not sketches:
            break
    return out.getvalue()


def _story(sheet: ShopSheet, room: float, sketches: Mapping[int, Sketch], broad: float) -> list[Any]:
    """All that stands on the pages; the pictures of steps ``broad``, a share of a column."""
    page, column = _Pages(room), _Pages((room - GUTTER) / 2)
    story = [page.title(f"Shop sheet: {sheet.title}")]
    names = [part.name for part in sheet.piece.plan.parts] if sheet.piece is not None else []
    if any(map(letters_written_out, (sheet.title, *names))):
        story.append(page.words(CODES, page.body))
    beside: list[Any] = []
    for section in sheet_sections(sheet):
        if section.narrow:
            beside += column.section(section)
            continue
        story += [two_columns(beside, room)] if beside else []
        story += page.section(section)
        beside = []
    if sheet.piece is not None and sheet.steps:
        beside += [column.heading("Order of work"), *column.steps(sheet, sheet.piece, sketches, broad)]
    return story + ([two_columns(beside, room)] if beside else [])


class _Pages:
    """Sections as what reportlab lays on pages ``room`` wide (points)."""

    def __init__(self, room: float) -> None:
        from reportlab.lib.styles import ParagraphStyle  # noqa: PLC0415

        self.room = room
        self.body = ParagraphStyle("body", fontName="Vera", fontSize=8, leading=10.2, spaceAfter=1.5)
        self.bold = ParagraphStyle("bold", parent=self.body, fontName="VeraBold")
        self.note = ParagraphStyle("note", parent=self.bold, spaceBefore=3, keepWithNext=True)
        self.caption = ParagraphStyle("caption", parent=self.body, spaceBefore=3, keepWithNext=True)
        self.step = ParagraphStyle("step", parent=self.body, fontSize=7.6, leading=9.4, spaceAfter=1)
        self.joint = ParagraphStyle("joint", parent=self.step, leftIndent=8, firstLineIndent=-8)
        self.item = ParagraphStyle("item", parent=self.body, leftIndent=16, firstLineIndent=-8)
        self.head = ParagraphStyle(
            "head", parent=self.note, fontSize=9.5, leading=12, spaceBefore=6, spaceAfter=2
        )
        self.top = ParagraphStyle("top", parent=self.head, fontSize=14, leading=17, spaceAfter=2)

    def title(self, words: str) -> Any:
        return self.words(words, self.top)

    def heading(self, words: str) -> Any:
        return self.words(words, self.head)

    def words(self, words: str, style: ParagraphStyle) -> Any:
        from reportlab.platypus import Paragraph  # noqa: PLC0415

        return Paragraph(marked_up(words, style.fontName == "VeraBold"), style)

    def section(self, section: Section) -> list[Any]:
        words = [self.words(each, self.body) for each in section.words]
        if section.boxed:
            return [self._box([self.heading(section.title.upper()), *words])]
        found: list[Any] = [self.heading(section.title), *words]
        if section.table and section.table.rows:
            for each in words[-1:]:
                each.keepWithNext = True
            found.append(self._table(section.table.head, section.table.rows))
        for note in section.notes:
            lines = [self.words(f"–  {line}", self.item) for line in note.lines]
            found += [self.words(note.title, self.note), *lines]
        found += [each for picture in section.pictures for each in self._picture(picture)]
        return found

    def _box(self, inside: list[Any]) -> Any:
        from reportlab.platypus import Table  # noqa: PLC0415

        return Table(
            [[each] for each in inside],
            colWidths=[self.room],
            style=[("BOX", (0, 0), (-1, -1), 2, "black"), ("TOPPADDING", (0, 0), (-1, -1), 2)],
        )

    def _table(self, head: Sequence[str], rows: Sequence[Sequence[str]]) -> Any:
        from reportlab.platypus import Table  # noqa: PLC0415

        cells = [[self.words(each, self.bold) for each in head]]
        cells += [[self.words(each, self.body) for each in row] for row in rows]
        style = [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LINEBELOW", (0, 0), (-1, -1), 0.4, "grey"),
            *((name, (0, 0), (-1, -1), 1) for name in ("TOPPADDING", "BOTTOMPADDING")),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ]
        return Table(cells, colWidths=self._widths(head, rows), repeatRows=1, style=style, hAlign="LEFT")

    def _widths(self, head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[float]:
        """Columns as wide as their words; where that is too much, as their longest word, and what is left goes step by
        step to the column that makes the table lower."""
        many = range(len(head))

        def points(words: str, bold: bool) -> float:
            return points_wide(words, self.body.fontSize, bold) + _BESIDE

        every = [
            [
                (points(cell, n == 0), max(points(word, n == 0) for word in unbroken(cell).split(" ")))
                for cell in row
            ]
            for n, row in enumerate((head, *rows))
        ]
        want = [max(row[n][0] for row in every) for n in many]
        words = [max(row[n][1] for row in every) for n in many]
        wide = [
            each if each < _SHORT * self.room else longest for each, longest in zip(want, words, strict=True)
        ]
        # Names longer than there is room for are broken.
        while sum(wide) > self.room:
            wide[wide.index(max(wide))] -= min(_STEP, sum(wide) - self.room)

        def lines(n: int, by: float) -> float:
            now = [each + (by if n == m else 0.0) for m, each in enumerate(wide)]
            return sum(max(row[m][0] / now[m] for m in many) for row in every)

        while (spare := self.room - sum(wide)) > FINE and (
            open_ := [n for n in many if wide[n] < want[n] - FINE]
        ):
            by = min(_STEP, spare)
            best = min(open_, key=lambda n: lines(n, by))
            wide[best] = min(want[best], wide[best] + by)
        return wide

    def _picture(self, picture: Picture) -> list[Any]:
        from reportlab.graphics.shapes import Circle, Drawing, Group, Line, Rect, String  # noqa: PLC0415
        from reportlab.lib.colors import Color  # noqa: PLC0415

        def middle(x: float, y: float, words: str, size: float) -> Any:
            x, found = x - points_wide(words, size) / 2, Group()
            for font, run in font_runs(words):
                found.add(String(x, y, run, fontName=font, fontSize=size))
                x += points_wide(run, size)
            return found

        broad = self.room
        scale = broad / picture.wide
        tall = max(picture.high * scale, 16.0)
        up = tall / picture.high
        drawing = Drawing(broad, tall + 4)
        ink, line = Color(0, 0, 0), {"strokeColor": Color(0, 0, 0), "strokeWidth": 0.6}
        drawing.add(Rect(0, 2, broad, tall, fillColor=None, strokeDashArray=(4, 3), **line))
        for slab in picture.slabs:
            x, y, wide, high = slab.x * scale, 2 + slab.y * up, slab.wide * scale, slab.high * up
            wood = Color(0.95, 0.9, 0.8)
            drawing.add(Rect(x, y, wide, high, fillColor=wood, **line))
            size = max(3.0, min(9.0, 0.8 * high, 1.6 * wide / len(slab.label)))
            drawing.add(middle(x + wide / 2, y + high / 2 - size / 3, slab.label, size))
        for cut in picture.cuts:
            (x1, y1), (x2, y2) = cut.start, cut.end
            ends = (x1 * scale, 2 + y1 * up, x2 * scale, 2 + y2 * up)
            drawing.add(Line(*ends, strokeColor=ink, strokeWidth=0.5))
        for cut in picture.cuts:
            x, y = cut.marked
            left, low = x * scale - (6 if cut.along else 0), 2 + y * up + (0 if cut.along else 5)
            drawing.add(Circle(left, low, 4.2, fillColor=Color(1, 1, 1), strokeColor=ink, strokeWidth=0.4))
            drawing.add(middle(left, low - 1.9, str(cut.number), 5.5))
        return [self.words(picture.title, self.caption), drawing]

    def steps(
        self, sheet: ShopSheet, piece: Piece, sketches: Mapping[int, Sketch], broad: float
    ) -> Iterator[Any]:
        """Each step's heading, its picture, what is said of it, and a paragraph for each joint."""
        told, behind = sheet_steps(piece, sheet.steps, sheet.stops)
        yield from (self.words(words, self.body) for words in without_pictures(sheet, sketches))
        for step, lines in zip(sheet.steps, told, strict=True):
            head, *rest = self._paragraphs(lines)
            yield head
            if step.number in sketches:
                yield _drawn(sketches[step.number], self.room * broad)
            yield from rest
        yield from self._paragraphs(behind)

    def _paragraphs(self, lines: Sequence[StepLine]) -> Iterator[Any]:
        """Lines run on: the heading alone, then what is of the whole step, then each joint with all that is of it."""
        from reportlab.platypus import Paragraph  # noqa: PLC0415

        found: list[tuple[ParagraphStyle, list[str]]] = []
        for line in lines:
            words = marked_up(line.words)
            if not line.depth and not line.label:
                found.append((self.note, [marked_up(line.words, bold=True)]))
            elif isinstance(line.words, Saying):
                _, joint, how = line.words.pieces
                found.append((self.joint, [f"–  {marked_up(joint, bold=True)}{marked_up(how)}."]))
            else:
                if not found or found[-1][0] is self.note or (line.depth < 2 and found[-1][0] is self.joint):
                    found.append((self.step, []))
                found[-1][1].append(f"{marked_up(f'{line.label}:', bold=True)} {words}.")
        return (Paragraph(" ".join(words), style) for style, words in found)


def _drawn(sketch: Sketch, wide: float) -> Any:
    """A sketch as something that flows, ``wide`` points."""
    from reportlab.platypus import Flowable  # noqa: PLC0415

    scale = wide / sketch.wide

    class Sketched(Flowable):  # type: ignore[misc]  # reportlab has no types
        keepWithNext = True  # noqa: N815 - so reportlab calls it

        def wrap(self, *_room: float) -> tuple[float, float]:
            return wide, sketch.high * scale

        def draw(self) -> None:
            self.canv.saveState()
            self.canv.scale(scale, scale)
            sketch.draw(self.canv)
            self.canv.restoreState()

    return Sketched()

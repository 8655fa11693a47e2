"""The shop sheet as one page that prints: no script, nothing fetched; pictures of boards and sheets drawn as SVG."""

import re
from collections.abc import Iterator, Mapping
from html import escape
from itertools import groupby

from planlint.reports.sheet_document import sheet_sections, without_pictures
from planlint.reports.sheet_section import Picture, Section, unbroken
from planlint.reports.steps_report import StepLine, sheet_steps
from planlint.sheet.shop_sheet import ShopSheet

_STYLE = """
:root { color-scheme: light dark; }
body { font: 11pt/1.4 system-ui, sans-serif; max-width: 60rem; margin: 1.5rem auto; padding: 0 1rem; }
h1 { font-size: 1.5rem; margin: 0 0 .5rem; }
h2 { font-size: 1.1rem; margin: 1.5rem 0 .3rem; border-bottom: 1px solid currentColor; }
p { margin: .3rem 0; overflow-wrap: anywhere; }
table { border-collapse: collapse; margin: .4rem 0; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .2rem .6rem .2rem 0; border-bottom: 1px solid #9996;
  overflow-wrap: anywhere; }
th { overflow-wrap: normal; }
.short { white-space: nowrap; }
.box { border: 3px double currentColor; padding: .3rem .8rem .6rem; margin: 1rem 0; }
.box h2 { border: 0; margin-top: .3rem; text-transform: uppercase; }
ul { margin: .1rem 0 .5rem; padding-left: 1.2rem; }
.pictures { display: flex; flex-wrap: wrap; gap: 1rem; margin: .6rem 0; }
figure { margin: 0; width: min(100%, 28rem); break-inside: avoid; }
figure.board { width: 100%; }
figcaption { font-size: .9rem; }
svg { width: 100%; height: auto; display: block; }
h3 { font-size: 1rem; margin: .5rem 0 .2rem; }
.step p { margin: .1rem 0; }
.step p.joint { margin-top: .4rem; font-style: italic; }
.step p.of { padding-left: 1.2rem; }
.step { display: flex; flex-wrap: wrap; gap: .5rem 1.5rem; border-bottom: 1px solid #9996; }
.step > div { flex: 1 1 26rem; }
.step figure { flex: 0 1 20rem; }
@media screen and (max-width: 40rem) {
  table { display: block; overflow-x: auto; font-size: .85rem; }
  th, td { overflow-wrap: normal; padding-right: .4rem; }
  td:last-child { min-width: 8rem; }
}
@media print {
  @page { margin: 13mm; }
  body { font-size: 8pt; line-height: 1.22; margin: 0; padding: 0; max-width: none; }
  h1 { font-size: 14pt; }
  h2 { font-size: 10pt; margin-top: .6rem; }
  h3 { font-size: 8pt; margin: .25rem 0 .1rem; }
  figcaption { font-size: 7.5pt; }
  h2, h3 { break-after: avoid; }
  tr, .box, figure { break-inside: avoid; }
  th, td { padding: .08rem .5rem .08rem 0; }
  .columns { columns: 2; column-gap: 6mm; }
  .step { display: block; }
  .step figure { width: 84%; margin: .1rem 0; break-before: avoid; }
  .step p, .step p.joint { margin: 0; }
  .step p.of, .step p.run { display: inline; padding: 0; }
  .step p.of::after, .step p.run::after { content: ". "; }
}
"""


def sheet_html(sheet: ShopSheet, sketches: Mapping[int, str] | None = None, style: str = "") -> str:
    """The page; every word of a plan in it is escaped.

    ``sketches`` are SVG elements that stand beside the steps, by their number, and ``style`` is what these ask for.
    """
    title = _words(sheet.title)
    return "\n".join(
        (
            "<!doctype html>",
            '<html lang="en"><head><meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">",
            f"<title>Shop sheet: {title}</title><style>{_STYLE}{style}</style></head><body>",
            f"<h1>Shop sheet: {title}</h1>",
            *_body(sheet, sketches or {}),
            "</body></html>\n",
        )
    )


def _words(words: str) -> str:
    """Escaped, and no mixed number broken at its dash, nor before its unit: 16-7/16 must not read as two."""
    return re.sub(r"(?<=\d)-(?=\d)", "-\u2060", escape(unbroken(words)))


def _body(sheet: ShopSheet, sketches: Mapping[int, str]) -> Iterator[str]:
    """Sections in their order; those for which half a page is wide enough, and the steps, print in two columns."""
    for narrow, sections in groupby(sheet_sections(sheet), key=lambda section: section.narrow):
        yield '<div class="columns">' if narrow else "<div>"
        yield from (line for section in sections for line in _section(section))
        yield "</div>"
    yield '<div class="columns">'
    yield from _steps(sheet, sketches)
    yield "</div>"


def _section(section: Section) -> Iterator[str]:
    box = ' class="box"' if section.boxed else ""
    yield f"<section{box}><h2>{_words(section.title)}</h2>"
    for words in section.words:
        yield f"<p>{_words(words)}</p>"
    if section.table and section.table.rows:
        yield "<table><thead><tr>"
        yield "".join(f'<th scope="col">{_words(word)}</th>' for word in section.table.head)
        yield "</tr></thead><tbody>"
        for row in section.table.rows:
            yield "<tr>" + "".join(map(_cell, row)) + "</tr>"
        yield "</tbody></table>"
    for note in section.notes:
        yield f"<p><strong>{_words(note.title)}</strong></p><ul>"
        yield "".join(f"<li>{_words(line)}</li>" for line in note.lines) + "</ul>"
    if section.pictures:
        yield '<div class="pictures">'
        for picture in section.pictures:
            kind = "board" if picture.wide > 4 * picture.high else "panel"
            yield f'<figure class="{kind}">{picture_svg(picture)}'
            yield f"<figcaption>{_words(picture.title)}</figcaption></figure>"
        yield "</div>"
    yield "</section>"


def _cell(words: str) -> str:
    short = ' class="short"' if len(words) <= _SHORT else ""
    return f"<td{short}>{_words(words)}</td>"


_SHORT = 14
"""Letters of a cell that is never broken. Basis: our own judgement, a mixed number with its unit."""


def picture_svg(picture: Picture) -> str:
    """A board or sheet to scale; a narrow board is drawn no flatter than a label is high."""
    wide, high = 400.0, 400.0 * picture.high / picture.wide
    tall = max(high, 24.0)
    x, y = wide / picture.wide, tall / picture.high
    size = min(16.0, max(8.0, tall / 3))
    told = ", ".join(slab.label for slab in picture.slabs)
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-1 -1 {wide + 2:.0f} {tall + 2:.1f}" role="img" '
        f'aria-label="{_words(picture.title)}: parts {_words(told)}">',
        f'<rect width="{wide:.0f}" height="{tall:.1f}" fill="none" stroke="currentColor" stroke-dasharray="4 3"/>',
    ]
    for slab in picture.slabs:
        left, top = slab.x * x, tall - (slab.y + slab.high) * y
        broad, deep = slab.wide * x, slab.high * y
        lines.append(
            f'<rect x="{left:.1f}" y="{top:.1f}" width="{broad:.1f}" height="{deep:.1f}" fill="#c9a46a" '
            f'fill-opacity=".35" stroke="currentColor"/>'
        )
        letters = min(size, 1.6 * broad / max(1, len(slab.label)), 0.9 * deep)
        lines.append(
            f'<text x="{left + broad / 2:.1f}" y="{top + deep / 2:.1f}" font-size="{letters:.1f}" fill="currentColor" '
            f'text-anchor="middle" dominant-baseline="central">{_words(slab.label)}</text>'
        )
    for cut in picture.cuts:
        (x1, y1), (x2, y2) = cut.start, cut.end
        lines.append(
            f'<line x1="{x1 * x:.1f}" y1="{tall - y1 * y:.1f}" x2="{x2 * x:.1f}" y2="{tall - y2 * y:.1f}" '
            'stroke="currentColor"/>'
        )
    for cut in picture.cuts:
        mark_x, mark_y = cut.marked
        left, top = (
            min(mark_x * x, wide) - (7 if cut.along else 0),
            tall - mark_y * y - (0 if cut.along else 6),
        )
        lines.append(
            f'<circle cx="{left:.1f}" cy="{top:.1f}" r="5.5" fill="Canvas" stroke="currentColor" stroke-width=".7"/>'
            f'<text x="{left:.1f}" y="{top:.1f}" font-size="7" fill="currentColor" text-anchor="middle" '
            f'dominant-baseline="central">{cut.number}</text>'
        )
    return "".join((*lines, "</svg>"))


def _steps(sheet: ShopSheet, sketches: Mapping[int, str]) -> Iterator[str]:
    if sheet.piece is None or not sheet.steps:
        return
    yield "<section><h2>Order of work</h2>"
    told, behind = sheet_steps(sheet.piece, sheet.steps, sheet.stops)
    yield from (f"<p>{_words(words)}</p>" for words in without_pictures(sheet, sketches))
    for step, lines in zip(sheet.steps, told, strict=True):
        yield f'<div class="step"><div>{"".join(map(_step_line, lines))}</div>'
        if step.number in sketches:
            yield f"<figure>{sketches[step.number]}</figure>"
        yield "</div>"
    yield f"{''.join(map(_step_line, behind))}</section>"


def _step_line(line: StepLine) -> str:
    if not line.depth and not line.label:
        return f"<h3>{_words(line.words)}</h3>"
    label = f"<b>{_words(line.label)}</b> " if line.label else ""
    kind = "of" if line.depth > 1 else "run" if line.label else "joint"
    return f'<p class="{kind}">{label}{_words(line.words)}</p>'

"""The page: one file that opens from disk without a network, with the piece to turn and all its drawings.

The turning view is three.js, carried by a Python package and written into the page; nothing is fetched. A content
security policy names the two scripts and the style sheet by their hashes, so that nothing else in the page can run.
"""

from __future__ import annotations

import json
from base64 import b64encode
from collections.abc import Sequence
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING

from planlint.drawings.finding_sheets import finding_drawing
from planlint.drawings.large_piece_limits import findings_drawn, not_drawn, ordered, parts_drawn, steps_drawn
from planlint.drawings.missing_packages import needed
from planlint.drawings.page_data import page_data
from planlint.drawings.part_sheets import part_sheets
from planlint.drawings.piece_sheets import in_doubt, overview
from planlint.drawings.primitives import Sheet
from planlint.drawings.step_sheets import step_sheet
from planlint.drawings.svg_text import style, svg
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.inspection.inspection_result import Trouble
from planlint.reports.safe_words import count, visible
from planlint.workplan.work_steps import work_steps

if TYPE_CHECKING:
    from jinja2 import Template

_FILES = Path(__file__).parent / "page_files"
_VIEWS = (
    ("front", "Front"), ("back", "Back"), ("left", "Left"), ("right", "Right"), ("top", "Top"), ("bottom", "Underside"),
    ("corner", "Corner"),
)  # fmt: skip


def page(piece: Piece, findings: Sequence[Finding], troubles: Sequence[Trouble] = ()) -> str:
    """The whole page; ``troubles`` are what kept the inspection from being whole.

    Raises ``ExtraNeeded`` where the packages that it takes are not installed.
    """
    html, library = template("page.html.jinja"), turning_library()
    steps = work_steps(piece) if ordered(piece) else ()
    shown = {place: finding_drawing(piece, findings[place], place + 1) for place in findings_drawn(findings)}
    data = page_data(piece, findings, steps, {place: between for place, (_, between) in shown.items()})
    sheets = [overview(piece), *(sheet for sheet, _ in shown.values())]
    sheets += [sheet for part in parts_drawn(piece) for sheet in part_sheets(piece, part)]
    if steps_drawn(piece):
        sheets += [step_sheet(piece, step, len(steps)) for step in steps]
    script = (_FILES / "page.js").read_text("utf-8")
    tally = _tally(findings)
    return html.render(
        title=visible(piece.plan.title) or "Untitled",
        tally=tally,
        joints=len(piece.plan.joins),
        parts=data["parts"],
        findings=data["findings"],
        drawn=shown,
        steps=data["steps"],
        doubts=[*in_doubt(piece), *(f"Not checked: {visible(trouble.says)}" for trouble in troubles)],
        not_drawn=not_drawn(piece, findings),
        views=_VIEWS,
        sheets=[_shown(sheet) for sheet in sheets],
        data=_safe_json(data),
        library=_markup(library),
        script=_markup(script),
        style=page_style(),
        script_marks=_markup(f"{_mark(library)} {_mark(script)}"),
        style_mark=style_mark(),
    )


def turning_library() -> str:
    """three.js with its orbit controls and wide lines, as one classic script. Raises ``ExtraNeeded``."""
    with needed("the page"):
        import jupyter_threejs_sage  # noqa: PLC0415 - only where a page is made
    builds = sorted(Path(jupyter_threejs_sage.__file__).parent.glob("static/r*/three.min.js"), key=_build)
    text = builds[-1].read_text("utf-8")
    assert "</script" not in text.lower()
    return text


def _build(path: Path) -> int:
    return int(path.parent.name[1:])


def sheets_page(title: str, lines: Sequence[str], sheets: Sequence[Sheet]) -> str:
    """A page of drawings only, without scripts. Raises ``ExtraNeeded``."""
    return template("sheets.html.jinja").render(
        title=visible(title),
        lines=[visible(line) for line in lines],
        sheets=[_shown(sheet) for sheet in sheets],
        style=page_style(),
        style_mark=style_mark(),
    )


def page_style() -> str:
    """The style sheet of every page."""
    return _markup(_look())


def style_mark() -> str:
    """Its hash, as a content security policy names it."""
    return _markup(_mark(_look()))


def _look() -> str:
    return (_FILES / "page.css").read_text("utf-8") + style(".drawings ")


def template(name: str) -> Template:
    """A page to be filled in: every word that goes in is escaped. Raises ``ExtraNeeded``."""
    with needed("the page"):
        import jinja2  # noqa: PLC0415 - only where a page is made
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_FILES),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        keep_trailing_newline=True,
    )
    return environment.get_template(name)


def _markup(text: str) -> str:
    """Text of our own that goes into the page as it is."""
    from markupsafe import Markup  # noqa: PLC0415 - comes with jinja2

    return Markup(text)


def _shown(sheet: Sheet) -> dict[str, str]:
    return {"id": sheet.name, "svg": _markup(svg(sheet, alone=False))}


def _safe_json(data: object) -> str:
    """JSON that ends no script element, whatever words are in it."""
    text = json.dumps(data, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    return _markup(text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026"))


def _mark(text: str) -> str:
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"


def _tally(findings: Sequence[Finding]) -> str:
    words = ("stop", "caution", "advice")
    counts = [f"{sum(finding.grade.word == word for finding in findings)} {word}" for word in words]
    return f"{count(len(findings), 'finding')}: {', '.join(counts)}." if findings else "Nothing is found."

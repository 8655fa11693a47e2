"""Drawings on paper: templates measured back, solids as GLB, pages of a collection, the pictures of the README."""

from __future__ import annotations

import io
import os
import struct
from math import hypot
from pathlib import Path

import pdfplumber
import pytest
import trimesh

from planlint.checks.row_view import rows
from planlint.command.main import main
from planlint.drawings.face_marks import from_joint
from planlint.drawings.finding_sheets import finding_sheet
from planlint.drawings.pdf_pages import pdf
from planlint.drawings.piece_sheets import overview
from planlint.drawings.primitives import Line, Sheet
from planlint.drawings.solids_file import glb
from planlint.drawings.svg_text import svg
from planlint.drawings.template_sheets import template_sheets
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import inspect_text
from planlint.reports.pdf_fonts import CODES
from planlint.text.source import PlanText
from tests.test_sheets import DEMO, inspected, off_the_paper, overlapping, piece_of

MM = 25.4 / 72
PICTURES = Path(__file__).parent.parent / "grammar" / "drawings"
RAIL = """plan "Rail"
{unit}
stock board of pine, {board}

part rail of board, {long} long, crosswise, facing front
part leg of board, {long} long, upright, facing front

join rail.left to leg.right
    flush top, front
    pockets at {places} from bottom in back
join rail.top to leg.bottom as resting
"""


def of(text: str) -> Piece:
    piece = inspect_text(PlanText("a.plan", text)).piece
    assert piece is not None
    return piece


def test_words_that_the_font_lacks_stay_on_the_paper() -> None:
    """They are written out, longer than they were laid out, and still lie before the sheet's own title; those that a
    further font has stand as they are."""
    title = "工作台与架子" * 12
    part = "part 桌子, полка, ράφι of board, 8 long, crosswise, facing up"
    piece = of(f'plan "{title}"\n\nstock board of pine, 3/4 x 5-1/2\n\n{part}\n')
    with pdfplumber.open(io.BytesIO(pdf([overview(piece)], "A"))) as printed:
        (page,) = printed.pages
        words = page.extract_words()
    (theirs,) = [each for each in words if each["text"].startswith("\\u5de5")]
    assert CODES in page.extract_text()
    assert {"полка", "ράφι"} <= {each["text"] for each in words}
    assert theirs["x1"] < next(each for each in words if each["text"] == "piece")["x0"]
    assert all(each["x0"] > 0 and each["x1"] < page.width for each in words)


@pytest.mark.parametrize(
    ("unit", "board", "long", "places", "bar"),
    [
        ("", "3/4 x 5-1/2", "8", ("1-1/2", "3-7/8"), 101.6),
        ("    unit mm\\n", "19 x 140", "300", ("38", "98"), 100.0),
    ],
    ids=["inch", "metric"],
)
def test_templates_measure_what_they_say(
    unit: str, board: str, long: str, places: tuple[str, str], bar: float
) -> None:
    """To a tenth of a millimetre, from the lines of the PDF: the check bar, and each mouth from edge and joint."""
    piece = of(
        RAIL.format(unit=unit.replace("\\n", "\n"), board=board, long=long, places=", ".join(places)).replace(
            "join rail.top to leg.bottom as resting\n", ""
        )
    )
    data = pdf(template_sheets(piece), "Rail")
    wanted = [1.5 * 25.4, 3.875 * 25.4] if not unit else [38.0, 98.0]
    with pdfplumber.open(io.BytesIO(data)) as printed:
        (page,) = printed.pages
        assert "Print at 100 %" in page.extract_text()
        lines = [
            (e["x0"] * MM, e["top"] * MM, e["x1"] * MM, e["bottom"] * MM, e["linewidth"] * MM)
            for e in page.edges
        ]
    level = [(x1 - x0) for x0, y0, x1, y1, _ in lines if abs(y1 - y0) < 0.01]
    assert min(abs(each - bar) for each in level) < 0.1
    wide = [each for each in lines if each[4] == pytest.approx(0.5, abs=0.01)]
    edge = max(y for x0, y, x1, _, _ in wide if x1 - x0 > 20 and abs(x1 - x0 - bar) > 0.2)
    joint = [x0 for x0, y0, x1, y1, _ in wide if x1 - x0 < 0.01 and y1 - y0 > 20]
    ticks = [
        (x0, (y0 + y1) / 2)
        for x0, y0, x1, y1, w in lines
        if x1 - x0 < 0.01 and y1 - y0 == pytest.approx(5.0, abs=0.05)
    ]
    assert sorted(edge - y for _, y in ticks) == pytest.approx(wanted, abs=0.1)
    (row,) = {row.number: row for row in rows(piece)}.values()
    for x, _ in ticks:
        assert min(abs(abs(x - at) - from_joint(row) * 25.4) for at in joint) < 0.1


def test_tiles_meet_at_their_marks() -> None:
    """Each cross of a seam stands on both tiles, at the same place of the part."""
    piece = piece_of(next(path for path in DEMO if path.stem == "hall-bench"))
    sheets = [sheet for sheet in template_sheets(piece) if "tile" in sheet.title]
    assert sheets
    seen: dict[str, int] = {}
    for sheet in sheets:
        for words in _marks(sheet):
            seen[f"{sheet.name.rpartition('-')[0]} {words}"] = (
                seen.get(f"{sheet.name.rpartition('-')[0]} {words}", 0) + 1
            )
    assert seen
    assert set(seen.values()) == {2}


def _marks(sheet: Sheet) -> list[str]:
    return [
        w
        for item in sheet.items
        if isinstance(w := getattr(item, "words", None), str) and len(w) == 4 and w[2] == "."
    ]


@pytest.mark.parametrize("path", DEMO[::5], ids=lambda path: path.stem)
def test_templates_keep_to_their_paper(path: Path) -> None:
    for sheet in template_sheets(piece_of(path)):
        assert off_the_paper(sheet) == []
        assert overlapping(sheet) == []
        assert any(isinstance(item, Line) for item in sheet.items)


def test_the_paper_is_the_one_asked_for(tmp_path: Path) -> None:
    to = tmp_path / "a.pdf"
    assert main(["draw", str(DEMO[0]), "--to", str(to), "--view", "front", "--paper", "a4"]) == 0
    with pdfplumber.open(to) as printed:
        assert {(round(page.width * MM), round(page.height * MM)) for page in printed.pages} == {(297, 210)}


def test_a_pdf_is_the_same_each_time_and_opens_at_each_sheet() -> None:
    piece = piece_of(DEMO[0])
    assert pdf([overview(piece)], "A") == pdf([overview(piece)], "A")


@pytest.mark.parametrize("path", DEMO[::6], ids=lambda path: path.stem)
def test_the_solids_of_a_glb_are_those_of_the_piece(path: Path) -> None:
    piece = piece_of(path)
    data = glb(piece)
    assert struct.unpack("<I", data[8:12])[0] == len(data)
    scene = trimesh.load(io.BytesIO(data), file_type="glb")
    assert isinstance(scene, trimesh.Scene)
    assert set(scene.geometry) == {part.name for part in piece.plan.parts}
    for part in piece.plan.parts:
        mesh = scene.geometry[part.name]
        box = float(part.length * part.width * part.thickness) * 0.0254**3
        assert 0 < mesh.volume <= box * 1.0001
        if piece.body(part).plain:
            assert mesh.volume == pytest.approx(box, rel=1e-4)


# ---------------------------------------------------------------- commands


def test_inspect_writes_a_page_for_each_plan_and_draws_none_twice(tmp_path: Path) -> None:
    pages = tmp_path / "pages"
    plans = tmp_path / "plans"
    (plans / "inner").mkdir(parents=True)
    for path, to in ((DEMO[0], plans / "a.plan"), (DEMO[-1], plans / "inner" / "index.plan")):
        to.write_bytes(path.read_bytes())
    (plans / "broken.plan").write_text("part\n")
    main(["inspect", str(plans), "--write", f"page={pages}"])
    found = sorted(
        path.relative_to(pages).as_posix().rpartition("plans/")[2] for path in pages.rglob("*.html")
    )
    assert len(found) == 3
    index = (pages / "index.html").read_text("utf-8")
    assert "broken.plan" in index
    assert "cannot be read" in index
    drawn = {path: path.stat().st_mtime_ns for path in pages.rglob("*.html") if path.name != "index.html"}
    (plans / "a.plan").write_text((plans / "a.plan").read_text("utf-8") + "# later\n", "utf-8")
    main(["inspect", str(plans), "--write", f"page={pages}"])
    again = {path: path.stat().st_mtime_ns for path in drawn}
    assert [path.name for path in drawn if drawn[path] != again[path]] == ["a.html"]


def test_mend_and_convert_draw_before_and_after(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    by_name = {path.stem: str(path) for path in DEMO}
    to = tmp_path / "a.html"
    main(["mend", by_name["workbench"], "--show", "--write", f"page={to}"])
    text = to.read_text("utf-8")
    assert "Before and after" in text
    assert "was 1 pocket in the left of stretch_l" in text
    main(["convert", by_name["lapped-frame"], "--write", f"page={to}"])
    assert "was half lap" in to.read_text("utf-8")
    # What was measured otherwise is told by its measures: how a tenon was made, and pockets that have moved.
    main(["convert", by_name["mortised-table"], "--write", f"page={to}"])
    assert "was mortise and tenon, 1 in long, 3/8 in thick, 3-1/2 in wide, haunched" in to.read_text("utf-8")
    main(["mend", by_name["parts-rack"], "--show", "--write", f"page={to}"])
    assert "at 72 and 198 mm from front; coarse 32 mm screws, was 2 pockets" in to.read_text("utf-8")
    assert main(["mend", by_name["workbench"], by_name["key-box"], "--show", "--write", f"page={to}"]) == 2
    assert main(["convert", by_name["workbench"], "--write", f"page={by_name['workbench']}"]) == 2
    capsys.readouterr()


# ---------------------------------------------------------------- the README's pictures


def pictures() -> dict[str, str]:
    bench = next(path for path in DEMO if path.stem == "workbench")
    inspection = inspected(bench)
    number, finding = next((n, f) for n, f in enumerate(inspection.findings, 1) if f.rule == "tip-through")
    return {
        "hall-bench.svg": svg(overview(piece_of(next(path for path in DEMO if path.stem == "hall-bench")))),
        "tip-through.svg": svg(finding_sheet(piece_of(bench), finding, number)),
    }


def test_the_pictures_of_the_readme_are_what_is_drawn_today() -> None:
    """Written anew where PLANLINT_DRAW_PICTURES is set."""
    for name, text in pictures().items():
        file = PICTURES / name
        if os.environ.get("PLANLINT_DRAW_PICTURES"):
            file.write_text(text, "utf-8")
        assert file.read_text("utf-8") == text
        assert f"grammar/drawings/{name}" in (PICTURES.parent.parent / "README.md").read_text("utf-8")


def test_a_curve_has_a_template_of_its_true_size(tmp_path: Path) -> None:
    """An arch 1-1/2 deep over 14 in, drawn by chords that lie within 1/128 in of it."""
    plan = tmp_path / "a.plan"
    plan.write_text(
        'plan "A"\n\nstock bar of pine, 1-1/2 x 3\n\npart rail, twin of bar, 20 long, crosswise, facing front\n'
        "    arch 1-1/2 deep along bottom, from 3 to 17\n"
    )
    sheets = [*template_sheets(piece_of(plan))]
    assert all("rail and twin, the front, along bottom" in sheet.says for sheet in sheets)
    middle = next(sheet for sheet in sheets if "tile 1 of" in sheet.says)
    lines = [item.points for item in middle.items if isinstance(item, Line) and item.kind == "seen"]
    curve = [at for points in lines for at in points if at[1] < middle.high - 30]
    base = max(y for _, y in curve)
    left = max(x for x, y in curve if abs(y - base) < 1e-6)  # Three inches from the left the arch starts.
    centre = base + (17.0 + 1 / 12 - 1.5) * 25.4
    for x, y in curve:
        if x > left + 0.1:
            assert hypot(x - left - 7 * 25.4, y - centre) == pytest.approx(
                (17 + 1 / 12) * 25.4, abs=25.4 / 128
            )
    assert base - min(y for _, y in curve) == pytest.approx(1.5 * 25.4, abs=25.4 / 128)

"""The shop sheet: three pieces worked by hand in full, and every form read back by somebody else's reader."""

from __future__ import annotations

import csv
import json
import re
import sys
import tomllib
from dataclasses import replace
from fractions import Fraction
from functools import cache
from html.parser import HTMLParser
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import jsonschema
import pdfplumber
import pytest

from planlint.checks.row_view import rows
from planlint.command.main import main
from planlint.geometry.shapes.vectors import dot, minus
from planlint.inspection.inspect_plan import inspect_text
from planlint.model.workshop import Buying, Settings
from planlint.reports.page_layout import Page
from planlint.reports.sheet_files import sheet_csv, sheet_json
from planlint.reports.sheet_html import sheet_html
from planlint.reports.sheet_pdf import PAPERS, sheet_pdf
from planlint.reports.sheet_schema import sheet_schema
from planlint.reports.sheet_text import write_sheet
from planlint.sheet.shop_sheet import ShopSheet, joined_sheet, shop_sheet
from planlint.text.source import PlanText

SCHEMA = sheet_schema()
DEMO = sorted((Path(__file__).parent.parent / "planlint" / "demo").glob("*.plan"))


def sheet_of(text: str, settings: Settings | None = None) -> ShopSheet:
    return shop_sheet(inspect_text(PlanText("test.plan", text), settings))


@cache
def demo(name: str) -> ShopSheet:
    return sheet_of(next(path for path in DEMO if path.stem == name).read_text(encoding="utf-8"))


def parts_of(sheet: ShopSheet) -> dict[tuple[str, ...], tuple[Fraction, Fraction, Fraction]]:
    return {
        part.names: (part.length, part.width, part.thickness) for group in sheet.parts for part in group.parts
    }


HANDWORKED = tomllib.loads((Path(__file__).parent / "handworked_sheets.toml").read_text(encoding="utf-8"))[
    "piece"
]


@pytest.mark.parametrize("worked", HANDWORKED, ids=lambda worked: worked["plan"])
def test_a_piece_worked_by_hand_in_full(worked: dict[str, Any]) -> None:
    sheet = demo(worked["plan"])
    told = sheet_json(sheet)
    parts = [[" ".join(p["names"]), p["length"], p["width"], p["thickness"]] for p in told["parts"]]
    assert parts == worked["parts"]
    for buy, (stock, count, *feet) in zip(told["buying"], worked["bought"], strict=True):
        assert stock in buy["written"]
        assert buy["count"] == count
        assert buy["board_feet"] == (pytest.approx(feet[0], abs=1e-3) if feet else None)
    write_sheet(Page(out := StringIO(), 200), sheet)
    text = " ".join(out.getvalue().split())
    assert all(words in text for words in worked["says"])
    assert [[s["way"], s["measure"], s["cuts"]] for s in told["saw_settings"]] == worked["settings"]
    assert [
        [s["what"], *(s["size"][:2] if s["size"] else ("", 0)), s["needed"], s["bought"]]
        for s in told["sundries"]
    ] == worked["sundries"]
    assert (told["finish"], told["glue"]) == (
        pytest.approx(worked["finish"], abs=1e-3),
        pytest.approx(worked["glue"], abs=1e-3),
    )
    set_ups = [
        [s["thickness"], s["setback"], s["depth"], sum(len(r["places"]) for r in s["rows"])]
        for s in told["drilling"]
    ]
    assert set_ups == [pytest.approx(each, abs=2e-3) for each in worked["set_ups"]]
    rows = [(r["part"], r["places"]) for s in told["drilling"] for r in s["rows"]]
    for part, places in worked["rows"].items():
        assert (part, pytest.approx(places, rel=0.01)) in rows


def test_bookcase_by_hand() -> None:
    """Shelves between sides of 3/4: 31-1/2 - 1-1/2 = 30. Six shelves and two sides 11-1/4 wide, a toe board of 3 x 30.

    Screws: 2 at each end of seven parts, and the toe board's top each 7 from 4-1/2 as far as 30 goes (4-1/2, 11-1/2,
    18-1/2, 25-1/2): 32. Sheet: of 8 ft by 4 the sides take one rip each of 72; the shelves three in each rip of 95, so
    two rips more: four rips of 11-1/4 and kerfs are 45-3/8 of the 48, and the toe board's 3 no longer fit.
    """
    sheet = demo("bookcase")
    sizes = {names: tuple(map(float, size[:2])) for names, size in parts_of(sheet).items()}
    shelves = ("shelf_1", "shelf_2", "shelf_3", "shelf_4", "high_shelf", "top_shelf")
    assert sizes == {
        ("side_l", "side_r"): (72.0, 11.25),
        shelves: (30.0, 11.25),
        ("toe_board",): (30.0, 3.0),
        ("back_panel",): (72.0, 31.5),
    }
    assert [(each.needed, each.bought) for each in sheet.sundries] == [(32, 36)]
    # Behind a side a rip has 23 left, and the toe board is 30 long: it takes a second sheet.
    assert [buy.count for buy in sheet.buying] == [2, 1]
    assert not sheet.stops


def test_picture_frame_by_hand() -> None:
    """Two rails of 24 and two stiles of 20, mitred; from 1x4 (dressed 3/4 x 3-1/2) of 8 ft: 88 and three kerfs of 95.

    Board feet count the nominal size: 1 x 4 x 96 / 144 = 2-2/3. Eight screws, and one spare.
    """
    text = next(path for path in DEMO if path.stem == "picture-frame").read_text(encoding="utf-8")
    sheet = sheet_of(text.replace("poplar, 1x4 ", "poplar, 1x4, 8 ft "))
    assert {names: size[0] for names, size in parts_of(sheet).items()} == {
        ("rail_t", "rail_b"): 24,
        ("stile_l", "stile_r"): 20,
    }
    (part, _) = sheet.parts[0].parts
    assert [(float(end.angle), end.tilted, end.long_at.value) for end in part.ends] == [
        (45.0, False, "top")
    ] * 2
    (cut,) = part.cut_outs
    assert (cut.kind, float(cut.wide), float(cut.deep), float(cut.away)) == ("rabbet", 0.375, 0.375, 0.0)
    (buy,) = sheet.buying
    assert buy.count == 1
    assert buy.board_feet == pytest.approx(96 * 4 / 144)
    assert [(each.needed, each.bought) for each in sheet.sundries] == [(8, 9)]


def test_an_arch_off_centre_is_set_out_in_the_side_that_it_hollows() -> None:
    """A circle of 10 in round a point 6 in left of the arch: 8 deep where it starts, square off the bottom where it
    ends."""
    (part,) = (
        sheet_of(
            'plan "Bracket"\nstock board of pine, 3/4 x 10\npart apron of board, 24 long, crosswise, facing front\n'
            "    arch through 8 at 6, 6 at 8, 0 at 10 along bottom\n"
        )
        .parts[0]
        .parts
    )
    (cut,) = part.cut_outs
    assert (cut.face.value, cut.runs.name, cut.whole) == ("bottom", "X", False)
    assert (cut.start, cut.stop) == (Fraction(6), Fraction(10))


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_every_part_is_cut_once_and_the_totals_hold(path: Path) -> None:
    inspection = inspect_text(PlanText(path.name, path.read_text(encoding="utf-8")))
    sheet = shop_sheet(inspection)
    assert inspection.piece is not None
    plan = inspection.piece.plan
    told = sorted(name for group in sheet.parts for part in group.parts for name in part.names)
    assert told == sorted(part.name for part in plan.parts)
    volume = sum(p.length * p.width * p.thickness * p.count for group in sheet.parts for p in group.parts)
    assert volume == sum(part.size[0] * part.size[1] * part.size[2] for part in plan.parts)
    pockets = sum(set_up.pockets for set_up in sheet.drilling)
    # Each setting of the fixture once: every one that any pocket needs, and no other.
    needed = {
        (
            round(p.setback, 6),
            round(dot(minus(p.shoulder, p.tail), p.direction), 6),
            row.part.size[row.asked.face.axis],
        )
        for row in rows(inspection.piece)
        for p in row.pockets
    }
    assert len(sheet.drilling) == len(needed)
    straight = sum(
        len(row.drives)
        for join in plan.joins
        for row in inspection.piece.fasteners(join)
        if row.fastening.kind == "screws"
    )
    assert pockets + straight == sum(each.needed for each in sheet.sundries if each.what == "screws")
    jsonschema.validate(json.loads(json.dumps(sheet_json(sheet))), SCHEMA)
    # As the order of work first needs them: no part's joint is drilled for after one that is made later.
    turn = [each.join for step in sheet.steps for one in step.each() for each in one.work]
    for set_up in sheet.drilling:
        places = [
            next(n for n, join in enumerate(turn) if {row.part, row.into} == {p.name for p in join.parts})
            for row in set_up.rows
        ]
        assert places == sorted(places)
    for buy in sheet.buying:
        if buy.boards:
            cut = sorted(p for board in buy.boards.boards for p in board.parts * board.count)
            assert len(cut) == sum(part.count for part in buy.parts)
        if buy.panels:
            laid = sorted(each.part for s in buy.panels.sheets for strip in s.strips for each in strip.parts)
            assert laid == list(range(sum(part.count for part in buy.parts)))


def test_each_step_has_its_picture(tmp_path: Path) -> None:
    """One beside each step's words, in the page and on paper: read back by readers of both."""
    plan = next(path for path in DEMO if path.stem == "apron-table")
    steps = len(demo("apron-table").steps)
    assert main(["sheet", str(plan), "--to", str(tmp_path / "s.html")]) == 0
    page = (tmp_path / "s.html").read_text(encoding="utf-8")
    for number in range(1, steps + 1):
        assert f'aria-labelledby="sketch-{number}-t sketch-{number}-d"' in page
    assert main(["sheet", str(plan), "--to", str(tmp_path / "s.pdf")]) == 0
    with pdfplumber.open(tmp_path / "s.pdf") as pdf:
        assert len(pdf.pages) <= 4
        drawn = [page for page in pdf.pages if len(page.curves) + len(page.lines) > 100]
        assert drawn
        for sheet in drawn:
            for line in [*sheet.curves, *sheet.lines]:
                assert 0 <= line["x0"] <= line["x1"] <= sheet.width
                assert 0 <= line["top"] <= line["bottom"] <= sheet.height


def test_a_long_sheet_has_four_pages_and_its_pictures_stay_readable(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The most that any demo has; where that were too many, pictures are smaller, their names 5 points at the least."""
    plan = next(path for path in DEMO if path.stem == "hall-bench")
    least: list[float] = []
    for most in (4, 1):
        monkeypatch.setattr("planlint.reports.sheet_pdf.MOST_PAGES", most)
        assert main(["sheet", str(plan), "--to", str(tmp_path / "s.pdf")]) < 2
        with pdfplumber.open(tmp_path / "s.pdf") as pdf:
            assert len(pdf.pages) <= 4
            least.append(
                min(char["size"] for page in pdf.pages for char in page.chars if char["text"] != " ")
            )
    assert 5 <= least[1] < least[0]


def test_what_runs_or_only_rests_takes_finish_where_it_meets_the_other() -> None:
    """By hand: 30 x 10 x 3/4 and 20 x 10 x 3/4 are 660 and 445 square inches; glued, 10 x 3/4 of each is hidden."""
    text = (
        'plan "Two"\n    unit inch\n    seen from nowhere\nstock ply of birch plywood, 3/4 thick, 48 x 96\n'
        "part side of ply, 30 long, 10 wide, upright, facing left\n"
        "part shelf of ply, 20 long, 10 wide, crosswise, facing up\n"
        "join shelf.left to side.right\n    flush front, bottom\n    {}\n"
    )
    finish = [
        sheet_of(text.format(how)).areas.finish * 144
        for how in ("glued", "pins 2, 5 mm thick", "slides 9 long")
    ]
    assert finish == pytest.approx([1105 - 15, 1105, 1105])
    dry = [sheet_of(text.format(how)).areas.dry for how in ("glued", "as dowels", "as dowels\n    glued")]
    assert dry == [0, 1, 0]


def test_plugs_are_of_the_shop_s_kind(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "planlint.toml").write_text('[buying]\nplugs = "oak, face grain"\n')
    text = next(path for path in DEMO if path.stem == "bookcase").read_text(encoding="utf-8")
    (tmp_path / "a.plan").write_text(text.replace("in bottom\n", "in bottom, plugged\n"))
    main(["sheet", str(tmp_path / "a.plan")])
    assert "plugs for pockets, oak, face grain (" in capsys.readouterr().out


HOSTILE = '=HYPERLINK("http://x")'
NAMED = f"""\
plan "<script>alert(1)</script> {HOSTILE.replace('"', "'")}"
    unit mm

stock board of oak, 20 x 100, 2400
part rail of board, 600 long, crosswise, facing front
"""


def test_csv_is_read_by_another_reader_and_holds_no_formula() -> None:
    rows = list(csv.reader(StringIO(sheet_csv(demo("base-cabinet")), newline="")))
    assert rows[0][:3] == ["parts", "count", "length (in)"]
    assert all(len(row) == len(rows[0]) for row in rows)
    assert float(rows[1][2]) * 25.4 == pytest.approx(float(rows[1][5]))
    assert not any(cell.lstrip()[:1] in {"=", "+", "-", "@"} for row in rows for cell in row if cell)
    assert "\r\n" in sheet_csv(demo("base-cabinet"))


def test_only_the_first_steps_have_pictures_and_that_is_told() -> None:
    sheet = demo("wall-cabinet")
    assert "Only the steps before 2 have a picture here" in sheet_html(sheet, {1: "<svg></svg>"})
    every = {step.number: "<svg></svg>" for step in sheet.steps}
    assert "Only the steps" not in sheet_html(sheet, every) + sheet_html(sheet)


def test_page_has_no_script_and_escapes_what_a_plan_says() -> None:
    page = sheet_html(sheet_of(NAMED))

    tags: set[str] = set()

    class Reader(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            tags.add(tag)
            assert not any(name.startswith("on") or name in {"src", "href"} for name, _ in attrs)

    Reader().feed(page)
    assert "script" not in tags
    assert "&lt;script&gt;" in page
    assert {"table", "svg", "figure"} <= tags


@cache
def long_named() -> ShopSheet:
    """The step stool, loaded, two of its parts with names of forty letters."""
    text = next(path for path in DEMO if path.stem == "step-stool").read_text(encoding="utf-8")
    return sheet_of(
        re.sub(r"\b(tread|side_l)\b", r"\1_of_the_stool_below_the_cellar_stairs", text)
        + "\nload 200 lb on step\n"
    )


@pytest.mark.parametrize("paper", PAPERS)
def test_pdf_says_what_the_text_says(paper: str) -> None:
    sheet = replace(long_named(), title="Табурет «σκαμνί» 書")
    data = sheet_pdf(sheet, paper)
    with pdfplumber.open(BytesIO(data)) as pdf:
        assert (float(pdf.pages[0].width), float(pdf.pages[0].height)) == pytest.approx(PAPERS[paper])
        words = " ".join((page.extract_text() or "") for page in pdf.pages)
        # What a column has no room for is broken, not run off the paper.
        for page in pdf.pages:
            assert max(float(char["x1"]) for char in page.chars) <= page.width - 33
    assert "DO NOT CUT YET" in words
    assert words.count("Табурет «σκαμνί» \\u66f8") == 1 + len(
        pdf.pages
    )  # Over the first page, and under each.
    for name in ("tread", "side_l", "wedge"):
        assert name in words
    assert sheet_pdf(sheet, paper) == data


def test_faults_stand_on_top_and_are_the_status(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    stool = next(path for path in DEMO if path.stem == "step-stool")
    assert main(["sheet", str(stool)]) == 1
    told = capsys.readouterr().out
    assert told.index("DO NOT CUT YET") < told.index("Parts to cut")
    sound = next(path for path in DEMO if path.stem == "bookcase")
    assert main(["sheet", str(sound), "--to", str(tmp_path / "s.json")]) == 0
    data = json.loads((tmp_path / "s.json").read_text(encoding="utf-8"))
    assert data == json.loads(json.dumps(sheet_json(demo("bookcase"))))
    assert data["weights"]["piece"] == pytest.approx(sum(data["weights"]["parts"].values()))
    assert {each["part"] for each in data["may_bear"]} >= {"shelf_1", "top_shelf"}
    assert next(each for each in data["screws_carry"] if each["joint"] == "shelf_2.left")["of_allowed"] > 0.1
    assert main(["sheet", str(sound), "--to", str(tmp_path / "s.doc")]) == 2
    assert "what form" in capsys.readouterr().err


ONE = """\
plan "{0}"
    unit inch

stock board of oak, 3/4 x 4, 8 ft
part rail of board, {1} long, crosswise, facing front
"""


def test_several_plans_share_boards() -> None:
    """By hand: two frames of one part of 40 each, from 8 ft: alone a board each, together one."""
    inspections = [inspect_text(PlanText(f"{n}.plan", ONE.format(n, 40))) for n in ("one", "two")]
    assert [shop_sheet(each).buying[0].count for each in inspections] == [1, 1]
    together = joined_sheet(inspections)
    assert together.buying[0].count == 1
    assert [part.names for part in together.parts[0].parts] == [("one: rail", "two: rail")]


def test_prices_come_from_the_shop() -> None:
    text = ONE.format("One", 60)
    stock = sheet_of(text).buying[0].stock
    sheet = sheet_of(text, Settings(buying=Buying(prices=((stock, 12.5),))))
    assert sheet.buying[0].price == pytest.approx(12.5)
    assert sheet_of(text).buying[0].price is None


@pytest.mark.parametrize("width", [30, 60, 120])
def test_text_keeps_to_its_width(width: int) -> None:
    out = StringIO()
    write_sheet(Page(out, width), demo("wall-cabinet"))
    assert max(map(len, out.getvalue().splitlines())) <= width


def test_without_the_extra_a_pdf_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setitem(sys.modules, "reportlab.platypus", None)
    assert main(["sheet", str(DEMO[0]), "--to", str(tmp_path / "s.pdf")]) == 2
    assert "planlint[sheet]" in capsys.readouterr().err


def test_a_metric_sheet_is_metric_throughout(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    """600 x 100 x 20 by hand: 2 x (0.06 + 0.002 + 0.012) = 0.148 square metres; 2400 of it 0.0048 cubic metres."""
    (tmp_path / "rail.plan").write_text(NAMED.replace(", 2400", ""))
    main(["sheet", str(tmp_path / "rail.plan")])
    told = capsys.readouterr().out
    assert "0.1 square metres" in told
    assert "0.005 cubic metres" in told
    assert "(`, 2400 mm`)" in told
    assert not [word for word in ("feet", " in,", " ft") if word in told]


ROUGH = """\
plan "Rails"
    unit inch
stock board of oak, 3/4 x 4, 96
for n in 1 to 3
    part rail_{n} of board, 31 long, crosswise, facing front, rough
"""


def test_rough_parts_are_laid_out_as_they_are_sawn() -> None:
    """Three of 31 are sawn to 32: 96 and two kerfs do not come out of the 95 between the trims of 8 ft: two boards."""
    (buy,) = sheet_of(ROUGH).buying
    assert buy.count == 2
    assert buy.board_feet == pytest.approx(2 * 96 * 1 * 4.125 / 144)
    # One part that is rough makes the boards rough: the others are planed out of them. 31 in are 787.4 mm.
    mixed = sheet_of(f"{ROUGH}part plain of board, 258 mm long, 2 wide, crosswise, facing front\n")
    assert all(entry["rough"] for entry in sheet_json(mixed)["parts"])
    assert sheet_json(mixed)["buying"][0]["as_sawn"]
    metric = sheet_of(
        'plan "M"\n    unit mm\nstock b of oak, 20 thick\npart a of b, 258 long, 90.5 wide, facing up, deep, rough\n'
    )
    assert sheet_json(metric)["parts"][0]["rough"] == [283, 94, 23]
    # What is sold planed under its nominal size has no wood left to plane: it is bought rough too, and counted by name.
    (buy,) = sheet_of(ROUGH.replace("3/4 x 4", "2x4")).buying
    assert buy.as_sawn == (Fraction(13, 8), Fraction(29, 8))
    assert buy.board_feet == pytest.approx(2 * 96 * 2 * 4 / 144)
    (buy,) = sheet_of(ROUGH.replace(", rough", "")).buying
    assert buy.count == 1
    assert buy.board_feet == pytest.approx(96 * 1 * 4 / 144)


@pytest.mark.parametrize(
    ("stock", "feet", "told"),
    [
        # A 1x4 of 8 ft is 1 x 4 x 8 / 12, a 5/4x6 5/4 x 6 x 8 / 12. Pine 4 in wide has no such name, nor has oak.
        ("pine, 3/4 x 3-1/2", 8 / 3, "2.7 board feet as 1x4"),
        ("pine, 1 x 5-1/2", 5, "5.0 board feet as 5/4x6"),
        ("Douglas fir, 1-1/2 x 9-1/4", 40 / 3, "13.3 board feet as 2x10"),
        ("pine, 3/4 x 4", 8 / 3, "2.7 board feet"),
        ("white oak, 3/4 x 3-1/2", 7 / 3, "2.3 board feet"),
    ],
)
def test_softwood_is_counted_by_the_size_it_is_sold_under(stock: str, feet: float, told: str) -> None:
    sheet = sheet_of(
        f'plan "Rail"\n    unit inch\nstock s of {stock}, 8 ft\npart rail of s, 80 long, crosswise, facing front\n'
    )
    assert sheet.buying[0].board_feet == pytest.approx(feet)
    page = StringIO()
    write_sheet(Page(page), sheet)
    assert re.search(r"1 of 96 in +(.*?)  ", page.getvalue())[1] == told  # type: ignore[index]


def test_csv_tells_of_grain_where_there_is_some_and_beside_it_not_to_cut(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    plan = tmp_path / "a.plan"
    plan.write_text(
        'plan "Two"\n    unit mm\nstock m of MDF, 18 thick\nstock p of birch plywood, 18 thick\n'
        + "".join(f"part in_{s} of {s}, 700 long, 300 wide, upright, facing left\n" for s in "mp")
    )
    assert main(["sheet", str(plan), "--as", "csv"]) == 1
    told = capsys.readouterr()
    assert [row["grain"] for row in csv.DictReader(StringIO(told.out))] == ["none", "along length"]
    assert "do not cut yet" in told.err


def test_one_screw_under_two_names_is_bought_once() -> None:
    """32 mm is what a metric plan calls 1-1/4 in: asked for at one joint, chosen at the other."""
    sheet = sheet_of(
        'plan "Rail"\n    unit mm\n    seen from nowhere\nstock board of ash, 20 x 90, 2400\n'
        "part rail_l, rail_r of board, 300 long, deep, facing left\n"
        "part bar of board, 400 long, crosswise, facing front\n"
        "join bar.left to rail_l.right\n    flush top, front\n    pockets 2 in back\n    screws fine 32\n"
        "join bar.right to rail_r.left\n    flush top, front\n    pockets 2 in back\n"
    )
    assert [(each.needed, each.size) for each in sheet.sundries] == [(4, ("fine", 1.25, 7))]


def test_plans_with_one_title_are_told_apart_by_their_files() -> None:
    sheet = joined_sheet([inspect_text(PlanText(f"{name}.plan", ROUGH)) for name in "ab"])
    names = [name for group in sheet.parts for part in group.parts for name in part.names]
    assert sorted(names) == [f"{plan}.plan: rail_{n}" for plan in "ab" for n in (1, 2, 3)]
    assert {finding.parts[0] for finding in sheet.stops} == set(names)

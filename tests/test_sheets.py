"""Sheets of real plans: whole, the same each time, and with nothing written over anything else."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from functools import cache
from itertools import combinations, pairwise, product
from math import hypot, radians, tan
from pathlib import Path

import pytest

from planlint.command.main import main
from planlint.drawings.joined_wood import bodies_as_cut
from planlint.drawings.part_sheets import part_sheets
from planlint.drawings.piece_sheets import overview, view_sheet
from planlint.drawings.primitives import Line, Sheet, Text
from planlint.drawings.svg_text import svg, svg_of
from planlint.drawings.text_overlaps import on_lines, text_box, texts_meet
from planlint.drawings.true_edges import faces
from planlint.geometry.let_in import overlap_of
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.cells import Box
from planlint.geometry.shapes.vectors import plus
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection
from planlint.inspection.plan_files import Refused, read_plan_file
from planlint.reports.sheet_html import picture_svg
from planlint.reports.sheet_section import Cut, Picture, Slab
from planlint.reports.steps_entry import steps_entry
from planlint.text.measures import to_sixteenth
from planlint.workplan.work_steps import work_steps

DEMO = sorted((Path(__file__).parent.parent / "planlint" / "demo").glob("*.plan"))
SVG = "{http://www.w3.org/2000/svg}"


@cache
def inspected(path: Path) -> Inspection:
    read = read_plan_file(str(path))
    assert not isinstance(read, Refused)
    return inspect_text(read)


def piece_of(path: Path) -> Piece:
    piece = inspected(path).piece
    assert piece is not None
    return piece


@cache
def every_sheet(path: Path) -> list[Sheet]:
    """The piece, three views and all parts."""
    piece = piece_of(path)
    views = [sheet for name in ("front", "bottom", "back-corner") for sheet in view_sheet(piece, name)]
    return [
        overview(piece),
        *views,
        *(sheet for part in piece.plan.parts for sheet in part_sheets(piece, part)),
    ]


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_no_words_lie_on_others_or_off_the_paper(path: Path) -> None:
    for sheet in every_sheet(path):
        assert overlapping(sheet) == [], sheet.name
        assert off_the_paper(sheet) == [], sheet.name
        assert on_the_drawing(sheet) == [], sheet.name


def on_the_drawing(sheet: Sheet) -> list[tuple[str, str]]:
    """Words through which a line runs that is part of what is drawn."""
    return [
        (text.words, line.kind)
        for text in sheet.items
        if isinstance(text, Text)
        for line in on_lines(text, sheet.items)
        if line.kind in {"seen", "fault", "changed", "unknown", "dimension" if "part-" in sheet.name else ""}
    ]


def overlapping(sheet: Sheet) -> list[tuple[str, str]]:
    texts = [item for item in sheet.items if isinstance(item, Text)]
    return [(a.words, b.words) for a, b in combinations(texts, 2) if texts_meet(a, b)]


def off_the_paper(sheet: Sheet) -> list[object]:
    found: list[object] = []
    for item in sheet.items:
        points = text_box(item) if isinstance(item, Text) else item.points
        if any(not (0 <= x <= sheet.wide and 0 <= y <= sheet.high) for x, y in points):
            found.append(item)
    return found


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_svg_is_whole_small_and_the_same_each_time(path: Path) -> None:
    sheets = list(every_sheet(path))
    for sheet in sheets:
        text = svg(sheet)
        root = ET.fromstring(text)
        assert root.tag == f"{SVG}svg"
        assert {each.tag.removeprefix(SVG) for each in root.iter()} <= {
            "svg",
            "title",
            "desc",
            "style",
            "path",
            "text",
        }
        assert len(text) < 60_000
    assert svg(sheets[0]) == svg(overview(piece_of(path)))
    ET.fromstring(svg_of(sheets))


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_distances_on_part_drawings_are_those_of_the_order_of_work(path: Path) -> None:
    piece = piece_of(path)
    unit = piece.plan.unit
    told: dict[str, list[str]] = {part.name: [] for part in piece.plan.parts}
    entry = steps_entry(str(path), piece, work_steps(piece))
    for row in (row for step in entry["steps"] for joint in step["joints"] for row in joint["rows"]):
        told[row["part"]] += [to_sixteenth(place, unit) for place in row["places"]]
    for part in piece.plan.parts:
        drawn = [
            item.words for sheet in part_sheets(piece, part) for item in sheet.items if isinstance(item, Text)
        ]
        for words in set(told[part.name]):
            assert drawn.count(words) >= told[part.name].count(words), (part.name, words)


def test_mouths_are_drawn_where_the_distances_say(tmp_path: Path) -> None:
    """At full size, a mouth lies as many mm from its edge as its distance says in inches."""
    plan = tmp_path / "a.plan"
    plan.write_text(
        'plan "A"\n\nstock board of pine, 3/4 x 5-1/2\n\npart rail of board, 8 long, crosswise, facing front\n'
        "part leg of board, 12 long, upright, facing front\n\njoin rail.left to leg.right\n    flush top, front\n"
        "    pockets at 1-1/2, 3-7/8 from bottom in back\n"
    )
    piece = piece_of(plan)
    (sheet,) = part_sheets(piece, piece.plan.part_by_name["rail"])
    mouths = [
        item.points
        for item in sheet.items
        if isinstance(item, Line) and item.closed and len(item.points) == 32
    ]
    middles = sorted(sum(y for _, y in points) / 32 for points in mouths)
    edges = [
        y for item in sheet.items if isinstance(item, Line) and item.kind == "seen" for _, y in item.points
    ]
    scale = (max(edges) - min(edges)) / 5.5
    assert [max(edges) - y for y in middles] == pytest.approx([3.875 * scale, 1.5 * scale], abs=1e-6)


def test_what_is_cut_into_a_side_is_drawn_where_the_plan_says(tmp_path: Path) -> None:
    """A mortise on its own side, both measured from the end that it lies at; a taper from the end that it is told from.
    A tenon 3/8 thick in the middle of a 1-1/2 rail set 1/4 back: 13/16 in from the front; 3 wide of 4: 1/2 from top."""
    plan = tmp_path / "a.plan"
    plan.write_text(
        'plan "A"\n\nstock post of pine, 2 x 2\nstock bar of pine, 1-1/2 x 4\n\n'
        "part leg of post, 20 long, upright, facing front\n    taper left to 1 at bottom, 6 from top\n"
        "part rail of bar, 12 long, crosswise, facing front\n\njoin rail.left to leg.right as mortise and tenon, "
        "tenon 1 long, 3/8 thick, 3 wide\n    flush top\n    set back 1/4 from front\n"
    )
    piece = piece_of(plan)
    (sheet,) = part_sheets(piece, piece.plan.part_by_name["leg"])
    words = [item.words for item in sheet.items if isinstance(item, Text)]
    assert any(each.startswith("The right, ") for each in words)
    assert {"0 at top", "1/2 in", "3-1/2 in", "6 in", "0 at front", "13/16 in", "1-3/16 in"} <= set(words)
    assert "0 at bottom" not in words
    # The rail: its shoulder 1 in from the end, and what is left of its width for the tenon.
    (sheet,) = part_sheets(piece, piece.plan.part_by_name["rail"])
    words = [item.words for item in sheet.items if isinstance(item, Text)]
    assert {"0 at left", "1 in", "0 at bottom", "1/2 in", "3-1/2 in"} <= set(words)


@pytest.mark.parametrize(
    "stem", ["mortised-table", "lapped-frame", "cope-and-stick-door", "dadoed-shelves", "hall-bench"]
)
def test_parts_as_cut_come_together_and_share_no_wood(stem: str) -> None:
    """Each tenon in its mortise, each lap in the other: what one keeps the other has lost."""
    piece = piece_of(next(path for path in DEMO if path.stem == stem))
    cells = [
        [Box(*(plus(body.origin, corner) for corner in cell.box)) for cell in body.own_cells]
        for body in bodies_as_cut(piece)
    ]
    for one, other in combinations(cells, 2):
        assert sum(both.volume for a, b in product(one, other) if (both := overlap_of(a, b))) < 1e-4
    if stem == "mortised-table":  # 37-1/2 x 4-1/2 x 3/4 less all but 3/8 x 3-1/2 of an inch at both ends.
        apron = cells[piece.plan.part_by_name["apron_f"].index]
        assert sum(box.volume for box in apron) == pytest.approx(
            37.5 * 4.5 * 0.75 - 2 * (4.5 * 0.75 - 3.5 * 0.375)
        )


def test_what_meets_a_side_is_drawn_on_it_where_the_plan_puts_it(tmp_path: Path) -> None:
    """Shelves 10 and 25 in up, butted to a side and set back 1/2 in from its front; a rail 30 in up whose arch
    begins at the side, drawn by chords."""
    plan = tmp_path / "a.plan"
    plan.write_text(
        'plan "A"\n\nstock board of pine, 3/4 x 9\nstock strip of pine, 3/4 x 8-1/2\n\n'
        "part side of board, 40 long, upright, facing left\npart low, high of strip, 20 long, crosswise, facing up\n\n"
        "join low.left to side.right\n    10 from bottom\n    set back 1/2 from front\n    pockets 2 in bottom\n\n"
        "join high.left to side.right\n    25 from bottom\n    set back 1/2 from front\n    pockets 2 in bottom\n\n"
        "part rail of strip, 20 long, crosswise, facing front\n    arch 50 radius along bottom\n"
        "join rail.left to side.right\n    30 from bottom\n    set back 1/2 from front\n    pockets 2 in back\n",
        "utf-8",
    )
    piece = piece_of(plan)
    (sheet,) = part_sheets(piece, piece.plan.part_by_name["side"])
    words = {text.words for text in sheet.items if isinstance(text, Text)}
    assert {
        "The right, 1:6",
        "10 in",
        "25 in",
        "30 in",
        "1/2 in",
        "low",
        "high",
        "rail",
        "0 at bottom",
    } <= words
    xs = sorted(
        {
            x
            for line in sheet.items
            if isinstance(line, Line) and line.kind == "neighbour"
            for x, _ in line.points
        }
    )
    wide = [b - a for a, b in pairwise(xs)]
    assert wide == pytest.approx([each * 25.4 / 6 for each in (8.5, 4.25, 0.75, 14.25, 0.75)])


def test_what_is_shaped_or_cut_is_seen_on_a_side_that_shows_it_whatever_is_drilled(tmp_path: Path) -> None:
    """An arch 1-1/2 deep over 14 in: (7 x 7 + 1-1/2 x 1-1/2) / (2 x 1-1/2), 17-1/12 in of radius. A dado is set out on
    the face that it is cut into, and not on the one behind."""
    plan = tmp_path / "a.plan"
    plan.write_text(
        'plan "A"\n\nstock board of pine, 3/4 x 9\nstock bar of pine, 1-1/2 x 3\n\n'
        "part side of board, 30 long, upright, facing left\n    dado 1/2 wide 1/4 deep across right, 10 from bottom\n"
        "part rail of bar, 20 long, crosswise, facing front\n    arch 1-1/2 deep along bottom, from 3 to 17\n"
        "part leg of bar, 20 long, upright, facing front\n    taper right to 1-1/4 at bottom, 6 from top\n"
        "join rail.left to side.right\n    flush back, top\n    screws 2 through side, gauge 8, 2-1/2 long\n"
        "join side.left to leg.right\n    flush top, front\n    screws 2 through side, gauge 8, 2-1/2 long\n"
        "part cap of bar, 4 long, crosswise, facing up\njoin cap.bottom to leg.top\n    flush left, front\n"
        "    screws 1 through cap, gauge 8, 3 long\n"
    )
    piece = piece_of(plan)

    def words(name: str) -> list[list[str]]:
        sheets = [*part_sheets(piece, piece.plan.part_by_name[name])]
        assert [pair for sheet in sheets for pair in overlapping(sheet)] == []
        return [[item.words for item in sheet.items if isinstance(item, Text)] for sheet in sheets]

    (rail,) = words("rail")
    assert {"3 in", "17 in", "1-1/2 in", "R 17-1/16 in", "0 at left", "0 at bottom"} <= {*rail}
    assert any(each.startswith("The front") for each in rail) and any(
        each.startswith("The left") for each in rail
    )
    by_side = [[each for each in sheet if each in {"10 in", "10-1/2 in"}] for sheet in words("side")]
    assert sorted(by_side) == [[], ["10 in", "10-1/2 in"]]
    leg = [each for sheet in words("leg") for each in sheet]
    assert "1-1/4 in" in leg and "6 in" in leg
    assert any(each.startswith("The top, ") for each in leg)


def test_holes_for_fasteners_lie_where_the_order_of_work_says(tmp_path: Path) -> None:
    """Clearance in the part that they go through and pilots in the other, in the same places; bolts through both."""
    plan = tmp_path / "a.plan"
    plan.write_text(
        'plan "A"\n\nstock board of pine, 1 x 8\n\npart side of board, 24 long, upright, facing left\n'
        "part rail of board, 20 long, crosswise, facing up\npart leg of board, 24 long, upright, facing left\n"
        "join rail.left to side.right\n    flush front, top\n"
        "    screws at 1-1/4, 5-1/8 from front through side, gauge 8, 2-1/2 long\n"
        "join leg.right to side.left\n    flush front, top\n"
        "    bolts at 3, 20 from bottom through leg, 5/16 thick, 3 long\n"
    )
    piece = piece_of(plan)
    for name, wanted in (
        ("side", {"1-1/4 in", "5-1/8 in", "3 in", "20 in", "23-1/2 in"}),
        ("rail", {"1-1/4 in", "5-1/8 in"}),
        ("leg", {"3 in", "20 in"}),
    ):
        (sheet,) = part_sheets(piece, piece.plan.part_by_name[name])
        assert wanted <= {item.words for item in sheet.items if isinstance(item, Text)}
        assert overlapping(sheet) == []
    (sheet,) = part_sheets(piece, piece.plan.part_by_name["rail"])
    holes = [i.points for i in sheet.items if isinstance(i, Line) and i.closed and len(i.points) == 24]
    outline = [
        x
        for i in sheet.items
        if isinstance(i, Line) and i.kind == "seen" and not i.closed
        for x, _ in i.points
    ]
    scale = (max(outline) - min(outline)) / 8
    middles = sorted(max(outline) - sum(x for x, _ in points) / 24 for points in holes)
    assert middles == pytest.approx([1.25 * scale, 5.125 * scale], abs=1e-6)
    assert "clearance" in " ".join(
        sheet.says for sheet in part_sheets(piece, piece.plan.part_by_name["side"])
    )


def test_draw_writes_a_file_and_tells_what_is_not_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = str(DEMO[0])
    to = tmp_path / "a.svg"
    assert main(["draw", plan, "--to", str(to)]) == 0
    ET.parse(to)
    assert main(["draw", plan, "--to", "-", "--as", "svg", "--view", "top"]) == 0
    ET.fromstring(capsys.readouterr().out)
    assert main(["draw", plan, "--to", str(tmp_path / "a.plan")]) == 2
    assert main(["draw", plan, "--to", str(tmp_path / "b.svg"), "--part", "nobody"]) == 2
    assert "there is no part 'nobody'" in capsys.readouterr().err
    assert not (tmp_path / "b.svg").exists()


def test_a_plan_that_is_not_read_gets_its_mistakes_and_no_drawing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = tmp_path / "a.plan"
    plan.write_text('plan "A"\n\npart rail of nothing, 8 long\n')
    to = tmp_path / "a.svg"
    assert main(["draw", str(plan), "--to", str(to)]) == 2
    assert not to.exists()
    assert "nothing" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("shape", "cut", "slope", "middle"),
    [
        # A chord of 40 in under a rise of 3 in: a radius of (400 + 9) / 6 in.
        ("arch 3 deep along bottom", "30, long at top", (8, -1), 3 - 409 / 6),
        ("bow 3 deep along bottom", "60, long at top", (8, -1), 409 / 6),
        ("bow 3 deep along bottom", "10, long at bottom", (0, 1), 409 / 6),
        ("arch through 0 at 0, 3 at 20, 0 at 40 along bottom", "45, long at top", (8, -1), 3 - 409 / 6),
    ],
)
def test_a_slanted_end_meets_a_curve_where_the_true_curve_does(
    tmp_path: Path, shape: str, cut: str, slope: tuple[int, int], middle: float
) -> None:
    """The lowest corner of the left end lies on the cut and on the circle, by hand, and not on a chord of it."""
    plan = tmp_path / "a.plan"
    plan.write_text(
        'plan "A"\n\nstock board of pine, 3/4 x 8\n\npart rail of board, 40 long, crosswise, facing front\n'
        f"    {shape}\n    left end cut {cut}\n",
        "utf-8",
    )
    (body,) = piece_of(plan).bodies
    lean = tan(radians(int(cut.partition(",")[0])))
    ends = [
        (x, z)
        for face in faces(body)
        for x, y, z in face.corners
        if y < 1e-9 and abs(x - lean * (slope[0] + slope[1] * z)) < 1e-7
    ]
    x, z = min(ends, key=lambda each: each[1])
    assert 0.1 < x < 19
    assert hypot(x - 20, z - middle) == pytest.approx(409 / 6, abs=1e-6)


@pytest.mark.parametrize("high", [48.0, 5.5, 1.5])
def test_a_cutting_picture_is_to_scale(high: float) -> None:
    """A board 96 in long is 400 units, a millimetre of it as much in height; one of 1-1/2 in is drawn 24 high, for its
    labels. What lies low on the board lies low on the picture, and numbers stand before the cuts they are of."""
    half = high / 2
    slabs = (
        Slab(0.0, 0.0, 48.0, half, "a <1>"),
        Slab(0.0, half, 30.0, half, ""),
        Slab(60.0, 0.0, 36.0, high, "b"),
    )
    cuts = (Cut(1, (48.0, 0.0), (48.0, high)), Cut(2, (0.0, half), (48.0, half)))
    drawn = ET.fromstring(picture_svg(Picture("Board & more", 96.0, high, slabs, cuts)))
    tall = max(24.0, 400 * high / 96)

    def numbers(node: ET.Element, *names: str) -> list[float]:
        return [float(node.attrib[name]) for name in names]

    def place(x: float, y: float) -> list[float]:
        return [400 * x / 96, tall * (1 - y / high)]

    svg = "{http://www.w3.org/2000/svg}"
    assert drawn.attrib["aria-label"] == "Board & more: parts a <1>, , b"
    assert [float(each) for each in drawn.attrib["viewBox"].split()] == pytest.approx(
        [-1, -1, 402, tall + 2], abs=0.1
    )
    board, *rects = drawn.findall(f"{svg}rect")
    assert numbers(board, "width", "height") == pytest.approx([400, tall], abs=0.06)
    texts = drawn.findall(f"{svg}text")
    for slab, rect, text in zip(slabs, rects, texts, strict=False):
        corner, size = numbers(rect, "x", "y"), numbers(rect, "width", "height")
        assert corner == pytest.approx(place(slab.x, slab.y + slab.high), abs=0.06)
        assert size == pytest.approx([400 * slab.wide / 96, tall * slab.high / high], abs=0.06)
        middle = place(slab.x + slab.wide / 2, slab.y + slab.high / 2)
        assert numbers(text, "x", "y") == pytest.approx(middle, abs=0.06)
        assert (text.text or "") == slab.label and 0 < numbers(text, "font-size")[0] <= min(
            16, 0.9 * size[1] + 0.06
        )
    for cut, line in zip(cuts, drawn.findall(f"{svg}line"), strict=True):
        ends = [*place(*cut.start), *place(*cut.end)]
        assert numbers(line, "x1", "y1", "x2", "y2") == pytest.approx(ends, abs=0.06)
    marks = [numbers(each, "cx", "cy") for each in drawn.findall(f"{svg}circle")]
    assert [text.text for text in texts[len(slabs) :]] == ["1", "2"]
    assert [numbers(text, "x", "y") for text in texts[len(slabs) :]] == marks
    for cut, mark in zip(cuts, marks, strict=True):
        x, y = place(*(cut.end if cut is cuts[1] else cut.start))
        assert mark == pytest.approx([x - 7, y] if cut is cuts[1] else [x, y - 6], abs=0.06)

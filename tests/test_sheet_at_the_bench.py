"""What the sheet tells where a plan is not plain sailing: joints not settled, parts too large, joinery, prices."""

from __future__ import annotations

import json
import re
from fractions import Fraction
from math import prod
from pathlib import Path

import jsonschema
import pdfplumber
import pytest

from planlint.command.main import main
from planlint.inspection.inspect_plan import inspect_text
from planlint.model.directions import Side
from planlint.model.plan import Size
from planlint.model.workshop import Buying, Settings
from planlint.reports.setout_words import works
from planlint.reports.sheet_files import sheet_json
from planlint.reports.sheet_schema import sheet_schema
from planlint.sheet.joint_setouts import shaped_parts, shoulders
from planlint.sheet.shop_sheet import ShopSheet, joined_sheet, shop_sheet
from planlint.text.source import PlanText
from tests.builders import exactly

DEMO = Path(__file__).parent.parent / "planlint" / "demo"
pytestmark = pytest.mark.usefixtures("unhurried")


def sheet_of(text: str, settings: Settings | None = None) -> ShopSheet:
    return shop_sheet(inspect_text(PlanText("test.plan", text), settings))


def told(text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """As in a pipe, whatever width the surroundings tell: tables keep their columns."""
    (tmp_path / "a.plan").write_text(text)
    with pytest.MonkeyPatch.context() as surroundings:
        surroundings.setenv("COLUMNS", "100")
        main(["sheet", str(tmp_path / "a.plan")])
    return " ".join(capsys.readouterr().out.split())


LOOSE = """\
plan "Shelf"
    unit inch
    seen from nowhere
stock board of red oak, 3/4 x 4, 8 ft
part side_l of board, 20 long, upright, facing left
part shelf of board, 30 long, crosswise, facing up
part cleat of board, 10 long, crosswise, facing front
join shelf.left to side_l.right
    flush front
    pockets 2 in bottom
join cleat.left to side_l.right as dowels, 3/8 thick, 2 long
    centred front to back
"""


def test_what_hangs_on_an_unsettled_joint_is_told_and_not_counted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet = sheet_of(LOOSE)
    assert [(each.joint, each.what, each.many) for each in sheet.unsettled] == [
        ("shelf.left", ("pockets",), 2),
        ("cleat.left", ("dowels",), None),
    ]
    assert not sheet.sundries
    words = told(LOOSE, tmp_path, capsys)
    assert (
        words.index("NOT COUNTED")
        < words.index("shelf.left: pockets, 2 in all")
        < words.index("Parts to cut")
    )
    assert "what holds shelf.left and cleat.left: not settled by the plan" in words[words.index("To buy") :]
    settled = sheet_of(
        LOOSE.replace("flush front", "flush front, top").replace(
            "front to back", "front to back\n    flush bottom"
        )
    )
    assert not settled.unsettled
    # One dowel for each 4 in at the most, two at the least: 4 in make 2; a tenth more is 3.
    dowels = [each for each in settled.sundries if each.what == "dowels"]
    assert [(each.needed, each.bought) for each in dowels] == [(2, 3)]
    # 2 long asks for 1-1/16 in each part: the side, 3/4 thick, has not so much.
    words = told(LOOSE.replace("front to back", "front to back\n    flush bottom"), tmp_path, capsys)
    assert (
        "3/8 in across, less than 3/4 in deep, which is all the wood there: as much deeper in the other part"
        in words
    )
    assert "3/8 in across, more than 1-3/8 in deep, for the other part is only 3/4 in thick there" in words


def test_a_mortised_table_can_be_cut_from_its_sheet() -> None:
    """By hand: aprons of 3/4 with tenons of 3/8 leave 3/16 on each face; 3-1/2 of 4-1/2 leaves 1 for the haunch at the
    top. The mortise lies 1/4 + 3/16 = 7/16 from the leg's face, from 1 to 4-1/2 under its top."""
    sheet = sheet_of((DEMO / "mortised-table.plan").read_text(encoding="utf-8"))
    by_name = {part.names[0]: part for group in sheet.parts for part in group.parts}
    leg, apron = by_name["leg_fl"], by_name["apron_f"]
    assert leg.names == ("leg_fl", "leg_fr", "leg_bl", "leg_br")
    for tenon in apron.shaped:
        found = shoulders(tenon, apron.first)
        assert found[Side.FRONT] == found[Side.BACK] == Fraction(3, 16)
        assert found[Side.TOP] == 1
        assert found[Side.BOTTOM] == 0
        assert tenon.haunch is Side.TOP
    right = next(each for each in leg.shaped if each.side is Side.RIGHT)
    assert right.low == (Fraction(9, 4) - 1, Fraction(7, 16), Fraction(113, 4) - Fraction(9, 2))
    assert right.high == (Fraction(9, 4), Fraction(7, 16) + Fraction(3, 8), Fraction(113, 4) - 1)


HANDED = """\
plan "Handed"
    unit mm
stock board of oak, 20 x 100
part one of board, 600 long, crosswise, facing front
    notch 30 x 40 at left top
    rabbet 5 x 10 along front bottom
part two of board, 600 long, deep, facing left
    notch 30 x 40 at {0} top
    rabbet 5 x 10 along left bottom
"""


@pytest.mark.parametrize(("end", "alike"), [("back", True), ("front", False)])
def test_mirror_images_are_not_the_same_part(end: str, alike: bool) -> None:
    """A board seen from its face: its left end is at the left of one that faces front, and at the back of one that
    faces left."""
    (group,) = sheet_of(HANDED.format(end)).parts
    assert (len(group.parts) == 1) is alike
    if not alike:
        assert group.parts[0].like == group.parts[1].mirrored


LARGE = """\
plan "Large"
    unit mm
stock ply of birch plywood, 18 thick, 1220 x 2440
stock bar of oak, 20 x 60, 2400
part top of ply, 2500 long, 600 wide, crosswise, facing up
part shelf_1, shelf_2 of ply, 800 long, 300 wide, crosswise, facing up
part long of bar, 2395 long, crosswise, facing front
part short of bar, 700 long, crosswise, facing front
"""


def test_one_part_too_large_stops_no_other(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = sheet_of(LARGE)
    assert [(buy.count, [part.names for part in buy.left_out]) for buy in sheet.buying] == [
        (1, [("top",)]),
        (1, [("long",)]),
    ]
    words = told(LARGE, tmp_path, capsys)
    assert "NOT LAID OUT, and not bought: top (No. 1), 2500 mm x 600 mm" in words
    assert "The most that is sold gives 2374.6 mm x 60 mm" in words  # 2400 less half an inch at each end
    data = sheet_json(sheet)
    jsonschema.validate(data, sheet_schema())
    assert (data["unit"], data["parts"][1]["length"], data["buying"][0]["size"]) == ("mm", 800, [2440, 1220])


def test_a_known_price_is_kept_beside_an_unknown_one_and_the_best_size_is_taken() -> None:
    """40 x 20 comes out of 48 x 24 as well as of 48 x 96: the small sheet is less wood; its price alone is known."""
    text = (
        'plan "Box"\n    unit inch\nstock ply of birch plywood, 3/4 thick\nstock bar of oak, 3/4 x 2, 8 ft\n'
        "part side of ply, 40 long, 20 wide, crosswise, facing up\npart rail of bar, 30 long, crosswise, facing front\n"
    )
    kept = sheet_of(
        text.replace("3/4 thick", "3/4 thick, 48 x 96")
        + "stock small of birch plywood, 3/4 thick, 24 x 48\npart lid of small, 9 long, 9 wide, crosswise, facing up\n"
    ).buying
    large, small = kept[0].stock, kept[2].stock
    sheet = sheet_of(text, Settings(stock=(large, small), buying=Buying(prices=((small, 30.0),))))
    assert [(buy.panel and buy.panel.length, buy.price, buy.unpriced) for buy in sheet.buying] == [
        (48, 30.0, 0),
        (None, None, 1),
    ]


def test_a_plan_named_twice_is_built_twice(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Three of 40: two come out of the 95 between the trims of one board, the third takes another."""
    plan = tmp_path / "a.plan"
    plan.write_text(
        'plan "Frame"\n    unit inch\nstock bar of oak, 3/4 x 2, 8 ft\n'
        "part rail of bar, 40 long, crosswise, facing front\n"
    )
    main(["sheet", str(plan), str(plan), str(plan), "--as", "json"])
    out = capsys.readouterr()
    data = json.loads(out.out)
    assert "counted 3 times" in out.err
    assert data["parts"][0]["names"] == ["Frame (1): rail", "Frame (2): rail", "Frame (3): rail"]
    assert data["buying"][0]["count"] == 2
    main(["sheet", str(plan), str(tmp_path), "--as", "json"])
    out = capsys.readouterr()
    assert "counted once" in out.err
    assert json.loads(out.out)["parts"][0]["count"] == 1


def test_plans_in_two_units_are_each_told_in_their_own(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bar = "of oak, 3/4 in x 2 in, 96 in\n"
    for name, unit, long in (("a", "inch", "30"), ("b", "mm", "764")):
        (tmp_path / f"{name}.plan").write_text(
            f'plan "{name}"\n    unit {unit}\nstock bar {bar}part rail of bar, {long} long, crosswise, facing front\n'
        )
    main(["sheet", str(tmp_path)])
    words = " ".join(capsys.readouterr().out.split())
    assert "count in inches and in millimetres" in words
    assert "764 mm (No. 1) + 30 in (No. 2)" in words
    assert joined_sheet([inspect_text(PlanText("a.plan", LARGE))] * 2).units == ()


def test_a_price_in_bare_millimetres_says_what_to_write(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "planlint.toml").write_text(
        '[buying]\nprices = ["birch plywood, 18 thick, 1220 x 2440 at 78.50"]\n'
    )
    (tmp_path / "a.plan").write_text(LARGE)
    assert main(["sheet", str(tmp_path / "a.plan")]) == 2
    said = " ".join("".join(capsys.readouterr()).split())
    assert "Write the unit behind each measure" in said
    assert "in the plan" not in said


def volume(low: Size | None, high: Size | None) -> Fraction:
    assert low is not None
    assert high is not None
    return prod((b - a for a, b in zip(low, high, strict=True)), start=Fraction(1))


@pytest.mark.parametrize("name", ["mortised-table", "breadboard-top", "hall-bench"])
def test_what_goes_in_fills_what_is_cut_out(name: str) -> None:
    """A tenon or tongue that stays within the other part is as large as what is cut out there for it."""
    piece = inspect_text(PlanText("a.plan", (DEMO / f"{name}.plan").read_text(encoding="utf-8"))).piece
    assert piece is not None
    made = [each for shaped in shaped_parts(piece).values() for each in shaped if each.boxed]
    tongues = sorted(volume(each.low, each.high) for each in made if each.stays)
    assert tongues
    assert tongues == sorted(volume(each.low, each.high) for each in made if not each.stays)


def test_laps_and_dovetails_by_hand() -> None:
    """Half laps of 2-1/2 with 3/8 of 3/4 left; the egg-crate of 6 is cut 3 deep, for the other's dado is 3: its middle
    lies 19 / 2 from the end. Tails through 3/4, pins as long as the other is thick; 7 in gives 4 tails."""

    def works_of(name: str) -> dict[str, list[str]]:
        sheet = sheet_of((DEMO / f"{name}.plan").read_text(encoding="utf-8"))
        return {part.names[0]: list(works(part, "in")) for group in sheet.parts for part in group.parts}

    lapped, box = works_of("lapped-frame"), works_of("dovetailed-box")
    assert lapped["rail_t"][1:] == [
        "lap 2-1/2 in wide, 3/8 in deep in the back, at the left",
        "lap 2-1/2 in wide, 3/8 in deep in the back, at the right",
    ]
    assert lapped["along"] == ["lap 3/4 in wide, 3 in deep in the bottom, 9-1/8 in from left"]
    assert "tails at the front, scribed 3/4 in from the end" in box["side_l"][2]
    assert "such as 4, 1-3/4 in from middle to middle" in box["side_l"][2]
    assert box["box_front"] == [
        "pins at the left and right, scribed 3/4 in from the end, marked from the tails"
    ]


TAPED = """\
plan "Taped"
    unit inch
    seen from nowhere
stock ply of birch plywood, 3/4 thick, 48 x 96
part side_l of ply, 20 long, 10 wide, upright, facing left
    taped front
    dado 3/4 wide 3/8 deep across right, 5 from bottom
part side_r mirrors side_l
part upper, lower of ply, 20 long, 10 wide, crosswise, facing up
    taped front
part inner of ply, 20 long, 10 wide, crosswise, facing up
part end_l of ply, 15 long, 10 wide, crosswise, facing up
    taped front
    taped left
part end_r mirrors end_l
"""


def test_edges_that_get_tape_are_named_and_make_sides_left_and_right() -> None:
    """A dadoed side with its front taped fits at one side only; the plain end, turned over, at both."""
    sheet = sheet_of(TAPED)
    rows = {part.names: part for group in sheet.parts for part in group.parts}
    assert set(rows) == {("side_l",), ("side_r",), ("upper", "lower"), ("inner",), ("end_l", "end_r")}
    assert rows["side_l",].like == rows["side_r",].mirrored
    assert tuple(works(rows["end_l", "end_r"], "in")) == (
        "as end_l lies",
        "veneer tape on the left and front",
    )
    data = sheet_json(sheet)
    jsonschema.validate(data, sheet_schema())
    assert [each["taped"] for each in data["parts"] if each["names"] in (["inner"], ["upper", "lower"])] == [
        ["front"],
        [],
    ]


def test_boards_kept_tell_how_wide_a_stock_of_one_thickness_is_sold() -> None:
    """By hand: two of 30 and a kerf come out of 72 less an inch; 72 x 6 by 1/2, counted as
    an inch, are 3 board feet. Melamine takes no finish: 4 x 5 x 30 + 4 x 30/2 + 4 x 5/2 = 670 square inches of
    poplar do."""
    text = 'plan "Slats"\n    unit inch\n    seen from nowhere\n'
    kept = sheet_of(
        f"{text}stock kept of poplar, 1/2 x 6, 6 ft\npart a of kept, 9 long, crosswise, facing up\n"
    )
    (buy, _) = (
        sheet := sheet_of(
            f"{text}stock thin of poplar, 1/2 thick\nstock white of melamine, 3/4 thick, 48 x 96\n"
            "part slat_1, slat_2 of thin, 30 long, 5 wide, crosswise, facing up\n"
            "part shelf of white, 30 long, 10 wide, crosswise, facing up\n",
            Settings(stock=(kept.buying[0].stock,)),
        )
    ).buying
    assert (buy.why, buy.count, buy.board_feet) == (None, 1, 3)
    assert sheet.areas.finish * 144 == pytest.approx(670)


@pytest.mark.parametrize(
    ("thick", "then"), [("1-1/2", "as much deeper in the other part"), ("3/4", "shorter ones are needed")]
)
def test_how_deep_dowels_go_between_two_faces(thick: str, then: str) -> None:
    """Bevels of both edges are told once. Dowels 2 in long take 2-1/8: 2-1/4 are there, or 1-1/2."""
    sheet = sheet_of(
        'plan "Faces"\n    seen from nowhere\nstock board of poplar, 3/4 x 5\n'
        f"stock other of poplar, {thick} x 5\n"
        "part a of board, 20 long, crosswise, facing front\n"
        "    top edge cut 30, long at front\n    bottom edge cut 30, long at front\n"
        "part b of other, 20 long, crosswise, facing front\n"
        "join b.back to a.front as dowels, 3/8 thick, 2 long\n    flush left, top\n    glued\n"
    )
    a = next(part for group in sheet.parts for part in group.parts if "a" in part.names)
    bevels, *others = works(a, "in")
    assert bevels == "both edges 30 degrees, blade tilted, long at front"
    assert f"less than 3/4 in deep, which is all the wood there: {then}" in " ".join(others)


def test_a_thin_bottom_goes_whole_into_its_groove_and_a_silent_haunch_is_told_so() -> None:
    drawer = sheet_of(
        'plan "Drawer"\n    unit inch\n    seen from nowhere\nstock wood of poplar, 1/2 x 5, 6 ft\n'
        "stock ply of birch plywood, 1/4 thick, 24 x 48\nstock post of oak, 2 x 2, 6 ft\n"
        "part front of wood, 16 long, crosswise, facing front\n"
        "part bottom of ply, 15 long, 9 wide, crosswise, facing up\n"
        "join bottom.front to front.back as tongue and groove, 3/16 deep\n"
        "    1/4 from bottom\n    centred left to right\n"
        "part leg of post, 20 long, upright, facing front\n"
        "part rail of wood, 12 long, crosswise, facing front\n"
        "join rail.left to leg.right as mortise and tenon, 1 long, 1/4 thick, haunched\n"
        "    flush top\n    centred front to back\n"
    )
    words = {part.names[0]: " ".join(works(part, "in")) for group in drawer.parts for part in group.parts}
    assert "stuff this thin commonly goes in whole" in words["bottom"]
    tongue = next(each for each in sheet_json(drawer)["parts"] if each["names"] == ["bottom"])["shaped"][0]
    assert not tongue["thick_said"]
    assert set(tongue["shoulders"]) == {"left", "right"}
    assert "haunched at the top, how long and how wide the plan does not say" in words["rail"]
    assert "the first 5 in from top, shallower at the top, for the haunch" in words["leg"]


def test_the_same_fault_at_joints_alike_is_told_once(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = told(
        'plan "Shelf"\n    unit inch\n    seen from front\nstock ply of birch plywood, 3/4 thick, 48 x 96\n'
        "part side_l, side_r of ply, 30 long, 10 wide, upright, facing left\n"
        "part shelf of ply, 24 long, 10 wide, crosswise, facing up\n"
        "join shelf.left, shelf.right to side_l.right, side_r.left\n"
        "    flush front\n    10 from bottom\n    pockets 2 in top\n    screws to suit\n",
        tmp_path,
        capsys,
    )
    assert words.count("hole-in-sight at shelf") == 1
    assert "The same at shelf.right." in words


def test_stock_of_one_name_in_two_plans_is_told_apart() -> None:
    plans = [
        inspect_text(
            PlanText(
                f"{wood}.plan",
                f'plan "{wood}"\n    unit inch\nstock board of {wood}, 3/4 x 4, 8 ft\n'
                "part rail of board, 30 long, crosswise, facing up\n",
            )
        )
        for wood in ("red oak", "pine")
    ]
    data = sheet_json(joined_sheet(plans))
    jsonschema.validate(data, sheet_schema())
    bought = {each["names"][0]: data["buying"][each["bought"]]["written"] for each in data["parts"]}
    assert "red oak" in bought["red oak: rail"]
    assert "pine" in bought["pine: rail"]


SLATTED = """\
plan "Slats"
    unit inch
    seen from nowhere
let between = (60 - 5 * 3-1/2) / 4
stock beam of douglas fir, 2x4
stock lath of pine, 1x4
part ledge of beam, 60 long, deep, facing left
for n in 1 to 5
    part slat_{n} of lath, 20-1/3 long, crosswise, facing up
    join slat_{n}.bottom to ledge.top as resting
        flush left
        (n - 1) * (3-1/2 + between) + 1/7 from front
"""


def test_what_no_rule_shows_is_told_by_its_nearest_mark_or_a_spacer(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """42-1/2 over 4 gaps: 10-5/8. 1/7 is 0.143, next to 5/32 (0.156) nearer than 1/8; 56-1/2 + 1/7 is 56-9/14."""
    words = told(SLATTED, tmp_path, capsys)
    assert "20-11/32 in (20.333) 3-1/2 in 3/4 in square slat_1 through slat_5" in words
    assert "flush left, 5/32 in (0.143) from front" in words
    assert "even gaps of 10-5/8 in by a spacer, the last 56-21/32 in (56.643) from front" in words
    assert "96 in: Douglas-fir, 2x4; pine, 1x4. If yours differ" in words


def test_gaps_that_are_not_even_are_no_spacer(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    uneven = SLATTED.replace("(n - 1) * (3-1/2 + between)", "max(n, 4) / 9 + (n - 1) * (3-1/2 + between)")
    assert "spacer" in told(SLATTED, tmp_path, capsys)
    assert "spacer" not in told(uneven, tmp_path, capsys)


def test_inserts_are_bought_with_their_bolts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bolted = LOOSE.replace(
        "    pockets 2 in bottom\n",
        "    flush top\n    bolts 2 through side_l, 5/16 thick, 2 long, into inserts\n",
    )
    assert "2 threaded inserts for bolts" in told(bolted, tmp_path, capsys)


def test_heads_are_bored_in_for_as_wide_as_their_plugs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """By hand: a No. 8 is 0.164 thick and its head 0.328, so 3/8; in a metric plan 8.33 mm, so 10."""
    for unit, sunk, wide in (("inch", "3/8", "3/8 in"), ("mm", "10", "10 mm")):
        words = told(
            f'plan "Bench"\n    unit {unit}\n    seen from nowhere\nstock board of red oak, 3/4 in x 8 in\n'
            "part leg of board, 17 in long, upright, facing right\n"
            "part seat of board, 36 in long, crosswise, facing up\n"
            "join seat.bottom to leg.top\n    flush left, front\n    screws at 1-1/2 in, 6-1/2 in from front through "
            f"top, gauge 8, 2 in long, sunk {sunk}, plugged\n",
            tmp_path,
            capsys,
        )
        assert f"plugs {wide} across for the heads of No. 8 screws" in words
        assert f"head sunk {sunk} {wide.split()[1]}, counterbore {wide} across, plugged" in words


PANEL_SIZES = [(60, 29), (34, 29), (34, 18), (30, 9), (29, 9), (30, 8), (29, 8)]
PANELS = 'plan "Panels"\n    unit inch\n    seen from nowhere\n' + (
    "stock ply of birch plywood, 3/4 thick, 48 x 96\n"
    + "".join(
        f"part p_{n} of ply, {a} long, {b} wide, crosswise, facing up\n"
        for n, (a, b) in enumerate(PANEL_SIZES)
    )
)


def test_the_numbered_cuts_of_a_sheet_leave_every_part_at_its_size(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each line of the table cuts the one piece that holds the parts it names; played back with a kerf of 1/8 in."""
    lines = re.findall(
        r"\((\d+)\) (crosscut|rip) (\S+) in for ((?:No\. \d+(?: \+ )?)+)(; from the rest [^;(]*|; the rest is left)",
        told(PANELS, tmp_path, capsys),
    )
    pieces: dict[frozenset[int], tuple[Fraction, Fraction]] = {
        frozenset(range(1, 8)): (Fraction(95), Fraction(48))
    }
    for number, (place, way, measure, off, rest) in enumerate(lines, 1):
        assert int(place) == number
        taken, left = (frozenset(map(int, re.findall(r"No\. (\d+)", each))) for each in (off, rest))
        long, wide = pieces.pop(taken | left)
        at, kerf = exactly(measure), Fraction(1, 8)
        pieces[taken] = (at, wide) if way == "crosscut" else (long, at)
        if left:
            pieces[left] = (long - at - kerf, wide) if way == "crosscut" else (long, wide - at - kerf)
    assert pieces == {frozenset({n}): (Fraction(a), Fraction(b)) for n, (a, b) in enumerate(PANEL_SIZES, 1)}


def test_a_sheet_is_drawn_to_scale_on_paper(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Parts as large as they are on a sheet of 96 x 48 in, within it, and each cut in the kerf between two of them."""
    (tmp_path / "a.plan").write_text(PANELS)
    main(["sheet", "--to", str(tmp_path / "a.pdf"), str(tmp_path / "a.plan")])
    capsys.readouterr()
    with pdfplumber.open(tmp_path / "a.pdf") as pdf:
        rects, cuts = pdf.pages[0].rects, [each for each in pdf.pages[0].lines if each["linewidth"] == 0.5]
    (sheet,) = (each for each in rects if each["dash"][0])
    inch = sheet["width"] / 96
    assert sheet["height"] == pytest.approx(48 * inch)

    def at(each: dict[str, float]) -> tuple[float, float, float, float]:
        x0, x1 = ((each[x] - sheet["x0"]) / inch for x in ("x0", "x1"))
        y0, y1 = ((each[y] - sheet["y0"]) / inch for y in ("y0", "y1"))
        return x0, y0, x1, y1

    parts = [at(each) for each in rects if each is not sheet and each["width"] > 8 * inch]
    drawn = sorted((round(x1 - x0, 3), round(y1 - y0, 3)) for x0, y0, x1, y1 in parts)
    assert drawn == sorted(PANEL_SIZES)
    assert len(cuts) == 10
    for x0, y0, x1, y1 in map(at, cuts):
        assert min(x0, y0) > -0.01 and x1 < 96.01 and y1 < 48.01
        up = x1 - x0 < 0.01
        here, ends = (x0, (2, 0)) if up else (y0, (3, 1))
        assert any(abs(here - part[end]) <= 0.2 for part in parts for end in ends), (x0, y0, x1, y1)
        through = [
            p for p in parts if p[0] < x1 - 0.3 and p[2] > x0 + 0.3 and p[1] < y1 - 0.3 and p[3] > y0 + 0.3
        ]
        assert not [
            p for p in through if (p[0] + 0.3 < x0 < p[2] - 0.3 if up else p[1] + 0.3 < y0 < p[3] - 0.3)
        ]

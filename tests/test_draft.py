"""Cut lists in: as spreadsheets really write them; nothing is guessed in silence, and what is written reads back."""

from __future__ import annotations

import csv
from fractions import Fraction
from io import StringIO
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planlint.command.main import main
from planlint.draft.cut_list_table import read_cut_list
from planlint.draft.drafted_plan import draft_plan
from planlint.draft.listed_rows import Unreadable
from planlint.inspection.inspect_plan import understand
from planlint.model.plan import Part
from planlint.model.workshop import Settings
from planlint.text.source import PlanText

MM = Fraction(10, 254)


def parts_of(text: str) -> dict[str, Part]:
    plan, mistakes = understand(PlanText("draft.plan", text), Settings())
    assert plan is not None and not mistakes, (mistakes, text)
    return plan.part_by_name


def sizes(
    text: str, unit: str | None = None, of: str | None = None
) -> list[tuple[str, int, float, float, float]]:
    read = read_cut_list(text, unit, of)
    assert not read.problems, read.problems
    return [(p.name, p.count, float(p.length), float(p.width), float(p.thickness)) for p in read.parts]


SIDE = [("Side", 2, 34.5, 23.25, 0.75)]


@pytest.mark.parametrize(
    "text",
    [
        'Part,Qty,Length,Width,Thickness,Material\nSide,2,"34-1/2""","23-1/4""","3/4""",birch plywood\n',
        "part;qty;thickness (in);width (in);length (in);wood\nSide;2;3/4;23 1/4;34,5;birch plywood\n",
        "\ufeffItem\tPcs\tL [mm]\tW [mm]\tT [mm]\tMaterial\nSide\t2 pcs\t876,3\t590,55\t19,05\tbirch plywood\n",
        "Kitchen for the Hill house,,,,,\nDrawn 3 May,,,,,\n,,,,,\nName,No.,Length,Width,Thick,Stock\n"
        ",,(mm),(mm),(mm),\nSide,2,876.3,590.55,19.05,birch plywood\n",
        'Component,Number,Size,Species\nSide,2,"34-1/2"" x 23-1/4"" x 3/4""",birch plywood\n',
        'name,count,length,width,thickness,material\nSide,2.0,2\' 10-1/2",1\' 11-1/4",¾",birch plywood\n',
        "name,count,length,width,thickness,material,In stock\nSide,a pair,34-1/2,23-1/4,3/4,birch plywood,yes\n",
        "name,count,length,width,thickness,material\nSide,2,87.63cm,59.055 cm,19.05mm,birch plywood\n",
    ],
)
def test_usual_spellings_of_one_line(text: str) -> None:
    (told,) = sizes(text)
    assert told[:2] == ("Side", 2)
    assert told[2:] == pytest.approx((34.5, 23.25, 0.75))


@pytest.mark.parametrize(
    ("told", "many"),
    [
        ("2 pairs", 4),
        ("2 Paar", 4),
        ("une paire", 2),
        ("a dozen", 12),
        ("half a dozen", 6),
        ("2 doz.", 24),
        ("six", 6),
        ("six pcs", 6),
        ("4x", 4),
    ],
)
def test_a_count_in_words(told: str, many: int) -> None:
    assert sizes(f"name,count,length,width,thickness,material\nSide,{told},30,12,3/4,oak\n")[0][1] == many


def test_a_line_without_a_name_says_what_it_is_called() -> None:
    read = read_cut_list(
        "Part,Qty,Length (in),Width (in),Thickness (in),Wood\nSide,1,9,3,1,oak\n,2,9,3,1,oak\n"
    )
    assert [(each.line, each.says) for each in read.passed_over] == [
        (3, "it has no name, and is called part_3")
    ]
    assert set(parts_of(draft_plan(read, "List").text)) == {"side", "part_3_1", "part_3_2"}


@pytest.mark.parametrize(
    ("head", "lines", "counts"),
    [
        ("No,Part,Qty", ("1,Side,2", "2,Shelf,4"), (2, 4)),
        ("#,Part,Pieces", ("1,Side,2", "2,Shelf,4"), (2, 4)),
        ("Item,Description,No. off", ("1,Side,2", "2,Shelf,4"), (2, 4)),
        ("Part no.,Number,Part", ("7,2,Side", "8,4,Shelf"), (2, 4)),
        ("No.,Part,Rough length (in)", ("1,Side,35", "2,Shelf,35", "3,Side,35"), (1, 1, 1)),
    ],
)
def test_numbers_of_lines_are_no_counts(head: str, lines: tuple[str, ...], counts: tuple[int, ...]) -> None:
    """A shop's list numbers its lines, and may give sizes before planing too: how many there are stands elsewhere."""
    rows = "\n".join(f"{line},34.5,23.25,0.75,birch plywood" for line in lines)
    read = sizes(f"{head},Length (in),Width (in),Thickness (in),Wood\n{rows}\n")
    assert [(name, count, long) for name, count, long, *_ in read] == [
        (name, count, 34.5) for name, count in zip(("Side", "Shelf", "Side"), counts, strict=False)
    ]


@pytest.mark.parametrize(
    ("heads", "told"),
    [
        ("Part,,Finished size,,,\nPart,Qty,Length,Width,Thickness,Wood\n,,in,in,in,\n", {1, 3}),
        ("Part,Qty,Finished size,,,Wood\n,,L,W,T,\n,,in,in,in,\n", {1, 3}),
        ("The job\n\nPart,Qty,Finished,,,Wood\n,,Length (in),Width (in),Thickness (in),\n", {1, 3}),
    ],
)
def test_heads_on_several_lines(heads: str, told: set[int]) -> None:
    text = f"{heads}Side,2,34-1/2,23-1/4,3/4,birch plywood\n"
    assert sizes(text) == SIDE
    assert {each.line for each in read_cut_list(text).passed_over} == told


@pytest.mark.parametrize(
    ("head", "size"),
    [
        ("Size", "34-1/2 x 23-1/4 x 3/4"),
        ("Size (T x W x L)", "3/4 x 23-1/4 x 34-1/2"),
        ("Size WxLxT", "23-1/4 x 34-1/2 x 3/4"),
    ],
)
def test_a_size_is_read_in_the_order_of_its_head_and_told(head: str, size: str) -> None:
    text = f"Part,Qty/unit,Units,Total qty,{head},Wood\nSide,1,2,2,{size},birch plywood\n"
    assert sizes(text, "in") == SIDE
    assert any("its size is read as" in each.says for each in read_cut_list(text, "in").passed_over)


def test_units_are_asked_for() -> None:
    text = "name,qty,length,width,thickness,material\nSide,2,876.3,590.5,19,birch plywood\n"
    with pytest.raises(Unreadable, match="inches or millimetres"):
        read_cut_list(text)
    assert sizes(text, "mm")[0][2:] == pytest.approx((34.5, 590.5 / 25.4, 19 / 25.4))
    # In inches that would be 19 thick: no such part there is.
    ((line, says),) = read_cut_list(text, "in").problems
    assert (line, "another unit" in says) == (2, True)


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ('Side,2,"1,250",100,20,oak', "a decimal one"),
        ("Side,plenty,900,100,20,oak", "how many"),
        ("Side,2,nine,100,20,oak", "not understood as a length"),
        ("Side,2,,100,20,oak", "no length"),
        ("Side,2,900,20,100,oak", "thicker than it is wide"),
        ("Side,2,900,100,20,", "no material"),
        ("Side,0,900,100,20,oak", "how many"),
        ("Side,2,900 parsecs,100,20,oak", "not understood as a length"),
        ("Side,2,99999999,100,20,oak", "no part has a length of"),
        ("Side,2,900,100,0.75,oak", "no part has a thickness of"),
        ("Side,2,1’20,100,20,oak", "not understood as a length"),
        ("Side,2,30 5/4 in,100,20,oak", "not understood as a length"),
        ("Side,2,38,900,20,oak", "far wider than it is long"),
        ("Side,2,890-900,100,20,oak", "not understood as one length"),
    ],
)
def test_a_line_not_understood_is_told_and_the_others_are_read(line: str, says: str) -> None:
    text = f"name,qty,length (mm),width (mm),thickness (mm),material\n{line}\nRail,1,600,80,20,oak\n"
    read = read_cut_list(text)
    assert [part.name for part in read.parts] == ["Rail"]
    ((at, told),) = read.problems
    assert at == 2
    assert says in told


def test_heads_are_needed() -> None:
    with pytest.raises(Unreadable, match="no line of heads"):
        read_cut_list("Side,2,900,100,20\n")
    with pytest.raises(Unreadable, match="no column for thickness"):
        read_cut_list("name,qty,length,width,material\nSide,2,900,100,oak\n")
    with pytest.raises(Unreadable, match="--of MATERIAL"):
        read_cut_list("name,qty,length,width,thickness\nSide,2,900,100,20\n", "mm")


def test_the_plan_reads_back_and_its_parts_are_unjoined(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "list.csv").write_text(
        "name,qty,length (mm),width (mm),thickness (mm),material,notes\n"
        "Side panel,2,720,560,18,birch plywood,left and right\nTop,1,564,560,18,birch plywood,\n"
        "Rail,4,564,95,20,oak,\nStrut,1,564,95,20,unobtainium,\n",
        encoding="utf-8",
    )
    plan = tmp_path / "new.plan"
    assert main(["draft", str(tmp_path / "list.csv"), "--to", str(plan)]) == 1
    err = capsys.readouterr().err
    assert "unobtainium" in err
    assert "kept as remarks: notes" in err
    assert "Top is no name in a plan: it is part_top" in err
    text = plan.read_text(encoding="utf-8")
    assert "# Side panel; notes: left and right\npart side_panel_1, " in text
    parts = parts_of(text)
    assert set(parts) == {"side_panel_1", "side_panel_2", "part_top", "rail_1", "rail_2", "rail_3", "rail_4"}
    assert parts["rail_3"].length == 564 * MM
    assert main(["inspect", str(plan)]) == 1
    assert "unjoined" in capsys.readouterr().out
    assert main(["draft", str(tmp_path / "list.csv"), "--to", str(plan)]) == 2
    assert plan.read_text(encoding="utf-8") == text


NAMES = st.text(st.characters(exclude_categories=["Cs"]), max_size=30)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(NAMES, st.integers(1, 3), st.integers(10, 9000), st.integers(10, 500)),
        min_size=1,
        max_size=6,
    )
)
def test_any_names_and_sizes_read_back(rows: list[tuple[str, int, int, int]]) -> None:
    out = StringIO()
    writer = csv.writer(out)
    writer.writerow(["name", "qty", "length (mm)", "width (mm)", "thickness (mm)", "material"])
    for name, count, long, wide in rows:
        flat = " ".join("".join(c if c.isprintable() else " " for c in name).split())
        writer.writerow([flat, count, max(long / 10, wide), wide, 1 if wide < 20 else 18, "oak"])
    read = read_cut_list(out.getvalue())
    draft = draft_plan(read, "Any")
    parts = parts_of(draft.text)
    told = [p for p in read.parts for _ in range(p.count)]
    assert len(parts) == draft.parts == len(told)
    for part, asked in zip(parts.values(), told, strict=True):
        assert (part.length, part.width, part.thickness) == (asked.length, asked.width, asked.thickness)


HEADS = "name,qty,length,width,thickness,material\n"


@settings(max_examples=60, deadline=None)
@given(st.one_of(st.text(max_size=300), st.text("1.,/'\" x-mm\n;½é", max_size=300).map(HEADS.__add__)))
def test_no_text_breaks_it(text: str) -> None:
    try:
        read = read_cut_list(text, "mm", "oak")
    except Unreadable as problem:
        assert str(problem)
        return
    draft_plan(read, "Any")


def test_a_point_among_commas_is_asked_about_and_a_unit_behind_a_size_is_of_all_of_it() -> None:
    heads = "name;length;width;thickness;material\n"
    read = read_cut_list(heads + "a;1.250;600;18;pine\nb;720,5;300;18;pine\n", "mm", None)
    assert [each.line for each in read.problems] == [2]
    assert "is the point in" in read.problems[0].says
    assert [part.length for part in read.parts] == [Fraction(7205, 254)]
    read = read_cut_list("name,size,material\na,764 x 90 x 19 mm,oak\n", "in", None)
    assert [(p.length, p.thickness) for p in read.parts] == [(Fraction(7640, 254), Fraction(190, 254))]


def test_a_shop_sheet_s_list_drafts_back(tmp_path: Path) -> None:
    """Names, counts, woods and sizes come back as they were; 19 mm in a plan in inches stays 19 mm."""
    (tmp_path / "a.plan").write_text(
        'plan "=Box, small"\n    unit inch\nstock ply of birch plywood, 19 mm thick\n'
        "stock rail of quarter-sawn white oak, 3/4 x 3, 8 ft\n"
        "part Side_l, side_r of ply, 12-3/32 long, 10 wide, upright, facing left\n"
        "part rail_1 of rail, 23.4567 long, crosswise, facing front\n"
    )
    main(["sheet", str(tmp_path / "a.plan"), "--to", str(tmp_path / "a.csv")])
    assert main(["draft", str(tmp_path / "a.csv"), "--to", str(tmp_path / "b.plan")]) == 0
    text = (tmp_path / "b.plan").read_text(encoding="utf-8")
    assert "birch plywood, 19 mm thick" in text
    before, after = parts_of((tmp_path / "a.plan").read_text()), parts_of(text)
    assert set(before) == set(after) == {"Side_l", "side_r", "rail_1"}
    for name, part in before.items():
        other = after[name]
        assert (other.length, other.width, other.thickness) == (part.length, part.width, part.thickness)
        assert other.stock.material.name == part.stock.material.name


def test_what_is_passed_over_is_told() -> None:
    read = read_cut_list(
        "Kitchen,,,,,\n\nPart,Qty,Length,Width,Thickness,Material\n,,(in),(in),(in),\n"
        'Rail,2,40,4,3/4,oak,extra\n"Open,2,40,4,3/4,oak\nLast,2,40,4,3/4,oak\n'
    )
    assert [part.name for part in read.parts] == ["Rail"]
    assert [(each.line, each.says.split(":")[0][:24]) for each in read.passed_over] == [
        (1, '"Kitchen" stands above t'),
        (4, "it is read as the units "),
        (5, '"extra" stands under no '),
        (6, "lines 6 to 7 are read as"),
    ]
    assert [each.line for each in read.problems] == [6]


@pytest.mark.parametrize(
    "text",
    [
        "Bezeichnung;Anzahl;Länge (mm);Breite (mm);Stärke (mm);Werkstoff\nBein;2;720,5;70;20;Eiche massiv\n",
        "Teil;Stk;L;B;D;Holz\nBein;2 Stk;720,5 mm;70;20;Eiche\n",
        "Désignation;Nombre;Longueur (mm);Largeur (mm);Épaisseur (mm);Essence\nBein;2;720,5;70;20;chêne\n",
        "Nombre;Cantidad;Largo (mm);Ancho (mm);Grueso (mm);Madera\nBein;2;720,5;70;20;roble\n",
        "Pezzo;Quantità;Lunghezza mm;Larghezza mm;Spessore mm;Legno\nBein;2;720,5;70;20;rovere\n",
        "Onderdeel;Aantal;Lengte (mm);Breedte (mm);Dikte (mm);Houtsoort\nBein;2;720,5;70;20;eiken\n",
        "Benämning;Antal;Längd (mm);Bredd (mm);Tjocklek (mm);Träslag\nBein;2;720,5;70;20;ek\n",
    ],
)
def test_heads_and_woods_of_other_languages(text: str) -> None:
    read = read_cut_list(text)
    (part,) = read.parts
    assert (part.name, part.count, part.length, part.width) == ("Bein", 2, Fraction(7205, 254), 70 * MM)
    assert part.known is not None and part.known.name == "European oak"
    assert read.language != "English"


def test_a_head_that_may_mean_two_things_is_asked_about() -> None:
    with pytest.raises(Unreadable, match="the head Largo may mean length in Spanish, width in Italian"):
        read_cut_list("Piece;Largo;Thick\nA;100;18\n", "mm", "oak")
    # In a list in English one letter of another language means nothing: D is no thickness.
    with pytest.raises(Unreadable, match="no column for thickness"):
        read_cut_list("Name,Material,L,W,D\nA,oak,20,10,5\n", "in")


@pytest.mark.parametrize(
    ("cell", "name", "thick"),
    [
        ("Birch Plywood 3/4", "birch plywood", Fraction(3, 4)),
        ('3/4"" Baltic birch ply', "Baltic birch plywood", Fraction(3, 4)),
        ("18mm MDF", "MDF", 18 * MM),
        ("2x4 SPF stud", "SPF", Fraction(3, 2)),
        ("4x8 birch plywood 1/2", "birch plywood", Fraction(1, 2)),
    ],
)
def test_a_size_among_the_words_of_a_material_is_its_thickness(cell: str, name: str, thick: Fraction) -> None:
    read = read_cut_list(f'Part,Qty,Length (in),Width (in),Stock\nA,1,30,3.5,"{cell}"\n')
    (part,) = read.parts
    assert part.known is not None
    assert (part.known.name, part.thickness) == (name, thick)
    assert "is read from" in read.passed_over[0].says


def test_a_material_that_says_another_thickness_is_told() -> None:
    heads = "Part,Qty,Length (in),Width (in),Thick (in),Stock\n"
    read = read_cut_list(f"{heads}A,1,30,10,1/2,Birch plywood 3/4\nB,1,30,10,23/32,Birch plywood 3/4\n")
    assert [(each.line, each.says[:20]) for each in read.problems] == [(2, 'its thickness is "1/')]
    assert [part.thickness for part in read.parts] == [Fraction(23, 32)]


def test_lists_by_hand_and_of_several_tables_are_read() -> None:
    by_hand = "Part      Qty   Length    Width  Thick  Wood\nlong leg  4     28 1/4    2      2      oak\n"
    assert sizes(by_hand) == [("long leg", 4, 28.25, 2, 2)]
    barred = '| Part | Qty | L | W | T | Wood |\n|---|:-:|---|---|---|---|\n| a | 1 | 9" | 3 | 1 | oak |\n'
    assert sizes(barred) == [("a", 1, 9, 3, 1)]
    two = read_cut_list(
        "Part,Qty,L,W,T,Wood\nA,1,30,10,1/2,oak\n,,,,,\nDrawers,,,,,\nPart,Qty,W,L,T,Wood\nB,1,4,20,1/2,oak\n"
        "Total,2,,,,\n"
    )
    assert [(part.name, float(part.length), float(part.width)) for part in two.parts] == [
        ("A", 30, 10),
        ("B", 20, 4),
    ]
    assert not two.problems
    assert [each.line for each in two.passed_over] == [4, 5, 7]
    assert "as the others of the list" in two.unit_told
    read = read_cut_list("Part,Length,Width,Thick,Wood\nA,30 - 1/16,10,1/2,oak\n", "in")
    assert "not understood as one length" in read.problems[0].says


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Hut\n,,Dimensions in mm,,,\nPart,Qty,L,W,T,Material\nSide,2,1 200,300,18,oak\n", "it says mm"),
        ("All sizes in millimetres\nPart,Qty,L,W,T,Material\nSide,x2,1'200,300,18,oak\n", "thousands"),
        ("Teil;Zahl\nMaße in cm\nTeil;Anzahl;Länge;Breite;Dicke;Holz\nSide;2;120;30;1,8;oak\n", "it says cm"),
        (
            "Part;Qty;Width x Length x Thickness (mm);Wood\nSide;2;300x1200x18;oak\n",
            "width x length x thickness",
        ),
        ("Part;Qty;L mm;W mm;T mm;Wood\nSide;2;1.200,0;300;18;oak\n", "thousands"),
        ("Part;Qty;L mm;W mm;T mm;Wood\nSide;2;1,200.0;300;18;oak\n", "thousands"),
        ("Part;Qty;Size mm;Wood\nSide;2;18 x 300 x 1\u202f200;oak\n", "thickness x width x length"),
        ("Part,Qty,cm L,cm W,cm T,Wood,Grain\nSide,2,30,120,1.8,oak,across the width\n", "change places"),
        ("Part,Qty,Mat'l,L,W,T,Unit,Fibre\nSide,2,oak,120,30,1.8,cm,bent\n", "says nothing here"),
    ],
)
def test_units_orders_and_thousands_as_lists_write_them(text: str, told: str) -> None:
    read = read_cut_list(text)
    assert not read.problems
    assert any(told in each.says for each in read.passed_over), read.passed_over
    (part,) = read.parts
    assert (part.count, part.length, part.width, part.thickness) == (2, 1200 * MM, 300 * MM, 18 * MM)


@pytest.mark.parametrize("above", ["Foot stool for 6 ft Tom, 18 mm stock", "Made in oak", "mm and inches"])
def test_a_title_that_says_no_one_unit_is_none(above: str) -> None:
    with pytest.raises(Unreadable, match="nothing says whether length"):
        read_cut_list(f"{above}\nPart,Qty,L,W,T,Material\nSide,2,30,10,1,oak\n")


def test_quarters_are_told_and_every_line_of_a_list_not_understood(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    head = "Part,Qty,L (in),W (in),T (in),Material\n"
    (told,) = read_cut_list(f"{head}Leg,4,28,2-1/4,8/4,walnut\n").passed_over
    assert told.says == '"8/4" is read as sawn: write what it is planed to'
    (tmp_path / "a.csv").write_text(f"{head}A,-2,28,3,1,oak\nB,2,0,3,1,oak\n")
    assert main(["draft", str(tmp_path / "a.csv")]) == 2
    said = capsys.readouterr().err
    assert "line 2: how many?" in said and "line 3: no part has a length" in said


def test_a_nominal_size_stays_the_stock_s_and_units_are_those_of_the_column() -> None:
    text = draft_plan(
        read_cut_list("part,l,w,t,material\nleg,29 1/4,,,2x4 pine\nlath,8 ft,2,,1x4 pine\n"), "List"
    ).text
    for line in ("of pine, 2x4", "29-1/4 long, crosswise", "of pine, 1x4", "96 long, 2 wide"):
        assert line in text
    read = read_cut_list('part,l,w,t,material\nside,30",11,3/4,oak\nback,28,9 1/2",6mm,birch ply\n')
    assert [(float(p.length), float(p.width)) for p in read.parts] == [(30, 11), (28, 9.5)]
    assert "of their column" in read.unit_told


def test_pieces_beside_quantities_name_the_parts_and_two_counts_must_agree() -> None:
    sizes = "L (in),W (in),T (in),Material"
    (part,) = read_cut_list(f"Pieces,Qty,{sizes}\nSide,2,30,11,3/4,pine\n").parts
    assert (part.name, part.count) == ("Side", 2)
    (part,) = read_cut_list(f"Part,Pieces,{sizes}\nSide,2,30,11,3/4,pine\n").parts
    assert (part.name, part.count) == ("Side", 2)
    with pytest.raises(Unreadable, match="line 3: Pieces 1 and Qty 3: which is how many"):
        read_cut_list(f"Part,Pieces,Qty,{sizes}\nA,2,2,30,11,3/4,pine\nB,1,3,30,11,3/4,pine\n")


@pytest.mark.parametrize(
    "text",
    [
        # Sizes before planing under a head of their own; columns for edges; a head of two words; a line of units.
        ",,Rough,,,,Finished,,\nPart,Qty,L,W,T,Material,L,W,T\nSide,2,31,12,7/8,pine,30,11,3/4\n",
        "Part,Qty,Edge L1,Banding W1,Length,Width,Thickness,Wood\nSide,2,X,,30,11,3/4,pine\n",
        "Part Name,Qty,Length,Width,Material Thickness,Material Type\nSide,2,30,11,3/4,pine\n",
        "Teil,Anzahl,Länge,Breite,Dicke,Holz\n,Stk,in,in,in,\nSide,2,30,11,3/4,pine\n",
        "Panel,Qty,Length,Width,Thickness,Board\nSide,2,30,11,3/4,pine\nGrand total,2,,,,\n",
        "Pc,Qty,Lg,Wd,Th,Mat\nSide,2,30,11,3/4,pine\nTotals,2,,,,\n",
    ],
)
def test_heads_of_two_words_and_of_groups(text: str) -> None:
    read = read_cut_list(text)
    (part,) = read.parts
    assert not read.problems
    told = (part.name, part.count, part.length, part.width, part.thickness, part.material)
    assert told == ("Side", 2, Fraction(30), Fraction(11), Fraction(3, 4), "pine")


def test_thousands_of_millimetres_are_asked_about() -> None:
    text = "Part,Qty,Length (mm),Width (mm),Thickness (mm),Material\nTop,1,1.300,700,18,MDF\n"
    (problem,) = read_cut_list(text).problems
    assert problem.says == 'is the point in "1.300" a decimal one? Write it without'


@pytest.mark.parametrize(
    ("heads", "line", "says"),
    [
        ("Qty (left),Qty (right),L,W,T", "1,1,30in,11in,1in", "how many is it in all"),
        ("Qty,Length (ft),Length (in),W,T", "2,2,6,11in,1in", "feet and inches in one cell"),
    ],
)
def test_two_columns_that_are_shares_of_one_are_asked_about(heads: str, line: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        read_cut_list(f"Part,{heads},Material\nSide,{line},pine\n")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("Part,Qty,Size,Wood\nStud,9,2x4x92-5/8,SPF\n", "2x4 is read as what it measures"),
        ("Part,Qty,T,W,L,Wood\nStud,9,2,4,92-5/8,pine\n", "2x4 is read as what it measures"),
        ("Part,Qty per,Sets,L,W,T,Wood\nSide,2,4,20in,5in,1in,pine\n", '"Qty per" is of one'),
    ],
)
def test_what_may_be_meant_otherwise_is_told(text: str, says: str) -> None:
    assert any(says in each.says for each in read_cut_list(text).passed_over)


def test_fractions_among_millimetres_are_asked_about() -> None:
    text = (
        "Part,Qty,Length,Width,Thickness,Material\nSide,2,700 mm,500 mm,18 mm,MDF\nBack,1,27 1/2,20,1/4,MDF\n"
    )
    (problem,) = read_cut_list(text).problems
    assert problem.says == 'is "20" in inches, as "27 1/2" is? Write their units'
    (problem,) = read_cut_list(text.replace("20,1/4", "20in,6mm"), "mm").problems
    assert problem.says == '"27 1/2" has a fraction, as inches have, and is in mm: write its unit'


@pytest.mark.parametrize(
    ("head", "cells", "told"),
    [
        ("L x W (in),T,Wood", "34-1/2 x 23-1/4,3/4,pine", SIDE),
        ("Size (WxL),Material", "23-1/4 x 34-1/2,3/4 birch plywood", SIDE),
        ("Length,T x W,Wood", "34-1/2,3/4 x 23-1/4,pine", SIDE),
        ("Length,Width,Depth,Wood", "34-1/2,23-1/4,3/4,pine", SIDE),
        ("Length,Depth (in),Thick,Wood", "34-1/2,23-1/4,3/4,pine", SIDE),
        ("Maße B x L x D,Werkstoff", "23-1/4 x 34-1/2 x 3/4,Kiefer", SIDE),
        (
            "Length,Width,Thick,Wood,Qty per,Units",
            "34-1/2,23-1/4,3/4,WO,2,4",
            [("Side", 8, 34.5, 23.25, 0.75)],
        ),
    ],
)
def test_two_measures_in_one_head_depth_and_parts_of_each(
    head: str, cells: str, told: list[tuple[str, int, float, float, float]]
) -> None:
    few = "" if "per" in head else ",Count", "" if "per" in head else ",2"
    assert sizes(f"Part,{head}{few[0]}\nSide,{cells}{few[1]}\n", "in") == told


@pytest.mark.parametrize(
    ("head", "cells", "says"),
    [
        ("Size (H x W x D),Wood", "34 x 23 x 1,pine", "which is the length"),
        ("L x W,Wood", "34 x 23,pine", "no column for thickness"),
        ("Height,Width,Depth,Wood", "34,23,1,pine", "no column for length"),
    ],
)
def test_measures_in_an_order_not_known_are_asked_about(head: str, cells: str, says: str) -> None:
    with pytest.raises(Unreadable, match=says):
        read_cut_list(f"Part,Qty,{head}\nSide,2,{cells}\n", "in")


@pytest.mark.parametrize(
    "rows",
    [
        'Shelf,3,28",11",3/4",oak,"loose\nRail,2,28",3",3/4",oak,\n',
        'Shelf,3,28,11,3/4,oak,"loose\nRail,2,28,3,3/4,oak,\nTop,1,30,12,3/4,oak,\n',
        'Shelf,3,28,11,3/4,oak,"loose\nRail,2,28,3,3/4,oak,"fixed"\n',
    ],
)
def test_a_quote_left_open_loses_no_line_unsaid(rows: str) -> None:
    heads = "Name,Qty,Length (in),Width (in),Thickness (in),Material,Note\n"
    read = read_cut_list(f'{heads}Side,2,30,11,3/4,oak,"notched,\nbelow"\n{rows}')
    assert [part.name for part in read.parts] == ["Side"]
    ((line, says),) = read.problems
    assert (line, "quote left open" in says) == (4, True)


def test_counts_are_read_in_words_and_a_panel_as_thick_as_a_box_is_asked_about() -> None:
    heads = "Part,Qty,Length (in),Width (in),Depth (in),Material\n"
    read = read_cut_list(f"{heads}Pin,twenty-four,9,2,1/2,HM\nBox,thirteen,20,16,4,birch plywood\n")
    assert [(part.count, part.known and part.known.name) for part in read.parts] == [(24, "hard maple")]
    assert "no panel is as thick" in read.problems[0].says

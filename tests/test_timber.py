"""Species and panels: figures compared with the published ones, written out here by hand."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from planlint.model.timber import Material, find_material, material_of, names_by_kind, nearest_material
from planlint.rulebook.figure_tables import figures, figures_folder
from planlint.statics.wood_strength import modulus

# Specific gravity at 12 percent moisture, oven-dry weight: Wood Handbook, FPL-GTR-190 (2010), table 5-3b,
# as the USDA Forest Service inventory table of species repeats it.
HANDBOOK = {
    "red oak": 0.63,  # northern red oak, Quercus rubra
    "white oak": 0.68,  # Quercus alba
    "sugar maple": 0.63,  # Acer saccharum
    "red maple": 0.54,  # Acer rubrum
    "black walnut": 0.55,  # Juglans nigra
    "black cherry": 0.50,  # Prunus serotina
    "shagbark hickory": 0.72,  # Carya ovata
    "white ash": 0.60,  # Fraxinus americana
    "yellow birch": 0.62,  # Betula alleghaniensis
    "American beech": 0.64,  # Fagus grandifolia
    "yellow poplar": 0.42,  # Liriodendron tulipifera
    "red alder": 0.41,  # Alnus rubra
    "basswood": 0.37,  # Tilia americana
    "quaking aspen": 0.38,  # Populus tremuloides
    "eastern white pine": 0.35,  # Pinus strobus
    "western white pine": 0.38,  # Pinus monticola
    "sugar pine": 0.36,  # Pinus lambertiana
    "ponderosa pine": 0.40,  # Pinus ponderosa
    "lodgepole pine": 0.41,  # Pinus contorta
    "loblolly pine": 0.51,  # Pinus taeda
    "longleaf pine": 0.59,  # Pinus palustris
    "douglas fir": 0.48,  # coast, Pseudotsuga menziesii
    "western hemlock": 0.45,  # Tsuga heterophylla
    "white fir": 0.39,  # Abies concolor
    "Engelmann spruce": 0.35,  # Picea engelmannii
    "Sitka spruce": 0.36,  # Picea sitchensis, 2010 edition (older ones print 0.40)
    "western redcedar": 0.32,  # Thuja plicata
    "eastern redcedar": 0.47,  # Juniperus virginiana
    "old-growth redwood": 0.40,  # Sequoia sempervirens
    "young-growth redwood": 0.35,
    "baldcypress": 0.46,  # Taxodium distichum
}

# Wood Handbook, FPL-GTR-190, table 12-1: the published ranges.
PANEL_RANGE = {
    "softwood plywood": (0.4, 0.6),
    "OSB": (0.5, 0.8),
    "MDF": (0.7, 0.9),
    "particleboard": (0.6, 0.8),
    "hardboard": (0.9, 1.0),
}

TRADE = {
    "oak": ("red oak", "hardwood"),
    "hard maple": ("sugar maple", "hardwood"),
    "soft maple": ("red maple", "hardwood"),
    "pine": ("eastern white pine", "softwood"),
    "walnut": ("black walnut", "hardwood"),
    "cherry": ("black cherry", "hardwood"),
    "poplar": ("yellow poplar", "hardwood"),
    "cedar": ("western redcedar", "softwood"),
    "mahogany": ("Honduras mahogany", "hardwood"),
    "birch plywood": ("hardwood plywood", "plywood"),
    "plywood": ("softwood plywood", "plywood"),
    "MDF": ("medium-density fibreboard", "fibreboard"),
    "melamine": ("melamine-faced particleboard", "particleboard"),
    "OSB": ("oriented strandboard", "strandboard"),
    "hardboard": ("hardboard", "hardboard"),
    "sessile oak": ("European oak", "hardwood"),
    "bangkirai": ("balau", "hardwood"),
    "slippery elm": ("red elm", "hardwood"),
    "silver birch": ("European birch", "hardwood"),
    "Lawson cypress": ("Port Orford cedar", "softwood"),
    "Corsican pine": ("black pine", "softwood"),
    "western yellow pine": ("ponderosa pine", "softwood"),
    "pecky cypress": ("baldcypress", "softwood"),
    "paulownia": ("paulownia", "hardwood"),
    "hinoki": ("hinoki", "softwood"),
}

NAMES = [name for names in names_by_kind().values() for name in names]
"""Every species, panel and trade name."""


def known(words: str) -> Material:
    material = find_material(words)
    assert material is not None, words
    return material


@pytest.mark.parametrize(("name", "gravity"), HANDBOOK.items())
def test_specific_gravity_is_the_published_one(name: str, gravity: float) -> None:
    material = known(name)
    assert material.specific_gravity == gravity
    assert material.solid and not material.panel
    assert "Forest Service" in material.basis or "Wood Handbook" in material.basis


def test_no_species_has_a_figure_that_is_not_compared() -> None:
    compared = {known(name).stands_for for name in HANDBOOK}
    woods = [material for name in NAMES if (material := known(name)).solid]
    told = {wood.stands_for for wood in woods if wood.specific_gravity is not None}
    recalled = {wood.stands_for for wood in woods if "recalled from memory" in wood.basis}
    assert told - compared == recalled
    assert len(recalled) == 10


@pytest.mark.parametrize(("name", "ends"), PANEL_RANGE.items())
def test_a_panel_takes_the_low_end_of_its_range(name: str, ends: tuple[float, float]) -> None:
    material = known(name)
    assert material.panel and not material.solid
    assert material.specific_gravity == ends[0]
    assert f"{ends[1]:.2f}" in material.basis


@pytest.mark.parametrize(("name", "row_and_kind"), TRADE.items())
def test_trade_names(name: str, row_and_kind: tuple[str, str]) -> None:
    material = known(name)
    assert (material.stands_for, material.kind) == row_and_kind
    assert material.name == name


BOTANICAL = {
    "Quercus rubra": "red oak",
    "Quercus alba": "white oak",
    "Acer saccharum": "sugar maple",
    "Acer rubrum": "red maple",
    "Juglans nigra": "black walnut",
    "Prunus serotina": "black cherry",
    "Carya ovata": "shagbark hickory",
    "Fraxinus americana": "white ash",
    "Betula alleghaniensis": "yellow birch",
    "Fagus grandifolia": "American beech",
    "Liriodendron tulipifera": "yellow poplar",
    "Alnus rubra": "red alder",
    "Tilia americana": "basswood",
    "Populus tremuloides": "quaking aspen",
    "Khaya": "African mahogany",
    "Swietenia macrophylla": "Honduras mahogany",
    "Tectona grandis": "teak",
    "Fagus sylvatica": "European beech",
    "Pinus strobus": "eastern white pine",
    "Pinus monticola": "western white pine",
    "Pinus lambertiana": "sugar pine",
    "Pinus ponderosa": "ponderosa pine",
    "Pinus contorta": "lodgepole pine",
    "Pinus taeda": "loblolly pine",
    "Pinus palustris": "longleaf pine",
    "Pseudotsuga menziesii": "Douglas-fir",
    "Tsuga heterophylla": "western hemlock",
    "Abies concolor": "white fir",
    "Picea engelmannii": "Engelmann spruce",
    "Picea sitchensis": "Sitka spruce",
    "Thuja plicata": "western redcedar",
    "Juniperus virginiana": "eastern redcedar",
    "Sequoia sempervirens": "young-growth redwood",
    "Taxodium distichum": "baldcypress",
}
"""Of each species whose figures are published, what botanists call it, and its row. Basis: the Wood Handbook."""


def test_every_species_goes_by_its_botanical_name() -> None:
    for botanical, row in BOTANICAL.items():
        assert known(botanical).stands_for == known(botanical.upper()).stands_for == row
        assert known(row).stands_for == row
    assert {known(name).stands_for for name in HANDBOOK} - {*BOTANICAL.values()} == {"old-growth redwood"}


@pytest.mark.parametrize("words", ["Douglas-fir", "douglas fir", "DOUGLAS  FIR", "douglasfir", "Douglas-Fir"])
def test_capitals_hyphens_and_spaces_make_no_difference(words: str) -> None:
    assert find_material(words) is find_material("douglas fir")


@pytest.mark.parametrize("name", NAMES)
def test_every_name_is_found_and_says_where_its_figure_is_from(name: str) -> None:
    material = known(name)
    assert material.basis
    assert known(material.stands_for).specific_gravity == material.specific_gravity


@pytest.mark.parametrize(
    ("words", "offer"),
    [
        ("douglass fir", "Douglas-fir"),
        ("wallnut", "walnut"),
        ("brich plywood", "birch plywood"),
        ("concrete", None),
        ("", None),
    ],
)
def test_a_misspelt_name_gets_the_nearest(words: str, offer: str | None) -> None:
    assert find_material(words) is None
    assert nearest_material(words) == offer


@pytest.mark.parametrize(
    ("name", "row", "kind"),
    [
        ("Scots pine", "Scots pine", "softwood"), ("larch", "European larch", "softwood"),
        ("lodgepole", "lodgepole pine", "softwood"), ("American black walnut", "black walnut", "hardwood"),
        ("KD southern pine", "loblolly pine", "softwood"), ("yellow deal", "Scots pine", "softwood"),
        ("sapele", "sapele", "hardwood"), ("iroko", "iroko", "hardwood"), ("European oak", "European oak", "hardwood"),
        ("quercus alba", "white oak", "hardwood"), ("Thuja plicata", "western redcedar", "softwood"),
        ("Prunus serotina", "black cherry", "hardwood"), ("Norway spruce", "Norway spruce", "softwood"),
        ("A2 cherry plywood", "hardwood plywood", "plywood"),
        ("oak veneered MDF", "medium-density fibreboard", "fibreboard"),
    ],
)  # fmt: skip
def test_woods_go_by_their_other_names_too(name: str, row: str, kind: str) -> None:
    found = material_of(name)
    assert (found.stands_for, found.kind) == (row, kind)


def test_a_wood_that_is_not_known_keeps_its_name_and_has_no_figures() -> None:
    found = material_of("river  gumtree")
    assert (found.name, found.known, found.specific_gravity, found.solid) == (
        "river gumtree",
        False,
        None,
        True,
    )


def test_what_stands_before_a_wood() -> None:
    quarter, treated = known("quarter-sawn White Oak"), known("Pressure treated southern pine")
    assert (quarter.stands_for, quarter.sawn, quarter.treated) == ("white oak", "quarter", "")
    assert (treated.stands_for, treated.sawn, treated.treated) == ("loblolly pine", "", "preservative")
    assert known("borate-treated plywood").treated == "borate"
    assert known("rift sawn treated oak").name == "rift sawn treated oak"
    assert find_material("treated") is None
    assert material_of("treated sneezewood") == material_of("treated sneezewood")
    assert not material_of("heat-treated ash").treated


@pytest.mark.parametrize("file", sorted(figures_folder().glob("*.toml")), ids=lambda file: file.stem)
def test_figures_are_the_same_ready_made(file: Path) -> None:
    assert figures(file.stem) == tomllib.loads(file.read_text(encoding="utf-8"))


def published() -> dict[str, list[str]]:
    """What ``published_woods.txt`` has of each wood: nine columns, the first its name."""
    text = (Path(__file__).parent / "published_woods.txt").read_text(encoding="utf-8")
    rows = [line.split(";") for line in text.splitlines() if line.count(";") == 8][1:]
    return {name: columns for name, *columns in rows}


def test_each_figure_of_a_wood_is_the_published_one() -> None:
    """A digit that is wrong in the tables of movement, stiffness, breaking or weight is seen here."""
    shipped: dict[str, list[str]] = {}
    moves, bends = figures("movement")["coefficient"], figures("strength")["wood"]
    for name in dict.fromkeys([*moves, *bends]):
        move, bend = moves.get(name, {}), bends.get(name, {})
        shipped[name] = [
            *(f"{move[way]:.5f}{'*' * move['read']}" if move else "-" for way in ("radial", "tangential")),
            *published().get(name, ["", "", "not published", ""])[2:4],
            *(
                f"{bend[key] / each:{form}}{'*' * bend[f'{base}_read']}{'g' * (base == 'green_gravity')}"
                if base
                else "-"
                for keys, each, form in (
                    (["modulus_psi"], 1e6, ".2f"),
                    (["rupture_psi"], 1, ".0f"),
                    (["gravity", "green_gravity"], 1, ".2f"),
                    (["nds_gravity"], 1, ".2f"),
                )
                for key in [next((each for each in keys if each in bend), "")]
                for base in [key.removesuffix("_psi")]
            ),
        ]
        assert all(round(figure, 5) == figure for figure in move.values() if isinstance(figure, float))
        assert bend.get("modulus_psi", 0) % 10_000 == 0, f"{name}: published in hundredths of a million psi"
    assert shipped == published()
    by_gravity = figures("strength")["rupture_by_gravity"]  # Table 5-11a, hardwoods at 12 percent.
    assert (by_gravity["rupture_psi"], by_gravity["power"]) == (24_800, 1.13)
    for wood, row in moves.items():
        assert known(wood).stands_for == wood
        assert row["read"] or row["sure"] in {"high", "medium"}, wood


OF_A_GROUP = {"red oak", "white oak", "shagbark hickory"}
"""Sold together with their kin, whose coefficient is printed."""
OLDER = {"Honduras mahogany", "African mahogany", "teak"}
"""Whose coefficients rest on older figures of shrinkage."""
FROM_22 = {"western redcedar", "old-growth redwood", "young-growth redwood"}
"""Woods that shrink from 22 percent of moisture on only, as a footnote has it; all others from 30."""


def test_movement_follows_from_how_far_the_wood_shrinks() -> None:
    """C = (S / M) / (1 - S (M - 10) / M): shrinkage S even from M percent to none, C of the size at 10."""
    asked = 0
    for name, columns in published().items():
        coefficients, shrinks = columns[:2], columns[2:4]
        if "-" in (coefficients[0], shrinks[0]) or name in OF_A_GROUP | OLDER:
            continue
        start = 22 if name in FROM_22 else 30
        for told, percent in zip(coefficients, shrinks, strict=True):
            share = float(percent) / 100
            reckoned = share / start / (1 - share * (start - 10) / start)
            assert float(told.strip("*")) == pytest.approx(reckoned, abs=1.01e-5), name
            asked += 1
    assert asked == 56


def test_european_woods_are_the_german_tables_in_our_units() -> None:
    """11000 N/mm2 are 1.60 million psi at 145.038 psi each; 460 kg/m3 at 12 percent weigh 460 / 1.12 when dry."""
    rows = [row for row in figures("strength")["wood"].values() if "N/mm2" in row["modulus_from"]]
    assert len(rows) == 18
    for row in rows:
        stiff = float(row["modulus_from"].split()[-2])
        assert row["modulus_psi"] == pytest.approx(stiff * 145.038, abs=5000)
        heavy = float(row["gravity_from"].partition(": ")[2].split()[0])
        assert row["gravity"] == pytest.approx(heavy / 1.12 / 1000, abs=0.005)


PANELS = {
    "softwood plywood": ((1_010_000, 1_240_000), 4890, (0.4, 0.6)),
    "oriented strandboard": ((640_000, 910_000), 3161, (0.5, 0.8)),
    "medium-density fibreboard": ((520_000, 520_000), 5200, (0.7, 0.9)),
    "particleboard": ((400_000, 600_000), 2200, (0.6, 0.8)),
    "melamine-faced particleboard": ((400_000, 600_000), 2200, (0.6, 0.8)),
    "hardboard": ((450_000, 800_000), 4500, (0.9, 1.0)),
}
"""Wood Handbook, table 12-1: the range of E, where it breaks at the least, the range of gravity."""


def test_panels_have_the_middle_of_the_published_range_and_the_least_that_breaks_them() -> None:
    rows = figures("strength")["panel"]
    for name, (stiff, breaks, heavy) in PANELS.items():
        row = rows[name]
        assert (row["modulus_psi"], row["rupture_psi"]) == (sum(stiff) / 2, breaks), name
        assert row["gravity"] == pytest.approx(sum(heavy) / 2), name
    others = {
        name: [row[key] for key in ("modulus_psi", "rupture_psi", "gravity", "nds_gravity")]
        for name, row in rows.items()
        if name not in PANELS
    }
    assert others == {
        "hardwood plywood": [1_240_000, 4890, 0.55, 0.42],
        "Baltic birch plywood": [1_600_000, 5800, 0.62, 0.42],
    }
    assert (
        rows["softwood plywood"]["nds_gravity"] == 0.42 and rows["oriented strandboard"]["nds_gravity"] == 0.5
    )


SCREWS: dict[str, dict[str, object]] = {
    "withdrawal": {"psi": 2850, "least_diameters": 6},
    "withdrawal_ultimate": {"psi": 15700, "end_grain": 0.75},
    "nail_withdrawal": {"psi": 1380, "power": 2.5},
    "bolt": {"yield_psi": 45000},
    "pull_through": {"thin": 690, "thick": 1725},
    "lateral": {
        "bearing_psi": 16600, "bearing_power": 1.84, "end_grain": 0.67, "large_psi": 6100, "large_power": 1.45,
        "full_penetration": 10, "least_penetration": 6,
    },
    "reduction": {
        "small": 2.2, "small_up_to": 0.17, "slope": 10, "start": 0.5, "large": [4, 4, 3.6, 3.2, 3.2, 3.2],
        "across_grain": 1.25,
    },
    "slip": {"divisor": 23, "nail_divisor": 30, "nail_power": 0.8},
}  # fmt: skip
"""NDS 2018, Wood Handbook chapter 8 and Eurocode 5, typed in again."""
GAUGES = {
    6: (0.113, 0.262), 7: (0.122, 0.287), 8: (0.131, 0.312), 9: (0.142, 0.337), 10: (0.152, 0.363),
    12: (0.171, 0.414), 14: (0.196, 0.480),
}  # fmt: skip
"""NDS 2018, table L3: the root of rolled threads, and the head."""
LISTS = {
    "nail_head": [
        (0.072, 0.172), (0.08, 0.203), (0.099, 0.25), (0.113, 0.266), (0.131, 0.281), (0.148, 0.312),
        (0.162, 0.344), (1, 0.406),
    ],
    "bending_yield": [(0.142, 100_000), (0.177, 90_000), (0.236, 80_000), (0.273, 70_000)],
}  # fmt: skip
"""ASTM F1667 (from memory); NDS 2018, table L3."""


def test_each_figure_of_screws_and_nails_is_the_published_one() -> None:
    table = figures("screws")
    for name, told in SCREWS.items():
        plain = {
            key: value for key, value in table[name].items() if not key.endswith("from") and key != "read"
        }
        assert plain == told, name
    for name, pairs in LISTS.items():
        assert [tuple(row.values()) for row in table[name]] == pairs
    gauges = {row["number"]: (row["root"], row["head"]) for row in table["gauge"]}
    for number, own in {4: 0.112, 5: 0.125}.items():  # In proportion to No. 6, whose shank is 0.138 thick.
        thinner = gauges.pop(number)
        assert thinner == pytest.approx([each * own / 0.138 for each in GAUGES[6]], abs=0.0006)
    assert gauges == GAUGES
    held = {name: (row["face"], row["edge"]) for name, row in table["panel_withdrawal"].items()}
    assert held == {"medium-density fibreboard": (1445, 1110), "particleboard": (1000, 900)}


@pytest.mark.parametrize(
    ("words", "grade", "bare", "row"),
    [
        ("A2 cherry plywood", "A2", "cherry plywood", "hardwood plywood"),
        ("BB/BB Baltic birch plywood", "BB/BB", "Baltic birch plywood", "hardwood plywood"),
        ("CDX plywood", "CDX", "plywood", "softwood plywood"),
        ("A1 plywood", "A1", "plywood", "hardwood plywood"),
        ("marine-grade plywood", "marine", "plywood", "softwood plywood"),
        ("pressure-treated No. 2 southern pine", "No. 2", "southern pine", "loblolly pine"),
        ("white oak", "", "white oak", "white oak"),
    ],
)
def test_a_grade_is_kept_beside_the_wood_and_its_figures_are_found(
    words: str, grade: str, bare: str, row: str
) -> None:
    material = material_of(words)
    assert (material.grade, material.bare, material.stands_for) == (grade, bare, row)
    assert modulus(material) == modulus(material_of(bare if bare != "plywood" else row))


@pytest.mark.parametrize(
    ("words", "row"),
    [
        ("redwood old growth", "old-growth redwood"),
        ("red oak northern", "northern red oak"),
        ("Douglas-fir coast", "coast Douglas-fir"),
        ("red oak (northern)", "northern red oak"),
        ("Khaya spp.", "African mahogany"),
    ],
)
def test_a_wood_may_be_told_as_lists_of_woods_have_it(words: str, row: str) -> None:
    found, same = find_material(words), find_material(row)
    assert found is not None and same is not None and found.stands_for == same.stands_for


def test_a_name_of_several_woods_is_taken_for_none_and_offers_them() -> None:
    assert not material_of("Brazilian walnut").known
    assert nearest_material("brazilian-walnut") == "ipe or imbuia"
    for several in figures("woods")["several"].values():
        assert all(material_of(name).known for name in several.split(" or "))

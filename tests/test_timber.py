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


def test_figures_of_movement_are_of_woods_that_are_known() -> None:
    for wood, row in figures("movement")["coefficient"].items():
        assert known(wood).stands_for == wood
        assert 0 < row["radial"] < row["tangential"] < 0.006, wood
        assert row["read"] or row["sure"] in {"high", "medium"}, wood


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
    ],
)
def test_a_wood_may_be_told_as_lists_of_woods_have_it(words: str, row: str) -> None:
    found, same = find_material(words), find_material(row)
    assert found is not None and same is not None and found.stands_for == same.stands_for

"""Species and panels: what a plan's material words stand for, and how dense the wood is.

Specific gravity is oven-dry weight over volume at 12 percent moisture, relative to water. Sources, named
short in ``Material.basis``:

* *inventory table*: USDA Forest Service, Forest Inventory and Analysis, reference table of species,
  column of specific gravity at 12 percent moisture (it repeats the Wood Handbook's figures).
* *Wood Handbook*: Wood Handbook, FPL-GTR-190 (2010), with the number of the table.
* *from memory*: recalled, not read.
"""

from __future__ import annotations

from dataclasses import dataclass

_PANEL_KINDS = frozenset({"plywood", "fibreboard", "particleboard", "strandboard", "hardboard"})


@dataclass(frozen=True, slots=True)
class Material:
    """A species of wood or a kind of panel.

    ``stands_for`` names the row of the table whose figures are used: for the trade name *oak* that is
    *red oak*, for a row itself its own name. ``specific_gravity`` is ``None`` where no figure was found.
    """

    name: str
    kind: str
    """``softwood``, ``hardwood``, ``plywood``, ``fibreboard``, ``particleboard``, ``strandboard`` or ``hardboard``."""
    specific_gravity: float | None
    basis: str
    stands_for: str

    @property
    def panel(self) -> bool:
        """Made in sheets, from veneers, strands, chips or fibre: it does not move across the grain as wood does."""
        return self.kind in _PANEL_KINDS

    @property
    def solid(self) -> bool:
        """Sawn wood, with one grain direction."""
        return self.kind not in _PANEL_KINDS


_INVENTORY = "USDA Forest Service inventory table of species"
_HANDBOOK_5_3B = "Wood Handbook, FPL-GTR-190, table 5-3b"
_HANDBOOK_12_1 = "Wood Handbook, FPL-GTR-190, table 12-1"
_MEMORY = "from memory"

_SPECIES: tuple[tuple[str, str, float | None, str], ...] = (
    ("red oak", "hardwood", 0.63, _INVENTORY),
    ("white oak", "hardwood", 0.68, _INVENTORY),
    ("sugar maple", "hardwood", 0.63, _INVENTORY),
    ("red maple", "hardwood", 0.54, _INVENTORY),
    ("black walnut", "hardwood", 0.55, _INVENTORY),
    ("black cherry", "hardwood", 0.50, _INVENTORY),
    ("shagbark hickory", "hardwood", 0.72, _INVENTORY),
    ("white ash", "hardwood", 0.60, _INVENTORY),
    ("yellow birch", "hardwood", 0.62, _INVENTORY),
    ("American beech", "hardwood", 0.64, _INVENTORY),
    ("yellow poplar", "hardwood", 0.42, _INVENTORY),
    ("red alder", "hardwood", 0.41, _INVENTORY),
    ("basswood", "hardwood", 0.37, _INVENTORY),
    ("quaking aspen", "hardwood", 0.38, _INVENTORY),
    # The handbook prints only the green-volume figure for these; no figure at 12 percent is made up here.
    (
        "African mahogany",
        "hardwood",
        None,
        "no figure at 12 percent moisture is published in the Wood Handbook",
    ),
    (
        "Honduras mahogany",
        "hardwood",
        None,
        "no figure at 12 percent moisture is published in the Wood Handbook",
    ),
    ("teak", "hardwood", None, "no figure at 12 percent moisture is published in the Wood Handbook"),
    ("European beech", "hardwood", None, "no published table was read"),
    ("eastern white pine", "softwood", 0.35, _INVENTORY),
    ("western white pine", "softwood", 0.38, _INVENTORY),
    ("sugar pine", "softwood", 0.36, _INVENTORY),
    ("ponderosa pine", "softwood", 0.40, _INVENTORY),
    ("lodgepole pine", "softwood", 0.41, _INVENTORY),
    ("loblolly pine", "softwood", 0.51, _INVENTORY),
    ("longleaf pine", "softwood", 0.59, _INVENTORY),
    ("Douglas-fir", "softwood", 0.48, _INVENTORY),
    ("western hemlock", "softwood", 0.45, _INVENTORY),
    ("white fir", "softwood", 0.39, _INVENTORY),
    ("Engelmann spruce", "softwood", 0.35, _INVENTORY),
    ("Sitka spruce", "softwood", 0.36, _INVENTORY),
    ("western redcedar", "softwood", 0.32, _INVENTORY),
    ("eastern redcedar", "softwood", 0.47, _INVENTORY),
    ("old-growth redwood", "softwood", 0.40, _HANDBOOK_5_3B),
    ("young-growth redwood", "softwood", 0.35, _HANDBOOK_5_3B),
    ("baldcypress", "softwood", 0.46, _INVENTORY),
    # Panels are published as a range; the low end is taken, so that no screw is trusted too far.
    ("softwood plywood", "plywood", 0.40, f"{_HANDBOOK_12_1}, low end of 0.40 to 0.60"),
    (
        "hardwood plywood",
        "plywood",
        0.40,
        f"{_HANDBOOK_12_1}, low end of the row for plywood in general, 0.40 to 0.60; none found for hardwood veneers",
    ),
    ("oriented strandboard", "strandboard", 0.50, f"{_HANDBOOK_12_1}, low end of 0.50 to 0.80"),
    ("medium-density fibreboard", "fibreboard", 0.70, f"{_HANDBOOK_12_1}, low end of 0.70 to 0.90"),
    ("particleboard", "particleboard", 0.60, f"{_HANDBOOK_12_1}, low end of 0.60 to 0.80"),
    (
        "melamine-faced particleboard",
        "particleboard",
        0.60,
        f"{_HANDBOOK_12_1}, low end of particleboard, 0.60 to 0.80: the facing is counted as adding nothing",
    ),
    ("hardboard", "hardboard", 0.90, f"{_HANDBOOK_12_1}, low end of 0.90 to 1.00"),
)

# Trade names. One name sold for several species stands for the least dense of those commonly sold (the
# cautious figure), except where the trade means one species outright. Which species a name covers is common
# practice, from memory.
_TRADE_NAMES: dict[str, str] = {
    "oak": "red oak",
    "northern red oak": "red oak",
    "maple": "red maple",
    "hard maple": "sugar maple",
    "rock maple": "sugar maple",
    "soft maple": "red maple",
    "walnut": "black walnut",
    "American walnut": "black walnut",
    "cherry": "black cherry",
    "American cherry": "black cherry",
    "hickory": "shagbark hickory",
    "ash": "white ash",
    "birch": "yellow birch",
    "beech": "American beech",
    "poplar": "yellow poplar",
    "tulipwood": "yellow poplar",
    "tulip poplar": "yellow poplar",
    "alder": "red alder",
    "American basswood": "basswood",
    "aspen": "quaking aspen",
    "mahogany": "Honduras mahogany",
    "genuine mahogany": "Honduras mahogany",
    "khaya": "African mahogany",
    "pine": "eastern white pine",
    "white pine": "eastern white pine",
    "yellow pine": "loblolly pine",
    "southern pine": "loblolly pine",
    "southern yellow pine": "loblolly pine",
    "fir": "white fir",
    "coast Douglas-fir": "Douglas-fir",
    "hem-fir": "white fir",
    "hemlock": "western hemlock",
    "spruce": "Engelmann spruce",
    "spruce-pine-fir": "Engelmann spruce",
    "SPF": "Engelmann spruce",
    "whitewood": "Engelmann spruce",
    "cedar": "western redcedar",
    "red cedar": "western redcedar",
    "western cedar": "western redcedar",
    "aromatic cedar": "eastern redcedar",
    "aromatic red cedar": "eastern redcedar",
    "redwood": "young-growth redwood",
    "cypress": "baldcypress",
    "plywood": "softwood plywood",
    "pine plywood": "softwood plywood",
    "fir plywood": "softwood plywood",
    "Douglas-fir plywood": "softwood plywood",
    "sanded plywood": "softwood plywood",
    "marine plywood": "softwood plywood",
    "birch plywood": "hardwood plywood",
    "Baltic birch": "hardwood plywood",
    "Baltic birch plywood": "hardwood plywood",
    "oak plywood": "hardwood plywood",
    "red oak plywood": "hardwood plywood",
    "white oak plywood": "hardwood plywood",
    "maple plywood": "hardwood plywood",
    "walnut plywood": "hardwood plywood",
    "cherry plywood": "hardwood plywood",
    "poplar plywood": "hardwood plywood",
    "OSB": "oriented strandboard",
    "strandboard": "oriented strandboard",
    "MDF": "medium-density fibreboard",
    "medium-density fiberboard": "medium-density fibreboard",
    "fibreboard": "medium-density fibreboard",
    "fiberboard": "medium-density fibreboard",
    "chipboard": "particleboard",
    "melamine": "melamine-faced particleboard",
    "melamine particleboard": "melamine-faced particleboard",
}


def _key(words: str) -> str:
    """Capitals, hyphens and spaces make no difference: ``Douglas-fir`` is ``douglas fir``."""
    return words.lower().replace("-", "").replace(" ", "").replace("\t", "")


_ROWS: dict[str, tuple[str, str, float | None, str]] = {row[0]: row for row in _SPECIES}
_NAMES: dict[str, tuple[str, str]] = {_key(row[0]): (row[0], row[0]) for row in _SPECIES}
for _name, _row in _TRADE_NAMES.items():
    _NAMES[_key(_name)] = (_name, _row)

_made: dict[str, Material] = {}


def find_material(words: str) -> Material | None:
    """The material a builder means by ``words``, or ``None``; the same object each time."""
    key = _key(words)
    known = _NAMES.get(key)
    if known is None:
        return None
    made = _made.get(key)
    if made is None:
        name, row = known
        _, kind, gravity, basis = _ROWS[row]
        if name != row:
            basis = f"{basis}, {row}"
        made = _made[key] = Material(name, kind, gravity, basis, row)
    return made


def material_names() -> tuple[str, ...]:
    """Every species, panel and trade name a plan may use."""
    return tuple(name for name, _ in _NAMES.values())


def names_by_kind() -> dict[str, list[str]]:
    """The same by kind, each list in the order of the alphabet."""
    found: dict[str, list[str]] = {}
    for name, row in _NAMES.values():
        found.setdefault(_ROWS[row][1], []).append(name)
    return {kind: sorted(names, key=str.lower) for kind, names in found.items()}


def nearest_material(words: str) -> str | None:
    """The known name that is spelt most like ``words``, if one is near enough to offer."""
    from planlint.model.nearest_name import nearest  # noqa: PLC0415  (only plans with a mistake need it)

    found = nearest(_key(words), _NAMES)
    return _NAMES[found][0] if found is not None else None

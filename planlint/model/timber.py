"""Species and panels: what a plan's material words stand for, and how dense the wood is.

Specific gravity is oven-dry weight over volume at 12 percent moisture, relative to water. Sources, named
short in ``Material.basis``:

* *inventory table*: USDA Forest Service, Forest Inventory and Analysis, reference table of species,
  column of specific gravity at 12 percent moisture (it repeats the Wood Handbook's figures).
* *Wood Handbook*: Wood Handbook, FPL-GTR-190 (2010), with the number of the table.
* *from memory*: recalled, not read.
"""

import re
from dataclasses import dataclass

from planlint.model.wood_names import (
    FIGURED,
    GRADES,
    HARDWOODS_BY_NAME,
    OTHER_NAMES,
    PANEL_WORDS,
    SEVERAL_WOODS,
    SOFTWOOD_PLYWOOD,
    SOFTWOODS_BY_NAME,
)

_UNKNOWN = "unknown"
"""The kind of a wood of which only the name is known."""

_PANEL_KINDS = frozenset({"plywood", "fibreboard", "particleboard", "strandboard", "hardboard"})


@dataclass(frozen=True, slots=True)
class Material:
    """A species of wood or a kind of panel.

    ``stands_for`` names the row of the table whose figures are used: for the trade name *oak* that is
    *red oak*, for a row itself its own name. ``specific_gravity`` is ``None`` where no figure was found.
    """

    name: str
    kind: str
    """``softwood``, ``hardwood``, ``plywood``, ``fibreboard``, ``particleboard``, ``strandboard``, ``hardboard``
    or ``unknown``."""
    specific_gravity: float | None
    basis: str
    stands_for: str
    sawn: str = ""
    """``quarter``, ``rift`` or ``flat``, where the plan says how its boards are sawn."""
    treated: str = ""
    """``preservative`` or ``borate``, where the plan says that it is treated against rot."""
    grade: str = ""
    """``A2``, ``BB/BB``, ``CDX``, ``FAS``, ``No. 2``: the grade that is asked for, as it is said before the name."""
    bare: str = ""
    """Its name without all that is said before it."""

    @property
    def known(self) -> bool:
        """Whether anything is known of it."""
        return self.kind != _UNKNOWN

    @property
    def sold_as(self) -> str:
        """What it is bought as, by whichever of its names; plywood, and what is veneered, by that of its face."""
        if self.kind != "plywood" and self.bare:
            return self.stands_for
        return (self.bare or self.name).lower().removesuffix(" plywood")

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
_RECALLED = "Wood Handbook, FPL-GTR-190, table 5-3b, recalled from memory"

_BY_NAME = {
    table: dict(" ".join(each.split()).partition(" = ")[::2] for each in table.split(";"))
    for table in (HARDWOODS_BY_NAME, SOFTWOODS_BY_NAME)
}

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
    ("silver maple", "hardwood", 0.47, _RECALLED),
    ("bigleaf maple", "hardwood", 0.48, _RECALLED),
    ("pecan hickory", "hardwood", 0.66, _RECALLED),
    ("paper birch", "hardwood", 0.55, _RECALLED),
    ("eastern cottonwood", "hardwood", 0.40, _RECALLED),
    ("butternut", "hardwood", 0.38, _RECALLED),
    ("hackberry", "hardwood", 0.53, _RECALLED),
    ("black locust", "hardwood", 0.69, _RECALLED),
    ("sweetgum", "hardwood", 0.52, _RECALLED),
    ("American sycamore", "hardwood", 0.49, _RECALLED),
    # Known by name and kind alone: no figure of them at 12 percent was read.
    *[(name, "hardwood", None, "no published table was read") for name in _BY_NAME[HARDWOODS_BY_NAME]],
    *[(name, "softwood", None, "no published table was read") for name in _BY_NAME[SOFTWOODS_BY_NAME]],
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

_CALLED = OTHER_NAMES | _BY_NAME[HARDWOODS_BY_NAME] | _BY_NAME[SOFTWOODS_BY_NAME]
_TRADE_NAMES = {name: row for row, names in _CALLED.items() for name in names.split(", ") if name}


def _key(words: str) -> str:
    """Capitals, hyphens and spaces make no difference: ``Douglas-fir`` is ``douglas fir``."""
    return words.lower().replace("-", "").replace(" ", "").replace("\t", "")


_ROWS: dict[str, tuple[str, str, float | None, str]] = {row[0]: row for row in _SPECIES}
_NAMES: dict[str, tuple[str, str]] = {_key(row[0]): (row[0], row[0]) for row in _SPECIES}
for _name, _row in _TRADE_NAMES.items():
    _NAMES[_key(_name)] = (_name, _row)

_SAWN = {
    "quartersawn": "quarter",
    "quartered": "quarter",
    "qs": "quarter",
    "riftsawn": "rift",
    "rift": "rift",
    "flatsawn": "flat",
    "plainsawn": "flat",
}
_TREATED = {
    "pressuretreated": "preservative",
    "preservativetreated": "preservative",
    "boratetreated": "borate",
    "treated": "preservative",
}
"""What may stand before the name of a wood, by the key of its words."""

_made: dict[str, Material] = {}


def find_material(words: str) -> Material | None:
    """The material a builder means by ``words``, or ``None``; the same object each time."""
    written = " ".join(words.split())  # It is told as this plan writes it, however others did before.
    whole = _key(words)
    made = _made.get(whole) or _made.get(written)
    if made is None:
        key, grade = _graded(words)
        bare, sawn, treated = _bare(key)
        known = _NAMES.get(bare) or _other_way_round(words)
        if known is None:
            return None
        name, row = known
        if bare == "plywood" and _of_hardwood(grade):
            row = PANEL_WORDS[bare]
        _, kind, gravity, basis = _ROWS[row]
        if name != row:
            basis = f"{basis}, {row}"
        said, kept = (name, whole) if bare == whole else (written, written)
        made = _made[kept] = Material(said, kind, gravity, basis, row, sawn, treated, grade, name)
    return made


def _other_way_round(words: str) -> tuple[str, str] | None:
    """The name that has the same words in another order, as lists of woods have them: ``red oak northern``."""
    asked = sorted(re.findall(r"\w+", words.lower()))
    return next(
        (each for each in _NAMES.values() if sorted(re.findall(r"\w+", each[0].lower())) == asked), None
    )


def _graded(words: str) -> tuple[str, str]:
    """The key of a wood without the grade before it, and the grade; a name may be that of a grade alone, ``CDX``."""
    said = " ".join(words.split())
    found = _GRADE.search(said)
    if found is None:
        return _key(said), ""
    return _key(said[: found.start()] + said[found.end() :]) or _key(said), found["grade"]


def _of_hardwood(grade: str) -> bool:
    """Whether plywood has faces of hardwood by its grade: by all letters but those of softwood plywood."""
    return grade[:1].isupper() and grade.lower() not in SOFTWOOD_PLYWOOD


_GRADE = re.compile(rf"(?<!\S)(?P<grade>{GRADES})(?:[- ][Gg]rade)?(?: |$)")
_FIGURED = tuple(_key(word) for word in FIGURED)


def _bare(key: str) -> tuple[str, str, str]:
    """A wood without what stands before it: how it is sawn, and whether it is treated."""
    sawn = treated = ""
    while key not in _NAMES:
        before = next((word for word in (*_SAWN, *_TREATED, *_FIGURED) if key.startswith(word)), "")
        if not before:
            break
        key = key[len(before) :]
        sawn, treated = _SAWN.get(before, sawn), _TREATED.get(before, treated)
    return key, sawn, treated


def material_of(words: str) -> Material:
    """The same, and for a wood that is not known one of its name, of which nothing can be judged."""
    found = find_material(words)
    if found is not None:
        return found
    key, grade = _graded(words)
    _, sawn, treated = _bare(key)
    row = PANEL_WORDS.get(words.lower().split()[-1].rpartition("-")[2])
    if row == "hardwood plywood" and SOFTWOOD_PLYWOOD.intersection(words.lower().split()):
        row = "softwood plywood"
    name = " ".join(words.split())
    if row is not None:
        _, kind, gravity, basis = _ROWS[row]
        return Material(name, kind, gravity, f"{basis}, {row}", row, sawn, treated, grade)
    return Material(name, _UNKNOWN, None, "a wood that is not known here", name, sawn, treated, grade)


def names_by_kind() -> dict[str, list[str]]:
    """Every species, panel and trade name a plan may use, by kind, each list in the order of the alphabet."""
    found: dict[str, list[str]] = {}
    for name, row in _NAMES.values():
        found.setdefault(_ROWS[row][1], []).append(name)
    return {kind: sorted(names, key=str.lower) for kind, names in found.items()}


def nearest_material(words: str) -> str | None:
    """The known name that is spelt most like ``words``, if one is near enough to offer."""
    from planlint.model.nearest_name import nearest  # noqa: PLC0415  (only plans with a mistake need it)

    several = {_key(name): woods for name, woods in SEVERAL_WOODS.items()}.get(_key(words))
    if several:
        return several
    found = nearest(_key(words), _NAMES)
    return _NAMES[found][0] if found is not None else None

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
from functools import cache
from typing import NamedTuple

from planlint.rulebook.figure_tables import figures

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


class _Woods(NamedTuple):
    """What is known of woods and panels."""

    rows: dict[str, tuple[str, float | None, str]]
    """Kind, specific gravity and basis of each row of the table."""
    names: dict[str, tuple[str, str]]
    """By its key, every name that a plan may use, and the row that it stands for."""
    panels: dict[str, str]
    """By the last word of a panel that is told by its face or its grade, its row."""
    softwood_plywood: frozenset[str]
    """Words before `plywood` that softwood plywood is sold by."""
    figured: tuple[str, ...]
    """Keys of words before a wood that tell how it looks or is sorted, and nothing that is judged here."""
    sawn: dict[str, str]
    treated: dict[str, str]
    """By the keys of words before a wood, how it is sawn and what keeps it from rot."""


@cache
def _woods() -> _Woods:
    """``rules/figures/woods.toml``, by its names."""
    table = figures("woods")
    rows, called = {}, {}
    for name, row in table["wood"].items():
        basis = table["basis"].get(row["basis"], row["basis"])
        rows[name], called[name] = (row["kind"], row.get("gravity"), basis), row.get("names", "")
    for kind, told in table["by_name"].items():
        for each in told.split(";"):
            name, _, called[name] = " ".join(each.split()).partition(" = ")
            rows[name] = (kind, None, table["basis"]["not read"])
    names = {_key(name): (name, name) for name in rows}
    names |= {_key(each): (each, row) for row, told in called.items() for each in told.split(", ") if each}
    before = table["before"]
    figured = tuple(map(_key, before["figured"]))
    softwood = frozenset(before["softwood_plywood"])
    return _Woods(rows, names, table["panel_words"], softwood, figured, before["sawn"], before["treated"])


def _key(words: str) -> str:
    """Capitals, hyphens and spaces make no difference: ``Douglas-fir`` is ``douglas fir``."""
    return words.lower().replace("-", "").replace(" ", "").replace("\t", "")


_made: dict[str, Material] = {}


def find_material(words: str) -> Material | None:
    """The material a builder means by ``words``, or ``None``; the same object each time."""
    written = " ".join(words.split())  # It is told as this plan writes it, however others did before.
    whole = _key(words)
    made = _made.get(whole) or _made.get(written)
    if made is None:
        key, grade = _graded(words)
        bare, sawn, treated = _bare(key)
        known = _woods().names.get(bare) or _other_way_round(words)
        if known is None:
            return None
        name, row = known
        # By all grades but those of softwood plywood it has faces of hardwood.
        if bare == "plywood" and grade[:1].isupper() and grade.lower() not in _woods().softwood_plywood:
            row = _woods().panels[bare]
        kind, gravity, basis = _woods().rows[row]
        if name != row:
            basis = f"{basis}, {row}"
        said, kept = (name, whole) if bare == whole else (written, written)
        made = _made[kept] = Material(said, kind, gravity, basis, row, sawn, treated, grade, name)
    return made


def _other_way_round(words: str) -> tuple[str, str] | None:
    """The name that has the same words in another order, as lists of woods have them: ``red oak (northern)``, or of a
    whole genus: ``Khaya spp.``"""
    asked = sorted(re.findall(r"\w+", re.sub(r" spp?\.", "", words.lower())))
    return next(
        (each for each in _woods().names.values() if sorted(re.findall(r"\w+", each[0].lower())) == asked),
        None,
    )


def _graded(words: str) -> tuple[str, str]:
    """The key of a wood without the grade before it, and the grade; a name may be that of a grade alone, ``CDX``."""
    said = " ".join(words.split())
    found = _GRADE.search(said)
    if found is None:
        return _key(said), ""
    return _key(said[: found.start()] + said[found.end() :]) or _key(said), found["grade"]


_GRADES = (
    r"CDX|ACX|BCX|[A-D](?:-?[1-4A-D]){0,2}|(?:BB|[BS])/(?:BB|CP|WG|B|S)|CP/CP|FAS|F1F|[Nn]o\. ?[1-4](?: [Cc]ommon)?|"
    r"[Cc]lear|[Ss]elect(?: [Ss]tructural)?|[Cc]onstruction|(?:[Cc]abinet|[Ss]hop|[Pp]aint|[Mm]arine)(?=[- ][Gg])"
)
"""What a grade before a wood looks like: of panels by face and back (HPVA HP-1, PS 1, and makers of birch plywood), of
boards by the NHLA's and the softwood trade's names. Basis: from memory."""
_GRADE = re.compile(rf"(?<!\S)(?P<grade>{_GRADES})(?:[- ][Gg]rade)?(?: |$)")


def _bare(key: str) -> tuple[str, str, str]:
    """A wood without what stands before it: how it is sawn, and whether it is treated."""
    sawn, treated, woods = "", "", _woods()
    while key not in woods.names:
        before = next(
            (word for word in (*woods.sawn, *woods.treated, *woods.figured) if key.startswith(word)), ""
        )
        if not before:
            break
        key = key[len(before) :]
        sawn, treated = woods.sawn.get(before, sawn), woods.treated.get(before, treated)
    return key, sawn, treated


def material_of(words: str) -> Material:
    """The same, and for a wood that is not known one of its name, of which nothing can be judged."""
    found = find_material(words)
    if found is not None:
        return found
    key, grade = _graded(words)
    _, sawn, treated = _bare(key)
    row = _woods().panels.get(words.lower().split()[-1].rpartition("-")[2])
    if row == "hardwood plywood" and _woods().softwood_plywood.intersection(words.lower().split()):
        row = "softwood plywood"
    name = " ".join(words.split())
    if row is not None:
        kind, gravity, basis = _woods().rows[row]
        return Material(name, kind, gravity, f"{basis}, {row}", row, sawn, treated, grade)
    return Material(name, _UNKNOWN, None, "a wood that is not known here", name, sawn, treated, grade)


def names_by_kind() -> dict[str, list[str]]:
    """Every species, panel and trade name a plan may use, by kind, each list in the order of the alphabet."""
    found: dict[str, list[str]] = {}
    for name, row in _woods().names.values():
        found.setdefault(_woods().rows[row][0], []).append(name)
    return {kind: sorted(names, key=str.lower) for kind, names in found.items()}


def nearest_material(words: str) -> str | None:
    """The known name that is spelt most like ``words``, if one is near enough to offer."""
    from planlint.model.nearest_name import nearest  # noqa: PLC0415  (only plans with a mistake need it)

    several: str | None = {_key(name): woods for name, woods in figures("woods")["several"].items()}.get(
        _key(words)
    )
    if several:
        return several
    names = _woods().names
    found = nearest(_key(words), names)
    return names[found][0] if found is not None else None

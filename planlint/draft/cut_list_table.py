"""A cut list as a spreadsheet writes it: which column is what, what its numbers mean, and every line not understood."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from io import StringIO
from typing import NamedTuple

from planlint.text.measures import INCH_PER_UNIT

MOST_ROWS = 5_000
MOST_HEAD_ROWS = 30
"""Rows of a list, and rows before its heads (titles, dates, a customer). Basis: own judgement."""
MOST_OF_ONE = 500
"""Parts that one line may ask for. Basis: own judgement."""


class NotUnderstood(NamedTuple):
    """A line of the file (from 1) that says nothing here, and why."""

    line: int
    says: str


@dataclass(frozen=True, slots=True)
class ListedPart:
    """One line of a cut list. Sizes in inches."""

    line: int
    name: str
    names: tuple[str, ...]
    """Of each of them, where the list gives all; else none."""
    count: int
    length: Fraction
    width: Fraction
    thickness: Fraction
    material: str


@dataclass(frozen=True)
class CutListRead:
    """What was read. ``columns`` tells for each head that was used what it was taken for."""

    parts: tuple[ListedPart, ...]
    unit: str
    columns: tuple[tuple[str, str], ...]
    unused: tuple[str, ...]
    problems: tuple[NotUnderstood, ...]
    passed_over: tuple[NotUnderstood, ...]
    """Lines and cells that were read as no part, and why: titles, units, cells without a head."""


class Unreadable(ValueError):  # noqa: N818 - says what is wrong
    """A file of which no line can be read; the message tells what is missing."""


_HEADS = {
    "name": "name part parts item component piece description label element",
    "count": "count qty quantity number no pcs pieces pc amount many howmany nos",
    "length": "length long len l",
    "width": "width wide w breadth broad",
    "thickness": "thickness thick thk t gauge",
    "material": "material wood species timber stock lumber board sheet",
    "size": "size dimensions dims lxwxt measurements",
}
"""Usual head words; small letters and nothing else counts. Basis: common practice, from memory."""
_WEAK = frozenset({"", "no", "number", "item", "itemno", "itemnumber", "label", "partno", "partnumber"})
"""Heads that often stand over the numbers of the lines: they give way to another head for the same."""
_RUNNING = 3
"""So many lines numbered 1, 2, 3 … are numbered, not counted. Basis: own judgement."""
_COLUMN = {word: column for column, words in _HEADS.items() for word in words.split()}
_UNITS = {
    **dict.fromkeys(("in", "inch", "inches", '"', "″", "”"), "in"),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), "mm"),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("ft", "foot", "feet", "'", "′", "’"), "ft"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), "m"),
}
_NEEDED = ("length", "width", "thickness")


def read_cut_list(text: str, unit: str | None = None, material: str | None = None) -> CutListRead:
    """The parts of a cut list: comma, semicolon or tab between cells, heads in any order, titles above them.

    ``unit`` (``in``, ``mm``, ``cm``) is that of numbers whose unit neither their cell nor their head says, ``material``
    that of lines which name none. Raises ``Unreadable`` where heads or units are missing.
    """
    rows = list(_rows(text))
    head = _find_head(rows)
    columns = {column: (place, cell) for place, (column, cell) in head.columns.items()}
    if _numbered(columns, rows[head.place + 1 :]):
        del columns["count"]
    missing = [need for need in _NEEDED if need not in columns] if "size" not in columns else []
    if missing:
        raise Unreadable(
            f"line {head.line} has no column for {' and '.join(missing)}: name each column by a word such as "
            "name, quantity, length, width, thickness, material"
        )
    if "material" not in columns and material is None:
        raise Unreadable(f"line {head.line} has no column for the material: add one, or say --of MATERIAL")
    reading = _Reading(columns, head.units, unit, head.commas, material)
    parts: list[ListedPart] = []
    problems: list[NotUnderstood] = []
    _, heads = rows[head.place]
    passed = [
        NotUnderstood(
            line, f"{_shown(' '.join(filter(None, cells)))} stands above the heads, and is passed over"
        )
        for line, cells in rows[: head.place]
        if any(cells)
    ]
    for line, cells in rows[head.place + 1 :]:
        if not any(cells):
            continue
        if all(_bare_unit(cell) in _UNITS for cell in cells if cell):
            passed.append(NotUnderstood(line, "it is read as the units of the columns"))
            continue
        passed += [
            NotUnderstood(line, f"{_shown(cell)} stands under no head, and is passed over")
            for place, cell in enumerate(cells)
            if cell and not (place < len(heads) and heads[place])
        ]
        if any("\n" in cell for cell in cells):
            last = line + sum(cell.count("\n") for cell in cells)
            passed.append(
                NotUnderstood(
                    line, f"lines {line} to {last} are read as one: a cell in quotes runs over them"
                )
            )
        if len(parts) + len(problems) >= MOST_ROWS:
            problems.append(NotUnderstood(line, f"more than {MOST_ROWS} lines: the rest is not read"))
            break
        try:
            parts.append(reading.part(line, cells))
        except Unreadable:
            raise
        except ValueError as problem:
            problems.append(NotUnderstood(line, str(problem)))
        else:
            if "name" in columns and not parts[-1].name:
                passed.append(NotUnderstood(line, f"it has no name, and is called part_{line}"))
    used = {place for place, _ in columns.values()}
    return CutListRead(
        tuple(parts),
        unit or next(iter(head.units.values()), None) or reading.seen or "in",
        tuple((cell, column) for column, (_, cell) in columns.items()),
        tuple(cell.strip() for place, cell in enumerate(heads) if place not in used and cell.strip()),
        tuple(problems),
        tuple(passed),
    )


class _Head(NamedTuple):
    place: int
    line: int
    columns: dict[int, tuple[str, str]]
    units: dict[int, str]
    commas: Commas


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """Lines with their numbers; the mark between cells is the one that divides most lines alike."""
    lines = StringIO(text.removeprefix("\ufeff"), newline="").readlines()
    mark = max(";\t,", key=lambda each: (sum(each in line for line in lines), each == ";"))
    reader = csv.reader(lines, delimiter=mark)
    start = 1
    try:
        for cells in reader:
            yield start, ["\n".join(cell.strip().splitlines()) for cell in cells]
            start = reader.line_num + 1
            if start > MOST_ROWS + MOST_HEAD_ROWS:
                return
    except csv.Error as problem:
        raise Unreadable(
            f"line {start} cannot be read as a line of cells: is a quote left open there?"
        ) from problem


def _find_head(rows: Sequence[tuple[int, list[str]]]) -> _Head:
    for place, (line, cells) in enumerate(rows[:MOST_HEAD_ROWS]):
        columns: dict[int, tuple[str, str]] = {}
        units: dict[int, str] = {}
        heads = [(number, cell, *_head_word(cell)) for number, cell in enumerate(cells)]
        for number, cell, column, unit in sorted(heads, key=lambda each: _weak(each[1])):
            if column and column not in {each for each, _ in columns.values()}:
                columns[number] = (column, cell)
                if unit:
                    units[number] = unit
        columns = dict(sorted(columns.items()))
        found = {column for column, _ in columns.values()}
        if len(found & {*_NEEDED, "size"}) and len(found) >= 2:
            below = rows[place + 1][1] if place + 1 < len(rows) else []
            for number, cell in enumerate(below):
                if number in columns and _bare_unit(cell) in _UNITS:
                    units.setdefault(number, _UNITS[_bare_unit(cell)])
            many = [cell for _, row in rows[place + 1 :] for cell in row]
            return _Head(place, line, columns, units, _commas_of(many))
    raise Unreadable(
        "no line of heads was found: name the columns by words such as name, quantity, length, width, thickness, "
        "material"
    )


class Commas(NamedTuple):
    """How numbers are written: whether a comma may stand for the decimal point, and whether any comma does."""

    decimal: bool
    there: bool


_THOUSANDS = re.compile(r"\d{1,3}\.\d{3}$")


def _commas_of(cells: Sequence[str]) -> Commas:
    points = [cell for cell in cells if re.search(r"\d\.\d", cell) and not _THOUSANDS.match(cell)]
    return Commas(not points, any(re.search(r"\d,\d", cell) for cell in cells))


def _bare_unit(cell: str) -> str:
    return cell.strip("()[] ").lower()


def _head_word(cell: str) -> tuple[str | None, str | None]:
    """What a head stands for, and the unit it says: ``Length (mm)``, ``W [in]``, ``thickness in inches``."""
    words = re.findall(r"[a-z]+|[\"″”'′’]", cell.lower())
    unit = next((_UNITS[word] for word in reversed(words) if word in _UNITS and word != words[0]), None)
    joined = "".join(word for word in words if word.isalpha())
    column = _COLUMN.get(joined) or next((_COLUMN[word] for word in words if word in _COLUMN), None)
    if cell.strip() == "#":
        column = "count"
    return column, unit


def _weak(cell: str) -> bool:
    """Whether a head gives way to another for the same: a number of the line, or a size before planing."""
    words = re.findall(r"[a-z]+", cell.lower())
    return "".join(words) in _WEAK or words[0] in {"rough", "raw"}


def _numbered(columns: dict[str, tuple[int, str]], rows: Sequence[tuple[int, list[str]]]) -> bool:
    """Whether the column taken for how many only numbers the lines, 1, 2, 3 …"""
    place, cell = columns.get("count", (0, "many"))
    told = [cells[place].strip(". ") for _, cells in rows if place < len(cells) and cells[place]]
    return _weak(cell) and len(told) >= _RUNNING and told == [str(n) for n in range(1, len(told) + 1)]


class _Reading:
    """How the lines under the heads are read."""

    def __init__(
        self,
        columns: dict[str, tuple[int, str]],
        units: dict[int, str],
        unit: str | None,
        commas: Commas,
        material: str | None,
    ) -> None:
        self.columns, self.units, self.unit = columns, units, unit
        self.commas, self.material = commas, material
        self.seen: str | None = None

    def part(self, line: int, cells: Sequence[str]) -> ListedPart:
        """Raises ``ValueError`` that says what is not understood."""
        if "size" in self.columns and not all(need in self.columns for need in _NEEDED):
            place = self.columns["size"][0]
            pieces = re.split(r"\s*[x×X*]\s*", self._cell(cells, "size"))
            if len(pieces) != 3:
                raise ValueError(
                    f"a size is length x width x thickness, and this is {_shown(self._cell(cells, 'size'))}"
                )
            # A unit behind the last number alone stands for all three.
            tail = re.search(r"\d\s*([a-zA-Z]+)$", pieces[2])
            if tail and all(re.fullmatch(r"[\d.,/ -]+", piece) for piece in pieces[:2]):
                pieces = [pieces[0] + tail[1], pieces[1] + tail[1], pieces[2]]
            sizes = [self._size(piece, place, need) for piece, need in zip(pieces, _NEEDED, strict=True)]
        else:
            sizes = [self._size(self._cell(cells, need), self.columns[need][0], need) for need in _NEEDED]
        length, width, thickness = sizes
        if thickness > width:
            raise ValueError("it is thicker than it is wide: are the columns in another order?")
        material = self._cell(cells, "material") or self.material
        if not material:
            raise ValueError("it names no material")
        # A sheet of ours keeps what might be a formula behind an apostrophe, and lists all that are cut alike.
        name = " ".join(re.sub(r"^'(?=\s*[=+@-])", "", self._cell(cells, "name")).split())
        count = self._count(cells)
        names = tuple(name.split(", ")) if self.columns.get("name", (0, ""))[1].strip() == "parts" else ()
        names = names if len(names) == count else ()
        return ListedPart(line, name, names, count, length, width, thickness, material)

    def _cell(self, cells: Sequence[str], column: str) -> str:
        place = self.columns.get(column, (len(cells), ""))[0]
        return cells[place].strip() if place < len(cells) else ""

    def _count(self, cells: Sequence[str]) -> int:
        if "count" not in self.columns:
            return 1
        told = self._cell(cells, "count")
        bare = re.sub(r"\s*(pcs?|pieces?|off|x|×)\.?$", "", told.lower())
        bare = re.sub(r"[.,]0+$", "", bare)
        if not bare.isdecimal() or not 1 <= int(bare) <= MOST_OF_ONE:
            raise ValueError(
                f"how many? {_shown(told)} is no number from 1 to {MOST_OF_ONE}"
                if told
                else "how many? nothing is said"
            )
        return int(bare)

    def _size(self, told: str, place: int, what: str) -> Fraction:
        if not told:
            raise ValueError(f"it has no {what}")
        value, unit = _number(told, commas=self.commas)
        unit = unit or self.units.get(place) or self.unit
        if unit is None:
            raise Unreadable(
                f"nothing says whether {what} is in inches or millimetres: write the unit in the heads, or say --unit"
            )
        self.seen = self.seen or ("mm" if unit in {"mm", "cm", "m"} else "in")
        inches = value * INCH_PER_UNIT[unit]
        if not 0 < inches <= 1200:
            raise ValueError(f"no part is {_shown(told)} in {what}")
        return inches


_MIXED = re.compile(r"(?:(\d+)(?:\s+|\s*-\s*))?(\d+)\s*[/⁄]\s*(\d+)$")
_GLYPHS = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
}


def _number(told: str, *, commas: Commas) -> tuple[Fraction, str | None]:
    """``1-1/2"``, ``19mm``, ``2' 6"``, ``876,3``: the value and its unit, if it says one. Raises ``ValueError``."""
    words = told.strip().lower()
    for glyph, fraction in _GLYPHS.items():
        words = re.sub(rf"(?<=\d){glyph}", f"-{fraction}", words).replace(glyph, fraction)
    feet = re.match(r"([\d./ -]+?)\s*(?:'|′|’|ft\.?|feet|foot)\s*-?\s*(.+)$", words)
    if feet:
        rest, unit = _number(feet[2], commas=commas)
        if unit not in {None, "in"}:
            raise ValueError(f"{_shown(told)} is not understood as a length")
        return _plain(feet[1], told, commas=commas) * 12 + rest, "in"
    unit = None
    tail = re.search(r"([a-z]+\.?|\"|″|”|''|'|′|’)$", words)
    if tail:
        sign = tail[1].rstrip(".").replace("''", '"')
        if sign not in _UNITS:
            raise ValueError(f"{_shown(told)} is not understood as a length")
        unit, words = _UNITS[sign], words[: tail.start()].strip()
    return _plain(words, told, commas=commas), unit


def _plain(words: str, told: str, *, commas: Commas) -> Fraction:
    words = words.strip()
    mixed = _MIXED.match(words)
    if mixed and int(mixed[3]):
        return Fraction(mixed[1] or 0) + Fraction(int(mixed[2]), int(mixed[3]))
    if commas.there and _THOUSANDS.match(words):
        raise ValueError(f"is the point in {_shown(told)} a decimal one? Write it without, or with a comma")
    if re.fullmatch(r"\d+(\.\d+)?|\.\d+", words):
        return Fraction(words)
    if re.fullmatch(r"\d+,\d+", words):
        whole, _, after = words.partition(",")
        if not commas.decimal or len(after) == 3:
            raise ValueError(f"is the comma in {_shown(told)} a decimal one? Write it with a point")
        return Fraction(f"{whole}.{after}")
    raise ValueError(f"{_shown(told)} is not understood as a length")


def _shown(words: str) -> str:
    words = "".join(c if c.isprintable() else "?" for c in words)
    return f'"{words if len(words) <= 30 else words[:29] + "…"}"'

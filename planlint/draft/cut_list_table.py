"""A cut list as a spreadsheet writes it: which column is what, what its numbers mean, and every line not understood."""

import re
from collections.abc import Iterator, Sequence
from contextlib import suppress
from fractions import Fraction

from planlint.draft.head_words import folded, size_order
from planlint.draft.list_heads import (
    FEET_AND_INCHES,
    NEEDED,
    Head,
    bare_unit,
    find_head,
    head_at,
    of_one,
    only_numbers,
    unit_above,
)
from planlint.draft.listed_amounts import UNITS, count_told, length_told, shown, ungrouped
from planlint.draft.listed_parts import CutListRead, ListedPart, NotUnderstood
from planlint.draft.listed_rows import MOST_ROWS, Unreadable, rows_of_text
from planlint.draft.shop_woods import order_doubted, told_wood
from planlint.model.trade_sizes import QUARTERS
from planlint.text.measures import INCH_PER_UNIT, bare_inches, in_inches

LEAST_THICK, MOST_THICK, MOST_LONG = Fraction(1, 32), 12, 1200
"""Inches within which parts are: what is not is in another unit. Basis: own judgement."""
_NEAR = Fraction(1, 16)
"""Inches by which panels differ from what they are called by. Basis: common practice, as 18 mm for 3/4 in."""
_TIMES = re.compile(r"\s*[x×X*]\s*")
_WHOLE = {"in": "inches", "mm": "millimetres", "cm": "centimetres"}
_TOTALS = r"((sub|grand)? ?-?totals?|totale|sum|summe|gesamt|somme|suma|totaal|summa)\b"
_ACROSS = r"(a?cross|crosswise|width|w|short|quer|breite|traverse?|largeur|dwars|tvars|tra(n?)sversale?)\b"
_ALONG = (
    r"(any|none|no|n|either|yes|y|ja|oui|si|sim|with|along|parallel|length|l|long|langs|lange|longueur|egal|"
    r"ohne|sans|sin|senza|sem|zonder|utan|uten|bez)\b|\W*$"
)


def read_cut_list(text: str, unit: str | None = None, material: str | None = None) -> CutListRead:
    """The parts of a cut list: comma, semicolon or tab between cells, heads in any order, titles above them.

    ``unit`` (``in``, ``mm``, ``cm``) is that of numbers whose unit neither their cell nor their head says, ``material``
    that of lines which name none. Raises ``Unreadable`` where heads or units are missing.
    """
    rows = list(rows_of_text(text))
    head = find_head(rows)
    above = None if unit else unit_above(rows[: head.place])
    usual = above[1] if above else unit
    reading = _ListReading(head, rows, usual, material)
    passed = list(_above(head, rows, above))
    parts: list[ListedPart] = []
    problems: list[NotUnderstood] = []
    size_told = False
    for place, (line, cells) in enumerate(rows[head.place + 1 :], head.place + 1):
        if not any(cells):
            continue
        if (again := head_at(rows, place)) is not None:
            reading = _ListReading(again, rows, usual, material)
        heads = ", ".join(f"{cell} is the {column}" for column, (_, cell) in reading.columns.items())
        why = f"it has heads again: {heads}" if again else reading.no_part(cells)
        if why:
            passed.append(NotUnderstood(line, why))
            continue
        passed += reading.beside(line, cells)
        if len(parts) + len(problems) >= MOST_ROWS:
            problems.append(NotUnderstood(line, f"more than {MOST_ROWS} lines: the rest is not read"))
            break
        try:
            part, told = reading.part(line, cells)
        except Unreadable as problem:
            raise Unreadable(f"line {line}: {problem}") from problem
        except ValueError as problem:
            problems.append(NotUnderstood(line, str(problem)))
            continue
        parts.append(part)
        passed += [NotUnderstood(line, each) for each in told]
        if "size" in reading.columns and not size_told:
            size_told = True
            order = " x ".join(reading.order)
            passed.append(NotUnderstood(line, f"its size is read as {order}, and so are those below"))
        if "name" in reading.columns and not part.name:
            passed.append(NotUnderstood(line, f"it has no name, and is called part_{line}"))
    used = {place for place, _ in reading.columns.values()} | reading.remarked
    return CutListRead(
        tuple(parts),
        unit or next(iter(head.units.values()), None) or reading.seen or "in",
        head.language,
        reading.why_unit,
        tuple((cell, column) for column, (_, cell) in reading.columns.items()),
        tuple(cell.strip() for place, cell in enumerate(reading.heads) if place not in used and cell.strip()),
        tuple(reading.heads[place].strip() for place in sorted(reading.remarked)),
        tuple(problems),
        tuple(passed),
    )


def _above(
    head: Head, rows: Sequence[tuple[int, list[str]]], unit: tuple[int, str] | None
) -> Iterator[NotUnderstood]:
    """What is told of the lines above the parts; ``unit`` is what one of them says, with its line."""
    for line, cells in rows[: head.place - head.above]:
        if any(cells) and not (unit and unit[0] == line):
            yield NotUnderstood(
                line, f"{shown(' '.join(filter(None, cells)))} stands above the heads, and is passed over"
            )
    if head.above:
        yield NotUnderstood(head.line - 1, "it is read as heads, with the line below it")
    for each in filter(of_one, head.columns.values()):
        times = [shown(cell) for column, cell in head.columns.values() if column == "times"]
        more = f"how many is that times {times[0]}" if times else "parts for more than one are not here"
        yield NotUnderstood(head.line, f"{shown(each[1])} is of one: {more}")
    if unit:
        yield NotUnderstood(unit[0], f"it says {unit[1]}: numbers without a unit are read as that")


class _ListReading:
    """How the lines under one line of heads are read."""

    def __init__(
        self, head: Head, rows: Sequence[tuple[int, list[str]]], unit: str | None, material: str | None
    ) -> None:
        self.columns = {column: (place, cell) for place, (column, cell) in head.columns.items()}
        below = rows[head.place + 1 :]
        if only_numbers(self.columns, below):
            del self.columns["count"]
        self.line, self.heads = head.line, head.cells
        if not any(bare_unit(self._cell(cells, "unit")) in UNITS for _, cells in below):
            self.columns.pop("unit", None)
        taken = {place for place, _ in self.columns.values()}
        self.remarked = {
            place
            for _, cells in below
            for place, cell in enumerate(cells[: len(self.heads)])
            if place not in taken and self.heads[place] and re.search(r"[^\W\d_]", cell)
        }
        self.units, self.commas, self.material = head.units, head.commas, material
        size = self.columns.get("size", (0, ""))[1]
        said = size_order(size)
        if not said and re.search(r"\b[a-z]+ [x×*] [a-z]|\b[a-z](x[a-z])+\b|[×*]", folded(size)):
            raise Unreadable(f"line {self.line}: {shown(size)}: which is the length? Write it as L x W x T")
        missing = [need for need in NEEDED if need not in (*self.columns, *said) and (said or not size)]
        # A material may hold the thickness (`Birch plywood 3/4`), or both others (`2x4`).
        woods = (told_wood(self._cell(cells, "material"), self.commas) for _, cells in below)
        if missing and ("length" in missing or all(wood.thickness is None for wood in woods)):
            raise Unreadable(
                f"line {self.line} has no column for {' and '.join(missing)}: name each column by a word such as "
                "name, quantity, length, width, thickness, material"
            )
        if "material" not in self.columns and material is None:
            raise Unreadable(
                f"line {self.line} has no column for the material: add one, or say --of MATERIAL"
            )
        self.order = said or (NEEDED[::-1] if self._rises([cells for _, cells in below]) else NEEDED)
        self.unit = unit
        self.seen: str | None = None
        self.why_unit = ""
        if unit is None and not self.units:
            self.unit = self._as_others([cells for _, cells in below])

    def _rises(self, rows: Sequence[Sequence[str]]) -> bool:
        """Whether every size goes from the least to the greatest: then the thickness comes first."""
        found = []
        for cells in rows:
            pieces = _TIMES.split(self._cell(cells, "size"))
            with suppress(ValueError):
                found.append([length_told(each, commas=self.commas)[0] for each in pieces])
        sizes = [each for each in found if len(each) == len(NEEDED)]
        return bool(sizes) and all(each == sorted(each) and each[0] < each[-1] for each in sizes)

    def _as_others(self, rows: Sequence[Sequence[str]]) -> str | None:
        """The one unit that sizes of the list say, where some do: the others have it too. Fractions are of inches."""
        told: dict[str, set[str | None]] = {}
        for cells in rows:
            for need in (*NEEDED, "size"):
                for piece in _TIMES.split(self._cell(cells, need)):
                    with suppress(ValueError):
                        _, unit = length_told(piece, commas=self.commas)
                        told.setdefault(need, set()).add(unit or _of_fraction(piece))
        every = set[str | None]().union(*told.values())
        # Feet go with inches.
        said = every - {None} - ({"ft"} if "in" in every else set())
        if len(said) == 1 and (one := said.pop()) in _WHOLE:
            if None in every:
                self.why_unit = (
                    f"numbers without a unit are read as {_WHOLE[one]}, as the others of the list are"
                )
            return one
        for need, units in told.items():
            if len(units - {None, "ft"}) == 1 and None in units and need in self.columns:
                (one,) = units - {None, "ft"}
                self.units.setdefault(self.columns[need][0], str(one))
                self.why_unit = "numbers without a unit are read as the others of their column are"
        return None

    def no_part(self, cells: Sequence[str]) -> str:
        """Why a line is passed over: it only has units, is a title, or adds others up; else nothing."""
        first, *more = filter(None, cells)
        sizes = [cell for each in (*NEEDED, "size") if (cell := self._cell(cells, each))]
        if all(bare_unit(cell) in UNITS for cell in sizes or (first, *more)):
            return "it is read as the units of the columns"
        if not more and not re.search(r"\d", first):
            return f"{shown(first)} stands alone, and is passed over"
        total = not self._cell(cells, "length") and re.match(_TOTALS, folded(first))
        return "it is read as a total, and is passed over" if total else ""

    def beside(self, line: int, cells: Sequence[str]) -> Iterator[NotUnderstood]:
        """What of a line is passed over, or runs over several."""
        for place, cell in enumerate(cells):
            if cell and not (place < len(self.heads) and self.heads[place]):
                yield NotUnderstood(line, f"{shown(cell)} stands under no head, and is passed over")
        if any("\n" in cell for cell in cells):
            last = line + sum(cell.count("\n") for cell in cells)
            yield NotUnderstood(
                line, f"lines {line} to {last} are read as one: a cell in quotes runs over them"
            )

    def part(self, line: int, cells: Sequence[str]) -> tuple[ListedPart, list[str]]:
        """With what is to be told of it. Raises ``ValueError`` that says what is not understood."""
        self._closed(cells)
        told: list[str] = []
        cell = self._cell(cells, "material")
        wood = told_wood(cell or self.material or "", self.commas)
        if cell and wood.material is None and not wood.words and self.material:
            wood = wood._replace(material=told_wood(self.material, self.commas).material)
        sizes, of_line = self._told_sizes(cells), bare_unit(self._cell(cells, "unit"))
        if of_line and of_line not in UNITS:
            raise ValueError(f"{shown(of_line)} is no unit known here")
        sizes = {what: each + of_line * each[-1:].isnumeric() for what, each in sizes.items()}
        length = self._size(sizes["length"], "length")
        if any(ungrouped(each) != each for each in sizes.values()):
            told.append("what sets figures apart by threes is read as thousands: 1 200 is 1200")
        as_sawn = sizes["thickness"] in {f"{n}/4" for n in QUARTERS}
        if as_sawn:
            told.append(f"{shown(sizes['thickness'])} is read as sawn: write what it is planed to")
        thickness, width = (
            self._size(sizes[what], what) if sizes[what] else None for what in ("thickness", "width")
        )
        self._one_unit(sizes)
        if wood.thickness is not None:
            thick = self._inches(wood.thickness, wood.unit, "thickness", cell)
            if thickness is None:
                thickness, width = thick, width or wood.width
                both = " x ".join(f"{bare_inches(each)} in" for each in (wood.thickness, wood.width) if each)
                told.append(
                    f"its {'size' if wood.nominal else 'thickness'} is read from {shown(cell)}"
                    + (f": {wood.nominal} is {both} dressed" if wood.nominal else "")
                )
            elif abs(thickness - thick) > _NEAR and not wood.nominal:
                raise ValueError(
                    f"its thickness is {shown(sizes['thickness'])}, and its material says {shown(cell)}"
                )
        if width is None or thickness is None:
            raise ValueError(f"it has no {'width' if width is None else 'thickness'}")
        grain = folded(self._cell(cells, "grain"))
        if re.match(_ACROSS, grain):
            length, width = width, length
            told.append(
                "its grain runs across: length and width change places, for length runs with the grain"
            )
        elif not re.match(_ALONG, grain):
            told.append(
                f"its grain is {shown(grain)}, which says nothing here: it is drafted along its length"
            )
        told += order_doubted(length, width, thickness, wood, as_sawn=as_sawn)
        if wood.material is None and not wood.words:
            raise ValueError("it names no material: say --of MATERIAL")
        if wood.material is not None and not wood.as_told and cell:
            told.append(f"{shown(cell)} is read as {wood.material.name}")
        # A sheet of ours keeps what might be a formula behind an apostrophe, and lists all that are cut alike.
        name = " ".join(re.sub(r"^'(?=\s*[=+@-])", "", self._cell(cells, "name")).split())
        count = count_told(*(self._cell(cells, each) for each in ("count", "times") if each in self.columns))
        names = tuple(name.split(", ")) if self.columns.get("name", (0, ""))[1].strip() == "parts" else ()
        names = names if len(names) == count else ()
        named = cell or self.material or ""
        sold = wood.nominal if thickness == wood.thickness and wood.width and width <= wood.width else ""
        sizes_read, more = (length, width, thickness), self._remarks(cells)
        return ListedPart(line, name, names, count, *sizes_read, named, wood.material, sold, more), told

    def _closed(self, cells: Sequence[str]) -> None:
        """Raises ``ValueError`` where a quote that nobody closed took in the next lines of the list."""
        inside = [row for each in cells if "\n" in each for row in each.splitlines()]
        marks = max((row.count(mark) for row in inside for mark in ";\t|,"), default=0)
        if inside and (any(cells[len(self.heads) :]) or marks >= len(self.columns) - 1):
            raise ValueError("is a quote left open in it? More than one line of the list stands in it")

    def _one_unit(self, sizes: dict[str, str]) -> None:
        """Raises ``ValueError`` where a line has bare fractions, and figures read as metric by others."""
        bare = {what: each for what, each in sizes.items() if each[-1:].isnumeric()}
        parts = next(filter(_of_fraction, bare.values()), None)
        for what, each in bare.items() if self.why_unit and parts else ():
            if self.units.get(self.columns.get(what, (-1, ""))[0], self.unit) in {"mm", "cm"}:
                raise ValueError(f"is {shown(each)} in inches, as {shown(parts or '')} is? Write their units")

    def _remarks(self, cells: Sequence[str]) -> str:
        return "; ".join(
            f"{self.heads[place].strip()}: {cells[place]}"
            for place in sorted(self.remarked)
            if place < len(cells) and cells[place]
        )

    def _told_sizes(self, cells: Sequence[str]) -> dict[str, str]:
        """Length, width and thickness as the line has them, each with its place for the unit of its head."""
        told = {need: self._cell(cells, need) for need in NEEDED}
        if "size" not in self.columns or all(need in self.columns for need in NEEDED):
            return told
        size = self._cell(cells, "size")
        pieces = _TIMES.split(size)
        if len(pieces) != len(self.order):
            raise ValueError(
                f"a size is {' x '.join(self.order)}, and this is {shown(size)}: for another order "
                "write that as the head, as L x W"
            )
        # A unit behind the last number alone stands for all.
        tail = re.search(r"\d\s*([a-zA-Z]+)$", pieces[-1])
        if tail and all(re.fullmatch(r"[\d.,/ -]+", piece) for piece in pieces[:-1]):
            pieces = [*(piece + tail[1] for piece in pieces[:-1]), pieces[-1]]
        return told | dict(zip(self.order, pieces, strict=True))

    def _cell(self, cells: Sequence[str], column: str) -> str:
        place = self.columns.get(column, (len(cells), ""))[0]
        return cells[place].strip() if place < len(cells) else ""

    def _size(self, told: str, what: str) -> Fraction:
        if not told:
            raise ValueError(f"it has no {what}")
        value, unit = length_told(told, commas=self.commas)
        return self._inches(value, unit, what, told)

    def _inches(self, value: Fraction, unit: str | None, what: str, told: str) -> Fraction:
        place = self.columns.get(what, self.columns.get("size", (-1, "")))[0]
        said = self.units.get(place) or self.unit
        if not unit and said and not in_inches(said) and re.search(r"\d\s*/\s*\d|[½¼¾⅛⅜⅝⅞]", told):
            raise ValueError(
                f"{shown(told)} has a fraction, as inches have, and is in {said}: write its unit"
            )
        unit = unit or said or _of_fraction(told)
        if unit == FEET_AND_INCHES:
            raise ValueError(f"are these feet or inches? Write {shown(told)} with its unit, as 6' 8\"")
        if unit is None:
            raise Unreadable(
                f"nothing says whether {what} is in inches or millimetres: write the unit in the heads, or say --unit"
            )
        if unit == "mm" and what != "thickness" and re.fullmatch(r"\d\.\d{3}", told):
            raise ValueError(f"is the point in {shown(told)} a decimal one? Write it without")
        self.seen = self.seen or ("in" if in_inches(unit) else "mm")
        inches = value * INCH_PER_UNIT[unit]
        if not LEAST_THICK <= inches <= (MOST_THICK if what == "thickness" else MOST_LONG):
            size = f"{shown(told)} {unit}" if told[-1:].isdigit() else shown(told)
            raise ValueError(f"no part has a {what} of {size}: is it in another unit, or another order?")
        return inches


def _of_fraction(told: str) -> str | None:
    """Fractions are of inches."""
    return "in" if re.search("[/½¼¾⅛⅜⅝⅞]", told) else None

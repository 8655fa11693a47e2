"""The heads of a cut list: on which lines they stand, which column each names, and what units they say."""

import re
from collections.abc import Iterator, Sequence
from itertools import takewhile
from typing import NamedTuple

from planlint.draft.head_words import Ambiguous, columns_of, folded, says_rough, size_order, weak
from planlint.draft.listed_amounts import UNITS, Commas, commas_of, counts
from planlint.draft.listed_rows import MOST_HEAD_ROWS, Unreadable

NEEDED = ("length", "width", "thickness")
FEET_AND_INCHES = "ft in"
"""Of a column whose head says both: each of its cells has to say which."""
RUNNING = 3
"""So many lines numbered 1, 2, 3 … are numbered, not counted. Basis: own judgement."""


class Head(NamedTuple):
    """Heads: the ``place`` of their line among the rows, the column of each cell, the units that they say."""

    place: int
    line: int
    columns: dict[int, tuple[str, str]]
    units: dict[int, str]
    commas: Commas
    language: str
    cells: list[str]
    above: int = 0
    """How many lines above it are heads with it."""


def find_head(rows: Sequence[tuple[int, list[str]]]) -> Head:
    """The first line of heads, with the one above or below it where that tells more columns."""
    for place in range(min(MOST_HEAD_ROWS, len(rows))):
        if (head := head_at(rows, place)) is not None:
            found = [head, *(more for n in (place, place + 1) for more in _heads_of_two(rows, n))]
            return max(found, key=lambda each: len(each.columns))
    raise Unreadable(
        "no line of heads was found: name the columns by words such as name, quantity, length, width, thickness, "
        "material"
    )


def _heads_of_two(rows: Sequence[tuple[int, list[str]]], place: int) -> Iterator[Head]:
    """A line of heads under another such line: by itself, and with what stands above its empty cells."""
    if not 0 < place < len(rows) or (head := head_at(rows, place)) is None:
        return
    yield head
    above = [*rows[place - 1][1], *[""] * len(rows[place][1])]
    cells = [cell or over for cell, over in zip(rows[place][1], above, strict=False)]
    cells += above[len(cells) : len(rows[place - 1][1])]
    if (both := head_at([*rows[:place], (rows[place][0], cells), *rows[place + 1 :]], place)) is not None:
        yield both._replace(above=1)


def head_at(rows: Sequence[tuple[int, list[str]]], place: int) -> Head | None:
    """What a line says where it is one of heads."""
    line, cells = rows[place][0], list(rows[place][1])
    group = ""
    for n, over in enumerate(rows[place - 1][1][: len(cells)] if place else ()):
        # That sizes are those before planing may stand above the first of them.
        group = over or group
        if cells[n] and says_rough(group) and not says_rough(cells[n]):
            cells[n] = f"{group} {cells[n]}"
    try:
        read = columns_of(cells)
    except Ambiguous as problem:
        if sum(map(bool, cells)) < len(NEEDED):
            return None
        raise Unreadable(f"line {line}: {problem}") from problem
    columns: dict[int, tuple[str, str]] = {}
    told = _of_pieces(read.columns, rows, place)
    for number in sorted(
        range(len(cells)), key=lambda number: (weak(cells[number]), not _total(cells[number]))
    ):
        column = told[number]
        if column is not None and column not in {each for each, _ in columns.values()}:
            columns[number] = (column, cells[number])
    _deep(cells, columns)
    _sets([row for _, row in rows[place:]], columns)
    columns = dict(sorted(columns.items()))
    found = {column for column, _ in columns.values()}
    if not found & {*NEEDED, "size"} or len(found) < 2 or any(re.search(r"\d", cells[n]) for n in columns):
        return None
    units = {number: unit for number in columns if (unit := _unit_said(cells[number])) is not None}
    for number, column in enumerate(told):
        for one, (same, cell) in columns.items():
            if same == column and {_unit_said(cells[number]), units.get(one)} == {"ft", "in"}:
                both = f"line {line}: {cell} and {cells[number]}"
                raise Unreadable(f"{both}: write feet and inches in one cell, as 6' 8\"")
    below = rows[place + 1][1] if place + 1 < len(rows) else []
    for number, cell in enumerate(below):
        if number in columns and bare_unit(cell) in UNITS:
            units.setdefault(number, UNITS[bare_unit(cell)])
    many = [cell for _, row in rows[place + 1 :] for cell in row]
    return Head(place, line, columns, units, commas_of(many), read.language, cells)


def _deep(cells: Sequence[str], columns: dict[int, tuple[str, str]]) -> None:
    """A head `Depth` is the width or the thickness, whichever of them no other head is."""
    told = {each for column, cell in columns.values() for each in (column, *size_order(cell))}
    lacking = [each for each in NEEDED if each not in told]
    deep = [n for n, cell in enumerate(cells) if n not in columns and re.match(r"\W*depth\b", folded(cell))]
    if len(lacking) == len(deep) == 1 and lacking != ["length"]:
        columns[deep[0]] = lacking[0], cells[deep[0]]


def _sets(rows: Sequence[list[str]], columns: dict[int, tuple[str, str]]) -> None:
    """Beside a head for how many parts one has, `Sets` is how many there are of it."""
    for n, cell in enumerate(rows[0] if any(map(of_one, columns.values())) else ()):
        sets = re.fullmatch(r"(number of |no\.? of )?(sets?|units?|kits?|cabinets?)", folded(cell))
        many = [row[n] for row in rows[1:] if n < len(row) and row[n]]
        if sets and columns.get(n, ("unit", ""))[0] == "unit" and len(counts(many)) == len(many):
            columns[n] = "times", cell


def of_one(column: tuple[str, str]) -> bool:
    """Whether it is how many parts one of several has."""
    one = r".*(\b(per|pro|je)\b|/ ?(unit|set|cabinet|box|drawer|door))"
    return column[0] == "count" and re.match(one, folded(column[1])) is not None


def _of_pieces(
    columns: Sequence[str | None], rows: Sequence[tuple[int, list[str]]], place: int
) -> list[str | None]:
    """A head for how many under which only words stand, as `Pieces` may, names the parts, where another says how many
    or none is for names. Two that say how many must say the same."""
    head, found = rows[place][1], list(columns)
    below = list(takewhile(lambda row: any(row[1]), rows[place + 1 :]))
    told = {
        n: [cells[n] for _, cells in below if n < len(cells) and cells[n]]
        for n, column in enumerate(columns)
        if column == "count" and not (weak(head[n]) or _total(head[n]))
    }
    many = [n for n in told if counts(told[n])]
    for n in {*told} - {*many} if many or "name" not in columns else ():
        found[n] = "name"
    shares = [set(re.findall(r"[a-z]+", folded(head[n]))) for n in many]
    if len(many) > 1 and set.intersection(*shares) and not any(map(_total, head)):
        said = " and ".join(head[n] for n in many)
        raise Unreadable(f"line {rows[place][0]}: {said}: how many is it in all? Write that in one column")
    for line, cells in below:
        if len({each for n in many for each in counts(cells[n : n + 1])}) > 1:
            said = " and ".join(f"{head[n]} {cells[n]}" for n in many)
            raise Unreadable(f"line {line}: {said}: which is how many? Take the other column out")
    return found


def _total(cell: str) -> bool:
    """Whether a head says that it is of all together: it goes before others for the same."""
    return re.search(r"\b(total|all|gesamt)\b", folded(cell)) is not None


def bare_unit(cell: str) -> str:
    return cell.strip("()[] ").lower()


def _unit_said(cell: str) -> str | None:
    """The unit that a head says: ``Length (mm)``, ``W [in]``, ``thickness in inches``, ``cm L``."""
    words = re.findall(r"[a-z]+|[\"″”'′’]", folded(cell))
    said = [UNITS[word] for word in reversed(words) if word in UNITS and len(words) > 1]
    return FEET_AND_INCHES if {"ft", "in"} <= set(said) else next(iter(said), None)


def only_numbers(columns: dict[str, tuple[int, str]], rows: Sequence[tuple[int, list[str]]]) -> bool:
    """Whether the column taken for how many only numbers the lines, 1, 2, 3 …"""
    place, cell = columns.get("count", (0, "many"))
    told = [cells[place].strip(". ") for _, cells in rows if place < len(cells) and cells[place]]
    return weak(cell) and len(told) >= RUNNING and told == [str(n) for n in range(1, len(told) + 1)]


def unit_above(rows: Sequence[tuple[int, list[str]]]) -> tuple[int, str] | None:
    """The one unit that lines above the heads name, as `Dimensions in mm`, with its line; sizes there name none."""
    found: dict[str, int] = {}
    for line, cells in rows:
        for cell in cells:
            for word in re.findall(r"(?<![\d.,/] )(?<![\d.,/a-z])[a-z]{2,}", folded(cell)):
                told = word != "in" or re.search(r"\bunits?\W+in$", folded(cell).strip())
                if told and UNITS.get(word) in {"in", "mm", "cm"}:
                    found.setdefault(UNITS[word], line)
    return next(((line, unit) for unit, line in found.items()), None) if len(found) == 1 else None

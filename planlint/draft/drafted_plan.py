"""The start of a plan from a cut list: stock and parts, each line of which reads back; the joins are the builder's."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from textwrap import wrap
from unicodedata import normalize

from planlint.draft.listed_parts import CutListRead, ListedPart, NotUnderstood
from planlint.language.vocabulary import RESERVED
from planlint.model.directions import SIDE_BY_WORD
from planlint.model.nearest_name import offered
from planlint.model.timber import nearest_material
from planlint.model.trade_sizes import dressed
from planlint.text.measures import INCH_PER_UNIT, length
from planlint.text.rounding import ROUNDING

_NAME = re.compile(r"[A-Za-z]\w{0,40}_\w{0,20}", re.ASCII)
"""What a plan itself may have called a part: it keeps its capitals."""
LONGEST_REMARK = 100
"""Letters of a remark on one line. Basis: own judgement."""
MOST_LISTED = 12
"""Names of parts on one line. Basis: own judgement."""


@dataclass(frozen=True)
class Draft:
    """The text of the plan, how many parts it has, and the lines of the list that are not in it."""

    text: str
    parts: int
    problems: tuple[NotUnderstood, ...]
    renamed: tuple[NotUnderstood, ...]
    """Lines whose names a plan may not have, and what they are called."""


def draft_plan(read: CutListRead, title: str) -> Draft:
    """Parts lie crosswise, facing front, and unjoined, until the builder says how they stand."""
    unit = "mm" if read.unit in {"mm", "cm", "m"} else "in"
    problems = list(read.problems)
    stocks: dict[tuple[object, ...], tuple[str, str]] = {}
    renamed: list[NotUnderstood] = []
    names: set[str] = set()
    lines: list[str] = []
    count = 0
    for part in read.parts:
        material = part.known
        if material is None:
            offer = offered(nearest_material(part.material))
            problems.append(
                NotUnderstood(part.line, f"{_words(part.material)} is not a wood or panel known here{offer}")
            )
            continue
        size = part.nominal or f"{_written(part.thickness, unit)} thick"
        made = material.sold_as, material.solid, material.sawn, material.treated, material.grade, size
        if made not in stocks:
            name = _free(_name(f"{material.name} {size.removesuffix(' thick')}"), names)
            stocks[made] = name, f"{material.name}, {size}"
        lines += _part_lines(part, stocks[made][0], names, unit)
        count += part.count
        if part.count == 1 and (name := _name(part.name)).startswith("part_") and name != part.name.lower():
            renamed.append(
                NotUnderstood(part.line, f"{_words(part.name)} is no name in a plan: it is {name}")
            )
    told = [
        f'plan "{_words(title)}"',
        f"    unit {'mm' if unit == 'mm' else 'inch'}",
        "",
        "# Drafted from a cut list: all parts lie crosswise, facing front: turn each as it stands, and join them.",
        "",
        *(f"stock {name} of {what}" for name, what in stocks.values()),
        "",
        *lines,
    ]
    told += [f"# line {each.line} of the list is not here: {_words(each.says)}" for each in sorted(problems)]
    return Draft("\n".join(told) + "\n", count, tuple(sorted(problems)), tuple(renamed))


def _part_lines(part: ListedPart, stock: str, names: set[str], unit: str) -> Iterator[str]:
    base = _name(part.name) if part.name.strip() else f"part_{part.line}"
    if part.names:
        every = [_free(each if _NAME.fullmatch(each) else _name(each), names) for each in part.names]
    elif part.count == 1:
        every = [_free(base, names)]
    else:
        # Behind a name of a side its number makes it free.
        base = base.removeprefix("part_") if base.removeprefix("part_") in SIDE_BY_WORD else base
        every = [_free(f"{base}_{number}", names) for number in range(1, part.count + 1)]
    size = f"{_written(part.length, unit)} long"
    sold = dressed(part.nominal) if part.nominal else None
    if sold is None or part.width != sold[1]:
        size += f", {_written(part.width, unit)} wide"
    told, remarks = _words(part.name), _words(part.remarks, most=len(part.remarks))
    if (
        told
        and base != told
        and not part.names
        and any(each.rpartition("_")[0] != told and each != told for each in every)
    ):
        remarks = f"{told}; {remarks}" if remarks else told
    yield from (f"# {line}" for line in wrap(remarks, LONGEST_REMARK))
    for start in range(0, len(every), MOST_LISTED):
        some = ", ".join(every[start : start + MOST_LISTED])
        yield f"part {some} of {stock}, {size}, crosswise, facing front"


def _written(inches: Fraction, unit: str) -> str:
    """A length that reads back as the same: mixed numbers of a rule, else a decimal as long as it has to be."""
    value = inches / INCH_PER_UNIT[unit]
    if unit == "in" and value.denominator in {1, 2, 4, 8, 16, 32, 64}:
        whole, rest = divmod(value, 1)
        if not rest:
            return str(whole)
        return f"{whole}-{rest}" if whole else str(rest)
    metric = round(inches * 254) / 254
    if unit == "in" and abs(float(inches) - metric) < ROUNDING:
        return length(inches, "mm")
    places = next((n for n in range(7) if value * 10**n == int(value * 10**n)), 4)
    return f"{float(value):.{places}f}"


def _name(words: str) -> str:
    """A name that a plan may have: small letters, figures and underlines, a letter first, no word of the language."""
    bare = normalize("NFKD", words).encode("ascii", "ignore").decode().lower()
    name = re.sub(r"[^a-z0-9]+", "_", bare).strip("_")[:40].strip("_") or "unnamed"
    return f"part_{name}" if not name[0].isalpha() or name in RESERVED or name in SIDE_BY_WORD else name


def _free(name: str, taken: set[str]) -> str:
    """The name, with a number behind it where it is taken."""
    free, number = name, 2
    while free in taken:
        free, number = f"{name}_{number}", number + 1
    taken.add(free)
    return free


def _words(words: str, most: int = 120) -> str:
    """Words of the list fit for a title or a comment: on one line, nothing that a plan refuses."""
    plain = "".join(c if c.isprintable() else " " for c in words).replace('"', "'")
    return " ".join(plain.split())[:most]

"""What the shop sheet's document is made of: sections of words, tables and pictures."""

import re
from dataclasses import dataclass
from typing import NamedTuple


def unbroken(words: str) -> str:
    """No line of a page ends between a number and its unit."""
    return re.sub(r"(?<=\d) (?=(?:in|ft|mm|cm|m|lb|kg)\b)", "\u00a0", words)


class Table(NamedTuple):
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class Slab(NamedTuple):
    """A rectangle of a picture: from its left lower corner, in inches; ``label`` is empty for what is left over."""

    x: float
    y: float
    wide: float
    high: float
    label: str


class Note(NamedTuple):
    """More of one row than goes into a table: a line each."""

    title: str
    lines: tuple[str, ...]


class Cut(NamedTuple):
    """A cut of the saw, with its number in their order: from one point to another, in inches."""

    number: int
    start: tuple[float, float]
    end: tuple[float, float]

    @property
    def along(self) -> bool:
        """Whether it runs along the picture."""
        return self.start[1] == self.end[1]

    @property
    def marked(self) -> tuple[float, float]:
        """Its end that the number stands at."""
        return self.end if self.along else self.start


class Picture(NamedTuple):
    """A board or a sheet with what is cut from it, and in which order; the grain lies along its ``wide``."""

    title: str
    wide: float
    high: float
    slabs: tuple[Slab, ...]
    cuts: tuple[Cut, ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    title: str
    words: tuple[str, ...] = ()
    table: Table | None = None
    pictures: tuple[Picture, ...] = ()
    notes: tuple[Note, ...] = ()
    """Told below the table."""
    boxed: bool = False
    """Told in a box: nobody may miss it."""
    narrow: bool = False
    """Half a page is wide enough."""

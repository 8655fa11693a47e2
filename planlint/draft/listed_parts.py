"""What a cut list comes to once it is read, as plain data."""

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from planlint.model.timber import Material


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
    """As the list has it."""
    known: Material | None
    """What that is here."""
    nominal: str = ""
    """The size it is sold under, where the list says that and its sizes are those."""
    remarks: str = ""
    """What the columns with words say that are taken for nothing else, each with its head."""


@dataclass(frozen=True)
class CutListRead:
    """What was read. ``columns`` tells for each head that was used what it was taken for."""

    parts: tuple[ListedPart, ...]
    unit: str
    language: str
    """Of its heads."""
    unit_told: str
    """Why numbers that say no unit have one; empty where head or call says it."""
    columns: tuple[tuple[str, str], ...]
    unused: tuple[str, ...]
    remarked: tuple[str, ...]
    """Heads of columns with words that are kept as remarks."""
    problems: tuple[NotUnderstood, ...]
    passed_over: tuple[NotUnderstood, ...]
    """Lines and cells that were read as no part, and why: titles, units, cells without a head."""

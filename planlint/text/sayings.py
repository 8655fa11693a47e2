"""Sentences that know which parts they name, so that nobody looks for names in words."""

from collections.abc import Iterable, Iterator
from typing import Protocol

from planlint.text.grouping import grouped
from planlint.text.measures import listed

_MARK = "\0"
"""Stands before and behind each name in words of which a sentence is made: in no plan that is read."""


class _HasName(Protocol):
    @property
    def name(self) -> str: ...


def named(part: _HasName | str) -> str:
    """The name of a part, or what else is told of it alone, for a sentence that is to know it."""
    return f"{_MARK}{part if isinstance(part, str) else part.name}{_MARK}"


class Saying(str):
    """A sentence about parts, made of words in which each of them is ``named``."""

    pieces: tuple[str, ...]
    """Its words up to the first name, that name, the words up to the next …"""

    __slots__ = ("pieces",)

    def __new__(cls, words: str = "") -> "Saying":
        pieces = tuple(words.split(_MARK))
        made = super().__new__(cls, "".join(pieces))
        made.pieces = pieces
        return made

    @property
    def shape(self) -> tuple[str, ...]:
        """What it says, whatever parts it names."""
        return self.pieces[::2]

    @property
    def names(self) -> tuple[str, ...]:
        return self.pieces[1::2]


NOTHING = Saying()


def merged(sayings: Iterable[Saying]) -> Iterator[Saying]:
    """Sentences that differ in the part alone that they name first, as one that names all of those; not those of
    which it is the subject."""
    groups = grouped(
        ((each.pieces[:1], each.pieces[2:] if each.pieces[0] else each), each) for each in sayings
    )
    for alike in groups.values():
        first, names = alike[0], list(dict.fromkeys(each.names[0] for each in alike if each.names))
        yield Saying(
            _MARK.join((first.pieces[0], listed(names, len(names)), *first.pieces[2:])) if names else first
        )

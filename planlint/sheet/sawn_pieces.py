"""A sheet cut piece by piece: each cut goes right through one piece, in the order in which the saw can make them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from planlint.sheet.guillotine import Block

KEPT = 6
"""Inches of an offcut that is worth keeping in one piece. Basis: own judgement."""


class Spot(NamedTuple):
    """A part on a sheet that is cut piece by piece: from its corner, along the grain and across it."""

    part: int
    x: Fraction
    y: Fraction
    long: Fraction
    wide: Fraction


class SawCut(NamedTuple):
    """One cut right through a piece, along the grain (a rip) or across it: from one point of the sheet to another, and
    the parts on what is cut off, ``measure`` long or wide, and on the rest."""

    rip: bool
    start: tuple[Fraction, Fraction]
    end: tuple[Fraction, Fraction]
    measure: Fraction
    off: tuple[int, ...]
    rest: tuple[int, ...]


class MarkScale(NamedTuple):
    """How many marks an inch has where sizes are whole numbers, and the kerf in inches: it is in each of them."""

    scale: int
    kerf: Fraction

    def inches(self, marks: int) -> Fraction:
        return Fraction(marks, self.scale)

    def without_kerf(self, marks: int) -> Fraction:
        return self.inches(marks) - self.kerf


def sawn(
    block: Block,
    numbers: Sequence[list[int]],
    corner: tuple[Fraction, Fraction],
    room: tuple[int, int],
    by: MarkScale,
) -> tuple[tuple[Spot, ...], tuple[SawCut, ...]]:
    """Where the parts of a block lie on a sheet with so much ``room`` from its trimmed ``corner``, and the cuts.

    ``numbers``: of the parts of each kind.
    """
    found = list(_sawn(_SawnPiece.of(block, [list(which) for which in numbers]), corner, room, by))
    return (
        tuple(each for each in found if isinstance(each, Spot)),
        tuple(each for each in found if isinstance(each, SawCut)),
    )


class _SawnPiece(NamedTuple):
    """A block with the numbers of its parts."""

    block: Block
    parts: tuple[int, ...]
    two: tuple[_SawnPiece, ...]

    @classmethod
    def of(cls, block: Block, left: Sequence[list[int]]) -> _SawnPiece:
        if block.kind is not None:
            return cls(block, (left[block.kind].pop(),), ())
        two = tuple(cls.of(each, left) for each in block.two or ())
        return cls(block, tuple(part for each in two for part in each.parts), two)

    def trimmed(self, room: tuple[int, int], keep: int) -> tuple[int, int]:
        """What it is cut to before it is divided: its own size where that trims both its parts at once, or leaves
        something to keep."""
        block = self.block
        one, other = block.two or (block, block)
        long = not block.two or room[0] - block.long >= keep or (not block.along and one.long == other.long)
        wide = not block.two or room[1] - block.wide >= keep or (block.along and one.wide == other.wide)
        return block.long if long else room[0], block.wide if wide else room[1]


def _sawn(
    piece: _SawnPiece, at: tuple[Fraction, Fraction], room: tuple[int, int], by: MarkScale
) -> Iterator[Spot | SawCut]:
    """Cut what is left over off a piece, the piece into its two, and each of these further."""
    (x, y), block = at, piece.block

    def cut(marks: int, *, rip: bool, off: _SawnPiece, rest: tuple[int, ...] = ()) -> SawCut:
        measure, over = by.without_kerf(marks), by.without_kerf(room[0] if rip else room[1])
        if rip:
            return SawCut(rip, (x, y + measure), (x + over, y + measure), measure, off.parts, rest)
        return SawCut(rip, (x + measure, y), (x + measure, y + over), measure, off.parts, rest)

    long, wide = piece.trimmed(room, KEPT * by.scale)
    if long < room[0]:
        yield cut(long, rip=False, off=piece)
        room = long, room[1]
    if wide < room[1]:
        yield cut(wide, rip=True, off=piece)
        room = long, wide
    if not piece.two:
        yield Spot(piece.parts[0], x, y, by.without_kerf(long), by.without_kerf(wide))
        return
    one, other = piece.two
    first = one.block.long if block.along else one.block.wide
    yield cut(first, rip=not block.along, off=one, rest=other.parts)
    if block.along:
        yield from _sawn(one, at, (first, wide), by)
        yield from _sawn(other, (x + by.inches(first), y), (long - first, wide), by)
    else:
        yield from _sawn(one, at, (long, first), by)
        yield from _sawn(other, (x, y + by.inches(first)), (long, wide - first), by)

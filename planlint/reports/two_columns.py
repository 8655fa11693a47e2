"""Two columns of what reportlab lays on a page: filled one after the other, about equally long where the page ends.

Its own ``BalancedColumns`` gives up ("cannot make initial split") where pictures and tables stand in them.
"""

from collections.abc import Sequence
from itertools import accumulate
from typing import Any, NamedTuple

GUTTER = 16.0
"""Points between two columns."""


class _ColumnBlock(NamedTuple):
    """What stays together, and how high it is, in points: measured once, for that takes long."""

    inside: list[Any]
    high: float


def two_columns(inside: Sequence[Any], wide: float) -> Any:
    """Something that flows, both columns and the gutter ``wide`` points together. What says ``keepWithNext`` stays with
    what follows it."""
    from reportlab.platypus import Flowable  # noqa: PLC0415

    column = (wide - GUTTER) / 2

    class Columns(Flowable):  # type: ignore[misc]  # reportlab has no types
        """``cut`` blocks stand in the left column; about as many points as in the right where it is not told."""

        def __init__(self, blocks: list[_ColumnBlock], cut: int | None = None) -> None:
            super().__init__()
            before = [0.0, *accumulate(block.high for block in blocks)]
            whole = before[-1]
            if cut is None:
                cut = min(range(len(before)), key=lambda n: (max(before[n], whole - before[n]), -n))
            self.blocks, self.cut, self.high = blocks, cut, max(before[cut], whole - before[cut])

        def wrap(self, *_room: float) -> tuple[float, float]:
            return wide, self.high

        def split(self, _wide: float, room: float) -> list[Any]:
            """What fits on the page, the left column filled first, and the rest; a table is broken where it must be."""
            rest, columns = self.blocks[::-1], list[list[_ColumnBlock]]()
            for _ in range(2):
                here, left = list[_ColumnBlock](), room
                while rest and rest[-1].high <= left:
                    left -= rest[-1].high
                    here.append(rest.pop())
                if rest and (broken := _broken(rest[-1], column, left, whole=not here and room > MOST_BLANK)):
                    here.append(broken[0])
                    rest[-1:] = broken[:0:-1]
                columns.append(here)
            if not any(columns):
                return []
            first = Columns([*columns[0], *columns[1]], len(columns[0]))
            return [first, Columns(rest[::-1])] if rest else [first]

        def draw(self) -> None:
            for left, blocks in ((0.0, self.blocks[: self.cut]), (column + GUTTER, self.blocks[self.cut :])):
                top = self.high
                for each in (each for block in blocks for each in block.inside):
                    top -= each.getSpaceBefore() + each.wrap(column, 1e6)[1]
                    each.drawOn(self.canv, left, top)
                    top -= each.getSpaceAfter()

    return Columns([_block(each, column) for each in _together(inside)])


MOST_BLANK = 500.0
"""Points of an empty column that what does not fit may leave blank; of more, it is broken. Basis: our own
judgement, most of a page."""
LEAST_PIECE = 70.0
"""Points of a table at the end of a column, at the least. Basis: our own judgement, its head and some rows."""


def _broken(block: _ColumnBlock, column: float, room: float, *, whole: bool) -> list[_ColumnBlock]:
    """A block in two where its last thing may be broken: a table, or anything that is longer than a ``whole`` page."""
    *before, last = block.inside
    left = room - _block(before, column).high
    if left < LEAST_PIECE or not (whole or type(last).__name__ == "Table"):
        return []
    first, *others = last.split(column, left) or [None]
    return (
        [_block(each, column) for each in ([*before, first], *([each] for each in others))] if others else []
    )


def _together(inside: Sequence[Any]) -> list[list[Any]]:
    blocks: list[list[Any]] = []
    joined = False
    for each in inside:
        if joined:
            blocks[-1].append(each)
        else:
            blocks.append([each])
        joined = bool(each.getKeepWithNext())
    return blocks


def _block(inside: list[Any], column: float) -> _ColumnBlock:
    highs = (each.getSpaceBefore() + each.wrap(column, 1e6)[1] + each.getSpaceAfter() for each in inside)
    return _ColumnBlock(inside, float(sum(highs)))

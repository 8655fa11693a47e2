"""Parts that a loop lays along another: how far from one to the next, and how they would end evenly."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from math import ceil
from typing import NamedTuple

from planlint.geometry.piece import Piece
from planlint.model.directions import Axis
from planlint.model.join_details import Placing
from planlint.model.plan import Join, Part
from planlint.text.measures import rule_mark


class LoopedParts(NamedTuple):
    """``many`` parts on a stretch ``along``, the first ``first`` from its end, each next one ``pitch`` further."""

    placing: Placing
    many: int
    first: Fraction
    pitch: Fraction
    size: Fraction
    along: Fraction
    fellow: Fraction | None = None
    """Of parts laid so near that they run into one another: how far apart another loop lays such."""

    @property
    def last(self) -> Fraction:
        """How far the last one ends before the far end; less than nothing where it lies past it."""
        return self.along - self.size - self.first - self.pitch * (self.many - 1)

    @property
    def too_many(self) -> int:
        """How many fewer would leave as much at the far end as at the near one; 0 where no number does."""
        over = (self.first - self.last) / self.pitch
        return int(over) if over.denominator == 1 and 0 < over < self.many - 1 else 0

    @property
    def past(self) -> int:
        """How many of the last ones lie past the far end, where those before them do not."""
        over = ceil(-self.last / self.pitch)
        return over if 0 < over < self.many - 1 else 0

    @property
    def one_late(self) -> bool:
        """Whether they would end evenly if each lay where the one before it does."""
        return self.first >= self.pitch and self.first - self.last == 2 * self.pitch

    @property
    def even(self) -> Fraction | None:
        """The pitch of the other loop; else that which leaves as much at the far end as at the near one, where there is
        room."""
        if self.fellow is not None:
            return self.fellow
        pitch = (self.along - self.size - 2 * self.first) / (self.many - 1)
        return pitch if self.size <= pitch != self.pitch else None

    def step(self, unit: str) -> Fraction:
        """The same down to the next mark of a rule."""
        mark = Fraction(rule_mark(unit)).limit_denominator(1000)
        return (self.even or self.pitch) // mark * mark


def looped_parts(piece: Piece, parts: Sequence[Part], along: Axis | None) -> LoopedParts | None:
    """The row that a loop lays one of some parts in ``along`` an axis, or all of them, or one where it runs past its
    end, by the words that differ from turn to turn."""
    for join in piece.plan.joins:
        if join.part_a not in parts:
            continue
        for laid, row in _rows(piece, join):
            if along is not None and row.placing.axis is not along:
                continue
            if along is not None or row.last < 0 or all(each in laid for each in parts):
                return row._replace(fellow=_fellow(piece, join, row)) if row.pitch < row.size else row
    return None


def _rows(piece: Piece, join: Join) -> Iterator[tuple[list[Part], LoopedParts]]:
    """What a line lays in a row, turn by turn, and how."""
    lines = [each for each in piece.plan.joins if join.span.also_tells(each.span)]
    for placing in join.placings:
        # Both ends of a part, and its like in other units, lie as far.
        said = {old.inset for each in lines for old in each.placings if old.span == placing.span}
        steps = {after - before for before, after in pairwise(sorted(said))}
        if placing.side is not None and len(said) > 2 and len(steps) == 1 and (pitch := steps.pop()):
            axis = placing.side.axis
            sizes = join.part_a.size[axis], join.part_b.size[axis]
            yield [each.part_a for each in lines], LoopedParts(placing, len(said), min(said), pitch, *sizes)


def _fellow(piece: Piece, join: Join, row: LoopedParts) -> Fraction | None:
    others = (each for each in piece.plan.joins if each.part_a.stock is join.part_a.stock)
    rows = (other for each in others for _, other in _rows(piece, each) if other.size == row.size)
    return next((other.pitch for other in rows if other.pitch >= row.size), None)

"""The exact boxes of parts that lie square in the piece, and what is left of one once its ends are taken back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from planlint.conversion.length_words import Term
from planlint.model.directions import SIDES, Axis, Side, side_of
from planlint.model.plan import Part, Size
from planlint.model.wood_cuts import Triple
from planlint.placement.part_frames import direction_to_piece, own_to_piece
from planlint.placement.placement_results import Placement


class ExactBox(NamedTuple):
    """Low and high corner in the piece's axes, inches."""

    low: Size
    high: Size

    def plane(self, side: Side) -> Fraction:
        return (self.high if side.sign > 0 else self.low)[side.axis]

    def moved(self, cuts: Mapping[Side, Fraction]) -> ExactBox:
        """With sides (of the piece) moved inward."""
        low, high = list(self.low), list(self.high)
        for side, amount in cuts.items():
            if side.sign > 0:
                high[side.axis] -= amount
            else:
                low[side.axis] += amount
        return ExactBox((low[0], low[1], low[2]), (high[0], high[1], high[2]))

    def shared(self, other: ExactBox, axis: Axis) -> Fraction:
        """How far two boxes lie beside one another along an axis; 0 or less where they do not."""
        return min(self.high[axis], other.high[axis]) - max(self.low[axis], other.low[axis])

    def common(self, other: ExactBox) -> ExactBox | None:
        """The room two boxes share, if any."""
        low = tuple(max(pair) for pair in zip(self.low, other.low, strict=True))
        high = tuple(min(pair) for pair in zip(self.high, other.high, strict=True))
        if any(a >= b for a, b in zip(low, high, strict=True)):
            return None
        return ExactBox((low[0], low[1], low[2]), (high[0], high[1], high[2]))

    def meets(self, other: ExactBox) -> bool:
        """Whether two boxes share wood."""
        return self.common(other) is not None

    def without(self, other: ExactBox) -> list[ExactBox]:
        """What is left of a box once another is taken out of it, in boxes beside one another."""
        shared = self.common(other)
        if shared is None:
            return [self]
        found, rest = [], self
        for axis in Axis:
            for side in (side_of(axis, -1), side_of(axis, 1)):
                reach = abs(rest.plane(side) - shared.plane(side))
                if reach:
                    keep = rest.high[axis] - rest.low[axis] - reach
                    found.append(rest.moved({side.opposite: keep}))
                    rest = rest.moved({side: reach})
        return found

    @property
    def volume(self) -> Fraction:
        x, y, z = (high - low for low, high in zip(self.low, self.high, strict=True))
        return x * y * z


def without(boxes: Iterable[ExactBox], others: Iterable[ExactBox]) -> list[ExactBox]:
    """What is left of boxes once others are taken out of them."""
    left = list(boxes)
    for other in others:
        left = [rest for box in left for rest in box.without(other)]
    return left


def piece_side(part: Part, side: Side) -> Side | None:
    """Where a side of a part looks in the piece; ``None`` where the part is turned other than by quarters."""
    if part.turn is None:
        return side
    normal = [Fraction(0)] * 3
    normal[side.axis] = Fraction(side.sign)
    turned = direction_to_piece(part, normal)
    for axis in Axis:
        if turned[axis] in {1, -1}:
            return side_of(axis, int(turned[axis]))
    return None


_FINEST = 10**9
"""Where a part hangs on one at an odd angle, its place is taken to one in so many. Basis: as lengths are rounded."""


def low_corner(part: Part, placement: Placement) -> Size:
    """The low corner of a part's box before any turn."""
    x, y, z = placement.exact(part) or (
        Fraction(round(at * _FINEST), _FINEST) for at in placement.position(part)
    )
    return x, y, z


def box_of(part: Part, placement: Placement) -> ExactBox | None:
    """The box of a part; ``None`` where it does not lie square in the piece."""
    at = low_corner(part, placement)
    if piece_side(part, Side.TOP) is None or piece_side(part, Side.RIGHT) is None:
        return None
    zero = Fraction(0)
    return _between(own_to_piece(part, at, (zero, zero, zero)), own_to_piece(part, at, part.size))


def own_box(part: Part, placement: Placement, low: Size, high: Size) -> ExactBox | None:
    """A box of a part's own frame (a removal), in the piece."""
    at = low_corner(part, placement)
    if box_of(part, placement) is None:
        return None
    return _between(own_to_piece(part, at, low), own_to_piece(part, at, high))


def _between(one: Triple, other: Triple) -> ExactBox:
    pairs = [sorted((Fraction(a), Fraction(b))) for a, b in zip(one, other, strict=True)]
    (a, d), (b, e), (c, f) = pairs
    return ExactBox((a, b, c), (d, e, f))


@dataclass(frozen=True)
class Slice:
    """What becomes of a part: the whole of it less what is cut off at its sides, or one piece of several.

    ``number`` is 0 for a part that stays one piece, else 1, 2 … from the left, front or bottom. ``cuts`` are by the
    part's own sides; ``sizes`` are the words of a measure where they are not just the old ones less the cuts.
    """

    part: Part
    number: int = 0
    cuts: Mapping[Side, Term] = field(default_factory=dict)
    sizes: Mapping[Axis, Term] = field(default_factory=dict)

    @property
    def name(self) -> str:
        return f"{self.part.name}{self.suffix}"

    @property
    def suffix(self) -> str:
        return f"_{self.number}" if self.number else ""

    def cut(self, side: Side) -> Fraction:
        term = self.cuts.get(side)
        return term.value if term is not None else Fraction(0)

    def size(self, axis: Axis) -> Fraction:
        return self.part.size[axis] - self.cut(side_of(axis, -1)) - self.cut(side_of(axis, 1))

    def box(self, placement: Placement) -> ExactBox | None:
        box = box_of(self.part, placement)
        if box is None:
            return None
        moved = {}
        for side in SIDES:
            amount = self.cut(side)
            looks = piece_side(self.part, side) if amount else None
            if looks is not None:
                moved[looks] = amount
        return box.moved(moved)

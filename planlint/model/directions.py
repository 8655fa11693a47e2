"""The piece as it stands: three axes, six sides.

``x`` runs left to right, ``y`` front to back, ``z`` bottom to top; all lengths of the model are inches.
"""

from __future__ import annotations

from enum import Enum, IntEnum


class Axis(IntEnum):
    """A direction of the piece; its value indexes a size or a position."""

    X = 0
    Y = 1
    Z = 2

    @property
    def words(self) -> str:
        """How a builder says it: ``left to right``."""
        return _AXIS_WORDS[self]


_AXIS_WORDS = {Axis.X: "left to right", Axis.Y: "front to back", Axis.Z: "top to bottom"}


class Side(Enum):
    """One of the six sides of a part, by its name in the assembled piece."""

    LEFT = "left"
    RIGHT = "right"
    FRONT = "front"
    BACK = "back"
    BOTTOM = "bottom"
    TOP = "top"

    axis: Axis
    sign: int

    @property
    def opposite(self) -> Side:
        return _OPPOSITE[self]

    @property
    def looks(self) -> str:
        """The word for it behind ``facing``."""
        word: str = self.value
        return {"top": "up", "bottom": "down"}.get(word, word)

    # Members are compared by identity, and hashed in every hot loop: the enum's own hash goes through the name.
    __hash__ = object.__hash__


for _number, _side in enumerate(Side):
    _side.axis = Axis(_number // 2)
    _side.sign = 1 if _number % 2 else -1

_OPPOSITE = {
    Side.LEFT: Side.RIGHT,
    Side.RIGHT: Side.LEFT,
    Side.FRONT: Side.BACK,
    Side.BACK: Side.FRONT,
    Side.BOTTOM: Side.TOP,
    Side.TOP: Side.BOTTOM,
}

Flips = frozenset[Axis]
"""The axes along which something is the mirror image of what is written; empty for as it is written."""

NO_FLIPS: Flips = frozenset()

AXIS_BY_SPAN = {axis.words: axis for axis in Axis}


def flipped(side: Side, flips: Flips) -> Side:
    """The side that a side becomes in the mirror."""
    return side.opposite if side.axis in flips else side


SIDES: tuple[Side, ...] = tuple(Side)
_SIDE_OF = {(side.axis, side.sign): side for side in SIDES}
SIDE_BY_WORD: dict[str, Side] = {side.value: side for side in Side}


def side_of(axis: Axis, sign: int) -> Side:
    """The side of an axis that looks toward ``sign`` (-1 or 1)."""
    return _SIDE_OF[axis, sign]


def usual_face(axis: Axis) -> Side:
    """The side of an axis that a part is usually said to face: up, front or left."""
    return side_of(axis, 1 if axis is Axis.Z else -1)

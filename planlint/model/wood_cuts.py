"""What is cut from a part, worked out: sides aslant, wood taken out, wood trimmed off. Frozen; lengths exact inches."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import cos, radians, sin
from typing import NamedTuple

from planlint.model.directions import Side
from planlint.text.source import Span

Size = tuple[Fraction, Fraction, Fraction]
Scalar = int | float | Fraction
"""Exact wherever the plan allows it, a float where an angle does not."""
Triple = tuple[Scalar, Scalar, Scalar]

_SQUARE_NORMALS: dict[Side, tuple[int, int, int]] = {
    Side.LEFT: (-1, 0, 0),
    Side.RIGHT: (1, 0, 0),
    Side.FRONT: (0, -1, 0),
    Side.BACK: (0, 1, 0),
    Side.BOTTOM: (0, 0, -1),
    Side.TOP: (0, 0, 1),
}


class HalfSpace(NamedTuple):
    """In a part's own frame: points with ``normal . point <= offset``; ``normal`` is unit."""

    normal: tuple[float, float, float]
    offset: float


@dataclass(frozen=True, slots=True)
class EndCut:
    """An end, or a long edge, cut off square: ``angle`` degrees from square, the long point on side ``long_at``."""

    end: Side
    angle: Fraction
    long_at: Side
    span: Span
    start: Fraction = Fraction(0)
    """How far from the long side the slant starts: that of a taper which leaves a flat before it."""


@dataclass(frozen=True, slots=True)
class Removal:
    """Wood taken out by a rabbet, groove, dado, notch, hole …: a box from ``low`` to ``high`` in the part's own frame.

    Of a hole, a slot or an arch only what lies within all ``planes`` as well: an outline drawn a hair too large, so
    that no wood is counted that is not there.
    """

    kind: str
    low: Size
    high: Size
    span: Span
    planes: tuple[HalfSpace, ...] = ()
    points: tuple[Size, ...] = ()
    """The points that an arch is told to run through, half-way through the part."""


@dataclass(frozen=True, slots=True)
class Trim:
    """Wood cut off a part that stays convex: a taper, a chamfer, a rounded corner, a bow, a second cut at an end.

    What is left lies within all ``planes``. ``sizes`` and ``sides`` are as they are told; ``at`` is the end to which a
    taper runs.
    """

    kind: str
    sizes: tuple[Fraction, ...]
    sides: tuple[Side, ...]
    planes: tuple[HalfSpace, ...]
    span: Span
    at: Side | None = None
    slants: tuple[EndCut, ...] = ()
    """The slants of a taper. A side that it takes whole is the slanted plane, which is no plane of ``planes`` then."""
    points: tuple[Size, ...] = ()
    """The points that a bow is told to run through, half-way through the part."""


def plane_of(
    size: Sequence[Scalar], side: Side, cut: EndCut | None, start: Scalar = 0
) -> tuple[Triple, Triple]:
    """The plane of a side of a box, slanted where ``cut`` says so, from ``start`` on; both lengths in any unit."""
    point: list[Scalar] = [0, 0, 0]
    if side.sign > 0:
        point[side.axis] = size[side.axis]
    if cut is None:
        return (point[0], point[1], point[2]), _SQUARE_NORMALS[side]
    along, over = side.axis, cut.long_at.axis
    if cut.long_at.sign > 0:
        point[over] = size[over] - start
    else:
        point[over] = start
    # The plane runs through the long edge and leans inward, away from the long side, by the angle of the cut.
    normal: list[Scalar] = [0, 0, 0]
    if cut.angle == 45:
        normal[along], normal[over] = side.sign, -cut.long_at.sign
    else:
        angle = radians(float(cut.angle))
        normal[along], normal[over] = side.sign * cos(angle), -cut.long_at.sign * sin(angle)
    return (point[0], point[1], point[2]), (normal[0], normal[1], normal[2])

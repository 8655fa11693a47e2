"""What is cut from a part, worked out: sides aslant, wood taken out, wood trimmed off. Frozen; lengths exact inches."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from planlint.model.directions import Side
from planlint.text.source import Span

Size = tuple[Fraction, Fraction, Fraction]


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

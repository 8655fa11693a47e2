"""Joints that lie flat on a leg for a part of their height only, since its taper starts beside them."""

from collections.abc import Iterator
from math import radians, tan
from typing import NamedTuple

from planlint.geometry.piece import Piece
from planlint.model.directions import Side
from planlint.model.plan import Join, Part
from planlint.model.wood_cuts import EndCut
from planlint.placement.equations import on_tapers


class OpenAtTaper(NamedTuple):
    """A part that runs on along a side of ``host`` past where that tapers, to so far ``past`` the end that the taper
    starts from, and stands ``open`` there (inches)."""

    join: Join
    host: Part
    other: Part
    taper: EndCut
    past: float
    open: float


def square_on_tapers(join: Join) -> Iterator[tuple[Part, Side, Part, EndCut]]:
    """Ends that are square where the side that they meet is tapered: part, end, the other part, and its taper."""
    for part, side, other, met in join.both_ways:
        taper = next((cut for cut in other.tapers if cut.end is met), None)
        if taper is not None and part.is_end(side) and part.cut_at(side) is None and part.turn == other.turn:
            yield part, side, other, taper


def open_at_tapers(piece: Piece, limit: float) -> Iterator[OpenAtTaper]:
    """Joints on the flat before a taper that stand open by more than ``limit`` inches where they run on past it."""
    for join in piece.plan.joins:
        if not any(part.tapers for part in join.parts):
            continue
        if (join.made is not None and not join.made.stands) or not piece.trusted(join):
            continue
        for (host, side), (other, _), slant in zip(
            join.sides, join.sides[::-1], on_tapers(join), strict=True
        ):
            taper = next((cut for cut in host.tapers if cut.end is side), None)
            if taper is None or slant is not None:
                continue
            bounds, body, axis = piece.body(other).bounds, piece.body(host), taper.long_at.axis
            along = [body.to_own(corner)[axis] for corner in bounds.corners]
            if taper.long_at.sign > 0:
                along = [float(host.size[axis]) - each for each in along]
            start, end = float(taper.start), min(max(along), float(host.length))
            gap = (end - start) * tan(radians(float(taper.angle)))
            if min(along) < start and gap > limit:
                yield OpenAtTaper(join, host, other, taper, end, gap)

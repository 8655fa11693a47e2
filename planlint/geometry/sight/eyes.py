"""Where people's eyes are round a piece.

They stand in an arc of 90 degrees each way around each side the piece is looked at from, at several distances and
heights. A side that nobody looks from, across from one that people look from, is against a wall that goes on past the
piece, and no head is in it; a piece that nobody looks at from two opposite sides stands between neighbours, and people
stand before those too.
"""

from collections.abc import Iterable, Sequence
from functools import cache
from math import cos, inf, radians, sin
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Box
from planlint.geometry.sight.eye_shadows import EyePlace
from planlint.model.directions import Axis, Side, side_of
from planlint.model.workshop import Viewer
from planlint.text.rounding import ROUNDING

ANGLE_STEP = 15
"""Degrees between neighbouring places of an eye on its arc. Basis: our own judgement."""
HEAD_ROOM = 4.0
"""Inches from a wall to the eyes of someone whose head is against it. Basis: our own judgement."""


class EyeArc(NamedTuple):
    """All eyes that look from one side: at each place, one at each height (and whether it is a seated one)."""

    side: Side
    places: tuple[EyePlace, ...]
    heights: tuple[tuple[float, bool], ...]


def arcs(
    bounds: Box,
    seen_from: Iterable[Side],
    viewer: Viewer,
    eye_height: float | None,
    centre: Vector | None = None,
    *,
    sitting: bool = False,
) -> tuple[EyeArc, ...]:
    """The eyes round a piece that fills ``bounds``, its floor at height 0.

    The plan's own ``eye height`` stands for all eyes; without it, standing eyes between the settings' bounds and
    seated ones: for a piece lower than ``seated_below``, those that a hung piece lies wholly above, which look up
    at its underside, and all of them where ``sitting`` says that they look up at some board. Before a long piece
    people walk along: no eye then stands farther along it from ``centre`` than they stand away from it. Every eye
    is ``HEAD_ROOM`` clear of the walls.
    """
    heights: list[tuple[float, bool]]
    if eye_height is not None:
        heights = [(eye_height, False)]
    else:
        low_piece = sitting or bounds.high[2] < viewer.seated_below
        heights = [(height, False) for height in viewer.standing]
        heights += [(height, True) for height in viewer.seated if low_piece or height < bounds.low[2]]
    steps = _steps(viewer.distances)
    reach = max(viewer.distances)
    seen_from = tuple(seen_from)
    x_room, y_room = _room(bounds, seen_from, 0), _room(bounds, seen_from, 1)
    found = []
    for side in seen_from:
        if side.axis == 2:
            continue
        along = 1 - side.axis
        low, high = bounds.low[along], bounds.high[along]
        if centre is not None:
            low, high = max(low, centre[along] - reach), min(high, centre[along] + reach)
        at = (bounds.high if side.sign > 0 else bounds.low)[side.axis]
        out = [(foot, at + side.sign * away) for foot, away in _feet(low, high, steps)]
        (a0, a1), (b0, b1) = (x_room, y_room) if along == 0 else (y_room, x_room)
        out = [place for place in out if a0 <= place[0] <= a1 and b0 <= place[1] <= b1]
        places = tuple(out) if along == 0 else tuple((away, foot) for foot, away in out)
        found.append(EyeArc(side, places, tuple(heights)))
    return tuple(found)


def _room(bounds: Box, seen_from: Sequence[Side], axis: int) -> tuple[float, float]:
    """Between which places along a level axis eyes may stand: before the wall, if just one of its sides is seen."""
    low_seen, high_seen = side_of(Axis(axis), -1) in seen_from, side_of(Axis(axis), 1) in seen_from
    if low_seen == high_seen:
        return -inf, inf
    if (
        low_seen
    ):  # By rounding alone an eye may come nearer: else it would matter which way round a piece is drawn.
        return -inf, bounds.high[axis] - HEAD_ROOM + ROUNDING
    return bounds.low[axis] + HEAD_ROOM - ROUNDING, inf


_Step = tuple[float, float]
"""How far sideways an eye stands, and how far out."""


@cache
def _steps(distances: tuple[float, ...]) -> tuple[tuple[_Step, ...], tuple[_Step, ...]]:
    """Steps straight out, and steps to one side at each angle up to 90 degrees."""
    straight = tuple((0.0, distance) for distance in distances)
    aside = tuple(
        (distance * sin(radians(angle)), distance * cos(radians(angle)) if angle < 90 else 0.0)
        for angle in range(ANGLE_STEP, 91, ANGLE_STEP)
        for distance in distances
    )
    return straight, aside


def _feet(low: float, high: float, steps: tuple[tuple[_Step, ...], tuple[_Step, ...]]) -> list[_Step]:
    """Along one side: aside of its low end, straight before its ends and middle, aside of its high end."""
    straight, aside = steps
    return [
        *((low - sideways, away) for sideways, away in aside),
        *((foot, away) for foot in (low, (low + high) / 2, high) for _, away in straight),
        *((high + sideways, away) for sideways, away in aside),
    ]


class Eyes(NamedTuple):
    """All eyes round a piece: the heights they are at, lowest first, and the places they stand at."""

    heights: tuple[float, ...]
    places: tuple[EyePlace, ...]


def all_eyes(around: Sequence[EyeArc]) -> Eyes:
    heights = around[0].heights if around else ()
    return Eyes(
        tuple(sorted({height for height, _ in heights})), tuple(p for arc in around for p in arc.places)
    )

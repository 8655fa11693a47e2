"""Screws and bores that run into one another, over all joints of a piece.

Each pocket gives two round bodies: the wide bore from mouth to shoulder, and the screw from shoulder to point. Pairs
of one row lie side by side and are judged by their spacing; all other pairs are judged here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from planlint.geometry.body import Box
from planlint.geometry.index import overlapping_pairs
from planlint.geometry.segments import segment_to_segment
from planlint.geometry.types import Screw, Vector


class Rod(NamedTuple):
    """A round body round a segment: ``what`` is ``"screw"`` or ``"bore"``. Radius in inches."""

    screw: Screw
    what: str
    start: Vector
    end: Vector
    radius: float


class Meeting(NamedTuple):
    """Two rods nearer than asked; ``wood`` is what stands between their surfaces (negative: they cross), in inches."""

    first: Rod
    second: Rod
    wood: float


def rods(screw: Screw, bit_radius: float) -> tuple[Rod, Rod]:
    """The bore and the screw of one pocket."""
    pocket = screw.pocket
    return (
        Rod(screw, "bore", pocket.mouth, pocket.shoulder, bit_radius),
        Rod(screw, "screw", pocket.shoulder, screw.tip, screw.diameter / 2),
    )


def meetings(screws: Iterable[Screw], bit_radius: float, least: float) -> list[Meeting]:
    """The nearest rods of each pair of pockets of different rows, where less than ``least`` inches of wood is left."""
    every = [rod for screw in screws for rod in rods(screw, bit_radius)]
    worst: dict[tuple[int, int], Meeting] = {}
    for i, j in overlapping_pairs([_bounds(rod, least / 2) for rod in every]):
        first, second = every[i], every[j]
        a, b = first.screw.pocket, second.screw.pocket
        if a.join is b.join and a.row == b.row:
            continue
        wood = (
            segment_to_segment(first.start, first.end, second.start, second.end)
            - first.radius
            - second.radius
        )
        if wood < least:
            pair = (i // 2, j // 2)
            if pair not in worst or wood < worst[pair].wood:
                worst[pair] = Meeting(first, second, wood)
    return [worst[pair] for pair in sorted(worst)]


def by_joints(found: Iterable[Meeting]) -> Iterator[Meeting]:
    """The worst meeting of each pair of joints, in order."""
    worst: dict[tuple[int, int], Meeting] = {}
    for each in found:
        pair = (each.first.screw.pocket.join.index, each.second.screw.pocket.join.index)
        if pair not in worst or each.wood < worst[pair].wood:
            worst[pair] = each
    return iter(worst[pair] for pair in sorted(worst))


def _bounds(rod: Rod, margin: float) -> Box:
    reach = rod.radius + margin
    a, b = rod.start, rod.end
    return Box(
        (min(a[0], b[0]) - reach, min(a[1], b[1]) - reach, min(a[2], b[2]) - reach),
        (max(a[0], b[0]) + reach, max(a[1], b[1]) + reach, max(a[2], b[2]) + reach),
    )

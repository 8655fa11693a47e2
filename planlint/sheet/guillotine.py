"""Sheets cut by any cuts that go right through, one piece after another: exact for as many parts as there is time for.

All that lies on one sheet is put together of two that lie beside or above one another (Wang 1983), kinds of parts
counted; of what holds the same parts only what is not larger both ways is kept. The fewest sheets are then an integer
program over the largest sets that fit (HiGHS, by scipy, the extra ``sheet``). All in whole numbers.

Where they are too many, what a sheet may be worth at the most bounds the sheets (Gilmore and Gomory 1966, Farley 1990).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from math import ceil
from typing import NamedTuple

MOST_PAIRS = 1_000_000
"""Pairs that are put together. Basis: own judgement, from times."""

_Counts = tuple[int, ...]
"""How many of each kind."""


class Block(NamedTuple):
    """What lies together: along the grain, across it; either a part of one ``kind``, or two blocks, the second behind
    the first along the grain, or across it."""

    long: int
    wide: int
    kind: int | None = None
    along: bool = False
    two: tuple[Block, Block] | None = None


class Share(NamedTuple):
    """What one sheet holds."""

    counts: _Counts
    block: Block


def fewest_free(
    kinds: Sequence[tuple[int, Sequence[tuple[int, int]]]], room: tuple[int, int], seconds: float
) -> list[Share] | None:
    """The fewest sheets for so many of each kind, each with the ways it may lie (along the grain, across it); ``None``
    where there are too many ways to try them all, or no time to choose among them."""
    table = _all_that_fit(kinds, room)
    if table is None:
        return None
    wanted = tuple(many for many, _ in kinds)
    largest = [
        held
        for held in table
        if not any(held[n] < many and _with(held, n, 1) in table for n, many in enumerate(wanted))
    ]
    chosen = _fewest(largest, wanted, seconds)
    if chosen is None:
        return None
    left, shares = wanted, []
    for held in chosen:
        here = tuple(map(min, held, left))
        left = tuple(a - b for a, b in zip(left, here, strict=True))
        if any(here):
            # Of what fits the sheet, what leaves the most of it whole.
            shares.append(Share(here, min(table[here], key=lambda each: (each.long * each.wide, each.wide))))
    return shares


def _with(counts: _Counts, n: int, more: int) -> _Counts:
    return (*counts[:n], counts[n] + more, *counts[n + 1 :])


def _all_that_fit(
    kinds: Sequence[tuple[int, Sequence[tuple[int, int]]]], room: tuple[int, int]
) -> dict[_Counts, list[Block]] | None:
    """For every set of parts that fits a sheet the least blocks that hold it."""
    none = (0,) * len(kinds)
    area = [ways[0][0] * ways[0][1] for _, ways in kinds]
    table = {
        _with(none, n, 1): _least([Block(*way, kind=n) for way in ways]) for n, (_, ways) in enumerate(kinds)
    }
    level, pairs = list(table), 0
    while level:
        above: dict[_Counts, list[Block]] = {}
        for held, (n, (many, _)) in product(level, enumerate(kinds)):
            more = _with(held, n, 1)
            if held[n] == many or more in above:
                continue
            if sum(a * c for a, c in zip(area, more, strict=True)) > room[0] * room[1]:
                continue
            if any(count and _with(more, m, -1) not in table for m, count in enumerate(more)):
                continue
            found: list[Block] = []
            for part in product(*(range(count + 1) for count in more)):
                rest = tuple(a - b for a, b in zip(more, part, strict=True))
                if part < rest or part not in table or rest not in table:
                    continue
                pairs += len(table[part]) * len(table[rest])
                for one, other in product(table[part], table[rest]):
                    found += _together(one, other, room)
            if pairs > MOST_PAIRS:
                return None
            if found:
                above[more] = _least(found)
        table |= above
        level = list(above)
    return table


def _together(one: Block, other: Block, room: tuple[int, int]) -> Iterator[Block]:
    if one.long + other.long <= room[0]:
        yield Block(one.long + other.long, max(one.wide, other.wide), None, True, (one, other))
    if one.wide + other.wide <= room[1]:
        yield Block(max(one.long, other.long), one.wide + other.wide, None, False, (one, other))


def _least(blocks: list[Block]) -> list[Block]:
    """Those that no other undercuts both ways."""
    kept: list[Block] = []
    for each in sorted(blocks, key=lambda block: (block.long, block.wide)):
        if not kept or each.wide < kept[-1].wide:
            kept.append(each)
    return kept


MARKS = 256
"""Marks along each side of a sheet on which its worth is worked out. Basis: own judgement, from times."""


def most_worth(
    kinds: Sequence[tuple[int, Sequence[tuple[int, int]]]], room: tuple[int, int], worth: Sequence[float]
) -> float:
    """No sheet cut by cuts that go right through holds more worth than this. Sizes are rounded down: whatever fits the
    sheet fits these marks too; more of a kind than is wanted may lie there."""
    import numpy as np  # noqa: PLC0415 - the extra `sheet`

    grains = [max(1, ceil(side / MARKS)) for side in room]
    long, wide = (side // grain for side, grain in zip(room, grains, strict=True))
    best = np.zeros((long + 1, wide + 1))
    for (_, ways), value in zip(kinds, worth, strict=True):
        for way in ways:
            x, y = (max(1, side // grain) for side, grain in zip(way, grains, strict=True))
            best[x:, y:] = np.maximum(best[x:, y:], value)
    for x in range(1, long + 1):
        if half := x // 2:
            best[x] = np.maximum(best[x], (best[1 : half + 1] + best[x - 1 : x - half - 1 : -1]).max(axis=0))
        row = best[x]
        for y in range(2, wide + 1):
            half = y // 2
            row[y] = max(row[y], (row[1 : half + 1] + row[y - 1 : y - half - 1 : -1]).max())
    return float(best[long, wide])


def _fewest(sets: Sequence[_Counts], wanted: _Counts, seconds: float) -> list[_Counts] | None:
    """The fewest sets that hold all that is wanted; ``None`` where that is not proved in time."""
    import numpy as np  # noqa: PLC0415 - the extra `sheet`
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415

    found = milp(
        np.ones(len(sets)),
        constraints=LinearConstraint(np.array(sets).T, list(wanted), np.inf),
        integrality=np.ones(len(sets), dtype=int),
        bounds=Bounds(0, sum(wanted)),
        options={"time_limit": seconds},
    )
    if found.x is None or found.status != 0:
        return None
    return [held for held, many in zip(sets, map(round, found.x), strict=True) for _ in range(many)]

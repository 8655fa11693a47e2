"""Parts that are told as the mirror images of others: they follow what becomes of those, if they become alike."""

from collections.abc import Iterator

from planlint.conversion.exact_boxes import Slice
from planlint.conversion.size_changes import Change
from planlint.conversion.statement_sites import Sites
from planlint.geometry.piece import Piece
from planlint.model.directions import AXIS_BY_SPAN, SIDES, Flips, flipped
from planlint.model.plan import Part


def images_that_differ(piece: Piece, sites: Sites, change: Change) -> Iterator[tuple[str, str]]:
    """Parts that would no longer be the mirror image of the one that they are told as, each with that one."""
    parts = piece.plan.part_by_name
    for name in sites.parts:
        span, other = sites.part_line(name).mirrors, sites.original(name)
        if span is None or other is None or not {name, other}.intersection((*change.slices, *change.remains)):
            continue
        if not _alike(change, parts[name], parts[other], frozenset({AXIS_BY_SPAN[span]})):
            yield name, other


def _alike(change: Change, part: Part, other: Part, flips: Flips) -> bool:
    (mine, *more), (its, *others) = change.slices_of(part), change.slices_of(other)
    if more or others or mine.number or its.number:
        return False
    if any(mine.cut(flipped(side, flips)) != its.cut(side) for side in SIDES):
        return False
    return _runs(change, mine, flips) == _runs(change, its, frozenset())


def _runs(change: Change, of: Slice, flips: Flips) -> dict[int, object]:
    """What is left of each cut, as the part is told."""
    found: dict[int, object] = {}
    for number, remains in change.remains.get(of.part.name, {}).items():
        reach = of.part.size[remains.along]
        runs = remains.runs
        if remains.along in flips:
            runs = tuple((reach - high, reach - low) for low, high in reversed(runs))
        found[number] = remains.whole or (remains.along if runs else None, runs)
    return found

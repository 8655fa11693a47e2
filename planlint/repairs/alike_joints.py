"""Joints that are alike, so that a repair of one is one of the other too."""

from dataclasses import replace

from planlint.model.join_details import PocketRow
from planlint.model.plan import Join


def mirrored(join: Join, other: Join) -> bool:
    """Whether two joins are those of the two ends of one part, with pockets set out alike."""
    return (
        other.part_a is join.part_a
        and other.side_a is join.side_a.opposite
        and [_said(join, row) for row in join.pockets] == [_said(join, row) for row in other.pockets]
    )


def _said(join: Join, row: PocketRow) -> PocketRow:
    """A row as it is said, wherever that stands."""
    return replace(row, span=join.span)

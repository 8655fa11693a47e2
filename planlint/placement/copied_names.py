"""Names copied from one join to the next: a side of a part that is joined twice to parts alike, while none of them is
joined to that side of its twin."""

from __future__ import annotations

from collections.abc import Iterator

from planlint.model.directions import Side
from planlint.model.plan import Join, Part
from planlint.placement.joint_graph import JointGraph
from planlint.placement.placement_results import Copied, Misfit


def copied_names(graph: JointGraph, fault: Misfit) -> Iterator[Copied]:
    """Which joins of an open ring may name the wrong twin: that of the misfit first."""
    for join in fault.loop:
        for named, side, other, its in reversed(join.both_ways):
            before = next(
                (
                    each
                    for each in graph.joins_of(named)
                    if each is not join and _joins_like(each, named, side, other, its)
                ),
                None,
            )
            for twin in graph.parts if before is not None else ():
                if _twins(named, twin) and not any(
                    _joins_like(each, twin, side, other, its) for each in graph.joins_of(twin)
                ):
                    assert before is not None
                    yield Copied(join, named, twin, before)


def _joins_like(join: Join, named: Part, side: Side, other: Part, its: Side) -> bool:
    """Whether a join holds another part like ``other`` by the same side at a side of a part."""
    part, at = (join.part_a, join.side_a) if join.part_b is named else (join.part_b, join.side_b)
    return _at(join, named, side) and at is its and part is not other and _twins(part, other)


def _at(join: Join, part: Part, side: Side) -> bool:
    return any(each is part and at is side for each, at in join.sides)


def _twins(one: Part, other: Part) -> bool:
    """Whether two parts are of one stock and measure and stand alike."""
    return (
        one is not other
        and one.stock is other.stock
        and one.size == other.size
        and (one.grain, one.facing.axis, one.turn) == (other.grain, other.facing.axis, other.turn)
    )

"""Names copied from one join to the next: a side of a part that is joined twice to parts alike, while none of them is
joined to that side of its twin; or a part that is joined to one other by both its ends, which has a twin."""

from collections.abc import Iterator

from planlint.model.directions import Side
from planlint.model.like_parts import are_twins
from planlint.model.plan import Join, Part
from planlint.placement.joint_graph import JointGraph
from planlint.placement.placement_results import Copied, Misfit


def copied_names(graph: JointGraph, fault: Misfit) -> list[Copied]:
    """Which joins of an open ring may name the wrong twin: those first that came along with an image, for nobody wrote
    them, then that of the misfit."""
    said = graph.plan.provenance.joins
    return sorted(_copied(graph, fault), key=lambda each: -len(said[each.join.index].mirrored) if said else 0)


def _copied(graph: JointGraph, fault: Misfit) -> Iterator[Copied]:
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
            both = _by_both_ends(graph, join, named, other)
            for twin in graph.parts if before is not None or both is not None else ():
                like = any(_joins_like(each, twin, side, other, its) for each in graph.joins_of(twin))
                if are_twins(named, twin) and (both is not None or not like):
                    found = both or before
                    assert found is not None
                    yield Copied(join, named, twin, found)


def other_names(graph: JointGraph, fault: Misfit) -> Iterator[Copied]:
    """The joins of an open ring, each told for a twin of what it names, where that evens out how often the two are
    joined."""
    for join in fault.loop:
        for named, _, other, _ in reversed(join.both_ways):
            theirs = graph.joins_of(named)
            lined = sum(each is join or join.span.also_tells(each.span) for each in theirs)
            for twin in graph.parts:
                fewer = len(theirs) - len(graph.joins_of(twin)) >= 2 * lined
                if fewer and are_twins(named, twin) and twin not in graph.neighbours(other):
                    yield Copied(join, named, twin, None)


def across_from(graph: JointGraph, join: Join) -> Part | None:
    """The twin of B that an end of A is meant for: A's other end is joined to that side of B already, or what is like A
    ends against that twin by this end."""
    a, b, end, facing = join.part_a, join.part_b, join.side_a.opposite, join.side_b.opposite
    theirs = graph.joins_of(a)
    taken = any(each.part_b is b and (each.side_a, each.side_b) == (end, join.side_b) for each in theirs)

    def ended_on(part: Part) -> bool:
        ends = (each for each in graph.joins_of(part) if each.part_b is part and each.side_b is facing)
        return any(each.side_a is join.side_a and each.part_a.grain is a.grain for each in ends)

    free = (each for each in graph.parts if are_twins(b, each) and each not in graph.neighbours(a))
    return next((each for each in free if taken or (ended_on(each) and not ended_on(b))), None)


def other_end(graph: JointGraph, join: Join) -> Side | None:
    """The end of A that a join is meant for, where the one that it names is joined elsewhere and that one nowhere."""
    a, end = join.part_a, join.side_a.opposite
    theirs = [each.side_of(a) for each in graph.joins_of(a) if each is not join]
    return end if a.is_end(end) and join.side_a in theirs and end not in theirs else None


def _by_both_ends(graph: JointGraph, join: Join, named: Part, other: Part) -> Join | None:
    """The join that holds a part's other end to the same part."""
    theirs = graph.joins_of(named) if other.is_end(join.side_of(other)) else ()
    end = join.side_of(other).opposite
    return next((each for each in theirs if other in each.parts and each.side_of(other) is end), None)


def _joins_like(join: Join, named: Part, side: Side, other: Part, its: Side) -> bool:
    """Whether a join holds another part like ``other`` by the same side at a side of a part."""
    part, at = (join.part_a, join.side_a) if join.part_b is named else (join.part_b, join.side_b)
    return (named, side) in join.sides and at is its and part is not other and are_twins(part, other)

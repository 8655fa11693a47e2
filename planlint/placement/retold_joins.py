"""Joins of a ring laid otherwise than others like them: at another side, or as one that is not of their part."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import chain, combinations

from planlint.language.syntax_tree import JoinLine
from planlint.model.directions import Axis
from planlint.model.join_details import Placing
from planlint.model.like_parts import are_twins
from planlint.model.plan import Join
from planlint.placement.joint_graph import JointGraph
from planlint.placement.likely_lengths import roundness
from planlint.placement.placement_results import FreeAxis, Misfit, Remade, Retold, Unlike


def retold_joins(graph: JointGraph, fault: Misfit) -> list[Retold]:
    """What joins of a ring may be meant to say: as at the other end of the part where they are like a third, else as
    most others do that say it at another side."""

    def likely(retold: Retold) -> tuple[bool, int]:
        words = [each.words(str) for each in retold.instead]
        alike = (join for join in graph.joins if are_twins(join.part_a, retold.join.part_a))
        said = sum(each.words(str) in words for join in alike for each in join.placings)
        return retold.placing is not None, -said

    return sorted(_retold(graph, fault), key=likely)


def disagreeing(unit: str, ways: Sequence[Unlike]) -> tuple[Unlike, Unlike] | None:
    """Two distances of which each would be right if it were as the other is, the rounder of them meant first."""
    for one, other in combinations(sorted(ways, key=lambda each: -roundness(unit, each.inset)), 2):
        if (one.inset, one.placing.inset) == (other.placing.inset, other.inset):
            return one._replace(other=other.join), other._replace(other=one.join)
    return None


def _retold(graph: JointGraph, fault: Misfit) -> Iterator[Retold]:
    said = graph.plan.provenance.joins
    for join in fault.loop:
        if not 0 <= join.index < len(said) or said[join.index].mirrored:
            continue
        node = said[join.index].statement.node
        ends = other_ends(graph, join)
        # Along its grain a part lies at the left of one of two hosts and at the right of the other.
        if fault.axis is not join.part_a.grain:
            at = join.part_a, join.side_a, join.side_b
            ends += [
                each
                for each in graph.joins_of(join.part_a)
                if (each.part_a, each.side_a, each.side_b) == at and are_twins(each.part_b, join.part_b)
            ]
        # Of a pair the one lies at the left and the other at the right; at what is alike both lie at one height, and
        # on one side of one part at one side.
        on = join.side_a, join.part_b, join.side_b
        beside = (each for each in graph.joins if (each.side_a, each.part_b, each.side_b) == on)
        alike = (each for each in beside if are_twins(each.part_a, join.part_a))
        fellows = fellow_joins(graph, join) if fault.axis is Axis.Z else alike
        for other in chain(ends, fellows):
            mine, its = ([each for each in one.placings if each.axis is fault.axis] for one in (join, other))
            if isinstance(node, JoinLine) and node.like is not None and other in ends:
                brought = all(each.span == join.span for each in mine)
                if brought and [each.words(str) for each in mine] != [each.words(str) for each in its]:
                    yield Retold(join, other, None, other.placings)
            elif len(mine) == len(its) == 1 and mine[0].side is not its[0].side:
                yield Retold(join, other, mine[0], (its[0],))
            elif other in ends and len(mine) > len(its):
                yield from _of_another_axis(join, other, mine, its)


def _of_another_axis(join: Join, other: Join, mine: list[Placing], its: list[Placing]) -> Iterator[Retold]:
    """A distance told from a side along which the part is laid already, where its other end tells one from a side along
    which it is not: one word taken for another."""
    odd = [each for each in mine if each.words(str) not in {placing.words(str) for placing in its}]
    laid = {each.axis for each in join.placings}
    lacking = [each for each in other.placings if each.axis not in laid]
    if len(odd) == len(lacking) == 1:
        yield Retold(join, other, odd[0], (lacking[0],))


def along_a_free_axis(fault: Misfit, free: Sequence[FreeAxis]) -> tuple[str, ...]:
    """What words that contradict others of their own join may be meant to say: the same of the one axis along which
    that join leaves its parts free."""
    found = [each for each in free if each.join.name == fault.join.name]
    if fault.placing is None or len(fault.loop) > 1 or len(found) != 1:
        return ()
    return (f"centred {found[0].axis.words}",) if fault.placing.centred is not None else found[0].words[:2]


def other_ends(graph: JointGraph, join: Join) -> list[Join]:
    """The joins of the other end of its A, told from that as well."""
    name, end = join.part_a.name, join.side_a.opposite
    theirs = graph.joins_of(join.part_a)
    return [each for each in theirs if each.part_a.name == name and each.side_a is end]


def fellow_joins(graph: JointGraph, join: Join) -> Iterator[Join]:
    """The joins of other parts like its own to hosts like its own, by an end or an edge that lies the same way."""
    return (
        each
        for each in graph.joins
        if each.side_a.axis is join.side_a.axis
        and are_twins(each.part_a, join.part_a)
        and are_twins(each.part_b, join.part_b)
    )


def as_fellows(graph: JointGraph, joins: Sequence[Join], axis: Axis) -> Iterator[Retold]:
    """Joins told a distance from a side from which one like theirs tells another."""
    for join in joins:
        for mine in (each for each in join.placings if each.side is not None and each.axis is axis):
            for other in fellow_joins(graph, join):
                for its in other.placings:
                    if its.side is mine.side and its.inset != mine.inset:
                        yield Retold(join, other, mine, (its,))


def counted_otherwise(joins: Iterable[Join], axis: Axis) -> Iterator[Retold]:
    """Joins that lay their part along an axis, counted outward and not inward or so, or from the side across."""
    for join in joins:
        for placing in join.placings:
            if placing.side is not None and placing.side.axis is axis:
                ways = (replace(placing, inset=-placing.inset), replace(placing, side=placing.side.opposite))
                yield from (Retold(join, join, placing, (way,)) for way in ways if way != placing)


def told_across(unlike: Unlike) -> Iterator[Retold]:
    """A distance that is told from the one side and meant from the other: the part then lies so far in by no chance."""
    join, placing, inset, _ = unlike
    assert placing.side is not None
    axis = placing.side.axis
    if placing.inset + inset == join.part_b.size[axis] - join.part_a.size[axis]:
        yield Retold(join, join, placing, (replace(placing, side=placing.side.opposite),))


def may_be_across(graph: JointGraph, unlike: Unlike) -> bool:
    """Whether what is flush may be meant to be so at the side across: not where it mirrors what another join says, as
    one stile lies at the left and one at the right."""
    join, side = unlike.join, unlike.placing.side
    mirrored = any(each.mirrored for each in graph.plan.provenance.joins[join.index : join.index + 1])
    if mirrored or not any(told_across(unlike)):
        return False
    theirs = (each.side for other in fellow_joins(graph, join) for each in other.placings)
    return side is None or side.axis is Axis.Z or side.opposite not in theirs


def remade_joins(graph: JointGraph, joins: Iterable[Join], axis: Axis | None) -> Iterator[Remade]:
    """Joins along an axis copied from that of twins and not turned round, or let in otherwise than most like them."""
    for join in joins:
        if join.side_a.axis is not axis:
            continue
        made = join.tradition
        bare = made is None and not join.gap
        for other in (*other_ends(graph, join), *fellow_joins(graph, join)) if bare else ():
            if other.inset > 0:
                yield Remade(join, replace(join, tradition=other.tradition), other)
        far = replace(join, side_a=join.side_a.opposite, side_b=join.side_b.opposite)
        for other in fellow_joins(graph, join) if not join.part_a.is_end(join.side_a) else ():
            if (other.side_a, other.side_b) == (join.side_a, join.side_b):
                yield Remade(join, far, other)
        alike = [each for each in graph.joins if each.tradition and made and each.tradition.kind == made.kind]
        many = Counter(each.inset for each in alike if not join.span.also_tells(each.span))
        for other in alike if join.inset > 0 else ():
            if made and other.inset != join.inset and many[other.inset] > max(1, many[join.inset]):
                yield Remade(join, replace(join, tradition=replace(made, inset=other.inset)), other)
                break


def cut_there(unlike: Unlike) -> int:
    """1 where what a part is joined to is cut where the part would lie, and not where it is told; -1 the other way."""
    join, placing, inset, _ = unlike
    assert placing.side is not None
    part, axis, sign = join.part_b, placing.side.axis, placing.side.sign
    at = {
        part.size[axis] - edge[axis] if sign > 0 else edge[axis]
        for each in part.removals
        for edge in (each.low, each.high)
    }
    return (inset in at) - (placing.inset in at)

"""Joins of a ring laid otherwise than others like them: at another side, or as one that is not of their part."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from planlint.language.syntax_tree import JoinLine
from planlint.model.directions import Axis
from planlint.placement.copied_names import twins
from planlint.placement.joint_graph import JointGraph
from planlint.placement.placement_results import Misfit, Retold


def retold_joins(graph: JointGraph, fault: Misfit) -> list[Retold]:
    """What joins of a ring may be meant to say: as at the other end of the part where they are like a third, else as
    most others do that say it at another side."""

    def likely(retold: Retold) -> tuple[bool, int]:
        words = [each.words(str) for each in retold.instead]
        alike = (join for join in graph.joins if twins(join.part_a, retold.join.part_a))
        said = sum(each.words(str) in words for join in alike for each in join.placings)
        return retold.placing is not None, -said

    return sorted(_retold(graph, fault), key=likely)


def _retold(graph: JointGraph, fault: Misfit) -> Iterator[Retold]:
    said = graph.plan.provenance.joins
    for join in fault.loop:
        if not 0 <= join.index < len(said) or said[join.index].mirrored:
            continue
        node = said[join.index].statement.node
        theirs = graph.joins_of(join.part_a)
        ends = [each for each in theirs if each.part_a is join.part_a and each.side_a is join.side_a.opposite]
        # Of a pair the one lies at the left and the other at the right; at what is alike both lie at one height.
        fellows = (
            each
            for each in (graph.joins if fault.axis is Axis.Z else ())
            if each.side_a.axis is join.side_a.axis
            and twins(each.part_a, join.part_a)
            and twins(each.part_b, join.part_b)
        )
        for other in chain(ends, fellows):
            mine, its = ([each for each in one.placings if each.axis is fault.axis] for one in (join, other))
            if isinstance(node, JoinLine) and node.like is not None and other in ends:
                brought = all(each.span == join.span for each in mine)
                if brought and [each.words(str) for each in mine] != [each.words(str) for each in its]:
                    yield Retold(join, other, None, other.placings)
            elif len(mine) == len(its) == 1 and mine[0].side is not its[0].side:
                yield Retold(join, other, mine[0], (its[0],))

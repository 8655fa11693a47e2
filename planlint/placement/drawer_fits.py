"""Drawers that do not fit between their slides: what of them would close the ring."""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from planlint.model.directions import Axis
from planlint.model.plan import Join, Part, Plan
from planlint.placement.joint_graph import JointGraph
from planlint.placement.placement_results import Closing, DrawerFit, Misfit


def drawer_fits(graph: JointGraph, fault: Misfit) -> Iterator[tuple[DrawerFit, Plan]]:
    """Slides as thick as at the other side, then the drawer wider or narrower; each with the plan as it is then."""
    join, by, axis = fault.join, fault.amount, fault.axis
    if not join.slides or fault.placing is not None or axis is None or not isinstance(by, Fraction):
        return
    drawer = min((graph.held_with(part, lambda each: not each.hangs) for part in join.parts), key=len)
    names = {part.name for part in drawer}
    runs = [each for each in graph.joins if each.slides and any(part.name in names for part in each.parts)]
    for odd in runs:
        for other in runs:
            if odd.gap != other.gap and other.gap - odd.gap == by:
                yield DrawerFit((), by, odd, other.gap), _with_gap(graph.plan, odd, other.gap)
    made = [
        Closing(part, by, wide=part.grain is not axis) for part in drawer if _across(graph, part, axis, names)
    ]
    if made:
        longer = {each.part.name: each.made() for each in made}
        yield DrawerFit(tuple(each.part for each in made), by), graph.plan.with_parts(longer)


def _across(graph: JointGraph, part: Part, axis: Axis, names: set[str]) -> bool:
    """Whether a part of a drawer reaches from one of its sides to the other."""
    ends = {
        join.side_of(part).sign
        for join in graph.joins_of(part)
        if join.side_of(part).axis is axis and join.other(part).name in names
    }
    return len(ends) > 1 and axis in {part.grain, part.across}


def _with_gap(plan: Plan, odd: Join, gap: Fraction) -> Plan:
    joins = (replace(join, gap=gap) if join.name == odd.name else join for join in plan.joins)
    return replace(plan, joins=tuple(joins))

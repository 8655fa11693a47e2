"""A ring that stays open by just what a part would take otherwise: turned to face another way, or measured the other
way round."""

from __future__ import annotations

from fractions import Fraction

from planlint.model.directions import Side, side_of
from planlint.model.plan import Part
from planlint.placement.joint_graph import JointGraph
from planlint.placement.placement_results import Misfit, Misturned


def misturned(graph: JointGraph, fault: Misfit) -> Misturned | None:
    """The part that explains a misfit; of several the one that fewest parts of the plan are like."""
    axis, within = fault.axis, graph.limits["misfit", "length"]
    if axis is None:
        return None
    found = []
    for part in dict.fromkeys(fault.loop_parts):
        takes = part.size[axis]
        others: list[tuple[Fraction, Side | None]] = []
        if axis != part.grain:
            # Face and width change places; the face looks along what was the width.
            turned = part.width if axis == part.facing.axis else part.thickness
            others.append((turned, side_of(part.across, -1 if part.across != 2 else 1)))
        if axis in {part.grain, part.across}:
            others.append((part.width if axis == part.grain else part.length, None))
        for instead, facing in others if part.turn is None else ():
            less = float(takes - instead)
            fits = abs(less) if fault.placing is not None else -less if fault.amount > 0 else less
            if abs(fits - abs(float(fault.amount))) <= within:
                found.append(Misturned(part, takes, instead, facing))
    alike = [sum(_like(each.part, other) for other in graph.parts) for each in found]
    return min(zip(alike, range(len(found)), found, strict=True))[2] if found else None


def _like(one: Part, other: Part) -> bool:
    return one.stock is other.stock and (one.grain, one.facing) == (other.grain, other.facing)

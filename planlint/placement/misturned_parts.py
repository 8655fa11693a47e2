"""A ring that stays open by just what a part would take otherwise: turned to face another way, or measured the other
way round."""

from collections import Counter
from dataclasses import replace
from fractions import Fraction

from planlint.model.directions import Side, side_of
from planlint.model.like_parts import are_twins, section, stand
from planlint.placement.contradictions import solved
from planlint.placement.joint_graph import JointGraph
from planlint.placement.placement_results import Misfit, Misturned, Unlike

MOST_PROVED = 4
"""Parts of a ring that are turned in trial, the plan solved for each up to three times (own judgement)."""


def misturned(graph: JointGraph, fault: Misfit, faults: int) -> Misturned | None:
    """The part that explains a misfit; of several the one that fewest parts of the plan are like. Where a length is
    known to leave less than ``faults``, only one that does so too."""
    axis, within = fault.axis, graph.limits["misfit", "length"]
    unlike = fault.cause if isinstance(fault.cause, Unlike) else None
    if axis is None or (unlike is not None and unlike.other.part_a is not unlike.join.part_a):
        return None  # That it lies otherwise than its fellow says it better.
    proved = bool(unlike or (fault.closing is not None and fault.closing.heals))
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
            # A part on the other way round the ring is to take less where one on this is to take more.
            either = fault.placing is not None or proved
            fits = abs(less) if either else -less if fault.amount > 0 else less
            if abs(fits - abs(float(fault.amount))) <= within:
                found.append(Misturned(part, takes, instead, facing))
    if proved:
        left = [_left(graph, each, faults) for each in found[:MOST_PROVED]]
        found = [each for each, many in zip(found, left, strict=False) if many == min(left) < faults]
    alike = Counter((*section(part), *stand(part)) for part in graph.parts)
    return min(found, key=lambda each: alike[*section(each.part), *stand(each.part)], default=None)


def _left(graph: JointGraph, turned: Misturned, faults: int) -> int:
    """The fewest misfits left with the part so: alone, with those of its line, or with all that are like it."""
    part, face = turned.part, turned.facing
    lined = [part, *graph.plan.lined_with(part)]
    alike = [part, *(each for each in graph.parts if are_twins(each, part))]
    for parts in ([part], lined, alike):
        made = {
            each.name: replace(each, facing=face)
            if face is not None
            else replace(each, length=each.width, width=each.length)
            for each in parts
        }
        faults = min(faults, solved(JointGraph(graph.plan.with_parts(made), graph.limits))[1].faults)
    return faults

"""From the joint graph to places: every part put where its joins say, and every fault in that told.

Each component of the joint graph stands in its own place: the largest with the lowest corner of its box at
the origin, the others beyond it to the right. A part that is hung with its bottom at a height lifts its
component there (the first, if several are). A part that something leaves free is put with its low sides on
its neighbour's.
"""

from collections import defaultdict
from collections.abc import Iterator
from fractions import Fraction

from planlint.model.directions import Axis, side_of
from planlint.model.join_details import Placing
from planlint.model.plan import Join, Part
from planlint.model.wood_cuts import Scalar, Triple
from planlint.placement.contradictions import RefusedEquation, Solved, box_of, fault_of, held, solved, told_at
from planlint.placement.equation_system import System
from planlint.placement.equations import Equations
from planlint.placement.joint_graph import JointGraph
from planlint.placement.misfit_rings import Loops
from planlint.placement.misturned_parts import misturned
from planlint.placement.open_rings import Misplaced, Open, doubts
from planlint.placement.placement_results import Faults, FreeAxis, Misfit, Placement, Retold
from planlint.placement.ring_closing import Closings

__all__ = ["Placement", "place"]

BETWEEN_COMPONENTS = 12
"""Inches of air between parts of a piece that no join holds together (own judgement: drawn apart, plainly)."""


def place(graph: JointGraph) -> Placement:
    """Solve a plan's joins. Never raises for a plan that contradicts itself or leaves parts free."""
    equations, solution = solved(graph)
    misfits = _misfits(graph, equations, solution)
    rather = told_at(graph, equations, solution, misfits) if misfits else None
    if rather is not None:
        solution = rather
        misfits = _misfits(graph, equations, solution)
    system = solution.system
    groups = system.rigid_groups()
    free: tuple[FreeAxis, ...] = ()
    if len(set(groups)) > len(graph.components):
        free = tuple(_settle(graph, equations, system, groups))
    places = [system.place(number) for number in range(len(graph.parts))]
    _stand(graph, equations, places)
    faults = Faults(misfits, free, tuple(equations.askew))
    number = graph.number
    rings = [
        Open(
            each.axis,
            (number[each.join.part_a.name], number[each.join.part_b.name]),
            (*each.loop, *_made_with(graph, each)),
        )
        for each in misfits
        if len(each.loop)
        > 1  # A join that refutes itself says where its parts lie, and then says it otherwise.
    ]
    kept = held(equations, solution) if rings else []
    turned = {number[fault.turned.part.name] for fault in misfits if fault.turned is not None}
    doubtful = (*doubts(len(graph.parts), kept, rings), *([Misplaced(frozenset(turned))] if turned else ()))
    return Placement(graph, places, equations.scale, groups, faults, doubtful)


def _misfits(graph: JointGraph, equations: Equations, solution: Solved) -> tuple[Misfit, ...]:
    if not solution.refused:
        return ()
    loops = Loops(graph, equations, held(equations, solution), solution.refused)
    closings = Closings(graph, solution.faults, solution.lines)
    faults: defaultdict[tuple[str, Axis | None], list[RefusedEquation]] = defaultdict(list)
    for refusal in solution.refused:
        faults[fault_of(refusal.equation)].append(refusal)
    found = (closings.told(*loops.misfit(refusals)) for refusals in faults.values())
    return tuple(_turned(graph, fault, solution.faults) for fault in found)


def _made_with(graph: JointGraph, fault: Misfit) -> Iterator[Join]:
    """The joins at the ends of what has to be made as much longer with a part of a ring: they move as the ring does."""
    for part in fault.closing.others if fault.closing is not None else ():
        yield from (join for join in graph.joins_of(part) if join.side_of(part).axis is fault.axis)


def _turned(graph: JointGraph, fault: Misfit, faults: int) -> Misfit:
    """A misfit with the part that explains it, unless it is told like the wrong join, or only at one end of another."""
    retold = fault.cause if isinstance(fault.cause, Retold) else None
    if retold is not None and retold.placing is None:
        return fault
    turned = misturned(graph, fault, faults)
    one, other = (retold.join, retold.other) if retold else (fault.join, fault.join)
    if turned and retold and turned.part is not one.part_a and {one.part_a, one.part_b} & {*other.parts}:
        return fault
    if turned and retold:
        fault = fault._replace(cause=None, doubts=())
    return fault._replace(turned=turned)


# ---------------------------------------------------------------- what is free


def _settle(graph: JointGraph, equations: Equations, system: System, groups: list[int]) -> list[FreeAxis]:
    """Tell each direction in which something is free, and put it on its neighbour's low side for now."""
    members: defaultdict[int, list[Part]] = defaultdict(list)
    for part, group in zip(graph.parts, groups, strict=True):
        members[group].append(part)
    askew = {join.name for join, _ in equations.askew}
    free = []
    joins = len(graph.joins)
    for join, (a, b) in (
        (graph.ties[number], graph.ends[number]) for number in graph.weighed if number < joins
    ):
        if groups[a] == groups[b]:
            continue
        if join.name in askew:
            # That its sides do not meet is told already.
            system.take(equations.facing(join, a, b))
        slides = min(members[groups[a]], members[groups[b]], key=len)
        for axis in Axis:
            if axis is join.side_a.axis:
                continue
            words = _words(axis)
            guess = equations.placing(join, Placing(join.span, side=side_of(axis, -1)), a, b)
            if guess is None:
                # The two sides of that name cannot be compared: one part is turned away.
                words = words[-1:]
                guess = equations.placing(join, Placing(join.span, centred=axis), a, b)
            if guess is not None and system.take(guess) is None:
                free.append(FreeAxis(join, tuple(slides), axis, words))
    return free


def _words(axis: Axis) -> tuple[str, ...]:
    """What would fix a join along an axis."""
    low, high = side_of(axis, -1).value, side_of(axis, 1).value
    first, last = (high, low) if axis is Axis.Z else (low, high)
    return f"flush {first}", f"flush {last}", f"centred {axis.words}"


# ---------------------------------------------------------------- where it stands


def _stand(graph: JointGraph, equations: Equations, places: list[Triple]) -> None:
    """Shift each component so that the largest has its lowest corner at the origin, hung ones at their height.

    The other components follow to the right in order of size, so that none overlap.
    """
    members: defaultdict[int, list[int]] = defaultdict(list)
    for number, component in enumerate(graph.component_of):
        members[component].append(number)
    start: Scalar = 0
    for numbers in sorted(members.values(), key=len, reverse=True):
        boxes = [box_of(equations.shapes[number], places[number]) for number in numbers]
        low = [_exact(min(box[axis][0] for box in boxes)) for axis in Axis]
        end = _exact(max(box[Axis.X][1] for box in boxes))
        for number, box in zip(numbers, boxes, strict=True):
            height = graph.parts[number].bottom_height
            if height is not None:
                low[Axis.Z] = _exact(box[Axis.Z][0]) - height * equations.scale
                break
        left, front, bottom = low[0] - start, low[1], low[2]
        for number in numbers:
            x, y, z = places[number]
            places[number] = x - left, y - front, z - bottom
        start += end - low[0] + BETWEEN_COMPONENTS * equations.scale


def _exact(value: Scalar) -> int | Fraction:
    """A float as the fraction it is, so that shifting a piece by it leaves exact places exact."""
    return Fraction(value) if isinstance(value, float) else value

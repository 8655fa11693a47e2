"""Solving a plan that may contradict itself: which equations to let go, as few as can be.

Order of the equations: along the axes first, contacts before the words of placing, then any other direction
join by join. So where a plan contradicts itself it is a flush line that gives way before a contact
does, and what is drawn still holds together. The first pass blames the last equation of each loop; one
wrong equation shared by several loops would be told several times over. So equations that several loops have in
common are tried *last* instead, and that order is kept where fewer joins come out wrong.
"""

from collections import Counter
from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import NamedTuple

from planlint.model.directions import Axis
from planlint.model.plan import Join
from planlint.model.wood_cuts import Scalar, Triple
from planlint.placement.equation_system import System
from planlint.placement.equations import Equation, Equations, PartShape
from planlint.placement.joint_graph import JointGraph
from planlint.placement.misfit_rings import Loops, walked
from planlint.placement.placement_results import DrawerFit, Misfit, Retold, Unlike

_MOST_ROUNDS = 8
"""Times a contradicting plan is solved again in search of a common cause (own judgement: plans rarely have
more than one or two, and each round costs a whole solution)."""
MOST_SUSPECTS = 3
"""Equations tried in a round (own judgement)."""


class RefusedEquation(NamedTuple):
    """An equation that those before it leave no room for; scaled, in lengths of its normal."""

    equation: Equation
    excess: Scalar


class Solved(NamedTuple):
    """The system with every equation that could hold, and those that could not."""

    system: System
    refused: list[RefusedEquation]
    last: frozenset[int]
    """The equations tried after the others of their kind, by identity."""

    @property
    def faults(self) -> int:
        """How many faults a builder would be told."""
        return len({fault_of(refusal.equation) for refusal in self.refused})

    @property
    def lines(self) -> int:
        """At how many lines these stand: turns of a loop have one."""
        joins = ((refusal.equation.join, refusal.equation.axis) for refusal in self.refused)
        return len({(join.span if join.span.end else join.name, axis) for join, axis in joins})


class Tried(NamedTuple):
    """A changed plan, solved."""

    graph: JointGraph
    equations: Equations
    solution: Solved

    @property
    def apart(self) -> int:
        """How many joins lay parts past one another, of those whose parts cannot move against one another."""
        system, number, shapes = self.solution.system, self.graph.number, self.equations.shapes
        groups = system.rigid_groups()

        def past(join: Join) -> bool:
            a, b = (number[part.name] for part in join.parts)
            one, other = (box_of(shapes[each], system.place(each)) for each in (a, b))
            along = (axis for axis in Axis if axis is not join.side_a.axis)
            return groups[a] == groups[b] and any(
                min(one[axis][1], other[axis][1]) <= max(one[axis][0], other[axis][0]) for axis in along
            )

        return sum(map(past, self.graph.joins))


def box_of(shape: PartShape, place: Triple) -> tuple[tuple[Scalar, Scalar], ...]:
    """How far a part's box reaches along each axis, turned."""
    if shape.matrix is None:
        return tuple((low, low + size) for low, size in zip(place, shape.size, strict=True))
    reaches = []
    for low, middle, row in zip(place, shape.middle, shape.matrix, strict=True):
        reach = sum(abs(share) * size for share, size in zip(row, shape.middle, strict=True))
        reaches.append((low + middle - reach, low + middle + reach))
    return tuple(reaches)


def fault_of(equation: Equation) -> tuple[str, Axis | None]:
    """Refused equations of one join along one axis, or in its slanted directions, are one fault."""
    return equation.join.name, equation.axis


def solved(graph: JointGraph) -> tuple[Equations, Solved]:
    """A plan's equations and their solution; where they contradict one another in an order that does not hang on that
    of the plan's lines, so that the same plan is told the same."""
    equations = Equations(graph)
    solution = _pass(graph, equations, frozenset())
    if solution.refused:
        equations = Equations(graph, weighed=True)
        solution = _fewest(graph, equations)
    return equations, solution


def closes(graph: JointGraph) -> bool:
    """Whether no two joins of a plan contradict one another; where some do nothing is searched for."""
    return not _pass(graph, Equations(graph), frozenset()).refused


def _fewest(graph: JointGraph, equations: Equations) -> Solved:
    """Take all equations in, and let as few joins go wrong as a short search can find."""
    last: frozenset[int] = frozenset()
    best = _pass(graph, equations, last)
    for _ in range(_MOST_ROUNDS):
        if len(best.refused) < 2:
            break
        for suspects in _suspects(graph, equations, best):
            tried = _pass(graph, equations, last | suspects)
            if tried.faults < best.faults:
                best, last = tried, last | suspects
                break
        else:
            break
    return _by_the_ring(graph, equations, best) if best.faults == 1 else best


def told_at(
    graph: JointGraph, equations: Equations, solution: Solved, faults: Iterable[Misfit]
) -> Solved | None:
    """A solution in which each fault shows at what is to be changed, where its ring names that; ``None`` where it does
    already, or where more would be at fault."""
    rather = frozenset(id(each) for fault in faults for each in _culprits(equations, fault))
    if rather <= solution.last:
        return None
    tried = _pass(graph, equations, solution.last | rather)
    return tried if tried.lines <= solution.lines else None


def _culprits(equations: Equations, fault: Misfit) -> list[Equation]:
    """What is to give way; with a distance its fellows of the same line of a loop."""
    cause, closing = fault.cause, fault.closing
    words = isinstance(cause, Retold | Unlike) and fault.turned is None
    if fault.turned is not None:
        joins = [join for join in fault.loop if fault.turned.part in join.parts]
    elif cause is not None and not isinstance(cause, DrawerFit):
        joins = [cause.join]
    elif closing is not None and closing.heals:
        joins = [join for join in fault.loop if closing.part in join.parts]
    else:
        joins = []
    names = {join.name for join in joins}
    if fault.join.name in names:
        return []
    found = [each for each in equations if each.join.name in names and each.axis is fault.axis]
    first = min(reversed(found), key=lambda each: (each.placing is not None) is not words, default=None)
    if first is None or not words or first.placing is None:
        return [] if first is None else [first]
    line = first.placing.span
    return [
        first,
        *(each for each in equations if each.placing is not None and line.also_tells(each.placing.span)),
    ]


def _by_the_ring(graph: JointGraph, equations: Equations, solution: Solved) -> Solved:
    """Of the equations of a ring that might give way as well the one whose distance or part has fewest like it, the
    longer part of two: not the one that happens to be told last."""
    loops = Loops(graph, equations, held(equations, solution))
    rather: set[int] = set()
    for equation, _ in solution.refused:
        axis = equation.axis
        if axis is None or equation.join.slides or id(equation) in solution.last:
            continue
        ring = [equation, *loops.way_along(axis, equation)]
        alike = [each for each in ring if (each.placing is None) is (equation.placing is None)]
        oddest = min(alike, key=lambda each: _oddness(graph, each))
        if _oddness(graph, oddest) < _oddness(graph, equation):
            rather.add(id(oddest))
    if not rather:
        return solution
    tried = _pass(graph, equations, solution.last | rather)
    return tried if tried.faults <= solution.faults else solution


def _oddness(graph: JointGraph, equation: Equation) -> tuple[int, int, Fraction]:
    """How many distances are said as an equation's is, and how many parts measure what one of its own does along it."""
    axis, placing = equation.axis, equation.placing
    assert axis is not None
    said = 0
    if placing is not None:
        said = sum(
            (each.centred, each.inset) == (placing.centred, placing.inset)
            for join in graph.ties
            for each in join.placings
            if each.side is None or placing.side is None or each.side.axis is placing.side.axis
        )
    sizes = [graph.parts[number].size[axis] for number in (equation.a, equation.b)]
    alike, longer = min((sum(part.size[axis] == size for part in graph.parts), -size) for size in sizes)
    return said, alike, longer


def _pass(graph: JointGraph, equations: Equations, last: frozenset[int]) -> Solved:
    """One solution; equations whose identities are in ``last`` come after the others of their kind."""
    along_axes, slanted = equations.along_axes, equations.slanted
    if last:
        along_axes = sorted(along_axes, key=lambda equation: id(equation) in last)
        slanted = sorted(slanted, key=lambda equation: id(equation) in last)
    system = System(len(graph.parts))
    refused: list[RefusedEquation] = []
    limit, play = (graph.limits["misfit", name] * equations.scale for name in ("length", "play on pins"))

    def refuses(equation: Equation, excess: Scalar) -> bool:
        loose = excess > 0 and equation.placing is None and equation.join.on_pins
        return abs(float(excess)) > (play if loose else limit) * equation.norm

    for equation in along_axes:
        excess = system.take_axis(equation)
        if excess and refuses(equation, excess):
            refused.append(RefusedEquation(equation, excess))
    for equation in slanted:
        excess = system.take(equation)
        if excess and refuses(equation, excess):
            refused.append(RefusedEquation(equation, excess))
    return Solved(system, refused, last)


def _suspects(graph: JointGraph, equations: Equations, solution: Solved) -> Iterator[frozenset[int]]:
    """Equations to try last, the likeliest first, by identity."""
    loops = Loops(graph, equations, held(equations, solution))
    votes: Counter[tuple[int, Scalar]] = Counter()
    for equation, excess in solution.refused:
        if equation.axis is None:
            continue
        off = excess * equation.sign
        for step, forward in walked(equation.a, loops.way_along(equation.axis, equation)):
            # An equation that is wrong by the same amount in every loop explains them all at once.
            votes[id(step), off if forward else -off] += 1
    for (identity, _), count in votes.most_common(MOST_SUSPECTS):
        if count > 1:
            yield frozenset([identity])
    # A slanted loop stays open in two directions at once: let one join take both.
    names = dict.fromkeys(each.equation.join.name for each in solution.refused if each.equation.axis is None)
    for name in list(names)[: MOST_SUSPECTS if len(names) > 1 else 0]:
        yield frozenset(id(step) for step in equations.slanted if step.join.name == name)


def held(equations: Equations, solution: Solved) -> list[Equation]:
    """The equations that hold."""
    gone = {id(refusal.equation) for refusal in solution.refused}
    return [equation for equation in equations if id(equation) not in gone]

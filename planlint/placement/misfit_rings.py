"""The ring of joins that proves a misfit, and the part in it that would close it."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from math import cos, radians
from operator import itemgetter
from typing import TYPE_CHECKING, TypeVar

from planlint.model.directions import Axis
from planlint.model.plan import Join, Part
from planlint.model.wood_cuts import Scalar
from planlint.placement.elimination import NOTHING, divided
from planlint.placement.equation_system import System
from planlint.placement.equations import Equation, Equations
from planlint.placement.joint_graph import JointGraph
from planlint.placement.placement_results import Closing, Misfit
from planlint.text.rounding import ROUNDING

if TYPE_CHECKING:
    import networkx as nx


_Refused = tuple[Equation, Scalar]
"""An equation and its excess (scaled, in lengths of its normal)."""
MOST_SOLVED_AGAIN = 10_000
"""Joins solved again in search of parts that close slanted loops: half a second (own judgement)."""

MOST_TRUSTED = 200
"""Joins that cannot hold and are trusted all the same when others are told: a tenth of a second (own judgement)."""

Named = TypeVar("Named", Part, Join)
_Item = TypeVar("_Item")


class Loops:
    """Finds loops among the equations that hold. Only a plan with a misfit needs one, and networkx with it."""

    def __init__(
        self,
        graph: JointGraph,
        equations: Equations,
        held: list[Equation],
        refused: Sequence[_Refused] = (),
    ) -> None:
        self._graph = graph
        self._equations = equations
        self._held = held
        self._refused = refused
        self._may_solve = MOST_SOLVED_AGAIN

    def misfit(self, refusals: Sequence[_Refused]) -> tuple[Misfit, list[Closing]]:
        """One fault: equations of one join, along one axis or all slanted; and what would close its loop. The
        largest excess is told; what closes the loop must close them all."""
        equation, excess = max(refusals, key=lambda refusal: abs(float(refusal[1])) / refusal[0].norm)
        join, axis = equation.join, equation.axis
        way = [] if axis is None else self.way_along(axis, equation)
        if axis is not None:
            way, excess = self._as_said(axis, equation) or (way, excess)
        norm = equation.norm if axis is None else 1.0
        scale = self._equations.scale
        amount = excess / (norm * scale) if axis is None else divided(excess, scale)
        x, y, z = (float(share) / norm for share in equation.normal)
        if way and axis is not None:
            closing = list(self._closing_along(axis, equation, way, amount))
            if any(part.turn for step in (equation, *way) for part in step.join.parts):
                # What lies aslant is of no round length, and so first to be wrong.
                aslant = [each for each in self._closing(join, way) if each.part.turn or not closing]
                closing = [*aslant, *closing]
        else:
            way = self._way_round(equation)
            closing = [*self._closing(join, way), *_along_a_mitre(join, way, float(amount))]
        stations = _stations(equation.a, way) if way else [equation.a, equation.b]
        loop = _once([join, *(step.join for step in reversed(way))])
        loop_parts = tuple(self._graph.parts[number] for number in reversed(stations))
        fault = Misfit(join, equation.placing, axis, (x, y, z), _plain(amount), loop, loop_parts)
        return fault, [each._replace(by=_plain(each.by)) for each in closing]

    # ------------------------------------------------------------ the way round

    @cached_property
    def _networks(self) -> dict[Axis, nx.Graph[int]]:
        return {axis: _network(step for step in self._held if step.axis is axis) for axis in Axis}

    def way_along(self, axis: Axis, equation: Equation) -> list[Equation]:
        """The fewest equations along an axis that lead from A to B; none if there is no way."""
        return self._way(self._networks[axis], equation)

    def _as_said(self, axis: Axis, equation: Equation) -> tuple[list[Equation], Scalar] | None:
        """A shorter way that trusts the other joins that cannot hold, and by how much it leaves the ring open.

        Of three rails in a row that are each too long the second ring else counts what the first has told.
        """
        import networkx as nx  # noqa: PLC0415

        if not 1 < len(self._refused) <= MOST_TRUSTED:
            return None
        network, ends = self._said[axis], (equation.a, equation.b)
        own = network.edges[ends] if network.has_edge(*ends) else None
        if own is not None and own["equation"] is equation:
            network.remove_edge(*ends)
        else:
            own = None
        try:
            stations = nx.bidirectional_dijkstra(network, *ends, weight="cost")[1]
        except (nx.NetworkXNoPath, nx.NodeNotFound):
            return None
        finally:
            if own is not None:
                network.add_edge(*ends, **own)
        way = [network.edges[edge]["equation"] for edge in pairwise(stations)]
        left = _left_open(equation, way)
        least = self._graph.limits["misfit", "length"] * self._equations.scale
        return (way, left) if abs(float(left)) > least else None

    @cached_property
    def _said(self) -> dict[Axis, nx.Graph[int]]:
        """The networks with the joins that cannot hold; of two ways as short the one that holds comes first."""
        networks = {axis: self._networks[axis].copy() for axis in Axis}
        for each, network in networks.items():
            for _, _, edge in network.edges(data=True):
                edge["cost"] = 1.0
            for step, _ in self._refused:
                if step.axis is each and not network.has_edge(step.a, step.b):
                    network.add_edge(step.a, step.b, equation=step, cost=1 + 1 / len(self._graph.parts))
        return networks

    def _way_round(self, equation: Equation) -> list[Equation]:
        """For any direction: the fewest other joins that lead from A to B; none if the join refutes itself."""
        join = equation.join
        alone = _excesses(self._graph, join.parts, [join], join, {id(equation.placing)})
        if any(excess is not None for excess in alone):
            return []
        return self._way(_network(step for step in self._held if step.join is not join), equation)

    @staticmethod
    def _way(network: nx.Graph[int], equation: Equation) -> list[Equation]:
        import networkx as nx  # noqa: PLC0415

        try:
            stations = nx.shortest_path(network, equation.a, equation.b)
        except (nx.NetworkXNoPath, nx.NodeNotFound):
            return []
        return [network.edges[edge]["equation"] for edge in pairwise(stations)]

    # ------------------------------------------------------------ what would close it

    def _closing_along(
        self, axis: Axis, equation: Equation, way: list[Equation], amount: Scalar
    ) -> Iterator[Closing]:
        """The loop leads in at one end of a part and out at the other: its length counts in the sum; so does the width
        of sheet material, across it."""
        excess = amount if equation.sign > 0 else -amount
        stations = _stations(equation.a, way)
        steps = [equation, *way, equation]
        counts = []
        for number, (into, out) in zip(stations, pairwise(steps), strict=True):
            counts.append((number, _reach(out, number) - _reach(into, number)))
        # The two parts of the join itself come first: that is where a builder looks.
        for number, count in _nearest_first(counts):
            part = self._graph.parts[number]
            wide = part.across is axis and part.stock.width != part.width
            if count and (wide or part.grain is axis) and part.turn is None:
                # From its middle, where it is centred, only half of it counts.
                change = excess * -2 / count if isinstance(excess, float) else Fraction(-2, count) * excess
                found = Closing(part, change, wide)
                if found.now + change > 0:
                    yield found

    def _closing(self, join: Join, way: list[Equation]) -> list[Closing]:
        """For any direction: lengthen each part of the loop by an inch, and see what that does to the sums.

        One change must close all that the join asks for. The part that closes best comes first, and among equals the
        one nearest the join.
        """
        joins = _once([join, *(step.join for step in way)])
        stations = _stations(self._graph.number[join.part_a.name], way) if way else []
        parts = _once([*(self._graph.parts[number] for number in _nearest_first(stations)), *join.parts])
        words = {id(None), *(id(placing) for placing in join.placings)}
        before = _excesses(self._graph, parts, joins, join, words)
        found: list[tuple[int, Closing]] = []
        least = self._graph.limits["misfit", "length"]
        for part in parts:
            self._may_solve -= len(joins)
            if self._may_solve < 0 or least < ROUNDING:
                break
            longer = replace(part, length=part.length + 1)
            changed = [longer if other is part else other for other in parts]
            after = _excesses(
                self._graph, changed, [_with(each, part, longer) for each in joins], join, words
            )
            effects = [
                (early, late - early)
                for early, late in zip(before, after, strict=True)
                if early is not None and late is not None
            ]
            weight = sum(effect * effect for _, effect in effects)
            if weight < NOTHING:
                continue
            change = -sum(early * effect for early, effect in effects) / weight
            left = max(abs(early + change * effect) for early, effect in effects)
            if left < least - ROUNDING and abs(change) > least and float(part.length) + change > 0:
                found.append((round(left / ROUNDING), Closing(part, change)))
        return [closing for _, closing in sorted(found, key=itemgetter(0))]


def _along_a_mitre(join: Join, way: Sequence[Equation], amount: float) -> Iterator[Closing]:
    """Each part of a ring made longer or shorter, a sheet wider or narrower too, by what is open square to a mitre."""
    slants = [cut.angle for part, side in join.sides if part.turn is None and (cut := part.cut_at(side))]
    parts = _once([*join.parts, *(part for step in way for part in step.join.parts)])
    for part in parts if len(slants) == 2 else ():
        by = Fraction(round(amount / cos(radians(float(slants[0]))) * 256), 256)
        ways = (Closing(part, each, wide) for wide in (False, True) for each in (by, -by))
        yield from (e for e in ways if e.now + e.by > 0 and not (e.wide and part.stock.width == part.width))


def _network(steps: Iterable[Equation]) -> nx.Graph[int]:
    import networkx as nx  # noqa: PLC0415

    network: nx.Graph[int] = nx.Graph()
    for step in steps:
        if not network.has_edge(step.a, step.b):
            network.add_edge(step.a, step.b, equation=step)
    return network


def _stations(start: int, way: list[Equation]) -> list[int]:
    """The parts a way leads through, first and last included."""
    return [start, *(step.b if forward else step.a for step, forward in walked(start, way))]


def walked(start: int, way: Iterable[Equation]) -> Iterator[tuple[Equation, bool]]:
    """Each step of a way from a part, with whether it leads from its A to its B."""
    number = start
    for step in way:
        forward = step.a == number
        number = step.b if forward else step.a
        yield step, forward


def _left_open(equation: Equation, way: list[Equation]) -> Scalar:
    """By how much more than an equation asks a way leads from A to B, along its normal."""
    reached = sum(step.value if forward else -step.value for step, forward in walked(equation.a, way))
    return (reached - equation.value) * equation.sign


def _reach(equation: Equation, number: int) -> int:
    """Where on a part that is not turned an equation takes hold: -1 its low side, 1 its high side, 0 its middle."""
    if equation.placing is not None:
        return 0 if equation.placing.side is None else equation.placing.side.sign
    side = equation.join.side_a if number == equation.a else equation.join.side_b
    return side.sign


def _excesses(
    graph: JointGraph, parts: Sequence[Part], joins: Sequence[Join], join: Join, words: Container[int]
) -> list[float | None]:
    """By how much equations of one join fail among those of a few ties: inches, square to their planes.

    ``words`` are the identities of its placings in question (``None`` being the contact's). Where nothing else
    settles an equation the amount is ``None``.
    """
    equations = Equations(
        JointGraph(replace(graph.plan, parts=tuple(parts), joins=tuple(joins), spacings=()), graph.limits)
    )
    system = System(len(parts))
    found = []
    for equation in equations:
        if equation.join.name == join.name and id(equation.placing) in words:
            found.append(equation)
        elif equation.axis is None:
            system.take(equation)
        else:
            system.take_axis(equation)
    excesses = [(system.take(equation), equation.norm * equations.scale) for equation in found]
    return [None if excess is None else float(excess) / size for excess, size in excesses]


def _nearest_first(items: Sequence[_Item]) -> Iterator[_Item]:
    """The first, the last, the second, the last but one: along a loop, from its open joint inward."""
    for number in range(len(items)):
        yield items[number // 2 if number % 2 == 0 else -1 - number // 2]


def _once(items: Iterable[Named]) -> tuple[Named, ...]:
    """Parts or joins in order, each name once."""
    return tuple({item.name: item for item in items}.values())


def _with(join: Join, part: Part, other: Part) -> Join:
    """A join with one part in place of another."""
    return replace(
        join,
        part_a=other if join.part_a is part else join.part_a,
        part_b=other if join.part_b is part else join.part_b,
    )


def _plain(value: Scalar) -> Fraction | float:
    return Fraction(value) if isinstance(value, int) else value

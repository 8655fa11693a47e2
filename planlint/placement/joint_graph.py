"""The joint graph: parts are its nodes, joins its edges."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from planlint.model.join_details import Placing
from planlint.model.plan import Join, Part, Plan
from planlint.rulebook.limits import Limits

if TYPE_CHECKING:
    import networkx as nx

_Item = TypeVar("_Item", bound=Hashable)


def leaders_of(items: Iterable[_Item], ties: Iterable[tuple[_Item, _Item]]) -> dict[_Item, _Item]:
    """For each item the first, in their order, of all that ties hold together with it.

    The one search for what hangs together that is not left to networkx: each inspection asks it some dozen times, and
    importing networkx takes longer than inspecting a plan.
    """
    leader = {item: item for item in items}

    def found(item: _Item) -> _Item:
        while leader[item] != item:
            leader[item] = item = leader[leader[item]]
        return item

    for one, other in ties:
        leader[found(other)] = found(one)
    first: dict[_Item, _Item] = {}
    return {item: first.setdefault(found(item), item) for item in leader}


def groups_of(items: Iterable[_Item], ties: Iterable[tuple[_Item, _Item]]) -> list[list[_Item]]:
    """The items by what ties hold together, in their order."""
    groups: defaultdict[_Item, list[_Item]] = defaultdict(list)
    for item, leader in leaders_of(items, ties).items():
        groups[leader].append(item)
    return list(groups.values())


def said_in_order(placing: Placing) -> tuple[bool, str, Fraction, int]:
    """By what the words of a join are put in an order that is not that of its lines."""
    side = placing.side
    return side is None, "" if side is None else side.value, placing.inset, placing.axis


class JointGraph:
    """Which parts a plan's joins hold together. Everything is found on first use; nothing is ever changed."""

    def __init__(self, plan: Plan, limits: Limits) -> None:
        self.limits = limits
        self.plan = plan
        self.parts = plan.parts
        self.joins = plan.joins
        self.ties = (*plan.joins, *plan.spacings)
        """All that places parts by one another: joins, and after them what holds nothing."""

    @cached_property
    def number(self) -> dict[str, int]:
        """Where each part stands in ``parts``."""
        return {part.name: number for number, part in enumerate(self.parts)}

    @cached_property
    def ends(self) -> list[tuple[int, int]]:
        """For each of the ties the numbers of its two parts."""
        number = self.number
        return [(number[join.part_a.name], number[join.part_b.name]) for join in self.ties]

    @cached_property
    def weighed(self) -> list[int]:
        """The ties in an order of what they join, whatever the order of the plan's lines: large parts first, which
        small ones are fitted to, and joins of which more is said. Names decide between those alike in all else."""

        def told(number: int) -> tuple[object, ...]:
            tie = self.ties[number]
            smaller, larger = sorted([-part.length, -part.width, -part.thickness] for part in tie.parts)[::-1]
            # Axes, not sides: the mirror image of a piece is told alike.
            words = sorted((each.side is None, each.axis, each.inset) for each in tie.placings)
            sides = [side.axis for side in (tie.side_a, tie.side_b)]
            return smaller, larger, -len(words), sides, words, [part.name for part in tie.parts], tie.name

        return sorted(range(len(self.ties)), key=told)

    @cached_property
    def _joins_of(self) -> dict[str, tuple[Join, ...]]:
        found: defaultdict[str, list[Join]] = defaultdict(list)
        for join in self.joins:
            found[join.part_a.name].append(join)
            if join.part_b.name != join.part_a.name:
                found[join.part_b.name].append(join)
        return {name: tuple(joins) for name, joins in found.items()}

    def joins_of(self, part: Part) -> tuple[Join, ...]:
        """The joins a part takes part in, in the order of the plan."""
        return self._joins_of.get(part.name, ())

    def neighbours(self, part: Part) -> tuple[Part, ...]:
        """The parts it is joined to, each once, in the order of its joins."""
        found: dict[str, Part] = {}
        for join in self.joins_of(part):
            other = join.part_b if join.part_a.name == part.name else join.part_a
            if other.name != part.name:
                found.setdefault(other.name, other)
        return tuple(found.values())

    def held_with(self, part: Part, holds: Callable[[Join], bool]) -> tuple[Part, ...]:
        """A part and all that joins which ``holds`` says yes to hold together with it, in the order of the plan."""
        ends = (ends for join, ends in zip(self.joins, self.ends, strict=False) if holds(join))
        leaders = leaders_of(range(len(self.parts)), ends)
        mine = leaders[self.number[part.name]]
        return tuple(each for number, each in enumerate(self.parts) if leaders[number] == mine)

    @cached_property
    def component_of(self) -> list[int]:
        """For each part the number of its component in ``components``."""
        leaders = leaders_of(range(len(self.parts)), self.ends)
        numbers = {leader: number for number, leader in enumerate(dict.fromkeys(leaders.values()))}
        return [numbers[leader] for leader in leaders.values()]

    @cached_property
    def components(self) -> tuple[tuple[Part, ...], ...]:
        """The groups of parts that joins hold together, in the order of the plan."""
        groups: defaultdict[int, list[Part]] = defaultdict(list)
        for part, component in zip(self.parts, self.component_of, strict=True):
            groups[component].append(part)
        return tuple(tuple(groups[number]) for number in sorted(groups))

    @cached_property
    def unjoined(self) -> tuple[Part, ...]:
        """Parts that no join mentions; none where the plan is a single part."""
        if len(self.parts) < 2:
            return ()
        joined = {number for a, b in self.ends[: len(self.joins)] if a != b for number in (a, b)}
        return tuple(part for number, part in enumerate(self.parts) if number not in joined)

    @cached_property
    def network(self) -> nx.MultiGraph[str]:
        """The same as a networkx graph: nodes are part names, edge keys join names, edge data ``join``."""
        # Imported only where a question needs it: a sound plan must not wait 60 ms for it.
        import networkx as nx  # noqa: PLC0415

        network: nx.MultiGraph[str] = nx.MultiGraph()
        network.add_nodes_from(part.name for part in self.parts)
        for join in self.ties:
            network.add_edge(join.part_a.name, join.part_b.name, key=join.name, join=join)
        return network

"""The joint graph: parts are its nodes, joins its edges."""

from __future__ import annotations

from collections import defaultdict
from functools import cached_property
from typing import TYPE_CHECKING

from planlint.model.plan import Join, Part, Plan
from planlint.rulebook.limits import Limits

if TYPE_CHECKING:
    import networkx as nx


class JointGraph:
    """Which parts a plan's joins hold together. Everything is found on first use; nothing is ever changed."""

    def __init__(self, plan: Plan, limits: Limits) -> None:
        self.limits = limits
        self.plan = plan
        self.parts = plan.parts
        self.joins = plan.joins

    @cached_property
    def number(self) -> dict[str, int]:
        """Where each part stands in ``parts``."""
        return {part.name: number for number, part in enumerate(self.parts)}

    @cached_property
    def ends(self) -> list[tuple[int, int]]:
        """For each join the numbers of its two parts."""
        number = self.number
        return [(number[join.part_a.name], number[join.part_b.name]) for join in self.joins]

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

    @cached_property
    def component_of(self) -> list[int]:
        """For each part the number of its component in ``components``."""
        near: list[list[int]] = [[] for _ in self.parts]
        for a, b in self.ends:
            near[a].append(b)
            near[b].append(a)
        component = [-1] * len(self.parts)
        count = 0
        for start in range(len(component)):
            if component[start] >= 0:
                continue
            component[start] = count
            waiting = [start]
            while waiting:
                for other in near[waiting.pop()]:
                    if component[other] < 0:
                        component[other] = count
                        waiting.append(other)
            count += 1
        return component

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
        joined = {number for a, b in self.ends if a != b for number in (a, b)}
        return tuple(part for number, part in enumerate(self.parts) if number not in joined)

    @cached_property
    def network(self) -> nx.MultiGraph[str]:
        """The same as a networkx graph: nodes are part names, edge keys join names, edge data ``join``."""
        # Imported only where a question needs it: a sound plan must not wait 60 ms for it.
        import networkx as nx  # noqa: PLC0415

        network: nx.MultiGraph[str] = nx.MultiGraph()
        network.add_nodes_from(part.name for part in self.parts)
        for join in self.joins:
            network.add_edge(join.part_a.name, join.part_b.name, key=join.name, join=join)
        return network

"""In what order a piece can be put together, found backwards from the finished piece.

In a set of parts that hang together, a joint is *free* if no part of the set stands in the way of its screws. Take
all free joints apart: what still hangs together are the sub-assemblies of the last step. Do the same inside each.
Leaving parts away can only free joints, so if any order exists this finds one; a set that stays whole has none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from planlint.model.plan import Join, Part

Blocking = Callable[[Join], frozenset[int]]
"""The indices of the parts in the way of a join's screws; empty for a join that no screw holds."""


@dataclass(frozen=True)
class Assembly:
    """A set of parts that hang together; ``steps`` are the smaller sets it is made of and ``joins`` those made to
    join them, both empty for a single part. ``stuck`` tells a set that no order can put together."""

    parts: tuple[Part, ...]
    steps: tuple[Assembly, ...] = ()
    joins: tuple[Join, ...] = ()
    stuck: bool = False

    def stuck_sets(self) -> list[Assembly]:
        """All sets inside this one that no order can put together."""
        found, waiting = [], [self]
        while waiting:
            here = waiting.pop()
            if here.stuck:
                found.append(here)
            waiting += here.steps
        return found


def build_order(parts: Sequence[Part], joins: Sequence[Join], blocking: Blocking) -> list[Assembly]:
    """One tree of assemblies for each set of parts that hang together."""
    return [_take_apart(group, inner, blocking) for group, inner in _hanging_together(parts, joins, joins)]


def _take_apart(parts: Sequence[Part], joins: Sequence[Join], blocking: Blocking) -> Assembly:
    if len(parts) == 1:
        return Assembly(tuple(parts))
    present = {part.index for part in parts}
    fast = [join for join in joins if not blocking(join).isdisjoint(present)]
    groups = _hanging_together(parts, fast, joins)
    if len(groups) == 1:
        return Assembly(tuple(parts), joins=tuple(fast), stuck=True)
    inside = {join.index for _, inner in groups for join in inner}
    return Assembly(
        tuple(parts),
        tuple(_take_apart(group, inner, blocking) for group, inner in groups),
        tuple(join for join in joins if join.index not in inside),
    )


def _hanging_together(
    parts: Sequence[Part], ties: Iterable[Join], joins: Sequence[Join]
) -> list[tuple[list[Part], list[Join]]]:
    """The sets of parts that ``ties`` hold together, each with those of ``joins`` that lie inside it."""
    root = {part.index: part.index for part in parts}

    def find(i: int) -> int:
        while root[i] != i:
            root[i] = root[root[i]]
            i = root[i]
        return i

    for tie in ties:
        root[find(tie.part_a.index)] = find(tie.part_b.index)
    groups: dict[int, tuple[list[Part], list[Join]]] = {}
    for part in parts:
        groups.setdefault(find(part.index), ([], []))[0].append(part)
    for join in joins:
        home = find(join.part_a.index)
        if home == find(join.part_b.index):
            groups[home][1].append(join)
    return list(groups.values())

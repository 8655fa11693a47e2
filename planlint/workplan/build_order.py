"""In what order a piece can be put together, found backwards from the finished piece.

In a set of parts that hang together, a joint is *free* if no part of the set stands in the way of its screws. Take
all free joints apart: what still hangs together are the sub-assemblies of the last step. Do the same inside each.
Leaving parts away can only free joints, so if any order exists this finds one; a set that stays whole has none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.model.plan import Join, Part
from planlint.placement.joint_graph import leaders_of
from planlint.workplan.set_ups import Ways, reached, set_ups

Access = Callable[[Join], Ways]
"""How the screws of a join can be reached; nothing for a join that no screw holds."""


@dataclass(frozen=True)
class Assembly:
    """A set of parts that hang together; ``steps`` are the smaller sets it is made of and ``joins`` those made to
    join them, both empty for a single part. ``stuck`` tells a set that no order can put together: its ``joins`` are
    those that its own parts block."""

    parts: tuple[Part, ...]
    steps: tuple[Assembly, ...] = ()
    joins: tuple[Join, ...] = ()
    stuck: bool = False

    def stuck_sets(self) -> list[Assembly]:
        """All sets inside this one that no order can put together, in the order of their first parts."""
        found, waiting = [], [self]
        while waiting:
            here = waiting.pop()
            if here.stuck:
                found.append(here)
            waiting += here.steps
        return sorted(found, key=lambda each: each.parts[0].index)


@of_piece
def assemblies(piece: Piece) -> tuple[Assembly, ...]:
    """One tree for each set of parts that joins hold together, made with the usual bit and driver."""
    parts, joins, reach = piece.plan.parts, piece.plan.joins, set_ups(piece)
    found = build_order(parts, joins, reach.straight)
    if any(tree.stuck_sets() for tree in found):
        found = build_order(parts, joins, reach.usual)
    return tuple(found)


class _Set(NamedTuple):
    parts: list[Part]
    joins: list[Join]


def build_order(parts: Sequence[Part], joins: Sequence[Join], access: Access) -> list[Assembly]:
    """One tree of assemblies for each set of parts that hang together.

    Sets are taken apart one after the other, never one inside the other: a piece may be as deep as it has parts.
    """
    ways = {join.index: access(join) for join in joins}
    sets = _hanging_together(parts, joins, joins)
    roots = len(sets)
    made_of: list[range] = []
    blocked: list[list[Join] | None] = []
    for here in sets:  # The list grows while it is walked: the sets inside each come behind it.
        made_of.append(range(0))
        blocked.append(None)
        if len(here.parts) == 1:
            continue
        present = {part.index for part in here.parts}
        fast = [join for join in here.joins if ways[join.index] and not reached(ways[join.index], present)]
        inside = _hanging_together(here.parts, fast, here.joins)
        if len(inside) == 1:
            blocked[-1] = fast
        else:
            made_of[-1] = range(len(sets), len(sets) + len(inside))
            sets += inside
    done: dict[int, Assembly] = {}
    for number in range(len(sets) - 1, -1, -1):
        here, stuck = sets[number], blocked[number]
        if stuck is not None:
            done[number] = Assembly(tuple(here.parts), (), tuple(stuck), stuck=True)
            continue
        within = {join.index for each in made_of[number] for join in sets[each].joins}
        made = tuple(join for join in here.joins if join.index not in within)
        done[number] = Assembly(tuple(here.parts), tuple(done.pop(each) for each in made_of[number]), made)
    return [done[number] for number in range(roots)]


def least_stuck(stuck: Assembly, joins: Sequence[Join], access: Access, most: int = 40) -> Assembly:
    """The same fault in fewer parts: parts are left away one by one while a set inside stays stuck.

    Sets of more than ``most`` parts are given back as they are: trying each part costs the square of them.
    """
    here = stuck
    while len(here.parts) <= most:
        smaller = next((found for part in here.parts for found in _without(here, part, joins, access)), None)
        if smaller is None:
            break
        here = smaller
    return here


def _without(here: Assembly, part: Part, joins: Sequence[Join], access: Access) -> list[Assembly]:
    """What is still stuck in a set once one part is left away."""
    rest = [each for each in here.parts if each is not part]
    kept = {each.index for each in rest}
    inner = [join for join in joins if join.part_a.index in kept and join.part_b.index in kept]
    return [found for tree in build_order(rest, inner, access) for found in tree.stuck_sets()]


def _hanging_together(parts: Sequence[Part], ties: Iterable[Join], joins: Sequence[Join]) -> list[_Set]:
    """The sets of parts that ``ties`` hold together, each with those of ``joins`` that lie inside it."""
    home = leaders_of((part.index for part in parts), ((tie.part_a.index, tie.part_b.index) for tie in ties))
    groups: dict[int, _Set] = {}
    for part in parts:
        groups.setdefault(home[part.index], _Set([], [])).parts.append(part)
    for join in joins:
        at = home[join.part_a.index]
        if at == home[join.part_b.index]:
            groups[at].joins.append(join)
    return list(groups.values())

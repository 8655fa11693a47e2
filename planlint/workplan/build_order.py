"""Whether drivers let a piece be put together in any order, found backwards from the finished piece.

In a set of parts that hang together, a joint is *free* if no part of the set stands in the way of its screws. Take
all free joints apart: what still hangs together are the sub-assemblies of the last step. Do the same inside each.
Leaving parts away can only free joints, so if any order exists this finds one; a set that stays whole has none.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.model.plan import Join, Part
from planlint.placement.joint_graph import leaders_of
from planlint.workplan.set_ups import Ways, reached, set_ups

Access = Callable[[Join], Ways]
"""How the screws of a join can be reached; nothing for a join that no screw holds."""


class Stuck(NamedTuple):
    """A set of parts that no order puts together, and those of its joints that its own parts block."""

    parts: tuple[Part, ...]
    joins: tuple[Join, ...]


@of_piece
def knots(piece: Piece) -> tuple[Stuck, ...]:
    """The sets of parts that no order puts together with the usual bit and driver."""
    parts, joins, reach = piece.plan.parts, piece.plan.joins, set_ups(piece)
    found = stuck_sets(parts, joins, reach.straight)
    return tuple(found and stuck_sets(parts, joins, reach.usual))


class _Set(NamedTuple):
    parts: list[Part]
    joins: list[Join]


def stuck_sets(parts: Sequence[Part], joins: Sequence[Join], access: Access) -> list[Stuck]:
    """The sets of some parts that no order puts together, in the order of their first parts."""
    ways = {join.index: access(join) for join in joins}
    found: list[Stuck] = []
    waiting = _hanging_together(parts, joins, joins)
    while waiting:
        here = waiting.pop()
        if len(here.parts) == 1:
            continue
        present = {part.index for part in here.parts}
        fast = [join for join in here.joins if ways[join.index] and not reached(ways[join.index], present)]
        inside = _hanging_together(here.parts, fast, here.joins)
        if len(inside) == 1:
            found.append(Stuck(tuple(here.parts), tuple(fast)))
        else:
            waiting += inside
    return sorted(found, key=lambda each: each.parts[0].index)


def least_stuck(stuck: Stuck, joins: Sequence[Join], access: Access, most: int = 40) -> Stuck:
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


def _without(here: Stuck, part: Part, joins: Sequence[Join], access: Access) -> list[Stuck]:
    """What is still stuck in a set once one part is left away."""
    rest = [each for each in here.parts if each is not part]
    kept = {each.index for each in rest}
    inner = [join for join in joins if join.part_a.index in kept and join.part_b.index in kept]
    return stuck_sets(rest, inner, access)


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

"""What a ring of joins that does not close leaves in doubt.

Two parts on a ring lie otherwise to one another by the one way round than by the other, and nobody knows which way is
meant. Not in doubt are two parts whose own joins say how they lie, for those words stand whatever closes the ring; and
parts that hang together by other joins than those of the ring. A join like one of the ring is no such witness: of
seven floor boards that are all too long one lies in the ring that is told.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from planlint.model.directions import Axis
from planlint.model.like_parts import pattern
from planlint.model.plan import Join
from planlint.placement.equations import Equation
from planlint.placement.joint_graph import leaders_of

_WHOLE = 3
"""Equations between two parts that settle all of how they lie to one another: one for each direction (geometry)."""


class Open(NamedTuple):
    """A ring that stays open: the axis along which, the two parts whose join cannot hold, and all its joins."""

    axis: Axis | None
    ends: tuple[int, int]
    loop: tuple[Join, ...]


class Doubt:
    """The rings that stay open along one axis (``None``: in slanted directions), taken together."""

    def __init__(
        self, count: int, held: Sequence[Equation], axis: Axis | None, rings: Sequence[Open]
    ) -> None:
        self._refused = {frozenset(each.ends) for each in rings}
        many = Counter(frozenset((step.a, step.b)) for step in held)
        self._tied = {pair for pair, equations in many.items() if equations >= _WHOLE}
        self._tied.update(frozenset((step.a, step.b)) for step in held if axis is step.axis is not None)
        loops = {_like(join) for each in rings for join in each.loop}
        along = [step for step in held if axis is None or step.axis in {axis, None}]
        self._group = leaders_of(
            range(count), ((step.a, step.b) for step in along if _like(step.join) not in loops)
        )

    def spares(self, a: int, b: int) -> bool:
        """Whether two parts lie the same to one another whichever way the rings are closed."""
        pair = frozenset((a, b))
        return pair not in self._refused and (self._group[a] == self._group[b] or pair in self._tied)


class Misplaced(NamedTuple):
    """Parts that face another way than is meant: nothing of how they lie to others can be trusted."""

    parts: frozenset[int]

    def spares(self, a: int, b: int) -> bool:
        return a not in self.parts and b not in self.parts


def _like(join: Join) -> tuple[object, ...]:
    """What joins that are repeated have in common: parts of one pattern, and the sides that meet."""
    return *(pattern(part) for part in join.parts), join.side_a, join.side_b


def doubts(count: int, held: Sequence[Equation], rings: Iterable[Open]) -> tuple[Doubt, ...]:
    """One for each axis along which rings of a plan with ``count`` parts stay open."""
    by_axis: defaultdict[Axis | None, list[Open]] = defaultdict(list)
    for each in rings:
        by_axis[each.axis].append(each)
    return tuple(Doubt(count, held, axis, found) for axis, found in by_axis.items())

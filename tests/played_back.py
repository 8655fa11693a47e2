"""The order of work played back step by step: every joint once, each unit made before it is used, a way in for each."""

from __future__ import annotations

from collections.abc import Sequence

from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import scaled
from planlint.workplan.blocking_graph import Move, motions
from planlint.workplan.set_ups import reached, set_ups
from planlint.workplan.step_data import Step


def check(p: Piece, steps: Sequence[Step]) -> None:
    """Played back: each joint is told once, what meets was made before, comes in past the wood that is there, and can
    be driven then."""
    told = [work.join.index for step in steps for each in step.each() for work in each.work]
    assert sorted(told) == [join.index for join in p.plan.joins if join.part_a is not join.part_b]
    whole: dict[int, frozenset[int]] = {part.index: frozenset((part.index,)) for part in p.plan.parts}
    for number, step in enumerate(steps, 1):
        assert step.number == number
        for each in step.each():
            assert each.number == number
            together = frozenset(part.index for part in each.made)
            if not each.stuck:
                replayed(p, each, whole)
            for index in together:
                whole[index] = together


def replayed(p: Piece, step: Step, whole: dict[int, frozenset[int]]) -> None:
    units = [frozenset(part.index for part in unit.parts) for unit in (*step.standing, *step.added)]
    assert all(whole[min(unit)] == unit for unit in units)
    assert frozenset().union(*units) == frozenset(part.index for part in step.made)
    inside = [unit for unit in units if len(unit) > 1]
    for work in step.work:
        ends = {part.index for part in work.join.parts}
        assert not any(ends <= unit for unit in inside)
    present = frozenset().union(*units[: len(step.standing)])
    for unit in units[len(step.standing) :]:
        present |= unit
        for work in step.work:
            if {part.index for part in work.join.parts} <= present:
                assert reached(set_ups(p).every(work.join), present)
        if step.way is not None and step.way.first is None and step.help is None:
            leaves = Move(scaled(step.way.last, -1.0))
            assert all(motions(p).stopped_by(i, leaves).isdisjoint(present - unit) for i in unit)

"""The backwards search against every way to put small pieces together, and deep pieces without end."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planlint.model.plan import Join, Part
from planlint.workplan.build_order import Stuck, least_stuck, stuck_sets
from planlint.workplan.set_ups import Ways, once
from tests.builders import Builder, part


class Puzzle:
    """Parts numbered from 0, joins between them, and for each join the parts in its way."""

    def __init__(self, count: int, ties: list[tuple[int, int]], blocked_by: list[set[int]]) -> None:
        built = Builder(part(f"p{number}", "9 x 3 x 3/4", "crosswise up") for number in range(count))
        for a, b in ties:
            built.join(f"p{a}.left to p{b}.right")
        self.parts: tuple[Part, ...] = tuple(built.parts.values())
        self.joins: tuple[Join, ...] = tuple(built.joins)
        self.ties = ties
        self.blocked_by = [frozenset(each) - set(tie) for each, tie in zip(blocked_by, ties, strict=True)]

    def access(self, join: Join) -> Ways:
        return once(self.blocked_by[join.index])

    def stuck(self) -> list[Stuck]:
        return stuck_sets(self.parts, self.joins, self.access)


@st.composite
def puzzles(draw: st.DrawFn) -> Puzzle:
    count = draw(st.integers(1, 7))
    numbers = st.integers(0, count - 1)
    pairs = list(combinations(range(count), 2))
    ties = draw(st.lists(st.sampled_from(pairs), max_size=12)) if pairs else []
    blocked = [draw(st.sets(numbers, max_size=3)) for _ in ties]
    return Puzzle(count, ties, blocked)


def connected(inside: frozenset[int], ties: list[tuple[int, int]]) -> bool:
    reached = {min(inside)}
    while True:
        more = {b for a, b in ties if a in reached and b in inside} | {
            a for a, b in ties if b in reached and a in inside
        }
        if more <= reached:
            return len(reached) == len(inside)
        reached |= more


def can_be_built(inside: frozenset[int], puzzle: Puzzle, known: dict[frozenset[int], bool]) -> bool:
    """Whether any way to put two smaller assemblies together, over and over, makes these parts into one.

    All splits are tried: both halves must hang together and be built themselves, and every joint between them
    must be clear of all parts that are then there.
    """
    if inside not in known:
        known[inside] = len(inside) == 1 or any(
            all(
                puzzle.blocked_by[i].isdisjoint(inside)
                for i, (a, b) in enumerate(puzzle.ties)
                if (a in half) != (b in half) and a in inside and b in inside
            )
            and can_be_built(half, puzzle, known)
            and can_be_built(inside - half, puzzle, known)
            for half in halves(inside)
            if connected(half, puzzle.ties) and connected(inside - half, puzzle.ties)
        )
    return known[inside]


def halves(inside: frozenset[int]) -> Iterator[frozenset[int]]:
    first, *rest = sorted(inside)
    for count in range(len(rest)):
        for others in combinations(rest, count):
            yield frozenset((first, *others))


def numbers(stuck: Stuck) -> frozenset[int]:
    return frozenset(each.index for each in stuck.parts)


@given(puzzles())
@settings(max_examples=600, deadline=None)
def test_finds_an_order_just_where_one_exists(puzzle: Puzzle) -> None:
    known: dict[frozenset[int], bool] = {}
    stuck = [numbers(each) for each in puzzle.stuck()]
    for whole in groups(range(len(puzzle.parts)), puzzle.ties):
        assert (not any(each <= whole for each in stuck)) == can_be_built(whole, puzzle, known)
    for each in stuck:
        assert not can_be_built(each, puzzle, known)


@given(puzzles())
@settings(max_examples=150, deadline=None)
def test_a_knot_is_as_small_as_leaving_parts_away_makes_it(puzzle: Puzzle) -> None:
    known: dict[frozenset[int], bool] = {}
    for stuck in puzzle.stuck():
        inside = numbers(least_stuck(stuck, puzzle.joins, puzzle.access))
        assert inside <= numbers(stuck)
        assert not can_be_built(inside, puzzle, known)
        for number in inside:
            for group in groups(inside - {number}, puzzle.ties):
                assert can_be_built(group, puzzle, known)


def groups(inside: Collection[int], ties: list[tuple[int, int]]) -> list[frozenset[int]]:
    left, found = set(inside), []
    while left:
        group = {left.pop()}
        while more := {x for a, b in ties for x, y in ((a, b), (b, a)) if y in group and x in left}:
            group |= more
            left -= more
        found.append(frozenset(group))
    return found


def test_a_stack_in_which_each_joint_must_be_made_before_the_next_part_comes() -> None:
    """1,500 parts, each in the way of the joint below it: as many assemblies, one inside the other."""
    count = 1500
    stack = Puzzle(
        count, [(n, n + 1) for n in range(count - 1)], [{n + 2} for n in range(count - 2)] + [set()]
    )
    assert not stack.stuck()


def test_ten_thousand_parts_in_one_step() -> None:
    count = 10_000
    row = Puzzle(count, [(n, n + 1) for n in range(count - 1)], [set() for _ in range(count - 1)])
    assert not row.stuck()


@pytest.mark.parametrize("blocked", [[{2}, {0}, {1}], [{2}, {0}, set()]])
def test_a_ring_of_three(blocked: list[set[int]]) -> None:
    """Three joints that each block the next are stuck; with one of them free there is still no first one out."""
    ring = Puzzle(3, [(0, 1), (1, 2), (0, 2)], blocked)
    (stuck,) = ring.stuck()
    assert blocking_of(ring, stuck.joins) >= {0, 2}


def blocking_of(puzzle: Puzzle, joins: tuple[Join, ...]) -> set[int]:
    return {number for join in joins for number in puzzle.blocked_by[join.index]}

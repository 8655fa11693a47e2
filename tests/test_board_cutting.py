"""Boards cut to length, held against every way there is on small pieces, and against bounds on large ones."""

from __future__ import annotations

import sys
from fractions import Fraction
from functools import cache
from math import ceil
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planlint.sheet.board_cutting import Board, BoardCutting, Saw, TooLong, cut_boards

SAW = Saw(Fraction(1, 8), Fraction(1, 2))


def fewest_by_trying_all(parts: list[Fraction], sold: list[Board], saw: Saw) -> tuple[int, Fraction]:
    """The fewest boards, and the least length among these, by splitting the parts into boards in every way."""
    rooms = sorted({board.length for board in sold})

    def board_for(group: tuple[Fraction, ...]) -> Fraction | None:
        need = sum(group, Fraction(0)) + saw.kerf * (len(group) - 1) + 2 * saw.trim
        return next((room for room in rooms if room >= need), None)

    @cache
    def best(left: tuple[Fraction, ...]) -> tuple[int, Fraction]:
        if not left:
            return 0, Fraction(0)
        first, rest = left[0], left[1:]
        found = []
        for mask in range(2 ** len(rest)):
            group = (first, *(part for i, part in enumerate(rest) if mask >> i & 1))
            room = board_for(group)
            if room is not None:
                count, long = best(tuple(part for i, part in enumerate(rest) if not mask >> i & 1))
                found.append((count + 1, long + room))
        return min(found)

    return best(tuple(sorted(parts)))


def told_parts(cutting: BoardCutting) -> dict[int, int]:
    counts: dict[int, int] = {}
    for cut in cutting.boards:
        for part in cut.parts:
            counts[part] = counts.get(part, 0) + cut.count
    return counts


def fits(cutting: BoardCutting, lengths: list[Fraction], saw: Saw) -> bool:
    return all(
        sum((lengths[part] for part in cut.parts), Fraction(0))
        + saw.kerf * (len(cut.parts) - 1)
        + 2 * saw.trim
        <= cut.board.length
        for cut in cutting.boards
    )


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(40, 700), min_size=1, max_size=4, unique=True),
    st.lists(st.integers(1, 3), min_size=4, max_size=4),
    st.sampled_from([(96,), (96, 120), (72, 96, 144)]),
)
def test_no_way_takes_fewer_boards_or_less_length(
    sixteenths: list[int], many: list[int], sold: tuple[int, ...]
) -> None:
    lengths = [Fraction(n, 16) for n in sixteenths]
    counts = many[: len(lengths)]
    if sum(counts) > 8:
        counts = [1] * len(lengths)
    boards = [Board(Fraction(each)) for each in sold]
    cutting = cut_boards(lengths, counts, boards, SAW)
    assert told_parts(cutting) == dict(enumerate(counts))
    assert fits(cutting, lengths, SAW)
    parts = [length for length, count in zip(lengths, counts, strict=True) for _ in range(count)]
    count, long = fewest_by_trying_all(parts, boards, SAW)
    assert cutting.count == count == cutting.bound
    assert sum(cut.board.length * cut.count for cut in cutting.boards) == long
    assert cutting.how == "proved"


def test_many_lengths_come_within_their_bound() -> None:
    random = Random(11)
    lengths = [Fraction(n, 16) for n in random.sample(range(60, 900), 25)]
    counts = [random.randint(1, 6) for _ in lengths]
    boards = [Board(Fraction(96)), Board(Fraction(120))]
    cutting = cut_boards(lengths, counts, boards, SAW)
    assert told_parts(cutting) == dict(enumerate(counts))
    assert fits(cutting, lengths, SAW)
    whole = sum((length + SAW.kerf) * count for length, count in zip(lengths, counts, strict=True))
    least = ceil(whole / (120 - 1 + SAW.kerf))
    assert least <= cutting.bound <= cutting.count <= least + 2
    assert cutting.how == ("proved" if cutting.count == cutting.bound else "bounded")


def test_a_worked_example_from_the_bench() -> None:
    """Eight rails of 33 and eight stiles of 31 from 8 ft, of which 95 is left between the trims.

    33 + 31 + 31 and two kerfs take 95-1/4: no; 31 three times 93-1/4: yes. So two boards of three stiles, and the ten
    that are left two by two: seven.
    """
    lengths = [Fraction(33), Fraction(31)]
    cutting = cut_boards(lengths, [8, 8], [Board(Fraction(96))], SAW)
    assert cutting.count == 7
    # Without trims and kerfs three times 31 fit (93), and 33 + 31 + 31 too (95): 3 + 3 + 2 pieces in six boards.
    assert cut_boards(lengths, [8, 8], [Board(Fraction(96))], Saw(Fraction(0), Fraction(0))).count == 6


def test_money_decides_where_it_is_known() -> None:
    lengths, counts = [Fraction(40)], [4]
    dear = [Board(Fraction(96), 9.0), Board(Fraction(192), 20.0)]
    cheap = [Board(Fraction(96), 9.0), Board(Fraction(192), 15.0)]
    assert [cut.board.length for cut in cut_boards(lengths, counts, dear, SAW).boards] == [96]
    assert [cut.board.length for cut in cut_boards(lengths, counts, cheap, SAW).boards] == [192]


def test_a_part_longer_than_any_board_is_refused() -> None:
    with pytest.raises(TooLong) as told:
        cut_boards([Fraction(95), Fraction(191, 2)], [1, 1], [Board(Fraction(96))], SAW)
    assert told.value.length == Fraction(191, 2)
    with pytest.raises(ValueError, match="no length is sold"):
        cut_boards([Fraction(1)], [1], [], SAW)


def test_without_the_solver_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "scipy.optimize", None)
    lengths = [Fraction(50), Fraction(40), Fraction(30)]
    cutting = cut_boards(lengths, [2, 2, 2], [Board(Fraction(96))], SAW)
    assert cutting.how == "first fit"
    assert told_parts(cutting) == {0: 2, 1: 2, 2: 2}
    assert fits(cutting, lengths, SAW)
    assert cutting.bound <= cutting.count

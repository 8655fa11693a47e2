"""What opens a hollow in which a hand with a driver is shut: boxes of boards, told on paper."""

from __future__ import annotations

from dataclasses import replace

import pytest

from planlint.geometry.drilling.closed_hollows import Hollows
from planlint.geometry.shapes.body import Body
from planlint.model.directions import Side
from tests.builders import part

MIDDLE = (5.0, 5.0, 5.0)
BOX = [
    ("left", "10 x 10 x 3/4", "upright left", (-0.75, 0.0, 0.0)),
    ("right", "10 x 10 x 3/4", "upright left", (10.0, 0.0, 0.0)),
    ("front", "10 x 10 x 3/4", "upright front", (0.0, -0.75, 0.0)),
    ("back", "10 x 10 x 3/4", "upright front", (0.0, 10.0, 0.0)),
    ("floor", "10 x 10 x 3/4", "crosswise up", (0.0, 0.0, -0.75)),
]
"""A box of ten inches inside, open at its top."""
LID = ("lid", "10 x 10 x 3/4", "crosswise up", (0.0, 0.0, 10.0))


def slats(count: int, wide: str, apart: float) -> list[tuple[str, str, str, tuple[float, float, float]]]:
    """A lid of slats that run from left to right; the last lies against the back."""
    return [
        (f"slat_{n}", f"10 x {wide} x 3/4", "crosswise up", (0.0, 10.0 - apart * n, 10.0))
        for n in range(count, 0, -1)
    ]


def shut_in(
    boards: list[tuple[str, str, str, tuple[float, float, float]]], glued: tuple[str, ...] = ()
) -> Hollows:
    bodies = [
        Body(replace(part(name, size, lies), index=number), at)
        for number, (name, size, lies, at) in enumerate(boards)
    ]
    first = next((n for n, board in enumerate(boards) if board[0] in glued), 0)
    return Hollows(bodies, {n: first if board[0] in glued else n for n, board in enumerate(boards)})


ANY_BOARD = {frozenset({each[0]}) for each in BOX}


@pytest.mark.parametrize(
    ("lid", "glued", "opens"),
    [
        # Any board of a closed box opens it.
        ([LID], (), {frozenset({"lid"})}),
        # Two lids an inch apart: the hand does not pass between them, and both must go.
        ([LID, ("top", LID[1], LID[2], (0.0, 0.0, 11.75))], (), {frozenset({"lid", "top"})}),
        # Five slats of 2 less 1/8 in: without one of them 2-1/8 in are open, without two side by side 4-1/8 in.
        (
            slats(5, "15/8", 2.0),
            (),
            {frozenset({f"slat_{n}", f"slat_{n + 1}"}) for n in range(1, 5)},
        ),
        # Ten of 1 less 1/8 in: any two leave 2-1/8 in open at the most, so that all ten are told.
        (slats(10, "7/8", 1.0), (), {frozenset(f"slat_{n}" for n in range(1, 11))}),
        # Slats glued up into one board go as one.
        (slats(5, "15/8", 2.0), ("slat_1", "slat_2", "slat_3", "slat_4", "slat_5"),
         {frozenset(f"slat_{n}" for n in range(1, 6))}),
        # Three slats of 3-1/4 in: without any one of them a hand passes.
        (slats(3, "13/4", 3.375), (), {frozenset({f"slat_{n}"}) for n in range(1, 4)}),
    ],
)  # fmt: skip
def test_what_opens_a_box(
    lid: list[tuple[str, str, str, tuple[float, float, float]]],
    glued: tuple[str, ...],
    opens: set[frozenset[str]],
) -> None:
    boards = [*BOX, *lid]
    hollows = shut_in(boards, glued)
    found = hollows.opened_by(MIDDLE)
    assert {frozenset(boards[n][0] for n in each) for each in found} == ANY_BOARD | opens
    assert len(found) == len(set(found))
    assert not list(hollows.ways_out(MIDDLE))


def test_an_open_box_lets_a_hand_out() -> None:
    hollows = shut_in(BOX)
    assert hollows.opened_by(MIDDLE) == ()
    assert list(hollows.ways_out(MIDDLE)) == [Side.TOP]
    # Standing on its mouth it is shut: a bench lies two inches, or three, above the rim.
    assert not hollows.lets_out(MIDDLE, range(5), Side.TOP, 12.0)
    assert hollows.lets_out(MIDDLE, range(5), Side.TOP, 16.0)
    assert hollows.lets_out(MIDDLE, range(1, 5), Side.TOP, 10.75), "the left board is not there yet"


@pytest.mark.parametrize(("apart", "out"), [(2.375, False), (2.625, True)])
def test_a_hand_passes_what_is_wider_than_it(apart: float, out: bool) -> None:
    """Two half lids with a slot between them, as wide as a hand or not: one that goes through straight, and round."""
    half = (10 - apart) / 2
    lids = [
        ("near", f"10 x {half} x 3/4", "crosswise up", (0.0, 0.0, 10.0)),
        ("far", f"10 x {half} x 3/4", "crosswise up", (0.0, 10.0 - half, 10.0)),
    ]
    hollows = shut_in([*BOX, *lids])
    assert bool(list(hollows.ways_out(MIDDLE))) is out
    aside = (5.0, 1.5, 5.0)
    assert (hollows.opened_by(aside) == ()) is out
    assert not list(hollows.ways_out(aside))

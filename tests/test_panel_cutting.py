"""Sheets cut by a saw: each lay-out re-cut and held against trying every way on small pieces."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planlint.sheet.panel_cutting import (
    Panel,
    PanelCut,
    PanelCutting,
    PanelSaw,
    TooLarge,
    Wanted,
    cut_panels,
)

PANEL = Panel(Fraction(96), Fraction(48))
SAW = PanelSaw(Fraction(1, 8), Fraction(1, 2), Fraction(1, 4))
NO_SAW = PanelSaw(Fraction(0), Fraction(0), Fraction(0))

Rect = tuple[Fraction, Fraction, Fraction, Fraction]


def rectangles(cut: PanelCut) -> Iterator[tuple[int, Rect]]:
    """Parts as they lie on the sheet: part, then left, low, long, wide along and across the grain."""
    for strip in cut.strips:
        for each in strip.parts:
            if cut.along:
                yield each.part, (each.start, strip.start, each.long, each.wide)
            else:
                yield each.part, (strip.start, each.start, each.wide, each.long)


def is_cut_right(cutting: PanelCutting, wanted: list[Wanted], panel: Panel, saw: PanelSaw) -> None:
    told = sorted(part for sheet in cutting.sheets for part, _ in rectangles(sheet))
    assert told == list(range(len(wanted)))
    for sheet in cutting.sheets:
        rects = list(rectangles(sheet))
        for part, (x, y, long, wide) in rects:
            each = wanted[part]
            assert (long, wide) == (each.length, each.width) or (
                each.turns and (wide, long) == (each.length, each.width)
            )
            assert saw.ends <= x
            assert x + long <= panel.length - saw.ends
            assert saw.edges <= y
            assert y + wide <= panel.width - saw.edges
        for n, (_, a) in enumerate(rects):
            for _, b in rects[n + 1 :]:
                apart = [max(a[i], b[i]) - min(a[i] + a[i + 2], b[i] + b[i + 2]) for i in (0, 1)]
                assert max(apart) >= saw.kerf


def fewest_strip_sheets(wanted: list[Wanted], panel: Panel) -> int:
    """Without kerfs: the fewest sheets by trying all ways to share them out to sheets ripped and sheets crosscut first,
    to strips, and these to sheets."""

    def with_room(room: tuple[Fraction, Fraction], sizes: list[tuple[Fraction, Fraction]]) -> int:
        @cache
        def split(left: tuple[tuple[Fraction, Fraction], ...]) -> frozenset[tuple[Fraction, ...]]:
            """Every list of strip widths that takes all parts."""
            if not left:
                return frozenset({()})
            first, rest = left[0], left[1:]
            found: set[tuple[Fraction, ...]] = set()
            for mask in range(2 ** len(rest)):
                group = (first, *(part for i, part in enumerate(rest) if mask >> i & 1))
                if sum(part[0] for part in group) <= room[0]:
                    wide = max(part[1] for part in group)
                    for others in split(tuple(part for i, part in enumerate(rest) if not mask >> i & 1)):
                        found.add(tuple(sorted((wide, *others))))
            return frozenset(found)

        @cache
        def sheets(strips: tuple[Fraction, ...]) -> int:
            if not strips:
                return 0
            first, rest = strips[0], strips[1:]
            return min(
                1 + sheets(tuple(wide for i, wide in enumerate(rest) if not mask >> i & 1))
                for mask in range(2 ** len(rest))
                if first + sum(wide for i, wide in enumerate(rest) if mask >> i & 1) <= room[1]
            )

        return min(sheets(strips) for strips in split(tuple(sizes)))

    def fewest(mask: int) -> int:
        ripped = [each for n, each in enumerate(wanted) if mask >> n & 1]
        crosscut = [each for n, each in enumerate(wanted) if not mask >> n & 1]
        along = with_room((panel.length, panel.width), [(each.length, each.width) for each in ripped])
        return along + with_room(
            (panel.width, panel.length), [(each.width, each.length) for each in crosscut]
        )

    return min(map(fewest, range(2 ** len(wanted))))


SIZES = st.tuples(st.integers(8, 96), st.integers(6, 48))


@settings(max_examples=40, deadline=None)
@given(st.lists(SIZES, min_size=1, max_size=5))
def test_no_way_of_strips_takes_fewer_sheets(sizes: list[tuple[int, int]]) -> None:
    wanted = [Wanted(Fraction(long), Fraction(wide)) for long, wide in sizes]
    cutting = cut_panels(wanted, PANEL, NO_SAW)
    is_cut_right(cutting, wanted, PANEL, NO_SAW)
    assert len(cutting.sheets) == fewest_strip_sheets(wanted, PANEL)
    assert cutting.how in {"proved", "strips"}


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(8, 380), st.integers(6, 188)), min_size=1, max_size=30), st.booleans())
def test_every_layout_can_be_sawn(sizes: list[tuple[int, int]], turns: bool) -> None:
    wanted = [Wanted(Fraction(long, 4), Fraction(wide, 4), turns) for long, wide in sizes]
    cutting = cut_panels(wanted, PANEL, SAW, exact=len(wanted) <= 12)
    is_cut_right(cutting, wanted, PANEL, SAW)
    area = sum(each.length * each.width for each in wanted)
    assert len(cutting.sheets) >= cutting.bound >= area / (PANEL.length * PANEL.width)


def test_grain_is_kept_and_a_part_without_grain_may_turn() -> None:
    tall = Wanted(Fraction(40), Fraction(90))
    with pytest.raises(TooLarge):
        cut_panels([tall], PANEL, SAW)
    assert len(cut_panels([tall._replace(turns=True)], PANEL, SAW).sheets) == 1


def test_four_parts_of_a_quarter_sheet() -> None:
    """By hand: 47 x 23-1/2 twice across and twice along leave the kerf and trims, so one sheet gives four."""
    quarter = [Wanted(Fraction(47), Fraction(47, 2))] * 4
    assert len(cut_panels(quarter, PANEL, SAW).sheets) == 1
    # A quarter inch more along the grain, and the trimmed 95 hold one kerf and no two of them.
    longer = [Wanted(Fraction(95, 2), Fraction(47, 2))] * 4
    cutting = cut_panels(longer, PANEL, SAW)
    assert (len(cutting.sheets), cutting.how) == (2, "strips")


def test_without_the_solver_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "scipy.optimize", None)
    wanted = [Wanted(Fraction(30), Fraction(20))] * 6
    cutting = cut_panels(wanted, PANEL, SAW)
    assert cutting.how == "first fit"
    is_cut_right(cutting, wanted, PANEL, SAW)

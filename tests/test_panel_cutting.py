"""Sheets cut by a saw: each lay-out re-cut and held against trying every way on small pieces."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from fractions import Fraction
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planlint.sheet import guillotine, strip_patterns
from planlint.sheet.panel_cutting import (
    Panel,
    PanelCut,
    PanelCutting,
    PanelSaw,
    TooLarge,
    WantedPart,
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
    for spot in cut.spots:
        yield spot.part, (spot.x, spot.y, spot.long, spot.wide)


def saws_go_through(cut: PanelCut, panel: Panel, saw: PanelSaw) -> None:
    """Each cut goes from side to side of one piece, and in the end every part lies in a piece of its own size."""
    pieces = [(saw.ends, saw.edges, panel.length - saw.ends, panel.width - saw.edges)]
    lies = dict(rectangles(cut))
    for each in cut.saws:
        rip = int(each.rip)
        (piece,) = (
            piece
            for piece in pieces
            if (piece[1 - rip], piece[3 - rip]) == (each.start[1 - rip], each.end[1 - rip])
            and piece[rip] < each.start[rip] <= piece[2 + rip]
        )
        assert each.start[rip] == each.end[rip] == piece[rip] + each.measure
        pieces.remove(piece)
        off, rest = list(piece), list(piece)
        off[2 + rip], rest[rip] = each.start[rip], each.start[rip] + saw.kerf
        for side, parts in ((off, each.off), (rest, each.rest)):
            for x, y, long, wide in map(lies.__getitem__, parts):
                assert side[0] <= x
                assert side[1] <= y
                assert x + long <= side[2]
                assert y + wide <= side[3]
        pieces += [(off[0], off[1], off[2], off[3]), (rest[0], rest[1], rest[2], rest[3])]
    assert {(x, y, x + long, y + wide) for x, y, long, wide in lies.values()} <= set(pieces)


def is_cut_right(cutting: PanelCutting, wanted: list[WantedPart], panel: Panel, saw: PanelSaw) -> None:
    told = sorted(part for sheet in cutting.sheets for part, _ in rectangles(sheet))
    assert told == list(range(len(wanted)))
    for sheet in cutting.sheets:
        saws_go_through(sheet, panel, saw)
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


def fewest_strip_sheets(wanted: list[WantedPart], panel: Panel) -> int:
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


def fewest_cut_through(wanted: list[WantedPart], panel: Panel) -> int:
    """Without kerfs: the fewest sheets by trying every way to divide parts and sheet by cuts that go right through."""

    def parted(parts: tuple[int, ...]) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
        for mask in range(2 ** len(parts)):
            yield (
                tuple(p for n, p in enumerate(parts) if mask >> n & 1),
                tuple(p for n, p in enumerate(parts) if not mask >> n & 1),
            )

    @cache
    def least_wide(parts: tuple[int, ...], long: Fraction) -> Fraction:
        """How wide what holds them is at the least, if it is so long; too wide where nothing does."""
        if len(parts) == 1:
            return wanted[parts[0]].width if wanted[parts[0]].length <= long else 2 * panel.width
        best = 2 * panel.width
        for one, other in parted(parts):
            if one and other:
                best = min(best, least_wide(one, long) + least_wide(other, long))
                for some, _ in parted(one):
                    here = sum((wanted[p].length for p in some), Fraction(0))
                    if 0 < here < long:
                        best = min(best, max(least_wide(one, here), least_wide(other, long - here)))
        return best

    @cache
    def sheets(parts: tuple[int, ...]) -> int:
        if not parts:
            return 0
        return min(
            1 + sheets(rest)
            for here, rest in parted(parts)
            if parts[0] in here and least_wide(here, panel.length) <= panel.width
        )

    return sheets(tuple(range(len(wanted))))


SIZES = st.tuples(st.integers(8, 96), st.integers(6, 48))


@settings(max_examples=20, deadline=None)
@given(st.lists(SIZES, min_size=1, max_size=5))
def test_no_cuts_that_go_through_take_fewer_sheets(sizes: list[tuple[int, int]]) -> None:
    wanted = [WantedPart(Fraction(long), Fraction(wide)) for long, wide in sizes]
    cutting, fewest = cut_panels(wanted, PANEL, NO_SAW), fewest_cut_through(wanted, PANEL)
    is_cut_right(cutting, wanted, PANEL, NO_SAW)
    assert len(cutting.sheets) == cutting.bound == fewest
    assert cutting.how in {"proved", "through"}
    # Where there were too many ways to try them all: the fewest strips, and a bound that holds for all cuts.
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(guillotine, "MOST_PAIRS", -1)
        cutting = cut_panels(wanted, PANEL, NO_SAW)
    is_cut_right(cutting, wanted, PANEL, NO_SAW)
    assert len(cutting.sheets) == fewest_strip_sheets(wanted, PANEL)
    assert cutting.bound <= fewest
    assert cutting.how == ("strips" if cutting.bound < len(cutting.sheets) else cutting.how)


def tidiness(sheets: list[tuple[bool, list[list[tuple[int, int]]]]]) -> float:
    """What share of the sheets lies in strips, a measure to which fence or stop is set counted as a tenth of one."""
    share, settings = 0.0, set[tuple[bool, int]]()
    for along, strips in sheets:
        for strip in strips:
            share += max(w for _, w in strip) / (48 if along else 96)
            settings |= {(along, w) for _, w in strip} | {(not along, long) for long, _ in strip}
    return share + len(settings) / 10


def ways_to_lie(sizes: list[tuple[int, int]]) -> Iterator[list[tuple[bool, list[list[tuple[int, int]]]]]]:
    """All ways to lay parts in strips on one sheet, without kerfs."""

    def shared(left: list[tuple[int, int]]) -> Iterator[list[list[tuple[int, int]]]]:
        if not left:
            yield []
            return
        for strips in shared(left[1:]):
            yield [[left[0]], *strips]
            for n, strip in enumerate(strips):
                yield [*strips[:n], [left[0], *strip], *strips[n + 1 :]]

    for along, (room, across) in ((True, (96, 48)), (False, (48, 96))):
        for strips in shared([each if along else each[::-1] for each in sizes]):
            wide = sum(max(w for _, w in strip) for strip in strips)
            if wide <= across and all(sum(long for long, _ in strip) <= room for strip in strips):
                yield [(along, strips)]


COMMON = st.tuples(st.sampled_from([12, 15, 24, 30, 31, 40]), st.sampled_from([4, 6, 10, 11, 15]))


@settings(max_examples=15, deadline=None)
@given(st.lists(COMMON, min_size=2, max_size=5))
def test_of_equal_sheets_those_with_few_settings_are_taken(sizes: list[tuple[int, int]]) -> None:
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(strip_patterns, "TIDY_SECONDS", 60.0)  # However busy the machine is.
        cutting = cut_panels(
            [WantedPart(Fraction(long), Fraction(wide)) for long, wide in sizes], PANEL, NO_SAW
        )
    best = min(map(tidiness, ways_to_lie(sizes)), default=None)
    if best is None:
        return
    told = [
        (cut.along, [[(int(each.long), int(each.wide)) for each in strip.parts] for strip in cut.strips])
        for cut in cutting.sheets
    ]
    assert tidiness(told) == pytest.approx(best)


def test_a_sheet_cut_piece_by_piece_saves_one() -> None:
    """By hand: strips right across hold the wide parts or what lies beside them: they take two."""
    sizes = [(60, 29), (34, 29), (34, 18), (30, 9), (29, 9), (30, 8), (29, 8)]
    wanted = [WantedPart(Fraction(long), Fraction(wide)) for long, wide in sizes]
    cutting = cut_panels(wanted, PANEL, SAW)
    is_cut_right(cutting, wanted, PANEL, SAW)
    assert (len(cutting.sheets), cutting.how) == (1, "through")
    assert cutting.sheets[0].saws


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(8, 380), st.integers(6, 188)), min_size=1, max_size=30), st.booleans())
def test_every_layout_can_be_sawn(sizes: list[tuple[int, int]], turns: bool) -> None:
    wanted = [WantedPart(Fraction(long, 4), Fraction(wide, 4), turns) for long, wide in sizes]
    cutting = cut_panels(wanted, PANEL, SAW, exact=len(wanted) <= 12)
    is_cut_right(cutting, wanted, PANEL, SAW)
    area = sum(each.length * each.width for each in wanted)
    assert len(cutting.sheets) >= cutting.bound >= area / (PANEL.length * PANEL.width)


def test_grain_is_kept_and_a_part_without_grain_may_turn() -> None:
    tall = WantedPart(Fraction(40), Fraction(90))
    with pytest.raises(TooLarge):
        cut_panels([tall], PANEL, SAW)
    assert len(cut_panels([tall._replace(turns=True)], PANEL, SAW).sheets) == 1


def test_four_parts_of_a_quarter_sheet() -> None:
    """By hand: 47 x 23-1/2 twice across and twice along leave the kerf and trims, so one sheet gives four."""
    quarter = [WantedPart(Fraction(47), Fraction(47, 2))] * 4
    assert len(cut_panels(quarter, PANEL, SAW).sheets) == 1
    # A quarter inch more along the grain, and the trimmed 95 hold one kerf and no two of them.
    longer = [WantedPart(Fraction(95, 2), Fraction(47, 2))] * 4
    cutting = cut_panels(longer, PANEL, SAW)
    assert (len(cutting.sheets), cutting.how) == (2, "through")


def test_without_the_solver_it_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "scipy.optimize", None)
    wanted = [WantedPart(Fraction(30), Fraction(20))] * 6
    cutting = cut_panels(wanted, PANEL, SAW)
    assert cutting.how == "first fit"
    is_cut_right(cutting, wanted, PANEL, SAW)

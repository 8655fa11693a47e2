"""Fence, stop and fixture are set the fewest times: held against every order in which single cuts can be made."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from heapq import heappop, heappush
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from planlint.sheet import saw_settings as subject
from planlint.sheet.panel_cutting import Panel, PanelSaw, WantedPart, cut_panels
from planlint.sheet.saw_settings import fewest_settings, saw_settings

PANEL = Panel(Fraction(96), Fraction(48))
NO_SAW = PanelSaw(Fraction(0), Fraction(0), Fraction(0))
Way = tuple[str, Fraction]
Cuts = Mapping[object, tuple[Way, frozenset[object]]]
"""Each single cut: how the saw is set for it, and the cuts that free its piece."""


def fewest_by_trying(cuts: Cuts) -> int:
    """Of all orders of single cuts, in which each costs a setting that is not the one before it."""
    queue: list[tuple[int, int, frozenset[object], Way | None]] = [(0, 0, frozenset(cuts), None)]
    known, met = set[object](), 0
    while queue:
        cost, _, left, now = heappop(queue)
        if not left:
            return cost
        if (left, now) in known:
            continue
        known.add((left, now))
        for each in left:
            way, after = cuts[each]
            if not after & left:
                met += 1
                heappush(queue, (cost + (way != now), met, left - {each}, way))
    raise AssertionError("no order makes all cuts")


def single_cuts(bought: list[Any]) -> Iterator[tuple[object, tuple[Way, frozenset[object]]]]:
    """By the lay-out: strips off sheets, parts off strips, what is too wide off parts; boards crosscut, then ripped."""
    for b, buy in enumerate(bought):
        for p, part in enumerate(buy.parts if buy.boards else ()):
            yield (b, p), (("crosscut", part.sawn), frozenset())
            if part.width < buy.stock.width:
                yield (b, p, "rip"), (("rip", part.width), frozenset({(b, p)}))
        for s, sheet in enumerate(buy.panels.sheets if buy.panels else ()):
            first, then = ("rip", "crosscut") if sheet.along else ("crosscut", "rip")
            far, across = (PANEL.length, PANEL.width) if sheet.along else (PANEL.width, PANEL.length)
            off = frozenset(
                (b, s, n) for n, strip in enumerate(sheet.strips) if strip.start + strip.wide < across
            )
            for n, strip in enumerate(sheet.strips):
                own = frozenset({(b, s, n)}) if (b, s, n) in off else off
                for each in off & own:
                    if each == (b, s, n):
                        yield each, ((first, strip.wide), frozenset())
                cut = frozenset((b, s, n, p.part) for p in strip.parts if p.start + p.long < far)
                for p in strip.parts:
                    if (b, s, n, p.part) in cut:
                        yield (b, s, n, p.part), ((then, p.long), own)
                    if p.wide < strip.wide:
                        free = own | (frozenset({(b, s, n, p.part)}) if (b, s, n, p.part) in cut else cut)
                        yield (b, s, n, p.part, "trim"), ((first, p.wide), free)


def part(name: str, long: int, wide: int) -> Any:
    size = {"sawn": Fraction(long), "length": Fraction(long), "width": Fraction(wide)}
    return SimpleNamespace(count=1, rough=False, unit="in", names=(name,), ends=(), **size)


SIZES = st.lists(
    st.tuples(st.sampled_from([12, 24, 36, 60]), st.sampled_from([12, 24, 36])), min_size=1, max_size=3
)


@settings(max_examples=30, deadline=None)
@given(SIZES, SIZES, st.lists(st.tuples(st.sampled_from([12, 24]), st.sampled_from([6, 12])), max_size=1))
@example([(60, 12)], [(12, 12), (60, 24)], [])
@example([(60, 24), (36, 12), (12, 24)], [(24, 12), (12, 36)], [(24, 12), (12, 6)])
def test_fence_and_stop_are_set_the_fewest_times_of_all_orders(
    one: list[tuple[int, int]], other: list[tuple[int, int]], boards: list[tuple[int, int]]
) -> None:
    bought: list[Any] = []
    for sizes in (one, other):
        wanted = [WantedPart(Fraction(long), Fraction(wide)) for long, wide in sizes]
        cutting = cut_panels(wanted, PANEL, NO_SAW, exact=False)
        parts = [part(f"{len(bought)}_{n}", *size) for n, size in enumerate(sizes)]
        bought.append(
            SimpleNamespace(
                boards=None, panels=cutting, panel=PANEL, parts=parts, cut=list(range(len(parts)))
            )
        )
    parts = [part(f"board_{n}", *size) for n, size in enumerate(boards)]
    bought.append(SimpleNamespace(boards=[1], panels=None, parts=parts, stock=SimpleNamespace(width=12)))
    cuts = dict(single_cuts(bought))
    assume(len(cuts) <= 10)
    order, fewest = saw_settings(bought)
    assert fewest
    assert len(order) == fewest_by_trying(cuts)
    assert sum(each.cuts for each in order) == len(cuts)


@settings(max_examples=30, deadline=None)
@given(st.data())
def test_what_must_be_set_twice_is_set_no_more(data: st.DataObject) -> None:
    """Cuts in any trees, of few measures: many have to be set again. The order can be sawn as it is told."""
    many = data.draw(st.integers(1, 9))
    keys = [("rip", Fraction(data.draw(st.integers(1, 3)))) for _ in range(many)]
    after = [sorted(data.draw(st.sets(st.integers(0, n - 1), max_size=2))) if n else [] for n in range(many)]
    order, fewest = fewest_settings(keys, after)
    assert fewest
    done = set[int]()
    for key, made in order:
        assert all(keys[each] == key and done >= set(after[each]) - set(made) for each in made)
        done |= set(made)
    assert sorted(done) == list(range(many)) == sorted(each for _, made in order for each in made)
    assert len(order) == fewest_by_trying({n: (keys[n], frozenset(after[n])) for n in range(many)})


def test_an_order_that_is_not_proved_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    """By hand: of rip 1 before crosscut 1 and crosscut 1 before rip 1 one is set twice."""
    rip, crosscut = ("rip", Fraction(1)), ("crosscut", Fraction(1))
    keys, after = [rip, crosscut, crosscut, rip], [[], [0], [], [2]]
    for most, proved in ((subject.MOST_TRIED, True), (0, False)):
        monkeypatch.setattr(subject, "MOST_TRIED", most)
        order, fewest = fewest_settings(keys, after)
        assert (len(order), fewest) == (3, proved)
        assert sorted(each for _, made in order for each in made) == [0, 1, 2, 3]

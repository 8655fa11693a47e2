"""How a stretch of a plan's lines reads now and then: each line beside the one that takes its place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher

from planlint.reports.page import Page

ALIKE = 0.4
"""Share of characters in common from which a line takes the place of another. Basis: own judgement."""
MOST_PAIRED = 40
"""Lines of one stretch that are compared each with each; longer stretches are told one after the other."""

Pair = tuple[str | None, str | None]
"""A line now and the line in its place then; ``None`` for a line taken out or put in."""


def pairs(now: Sequence[str], then: Sequence[str]) -> Iterator[Pair]:
    """Every line that differs, in order."""
    for tag, a, b, c, d in SequenceMatcher(None, now, then, autojunk=False).get_opcodes():
        if tag != "equal":
            yield from _paired(now[a:b], then[c:d])


def _paired(now: Sequence[str], then: Sequence[str]) -> Iterator[Pair]:
    """The pairs that have most in common over all, none crossing another."""
    if len(now) * len(then) > MOST_PAIRED**2:
        yield from ((line, None) for line in now)
        yield from ((None, line) for line in then)
        return
    best = [[0.0] * (len(then) + 1) for _ in range(len(now) + 1)]
    like = [[_likeness(old, new) for new in then] for old in now]
    for i in reversed(range(len(now))):
        for j in reversed(range(len(then))):
            best[i][j] = max(best[i + 1][j], best[i][j + 1], best[i + 1][j + 1] + like[i][j])
    i = j = 0
    while i < len(now) or j < len(then):
        if i < len(now) and j < len(then) and like[i][j] and best[i][j] == best[i + 1][j + 1] + like[i][j]:
            yield now[i], then[j]
            i, j = i + 1, j + 1
        elif i < len(now) and (j == len(then) or best[i][j] == best[i + 1][j]):
            yield now[i], None
            i += 1
        else:
            yield None, then[j]
            j += 1


def _likeness(old: str, new: str) -> float:
    """Over ``ALIKE`` for lines of one kind, by their first words and their characters; else 0."""
    ratio = SequenceMatcher(None, old.split(), new.split(), autojunk=False).ratio()
    if old.split()[:1] == new.split()[:1]:
        ratio += ALIKE
    return ratio if ratio >= ALIKE else 0.0


def write_difference(
    page: Page, first: int, now: Sequence[str], then: Sequence[str], *, room: int = 8, indent: int = 4
) -> None:
    """Lines that differ, those now numbered from ``first``; a line put in is told behind the one before it."""
    rows: list[tuple[str, str, str]] = []
    for tag, a, b, c, d in SequenceMatcher(None, now, then, autojunk=False).get_opcodes():
        if tag == "equal":
            continue
        at = first + a
        after = ""
        for old, new in _paired(now[a:b], then[c:d]):
            if old is not None:
                rows.append((f"Line {at}", old, ""))
                rows.append(("then", "(taken out)" if new is None else new, "bold"))
                at, after = at + 1, ""
            elif new is not None:
                label = f"after line {at - 1}" if at > 1 else "at the top"
                rows.append(("" if label == after else label, new, "bold"))
                after = label
    page.lines(rows, indent=indent, room=room)

"""How a stretch of a plan's lines reads now and then: each line beside the one that takes its place."""

from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from typing import NamedTuple

from planlint.reports.page_layout import Page

_ALIKE = 0.4
"""Share of characters in common from which a line takes the place of another. Basis: own judgement."""
MOST_PAIRED = 40
"""Lines of one stretch that are compared each with each; longer stretches are told one after the other."""

Pair = tuple[str | None, str | None]
"""A line now and the line in its place then; ``None`` for a line taken out or put in."""


class PageLine(NamedTuple):
    """A line behind its label, as a page writes it."""

    label: str
    line: str
    style: str


def _paired(now: Sequence[str], then: Sequence[str]) -> Iterator[Pair]:
    """The pairs that have most in common over all, none crossing another."""
    if len(now) * len(then) > MOST_PAIRED**2:
        yield from ((line, None) for line in now)
        yield from ((None, line) for line in then)
        return
    # The most that two stretches have in common from a line of each on: worked out from the end.
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
        ratio += _ALIKE
    return ratio if ratio >= _ALIKE else 0.0


def differences(first: int, now: Sequence[str], then: Sequence[str]) -> Iterator[list[PageLine]]:
    """Rows for each line that differs, those now numbered from ``first``; a line put in is told behind another."""
    # Empty lines are alike everywhere: they hold nothing together.
    for tag, a, b, c, d in SequenceMatcher(
        lambda line: not line.strip(), now, then, autojunk=False
    ).get_opcodes():
        if tag == "equal":
            continue
        at = first + a
        after = ""
        for old, new in _paired(now[a:b], then[c:d]):
            if old is not None:
                yield [
                    PageLine(f"Line {at}", _shown(old), ""),
                    PageLine("then", "(taken out)" if new is None else _shown(new), "bold"),
                ]
                at, after = at + 1, ""
            elif new is not None:
                label = f"after line {at - 1}" if at > 1 else "at the top"
                yield [PageLine("" if label == after else label, _shown(new), "bold")]
                after = label


def _shown(line: str) -> str:
    return line if line.strip() else "(an empty line)"


def write_difference(
    page: Page, first: int, now: Sequence[str], then: Sequence[str], *, room: int = 8
) -> None:
    """Lines that differ, on a page; their labels take ``room`` columns, or more where one is longer."""
    page.lines([row for rows in differences(first, now, then) for row in rows], room=room)

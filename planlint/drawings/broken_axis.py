"""Long parts on paper: stretches in which nothing lies are left out, between break lines (ISO 128-3, from memory)."""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from typing import NamedTuple

from planlint.drawings.viewpoints import SeenAt
from planlint.geometry.shapes.cells import OnLine, united
from planlint.text.rounding import TOUCH

GAP = 4.0
"""Millimetres between the two lines of a break."""


class BrokenAxis(NamedTuple):
    """A length on paper: the stretches of it that are ``kept``, in inches, at ``scale`` mm an inch, from ``start``."""

    kept: tuple[OnLine, ...]
    scale: float
    start: float

    def at(self, inches: float) -> float:
        """Where a length lies on paper; one left out lies in the middle of its break."""
        x = self.start
        for number, (low, high) in enumerate(self.kept):
            if inches < low - TOUCH:
                return x if number == 0 else x - GAP / 2
            if inches <= high + TOUCH:
                return x + (inches - low) * self.scale
            x += (high - low) * self.scale + GAP
        return x - GAP

    @property
    def end(self) -> float:
        return self.at(self.kept[-1][1])

    @property
    def breaks(self) -> list[tuple[float, float]]:
        """Where the breaks lie on paper: the ends of what is drawn before and after each."""
        return [(self.at(before[1]), self.at(after[0])) for before, after in pairwise(self.kept)]

    def segments(self, a: SeenAt, b: SeenAt) -> Iterable[tuple[SeenAt, SeenAt]]:
        """What is drawn of a line, its first coordinate along this axis, in inches; the second is left as it is."""
        if abs(b[0] - a[0]) < TOUCH:
            if any(low - TOUCH <= a[0] <= high + TOUCH for low, high in self.kept):
                yield (self.at(a[0]), a[1]), (self.at(b[0]), b[1])
            return
        (x0, y0), (x1, y1) = (a, b) if a[0] < b[0] else (b, a)
        for low, high in self.kept:
            p, q = max(x0, low), min(x1, high)
            if q - p > TOUCH:
                slope = (y1 - y0) / (x1 - x0)
                yield (self.at(p), y0 + (p - x0) * slope), (self.at(q), y0 + (q - x0) * slope)


def broken(whole: OnLine, wanted: Iterable[OnLine], scale: float, start: float, least: float) -> BrokenAxis:
    """An axis that keeps what is wanted, and every gap shorter than ``least`` inches."""
    low, high = whole
    spans = ((max(a, low), min(b, high)) for a, b in wanted if b > low and a < high)
    joined = united(spans, least - TOUCH)
    return BrokenAxis(tuple(joined) or (whole,), scale, start)


def kept_long(whole: OnLine, wanted: Sequence[OnLine], least: float) -> tuple[float, int]:
    """Inches that such an axis draws, and its breaks."""
    axis = broken(whole, wanted, 1.0, 0.0, least)
    return sum(high - low for low, high in axis.kept), len(axis.kept) - 1

"""Which eyes a box of wood rules out, many at once.

All eyes of one height lie in one level plane. Of them, those that a box surely hides a row of mouths from fill a
simple figure: where every line from the mouths crosses a level side of the box inside its outline, a rectangle;
where it crosses an upright side, a stretch between straight lines. So a box is held against all eyes of a height by
a few comparisons each. The figures are sure, not sharp: the mouths count as the box round them.
"""

from __future__ import annotations

from math import inf
from typing import NamedTuple

from planlint.geometry.shapes.body import Box
from planlint.text.rounding import TOUCH

EyePlace = tuple[float, float]
"""Where an eye stands: x and y."""


class Shadow:
    """What one box of wood hides of one box of mouths: worked out once, asked for each height of eyes."""

    __slots__ = ("_mouths", "_sides", "_wood", "wood")

    def __init__(self, mouths: Box, wood: Box) -> None:
        self.wood = wood
        self._mouths = mouths
        (x0, y0, z0), (x1, y1, z1) = wood
        self._wood = Box((x0 + TOUCH, y0 + TOUCH, z0 + TOUCH), (x1 - TOUCH, y1 - TOUCH, z1 - TOUCH))
        self._sides: list[_Upright] | None = None

    @property
    def _upright(self) -> list[_Upright]:
        if self._sides is None:
            mouths, wood = self._mouths, self.wood
            self._sides = [side for u in (0, 1) if (side := _upright_side(mouths, wood, u)) is not None]
        return self._sides

    def rule_out(self, places: list[EyePlace], height: float) -> list[EyePlace]:
        """The places, all at ``height``, from which this box does not surely hide all of the mouths."""
        left = self.past_level_side(places, height)
        if left and self._upright:
            shares = _shares(
                self._mouths.low[2], self._mouths.high[2], self._wood.low[2], self._wood.high[2], height
            )
            if shares[0] <= shares[1]:
                for side in self._upright:
                    left = _past(side, left, *shares)
        return left

    def past_level_side(self, places: list[EyePlace], height: float) -> list[EyePlace]:
        """The places from which the box, by its upper or lower side, does not surely hide all of the mouths."""
        mouths, wood = self._mouths, self._wood
        m0, m1 = mouths.low[2], mouths.high[2]
        near, far = self.wood.low[2], self.wood.high[2]
        if m1 <= near < height or m1 < far <= height:
            plane = near if m1 <= near else far
            first, last = (plane - m1) / (height - m1), (plane - m0) / (height - m0)
        elif height <= near < m0 or height < far <= m0:
            plane = far if far <= m0 else near
            first, last = (m0 - plane) / (m0 - height), (m1 - plane) / (m1 - height)
        else:
            return places
        x0, x1 = _between(mouths.low[0], mouths.high[0], wood.low[0], wood.high[0], first, last)
        y0, y1 = _between(mouths.low[1], mouths.high[1], wood.low[1], wood.high[1], first, last)
        if x0 > x1 or y0 > y1:
            return places
        return [place for place in places if not (x0 <= place[0] <= x1 and y0 <= place[1] <= y1)]


def _between(m0: float, m1: float, w0: float, w1: float, first: float, last: float) -> EyePlace:
    """Bounds of an eye's coordinate for which lines, ``first`` to ``last`` of their way, are inside the wood."""
    low, high = -inf, inf
    for share in (first, last):
        if share > TOUCH:
            low, high = max(low, m0 + (w0 - m0) / share), min(high, m1 + (w1 - m1) / share)
        elif m0 < w0 or m1 > w1:
            return inf, -inf
    return low, high


class _Upright(NamedTuple):
    """One upright side of a box of wood, as lines from the mouths cross it.

    The side is square to axis ``u``, in the direction ``toward`` from the mouths; ``close`` and ``distant`` are their
    ends nearer to it and farther. Along the other level axis an eye must lie between lines: ``low + rise * run`` and so
    on, run being its distance from that end of the mouths.
    """

    u: int
    toward: int
    close: float
    distant: float
    run_close: float
    run_distant: float
    lines: tuple[tuple[float, float, float, float, float], ...]
    """For each end: its place, the low line's start and slope, the high line's."""


def _upright_side(mouths: Box, wood: Box, u: int) -> _Upright | None:
    m0, m1 = mouths.low[u], mouths.high[u]
    near, far = wood.low[u], wood.high[u]
    if m1 < far:
        toward, plane = 1, near if m1 <= near else far
    elif near < m0:
        toward, plane = -1, far if far <= m0 else near
    else:
        return None
    close, distant = (m1, m0) if toward > 0 else (m0, m1)
    run_close, run_distant = abs(plane - close), abs(plane - distant)
    v = 1 - u
    v0, v1, w0, w1 = mouths.low[v], mouths.high[v], wood.low[v] + TOUCH, wood.high[v] - TOUCH
    lines = []
    for m, run in {close: run_close, distant: run_distant}.items():
        if run >= TOUCH:
            lines.append((m, v0, (w0 - v0) / run, v1, (w1 - v1) / run))
        elif v0 < w0 or v1 > w1:
            return None
    if not lines:
        # The mouths touch the side and lie inside its outline: any line away from them enters.
        lines.append((close, -inf, 0.0, inf, 0.0))
    return _Upright(u, toward, close, distant, run_close, run_distant, tuple(lines))


def _past(side: _Upright, places: list[EyePlace], least: float, most: float) -> list[EyePlace]:
    """The places not hidden behind one upright side, lines crossing it at ``least`` to ``most`` of their way."""
    u, toward, close, distant, run_close, run_distant, lines = side
    # The smaller share comes from the closer end of the mouths, the larger from the distant one.
    nearest = run_distant / most - abs(distant - close) if most > 0 else inf
    nearest = max(run_close + TOUCH, nearest)
    farthest = run_close / least if least > 0 else inf
    if nearest > farthest:
        return places
    v = 1 - u
    (m, low, fall, high, rise), (n, low_n, fall_n, high_n, rise_n) = lines[0], lines[-1]
    return [
        place
        for place in places
        if not (
            nearest <= (place[u] - close) * toward <= farthest
            and low + fall * (run := abs(place[u] - m)) <= place[v] <= high + rise * run
            and low_n + fall_n * (run := abs(place[u] - n)) <= place[v] <= high_n + rise_n * run
        )
    ]


def _shares(m0: float, m1: float, w0: float, w1: float, height: float) -> tuple[float, float]:
    """Shares of the way to an eye at ``height`` between which lines from ``m0`` and ``m1`` lie in ``w0`` to ``w1``."""
    least, most = 0.0, 1.0
    rise = height - m0
    if rise > 0:
        least = max(least, (w0 - m0) / rise)
    elif m0 < w0:
        return 1.0, 0.0
    elif rise < 0:
        most = min(most, (m0 - w0) / -rise)
    rise = height - m1
    if rise > 0:
        most = min(most, (w1 - m1) / rise)
    elif m1 > w1:
        if rise == 0:
            return 1.0, 0.0
        least = max(least, (m1 - w1) / -rise)
    return least, most

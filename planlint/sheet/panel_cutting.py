"""Parts cut from sheets as a saw can: ripped into strips right across, each strip crosscut, what is too wide trimmed.

Fewest sheets, then least wood in strips: what is left is one wide piece. Exact among such lay-outs by an integer
program (levels after Lodi, Martello and Monaci, 2002; HiGHS, by ``scipy.optimize.milp``, the extra ``sheet``) as far as
its time goes; the bound told counts areas, and what the program proved. Grain stays along the sheet unless a material
has none. Without scipy, the widest parts come first, each into the first strip with room, and that is told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import NamedTuple

SECONDS = 5.0
"""What one question to the solver may take. Basis: own judgement."""
MOST_EXACT = 24
"""Parts up to which the solver is asked: its levels grow with their square. Basis: own judgement, from times."""


class Panel(NamedTuple):
    """A sheet that is sold: along its grain, across it; inches."""

    length: Fraction
    width: Fraction


class Wanted(NamedTuple):
    """One part: along the grain, across it; ``turns`` where its grain may lie either way."""

    length: Fraction
    width: Fraction
    turns: bool = False


class PanelSaw(NamedTuple):
    """What the saw takes at each cut, and what is trimmed off each end and each edge as bought; inches."""

    kerf: Fraction
    ends: Fraction
    edges: Fraction


@dataclass(frozen=True, slots=True)
class Placed:
    """A part on its strip: from ``start`` on, ``long`` along the strip and ``wide`` across it."""

    part: int
    start: Fraction
    long: Fraction
    wide: Fraction


@dataclass(frozen=True, slots=True)
class Strip:
    """A strip right across the sheet, from ``start`` on and ``wide``."""

    start: Fraction
    wide: Fraction
    parts: tuple[Placed, ...]


@dataclass(frozen=True, slots=True)
class PanelCut:
    """One sheet. ``along``: its strips run along the grain (ripped first), else across it (crosscut first)."""

    along: bool
    strips: tuple[Strip, ...]


@dataclass(frozen=True, slots=True)
class PanelCutting:
    """How all parts come out of sheets; ``bound``: no way takes fewer."""

    sheets: tuple[PanelCut, ...]
    bound: int
    how: str
    """``proved``: fewer there are not; ``strips``: nor with all sheets ripped one way and then crosscut;
    ``bounded``: the best found, with its bound; ``first fit``: no solver at hand."""


class TooLarge(ValueError):  # noqa: N818 - says what is wrong
    """A part that the sheet does not give."""

    def __init__(self, part: int) -> None:
        super().__init__(f"part {part} is larger than the sheet")
        self.part = part


class _Item(NamedTuple):
    """A part as it lies: ``long`` along the strip, ``wide`` across it; each with one kerf."""

    part: int
    long: Fraction
    wide: Fraction


class _Level(NamedTuple):
    """A strip while it is filled; its first item is the widest."""

    items: tuple[_Item, ...]

    @property
    def wide(self) -> Fraction:
        return self.items[0].wide

    @property
    def long(self) -> Fraction:
        return sum((item.long for item in self.items), Fraction(0))


_Sheets = list[list[_Level]]


def cut_panels(wanted: Sequence[Wanted], panel: Panel, saw: PanelSaw, *, exact: bool = True) -> PanelCutting:
    """How the parts come out of sheets of one size. Raises ``TooLarge`` for a part that no sheet gives."""
    best: _Best | None = None
    bound, how = _by_area(wanted, panel, saw), "first fit"
    for along in (True, False):
        room = _room(panel, saw, along=along)
        items = [_lying(number, each, room, along=along, kerf=saw.kerf) for number, each in enumerate(wanted)]
        sheets = _first_fit(items, room)
        score = _score(sheets)
        if best is None or score < best[0]:
            best = score, along, sheets
    assert best is not None
    if exact and _solver_here():
        how = "bounded"
        if best[0][0] > bound and len(wanted) <= MOST_EXACT:
            best, ended = _improved(wanted, panel, saw, best)
            how = "strips" if ended else how
    if how != "first fit" and best[0][0] == bound:
        how = "proved"
    _, along, sheets = best
    return PanelCutting(
        tuple(_as_cut(levels, saw, along=along) for levels in sheets), min(bound, len(sheets)), how
    )


def _room(panel: Panel, saw: PanelSaw, *, along: bool) -> tuple[Fraction, Fraction]:
    """Along a strip and across all strips, with one kerf more: the last cut needs none."""
    long = panel.length - 2 * saw.ends + saw.kerf
    wide = panel.width - 2 * saw.edges + saw.kerf
    return (long, wide) if along else (wide, long)


def _lying(
    number: int, each: Wanted, room: tuple[Fraction, Fraction], *, along: bool, kerf: Fraction
) -> _Item:
    """A part on strips of this direction; one that may turn lies so that the strip is narrow, where it fits so."""
    ways = [(each.length + kerf, each.width + kerf)]
    if not along:
        ways = [(ways[0][1], ways[0][0])]
    if each.turns:
        ways.append((ways[0][1], ways[0][0]))
    fit = [way for way in ways if way[0] <= room[0] and way[1] <= room[1]]
    if not fit:
        raise TooLarge(number)
    long, wide = min(fit, key=lambda way: way[1])
    return _Item(number, long, wide)


def _by_area(wanted: Sequence[Wanted], panel: Panel, saw: PanelSaw) -> int:
    """No way takes fewer: the parts' areas, each with its kerfs, against that of a sheet."""
    long, wide = _room(panel, saw, along=True)
    whole = sum((each.length + saw.kerf) * (each.width + saw.kerf) for each in wanted)
    return max(1, ceil(whole / (long * wide))) if wanted else 0


def _first_fit(items: Sequence[_Item], room: tuple[Fraction, Fraction]) -> _Sheets:
    """Widest first, each into the first strip with room; then the strips, widest first, into the first such sheet."""
    levels: list[_Level] = []
    for item in sorted(items, key=lambda item: (-item.wide, -item.long, item.part)):
        for place, level in enumerate(levels):
            if level.long + item.long <= room[0]:
                levels[place] = _Level((*level.items, item))
                break
        else:
            levels.append(_Level((item,)))
    sheets: _Sheets = []
    for level in levels:
        for sheet in sheets:
            if sum((each.wide for each in sheet), level.wide) <= room[1]:
                sheet.append(level)
                break
        else:
            sheets.append([level])
    return sheets


def _score(sheets: _Sheets) -> tuple[int, Fraction]:
    return len(sheets), sum((level.wide for sheet in sheets for level in sheet), Fraction(0))


def _solver_here() -> bool:
    try:
        import scipy.optimize as _  # noqa: F401, PLC0415 - the extra `sheet`
    except ImportError:
        return False
    return True


_Best = tuple[tuple[int, Fraction], bool, _Sheets]
"""Sheets and wood in strips, whether the strips run along the grain, and the strips."""


def _improved(wanted: Sequence[Wanted], panel: Panel, saw: PanelSaw, best: _Best) -> tuple[_Best, bool]:
    """The better of what is known and what the solver finds, and whether it came to its end."""
    ended = True
    for along in (True, False):
        room = _room(panel, saw, along=along)
        items = [_lying(number, each, room, along=along, kerf=saw.kerf) for number, each in enumerate(wanted)]
        sheets, done = _levels_solved(items, room, len(best[2]))
        # A part that may turn was laid one way only.
        ended = ended and done and not any(each.turns for each in wanted)
        if sheets and _score(sheets) < best[0]:
            best = _score(sheets), along, sheets
    return best, ended


def _levels_solved(
    items: Sequence[_Item], room: tuple[Fraction, Fraction], most: int
) -> tuple[_Sheets, bool]:
    """Items into strips and strips into at most ``most`` sheets, and whether there is no better: the model of Lodi,
    Martello and Monaci.

    Sorted by width, a strip is called after its first item and takes only later ones; ``join[i, j]`` puts item ``j``
    on the strip of ``i`` (``i`` itself where that opens), ``lie[s, i]`` puts the strip of ``i`` on sheet ``s``.
    """
    import numpy as np  # noqa: PLC0415
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415
    from scipy.sparse import lil_matrix  # noqa: PLC0415

    order = sorted(items, key=lambda item: (-item.wide, -item.long, item.part))
    many = len(order)
    pairs = [(i, j) for i in range(many) for j in range(i, many)]
    join = {pair: n for n, pair in enumerate(pairs)}
    lie = {(s, i): len(pairs) + s * many + i for s in range(most) for i in range(many)}
    used = {s: len(pairs) + most * many + s for s in range(most)}
    total = len(pairs) + most * many + most
    rows: list[tuple[dict[int, float], float, float]] = []
    rows += [({join[i, j]: 1.0 for i in range(j + 1)}, 1.0, 1.0) for j in range(many)]
    for i in range(many):
        strip = {join[i, j]: float(order[j].long) for j in range(i + 1, many)}
        strip[join[i, i]] = float(order[i].long - room[0])
        rows.append((strip, -np.inf, 1e-9))
        rows.append(({join[i, i]: -1.0, **{lie[s, i]: 1.0 for s in range(most)}}, 0.0, 0.0))
    for s in range(most):
        sheet = {lie[s, i]: float(order[i].wide) for i in range(many)}
        sheet[used[s]] = -float(room[1])
        rows.append((sheet, -np.inf, 1e-9))
        if s:
            rows.append(({used[s]: 1.0, used[s - 1]: -1.0}, -np.inf, 0.0))
    table = lil_matrix((len(rows), total))
    for n, (row, _, _) in enumerate(rows):
        for column, value in row.items():
            table[n, column] = value
    goal = np.zeros(total)
    for s in range(most):
        goal[used[s]] = 1.0
        for i in range(many):
            # All strips together weigh less than one sheet.
            goal[lie[s, i]] = float(order[i].wide) / (2 * most * float(room[1]))
    found = milp(
        goal,
        constraints=LinearConstraint(table.tocsc(), [row[1] for row in rows], [row[2] for row in rows]),
        integrality=[1] * total,
        bounds=Bounds(0, 1),
        options={"time_limit": SECONDS},
    )
    sheets: _Sheets = []
    if found.x is None:
        return sheets, found.status == 2  # proved that there is none
    for s in range(most):
        levels = [
            _Level(tuple(order[j] for j in range(i, many) if found.x[join[i, j]] > 0.5))
            for i in range(many)
            if found.x[lie[s, i]] > 0.5
        ]
        if levels:
            sheets.append(levels)
    return sheets, found.status == 0


def _as_cut(levels: Sequence[_Level], saw: PanelSaw, *, along: bool) -> PanelCut:
    """Places on the sheet, from its trimmed corner, each strip's longest part first."""
    begin, across = (saw.ends, saw.edges) if along else (saw.edges, saw.ends)
    strips = []
    for level in sorted(levels, key=lambda level: -level.wide):
        placed, start = [], begin
        for item in sorted(level.items, key=lambda item: (-item.long, -item.wide, item.part)):
            placed.append(Placed(item.part, start, item.long - saw.kerf, item.wide - saw.kerf))
            start += item.long
        strips.append(Strip(across, level.wide - saw.kerf, tuple(placed)))
        across += level.wide
    return PanelCut(along, tuple(strips))

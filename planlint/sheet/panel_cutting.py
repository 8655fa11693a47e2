"""Parts cut from sheets as a saw can: ripped into strips right across, each strip crosscut, what is too wide trimmed.

Fewest sheets, then least wood in strips (what is left is one wide piece) and fewest settings of fence and stop. Exact
among such lay-outs by an integer program (``strip_patterns``) as far as its time goes; where any cuts that go right
through take fewer sheets (``guillotine``), these are told cut by cut. Grain stays along the sheet unless a material has
none. Without scipy, the widest parts come first, each into the first strip with room, and that is told.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from math import ceil, lcm
from typing import NamedTuple

from planlint.sheet.guillotine import Share, fewest_free, most_worth
from planlint.sheet.knapsack import solver_here
from planlint.sheet.sawn_pieces import MarkScale, SawCut, Spot, sawn
from planlint.sheet.strip_patterns import SETTING, PartsAlike, fewest_sheets
from planlint.text.grouping import grouped
from planlint.text.rounding import SOLVED, whole_up


class Panel(NamedTuple):
    """A sheet that is sold: along its grain, across it; inches."""

    length: Fraction
    width: Fraction


class WantedPart(NamedTuple):
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
    """One sheet. ``along``: its strips run along the grain (ripped first), else across it (crosscut first).

    A sheet that is cut piece by piece has no strips, but ``spots``. ``saws`` are the cuts in their order; of two that
    part one piece the same way, either may come first.
    """

    along: bool
    strips: tuple[Strip, ...]
    saws: tuple[SawCut, ...]
    spots: tuple[Spot, ...] = ()


@dataclass(frozen=True, slots=True)
class PanelCutting:
    """How all parts come out of sheets; ``bound``: no way takes fewer."""

    sheets: tuple[PanelCut, ...]
    bound: int
    how: str
    """``proved``: fewer there are not; ``through``: fewer do not do with cuts that go right through; ``strips``: with
    strips right across each sheet; ``bounded``: the best found, with its bound; ``first fit``: no solver at hand."""


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


_Sheets = list[tuple[bool, list[_Level]]]
"""For each sheet, whether its strips run along the grain, and the strips."""


def cut_panels(
    wanted: Sequence[WantedPart], panel: Panel, saw: PanelSaw, *, exact: bool = True
) -> PanelCutting:
    """How the parts come out of sheets of one size. Raises ``TooLarge`` for a part that no sheet gives."""
    bound, how = _by_area(wanted, panel, saw), "first fit"
    sheets = min(
        (_laid(wanted, panel, saw, along=along) for along in (True, False)), key=partial(_score, panel)
    )
    exact = exact and solver_here()
    if exact and len(sheets) > bound:
        task = _PanelTask(wanted, panel, saw)
        free = fewest_free(task.free, task.rooms[0], FREE_SECONDS)
        ended, worth = False, tuple[float, ...]()
        if free is None or len(free) < len(sheets):
            sheets, ended, worth = _improved(task, sheets)
        if free is not None:
            bound = len(free)
        elif worth and len(sheets) > bound:
            whole = sum(value * kind.many for value, kind in zip(worth, task.kinds, strict=True))
            bound = max(
                bound, whole_up(whole / max(1.0, most_worth(task.free, task.rooms[0], worth)), SOLVED)
            )
        how = "through" if len(sheets) <= bound else "strips" if ended else "bounded"
        if free is not None and len(free) < len(sheets):
            return PanelCutting(tuple(task.sawn(free)), bound, "through")
    elif exact:
        how = "proved"
        if len({*wanted}) <= MOST_KINDS_TIDIED:
            sheets, _, _ = _improved(_PanelTask(wanted, panel, saw), sheets)
    return PanelCutting(
        tuple(_as_cut(levels, panel, saw, along=along) for along, levels in sheets),
        min(bound, len(sheets)),
        how,
    )


MOST_KINDS_TIDIED = 12
"""Kinds of parts up to which less wood in strips, and fewer settings, are sought where fewer sheets there are not.
Basis: own judgement, from times."""
FREE_SECONDS = 3.0
"""What choosing among all that fit a sheet may take. Basis: own judgement."""


def sheet_gives(each: WantedPart, panel: Panel, saw: PanelSaw) -> bool:
    """Whether a sheet gives such a part at all."""
    return any(_ways(each, _room(panel, saw, along=along), along, saw.kerf) for along in (True, False))


def _laid(wanted: Sequence[WantedPart], panel: Panel, saw: PanelSaw, *, along: bool) -> _Sheets:
    """The widest first, with all strips in one direction."""
    room = _room(panel, saw, along=along)
    items = []
    for number, each in enumerate(wanted):
        ways = _ways(each, room, along, saw.kerf)
        if not ways:
            raise TooLarge(number)
        items.append(_Item(number, *min(ways, key=lambda way: way[1])))
    return [(along, levels) for levels in _first_fit(items, room)]


def _room(panel: Panel, saw: PanelSaw, *, along: bool) -> tuple[Fraction, Fraction]:
    """Along a strip and across all strips, with one kerf more: the last cut needs none."""
    long = panel.length - 2 * saw.ends + saw.kerf
    wide = panel.width - 2 * saw.edges + saw.kerf
    return (long, wide) if along else (wide, long)


def _ways(
    each: WantedPart, room: tuple[Fraction, Fraction], along: bool, kerf: Fraction
) -> list[tuple[Fraction, Fraction]]:
    """How a part may lie on strips of this direction, along and across them; none where the sheet does not give it."""
    ways = [(each.length + kerf, each.width + kerf)]
    if not along:
        ways = [(ways[0][1], ways[0][0])]
    if each.turns and each.length != each.width:
        ways.append((ways[0][1], ways[0][0]))
    return [way for way in ways if way[0] <= room[0] and way[1] <= room[1]]


def _by_area(wanted: Sequence[WantedPart], panel: Panel, saw: PanelSaw) -> int:
    """No way takes fewer: the parts' areas, each with its kerfs, against that of a sheet."""
    long, wide = _room(panel, saw, along=True)
    whole = sum((each.length + saw.kerf) * (each.width + saw.kerf) for each in wanted)
    return max(1, ceil(whole / (long * wide))) if wanted else 0


def _first_fit(items: Sequence[_Item], room: tuple[Fraction, Fraction]) -> list[list[_Level]]:
    """Widest first, each into the first strip with room; then the strips, widest first, into the first such sheet."""
    levels: list[_Level] = []
    for item in sorted(items, key=lambda item: (-item.wide, -item.long, item.part)):
        for place, level in enumerate(levels):
            if level.long + item.long <= room[0]:
                levels[place] = _Level((*level.items, item))
                break
        else:
            levels.append(_Level((item,)))
    sheets: list[list[_Level]] = []
    for level in levels:
        for sheet in sheets:
            if sum((each.wide for each in sheet), level.wide) <= room[1]:
                sheet.append(level)
                break
        else:
            sheets.append([level])
    return sheets


def _score(panel: Panel, sheets: _Sheets) -> tuple[int, float]:
    """Sheets; and what share of them lies in strips, with what the settings of fence and stop count for."""
    share, settings = 0.0, set[tuple[bool, Fraction]]()
    for along, levels in sheets:
        for level in levels:
            share += float(level.wide / (panel.width if along else panel.length))
            settings |= {(along, item.wide) for item in level.items}
            settings |= {(not along, item.long) for item in level.items}
    return len(sheets), share + SETTING * len(settings)


class _PanelTask:
    """The same in whole numbers, parts alike counted; a kerf with each part, and with each room."""

    def __init__(self, wanted: Sequence[WantedPart], panel: Panel, saw: PanelSaw) -> None:
        self.wanted, self.panel, self.saw = wanted, panel, saw
        every = (each for one in (*wanted, panel, saw) for each in one if isinstance(each, Fraction))
        self.scale = lcm(*(each.denominator for each in every))
        rooms = [_room(panel, saw, along=along) for along in (True, False)]
        self.rooms = [(int(long * self.scale), int(wide * self.scale)) for long, wide in rooms]
        self.numbers = grouped((each, number) for number, each in enumerate(wanted))
        self.kinds = [
            PartsAlike(
                len(which),
                tuple(
                    tuple(
                        (int(long * self.scale), int(wide * self.scale))
                        for long, wide in _ways(each, room, along, saw.kerf)
                    )
                    for room, along in zip(rooms, (True, False), strict=True)
                ),
            )
            for each, which in self.numbers.items()
        ]
        self.free = [(kind.many, kind.ways[0]) for kind in self.kinds]

    def sawn(self, shares: Sequence[Share]) -> Iterator[PanelCut]:
        """Sheets cut piece by piece; in strips, where these take no more."""
        left = [list(which) for which in self.numbers.values()]
        for share in shares:
            here = [[left[kind].pop() for _ in range(many)] for kind, many in enumerate(share.counts)]
            every = [number for which in here for number in which]
            some = [self.wanted[number] for number in every]
            laid = min(
                (_laid(some, self.panel, self.saw, along=along) for along in (True, False)),
                key=partial(_score, self.panel),
            )
            if len(laid) == 1:
                ((along, levels),) = laid
                own = [
                    _Level(tuple(item._replace(part=every[item.part]) for item in level.items))
                    for level in levels
                ]
                yield _as_cut(own, self.panel, self.saw, along=along)
                continue
            corner = (self.saw.ends, self.saw.edges)
            spots, saws = sawn(share.block, here, corner, self.rooms[0], MarkScale(self.scale, self.saw.kerf))
            yield PanelCut(True, (), saws, spots)


def _improved(task: _PanelTask, best: _Sheets) -> tuple[_Sheets, bool, tuple[float, ...]]:
    """The better of what is known and what the solver finds, whether that is proved, and what a part of each kind is
    worth."""
    scale = task.scale
    chosen = fewest_sheets(task.kinds, task.rooms, len(best))
    if chosen is None:
        return best, False, ()
    left = [list(which) for which in task.numbers.values()]
    levels: dict[tuple[int, int], list[_Level]] = {}
    for strip in chosen.strips:
        items = [
            _Item(left[part.kind].pop(), Fraction(part.long, scale), Fraction(part.wide, scale))
            for part in strip.parts
            if left[part.kind]
        ]
        if items:
            levels.setdefault((strip.direction, strip.wide), []).append(_Level(tuple(items)))
    sheets = []
    for sheet in chosen.sheets:
        lying = [
            levels[sheet.direction, wide].pop()
            for wide in sheet.widths
            if levels.get((sheet.direction, wide))
        ]
        if lying:
            sheets.append((sheet.direction == 0, lying))
    assert not any(left), "a part lies on no strip"
    assert not any(levels.values()), "a strip lies on no sheet"
    better = _score(task.panel, sheets) <= _score(task.panel, best)
    return (sheets if better else best), chosen.proved, chosen.worth


def _as_cut(levels: Sequence[_Level], panel: Panel, saw: PanelSaw, *, along: bool) -> PanelCut:
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
    return PanelCut(along, tuple(strips), tuple(_saws(strips, panel, along=along)))


def _saws(strips: Sequence[Strip], panel: Panel, *, along: bool) -> Iterator[SawCut]:
    """The strips, then the parts of each, then what is too wide; what reaches the far side is not cut there."""
    room, across = panel if along else panel[::-1]
    begin = strips[0].parts[0].start
    held = [tuple(each.part for each in sorted(strip.parts, key=lambda each: -each.wide)) for strip in strips]

    lines: list[tuple[tuple[Fraction, ...], Fraction, tuple[int, ...], tuple[int, ...]]] = []
    for n, strip in enumerate(strips):
        if (far := strip.start + strip.wide) < across:
            lines.append(((begin, far, room - begin, far), strip.wide, held[n], sum(held[n + 1 :], ())))
    for strip in strips:
        side = strip.start + strip.wide
        for n, each in enumerate(strip.parts):
            if (far := each.start + each.long) < room:
                rest = tuple(other.part for other in strip.parts[n + 1 :])
                lines.append(((far, strip.start, far, side), each.long, (each.part,), rest))
        for each in strip.parts:
            if each.wide < strip.wide:
                side, stop = strip.start + each.wide, each.start + each.long
                lines.append(((each.start, side, stop, side), each.wide, (each.part,), ()))
    for (x1, y1, x2, y2), measure, off, rest in lines:
        start, end = ((x1, y1), (x2, y2)) if along else ((y1, x1), (y2, x2))
        yield SawCut(start[1] == end[1], start, end, measure, off, rest)

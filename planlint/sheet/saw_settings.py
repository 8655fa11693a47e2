"""How often fence and stop are set where all that is cut to one measure, of all stock, is cut in a row."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from planlint.sheet.buying_list import Purchase
from planlint.sheet.cut_list import CutPart
from planlint.sheet.saw_turns import SawTurn, turns_of


class SawSetting(NamedTuple):
    """One setting: how wide or long it cuts (inches, the part's ``unit``), how many cuts, and of which parts; a strip
    is one cut for all its parts."""

    turn: SawTurn
    measure: Fraction
    unit: str
    cuts: int
    parts: tuple[CutPart, ...]


class _Cut(NamedTuple):
    turn: SawTurn
    measure: Fraction
    parts: tuple[CutPart, ...]


def saw_settings(buying: Sequence[Purchase]) -> tuple[SawSetting, ...]:
    """Each setting once, in an order in which the saw can cut: by turns, in each the largest first. What is cut piece
    by piece is not among them: ``settings_apart``. Boards are free of order: they take the turn that is set already."""
    alike: dict[tuple[SawTurn, Fraction], list[_Cut]] = {}
    every = [(*_of_sheets(buy), *_once_planed(buy)) for buy in buying]
    for cuts in (*every, *(cuts for buy in buying for cuts in _of_boards(buy))):
        sooner = [cut._replace(turn=_SOONER.get(cut.turn, cut.turn)) for cut in cuts]
        new = [sum((cut.turn, -cut.measure) not in alike for cut in each) for each in (cuts, sooner)]
        for cut in sooner if new[1] < new[0] else cuts:
            alike.setdefault((cut.turn, -cut.measure), []).append(cut)
    return tuple(
        SawSetting(
            turn, -least, cuts[0].parts[0].unit, len(cuts), tuple(part for cut in cuts for part in cut.parts)
        )
        for (turn, least), cuts in sorted(alike.items(), key=lambda each: each[0])
    )


class SlantSetting(NamedTuple):
    """One setting of the blade (``tilted``) or the fence, in degrees off square, and the parts of which ends or long
    edges are cut so, each with how many such cuts it has in all."""

    tilted: bool
    angle: Fraction
    parts: tuple[tuple[CutPart, int], ...]


def slant_settings(buying: Sequence[Purchase]) -> tuple[SlantSetting, ...]:
    """Each angle once: the turned fence first, since it stands square for all cuts before."""
    alike: dict[tuple[bool, Fraction], dict[str, tuple[CutPart, int]]] = {}
    for part in (part for buy in buying for part in buy.parts):
        for end in part.ends:
            found = alike.setdefault((end.tilted, end.angle), {})
            found[part.names[0]] = part, found.get(part.names[0], (part, 0))[1] + part.count
    return tuple(
        SlantSetting(tilted, angle, tuple(found.values())) for (tilted, angle), found in sorted(alike.items())
    )


def settings_apart(buying: Sequence[Purchase]) -> int:
    """How often the saw is set for sheets that are cut piece by piece, in the order of their numbers."""
    sheets = [cut.saws for buy in buying if buy.panels for cut in buy.panels.sheets if cut.saws]
    return sum(
        1 + sum((a.rip, a.measure) != (b.rip, b.measure) for a, b in pairwise(saws)) for saws in sheets
    )


_SOONER = {SawTurn.CROSSCUT: SawTurn.BAND, SawTurn.TRIM: SawTurn.RIP}


def _of_boards(buy: Purchase) -> Iterator[tuple[_Cut, ...]]:
    """The cuts of each part, in their order."""
    for part in buy.parts if buy.boards is not None else ():
        cuts = [_Cut(SawTurn.CROSSCUT, part.sawn, (part,))]
        if buy.stock.width is not None and part.width < buy.stock.width and not part.rough:
            cuts.append(_Cut(SawTurn.TRIM, part.width, (part,)))
        yield from [tuple(cuts)] * part.count


def _of_sheets(buy: Purchase) -> Iterator[_Cut]:
    for sheet in buy.panels.sheets if buy.panels and buy.panel else ():
        assert buy.panel is not None
        first, then, last = turns_of(along=sheet.along)
        room, across = buy.panel if sheet.along else buy.panel[::-1]
        for strip in sheet.strips:
            parts = [(each, buy.parts[buy.cut[each.part]]) for each in strip.parts]
            # The widest gives the strip its unit. What reaches the far side is not cut there.
            parts.sort(key=lambda each: -each[0].wide)
            if strip.start + strip.wide < across:
                yield _Cut(first, strip.wide, tuple(part for _, part in parts))
            for each, part in parts:
                if each.start + each.long < room:
                    yield _Cut(then, each.long, (part,))
                if each.wide < strip.wide:
                    yield _Cut(last, each.wide, (part,))


def _once_planed(buy: Purchase) -> Iterator[_Cut]:
    for part in buy.parts if buy.boards or buy.panels else ():
        for _ in range(part.count if part.rough else 0):
            yield _Cut(SawTurn.PLANED_RIP, part.width, (part,))
            yield _Cut(SawTurn.PLANED_CROSSCUT, part.length, (part,))


def how_many(parts: Sequence[CutPart]) -> list[tuple[CutPart, int]]:
    """The parts of a setting, each with how often it is there."""
    many = Counter(part.names[0] for part in parts)
    first = {part.names[0]: part for part in parts}
    return [(part, many[name]) for name, part in first.items()]

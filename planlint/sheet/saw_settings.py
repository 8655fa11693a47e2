"""The order in which fence and stop are set the fewest times for all that is cut, of all stock, as it is laid out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from planlint.sheet.buying_list import Purchase
from planlint.sheet.cut_list import CutPart
from planlint.sheet.panel_cutting import PanelCut

RIP, CROSSCUT, PLANE = "rip", "crosscut", "plane"
MOST_TRIED = 500
"""Orders that are tried for fewer settings. Basis: own judgement, from times."""


class SawSetting(NamedTuple):
    """One setting: ``way`` is rip or crosscut, or that what is rough is planed; how wide or long it cuts (inches, the
    part's ``unit``), how many cuts, and of which parts; a strip is one cut for all its parts."""

    way: str
    measure: Fraction
    unit: str
    cuts: int
    parts: tuple[CutPart, ...]


class SawSettings(NamedTuple):
    """In their order. ``fewest``: no other order does with fewer."""

    order: tuple[SawSetting, ...]
    fewest: bool


class _Cut(NamedTuple):
    """``after`` are the cuts, by their places among all, that must come before it; so many ``times`` it is made."""

    way: str
    measure: Fraction
    parts: tuple[CutPart, ...]
    after: tuple[int, ...]
    times: int = 1


def saw_settings(buying: Sequence[Purchase]) -> SawSettings:
    """Fence and stop for all boards and sheets together: what is cut from a piece comes after that piece is cut."""
    cuts: list[_Cut] = []
    for buy in buying:
        for part in buy.parts if buy.boards is not None else ():
            cuts.append(_Cut(CROSSCUT, part.sawn, (part,), (), part.count))
            if buy.stock.width is not None and part.width < buy.stock.width and not part.rough:
                cuts.append(_Cut(RIP, part.width, (part,), (len(cuts) - 1,), part.count))
        for sheet in buy.panels.sheets if buy.panels else ():
            cuts += (
                _piece_by_piece(buy, sheet, len(cuts)) if sheet.saws else _of_strips(buy, sheet, len(cuts))
            )
        for part in buy.parts if buy.boards or buy.panels else ():
            if part.rough:
                own = [place for place, cut in enumerate(cuts) if part in cut.parts]
                cuts.append(_Cut(PLANE, Fraction(0), (part,), tuple(own), part.count))
                cuts.append(_Cut(RIP, part.width, (part,), (len(cuts) - 1,), part.count))
                cuts.append(_Cut(CROSSCUT, part.length, (part,), (len(cuts) - 1,), part.count))
    order, fewest = fewest_settings([(cut.way, cut.measure) for cut in cuts], [cut.after for cut in cuts])
    found = []
    for (way, measure), places in order:
        some = [cuts[place] for place in places]
        parts = tuple(part for cut in some for part in cut.parts * cut.times)
        found.append(SawSetting(way, measure, parts[0].unit, sum(cut.times for cut in some), parts))
    return SawSettings(tuple(found), fewest)


def _of_strips(buy: Purchase, sheet: PanelCut, place: int) -> Iterator[_Cut]:
    """The cuts of a sheet, of which the first has this ``place``. What reaches the far side is not cut there: it is at
    hand once all others are cut off."""
    assert buy.panel is not None
    room, across = buy.panel if sheet.along else buy.panel[::-1]
    first, then = (RIP, CROSSCUT) if sheet.along else (CROSSCUT, RIP)
    strips: list[int] = []
    for strip in sheet.strips:
        parts = [(each, buy.parts[buy.cut[each.part]]) for each in strip.parts]
        # The widest gives the strip its unit.
        parts.sort(key=lambda each: -each[0].wide)
        at_hand = tuple(strips)
        if strip.start + strip.wide < across:
            yield _Cut(first, strip.wide, tuple(part for _, part in parts), ())
            strips.append(place)
            at_hand = (place,)
            place += 1
        cut_off: list[int] = []
        for each, part in sorted(parts, key=lambda each: each[0].start):
            ready = (*at_hand, *cut_off)
            if each.start + each.long < room:
                yield _Cut(then, each.long, (part,), at_hand)
                cut_off.append(place)
                ready = (place,)
                place += 1
            if each.wide < strip.wide:
                yield _Cut(first, each.wide, (part,), ready)
                place += 1


def _piece_by_piece(buy: Purchase, sheet: PanelCut, place: int) -> Iterator[_Cut]:
    """Each cut comes after those that cut its piece: which are those, earlier, that had any of its parts."""
    for number, saw in enumerate(sheet.saws):
        here = {*saw.off, *saw.rest}
        after = [n for n, each in enumerate(sheet.saws[:number]) if here & {*each.off, *each.rest}]
        parts = tuple(buy.parts[buy.cut[each]] for each in saw.off)
        yield _Cut(RIP if saw.rip else CROSSCUT, saw.measure, parts, tuple(place + n for n in after))


_Key = tuple[str, Fraction]
_Order = list[tuple[_Key, list[int]]]


def fewest_settings(keys: Sequence[_Key], after: Sequence[Sequence[int]]) -> tuple[_Order, bool]:
    """An order of the settings ``keys``, each with the cuts that are made at it, and whether no order takes fewer.

    ``after[i]`` are the cuts, all with lower numbers, that must be made before cut ``i``.
    """
    alike: dict[tuple[_Key, frozenset[int]], int] = {}
    kinds: list[int] = []
    for key, before in zip(keys, after, strict=True):
        kinds.append(alike.setdefault((key, frozenset(kinds[each] for each in before)), len(alike)))
    search = _Search(list(alike))
    spare, fewest = 0, True
    while (found := search.order(0, spare)) is None:
        fewest = search.tried <= MOST_TRIED
        spare = spare + 1 if fewest else len(alike)
    members: dict[int, list[int]] = {}
    for place, kind in enumerate(kinds):
        members.setdefault(kind, []).append(place)
    order = [(key, sorted(place for kind in made for place in members[kind])) for key, made in found]
    return order, fewest


class _Search:
    """Cuts that are alike, and come after cuts that are alike, are one. A set of them is a whole number, a bit each."""

    def __init__(self, cuts: Sequence[tuple[_Key, frozenset[int]]]) -> None:
        self.needs = [sum(1 << each for each in before) for _, before in cuts]
        self.members: dict[_Key, list[int]] = {}
        for place, (key, _) in enumerate(cuts):
            self.members.setdefault(key, []).append(place)
        self.all = (1 << len(cuts)) - 1
        self.failed: dict[int, int] = {}
        self.tried = 0

    def _ready(self, done: int, *, whole: bool) -> dict[_Key, list[int]]:
        """What can be cut next at each setting; ``whole``: at those where that is all that is left for it."""
        found = {}
        for key, places in self.members.items():
            left = [place for place in places if not done >> place & 1]
            ready, then = list[int](), done
            for place in left:
                if not self.needs[place] & ~then:
                    ready.append(place)
                    then |= 1 << place
            if ready and (len(ready) == len(left) or not whole):
                found[key] = ready
        return found

    def order(self, done: int, spare: int) -> _Order | None:
        """The settings for what is not ``done`` yet, where ``spare`` of them may be made once more.

        A setting that cuts all that is left for it is made at once: any order has it, and later it gives no more.
        Else one of those that cut something must be made, and once more later.
        """
        told: _Order = []
        while ready := self._ready(done, whole=True):
            way = told[-1][0][0] if told else ""
            key = min(ready, key=lambda each: (each[0] != way, each[0], -each[1]))
            told.append((key, ready[key]))
            done |= sum(1 << place for place in ready[key])
        if done == self.all:
            return told
        self.tried += 1
        if not spare or self.failed.get(done, 0) >= spare:
            return None
        ready = self._ready(done, whole=False)
        for key, made in sorted(ready.items(), key=lambda each: -len(each[1])):
            rest = self.order(done | sum(1 << place for place in made), spare - 1)
            if rest is not None:
                return [*told, (key, made), *rest]
            if self.tried > MOST_TRIED:
                break
        self.failed[done] = spare
        return None


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


def how_many(parts: Sequence[CutPart]) -> list[tuple[CutPart, int]]:
    """The parts of a setting, each with how often it is there."""
    many = Counter(part.names[0] for part in parts)
    first = {part.names[0]: part for part in parts}
    return [(part, many[name]) for name, part in first.items()]

"""The order in which fence and stop are set the fewest times for all that is cut, of all stock, as it is laid out."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from planlint.sheet.buying_list import Purchase
from planlint.sheet.cut_list import CutPart
from planlint.text.grouping import grouped

CROSSCUT, RIP, PLANE, *SLANTED = WAYS = "crosscut", "rip", "plane", "fence turned", "blade tilted"
"""Slanted cuts come last where that takes no more: fence and blade stand square before."""
MOST_TRIED = 500
"""Orders that are tried for fewer settings. Basis: own judgement, from times."""


class SawSetting(NamedTuple):
    """One setting: its ``way``; how wide or long it cuts, in inches, or how many degrees off square; the part's
    ``unit``; how many cuts, and of which parts. A strip is one cut for all its parts."""

    way: str
    measure: Fraction
    unit: str
    cuts: int
    parts: tuple[CutPart, ...]


class _SawStep(NamedTuple):
    """``after`` are the cuts, by their places among all, that must come before it; so many ``times`` it is made."""

    way: str
    measure: Fraction
    parts: tuple[CutPart, ...]
    after: tuple[int, ...]
    times: int = 1


def saw_settings(buying: Sequence[Purchase]) -> tuple[list[SawSetting], bool]:
    """The settings for all boards and sheets together, in their order, and whether no order does with fewer. What is
    cut from a piece comes after that piece is cut."""
    cuts: list[_SawStep] = []
    for buy in buying:
        for part in buy.parts if buy.boards is not None else ():
            cuts.append(_SawStep(CROSSCUT, part.sawn, (part,), (), part.count))
            if buy.stock.width is not None and part.width < buy.stock.width and not part.rough:
                cuts.append(_SawStep(RIP, part.width, (part,), (len(cuts) - 1,), part.count))
        for sheet in buy.panels.sheets if buy.panels else ():
            first, series = len(cuts), list[tuple[int, ...]]()
            for place, saw in enumerate(sheet.saws, first):
                here, beside, after = {*saw.off, *saw.rest}, tuple[int, ...](), tuple[int, ...]()
                for n, each in enumerate(sheet.saws[: place - first]):
                    if here.issubset(each.off):
                        beside, after = (), (first + n,)
                    elif here.issubset(each.rest):
                        # Of two that part one piece the same way either may come first; what is left comes after both.
                        free = each.rip == saw.rip
                        beside, after = (series[n], cuts[first + n].after) if free else ((), series[n])
                series.append((*beside, place))
                parts = tuple(buy.parts[buy.cut[each]] for each in saw.off)
                cuts.append(_SawStep(RIP if saw.rip else CROSSCUT, saw.measure, parts, after))
        for part in buy.parts:
            own = [place for place, cut in enumerate(cuts) if part in cut.parts]
            planed = ((PLANE, Fraction(0)), (RIP, part.width), (CROSSCUT, part.length))
            slanted = ((SLANTED[end.tilted], end.angle) for end in part.ends)
            for way, measure in (*(planed if own and part.rough else ()), *slanted):
                cuts.append(_SawStep(way, measure, (part,), tuple(own), part.count))
                own = [len(cuts) - 1]
    order, fewest = fewest_settings([(cut.way, cut.measure) for cut in cuts], [cut.after for cut in cuts])
    found = []
    for (way, measure), places in order:
        some = [cuts[place] for place in places]
        parts = tuple(part for cut in some for part in cut.parts * cut.times)
        found.append(SawSetting(way, measure, parts[0].unit, sum(cut.times for cut in some), parts))
    return found, fewest


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
    search = _OrderSearch(list(alike))
    spare, fewest = 0, True
    while (found := search.order(0, spare)) is None:
        fewest = search.tried <= MOST_TRIED
        spare = spare + 1 if fewest else len(alike)
    order = [(key, [place for place, kind in enumerate(kinds) if kind in made]) for key, made in found]
    return order, fewest


class _OrderSearch:
    """Cuts that are alike, and come after cuts that are alike, are one. A set of them is a whole number, a bit each."""

    def __init__(self, cuts: Sequence[tuple[_Key, frozenset[int]]]) -> None:
        self.needs = [sum(1 << each for each in before) for _, before in cuts]
        self.members = grouped((key, place) for place, (key, _) in enumerate(cuts))
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
            key = min(ready, key=lambda each: (each[0] != way, WAYS.index(each[0]), -each[1]))
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

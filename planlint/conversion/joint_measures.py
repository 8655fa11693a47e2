"""Measures of traditional joints that cannot be true, told at their place before anything is converted.

Geometry alone: nothing here rests on a rule of good practice.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from fractions import Fraction

from planlint.conversion.equivalents import LAPS
from planlint.conversion.exact_boxes import Box, box_of, own_box, piece_side
from planlint.conversion.statement_sites import Sites
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis, Side
from planlint.model.plan import Join, Part
from planlint.text.measures import length
from planlint.text.source import Mistake, Span

_LET_IN = frozenset({"dado", "sliding dovetail", "rabbet", "tongue and groove", "cope and stick"})


def bad_measures(piece: Piece, sites: Sites, joins: Iterable[Join]) -> list[Mistake]:
    """Every measure of these joints that does not add up, in the order of their places."""
    found: list[Mistake] = []
    taken: dict[tuple[str, Axis], list[Join]] = defaultdict(list)
    for join in joins:
        if join.tradition is None:
            continue
        check = _Check(piece, sites, join)
        found += check.mistakes()
        if join.tradition.inset and not (join.tradition.kind in LAPS and not join.part_a.is_end(join.side_a)):
            taken[join.part_a.name, join.side_a.axis].append(join)
    for (name, axis), group in taken.items():
        part = piece.plan.part_by_name[name]
        by_side = {join.side_a: join for join in group}
        total = sum((_inset(join) for join in by_side.values()), Fraction(0))
        if total >= part.size[axis]:
            check = _Check(piece, sites, group[0])
            says = (
                f"the joints of {name} take {check.length(total)} of it {axis.words}, and it is only "
                f"{check.length(part.size[axis])}: nothing would be left"
            )
            found.append(Mistake(check.place(), says))
    return sorted(dict.fromkeys(found))


def _inset(join: Join) -> Fraction:
    return join.tradition.inset if join.tradition is not None else Fraction(0)


class _Check:
    """The measures of one joint against the sizes of its two parts."""

    def __init__(self, piece: Piece, sites: Sites, join: Join) -> None:
        assert join.tradition is not None
        self.piece, self.sites, self.join, self.tradition = piece, sites, join, join.tradition
        self.a, self.b = join.part_a, join.part_b

    def length(self, inches: Fraction) -> str:
        return length(inches, self.sites.unit)

    def place(self, *words: str) -> Span:
        """Where a measure is written, or else the joint's name."""
        found = self.sites.tradition(self.join)
        if found is None:
            return self.tradition.span
        statement, item = found
        for measure in item.measures:
            if measure.word.text in words:
                return statement.at(measure.value.start, measure.word.end)
        return statement.at(item.kind.start, item.kind.end)

    def mistakes(self) -> Iterator[Mistake]:
        kind = self.tradition.kind
        if kind == "mortise and tenon":
            yield from self._tenon()
        elif kind in LAPS:
            yield from self._lap()
        elif kind in _LET_IN:
            yield from self._let_in()
        elif kind == "half-blind dovetail" and self.tradition.inset >= self.b.size[self.join.side_b.axis]:
            says = (
                f"half-blind tails stop inside {self.b.name}: {self.length(self.tradition.inset)} long they come out "
                f"of it, for it is {self.length(self.b.size[self.join.side_b.axis])} {self.join.side_b.axis.words}"
            )
            yield Mistake(self.place("deep", "long"), says)
        if kind != "mitre" and "thick" in self.tradition.measures:
            yield from self._thick()

    def _thick(self) -> Iterator[Mistake]:
        thick = self.tradition.measures["thick"]
        what = {"dowels": "a dowel", "loose spline": "a spline", "splined mitre": "a spline"}.get(
            self.tradition.kind, "a tenon" if self.tradition.kind == "mortise and tenon" else "a tongue"
        )
        if self.tradition.kind in LAPS:
            what = "what is left of it in the lap"
        for part in (self.a, self.b) if what in {"a dowel", "a spline"} else (self.a,):
            if part.is_face(self.join.side_a if part is self.a else self.join.side_b):
                continue
            full = what in {"a tenon", "a tongue"}
            if thick > part.thickness or (thick == part.thickness and not full):
                says = (
                    f"{what} {self.length(thick)} thick does not go into {part.name}, which is "
                    f"{self.length(part.thickness)} thick"
                )
                yield Mistake(self.place("thick"), says)

    def _tenon(self) -> Iterator[Mistake]:
        measures, inset = self.tradition.measures, self.tradition.inset
        whole = self.b.size[self.join.side_b.axis]
        wide, deep = measures.get("wide"), measures.get("deep")
        if wide is not None and self.a.is_end(self.join.side_a) and wide > self.a.width:
            own = self.length(self.a.width)
            says = f"a tenon {self.length(wide)} wide cannot be cut on {self.a.name}, which is {own} wide"
            yield Mistake(self.place("wide"), says)
        if deep is not None and deep < inset:
            tenon = self.length(inset)
            says = f"the mortise is {self.length(deep)} deep and the tenon {tenon} long: it would not go in"
            yield Mistake(self.place("deep"), says)
        if deep is not None and deep > whole:
            there = self.length(whole)
            says = (
                f"a mortise {self.length(deep)} deep goes right through {self.b.name}, which is {there} there"
            )
            yield Mistake(self.place("deep"), says)
        if "through" in self.tradition.words and inset < whole:
            says = (
                f"a through tenon {self.length(inset)} long does not come through {self.b.name}, which is "
                f"{self.length(whole)} {self.join.side_b.axis.words}"
            )
            yield Mistake(self.place("long"), says)
        for word, lies in (("thick", self.a.facing.axis), ("wide", self.a.across)):
            size = measures.get(word)
            looks = piece_side(self.a, _low(lies))
            if size is None or looks is None or self.b.turn is not None or lies is self.join.side_a.axis:
                continue
            room = self.b.size[looks.axis]
            if looks.axis is not self.b.grain and size >= room:
                there = self.length(room)
                says = f"a mortise {self.length(size)} {word} leaves nothing of {self.b.name}, which is {there} there"
                yield Mistake(self.place(word), says)

    def _lap(self) -> Iterator[Mistake]:
        kind, measures, inset = self.tradition.kind, self.tradition.measures, self.tradition.inset
        axis = self.join.side_b.axis
        whole = self.b.size[axis]
        if kind == "cross lap" and inset > self.a.size[self.join.side_a.axis]:
            says = (
                f"{self.a.name} is let in {self.length(inset)} deep and is only "
                f"{self.length(self.a.size[self.join.side_a.axis])} that way: the laps do not add up"
            )
            yield Mistake(self.place("deep"), says)
        if (
            kind != "cross lap"
            and self.a.is_end(self.join.side_a)
            and inset < whole
            and inset <= self.a.thickness
        ):
            # A lap may stop short of the far edge, or stand past it; so short a one is what is cut out of each.
            says = (
                f"the lap is {self.length(inset)} long and {self.b.name} {self.length(whole)} across: "
                f"it stops {self.length(whole - inset)} short, so the laps do not add up"
            )
            yield Mistake(self.place("long", "deep"), says)
        wide = measures.get("wide")
        if wide is not None:
            across = self.b.grain if kind == "cross lap" else self.a.across
            if across is not self.join.side_a.axis and wide != self.a.size[across]:
                says = (
                    f"the lap is {self.length(wide)} wide and {self.a.name} {self.length(self.a.size[across])}: "
                    "the laps do not add up"
                )
                yield Mistake(self.place("wide"), says)
        thick = measures.get("thick")
        if thick is not None and thick < self.a.thickness:
            for depth in self._cuts_in_b(self.a.facing.axis):
                if depth != thick:
                    says = (
                        f"{self.a.name} keeps {self.length(thick)} in the lap and {self.b.name} is cut "
                        f"{self.length(depth)} deep for it: the laps do not add up"
                    )
                    yield Mistake(self.place("thick"), says)

    def _cuts_in_b(self, axis: Axis) -> Iterator[Fraction]:
        """How deep along an axis the cuts in B are in which A lies."""
        box, host = box_of(self.a, self.piece.placement), box_of(self.b, self.piece.placement)
        lap = box.common(host) if box is not None and host is not None else None
        for removal in self.b.removals:
            room = own_box(self.b, self.piece.placement, removal.low, removal.high)
            inside = lap.common(room) if lap is not None and room is not None else None
            if lap is None or room is None or inside is None:
                continue
            if any(inside.shared(lap, each) < lap.shared(lap, each) for each in Axis if each is not axis):
                continue  # A groove that merely crosses the lap.
            depth = room.high[axis] - room.low[axis]
            if depth < self.b.size[axis]:
                yield depth

    def _let_in(self) -> Iterator[Mistake]:
        looks = piece_side(self.b, self.join.side_b)
        box, host = box_of(self.a, self.piece.placement), box_of(self.b, self.piece.placement)
        if looks is None or box is None or host is None:
            return
        for number, removal in enumerate(self.b.removals):
            room = own_box(self.b, self.piece.placement, removal.low, removal.high)
            if _crosses(self.sites, self.b, number, box, looks.axis):
                continue
            if room is None or room.plane(looks) != host.plane(looks) or not _over(box, room, looks.axis):
                continue
            depth = room.high[looks.axis] - room.low[looks.axis]
            if depth >= host.high[looks.axis] - host.low[looks.axis]:
                continue
            if depth < self.tradition.inset:
                says = (
                    f"the {removal.kind} in {self.b.name} is {self.length(depth)} deep, and {self.a.name} is said to "
                    f"go in {self.length(self.tradition.inset)}"
                )
                yield Mistake(self.place("deep", "long"), says)
            yield from self._too_narrow(removal.kind, room.high, room.low, looks.axis)

    def _too_narrow(
        self, kind: str, high: tuple[Fraction, ...], low: tuple[Fraction, ...], contact: Axis
    ) -> Iterator[Mistake]:
        if kind not in {"dado", "groove"} or self.a.removals or self.a.turn is not None:
            return
        tongue = self.tradition.measures.get("thick", self.a.thickness)
        axis = self.a.facing.axis
        room = high[axis] - low[axis]
        if axis is not contact and room < tongue:
            wide, thick = self.length(room), self.length(tongue)
            says = f"the {kind} in {self.b.name} is {wide} wide and does not take {self.a.name}, {thick}"
            yield Mistake(self.place("thick", "deep", "long"), says)


def _crosses(sites: Sites, part: Part, number: int, box: Box, contact: Axis) -> bool:
    """Whether a cut in a part runs across the broad side of what meets it there, so that it was not cut for it."""
    along = sites.runs_along(part, number)
    if along is None or along is contact:
        return False
    wide = Axis(3 - along - contact)
    return box.high[along] - box.low[along] < box.high[wide] - box.low[wide]


def _low(axis: Axis) -> Side:
    return (Side.LEFT, Side.FRONT, Side.BOTTOM)[axis]


def _over(one: Box, other: Box, contact: Axis) -> bool:
    return all(one.shared(other, axis) > 0 for axis in Axis if axis is not contact)

"""What is left of the cuts in which parts lay that are taken back, and the wood that would be lost from sight.

A cut stays but where the wood of a part lay in it that is taken back: rabbets for glass, grooves that run on and those
that cross a joint are stopped at it. Worked out on exact boxes; a part that lies in none is left alone.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import pairwise, product
from typing import NamedTuple

from planlint.conversion.cuts_taken_back import bow_deep
from planlint.conversion.equivalents import CROSSED
from planlint.conversion.exact_boxes import ExactBox, Slice, box_of, low_corner, own_box, piece_side, without
from planlint.conversion.statement_sites import Sites
from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import dot
from planlint.model.directions import Axis, Side, side_of
from planlint.model.plan import Join, Part, Size
from planlint.placement.placement_results import Placement

_Run = tuple[Fraction, Fraction]
"""From where to where along a part, in its own frame."""


class Remains(NamedTuple):
    """What is left of one cut, in which parts lay that are taken back."""

    runs: tuple[_Run, ...]
    """Where it is still cut; nowhere, if it goes."""
    lay: frozenset[str]
    whole: bool = False
    """Whether it stays as it is, since what lay in it filled only part of its section."""
    along: Axis = Axis.X
    """The way it runs."""
    open: Fraction = Fraction(0)
    """How far it ran on with nothing in it, and is wood now."""

    wider: bool = False
    """Whether what lay in it left some of its section open, which is wood now."""

    @property
    def goes(self) -> bool:
        return not self.runs and not self.whole


class Taken(NamedTuple):
    """Parts taken back: what is left of each, and the joins that do it."""

    piece: Piece
    sites: Sites
    slices: dict[str, tuple[Slice, ...]]
    converted: frozenset[int]

    def slices_of(self, part: Part) -> tuple[Slice, ...]:
        return self.slices.get(part.name) or (Slice(part),)

    def boxes(self, part: Part) -> list[ExactBox]:
        found = [each.box(self.piece.placement) for each in self.slices_of(part)]
        return [box for box in found if box is not None]

    def rooms(self, part: Part) -> list[ExactBox | None]:
        """Where each cut is; none of a hole, a slot or an arch, in which nothing is let in."""
        return [
            None if each.planes else own_box(part, self.piece.placement, each.low, each.high)
            for each in part.removals
        ]

    def lost(self, part: Part) -> list[ExactBox]:
        """The wood that goes."""
        whole = Slice(part).box(self.piece.placement)
        if part.name not in self.slices or whole is None:
            return []
        left = without([whole], [*self.boxes(part), *(room for room in self.rooms(part) if room is not None)])
        for side in self.slices[part.name][0].cuts if self.slices[part.name] else ():
            looks = piece_side(part, side)
            # At a slant it lies in the other part wholly: that was asked before.
            if part.cut_at(side) is not None and looks is not None:
                left = [box for box in left if box.plane(looks) != whole.plane(looks)]
        for bow in part.trims:
            looks = piece_side(part, bow.sides[0])
            if bow.kind == "bow" and looks is not None:  # What goes lies at its ends, where it swells least.
                back = bow_deep(bow, self.slices[part.name][0])
                left = [
                    box.moved({looks: back}) if box.plane(looks) == whole.plane(looks) else box
                    for box in left
                ]
        return left

    def mates(self, part: Part) -> Iterator[tuple[Join, Part]]:
        for join in self.piece.graph.joins_of(part):
            if join.index in self.converted:
                yield join, join.other(part)


def cut_remains(taken: Taken) -> dict[str, dict[int, Remains]]:
    """By part and number of the cut; those in which nothing lay that goes are not among them."""
    found: dict[str, dict[int, Remains]] = defaultdict(dict)
    lost = {name: taken.lost(taken.piece.plan.part_by_name[name]) for name in taken.slices}
    for part in taken.piece.plan.parts:
        if not part.removals:
            continue
        rooms = taken.rooms(part)
        mates = list(taken.mates(part))
        for number, room in enumerate(rooms):
            if room is None:
                continue
            filled = {
                other.name: inside
                for _, other in mates
                if (inside := [box for each in lost.get(other.name, ()) if (box := each.common(room))])
            }
            if filled:
                made_for = any(_made_for(taken, join, part, number, room) for join, _ in mates)
                found[part.name][number] = _remains(taken, part, number, room, filled, made_for)
    for join in (taken.piece.plan.joins[index] for index in taken.converted):
        leans = any(box_of(part, taken.piece.placement) is None for part in join.parts)
        for number in filled_aslant(taken.piece, join) if leans and join.inset else ():
            found[join.part_b.name][number] = Remains((), frozenset({join.part_a.name}), wider=True)
    for name, cuts in found.items():
        _settle(taken, taken.piece.plan.part_by_name[name], cuts)
    return found


def filled_aslant(piece: Piece, join: Join) -> dict[int, float]:
    """The cuts in B, by number, that what goes of A lies in at a slant, with the share that it fills the way that it
    fills least."""
    points = zip(*map(piece.body(join.part_b).to_own, corners_going(piece, join)), strict=True)
    reach = [(min(each), max(each)) for each in points]
    found = {}
    for number, cut in enumerate(join.part_b.removals):
        sizes = [(float(low), float(high)) for low, high in zip(cut.low, cut.high, strict=True)]
        shared = [min(a[1], b[1]) - max(a[0], b[0]) for a, b in zip(reach, sizes, strict=True)]
        if min(shared) > FLAT_CURVE:
            found[number] = min(each / (high - low) for each, (low, high) in zip(shared, sizes, strict=True))
    return found


def corners_going(piece: Piece, join: Join) -> list[Vector]:
    """The corners of what goes of A in a joint at a slant."""
    a, side, body = join.part_a, join.side_a, piece.body(join.part_a)
    normal, offset = body.own_planes[side]
    points: list[Vector] = []
    for deep, *at in product((0.0, float(join.inset)), *((0.0, float(size)) for size in a.size)):
        at[side.axis] += (offset - deep - dot(normal, (at[0], at[1], at[2]))) / normal[side.axis]
        points.append(body.to_piece((at[0], at[1], at[2])))
    return points


FLAT_CURVE = 0.01
"""Degrees, or inches, by which an end may miss the side that it lies on. Basis: own judgement; no saw is truer."""


def _remains(
    taken: Taken, part: Part, number: int, room: ExactBox, filled: dict[str, list[ExactBox]], made_for: bool
) -> Remains:
    lay = frozenset(filled)
    left = without([room], [box for boxes in filled.values() for box in boxes])
    if not left:
        return Remains((), lay)
    axis = taken.sites.runs_along(part, number)
    if axis is None or part.turn is not None:
        gone = (
            made_for
            and sum(box.volume for box in left) < room.volume / 2
            and not _in_use(taken, part, number, left, lay)
        )
        return Remains((), lay, whole=not gone, wider=gone)
    full, part_filled = _stretches(room, left, axis)
    if part_filled and not made_for:
        return Remains((), lay, whole=True)
    open_ = sum((high - low for low, high in full), Fraction(0))
    reach = room.high[axis] - room.low[axis]
    if made_for and open_ < reach - open_ and not _in_use(taken, part, number, left, lay):
        # What runs on a little past the part that it was cut for, nobody needs.
        return Remains((), lay, open=open_, wider=part_filled)
    origin = low_corner(part, taken.piece.placement)
    return Remains(
        tuple((low - origin[axis], high - origin[axis]) for low, high in full),
        lay,
        along=axis,
        wider=part_filled,
    )


def _stretches(room: ExactBox, left: list[ExactBox], axis: Axis) -> tuple[list[_Run], bool]:
    """Where a cut is left in its full section, and whether it is left in a part of it anywhere."""
    marks = sorted(
        {room.low[axis], room.high[axis], *(each for box in left for each in (box.low[axis], box.high[axis]))}
    )
    section = room.volume / (room.high[axis] - room.low[axis])
    full: list[_Run] = []
    partly = False
    for low, high in pairwise(marks):
        area = sum(
            (
                box.volume / (box.high[axis] - box.low[axis])
                for box in left
                if box.low[axis] <= low and box.high[axis] >= high
            ),
            Fraction(0),
        )
        if area == section:
            full.append((low, high))
        elif area:
            partly = True
    return full, partly


_MOSTLY = Fraction(3, 4)
"""Share of a cut's width that the part fills for which it was cut: a sheet may be thinner than its dado. Basis: own
judgement."""


def _made_for(taken: Taken, join: Join, part: Part, number: int, room: ExactBox) -> bool:
    """Whether a cut in a part was made for a join: it opens where they meet, and the other part fills its width."""
    assert join.tradition is not None
    if join.tradition.joint.form in CROSSED:
        return True
    return bool(join.tradition.joint.cuts) and part is join.part_b and _takes(taken, join, number, room)


def _takes(taken: Taken, join: Join, number: int, room: ExactBox) -> bool:
    """Whether a cut in B runs along A's breadth and is filled by A's thickness; not one that merely crosses it."""
    looks, host = piece_side(join.part_b, join.side_b), Slice(join.part_b).box(taken.piece.placement)
    box = Slice(join.part_a).box(taken.piece.placement)
    if looks is None or host is None or box is None or room.plane(looks) != host.plane(looks):
        return False
    along = taken.sites.runs_along(join.part_b, number)
    if along is None:
        return room.meets(box)
    wide = next(axis for axis in Axis if axis is not along and axis is not looks.axis)
    return room.shared(box, wide) >= _MOSTLY * (room.high[wide] - room.low[wide]) and box.shared(
        room, wide
    ) >= _MOSTLY * (box.high[wide] - box.low[wide])


def _in_use(taken: Taken, part: Part, number: int, left: Iterable[ExactBox], lay: frozenset[str]) -> bool:
    """Whether another part lies in what is left of a cut; not if in another cut that crosses it."""
    others = [room for each, room in enumerate(taken.rooms(part)) if each != number and room is not None]
    bare = without(left, others)
    return any(
        box.meets(each)
        for other in taken.piece.plan.parts
        if other is not part and other.name not in lay
        for box in taken.boxes(other)
        for each in bare
    )


def _settle(taken: Taken, part: Part, cuts: dict[int, Remains]) -> None:
    """Cuts of which all that is left lies in what stays of others are gone; nor is wood what those take out."""
    rooms, origin = taken.rooms(part), low_corner(part, taken.piece.placement)
    for number, remains in cuts.items():
        room = rooms[number]
        axis = taken.sites.runs_along(part, number)
        if room is None or axis is None or remains.whole or part.turn is not None:
            continue
        stay = [
            box
            for each, other in enumerate(rooms)
            if each != number and other is not None
            for box in _still_cut(other, cuts.get(each), origin)
        ]
        left = _still_cut(room, remains, origin)
        runs = remains.runs if without(left, stay) else ()
        lying = [box for name in remains.lay for box in taken.lost(taken.piece.plan.part_by_name[name])]
        filled = without([room], [*lying, *stay, *(left if runs else ())])
        full, partly = _stretches(room, filled, axis) if filled else ([], False)
        open_ = sum((high - low for low, high in full), Fraction(0)) if remains.open else Fraction(0)
        cuts[number] = remains._replace(runs=runs, open=open_, wider=remains.wider and partly)


def _still_cut(room: ExactBox, remains: Remains | None, origin: Size) -> list[ExactBox]:
    """Where a cut stays, of which so much remains; all of it where nothing that goes lay in it."""
    if remains is None or remains.whole:
        return [room]
    axis = remains.along
    return [stretch(room, axis, low + origin[axis], high + origin[axis]) for low, high in remains.runs]


def stretch(room: ExactBox, axis: Axis, low: Fraction, high: Fraction) -> ExactBox:
    """A box from here to there along an axis."""
    lows, highs = list(room.low), list(room.high)
    lows[axis], highs[axis] = low, high
    return ExactBox((lows[0], lows[1], lows[2]), (highs[0], highs[1], highs[2]))


# ---------------------------------------------------------------- wood that shows


class Showing(NamedTuple):
    """Wood that would be lost from sight where a part is taken back."""

    box: ExactBox
    past: str
    """The part beside which it stands."""
    side: str
    by: Fraction
    """How far it stands out there."""


def wood_that_shows(taken: Taken, part: Part, remains: dict[str, dict[int, Remains]]) -> Iterator[Showing]:
    """What a part would lose that does not lie in the wood of another."""
    placement = taken.piece.placement
    left = _tenons(taken, part, taken.lost(part))
    mates = [other for _, other in taken.mates(part)]
    for other in taken.piece.plan.parts if left else ():
        voids = [
            room
            for number, room in enumerate(taken.rooms(other))
            if room is not None and number not in remains.get(other.name, {})
        ]
        left = without(left, without(taken.boxes(other), voids))
    for box in left:
        outs = [max(out) for each in mates if (out := list(_past(box, each, placement)))]
        by, past, side = min(outs, default=(Fraction(0), "", ""))
        yield Showing(box, past, side, by)


def _tenons(taken: Taken, part: Part, left: list[ExactBox]) -> list[ExactBox]:
    """Of the wood that goes, what is tenon: beside one said to be thinner or narrower there are shoulders, no wood."""
    whole = Slice(part).box(taken.piece.placement)
    for join, _ in taken.mates(part):
        tradition, side = join.tradition, piece_side(part, join.side_a)
        if part is not join.part_a or tradition is None or tradition.kind != "mortise and tenon":
            continue
        if "haunched" in tradition.words:  # It lies to one side.
            continue
        for word, axis in (("thick", part.facing.axis), ("wide", part.across)):
            size, looks = tradition.measures.get(word), piece_side(part, side_of(axis, 1))
            if size is None or looks is None or side is None or whole is None or axis is join.side_a.axis:
                continue
            off = dict.fromkeys((looks, looks.opposite), (part.size[axis] - size) / 2)
            left = [
                box.moved(off)
                if box.plane(side) == whole.plane(side) and all(box.plane(e) == whole.plane(e) for e in off)
                else box
                for box in left
            ]
    return left


def _past(box: ExactBox, other: Part, placement: Placement) -> Iterator[tuple[Fraction, str, str]]:
    """How far a box reaches past the sides of a part: how far, the part, the side."""
    against = Slice(other).box(placement)
    if against is not None:
        for side in Side:
            by = (box.plane(side) - against.plane(side)) * side.sign
            if by > 0:
                yield by, other.name, side.value

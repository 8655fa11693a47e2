"""Wood cut from a part: its ends off square, rabbets, grooves, dados and notches."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction
from math import radians, tan
from typing import NamedTuple

from planlint.language.expression_tree import Expression
from planlint.language.syntax_tree import CutItem, RemovalItem, Statement
from planlint.model.directions import Axis, Side, side_of
from planlint.model.elaboration_state import Workings, in_words, side_of_word
from planlint.model.expressions import angle_of, distance, positive_length
from planlint.model.foreign_lines import Elsewhere
from planlint.model.mistake_log import FollowOn, Refusal
from planlint.model.plan import EndCut, Removal, Size
from planlint.model.provenance import CutSaid, RemovalSaid
from planlint.model.scope import Scope
from planlint.text.source import Span

STEEPEST = 80
"""Degrees from square past which a saw leaves a feather, not an end. Basis: own judgement."""

MOST_REMOVALS = 100
"""Rabbets, grooves, dados and notches in one part. Basis: own judgement."""

_ZERO = Fraction(0)


def cut_ends(
    workings: Workings,
    items: Iterable[CutSaid],
    grain: Axis,
    size: Size,
) -> tuple[EndCut, ...]:
    """The ends cut off square; raises ``FollowOn`` once a mistake is noted."""
    cuts: list[EndCut] = []
    sound = True
    for statement, item, span, scope in items:
        try:
            for cut in _cuts(item, scope, grain, span):
                if any(other.end is cut.end for other in cuts):
                    raise _at(statement, span, f"the {cut.end.value} end is cut twice: keep one of the two")
                cuts.append(cut)
        except Refusal as refusal:
            workings.ledger.refuse(statement, refusal)
            sound = False
    if sound and len(cuts) == 2:
        _check_crossing(workings, cuts, grain, size)
    elif sound and cuts:
        _check_lost(workings, cuts[0], _loss(cuts[0], size), size[grain])
    if not sound:
        raise FollowOn
    return tuple(cuts)


def _cuts(item: CutItem, scope: Scope, grain: Axis, span: Span) -> Iterable[EndCut]:
    ends = (side_of(grain, -1), side_of(grain, 1))
    if item.end is not None:
        end = side_of_word(item.end)
        if end.axis != grain:
            says = f"{end.value} is not an end of this part: its ends are {ends[0].value} and {ends[1].value}"
            raise Refusal(item.end.start, item.end.end, says)
        ends = (end, end)
    angle = angle_of(item.angle, scope)
    if not 0 <= angle <= STEEPEST:
        says = f"an end is cut 0 to {STEEPEST} degrees off square; the long point says which way it leans"
        raise Refusal(item.angle.start, item.angle.end, says)
    long_at = side_of_word(item.long_at)
    if long_at.axis == grain:
        others = in_words((side.value for side in Side if side.axis != grain), "or")
        says = f"the long point lies along {long_at.value}, which is an end itself: say {others}"
        raise Refusal(item.long_at.start, item.long_at.end, says)
    return [EndCut(end, angle, long_at, span) for end in dict.fromkeys(ends)]


def _loss(cut: EndCut, size: Size) -> float:
    """How much shorter the part is at the short side of a cut."""
    return tan(radians(float(cut.angle))) * float(size[cut.long_at.axis])


def _check_crossing(workings: Workings, cuts: list[EndCut], grain: Axis, size: Size) -> None:
    """Both cuts take from one corner unless their long points lie on opposite sides."""
    one, other = cuts
    if one.long_at is other.long_at.opposite:
        worst = max(cuts, key=lambda cut: _loss(cut, size))
        _check_lost(workings, worst, _loss(worst, size), size[grain])
    else:
        _check_lost(workings, other, _loss(one, size) + _loss(other, size), size[grain])


def _check_lost(workings: Workings, cut: EndCut, lost: float, long: Fraction) -> None:
    # Nothing left at the short side is a point; less than nothing is no part.
    if lost > float(long) + 1e-9:
        says = (
            f"the part is {workings.length(long)} long and its cut ends take {workings.length(lost)} "
            f"from the side opposite {cut.long_at.value}, so the cuts cross: make it longer or cut it nearer square"
        )
        workings.add(cut.span, says)
        raise FollowOn


# ---------------------------------------------------------------- rabbets, grooves, dados, notches


_Stretch = tuple[Axis, Fraction, Fraction]
"""From where to where wood is taken away along an axis of the part."""


class _Asked(NamedTuple):
    """A rabbet, groove, dado or notch as it is told, and the size of the part it is cut from."""

    workings: Workings
    scope: Scope
    item: RemovalItem
    sides: list[Side]
    size: Size

    @property
    def kind(self) -> str:
        return self.item.kind.text

    def inward(self, side: Side, near: Fraction, far: Fraction) -> _Stretch:
        """From ``near`` to ``far`` in from a side."""
        axis = side.axis
        return (axis, near, far) if side.sign < 0 else (axis, self.size[axis] - far, self.size[axis] - near)

    def too_deep(self, at: Expression, taken: Fraction, side: Side) -> Refusal:
        says = (
            f"the {self.kind} goes {self.workings.length(taken)} in from {side.value}, and the part is only "
            f"{self.workings.length(self.size[side.axis])} {side.axis.words}: nothing would be left there"
        )
        return Refusal(at.start, at.end, says)


def take_away(workings: Workings, items: Iterable[RemovalSaid], size: Size) -> tuple[Removal, ...]:
    """The wood taken away, each a box in the part's own frame; raises ``FollowOn`` once a mistake is noted."""
    removals: list[Removal] = []
    sound = True
    for statement, item, span, scope in items:
        try:
            if len(removals) == MOST_REMOVALS:
                raise _at(
                    statement, span, f"more than {MOST_REMOVALS} cuts in one part: check how it is written"
                )
            asked = _Asked(workings, scope, item, [side_of_word(word) for word in item.sides], size)
            low, high = [_ZERO, _ZERO, _ZERO], list(size)
            for axis, start, stop in _stretches(asked):
                low[axis], high[axis] = start, stop
            removals.append(Removal(asked.kind, (low[0], low[1], low[2]), (high[0], high[1], high[2]), span))
        except Refusal as refusal:
            workings.ledger.refuse(statement, refusal)
            sound = False
    if not sound:
        raise FollowOn
    return tuple(removals)


def _stretches(asked: _Asked) -> Iterator[_Stretch]:
    """What bounds the wood taken away; along an axis that is not among them, the part's whole size goes."""
    item, sides = asked.item, asked.sides
    if len({side.axis for side in sides}) < len(sides) or (item.beyond is not None and len(sides) < 3):
        names = in_words(side.value for side in sides)
        says = f"{names} do not meet at a corner: name sides that do"
        raise Refusal(item.sides[0].start, item.sides[-1].end, says)
    if item.beyond is not None:
        yield from _cutout(asked, item.beyond)
    else:
        yield from _channel(asked) if item.offset is not None else _corner(asked)
    if item.run is not None:
        yield _along(asked, *item.run)


def _corner(asked: _Asked) -> Iterator[_Stretch]:
    """A rabbet or a notch: ``depths[i]`` in from ``sides[i]``."""
    depths, sides = asked.item.depths, asked.sides
    if len(depths) != len(sides) or len(sides) < 2:
        raise FollowOn  # the reader has said that each side needs a measure
    through = 0
    for depth, side in zip(depths, sides, strict=True):
        taken = positive_length(depth, asked.scope, f"the {asked.kind}")
        whole = asked.size[side.axis]
        through += taken == whole
        # A notch with three measures may run right through one way; any more and it cuts the part off.
        if taken > whole or through > len(sides) - 2:
            raise asked.too_deep(depth, taken, side)
        yield asked.inward(side, _ZERO, taken)


def _channel(asked: _Asked) -> Iterator[_Stretch]:
    """A groove or a dado: so wide, so deep into one side, its near wall so far from another."""
    item, sides, kind = asked.item, asked.sides, asked.kind
    if len(item.depths) != 2 or len(sides) != 2 or item.offset is None:
        raise Refusal(
            item.kind.start,
            item.sides[-1].end if item.sides else item.kind.end,
            f"a {kind} is so wide and so deep, in one side, and so far from another: "
            f"`{kind} 1/4 wide 3/8 deep along bottom, 1/2 from back`",
        )
    wide_of, deep_of = item.depths
    wide = positive_length(wide_of, asked.scope, f"the width of the {kind}")
    deep = positive_length(deep_of, asked.scope, f"the depth of the {kind}")
    offset = distance(item.offset, asked.scope, f"the distance of the {kind}")
    into, measured = sides
    if deep >= asked.size[into.axis]:
        raise asked.too_deep(deep_of, deep, into)
    whole = asked.size[measured.axis]
    if offset + wide > whole or wide == whole:
        says = (
            f"the {kind} reaches {asked.workings.length(offset + wide)} from {measured.value}, "
            f"and the part is only {asked.workings.length(whole)} {measured.axis.words}"
        )
        raise Refusal(item.offset.start, item.sides[-1].end, says)
    yield asked.inward(into, _ZERO, deep)
    yield asked.inward(measured, offset, offset + wide)


def _cutout(asked: _Asked, beyond: Expression) -> Iterator[_Stretch]:
    """A hole with square corners in a side: so far from two others, right through unless it says how deep."""
    item = asked.item
    face, *beside = asked.sides
    assert item.offset is not None
    for size_of, place_of, side in zip(item.depths, (item.offset, beyond), beside, strict=False):
        size = positive_length(size_of, asked.scope, "the size of the cutout")
        place = distance(place_of, asked.scope, "the distance of the cutout")
        whole = asked.size[side.axis]
        if place + size >= whole or not place:
            says = (
                f"the cutout reaches {asked.workings.length(place)} to {asked.workings.length(place + size)} from "
                f"{side.value}, and the part is {asked.workings.length(whole)} {side.axis.words}: wood must stay on "
                "all its sides; at an edge it is a `notch`"
            )
            raise Refusal(place_of.start, place_of.end, says)
        yield asked.inward(side, place, place + size)
    if len(item.depths) > 2:
        deep = positive_length(item.depths[2], asked.scope, "the depth of the cutout")
        if deep > asked.size[face.axis]:
            raise asked.too_deep(item.depths[2], deep, face)
        yield asked.inward(face, _ZERO, deep)


def _along(asked: _Asked, first: Expression, last: Expression) -> _Stretch:
    """A rabbet, groove or dado that does not run the whole way: from here to there, along the third direction."""
    axis = Axis(3 - asked.sides[0].axis - asked.sides[1].axis)
    start = distance(first, asked.scope, f"the start of the {asked.kind}")
    stop = positive_length(last, asked.scope, f"the end of the {asked.kind}")
    if stop > asked.size[axis]:
        told, whole = (asked.workings.length(inches) for inches in (stop, asked.size[axis]))
        says = f"this is {told} along, and the part is only {whole} that way"
        raise Refusal(last.start, last.end, says)
    if stop <= start:
        says = f"the {asked.kind} stops before it starts: the smaller of the two comes first"
        raise Refusal(first.start, last.end, says)
    return axis, start, stop


def _at(statement: Statement, span: Span, says: str) -> Refusal:
    if isinstance(statement, Elsewhere):
        return Refusal(None, 0, says)
    return Refusal(span.start - statement.span.start, span.end - statement.span.start, says)

"""Wood cut from a part: ends and edges off square, rabbets, grooves, dados, notches, cutouts, holes and arches."""

from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from itertools import combinations
from math import radians, tan
from typing import NamedTuple, TypeVar

from planlint.language.expression_tree import Expression
from planlint.language.syntax_tree import CutItem, RemovalItem, Statement
from planlint.model.arc_statements import arc_told, rise_told, run_of
from planlint.model.curves import Arc, Slants, arc_over, round_outline
from planlint.model.directions import Axis, Side, side_of
from planlint.model.elaboration_state import Workings, side_of_word
from planlint.model.expressions import angle_of, distance, positive_length
from planlint.model.foreign_lines import Elsewhere
from planlint.model.mistake_log import FollowOn, Refusal
from planlint.model.plan import EndCut, HalfSpace, Removal, Size
from planlint.model.provenance import CutSaid, RemovalSaid, TrimSaid
from planlint.model.scope import Scope
from planlint.text.measures import in_words
from planlint.text.rounding import TOUCH
from planlint.text.source import Span

STEEPEST = 80
"""Degrees from square past which a saw leaves a feather, not an end. Basis: own judgement."""

MOST_REMOVALS = 100
"""Rabbets, grooves, notches, holes … in one part. Basis: own judgement."""

_ZERO = Fraction(0)

_Said = TypeVar("_Said", CutSaid, RemovalSaid, TrimSaid)
Made = TypeVar("Made")


def cut_aslant(
    workings: Workings,
    items: Iterable[CutSaid],
    grain: Axis,
    facing: Axis,
    size: Size,
) -> tuple[EndCut, ...]:
    """The ends and the long edges cut off square; raises ``FollowOn`` once a mistake is noted."""
    cuts: list[EndCut] = []
    across = Axis(3 - grain - facing)

    def made(said: CutSaid) -> list[EndCut]:
        statement, item, span, scope = said
        for cut in _cuts(item, scope, across if item.edge else grain, facing, span):
            others = [other for other in cuts if other.end is cut.end]
            what = f"the {cut.end.value} {'edge' if item.edge else 'end'} is cut"
            if any(other.long_at is cut.long_at for other in others):
                says = f"{what} twice, long at {cut.long_at.value}: keep one of the two"
                raise in_place(statement, span, says)
            if len(others) > (0 if item.edge else 1):
                says = (
                    f"{what} {'twice' if item.edge else 'three times'}: keep {'one' if item.edge else 'two'}"
                )
                raise in_place(statement, span, says)
            cuts.append(cut)
        return []

    noted(workings, items, made, "cuts in one part")
    for axis in (grain, across):
        _check_along(workings, [cut for cut in cuts if cut.end.axis is axis], size, edge=axis is across)
    return tuple(cuts)


def _check_along(workings: Workings, cuts: list[EndCut], size: Size, *, edge: bool) -> None:
    """That the cuts at the two sides along an axis do not cross."""
    for one, other in combinations(cuts, 2):
        if one.end is not other.end:
            _check_crossing(workings, [one, other], size, edge=edge)
    for cut in cuts if len(cuts) != 2 or cuts[0].end is cuts[1].end else ():
        _check_lost(workings, cut, _loss(cut, size), size[cut.end.axis], edge=edge)


def _cuts(item: CutItem, scope: Scope, grain: Axis, facing: Axis, span: Span) -> Iterable[EndCut]:
    """The cuts of one line; of edges, ``grain`` is the axis across the part, along which they look."""
    ends = (side_of(grain, -1), side_of(grain, 1))
    if item.end is not None:
        end = side_of_word(item.end)
        if end.axis != grain:
            what = "edge" if item.edge else "end"
            says = f"{end.value} is not an {what} of this part: its {what}s are {ends[0].value} and {ends[1].value}"
            raise Refusal.at(item.end, says)
        ends = (end, end)
    angle = angle_of(item.angle, scope)
    if not 0 <= angle <= STEEPEST:
        what = "edge" if item.edge else "end"
        says = f"an {what} is cut 0 to {STEEPEST} degrees off square; the long point says which way it leans"
        raise Refusal.at(item.angle, says)
    long_at = side_of_word(item.long_at)
    if item.edge and long_at.axis is not facing:
        faces = f"{side_of(facing, -1).value} or {side_of(facing, 1).value}"
        says = f"an edge is cut through the thickness, so the long point lies at a face: say {faces}"
        raise Refusal.at(item.long_at, says)
    if long_at.axis == grain:
        others = in_words((side.value for side in Side if side.axis != grain), "or")
        says = f"the long point lies along {long_at.value}, which is an end itself: say {others}"
        raise Refusal.at(item.long_at, says)
    return [EndCut(end, angle, long_at, span) for end in dict.fromkeys(ends)]


def _loss(cut: EndCut, size: Size) -> float:
    """How much shorter the part is at the short side of a cut."""
    return tan(radians(float(cut.angle))) * float(size[cut.long_at.axis])


def _check_crossing(workings: Workings, cuts: list[EndCut], size: Size, *, edge: bool) -> None:
    """Both cuts take from one corner unless their long points lie on opposite sides."""
    one, other = cuts
    axis = one.end.axis
    if one.long_at is other.long_at.opposite:
        worst = max(cuts, key=lambda cut: _loss(cut, size))
        _check_lost(workings, worst, _loss(worst, size), size[axis], edge=edge)
    else:
        _check_lost(workings, other, _loss(one, size) + _loss(other, size), size[axis], edge=edge)


def _check_lost(workings: Workings, cut: EndCut, lost: float, long: Fraction, *, edge: bool) -> None:
    # Nothing left at the short side is a point; less than nothing is no part.
    if lost > float(long) + TOUCH:
        long_, ends, longer = ("wide", "edges", "wider") if edge else ("long", "ends", "longer")
        says = (
            f"the part is {workings.length(long)} {long_} and its cut {ends} take {workings.length(lost)} from the "
            f"side opposite {cut.long_at.value}, so the cuts cross: make it {longer} or cut it nearer square"
        )
        workings.add(cut.span, says)
        raise FollowOn


# ---------------------------------------------------------------- rabbets, grooves, dados, notches


_Stretch = tuple[Axis, Fraction, Fraction]
"""From where to where wood is taken away along an axis of the part."""


class _HollowTold(NamedTuple):
    """A rabbet, groove, dado or notch as it is told, and the size of the part it is cut from."""

    workings: Workings
    scope: Scope
    item: RemovalItem
    sides: list[Side]
    size: Size
    grain: Axis
    facing: Axis

    @property
    def kind(self) -> str:
        return self.item.kind.text

    def inward(self, side: Side, near: Fraction, far: Fraction) -> _Stretch:
        """From ``near`` to ``far`` in from a side."""
        axis = side.axis
        return (axis, near, far) if side.sign < 0 else (axis, self.size[axis] - far, self.size[axis] - near)

    def too_deep(self, at: Expression, taken: Fraction, side: Side, meant: str = "") -> Refusal:
        says = (
            f"the {self.kind} goes {self.workings.length(taken)} in from {side.value}, and the part is only "
            f"{self.workings.length(self.size[side.axis])} {side.axis.words}: nothing would be left there{meant}"
        )
        return Refusal.at(at, says)


def take_away(
    workings: Workings, items: Iterable[RemovalSaid], grain: Axis, facing: Axis, size: Size, slants: Slants
) -> tuple[Removal, ...]:
    """The wood taken away, each in the part's own frame; raises ``FollowOn`` once a mistake is noted."""
    return noted(
        workings,
        items,
        lambda said: [_removal(workings, said, grain, facing, size, slants)],
        "cuts in one part",
    )


def _removal(
    workings: Workings, said: RemovalSaid, grain: Axis, facing: Axis, size: Size, slants: Slants
) -> Removal:
    sides = [side_of_word(word) for word in said.item.sides]
    asked = _HollowTold(workings, said.scope, said.item, sides, size, grain, facing)
    low, high = [_ZERO, _ZERO, _ZERO], list(size)
    for axis, start, stop in _stretches(asked):
        low[axis], high[axis] = start, stop
    planes = _outline(asked, low, high, slants)
    box = (low[0], low[1], low[2]), (high[0], high[1], high[2])
    return Removal(asked.kind, *box, said.span, planes, _arc(asked)[1] if said.item.points else ())


def noted(
    workings: Workings, items: Iterable[_Said], made: Callable[[_Said], Iterable[Made]], called: str
) -> tuple[Made, ...]:
    """What each detail of a part makes, no more than ``MOST_REMOVALS``; raises ``FollowOn`` once a mistake is noted."""
    found: list[Made] = []
    sound = True
    for said in items:
        try:
            if len(found) >= MOST_REMOVALS:
                says = f"more than {MOST_REMOVALS} {called}: check how it is written"
                raise in_place(said.statement, said.span, says)
            found += made(said)
        except Refusal as refusal:
            workings.log.refuse(said.statement, refusal)
            sound = False
    if not sound:
        raise FollowOn
    return tuple(found)


def _stretches(asked: _HollowTold) -> Iterator[_Stretch]:
    """What bounds the wood taken away; along an axis that is not among them, the part's whole size goes."""
    item, sides = asked.item, asked.sides
    if len({side.axis for side in sides}) < len(sides) or (item.beyond is not None and len(sides) < 3):
        names = in_words(side.value for side in sides)
        says = f"{names} do not meet at a corner: name sides that do"
        raise Refusal.at(item.sides[0], says, last=item.sides[-1])
    if item.beyond is not None:
        yield from _cutout(asked, item.beyond)
    elif asked.kind == "arch":
        yield from _arch_through(asked) if item.points else _arch(asked)
        return
    else:
        yield from _channel(asked) if item.offset is not None else _corner(asked)
    if item.run is not None:
        yield _along(asked, *item.run)


def _corner(asked: _HollowTold) -> Iterator[_Stretch]:
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


def _channel(asked: _HollowTold) -> Iterator[_Stretch]:
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
        turned = f"{asked.workings.length(deep)} wide {asked.workings.length(wide)} deep"
        meant = f"; is it the other way round, `{kind} {turned} …`?" * (wide < asked.size[into.axis])
        raise asked.too_deep(deep_of, deep, into, meant)
    whole = asked.size[measured.axis]
    if offset + wide > whole or wide == whole:
        says = (
            f"the {kind} reaches {asked.workings.length(offset + wide)} from {measured.value}, "
            f"and the part is only {asked.workings.length(whole)} {measured.axis.words}"
        )
        raise Refusal.at(item.offset, says, last=item.sides[-1])
    yield asked.inward(into, _ZERO, deep)
    yield asked.inward(measured, offset, offset + wide)


def _cutout(asked: _HollowTold, beyond: Expression) -> Iterator[_Stretch]:
    """A cutout, a slot or a hole in a side: so far from two others, right through unless it says how deep. Of a hole
    its middle is told."""
    item, kind = asked.item, asked.kind
    face, *beside = asked.sides
    assert item.offset is not None
    wide, deep_of = item.depths[:2], item.depths[2:]
    if kind == "hole":
        wide, deep_of = item.depths[:1] * 2, item.depths[1:]
    for size_of, place_of, side in zip(wide, (item.offset, beyond), beside, strict=True):
        size = positive_length(size_of, asked.scope, f"the size of the {kind}")
        place = distance(place_of, asked.scope, f"the distance of the {kind}")
        if kind == "hole":
            place -= size / 2
        whole = asked.size[side.axis]
        if place + size >= whole or place <= 0:
            says = (
                f"the {kind} reaches {asked.workings.length(place)} to {asked.workings.length(place + size)} from "
                f"{side.value}, and the part is {asked.workings.length(whole)} {side.axis.words}: wood must stay on "
                "all its sides; at an edge it is a `notch`"
            )
            raise Refusal.at(place_of, says)
        yield asked.inward(side, place, place + size)
    if deep_of:
        deep = positive_length(deep_of[0], asked.scope, f"the depth of the {kind}")
        if deep > asked.size[face.axis]:
            raise asked.too_deep(deep_of[0], deep, face)
        yield asked.inward(face, _ZERO, deep)


def _arch(asked: _HollowTold) -> Iterator[_Stretch]:
    """A hollow curve in a side, from end to end or from here to there, as high as it says or its radius makes it."""
    (size,), (side,) = asked.item.depths, asked.sides
    axis = run_of(side, asked.grain, asked.facing)
    along = (axis, _ZERO, asked.size[axis])
    if asked.item.run is not None:
        along = _along(asked, *asked.item.run)
    told = positive_length(size, asked.scope, "the arch")
    half = float(along[2] - along[1]) / 2
    rise = rise_told(asked.workings, size, told, half, "arch", radius=asked.item.radius)
    if rise >= asked.size[side.axis]:
        raise asked.too_deep(size, rise, side)
    yield along
    yield asked.inward(side, _ZERO, rise)


def _arc(asked: _HollowTold) -> tuple[Arc, tuple[Size, ...]]:
    part = asked.grain, asked.facing, asked.size
    return arc_told(asked.workings, asked.scope, asked.item, part, swells=False)


def _arch_through(asked: _HollowTold) -> Iterator[_Stretch]:
    """An arch that is told by points: as far along as they lead, as deep as the arc is anywhere between."""
    side, (arc, points) = asked.sides[0], _arc(asked)
    if asked.item.run is not None:
        word = asked.item.sides[0]
        raise Refusal.at(word, "the points say from where to where it runs: leave `from … to …` out")
    reach = Fraction(arc.rise(-side.sign))
    deep = reach if side.sign < 0 else asked.size[side.axis] + reach
    if deep >= asked.size[side.axis]:
        raise asked.too_deep(asked.item.points[1].deep, deep, side)
    yield arc.axes[0], points[0][arc.axes[0]], points[-1][arc.axes[0]]
    yield asked.inward(side, _ZERO, deep)


def _outline(
    asked: _HollowTold, low: list[Fraction], high: list[Fraction], slants: Slants
) -> tuple[HalfSpace, ...]:
    """What else bounds wood that is taken away, where that is no box."""
    kind, side = asked.kind, asked.sides[0]
    if kind in {"hole", "slot"}:
        one, other = (axis for axis in Axis if axis is not side.axis)
        return round_outline((one, other), (low[one], low[other]), (high[one], high[other]))
    if kind == "arch" and asked.item.points:
        return _arc(asked)[0].outside(slants)
    if kind == "arch":
        axis = run_of(side, asked.grain, asked.facing)
        rise = float(high[side.axis] - low[side.axis])
        top = float(low[side.axis] if side.sign > 0 else high[side.axis])
        return arc_over(side.opposite, axis, float(low[axis]), float(high[axis]), top, rise).outside(slants)
    return ()


def _along(asked: _HollowTold, first: Expression, last: Expression) -> _Stretch:
    """A rabbet, groove or dado that does not run the whole way: from here to there, along the third direction."""
    if len(asked.sides) == 1:
        axis = run_of(asked.sides[0], asked.grain, asked.facing)
    else:
        axis = Axis(3 - asked.sides[0].axis - asked.sides[1].axis)
    start = distance(first, asked.scope, f"the start of the {asked.kind}")
    stop = positive_length(last, asked.scope, f"the end of the {asked.kind}")
    if stop > asked.size[axis]:
        told, whole = (asked.workings.length(inches) for inches in (stop, asked.size[axis]))
        says = f"this is {told} along, and the part is only {whole} that way"
        raise Refusal.at(last, says)
    if stop <= start:
        says = f"the {asked.kind} stops before it starts: the smaller of the two comes first"
        raise Refusal.at(first, says, last=last)
    return axis, start, stop


def in_place(statement: Statement, span: Span, says: str) -> Refusal:
    if isinstance(statement, Elsewhere):
        return Refusal(None, 0, says)
    return Refusal(span.start - statement.span.start, span.end - statement.span.start, says)

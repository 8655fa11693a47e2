"""What a builder would rather do later, and rather not do at all: every cost of an order of work, in one place.

All of it is common practice or our own judgement. Found backwards: of what can be taken off, what ranks highest is
taken off first, and so put on last.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import NamedTuple

from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.model.directions import Axis, Side
from planlint.model.join_details import PocketRow
from planlint.model.plan import Join, Part
from planlint.workplan.finish_first import floating
from planlint.workplan.joint_freedom import SKIN, skin_in_rabbet
from planlint.workplan.natural_units import SMALL, Natural, volumes
from planlint.workplan.way_in import ties_in

LOOSE, HUNG, LID, FRAME_ON, SLIDES_IN, CLOSES, BETWEEN, FIRST = 7, 6, 5, 4, 3, 2, 1, 0
"""From last to first: what only rests; doors and drawers that hang or run; tops, bases and backs, laid on at one
face; frames and doors laid on; thin panels slid into grooves, where those do not close round them; sides and frames
that take the ends of others and so close them in; rails, shelves and dividers between; the last of those that take
ends: the others are built up on it."""
NEXT = 2.5
"""A rail or shelf between, of which one side is closed in already: before anything else closes the rest in."""
OPEN = 5.5
"""A lid or panel that nothing holds in its grooves, and that they are still open to when all else stands."""
_UNDER = LID - 0.5
"""What is laid on under something else that is laid on: a shelf under a top."""
SHUT_IN = -1
"""What is slid in between two others, glue and all: rather before the second of them comes."""

WHY = {
    LOOSE: "it only rests there: last of all",
    HUNG: "it hangs or runs in what then stands",
    LID: "it goes on what then stands",
    FRAME_ON: "it is made up before, and put on whole",
    SLIDES_IN: "its grooves are still open",
    CLOSES: "it closes the rest in",
    BETWEEN: "it goes between others, before they are closed in",
    FIRST: "the others are built up on it",
}


class Cost(NamedTuple):
    """Something that a builder would rather not do, and how much rather: basis, our own judgement."""

    what: str
    amount: float


TURNING = Cost("turning the piece over", 2.0)
TURNING_AMID = Cost("turning the piece over between parts alike", 3.0)
TURNING_BOARDS = Cost("turning a board or two over", 0.5)
TURNING_LARGE = Cost("turning over what is too large for one: have help", 8.0)
FROM_THE_SIDE = Cost("a part brought in level", 1.0)
HELD_UP = Cost("a large part held up: have help, or put blocks under it", 4.0)
HELD_THERE = Cost("what is laid on held there on its edge: clamp it", 6.0)
SET_ON = Cost("the work set on a part that carries it", 1.5)
SET_ON_BOARD = Cost("a board set on another", 0.25)
SET_ON_FLAT = Cost("the work set on a part that lies on the bench", 2.0)
PUSHED_UNDER = Cost("a part pushed under what lies on the bench beside it", 2.0)
FROM_BELOW = Cost("a part held up from below", 6.0)
FALLS = Cost("a part that only rests, and falls", 9.0)
AWKWARD = Cost("screws driven from the side", 1.0)
BOTH_SIDES = Cost("turn it over for the screws of the other side, clamps and all", 4.0)
OUT_OF_REACH = Cost("screws driven from underneath", 5.0)
ON_ONES_BACK = Cost("that on one's back: it is too large for a bench", 2.0)
SHUT_BY_BENCH = Cost("no hand gets in for the screws: have it over the bench's edge", 12.0)
"""The face through which they are driven lies on the bench, or the only way out of the hollow looks down there."""
TIPPY = Cost("it stands tall and narrow: have it held", 4.0)
"""A piece more than four times as high as it is deep or wide, while it is worked on."""
OVER_HEAD = Cost("it stands higher than a hand reaches", 5.0)
HUNG_LYING = Cost("a door or drawer fitted while the piece lies", 8.0)
ON_EDGE = Cost("it stands high on its edge", 2.0)
"""A large piece stood up that could lie, or stand as it will."""
PROPPED = Cost("it does not stay so by itself yet: prop it", 3.0)
STILL_PROPPED = Cost("it is propped still", 1.0)
UNSTEADY = Cost("it would tip over on that side: hold or clamp it", 12.0)
NOT_AS_IT_STANDS = Cost("it lies otherwise than it will stand", 0.5)
"""Decides if nothing else does."""
WARNED = 2.5
"""What costs so much, or more, is warned of. Basis: our own judgement."""
HEAVY = 1 / 3
"""What has this share of all the wood, or more, is laid, not held. Basis: our own judgement."""
LARGE = 40.0
"""Inches in two directions at once from which a piece is too large for one to turn over. Basis: our own judgement."""
_ACROSS = 1.5
"""What is laid across others has no more wood than so many of each of them: else they are put on it. Basis: our own
judgement."""
HIGH = 60.0
"""Inches above which nobody works without a step to stand on. Basis: our own judgement."""
TALL = 36.0
"""Inches over the bench that a piece on its edge is high, and more than twice as high as it is thick: then it is laid,
or worked on as it will stand. Basis: our own judgement."""
ON_THE_BENCH = 2.0
"""Inches over the bench up to which a part is held by a block under it. Basis: our own judgement."""


class Met(NamedTuple):
    """A joint seen from one of its parts: that and its side, and the part and side that it meets; what is asked of it
    for each set that it lies in is worked out once."""

    part: Part
    side: Side
    other: Part
    theirs: Side
    join: Join
    face: bool
    """Whether the part's side is a face."""
    end: bool
    """Whether an end of the other comes to the part's side."""
    skin: bool
    """Whether it is the edge of a thin panel in a rabbet."""


@of_piece
def _met(piece: Piece) -> tuple[tuple[Met, Met], ...]:
    """Each joint of the plan from A to B, and from B to A."""
    return tuple((_seen(join, 0), _seen(join, 1)) for join in piece.plan.joins)


def _seen(join: Join, way: int) -> Met:
    part, side, other, theirs = join.both_ways[way]
    takes = other.is_end(theirs) and not part.is_end(side)
    return Met(part, side, other, theirs, join, part.is_face(side), takes, skin_in_rabbet(join))


def from_group(piece: Piece, group: Collection[int], ties: Iterable[Join]) -> list[Met]:
    """The joints that tie a group to others, each seen from the group."""
    met = _met(piece)
    return [met[join.index][join.part_a.index not in group] for join in ties]


def rank(piece: Piece, own: Sequence[Met], natural: Natural | None) -> int:
    """When a group that is tied to others by some joints comes: later for a higher number."""
    if all(met.join.rests for met in own):
        return LOOSE
    if all(met.join.rests or met.join.hangs for met in own):
        return HUNG
    one_side = len({met.side for met in own}) == 1
    if one_side and all(met.face for met in own):
        axis = own[0].side.axis
        if axis is Axis.Z or not any(met.other.is_end(met.theirs) for met in own):
            return LID
        if natural is not None and natural.kind == "frame":
            return FRAME_ON
    if _laid_in(own):
        return LID
    if one_side and natural is not None and natural.kind == "frame" and not _takes_ends(own):
        return FRAME_ON
    if any(map(_channel, own)) and all(
        met.join.index in floating(piece)
        or (
            met.join.tradition
            and met.join.tradition.kind != "dado"
            and all(each.part.thickness <= SKIN for each in own)
        )
        if _channel(met)
        else met.join.driven and not met.join.pockets
        for met in own
    ):
        return SLIDES_IN
    band = (natural is None or natural.kind != "frame") and _band(piece, own)
    return CLOSES if _takes_ends(own) and not band else BETWEEN


def _channel(met: Met) -> bool:
    made = met.join.made
    return made is not None and made.floats and bool(made.cuts)


def _laid_in(own: Sequence[Met]) -> bool:
    """Whether a thin panel lies with its edges in rabbets, and with its face on whatever else it meets: it is let in
    over their open side."""
    part = own[0].part
    return any(met.skin for met in own) and all(
        met.part is part and (met.join.part_a is part if met.skin else met.face) for met in own
    )


def _band(piece: Piece, own: Sequence[Met]) -> bool:
    """Whether all that takes ends is a strip with little wood beside what ends at it: a band round a panel."""
    wood = volumes(piece)
    return all(wood[met.part.index] <= SMALL * wood[met.other.index] for met in own)


def _takes_ends(own: Sequence[Met]) -> bool:
    """Whether most joints are ends of others against this one's sides."""
    return 2 * sum(met.end for met in own) > len(own)


@of_piece
def depths(piece: Piece) -> tuple[int, ...]:
    """How deep each part stands among those that it ends at: 0 for a post, 1 for a rail between posts, 2 for a muntin
    between rails. A ring of parts that end at one another is no deeper than where it is entered."""
    ends_at: dict[int, set[int]] = {part.index: set() for part in piece.plan.parts}
    for join in piece.plan.joins:
        for part, side, other, theirs in join.both_ways:
            if part.is_end(side) and not other.is_end(theirs) and not join.rests:
                ends_at[part.index].add(other.index)
    found: dict[int, int] = {}
    for start in ends_at:
        walk = [start]
        while walk:
            here = walk[-1]
            found.setdefault(here, 0)
            waits = [i for i in ends_at[here] if i not in found]
            if waits:
                walk += waits[:1]
                continue
            walk.pop()
            found[here] = max((found[i] + 1 for i in ends_at[here] if i not in walk), default=0)
    return tuple(found[part.index] for part in piece.plan.parts)


def laid_across(piece: Piece, own: Sequence[Met], made: Sequence[frozenset[int]]) -> bool:
    """Whether a group is laid across two or more others that are laid out for it: the first deck board across its
    bearers, a board across two frames, a ledge across the boards of a door, a slat of an egg crate whose slots look
    down."""
    sides = {met.side for met in own}
    if len(sides) != 1 or len({met.other.index for met in own}) < 2:
        return False
    if all(met.join.tradition is not None and met.join.tradition.kind == "cross lap" for met in own):
        over = Side.TOP not in sides and all(met.join.part_a is met.part for met in own)
        return Side.BOTTOM in sides or over
    wood, home = volumes(piece), {i: each for each in made for i in each}
    return not any(
        met.part.is_end(met.side)
        or met.other.is_end(met.theirs)
        or wood[met.part.index]
        > _ACROSS * sum(wood[i] for i in home.get(met.other.index, (met.other.index,)))
        or any(row.in_b is (met.part is met.join.part_a) for row in _driven_rows(met.join))
        for met in own
    )


def _driven_rows(join: Join) -> list[PocketRow]:
    return [*join.pockets, *(each.row for each in join.fastenings if each.driven)]


def across_all(
    group: Collection[int], ties: Sequence[Join], joins: Sequence[Join], made: Sequence[frozenset[int]]
) -> bool:
    """Whether a part is tied to all that is left: to several parts, or units, that at most lie beside one another."""
    home = {i: each for each in made for i in each}
    apart = {home.get(p.index, p.index) for join in ties for p in join.parts if p.index not in group}
    inside = [*ties, *(join for join in ties_in(joins, made) if join.part_a.index not in group)]
    return len(apart) > 1 and all(
        join in inside
        or (join.rests and join.side_a.axis is not Axis.Z and not any(p.index in group for p in join.parts))
        for join in joins
    )


def manner(own: Iterable[Met]) -> frozenset[Side]:
    """By which of its sides a group is put on, and in which its pockets are: what is done alike is done together."""
    return frozenset(side for met in own for side in (met.side, *(row.face for row in met.join.pockets)))


def under_others(laid: Mapping[frozenset[int], Box]) -> dict[frozenset[int], float]:
    """A lower rank for what is laid on under something else that is laid on."""
    lowest = min((box.high[Axis.Z] for box in laid.values()), default=0.0)
    over = [box for box in laid.values() if box.low[Axis.Z] >= lowest]

    def under(box: Box, other: Box) -> bool:
        shared = all(box.low[i] < other.high[i] and other.low[i] < box.high[i] for i in (Axis.X, Axis.Y))
        return shared and other.low[Axis.Z] >= box.high[Axis.Z]

    return {group: _UNDER for group, box in laid.items() if any(under(box, other) for other in over)}

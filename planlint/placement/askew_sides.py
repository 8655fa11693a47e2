"""How two sides that are askew come to look at one another: one part turned or cut otherwise, its other joins kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from operator import itemgetter
from typing import NamedTuple

from planlint.model.cuts import STEEPEST
from planlint.model.directions import SIDES, Axis, Side
from planlint.model.like_parts import akin, are_twins
from planlint.model.plan import EndCut, Join, Part, Turn
from planlint.placement.equations import Askew, askew_by
from planlint.placement.joint_graph import JointGraph
from planlint.placement.part_frames import direction_to_piece, side_plane
from planlint.placement.placement_results import Placement
from planlint.text.rounding import ROUNDING

_STEPS = 64
"""Parts of a degree to which an angle is worked out: finer than any plan tells one (own judgement)."""


class Straightened(NamedTuple):
    """A part as it is, and the turn or the cut (at ``end``) that it needs; a cut of 0 degrees is square.

    ``also`` is the cut of its other end, where both were taken over from a part that leans the other way.
    """

    part: Part
    turn: Turn | None = None
    cut: EndCut | None = None
    also: EndCut | None = None

    @property
    def turned_back(self) -> bool:
        """Whether the part is only turned the other way by as much: a sign that was taken for the other."""
        return (
            self.turn is not None and self.part.turn is not None and self.turn.angle == -self.part.turn.angle
        )

    @property
    def long_point_moved(self) -> bool:
        """Whether an end keeps its angle and only gets its long point on the other side."""
        now = None if self.cut is None else self.part.cut_at(self.cut.end)
        return self.cut is not None and now is not None and self.cut.angle == now.angle


def straightened(graph: JointGraph, fault: Askew) -> Iterator[Straightened]:
    """The changes of a single part that heal a join and leave its others as they are: turns before cuts."""
    ends = fault.join.sides
    for part, _ in ends:
        if part.turn is not None:
            for angle in (each for each in _angles(part.turn.angle, fault.angle) if abs(each) <= 90):
                turn = Turn(angle, part.turn.axis)
                if _heals(graph, fault, part, replace(part, turn=turn)):
                    yield Straightened(part, turn=turn)
    found = []
    for part, side in ends:
        if not part.is_face(side):
            for cut in _cuts(part, side, fault.angle):
                others = tuple(each for each in part.cuts if each.end is not side)
                if _heals(graph, fault, part, replace(part, cuts=(*others, cut))):
                    found.append((not usual(cut.angle), Straightened(part, cut=cut)))
        own, far = part.cut_at(side), part.cut_at(side.opposite)
        if own and far and own.long_at is far.long_at.opposite and part.turn and part.is_end(side):
            cut, also = (replace(each, long_at=each.long_at.opposite) for each in (own, far))
            both = Straightened(part, cut=cut, also=also)
            if _heals(graph, fault, part, _made(both)):
                yield both
    yield from (each for _, each in sorted(found, key=itemgetter(0)))


def left_free(graph: JointGraph, fault: Askew) -> Iterator[tuple[str, Part, str, Part]]:
    """What a join may be meant for whose side is joined elsewhere already: the one part of its kind of which that side
    is joined to nothing, and looks there. Told are the other side, what is named, by which side, and what is meant."""
    join, most = fault.join, graph.limits["askew", "angle"]
    for part, side, named, its in reversed(join.both_ways):
        taken = any(each is not join and (named, its) in each.sides for each in graph.joins_of(named))
        normal = direction_to_piece(part, side_plane(part, side)[1])
        free = [
            each for each in graph.parts
            if are_twins(named, each) and each is not part
            and not any((each, its) in other.sides for other in graph.joins_of(each))
            and askew_by(normal, direction_to_piece(each, side_plane(each, its)[1])) <= most
        ]  # fmt: skip
        if taken and len(free) == 1:
            yield f"{part.name}.{side.value}", named, its.value, free[0]


def usual(angle: Fraction | float) -> bool:
    """Whether an angle is one that mitre saws have a stop for: in steps of 15 or of 22-1/2 degrees."""
    return any(abs(angle / step - round(angle / step)) < ROUNDING for step in (15, 22.5))


class Evened(NamedTuple):
    """The angle that heals a joint of two sides cut alike, if both are cut to it; ``over``: with their long points on
    the other side."""

    angle: Fraction
    over: bool


def evened(graph: JointGraph, fault: Askew, faults: Sequence[Askew]) -> Evened | None:
    """How two sides cut alike are both to be cut, so that they meet: a mitre of a ring.

    Where a part is turned, its turn is to blame as well, unless another of the ``faults`` asks for the same.
    """
    even = _evened(graph, fault)
    if even is None or fault.join.part_a.turn == fault.join.part_b.turn:
        return even
    others = (each for each in faults if each is not fault and abs(each.angle - fault.angle) < ROUNDING)
    return even if any(_evened(graph, each) == even for each in others) else None


def _evened(graph: JointGraph, fault: Askew) -> Evened | None:
    ends = fault.join.sides
    now = [part.cut_at(side) for part, side in ends]
    first, second = now
    if first is None or second is None or first.angle != second.angle:
        return None
    most = graph.limits["askew", "angle"]
    ways = (Evened(angle, False) for angle in _angles(first.angle, fault.angle / 2))
    for even in (*ways, Evened(first.angle, True)):
        normals = [
            direction_to_piece(each, side_plane(each, side)[1])
            for (part, side), cut in zip(ends, (first, second), strict=True)
            for long_at in (cut.long_at.opposite if even.over else cut.long_at,)
            for each in (replace(part, cuts=(replace(cut, angle=even.angle, long_at=long_at),)),)
        ]
        if 0 < even.angle < STEEPEST and askew_by(normals[0], normals[1]) <= most:
            return even
    return None


def _cuts(part: Part, side: Side, by: float) -> Iterator[EndCut]:
    cut = part.cut_at(side)
    if cut is not None:
        yield replace(cut, long_at=cut.long_at.opposite)
        for angle in _angles(cut.angle, by):
            if 0 <= angle < STEEPEST:
                yield replace(cut, angle=angle)
            elif -STEEPEST < angle < 0 and angle != -cut.angle:  # Past square, to the other side.
                yield replace(cut, angle=-angle, long_at=cut.long_at.opposite)
        return
    (angle,) = {abs(each) for each in _angles(Fraction(0), by)}
    for long_at in SIDES:
        if (
            part.is_face(long_at) if part.is_edge(side) else long_at.axis is not side.axis
        ) and angle < STEEPEST:
            yield EndCut(side, angle, long_at, part.span)


def _angles(angle: Fraction, by: float) -> tuple[Fraction, Fraction]:
    return tuple(Fraction(round((float(angle) + way) * _STEPS), _STEPS) for way in (by, -by))  # type: ignore[return-value]


def _heals(graph: JointGraph, fault: Askew, part: Part, changed: Part) -> bool:
    most = graph.limits["askew", "angle"]
    return all(
        _askew(join, part, changed) <= (most if join is fault.join else max(most, _askew(join)))
        for join in graph.joins_of(part)
    )


def _keeps(graph: JointGraph, part: Part, changed: Part) -> bool:
    """Whether a changed part is no more askew to any other than it is."""
    most = graph.limits["askew", "angle"]
    return all(_askew(join, part, changed) <= max(most, _askew(join)) for join in graph.joins_of(part))


def _askew(join: Join, part: Part | None = None, changed: Part | None = None) -> float:
    """Degrees by which the sides of a join fail to be opposed, with one part in place of another."""
    first, second = (
        direction_to_piece(each, side_plane(each, side)[1])
        for each, side in (
            (changed if changed is not None and own is part else own, side) for own, side in join.sides
        )
    )
    return askew_by(first, second)


# ---------------------------------------------------------------- feet of parts that lean


class OffLevel(NamedTuple):
    """The lower end of a part that leans, ``angle`` degrees off level, and what would make it level."""

    part: Part
    end: Side
    angle: float
    ways: tuple[Straightened, ...]


def off_level(graph: JointGraph) -> Iterator[OffLevel]:
    """Every end that looks down and that no join names, level if its part leaned the other way or it were cut as the
    other end is, which is level."""
    most = graph.limits["askew", "angle"]
    for part in graph.parts if any(each.turn and each.cuts for each in graph.parts) else ():
        end = foot(part) or next(
            (c.end.opposite for c in part.cuts if level_by(part, c.end) > 180 - most), None
        )
        if (
            end is None
            or not part.is_end(end)
            or any(end is join.side_of(part) for join in graph.joins_of(part))
        ):
            continue
        angle = level_by(part, end)
        ways = [
            each
            for each in (_other_way(part, end) if angle > most else ())
            if level_by(_made(each), end) <= most and _keeps(graph, part, _made(each))
        ]
        # Two cuts that lean as one another, and that no part has which leans as this one, are right: the turn is not.
        turned = [
            each for each in ways if each.turned_back and level_by(_made(each), end.opposite) > 180 - most
        ]
        shared = any(
            (cut.span, cut.long_at) == (own.span, own.long_at) and other.turn != part.turn
            for other in graph.parts for cut in other.cuts for own in part.cuts
        )  # fmt: skip
        if ways:
            yield OffLevel(part, end, angle, tuple(ways if shared else turned or ways))


def foot(part: Part) -> Side | None:
    """The end of a turned part that looks down, where it is cut."""
    if part.turn is None:
        return None
    return next((cut.end for cut in part.cuts if level_by(part, cut.end) < 45), None)


def level_by(part: Part, end: Side) -> float:
    """Degrees by which an end that looks down is not level."""
    return askew_by(direction_to_piece(part, side_plane(part, end)[1]), (0, 0, 1))


def _other_way(part: Part, end: Side) -> Iterator[Straightened]:
    assert part.turn is not None
    cut, other = part.cut_at(end), part.cut_at(end.opposite)
    turned = Straightened(part, turn=part.turn._replace(angle=-part.turn.angle))
    up = end.opposite
    # A far end that is level now says that the turn is right.
    if cut is None or other is None or level_by(_made(turned), up) > level_by(part, up) - ROUNDING:
        yield turned
    if cut is not None:
        yield Straightened(part, cut=replace(cut, long_at=cut.long_at.opposite))
    if other is not None and (cut is None or cut.angle != other.angle):
        yield Straightened(part, cut=replace(other, end=end, long_at=other.long_at.opposite))


def _made(way: Straightened) -> Part:
    if way.turn is not None:
        return replace(way.part, turn=way.turn)
    assert way.cut is not None
    made = {cut.end: cut for cut in (*way.part.cuts, way.cut, way.also or way.cut)}
    return replace(way.part, cuts=(*made.values(),))


def likeliest(graph: JointGraph, lies: Placement, ways: Iterable[Straightened]) -> list[Straightened]:
    """Ways in their order, those first that level a foot and last that tip a level one, those of the part that most of
    what is askew is joined to, and those by which a part leans as its fellows do before others."""

    def tips(way: Straightened) -> float:
        end = foot(way.part) if way.turn or way.also else None
        return 0.0 if end is None else round(level_by(_made(way), end) - level_by(way.part, end), 6)

    def met(way: Straightened) -> int:
        return sum(way.part in each.join.parts for each in lies.askew)

    return sorted(ways, key=lambda way: (tips(way), -met(way), -_leans_like_fellows(graph, lies, _made(way))))


def _leans_like_fellows(graph: JointGraph, lies: Placement, part: Part) -> int:
    """With how many more of its fellows than not a part leans as legs do: with what stands beside it along the axis
    that it is turned about, against what stands across that."""
    turn = part.turn
    if turn is None or turn.axis is Axis.Z:
        return 0
    beyond = Axis.Y if turn.axis is Axis.X else Axis.X
    with_it = 0
    for other in graph.parts:
        if other.turn and akin(part, other) and other.turn.axis is turn.axis:
            across = abs(float(lies.position(other)[beyond] - lies.position(part)[beyond])) > float(
                part.thickness
            )
            with_it += {turn.angle: 1, -turn.angle: -1}.get(other.turn.angle, 0) * (-1 if across else 1)
    return with_it

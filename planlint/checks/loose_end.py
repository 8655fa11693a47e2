"""A part held at one end whose other end touches wood, or all but touches it, and is joined to nothing there."""

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import replace
from itertools import chain, islice, product
from typing import NamedTuple

from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.box_index import BoxTree
from planlint.geometry.shapes.contact import contact
from planlint.geometry.shapes.facing_wood import BEHIND, faced
from planlint.geometry.shapes.vectors import dot
from planlint.model.directions import SIDES, Axis, Side
from planlint.model.like_parts import alike, are_twins, pattern, section, stand
from planlint.model.plan import Join, Part
from planlint.placement.joint_graph import JointGraph
from planlint.placement.solver import place

LEAST_SHARE = 0.4
"""Of an end, that must look at the other part. Basis: our own judgement."""


LOOKS_AT = 0.9999
"""Cosine of the angle between two sides that look at one another: within a degree (own judgement)."""
MOST_FREE, MOST_SOLVED = 8, 1000
"""Directions in which parts slide, and joins solved again for each, in search of a forgotten join: a tenth of a second.
Basis: our own judgement."""


class LooseEnd(NamedTuple):
    """A side of a part that looks at another part ``gap`` inches off, or lies inside it, and is joined to nothing.

    ``back`` is the side there that looks at it, ``held`` the join that holds the part, ``twin`` one of the like side
    of a like part.
    """

    part: Part
    side: Side
    other: Part
    back: Side
    gap: float
    held: Join
    twin: Join | None


def loose_end(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """An end that no join holds, where the plan means one: it meets wood, and the part hangs on its other end."""
    snug = piece.limits["apart", "length"]
    for end in loose_ends(piece, rule):
        short, inside = end.gap > snug, end.gap <= -BEHIND
        if inside and not end.part.is_end(end.side):  # Nothing is let in there: the two run into one another.
            continue
        yield rule.finding(
            fact=end,
            kind="short" if short else "inside" if inside else "touching",
            span=end.held.span,
            parts=(end.part.name, end.other.name),
            measured=end.gap if short else None,
            limit=snug if short else None,
            basis="reach",
        )


def loose_ends(piece: Piece, rule: Rule) -> Iterator[LooseEnd]:
    """Every such end, in the order of the plan; one for each part and side."""
    reach, far = (rule.limit(name, piece.settings) for name in ("reach", "reach of a twin"))
    tree: BoxTree | None = None
    twins: dict[tuple[object, ...], list[Join]] = {}
    many, told = Counter(map(pattern, piece.plan.parts)), list[Part]()
    for part in piece.plan.parts:
        joins = piece.graph.joins_of(part)
        holding = [join for join in joins if not join.rests]
        if not holding:
            continue
        if tree is None:
            tree, twins = BoxTree([body.bounds for body in piece.bodies]), _twins(piece)
        joined = {each.index for each in piece.graph.neighbours(part)}
        fixed = piece.placement.fixed_together
        for side, held in _open_sides(part, joins, holding):
            twin = next((each for each in twins[_like(part, side)] if part not in each.parts), None)
            end = part.is_end(side)
            if not end and twin is None and len(joins) > 1:
                continue
            most = max(reach, far) if twin and end else reach if end else piece.limits["apart", "length"]
            piece.tick()
            found = faced(piece.body(part), side, piece.bodies, tree, most)
            if found and found[0].share >= LEAST_SHARE and found[0].number not in joined:
                other = piece.plan.parts[found[0].number]
                across = all(side.opposite in _named(join, part) for join in holding)
                like = (join for join in twins[_like(part, side)] if part not in join.parts)
                beside = not across and not any(other in join.parts for join in like)
                tied = beside and _tied(piece, part, other)
                if fixed(part, other) and not tied and not _moves(piece, other):
                    told.append(part)
                    back = _opposed(piece, part, side, other)
                    yield LooseEnd(part, side, other, back, found[0].gap, held, twin)
        for side, held, theirs in _fewer(part, holding, twins) if _short(piece, part, holding[0]) else ():
            piece.tick()
            for index in sorted(tree.near(piece.body(part).bounds)):
                other = piece.plan.parts[index]
                twin = next((join for join in theirs if any(alike(other, each) for each in join.parts)), None)
                free = twin and index not in joined and fixed(part, other)
                if free and _touches(piece, part, side, other):
                    yield LooseEnd(part, side, other, _opposed(piece, part, side, other), 0.0, held, twin)
        others = many[pattern(part)] - 1
        yield from _as_most(piece, part, twins, others) if part not in told and others > 1 else ()


@of_piece
def forgotten(piece: Piece, along: Axis) -> LooseEnd | None:
    """What slides along an axis for want of a join: an end along it that nothing holds, across from one that is held at
    the twin of a part that slides; joined to that as at its other end, less slides and nothing more misfits."""
    tries = MOST_SOLVED // max(1, len(piece.plan.joins))
    for end in islice(_unheld(piece, along) if len(piece.placement.free) <= MOST_FREE else (), tries):
        piece.tick()
        if _settles(piece, end, along):
            return end
    return None


def forgotten_lap(piece: Piece, one: Part, other: Part) -> LooseEnd | None:
    """Where two parts that no join ties run into one another as parts like them do by a joint."""
    if other in piece.graph.neighbours(one):
        return None
    taken = _taken(piece, one, other)
    for join in piece.plan.joins:
        for a, b in ((one, other), (other, one)) if join.inset > 0 else ():
            if alike(a, join.part_a) and alike(b, join.part_b) and _taken(piece, *join.parts) == taken:
                return LooseEnd(a, join.side_a, b, join.side_b, -float(join.inset), join, join)
    return None


def _taken(piece: Piece, one: Part, other: Part) -> list[float]:
    """How far two parts run into one another along each axis, rounded to what a plan tells."""
    return [round(along, 3) for along in piece.body(one).bounds.shared(piece.body(other).bounds)]


def _unheld(piece: Piece, along: Axis) -> Iterator[LooseEnd]:
    """Ends that may be meant to be held: as at the part's other end, which lays it along all axes; then along one as
    its like is, at the side across from that one's or at the same."""
    joins, parts = piece.plan.joins, piece.plan.parts
    axes = dict.fromkeys((along, *(free.axis for free in piece.placement.free)))
    for axis, part in product(axes, parts):
        own = piece.graph.joins_of(part)
        for side, held in _open_sides(part, own, [join for join in own if not join.rests]):
            if part.is_end(side) and side.axis is axis:
                yield from _elsewhere(piece, part, side, held, part)
    sliding = dict.fromkeys(part for free in piece.placement.free for part in free.parts)
    yield from chain.from_iterable(_slanted(piece, part) for part in sliding if part.turn is not None)
    for across, part in product((True, False), sliding):
        for join in joins:
            for its, side in join.sides:
                if side.axis is along and are_twins(its, part) and part not in join.parts:
                    yield from _elsewhere(piece, part, side.opposite if across else side, join, its)


def _slanted(piece: Piece, part: Part) -> Iterator[LooseEnd]:
    """The free end of a brace at each part with a side that its cut looks at: first those tied to what holds it."""
    own = piece.graph.joins_of(part)
    for side, held in _open_sides(part, own, [join for join in own if not join.rests]):
        near = piece.graph.neighbours(held.other(part))
        for other in sorted(piece.plan.parts, key=lambda each: each not in near) if part.is_end(side) else ():
            back = _opposed(piece, part, side, other)
            planes = (piece.body(each).planes[its].normal for each, its in ((part, side), (other, back)))
            if other is not part and part not in piece.graph.neighbours(other) and dot(*planes) < -LOOKS_AT:
                yield LooseEnd(part, side, other, back, 0.0, held, None)


def _elsewhere(piece: Piece, part: Part, side: Side, held: Join, its: Part) -> Iterator[LooseEnd]:
    """An end at each part that is like what a join holds another end at, if nothing ties the two together and, where
    that is an end as well, nothing holds it yet."""
    (_, own), (at, back) = held.sides if held.part_a is its else held.sides[::-1]
    group = piece.placement.group
    for other in piece.plan.parts:
        if are_twins(other, at) and group(other) != group(part) and other not in piece.graph.neighbours(part):
            theirs = back if side is own else back.opposite
            held_there = any(theirs in _named(join, other) for join in piece.graph.joins_of(other))
            if not (held_there and other.is_end(theirs)):
                yield LooseEnd(part, side, other, theirs, 0.0, held, None)


def _settles(piece: Piece, end: LooseEnd, along: Axis) -> bool:
    """Whether fewer parts slide along an axis, and none misfits, with the join that an end has across from it."""
    held, now = end.held, piece.placement
    first = held.side_a.axis is end.side.axis and alike(held.part_a, end.part)
    sides = (end.part, end.side, end.other, end.back) if first else (end.other, end.back, end.part, end.side)
    a, side_a, b, side_b = sides
    more = replace(held, name="forgotten", part_a=a, side_a=side_a, part_b=b, side_b=side_b)
    then = place(JointGraph(replace(piece.plan, joins=(*piece.plan.joins, more)), piece.limits))
    slide = [sum(free.axis is along for free in each.free) for each in (then, now)]
    if slide[0] >= slide[1] or len(then.free) >= len(now.free) or len(then.misfits) > len(now.misfits):
        return False
    bodies = [Body(part, then.position(part)) for part in (a, b)] if end.part.turn is not None else []
    return not bodies or piece.meet_flat(contact(more, *bodies))


def _fewer(
    part: Part, holding: list[Join], twins: dict[tuple[object, ...], list[Join]]
) -> Iterator[tuple[Side, Join, list[Join]]]:
    """A side at which a part is joined, where most like parts are joined more often: a slat and its bearers; or an end
    that is joined to fewer than its other end.

    With the joins of those like parts; of what is only screwed or nailed, else its own.
    """
    for side in part.ends:
        mine, its = (
            [join for join in holding if each in _named(join, part)] for each in (side, side.opposite)
        )
        if 0 < len(mine) < len(its):
            yield side, mine[0], its
    laid = [join for join in holding if join.part_a is part]  # Of a bearer the slats are told, not it.
    for side in _named(holding[0], part) if laid == holding or len(holding) == 1 else ():
        theirs = [join for join in twins[_like(part, side)] if part not in join.parts]
        many = Counter(_like_part(join, side, part).name for join in theirs)
        if many and 2 * sum(each > len(holding) for each in many.values()) > len(many):
            yield side, holding[0], theirs
        elif len(holding) == 1 and part.is_face(side) and holding[0].driven and not holding[0].glue:
            yield side, holding[0], holding  # What is like its own bearer, and lies there as well.


def _as_most(
    piece: Piece, part: Part, twins: dict[tuple[object, ...], list[Join]], others: int
) -> Iterator[LooseEnd]:
    """A side that no join names and that touches what most of the ``others`` like it are joined to there. Two of a pair
    say nothing of one another; what is joined to one that is held, as boards of a panel are, is held by that, and what
    is held at two sides across from one another, as a shelf before a back, needs no more but at an end."""
    piece.tick()
    joins, near = piece.graph.joins_of(part), piece.graph.neighbours(part)
    named = {side for join in joins for side in _named(join, part)}
    between = any(side.opposite in named for side in named)
    for side in (each for each in SIDES if each not in named and (part.is_end(each) or not between)):
        held = [(each, join) for join in twins[_like(part, side)] for each in join.parts if alike(each, part)]
        if 2 * len({each.index for each, _ in held}) <= others or any(each in near for each, _ in held):
            continue
        for other, twin in {join.other(each).name: (join.other(each), join) for each, join in held}.values():
            apart = other not in near and piece.placement.fixed_together(part, other)
            if apart and _touches(piece, part, side, other):
                yield LooseEnd(part, side, other, _opposed(piece, part, side, other), 0.0, joins[0], twin)


def twins_of(piece: Piece, end: LooseEnd) -> list[Join]:
    """The joins of parts like that of an end, at its side, to parts like the one that it touches; none where the part
    is held by such a one itself."""
    if any(alike(end.other, part) for part in end.held.parts):
        return []
    theirs = (each for each in _twins(piece)[_like(end.part, end.side)] if end.part not in each.parts)
    return [each for each in theirs if any(alike(end.other, part) for part in each.parts)]


def like_end(end: LooseEnd, like: Join) -> tuple[Part, Side]:
    """What a join holds in place of an end left loose: another end of that part, or that of a part like it."""
    if end.part in like.parts:
        return end.part, like.side_of(end.part)
    second = like.side_b is end.side and alike(like.part_b, end.part) and not alike(like.part_a, end.part)
    return like.sides[second]


def _short(piece: Piece, part: Part, join: Join) -> bool:
    """Whether a joint takes hold of less than half of a part's length."""
    grain = piece.body(part).grain
    along = [dot(point, grain) for point in piece.contact(join).points]
    return bool(along) and max(along) - min(along) < float(part.length) / 2


def _like_part(join: Join, side: Side, part: Part) -> Part:
    """The part of a join that is like another, joined at a side."""
    first = join.side_a is side and _like(join.part_a, side) == _like(part, side)
    return join.part_a if first else join.part_b


def _tied(piece: Piece, part: Part, other: Part) -> bool:
    """Whether something is joined to both of two parts, as an apron is to a leg and to the top that lies on it."""
    return any(each in piece.graph.neighbours(other) for each in piece.graph.neighbours(part))


def _moves(piece: Piece, part: Part) -> bool:
    """Whether a part is a lid, a door or a drawer, or lies loose: what it closes on is not joined to it."""
    return all(join.hangs or join.rests for join in piece.graph.joins_of(part))


def _touches(piece: Piece, part: Part, side: Side, other: Part) -> bool:
    """Whether a side of a part lies flat against another part."""
    if part is other:
        return False
    back = _opposed(piece, part, side, other)
    asked = Join("", -1, part, side, other, back, part.span)
    met = contact(asked, piece.body(part), piece.body(other))
    return piece.meet_flat(met)


def _open_sides(part: Part, joins: tuple[Join, ...], holding: list[Join]) -> list[tuple[Side, Join]]:
    """The sides of a part that no join names, across from one where all joins are that hold it, or from a joined end;
    with one of those."""
    named = {side for join in joins for side in _named(join, part)}
    found = []
    for side in SIDES:
        held = [join for join in holding if side.opposite in _named(join, part)]
        if side not in named and held and (len(held) == len(holding) or part.is_end(side)):
            found.append((side, held[0]))
    return found


def _named(join: Join, part: Part) -> list[Side]:
    return [side for each, side in join.sides if each is part]


def _twins(piece: Piece) -> dict[tuple[object, ...], list[Join]]:
    """Joins by what part they hold at which side: its stock, measures and stand."""
    found: defaultdict[tuple[object, ...], list[Join]] = defaultdict(list)
    for join in piece.plan.joins:
        if not join.rests:
            found[_like(join.part_a, join.side_a)].append(join)
            found[_like(join.part_b, join.side_b)].append(join)
    return found


def _like(part: Part, side: Side) -> tuple[object, ...]:
    return *section(part), *stand(part), side


def _opposed(piece: Piece, part: Part, side: Side, other: Part) -> Side:
    """The side of the other part that looks back at a side."""
    normal = piece.body(part).planes[side].normal
    planes = piece.body(other).planes
    return min(SIDES, key=lambda each: sum(a * b for a, b in zip(planes[each].normal, normal, strict=True)))

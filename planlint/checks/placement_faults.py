"""What placement found: joints that cannot close, parts that are apart, run into one another, or are not held."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from itertools import chain, islice
from typing import NamedTuple

from planlint.checks.looped_parts import looped_parts
from planlint.checks.open_at_taper import open_at_tapers
from planlint.checks.uneven_feet import uneven_feet
from planlint.findings.finding import Finding, Grade
from planlint.findings.one_cause import IMAGE, MISTURNED
from planlint.findings.rules_in_force import Rule
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.let_in import let_in
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.language.joint_table import Form
from planlint.model.directions import Axis, Side, usual_face
from planlint.model.join_details import Placing
from planlint.model.like_parts import are_twins
from planlint.model.plan import Join, Part, Plan
from planlint.model.provenance import meant_as_image
from planlint.placement.askew_sides import off_level
from planlint.placement.contradictions import closes
from planlint.placement.placement_results import Closing, Misturned, Remade, Retold
from planlint.placement.retold_joins import as_fellows, counted_otherwise, remade_joins
from planlint.placement.ring_closing import MOST_RETOLD
from planlint.rulebook.limits import NIL
from planlint.text.source import Span


def misfit(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A join that the rest of the plan leaves no room for."""
    limit = rule.limit("length", piece.settings)
    for fault in piece.placement.misfits:
        amount = abs(float(fault.amount))
        if amount <= limit:
            continue
        turned = fault.turned
        names = dict.fromkeys([part.name for part in fault.loop_parts] or _names(fault.join))
        if fault.closing is not None:
            # What has to be made so with a part of the ring is at fault as much as that one.
            names |= dict.fromkeys(part.name for part in fault.closing.others)
        yield rule.finding(
            fact=fault,
            kind=MISTURNED
            if turned
            else "placing"
            if fault.placing is not None
            else "gap"
            if fault.amount > 0
            else "too-long",
            span=fault.placing.span if fault.placing is not None else fault.join.span,
            joint=fault.join.name,
            parts=dict.fromkeys((turned.part.name, *names)) if turned else names,
            measured=amount,
            limit=limit,
        )
    for each in uneven_feet(piece, limit):
        yield rule.finding(
            fact=each,
            kind="foot",
            span=(each.longer or each.parts)[0].name_span,
            parts=dict.fromkeys(part.name for part in (*each.longer, *each.parts, *each.fellows)),
            measured=abs(each.by),
            limit=limit,
        )


class LyingPast(NamedTuple):
    """A joint whose parts lie past one another along it: by ``away`` inches on an axis; less than nothing where only
    the wood is missing."""

    join: Join
    away: float
    axis: Axis
    meant: Retold | Remade | Misturned | Closing | None = None
    """A join counted from the wrong side or way, or a part with its measures swapped: told right, all meet; else a part
    that lies on wood like this with its other end, and is to be longer."""


def apart(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Two sides said to meet do not touch, though where their parts lie is settled."""
    limit = rule.limit("length", piece.settings)
    askew = {fault.join.index for fault in piece.placement.askew}
    for join in piece.plan.joins:
        if join.index in askew or piece.contact(join).patches:
            continue
        if not piece.placement.fixed_together(join.part_a, join.part_b):
            continue
        fault = _away(piece, join)
        past = fault.away > -limit
        if past:
            fault = fault._replace(meant=_meant(piece, join.index, fault.axis) or _longer(piece, fault))
        yield rule.finding(
            fact=fault,
            kind="past" if past else "no-wood",
            span=_row_past(piece, join.parts) or join.span,
            at=join,
            measured=fault.away if fault.away > limit else None,
            limit=limit if fault.away > limit else None,
        )


def _away(piece: Piece, join: Join) -> LyingPast:
    """How far the two parts of a join lie past one another along the joint, and on which axis."""
    a, b = piece.body(join.part_a).bounds, piece.body(join.part_b).bounds
    away, axis = max(
        (max(a.low[axis] - b.high[axis], b.low[axis] - a.high[axis]), axis)
        for axis in Axis
        if axis is not join.side_a.axis
    )
    return LyingPast(join, away, axis)


@of_piece
def _meant(piece: Piece, number: int, axis: Axis) -> Remade | Retold | Misturned | None:
    """What of the joins round two parts that lie apart, or of their measures, explains all that lies so."""
    plan, graph, join = piece.plan, piece.graph, piece.plan.joins[number]
    joins = list({each.index: each for part in join.parts for each in graph.joins_of(part)}.values())
    for part in (each for each in join.parts if each.grain is axis and each.width > each.length):
        swapped = replace(part, length=part.width, width=part.length)
        if all_meet(piece, plan.with_parts({part.name: swapped})):
            return Misturned(part, part.length, part.width, None)
    ways = chain[Remade | Retold](
        remade_joins(graph, joins, axis), as_fellows(graph, joins, axis), counted_otherwise(joins, axis)
    )
    told = next((way for way in islice(ways, MOST_RETOLD) if all_meet(piece, way.told(plan))), None)
    # A part is turned the wrong way more seldom than a distance is counted so.
    for part in (each for each in join.parts if each.grain is not axis and each.turn is None and not told):
        facing = usual_face(part.across)
        takes, instead = (part.width, part.thickness) if axis is part.across else (part.thickness, part.width)
        alike = [part, *(each for each in graph.parts if are_twins(each, part))]
        if all_meet(piece, plan.with_parts({each.name: replace(each, facing=facing) for each in alike})):
            return Misturned(part, takes, instead, facing)
    return told


def all_meet(piece: Piece, plan: Plan) -> bool:
    """Whether no parts of a changed plan lie apart, and no more of them misfit or run into one another."""
    piece.tick()
    then = Piece(plan, piece.settings)
    if not piece.placement.misfits and not closes(then.graph):
        return False
    # What lies just where another does is told sooner than by how far the two run into one another.
    places = [len({body.bounds for body in each.bodies}) for each in (then, piece)]
    if places[0] < places[1] or not all(then.contact(each).patches for each in then.plan.joins):
        return False
    faults = [(len(each.placement.misfits), len(each.overlaps)) for each in (then, piece)]
    return faults[0] <= faults[1]


def _longer(piece: Piece, fault: LyingPast) -> Closing | None:
    if any(fault.axis in {each.centred, each.side and each.side.axis} for each in fault.join.placings):
        return None  # It is this distance that is wrong.
    for part, side in fault.join.sides:
        # What lies on another by just nothing may be held off it by a part too long.
        on_it = part is fault.join.part_b and fault.away < NIL
        if part.grain is not fault.axis or part.turn is not None or on_it:
            continue
        for other in piece.graph.joins_of(part):
            at = [point[fault.axis] for point in piece.contact(other).points]
            if at and other.side_of(part) is side and max(at) - min(at) < float(part.length) / 2:
                # As far over its other end as there, too.
                own, here = piece.body(part).bounds, piece.body(fault.join.other(part)).middle[fault.axis]
                over = max(at) - own.low[fault.axis] if max(at) < here else own.high[fault.axis] - min(at)
                return Closing(part, fault.away + over)
    return None


def overlap(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Two parts run into one another, and no joint says that they may.

    What a part in a ring of joins that does not close runs into is judged once it fits.
    """
    limit = rule.limit("depth", piece.settings)
    for each in piece.overlaps:
        a, b = each.part_a, each.part_b
        if _in_a_lap(piece, a, b) or _in_a_lap(piece, b, a):
            continue
        inside = _in_one_host(piece, a, b) if each.depth > limit else None
        shared = each if inside is None else each._replace(depth=inside)
        if shared.depth <= limit:
            continue
        join = next((j for j in piece.graph.joins_of(a) if b in j.parts), None)
        yield rule.finding(
            fact=shared,
            span=_row_past(piece, (a, b))
            or laid_alike(piece, a, b)
            or (join.span if join is not None else b.name_span),
            joint=join.name if join is not None else None,
            parts=(a.name, b.name),
            measured=shared.depth,
            limit=limit,
        )


def _row_past(piece: Piece, parts: tuple[Part, Part]) -> Span | None:
    """The words of a loop that lays one of two parts, where its row runs past its end: they are at fault."""
    row = looped_parts(piece, parts, None)
    return row.placing.span if row is not None and row.last < 0 else None


def laid_alike(piece: Piece, a: Part, b: Part) -> Span | None:
    """The words that lay a part just where one like it lies already, a distance first: they are told of both."""
    if piece.body(a).bounds != piece.body(b).bounds:
        return None

    def told(part: Part) -> Iterator[Placing]:
        joins = (join for join in piece.graph.joins_of(part) if join.part_a is part)
        return (each for join in joins for each in join.placings)

    first = {(each.side, each.inset, each.centred) for each in told(a)}
    same = (each for each in told(b) if (each.side, each.inset, each.centred) in first)
    return next((each.span for each in sorted(same, key=lambda each: not each.inset)), None)


def _in_a_lap(piece: Piece, let: Part, lapped: Part) -> bool:
    """Whether one part is let into a third where that laps the other: it goes into the wood that both give there."""
    for join in piece.graph.joins_of(let):
        host = join.part_b
        if join.part_a is not let or join.tradition is None or not join.tradition.inset or host is lapped:
            continue
        over = (each for each in piece.graph.joins_of(host) if lapped in each.parts and each.tradition)
        if any(each.form is Form.LAP for each in over):
            one, other, outer = (piece.body(part).bounds for part in (let, lapped, host))
            limit = piece.limits["overlap", "depth"]
            return all(
                outer.low[axis] - limit <= max(one.low[axis], other.low[axis])
                and min(one.high[axis], other.high[axis]) <= outer.high[axis] + limit
                for axis in Axis
            )
    return False


def in_one_host(piece: Piece, a: Part, b: Part) -> list[tuple[Join, Join]]:
    """The joins that lay two parts on one third, or let them into it."""
    return [
        (one, other)
        for one in piece.graph.joins_of(a)
        for other in piece.graph.joins_of(b)
        if one.part_a is a and other.part_a is b and one.part_b is other.part_b
    ]


def let_into_one(piece: Piece, a: Part, b: Part) -> tuple[Join, Join] | None:
    """The joins that let two parts into one third from two of its sides, as deep as the plan says."""
    found = (pair for pair in in_one_host(piece, a, b) if all(each.tradition for each in pair))
    return next(
        ((one, two) for one, two in found if one.side_b is not two.side_b and min(one.inset, two.inset) > 0),
        None,
    )


def _in_one_host(piece: Piece, a: Part, b: Part) -> float | None:
    """How far two parts run into one another that are both let into one third; ``None`` where they are not.

    Tenons are as thick and wide as the plan says. Where one ends within the other's thickness the two are mitred; one
    that goes right through the other is told. Two that come end to end must stop before one another.
    """
    found = None
    for one, other in in_one_host(piece, a, b):
        first = let_in(one, piece.body(a), piece.body(one.part_b))
        second = let_in(other, piece.body(b), piece.body(one.part_b))
        if first is not None and second is not None:
            found = max(found or 0.0, _through(one, first.box, other, second.box))
    return found


def _through(one: Join, first: Box, other: Join, second: Box) -> float:
    """How far the tips of two tenons lie past one another, in the frame of the part that holds both."""
    shared = first.shared(second)
    if one.side_b.axis is other.side_b.axis:
        return min(shared)
    past = (_past(one.side_b, first, second), _past(other.side_b, second, first))
    return min(shared) if max(past) > 0 else 0.0


def _past(side: Side, tenon: Box, other: Box) -> float:
    """How far a tenon that enters at a side reaches past the far side of another."""
    axis = side.axis
    return other.low[axis] - tenon.low[axis] if side.sign > 0 else tenon.high[axis] - other.high[axis]


def free_to_slide(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Nothing fixes where a part lies along an axis."""
    for free in piece.placement.free:
        join = free.join
        yield rule.finding(fact=free, span=join.span, joint=join.name, parts=_names(join), basis="geometry")


class LooseGroup(NamedTuple):
    """Parts that are joined to one another, and to nothing else of the piece."""

    parts: tuple[Part, ...]


def unjoined(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A part that no join holds; a few that hold together and that no join ties to the rest."""
    for part in piece.placement.unjoined:
        of, _ = meant_as_image(piece.plan.provenance, part.name, part.grain)
        names, kind = ((part.name, of), IMAGE) if of else ((part.name,), "")
        yield rule.finding(fact=part, kind=kind, span=part.name_span, parts=names, basis="geometry")
    for group in _loose_groups(piece):
        yield rule.finding(
            fact=group,
            kind="group",
            grade=min(rule.grade, Grade.CAUTION),
            span=group.parts[0].name_span,
            parts=[part.name for part in group.parts],
            basis="geometry",
        )


def _loose_groups(piece: Piece) -> Iterator[LooseGroup]:
    """What hangs together apart from the largest of a plan: but for units of an assembly, such as drawers, and for what
    is made of the same boards as the largest itself: a second one."""
    groups = piece.placement.components
    largest = max(groups, key=len, default=())
    boards = Counter(part.stock.name for part in largest)
    said = piece.plan.provenance.parts
    for parts in groups:
        units = any(said[part.name].scope.placed is not None for part in parts)
        if (
            parts is not largest
            and len(parts) > 1
            and not units
            and Counter(part.stock.name for part in parts) != boards
        ):
            yield LooseGroup(parts)


def askew(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Two sides said to meet do not look at one another."""
    limit = rule.limit("angle", piece.settings)
    for sides in piece.placement.askew:
        join = sides.join
        if sides.angle > limit:
            yield rule.finding(
                fact=sides,
                span=join.span,
                at=join,
                measured=sides.angle,
                limit=limit,
                unit="degrees",
            )
    yield from _off_the_floor(piece, rule, limit)
    gap = rule.limit("open joint", piece.settings)
    for fault in open_at_tapers(piece, gap):
        yield rule.finding(
            fact=fault,
            kind="taper",
            grade=min(rule.grade, Grade.CAUTION),
            span=fault.taper.span,
            at=fault.join,
            measured=fault.open,
            limit=gap,
            basis="open joint",
        )


NEAR_FLOOR = 1.0
"""Inches above the lowest wood within which a part is meant to stand on the floor. Basis: our own judgement."""


def _off_the_floor(piece: Piece, rule: Rule, limit: float) -> Iterator[Finding]:
    """A leaning part whose foot is cut to stand level, and does not: its turn or its cut has the other sign."""
    crooked = {part.name for fault in piece.placement.askew for part in fault.join.parts}
    if any(part.bottom_height is not None for part in piece.plan.parts):
        return
    for fault in off_level(piece.graph):
        part = fault.part
        low = piece.body(part).bounds.low[Axis.Z] - piece.bounds.low[Axis.Z]
        if part.name not in crooked and low < NEAR_FLOOR:
            yield rule.finding(
                fact=fault,
                kind="foot",
                span=part.name_span,
                parts=(part.name,),
                measured=fault.angle,
                limit=limit,
                unit="degrees",
            )


def _names(join: Join) -> tuple[str, str]:
    return join.part_a.name, join.part_b.name

"""Repairs of where parts lie: lengths that close a ring, distances and alignments."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import chain, pairwise

from planlint.checks.placement_faults import Apart, let_into_one
from planlint.checks.uneven_feet import UnevenFeet
from planlint.findings.finding import Finding
from planlint.geometry.facts import Overlap
from planlint.language.syntax_tree import FastenersLine, PlacingLine
from planlint.model.directions import Axis
from planlint.model.plan import Join, Part
from planlint.model.provenance import left_alone
from planlint.placement.placement_results import Closing, Copied, DrawerFit, FreeAxis, Misfit
from planlint.placement.ring_closing import fellows
from planlint.repairs import join_edits
from planlint.repairs.distance_edits import distance_changed, exact, moved, reworded
from planlint.repairs.let_in_repairs import less_let_in
from planlint.repairs.line_edits import add_detail, change
from planlint.repairs.part_repairs import across, add_item, lengthened, turned_round
from planlint.repairs.placing_proof import changed_piece, fits, resizes
from planlint.repairs.repair_context import Context, Proposal
from planlint.text.edits import TextEdit
from planlint.text.measures import length

MOST_TRIED = 12
"""Ways tried for one finding. Basis: own judgement."""
Edits = tuple[TextEdit, ...]
Way = tuple[Edits, str]


def misfit(context: Context, finding: Finding) -> Iterator[Proposal]:
    """A part turned or measured the other way round where that explains it; else a length or a distance in the ring
    changed by what is missing, those that make a part like its fellows first."""
    if isinstance(finding.fact, UnevenFeet):
        yield from _levelled(context, finding, finding.fact)
        return
    fault = finding.judged(Misfit)
    if fault.drawer is not None:
        yield from fitting(context, finding, _drawer(context, fault.drawer))
    turned = fault.turned
    if turned is not None:
        yield from fitting(context, finding, turned_round(context, turned))
    known = fault.closing is not None and fault.closing.sure and fault.unlike is None and fault.copied is None
    for number, way in enumerate(fitting(context, finding, _closings(context, fault))):
        # Where it is known what is wrong the piece may get larger by it, and then nothing else is done unasked.
        known = known and (number > 0 or resizes(context, way.edits, finding))
        yield way._replace(
            asks=bool(fault.rival or fault.even) or (known and number > 0), larger=known and not number
        )


def _drawer(context: Context, fit: DrawerFit) -> Iterator[Way]:
    """The slides alike; else all that runs across a drawer, by the measure that its unit is given."""
    if fit.unlike is not None:
        for made in fit.unlike.fastenings:
            statement = context.at(made.span)
            for each in context.node(statement, FastenersLine).sizes:
                if made.kind == "slides" and each.word.text == "thick":
                    edit = join_edits.number(context, statement, each.value, fit.thick)
                    yield (edit,), f"use slides {length(fit.thick, context.unit)} thick, as at the other side"
        return
    says = f"make the drawer {length(abs(fit.by), context.unit)} {'narrower' if fit.by < 0 else 'wider'}"
    for edits in across(context, fit.parts, fit.by):
        yield edits, says


def _levelled(context: Context, finding: Finding, fault: UnevenFeet) -> Iterator[Proposal]:
    """The feet, or the posts on them, made as long as those of the others."""
    for parts, by in (fault.longer, fault.by), (fault.shorter, -fault.by):
        if parts:
            says = f"make {parts[0].name} as long as its fellow{'' if fault.shorter else 's'}"
            ways = lengthened(context, parts[0], exact(by, context.unit), others=parts[1:])
            for way in fitting(context, finding, ((edits, says) for edits in ways)):
                yield way._replace(asks=bool(fault.shorter), larger=True)


def unjoined(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The image of a part takes its joins along, as others do."""
    part = finding.judged(Part)
    if left_alone(context.plan.provenance, part.name):
        says = f"take the joins along for {part.name}"
        yield from fitting(
            context, finding, ((edits, says) for edits in add_item(context, part, "with its joins"))
        )


def fitting(context: Context, finding: Finding, ways: Iterator[Way]) -> Iterator[Proposal]:
    """The ways that take a finding away and leave no other of its kind."""
    seen = set()
    for edits, says in ways:
        if edits in seen:
            continue
        seen.add(edits)
        if len(seen) > MOST_TRIED:
            return
        if fits(context, edits, finding):
            yield Proposal(edits, says, moves=True)


def _closings(context: Context, fault: Misfit) -> Iterator[Way]:
    """Ways to close a ring: as at the other end of the part, as long as its fellows, then whatever closes it."""
    amount = exact(float(fault.amount), context.unit)
    if fault.copied is not None:
        yield from _renamed(context, fault.copied)
    for join, placing, inset, other in filter(None, (fault.unlike, fault.even)):
        for edits in distance_changed(context, placing, inset - placing.inset):
            yield edits, f"lay {join.part_a.name} on {join.part_b.name} as on {other.part_b.name}"
    if fault.axis is not None:
        yield from _as_alike(context, fault.join, fault.axis)
    closing = fault.closing
    if closing is not None and closing.heals:
        yield from _made(context, closing.part, exact(float(closing.by), context.unit), closing)
    along = [part for part in fault.loop_parts if fault.axis is not None and part.grain is fault.axis]
    for part, by in _like_fellows(context, along[::-1], amount):
        yield from _made(context, part, by)
    if closing is not None and not closing.heals:
        yield from _made(context, closing.part, exact(float(closing.by), context.unit), closing)
    if fault.placing is not None and not fault.placing.flush:
        for edits in distance_changed(context, fault.placing, amount):
            yield edits, "change this distance to what the other joins leave"
    yield from _other_distances(context, fault, amount)
    for part in along:
        for by in (amount, -amount):
            yield from _made(context, part, by)


def _other_distances(context: Context, fault: Misfit, amount: Fraction) -> Iterator[Way]:
    for join in fault.loop:
        for placing in join.placings:
            if placing is fault.placing or placing.flush or placing.side is None:
                continue
            if placing.side.axis is fault.axis:
                for by in (amount, -amount):
                    for edits in distance_changed(context, placing, by):
                        yield edits, f"change the distance of {join.part_a.name} on {join.part_b.name}"


def _like_fellows(context: Context, parts: list[Part], amount: Fraction) -> list[tuple[Part, Fraction]]:
    """Parts that would be as long as others of their stock, and by how much: those with most such fellows, and fewest
    as they are, first, then the part whose join is told last."""
    found: list[tuple[int, int, int, Part, Fraction]] = []
    for part in parts:
        for by in (amount, -amount):
            like = any(
                other.length == part.length + by
                for other in context.plan.parts
                if other.stock is part.stock and other.grain is part.grain
            )
            if like:
                more, among_all = fellows(context.plan.parts, Closing(part, by))
                found.append((-more, -among_all, len(found), part, by))
    return [(part, by) for *_, part, by in sorted(found, key=lambda each: each[:3])]


def _made(context: Context, part: Part, by: Fraction, closing: Closing | None = None) -> Iterator[Way]:
    now, word = (part.width, "wide") if closing is not None and closing.wide else (part.length, "long")
    size = length(now + by, context.unit)
    name = closing.names if closing is not None else part.name
    for edits in lengthened(context, part, by, word, closing.others if closing is not None else ()):
        yield edits, f"make {name} {size} {word} instead of {length(now, context.unit)}"


def _renamed(context: Context, copied: Copied) -> Iterator[Way]:
    """The join told for the twin that is meant."""
    said = context.plan.provenance.joins[copied.join.index]
    side, statement = said.line.b if copied.of_b else said.line.a, context.at(copied.join.span)
    word = side.part
    if left_alone(context.plan.provenance, copied.meant.name):
        for edits in add_item(context, copied.meant, "with its joins"):
            yield edits, f"take the joins along for {copied.meant.name}"
        return
    if word is None or said.flips or context.words(statement, word.start, word.end) != copied.named.name:
        return
    edit = change(statement, word.start, word.end, copied.meant.name)
    yield (edit,), f"join {copied.meant.name} there, not {copied.named.name}"


def apart(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The part moved along the joint until the whole of it lies on the other."""
    fault = finding.judged(Apart)
    ways = chain(
        _reversed(context, fault),
        _flush_where_all_meet(context, fault.join),
        _longer(context, fault),
        _onto(context, fault.join),
    )
    yield from fitting(context, finding, ways)


def _longer(context: Context, fault: Apart) -> Iterator[Way]:
    """A part made to reach what it lies on with its other end as well."""
    if fault.longer is not None:
        part, by = fault.longer
        yield from _made(context, part, exact(by, context.unit))


def _reversed(context: Context, fault: Apart) -> Iterator[Way]:
    """A distance counted the other way: commonest where the part that is joined is the larger."""
    told = fault.reversed
    if told is None or told.side is None:
        return
    way = "outward" if told.inset > 0 else "inward"
    for edits in distance_changed(context, told, -2 * told.inset):
        yield edits, f"count the {length(abs(told.inset), context.unit)} {way} at the {told.side.value}"


def _flush_where_all_meet(context: Context, join: Join) -> Iterator[Way]:
    """A part laid flush at the side that is told, or the one opposite, where that brings it to all it is joined to."""
    part = join.part_a
    for told in (each for each in join.placings if each.side is not None):
        for side in (told.side, told.side.opposite) if told.side is not None else ():
            for edits in reworded(context, told, f"flush {side.value}"):
                piece = changed_piece(context, edits)
                if piece is not None and all(
                    piece.contact(each).patches for each in piece.graph.joins_of(part)
                ):
                    yield edits, f"lay {part.name} flush at the {side.value}"


def _as_alike(context: Context, join: Join, axis: Axis) -> Iterator[Way]:
    """A distance told as at the other end of the part, where it is told otherwise there."""
    placing = next(
        (p for p in join.placings if p.side is not None and p.side.axis is axis and not p.flush), None
    )
    if placing is None:
        return
    statement = context.at(placing.span)
    size = statement.span.end - statement.span.start
    for other in context.piece.graph.joins_of(join.part_a):
        if other is join or other.side_a.axis is not join.side_a.axis:
            continue
        for said in other.placings:
            if said.side is not None and said.side is placing.side and said.inset != placing.inset:
                there = context.at(said.span)
                words, end = context.line(there), there.span.end - there.span.start
                if not said.flush or words == f"flush {said.side.value}":
                    yield (change(statement, 0, size, words),), f"say `{words}`, as at the other end"
                if not said.flush:
                    words = context.line(statement)
                    yield (change(there, 0, end, words),), f"say `{words}` at the other end too"


def _onto(context: Context, join: Join) -> Iterator[Way]:
    for axis in Axis:
        yield from _as_alike(context, join, axis)
    a, b = (context.piece.body(part).bounds for part in join.parts)
    for axis in Axis:
        if axis is join.side_a.axis:
            continue
        low, high = b.low[axis] - a.low[axis], b.high[axis] - a.high[axis]
        if min(low, high) <= 0 <= max(low, high):
            continue
        by = min((low, high), key=abs)
        for part, way in ((join.part_a, by), (join.part_b, -by)):
            edits = moved(context, part, axis, exact(way, context.unit))
            if edits:
                yield edits, f"move {part.name} by {length(abs(way), context.unit)}, {axis.words}"
            yield from _nearer(context, part, axis, exact(way, context.unit))


def _nearer(context: Context, part: Part, axis: Axis, by: Fraction) -> Iterator[Way]:
    """The parts that hold a part off along an axis made longer or shorter, all that are alike together."""
    beams = [each for each in context.piece.graph.neighbours(part) if each.grain is axis]
    for beam in beams:
        others = tuple(each for each in beams if each is not beam and each.length == beam.length)
        middle = context.piece.body(beam).middle[axis] < context.piece.body(part).middle[axis]
        change = Closing(beam, by if middle else -by, False, others)
        if beam.length + change.by > 0:
            yield from _made(context, beam, Fraction(change.by), change)


def overlap(context: Context, finding: Finding) -> Iterator[Proposal]:
    """One of the two moved or shortened by as much as they share; of two let into one third only the builder knows."""
    shared = finding.judged(Overlap)
    meeting = let_into_one(context.piece, shared.part_a, shared.part_b)
    ways = less_let_in(context, meeting) if meeting else iter(())
    for way in fitting(context, finding, chain(ways, _clear(context, shared.part_a, shared.part_b))):
        yield way._replace(asks=meeting is not None)


def _clear(context: Context, a: Part, b: Part) -> Iterator[Way]:
    boxes = context.piece.body(a).bounds, context.piece.body(b).bounds
    middle = [low + high for low, high in zip(*context.piece.bounds, strict=True)]
    # As far either way: A outward, so that images stay images.
    out = [-1 if boxes[0].low[axis] + boxes[0].high[axis] <= middle[axis] else 1 for axis in Axis]
    ways = (
        min(
            (round(boxes[0].high[axis] - boxes[1].low[axis], 9), axis, out[axis] > 0, -1),
            (round(boxes[1].high[axis] - boxes[0].low[axis], 9), axis, out[axis] < 0, 1),
        )
        for axis in Axis
    )
    nearest = [(exact(by, context.unit), axis, sign) for by, axis, _, sign in sorted(ways)]
    for inward in (True, False):
        for by, axis, sign in nearest:
            yield from _shortened(context, (a, b), axis, by, wide=not inward)
            for part, toward in ((a, sign), (b, -sign)):
                edits = moved(context, part, axis, toward * by)
                if edits and _inward(context, part, axis, toward * by) is inward:
                    yield edits, f"move {part.name} by {length(by, context.unit)}, {axis.words}"
            yield from _further(context, a, b, axis, by) if inward else ()


def _inward(context: Context, part: Part, axis: Axis, by: Fraction) -> bool:
    """Whether a part moved along an axis stays inside of what its joins lay it on."""
    return all(
        placing.inset - placing.side.sign * by * (1 if join.part_a is part else -1) >= 0
        for join in context.piece.graph.joins_of(part)
        for placing in join.placings
        if placing.side is not None and placing.side.axis is axis
    )


def _further(context: Context, a: Part, b: Part, axis: Axis, by: Fraction) -> Iterator[Way]:
    """A distance on the way from one part to the other changed: what lies wrong may hang together with more."""
    from networkx import shortest_path  # noqa: PLC0415 - only where parts run into one another

    network = context.piece.graph.network
    way = shortest_path(network, a.name, b.name)
    for one, other in pairwise(way):
        for each in network[one][other].values():
            for placing in each["join"].placings:
                if placing.side is not None and placing.side.axis is axis and not placing.flush:
                    for more in (by, -by):
                        for edits in distance_changed(context, placing, more):
                            yield (
                                edits,
                                f"move {a.name} or what holds it by {length(by, context.unit)}, {axis.words}",
                            )


def _shortened(
    context: Context, parts: tuple[Part, ...], axis: Axis, by: Fraction, *, wide: bool
) -> Iterator[Way]:
    """Parts made shorter along an axis, or narrower (``wide``) where their stock leaves that open: those first that
    then are like others; as much at both ends where that is not enough."""
    closings = [
        Closing(part, -by, wide)
        for part in parts
        if (part.across if wide else part.grain) is axis and not (wide and part.stock.width == part.width)
    ]
    for each in sorted(closings, key=lambda each: [-many for many in fellows(context.plan.parts, each)]):
        for less in (by, 2 * by):
            if each.now > less:
                yield from _made(context, each.part, -less, each._replace(by=-less))


# ---------------------------------------------------------------- alignments


def words_that_fix(context: Context, finding: Finding) -> Iterator[Proposal]:
    """What is said at a joint like this one; else flush, else centred."""
    free = finding.judged(FreeAxis)
    head = context.at(free.join.span)
    after = [each for each in head.details if isinstance(each.node, PlacingLine)]

    def ways() -> Iterator[Way]:
        said = tuple(_said_alike(context, free.join, free.axis))
        as_long = free.join.part_a.size[free.axis] == free.join.part_b.size[free.axis]
        for words in dict.fromkeys((*free.words, *said) if as_long else (*said, *free.words)):
            yield (add_detail(context, head, words, after[-1] if after else None),), f"say `{words}`"

    yield from fitting(context, finding, ways())


def _said_alike(context: Context, join: Join, axis: Axis) -> Iterator[str]:
    """How other joints place their parts along an axis: those of the same part first, then of the same stock."""

    def likeness(other: Join) -> tuple[bool, bool, bool]:
        return (
            not set(join.parts) & set(other.parts),
            join.part_a.stock is not other.part_a.stock or join.part_b.stock is not other.part_b.stock,
            join.side_a.axis is not other.side_a.axis,
        )

    alike = sorted((other for other in context.plan.joins if other is not join), key=likeness)
    for other in alike[:12]:
        if likeness(other)[0] and likeness(other)[1]:
            return
        for placing in other.placings:
            if placing.centred is axis:
                yield f"centred {axis.words}"
            elif placing.side is not None and placing.side.axis is axis:
                if placing.flush:
                    yield f"flush {placing.side.value}"
                    yield f"flush {placing.side.opposite.value}"
                else:
                    statement = context.at(placing.span)
                    words = context.line(statement)
                    yield words
                    yield f"{words.rpartition(' ')[0]} {placing.side.opposite.value}"

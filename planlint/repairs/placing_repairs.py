"""Repairs of where parts lie: lengths that close a ring, distances and alignments."""

from collections.abc import Iterator
from typing import assert_never

from planlint.checks.line_slips import Meant, SlipIn
from planlint.checks.uneven_feet import UnevenFeet
from planlint.findings.finding import Finding
from planlint.language.expression_tree import Operation
from planlint.language.syntax_tree import FastenersLine, JoinLine, PlacingLine, Word
from planlint.language.tree_text import said_in
from planlint.model.directions import SIDE_BY_WORD, Axis, Side
from planlint.model.join_details import Placing
from planlint.model.like_parts import are_twins
from planlint.model.plan import Join, Part
from planlint.model.provenance import meant_as_image
from planlint.placement.misread_units import other_units
from planlint.placement.placement_results import (
    Closing,
    Copied,
    DrawerFit,
    FreeAxis,
    Misfit,
    Remade,
    Retold,
    Unlike,
)
from planlint.placement.retold_joins import along_a_free_axis
from planlint.repairs import join_edits
from planlint.repairs.cut_repairs import as_deep
from planlint.repairs.distance_edits import Edits, distance_changed, reworded
from planlint.repairs.let_in_repairs import DEPTHS, measure_changed
from planlint.repairs.line_edits import add_detail, change, say_more
from planlint.repairs.part_repairs import across, lengthened, turned_round
from planlint.repairs.placing_proof import puts_right, resizes
from planlint.repairs.repair_context import Context, Proposal
from planlint.text.edits import TextEdit, apply_within
from planlint.text.rounding import ROUNDING

_MOST_TRIED = 12
"""Ways tried for one finding. Basis: own judgement."""
Remedy = tuple[Edits, str]


def misfit(context: Context, finding: Finding) -> Iterator[Proposal]:
    """A part turned or measured the other way round where that explains it; else a length or a distance in the ring
    changed by what is missing, those that make a part like its fellows first."""
    if isinstance(finding.fact, UnevenFeet):
        yield from _levelled(context, finding, finding.fact)
        return
    if isinstance(finding.fact, Meant):
        edits = [each for each in (finding.fact.edit, finding.fact.instead) if each is not None]
        told = (((each,), f"write `{each.new}`") for each in edits)
        # Of two that lie in one another, or so, a step may as well be meant that leaves a gap.
        asks = finding.fact.likely or (
            finding.fact.slip_in is SlipIn.LET and len(context.piece.placement.misfits) < 2
        )
        yield from fitting(context, finding, told, asks=asks, larger=True)
        return
    fault = finding.judged(Misfit)
    cause, turned, either, sure = fault.cause, fault.turned, False, False
    if isinstance(cause, DrawerFit):
        yield from fitting(context, finding, _drawer(context, cause))
    known = cause is None and fault.closing is not None and fault.closing.sure
    proved = fault.closing is not None and fault.closing.heals > 0
    # What nothing proved hangs on what is asked of other rings.
    asked = () if proved else context.piece.placement.misfits
    either_of_two = (isinstance(each, Closing) for one in (fault, *asked) for each in one.doubts)
    unsure = bool(cause is not None and fault.doubts) or any(either_of_two)
    if turned is not None:
        # Twins of one line in the ring take it together: a length that closes it is as likely.
        either = known and sum(turned.part.span.also_tells(part.span) for part in fault.loop_parts) > 1
        # What then wants other screws was drilled as it lies now: it brings nothing where it explains all.
        ways = fitting(context, finding, turned_round(context, turned), asks=either)
        yield from (way._replace(followed=True) for way in ways)
    for number, way in enumerate(fitting(context, finding, _closings(context, fault))):
        # Where it is known what is wrong the piece may get larger by it, and then nothing else is done unasked.
        known = known and (number > 0 or resizes(context, way.edits, finding))
        # A part that is turned would explain it too, but for its screws.
        asks = unsure or either or turned is not None or (known and number > 0)
        sure = sure or not asks
        yield way._replace(asks=asks, larger=known and not number)
    if not sure:
        yield from fitting(context, finding, _resized(context, fault), asks=True)


def _resized(context: Context, fault: Misfit) -> Iterator[Remedy]:
    """Any part of a ring made longer or shorter by what is missing, with those of its line or alone."""
    by = context.exact(abs(float(fault.amount)))
    for part in (each for each in fault.loop_parts if each.grain is fault.axis and by < each.length):
        for others in dict.fromkeys((context.plan.lined_with(part), ())):
            for way in (-by, by):
                yield from made(context, Closing(part, way, False, others))


def _drawer(context: Context, fit: DrawerFit) -> Iterator[Remedy]:
    """The slides alike; else all that runs across a drawer, by the measure that its unit is given."""
    if fit.unlike is not None:
        for made in fit.unlike.fastenings:
            statement = context.at(made.span)
            for each in context.node(statement, FastenersLine).sizes:
                if made.kind == "slides" and each.word.text == "thick":
                    edit = join_edits.length_edit(context, statement, each.value, fit.thick)
                    yield (edit,), f"use slides {context.told(fit.thick)} thick, as at the other side"
        return
    says = f"make the drawer {context.told(abs(fit.by))} {'narrower' if fit.by < 0 else 'wider'}"
    for edits in across(context, fit.parts, fit.by):
        yield edits, says


def _levelled(context: Context, finding: Finding, fault: UnevenFeet) -> Iterator[Proposal]:
    """The feet, or the posts on them, made as long as those of the others."""
    for parts, by in (fault.longer, fault.by), (fault.shorter, -fault.by):
        if parts:
            says = f"make {parts[0].name} as long as its fellow{'' if fault.shorter else 's'}"
            ways = (
                (edits, says) for edits in lengthened(context, parts[0], context.exact(by), others=parts[1:])
            )
            yield from fitting(context, finding, ways, asks=bool(fault.shorter), larger=True)


def unjoined(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The image of a part takes its joins along, as others do; so does what is only like another."""
    if not isinstance(finding.fact, Part):
        return
    part = finding.fact
    ways = meant_as_image(context.plan.provenance, part.name, part.grain)[1]
    head, node = context.at(part.span), context.plan.provenance.parts[part.name].line
    at = node.image
    edits = (((change(head, at, way),), f"say that {part.name} `{way}`") for way in ways if at)
    yield from fitting(context, finding, edits)


def fitting(
    context: Context, finding: Finding, ways: Iterator[Remedy], *, asks: bool = False, larger: bool = False
) -> Iterator[Proposal]:
    """The ways that take a finding away and leave no other of its kind, which may be ``larger`` or are to be asked."""
    seen = set()
    for edits, says in ways:
        if edits in seen:
            continue
        seen.add(edits)
        if len(seen) > _MOST_TRIED:
            return
        if puts_right(context, edits, finding):
            yield Proposal(edits, says, moves=True, asks=asks, larger=larger)


def _closings(context: Context, fault: Misfit) -> Iterator[Remedy]:
    """Ways to close a ring: as at the other end of the part, as long as its fellows, then whatever closes it."""
    amount = context.exact(float(fault.amount))
    for alike in (fault.cause, *fault.doubts):
        if isinstance(alike, Copied | Remade | Retold):
            yield from told_alike(context, alike)
    for words in along_a_free_axis(fault, context.piece.placement.free):
        assert fault.placing is not None
        yield from ((edits, f"say `{words}`") for edits in reworded(context, fault.placing, words))
    yield from in_the_usual_unit(context, *fault.join.parts)
    closing = fault.closing
    if closing is not None and closing.heals and not isinstance(fault.cause, Unlike):
        yield from made(context, closing)
    for join, placing, inset, other in fault.distances:
        for said in (context.at(each.span) for each in other.placings if each.side is placing.side):
            # In a loop it is told by what counts its turns.
            if isinstance(context.node(said, PlacingLine).distance, Operation) and other is not join:
                says = f"say `{context.line(said)}`, as for {other.name}"
                yield from ((edits, says) for edits in reworded(context, placing, context.line(said)))
        for edits in distance_changed(context, placing, inset - placing.inset):
            yield edits, f"lay {join.part_a.name} on {join.part_b.name} at {context.told(abs(inset))}"
    for each in (closing, *fault.doubts):
        if isinstance(each, Closing):
            yield from made(context, each)
    if fault.placing is not None and not fault.placing.flush:
        for edits in distance_changed(context, fault.placing, amount):
            yield edits, "change this distance to what the other joins leave"


def told_alike(context: Context, way: Copied | Remade | Retold) -> Iterator[Remedy]:
    """A join told as one like it: for the twin that is meant, at other sides, as deep, or where others lie."""
    match way:
        case Copied():
            yield from _renamed(context, way)
        case Retold():
            yield from _laid_alike(context, way)
        case Remade():
            yield from _remade(context, way)
        case _:
            assert_never(way)


def _remade(context: Context, way: Remade) -> Iterator[Remedy]:
    join, made, other = way
    head, edit = context.at(join.span), measure_changed(context, join, DEPTHS, made.inset)
    node = context.node(head, JoinLine)
    if join.tradition is None and made.tradition is not None:
        context.at(other.span)  # What another file tells is left to that.
        words = f"as {context.text[slice(*made.tradition.span)]}"
        told = add_detail(context, head, words) if node.like else say_more(head, f" {words}")
        yield (told,), f"let {join.part_a.name} into {join.part_b.name} as at {other.name}"
    elif made.side_a is not join.side_a:
        pairs = (node.a.side, made.side_a), (node.b.side, made.side_b)
        edits = tuple(change(head, word, side.value) for word, side in pairs)
        yield edits, f"join {join.part_a.name} to {join.part_b.name} as the mirror image of {other.name}"
    else:
        ways = as_deep(context, join, made.inset) if edit is None else iter([(edit,)])
        yield from (
            (each, f"let {join.part_a.name} into {join.part_b.name} as deep as the others") for each in ways
        )


def made(context: Context, closing: Closing) -> Iterator[Remedy]:
    """A part, and what goes with it, as much longer or wider as closes a ring."""
    by, word = context.exact(float(closing.by)), "wide" if closing.wide else "long"
    says = (
        f"make {closing.names} {context.told(closing.now + by)} {word} instead of {context.told(closing.now)}"
    )
    for edits in lengthened(context, closing.part, by, word, closing.others):
        yield edits, says


def _renamed(context: Context, copied: Copied) -> Iterator[Remedy]:
    """The join told for the twin that is meant."""
    said = context.plan.provenance.joins[copied.join.index]
    side, statement = said.line.b if copied.of_b else said.line.a, context.at(copied.join.span)
    word = side.part
    if word is None or said.flips or context.words(statement, word) != copied.named.name:
        return
    edit = change(statement, word, copied.meant.name)
    yield (edit,), f"join {copied.meant.name} there, not {copied.named.name}"


def _laid_alike(context: Context, retold: Retold) -> Iterator[Remedy]:
    join, other, placing, instead = retold
    if placing is not None:
        words = instead[0].words(context.spelt)
        for edits in reworded(context, placing, words):
            yield edits, f"say `{words}` for {join.name}" + f", as for {other.name}" * (other is not join)
        return
    statement = context.at(join.span)
    like = context.node(statement, JoinLine).like
    if like is not None:
        yield ((change(statement, like, other.name),), f"say that {join.name} is like {other.name}")


def in_the_usual_unit(context: Context, *parts: Part) -> Iterator[Remedy]:
    """A distance of the parts that is told in another unit than is meant taken in that: all that are told so, and
    each alone."""
    found: dict[str, dict[TextEdit, None]] = {}
    for placing, numbers, total, told, instead, *_ in other_units(context.piece.graph, parts):
        statement = context.at(placing.span)
        for number in numbers:
            words = context.line(statement)[number.start : number.end]
            bare = words if number.unit is None else words.rstrip("abcdefghijklmnopqrstuvwxyz'\" ")
            read = bare if instead == context.unit else f"{bare} {instead}"
            edit = change(statement, number, read)
            says = f"read {float(total):g} {told} as {float(total):g} {instead}"
            found.setdefault(says, {})[edit] = None
    for says, edits in found.items():
        yield tuple(edits), says
        yield from (((edit,), says) for edit in edits)


def words_that_fix(context: Context, finding: Finding) -> Iterator[Proposal]:
    """What is said at the joint of a twin, or flush where both sides are then; by its builder's word alone what is said
    at others, flush or centred."""
    free = finding.judged(FreeAxis)
    head = context.at(free.join.span)
    after = [each for each in head.details if isinstance(each.node, PlacingLine)]
    said = [*_said_alike(context, free.join, free.axis)]
    sure = {words for words, of_twin in said if of_twin}
    as_long = len({(each.size[free.axis], each.turn) for each in free.join.parts}) == 1
    twice = sum(each.join is free.join for each in context.piece.placement.free) > 1
    every = [words for words, _ in said]
    for words in dict.fromkeys((*free.words, *every) if as_long else (*every, *free.words)):
        edits = (add_detail(context, head, words, after[-1] if after else head),)
        asks = twice or not (as_long or words in sure)
        yield from fitting(context, finding, iter([(edits, f"say `{words}`")]), asks=asks)


def _images(context: Context, join: Join, other: Join, axis: Axis) -> bool:
    """Whether what is laid alike at two joints is laid as in a mirror along an axis: on parts beside one another, or on
    one part, where it would else lie in the same place."""
    apart = [
        {n for n in Axis if abs(one.low[n] - its.low[n]) > ROUNDING}
        for one, its in (
            [context.piece.body(each).bounds for each in twins]
            for twins in zip(join.parts, other.parts, strict=True)
        )
    ]
    return axis in apart[1] if join.part_b is not other.part_b else apart[0] <= {axis}


def _told_from(context: Context, placing: Placing, side: Side) -> str:
    """The words that place a part by a side, told of that side or of the one across."""
    if placing.flush:  # Its line may be flush with other sides too.
        return f"flush {side.value}"
    statement = context.at(placing.span)
    words = (each for each in said_in(statement.node, Word) if each.text in SIDE_BY_WORD)
    edits = [change(statement, each, side.value) for each in words]
    return apply_within(context.text, statement.span, edits)


def _said_alike(context: Context, join: Join, axis: Axis) -> Iterator[tuple[str, bool]]:
    """How other joints place their parts along an axis, and whether a twin is placed so: those of its twins first, then
    of the same part, then of the same stock."""

    def likeness(other: Join) -> tuple[bool, ...]:
        twins = zip(join.parts, other.parts, strict=True)
        return (
            not all(one is its or are_twins(one, its) for one, its in twins),
            not set(join.parts) & set(other.parts),
            join.part_a.stock is not other.part_a.stock or join.part_b.stock is not other.part_b.stock,
            join.side_a.axis is not other.side_a.axis,
        )

    alike = sorted((other for other in context.plan.joins if other is not join), key=likeness)
    for other in alike[:12]:
        if all(likeness(other)[1:3]):
            return
        of_twin = not likeness(other)[0]
        across = _images(context, join, other, axis)
        for placing in other.placings:
            if placing.centred is axis:
                yield f"centred {axis.words}", of_twin
            elif placing.side is not None and placing.side.axis is axis:
                # A rail at the top has its like as likely somewhere below as at the foot.
                sure = of_twin and (not across or axis is not Axis.Z or placing.side is Side.BOTTOM)
                yield _told_from(context, placing, placing.side), sure and not across
                yield _told_from(context, placing, placing.side.opposite), sure and across

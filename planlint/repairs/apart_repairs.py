"""Repairs of parts that lie apart where they are joined, run into one another, or are laid unevenly by a loop."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import chain, product

from planlint.checks.looped_parts import LoopedParts, looped_parts
from planlint.checks.open_at_taper import square_on_tapers
from planlint.checks.placement_faults import LyingPast, laid_alike, let_into_one
from planlint.findings.finding import Finding
from planlint.geometry.joint_facts import Overlap
from planlint.language.expression_tree import Expression, Name, Number, Operation
from planlint.language.syntax_tree import CutItem, For, Let, PlacingLine, RemovalItem
from planlint.language.tree_text import said_in, statements_of
from planlint.model.directions import SIDE_BY_WORD, Axis
from planlint.model.plan import Join, Part
from planlint.model.written_sums import counted_off
from planlint.placement.likely_lengths import fellows, roundness
from planlint.placement.placement_results import Closing, Misturned, Retold
from planlint.repairs.distance_edits import Edits, part_moved, reworded
from planlint.repairs.let_in_repairs import less_let_in
from planlint.repairs.line_edits import change, rewrite
from planlint.repairs.missing_joins import let_in_like_others
from planlint.repairs.part_repairs import add_item, details_of, turned_round
from planlint.repairs.placing_proof import as_fellows, changed_piece
from planlint.repairs.placing_repairs import Remedy, fitting, in_the_usual_unit, made, told_alike
from planlint.repairs.repair_context import Context, Proposal
from planlint.repairs.written_lengths import changed_sum, marks, spelt
from planlint.text.source import Span
from planlint.wording.overlap_words import row_evened

MUCH_MORE = 2
"""Times as much as a part lies past another that it would reach farther, turned: then something else may as well be
meant. Basis: our own judgement."""


def apart(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The part moved along the joint until the whole of it lies on the other."""
    fault = finding.judged(LyingPast)
    if isinstance(fault.meant, Closing):
        for way in fitting(context, finding, made(context, fault.meant)):
            yield way._replace(asks=not as_fellows(context, way.edits, beside=True))
    elif isinstance(fault.meant, Misturned):
        by = abs(fault.meant.takes - fault.meant.instead)
        asks = fault.meant.facing is not None and by > MUCH_MORE * fault.away
        yield from fitting(context, finding, turned_round(context, fault.meant), asks=asks)
    elif fault.meant is not None:
        now, then = fault.meant[2:] if isinstance(fault.meant, Retold) else (None, ())
        # By how much a part stands off may be wrong as well as from which side.
        across = now is not None and bool(now.inset) and then[0].side is not now.side
        yield from fitting(context, finding, told_alike(context, fault.meant), asks=across)
    yield from _of_the_loop(context, finding, fault.join.parts, fault.axis)
    if finding.kind == "no-wood":  # A notch at another corner than is meant takes the wood away.
        corners = (_cut_otherwise(context, each, notched=True) for each in fault.join.parts)
        turned = [*fitting(context, finding, chain(*corners))]
        moved = [*fitting(context, finding, _past_cuts(context, fault.join), asks=True)]
        yield from (way._replace(asks=bool(turned[1:] or moved)) for way in turned)
        yield from moved
    looped = looped_parts(context.piece, fault.join.parts, fault.axis) is not None
    ways = chain(
        in_the_usual_unit(context, *fault.join.parts),
        _onto_tapers(context, fault.join),
        _tapered_otherwise(context, fault.join),
    )
    for way in fitting(context, finding, ways):
        yield way._replace(asks=looped or _moves_others(context, finding, way.edits))
    # To where they meet there are several ways, and nothing tells which is meant.
    yield from fitting(context, finding, _onto(context, fault.join), asks=True)


def _of_the_loop(
    context: Context, finding: Finding, parts: tuple[Part, Part], along: Axis | None = None
) -> Iterator[Proposal]:
    """The row that a loop lays laid evenly: asked, with one of fewer, where that needs a step that no rule shows, or
    not as well as the one that is told."""
    row, unit = looped_parts(context.piece, parts, along), context.unit
    if row is not None:
        even, line = row.even or Fraction(0), context.at(row.placing.span)
        said = {each.text for each in said_in(context.node(line, PlacingLine).distance, Name)}
        lets = [each for each in statements_of(context.tree) if isinstance(each.node, Let)]
        lines = (context.line(each) for each in lets if context.node(each, Let).name.text in said)
        fitted = any(" / " in each for each in (context.line(line), *lines))  # So that it ends evenly.
        whole = even % marks(unit)[-1] == 0 and roundness(unit, even) >= roundness(unit, row.pitch)
        tidy = whole and not fitted
        odd = not (row.one_late or row.too_many or tidy)
        for less in dict.fromkeys((row.past, 0)) if odd else (row.too_many,):
            says = row_evened(context.piece, parts, along)
            told = [f"let this loop make {row.many - less} instead of {row.many}"] if less else says
            yield from fitting(
                context, finding, _laid_evenly(context, row, less, told), asks=odd, larger=not odd
            )


def _laid_evenly(context: Context, row: LoopedParts, less: int, says: Sequence[str]) -> Iterator[Remedy]:
    """The loop that lays one of some parts, changed so that its row ends evenly; or so many turns ``less``."""
    line, every = context.at(row.placing.span), [*statements_of(context.tree)]
    sum_, words = context.node(line, PlacingLine).distance, context.line(line)
    lets = {each.node.name.text: (each, each.node.value) for each in every if isinstance(each.node, Let)}
    for loop in (each for each in every if isinstance(each.node, For) and says):
        turn = context.node(loop, For)
        if sum_ is None or turn.name.text not in {each.text for each in said_in(sum_, Name)}:
            continue
        if row.one_late:
            at = (each for each in said_in(sum_, Name) if each.text == turn.name.text)
            yield tuple(change(line, each, f"({each.text} - 1)") for each in at), says[0]
        elif less:
            name = turn.last.text if isinstance(turn.last, Name) else ""
            statement, last = lets.get(name, (loop, turn.last))
            fewer = changed_sum(last, context.line(statement), Fraction(-less), "in")
            if fewer is not None:
                yield (change(statement, last, fewer),), says[0]
        elif row.even is not None:
            for step in _steps(sum_, turn.name.text):
                scope = context.plan.provenance.scope
                new = changed_sum(step, words, row.step(context.unit) - row.pitch, context.unit, scope)
                if new is not None:
                    bare = isinstance(step, Number) or words[step.start] == "("
                    new = new if bare or " " not in new else f"({new})"
                    yield (change(line, step, new),), says[0]


def _steps(node: Expression, turn: str) -> Iterator[Expression]:
    """What is taken once for each turn of a loop."""
    if not isinstance(node, Operation):
        return
    for one, other in ((node.left, node.right), (node.right, node.left)):
        counts = turn in {each.text for each in said_in(one, Name)}
        if node.operator == "*" and counts and turn not in {each.text for each in said_in(other, Name)}:
            yield other
        elif counts:
            yield from _steps(one, turn)


def _onto_tapers(context: Context, join: Join) -> Iterator[Remedy]:
    """The square ends of a part cut to the tapers that they meet, and the part as long as there is room for."""
    for part in {part for part, *_ in square_on_tapers(join)}:
        ends = [each for other in context.plan.joins for each in square_on_tapers(other) if each[0] is part]
        cuts = [
            f"{end.value} end cut {spelt(taper.angle, 'in')}, long at {taper.long_at.opposite.value}"
            for _, end, _, taper in ends
        ]
        for cut in add_item(context, part, ", ".join(dict.fromkeys(cuts))):
            says = f"cut the ends of {part.name} to the tapers"
            piece = changed_piece(context, cut)
            for misfit in piece.placement.misfits if piece is not None else ():
                for by in (misfit.amount, -misfit.amount):
                    for longer, more in made(context, Closing(part, by)):
                        yield (*cut, *longer), f"{says}, and {more}"
            yield cut, says


def _tapered_otherwise(context: Context, join: Join) -> Iterator[Remedy]:
    """A part tapered toward its other end, and so left square where it is joined."""
    for part in join.parts:
        for trim in part.trims:
            if trim.at is not None and trim.slants:
                statement, ends = context.at(trim.span), {trim.at.value, trim.at.opposite.value}
                what, to, words = context.line(statement).partition(" to ")
                one, other = sorted(ends)
                turned = words.replace(one, "\0").replace(other, one).replace("\0", other)
                yield (rewrite(statement, what + to + turned),), f"taper {part.name} toward its other end"


def _past_cuts(context: Context, join: Join) -> Iterator[Remedy]:
    """A part moved to where the wood begins, beside what is cut away of the other."""
    a, b = (context.piece.body(part).bounds for part in join.parts)
    for removal, axis in product(join.part_b.removals, Axis):
        if axis is not join.side_a.axis:
            low, high = (b.low[axis] + float(at[axis]) for at in (removal.low, removal.high))
            for by in sorted((high - a.low[axis], low - a.high[axis]), key=abs):
                edits = part_moved(context, join.part_a, axis, context.exact(by)) if by else None
                if edits:
                    yield edits, f"move {join.part_a.name} by {context.told(abs(by))}, {axis.words}"


def _onto(context: Context, join: Join) -> Iterator[Remedy]:
    a, b = (context.piece.body(part).bounds for part in join.parts)
    for axis in Axis:
        if axis is join.side_a.axis:
            continue
        low, high = b.low[axis] - a.low[axis], b.high[axis] - a.high[axis]
        if min(low, high) <= 0 <= max(low, high):
            continue
        by = min((low, high), key=abs)
        for part, way in ((join.part_a, by), (join.part_b, -by)):
            edits = part_moved(context, part, axis, context.exact(way))
            if edits:
                yield edits, f"move {part.name} by {context.told(abs(way))}, {axis.words}"
            yield from _nearer(context, part, axis, context.exact(way))


def _nearer(context: Context, part: Part, axis: Axis, by: Fraction) -> Iterator[Remedy]:
    """The parts that hold a part off along an axis made longer or shorter, all that are alike together."""
    beams = [each for each in context.piece.graph.neighbours(part) if each.grain is axis]
    for beam in beams:
        others = tuple(each for each in beams if each is not beam and each.length == beam.length)
        middle = context.piece.body(beam).middle[axis] < context.piece.body(part).middle[axis]
        change = Closing(beam, by if middle else -by, False, others)
        if beam.length + change.by > 0:
            yield from made(context, change)


def overlap(context: Context, finding: Finding) -> Iterator[Proposal]:
    """One of the two moved or shortened by as much as they share; of two let into one third only the builder knows."""
    shared = finding.judged(Overlap)
    meeting = let_into_one(context.piece, shared.part_a, shared.part_b)
    ways = less_let_in(context, meeting) if meeting else iter(())
    laps = [*fitting(context, finding, let_in_like_others(context, shared))]
    yield from laps
    units = in_the_usual_unit(context, shared.part_a, shared.part_b)
    yield from _of_the_loop(context, finding, (shared.part_a, shared.part_b))
    parts = sorted((shared.part_a, shared.part_b), key=lambda part: -part.index) if meeting is None else []
    yield from fitting(context, finding, chain(*(_cut_otherwise(context, part) for part in parts)))
    alike = laid_alike(context.piece, shared.part_a, shared.part_b) is not None
    other_ends = chain(*(_from_the_other_end(context, part, flush=alike) for part in parts))
    ends = [*fitting(context, finding, other_ends, asks=True)]
    yield from ends
    nearest, others = (_clear(context, shared, nearest=each) for each in (True, False))
    yield from fitting(context, finding, _with_play(context, shared))
    found = [*fitting(context, finding, chain(units, ways, nearest))]
    unsure = bool(ends or laps or alike) or meeting is not None or _runs_past(context, shared)
    doubtful = unsure or _size_or_place(context, found)
    further = [*fitting(context, finding, others, asks=True)] if found and not doubtful else None
    for way in found:
        # A part laid elsewhere may as well be laid elsewhere still.
        laid = bool(further) and bool(_lines(context, way))
        yield way._replace(asks=doubtful or laid or _moves_others(context, finding, way.edits))
    yield from fitting(context, finding, others, asks=True) if further is None else further


def _runs_past(context: Context, shared: Overlap) -> bool:
    """Whether the one part is to move past the other, as a drawer or a door does: how much play it has nobody knows."""
    return shared.part_b not in context.piece.graph.held_with(shared.part_a, lambda join: not join.hangs)


def _with_play(context: Context, shared: Overlap) -> Iterator[Remedy]:
    """What moves past another made shorter by what its sum counts once too seldom: what that leaves is its play."""
    if not _runs_past(context, shared):
        return
    for part, other in (shared.part_a, shared.part_b), (shared.part_b, shared.part_a):
        for axis, wide in (part.grain, False), (part.across, True):
            by, word = -other.size[axis], "wide" if wide else "long"
            if counted_off(context.plan, part, word, by, {-by}, 0):
                yield from made(context, Closing(part, by, wide, context.plan.lined_with(part)))


def _size_or_place(context: Context, ways: Sequence[Proposal]) -> bool:
    """Whether several ways heal as much, and nothing tells which is meant: of two parts the one or the other laid
    elsewhere by the one line that says where, or one made smaller, where no part like it tells how large it is."""
    told = [_lines(context, way) for way in ways]
    once = {next(iter(each)) for each in told if len(each) == 1}
    sizes = [way for way, each in zip(ways, told, strict=True) if not each]
    return len(once) > 1 or (bool(once) and any(not as_fellows(context, way.edits) for way in sizes))


def _lines(context: Context, way: Proposal) -> set[Span]:
    """The lines that say where parts lie of which a way changes or adds words; none if it changes others."""
    said = [placing.span for join in context.plan.joins for placing in join.placings]
    at = [[each for each in said if each.start <= edit.span.start <= each.end] for edit in way.edits]
    return {spans[0] for spans in at} if all(at) else set()


def _cut_otherwise(context: Context, part: Part, *, notched: bool = False) -> Iterator[Remedy]:
    """A channel cut in the side across, an end with its long point there; what is ``notched`` at another corner."""
    kinds, many = ({"notch", "cutout"}, 2) if notched else ({"groove", "dado"}, 1)
    channels = (
        (each.statement, word, "at its")
        for each in details_of(context, part, RemovalItem)
        for word in each.item.sides[:many]
        if each.item.kind.text in {*kinds, "rabbet"}
    )
    slants = ((each.statement, each.item.long_at, "long at") for each in details_of(context, part, CutItem))
    for statement, word, how in chain(channels, slants):
        away = SIDE_BY_WORD[word.text].opposite.value
        yield (change(statement, word, away),), f"cut {part.name} {how} {away}, not at {word.text}"


def _from_the_other_end(context: Context, part: Part, *, flush: bool) -> Iterator[Remedy]:
    """A distance of a part counted from the side across: a word copied from what lies at the other end; of what is
    ``flush`` too, or centred."""
    placings = [each for join in context.piece.graph.joins_of(part) for each in join.placings if each.side]
    for one in placings:
        alike = {each.span: each for each in placings if (each.side, each.inset) == (one.side, one.inset)}
        nodes = ((each, each.node) for each in map(context.at, alike))
        away = one.side.opposite.value if one.side else ""
        edits = [change(each, node.sides[-1], away) for each, node in nodes if isinstance(node, PlacingLine)]
        if edits and one.inset:
            yield tuple(edits), f"lay {part.name} as far from the {away}"
        ways = (f"flush {away}", f"centred {one.side.axis.words}") if one.flush and flush and one.side else ()
        for words in ways:
            told = [next(reworded(context, each, words), ()) for each in alike.values()]
            yield tuple(chain(*told)), f"lay {part.name} {words}"


def _moves_others(context: Context, finding: Finding, edits: Edits) -> bool:
    """Whether a line that edits change lays other parts of a loop too, of which nothing is found."""
    found = (finding, *finding.also)
    names = {name for each in found for name in each.parts}
    for join in context.plan.joins:
        for placing in join.placings:
            said = any(placing.span.start <= edit.span.start < placing.span.end for edit in edits)
            if (
                said
                and join.part_a.name not in names
                and not context.plan.provenance.joins[join.index].mirrored
            ):
                return True
    return False


def _clear(context: Context, shared: Overlap, *, nearest: bool) -> Iterator[Remedy]:
    """One of two parts moved or shortened until they meet: the ``nearest`` way, or the others."""
    a, b, *_ = shared
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
    found = [(context.exact(by), axis, sign) for by, axis, _, sign in sorted(ways)]
    near = sum(by == found[0][0] for by, _, _ in found)
    if context.exact(shared.depth) < found[0][0]:  # By less, where one of them is cut out for the other.
        found, near = [(context.exact(shared.depth), *found[0][1:]), *found], near + 1
    found = found[:near] if nearest else found[near:]
    for inward in (True, False):
        yield from _shortened(context, (a, b), [(axis, by) for by, axis, _ in found], wide=not inward)
        for by, axis, sign in found:
            for part, toward in ((a, sign), (b, -sign)):
                edits = part_moved(context, part, axis, toward * by)
                if edits and _inward(context, part, axis, toward * by) is inward:
                    yield edits, f"move {part.name} by {context.told(by)}, {axis.words}"


def _inward(context: Context, part: Part, axis: Axis, by: Fraction) -> bool:
    """Whether a part moved along an axis stays inside of what its joins lay it on."""
    return all(
        placing.inset - placing.side.sign * by * (1 if join.part_a is part else -1) >= 0
        for join in context.piece.graph.joins_of(part)
        for placing in join.placings
        if placing.side is not None and placing.side.axis is axis
    )


def _shortened(
    context: Context, parts: tuple[Part, Part], along: Sequence[tuple[Axis, Fraction]], *, wide: bool
) -> Iterator[Remedy]:
    """Parts made shorter ``along`` an axis, or narrower (``wide``) where their stock leaves that open: those first that
    count what they end against once too seldom, then those that are like others so; as much at both ends where that is
    not enough."""
    closings = [
        Closing(part, -by, wide)
        for axis, by in along
        for part in parts
        if (part.across if wide else part.grain) is axis and not (wide and part.stock.width == part.width)
    ]

    def likely(each: Closing) -> tuple[bool, list[int]]:
        by = Fraction(each.by)
        off = counted_off(context.plan, each.part, "wide" if wide else "long", by, {-by}, 0)
        return not off, [-many for many in fellows(context.plan.parts, each)]

    for each in sorted(closings, key=likely):
        for less in (-Fraction(each.by), -2 * Fraction(each.by)):
            for others in dict.fromkeys((context.plan.lined_with(each.part), ())) if each.now > less else ():
                yield from made(context, each._replace(by=-less, others=others))

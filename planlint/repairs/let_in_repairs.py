"""What is let in: two parts that meet inside a third, each made shorter; a panel made narrower, so that it may grow."""

from collections import Counter
from collections.abc import Iterator, Set
from fractions import Fraction

from planlint.checks.joint_wood import BELIED, NoWood
from planlint.checks.loose_panel import LoosePanel
from planlint.findings.finding import Finding
from planlint.language.syntax_tree import JoinLine, TraditionItem
from planlint.model.plan import Join
from planlint.placement.likely_lengths import SLIP
from planlint.repairs.join_edits import length_edit
from planlint.repairs.part_repairs import lengthened
from planlint.repairs.repair_context import Context, Proposal
from planlint.text.edits import TextEdit
from planlint.text.rounding import whole_up


def less_let_in(context: Context, meeting: tuple[Join, Join]) -> Iterator[tuple[tuple[TextEdit, ...], str]]:
    """Both as deep as at their other ends, or half through; the parts as much shorter."""
    one, other = meeting
    host = one.part_b.size
    ends = {each.inset for join in meeting for each in context.piece.graph.joins_of(join.part_a)}
    half = min(host[join.side_b.axis] for join in meeting) / 2
    for deep in (*sorted((each for each in ends if each > 0), reverse=True), half):
        by = [join.inset - deep for join in meeting]
        if min(by) < 0 or not any(by):
            continue
        edits = [
            edit
            for join, less in zip(meeting, by, strict=True)
            if less and (edit := measure_changed(context, join, DEPTHS, join.inset - less))
        ]
        alike = one.part_a.length == other.part_a.length and by[0] == by[1]
        shorter = [_shorter(context, join, less) for join, less in zip(meeting, by, strict=True)]
        parts = [join.part_a for join in meeting]
        if alike and shorter[0] == shorter[1]:
            lengths = list(lengthened(context, parts[0], -shorter[0], others=parts[1:]))[:1]
        else:
            each = (
                list(lengthened(context, part, -less))[-1:]
                for part, less in zip(parts, shorter, strict=True)
                if less
            )
            lengths = [tuple(edit for ways in each for way in ways for edit in way)]
        names = " and ".join(dict.fromkeys(part.name for part in parts))
        says = f"let {names} {context.told(deep)} into {one.part_b.name}, and make them as much shorter"
        for cut in lengths or [()]:
            yield tuple(dict.fromkeys((*cut, *edits))), says


def _shorter(context: Context, join: Join, by: Fraction) -> Fraction:
    """How much shorter a part gets: at both ends, where one statement tells both."""
    if not join.part_a.is_end(join.side_a):
        return Fraction(0)
    told = [each for each in context.piece.graph.joins_of(join.part_a) if each.span == join.span]
    return by * len(told)


DEPTHS = frozenset({"deep", "long"})
"""The measures that say how deep a part is let in."""


def measure_changed(context: Context, join: Join, words: Set[str], value: Fraction) -> TextEdit | None:
    """One of a traditional joint's measures made another; ``None`` where the join's own lines do not say it."""
    head = context.at(join.span)
    for statement in (head, *head.details):
        node = statement.node
        said = node.tradition if isinstance(node, JoinLine) else node
        if isinstance(said, TraditionItem):
            for measure in said.measures:
                if measure.word.text in words:
                    return length_edit(context, statement, measure.value, value)
    return None


_MEASURES = {"no-cheek": "thick", "insert-thick": "thick", "insert-long": "long"}
"""What of a joint that leaves no wood is made another, where its kind is not the measure itself."""


def of_wood(context: Context, fault: NoWood) -> Iterator[Proposal]:
    """A tenon or tongue as thick or wide as most others, or as is usual: a third of the wood, and all of its width; a
    measure that a size belies as that size has it."""
    join, word = fault.join, _MEASURES.get(fault.kind, fault.kind)
    made = join.tradition if join is not None else None
    if join is not None and fault.kind in BELIED:
        yield from _believed(context, join, fault)
    if join is None or made is None or word not in made.measures:
        return
    alike = (each.tradition for each in context.plan.joins if each.tradition)
    fellows = Counter(each.measures.get(word) for each in alike if each.kind == made.kind)
    usual = context.exact(fault.most / (1 if word == "wide" else 3))
    ways = (*(each for each, _ in fellows.most_common()), *((usual,) if word == fault.kind else ()))
    for value in ways:
        edit = (
            measure_changed(context, join, {word}, value) if value and value != made.measures[word] else None
        )
        if edit is not None:
            yield Proposal((edit,), f"make what lets {join.part_a.name} in {context.told(value)} {word}")


def _believed(context: Context, join: Join, fault: NoWood) -> Iterator[Proposal]:
    """What a joint measures, wherever that is told so of parts alike, made what the wood measures there; what goes
    through, as much longer."""
    size, words = context.exact(fault.most), {"wide"} if fault.kind == "lap-wide" else DEPTHS
    alike = [
        each
        for each in context.plan.joins
        if each.tradition == join.tradition
        and each.part_a.stock is join.part_a.stock
        and each.part_b.size[each.side_b.axis] == join.part_b.size[join.side_b.axis]
    ]
    edits = dict.fromkeys(filter(None, (measure_changed(context, each, words, size) for each in alike)))
    through, by = fault.kind == "not-through", size - join.inset
    for part in {each.part_a.name: each.part_a for each in alike if through}.values():
        ends = sum(each.part_a is part for each in alike)
        edits |= dict.fromkeys(next(lengthened(context, part, by * ends), ()))
    if edits:
        word = {"lap-wide": "wide", "lap-deep": "deep"}.get(fault.kind, "long")
        says = f"make what lets {join.part_a.name} in {context.told(size)} {word}"
        yield Proposal(tuple(edits), says, moves=word != "wide", asks=through and by > SLIP)


_SIXTEENTH = Fraction(1, 16)
"""Inches that a panel is cut to. Basis: common practice, what a rule is read to."""


def loose_panel(context: Context, finding: Finding) -> Iterator[Proposal]:
    """One board that is too tight: half as much less deep in each groove, and so much narrower in all."""
    loose = finding.judged(LoosePanel)
    if loose.kind != "tight" or len(loose.panel) > 1:
        return
    each = whole_up((loose.moves - (loose.room or 0.0)) / 2 / float(_SIXTEENTH)) * _SIXTEENTH
    edits = [measure_changed(context, join, DEPTHS, join.inset - each) for join in loose.joins]
    shallower = tuple(dict.fromkeys(edit for edit in edits if edit is not None))
    if None in edits or any(join.tradition and join.tradition.inset <= each for join in loose.joins):
        return
    says = f"make {loose.panel[0].name} {context.told(2 * each)} narrower, to grow in its grooves"
    for narrower in lengthened(context, loose.panel[0], -2 * each, "wide"):
        yield Proposal((*narrower, *shallower), says, moves=True)

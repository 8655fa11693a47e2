"""Repairs of sides that do not look at one another: other sides, other turns, other cuts."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import chain

from planlint.checks.open_at_taper import OpenAtTaper
from planlint.findings.finding import Finding
from planlint.language.syntax_tree import CutItem, PartDetails, TrimItem, Turned
from planlint.model.cuts import STEEPEST
from planlint.model.directions import SIDE_BY_WORD, Side
from planlint.model.plan import EndCut, Join, Part
from planlint.placement.askew_sides import (
    Evened,
    OffLevel,
    Straightened,
    evened,
    left_free,
    likeliest,
    straightened,
    usual,
)
from planlint.placement.copied_names import across_from, other_end
from planlint.placement.equations import Askew
from planlint.repairs.line_edits import change, line_taken_out
from planlint.repairs.part_repairs import DetailPlace, add_item, details_of, take_item
from planlint.repairs.placing_repairs import Remedy, fitting
from planlint.repairs.repair_context import Context, Proposal
from planlint.repairs.written_lengths import spelt
from planlint.text.edits import TextEdit
from planlint.text.rounding import ROUNDING
from planlint.text.source import Span


def askew(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The side that looks at the other one named instead; or the slant cut off square."""
    if finding.kind == "foot":
        ways, angle = finding.judged(OffLevel).ways, finding.judged(OffLevel).angle
        cuts = (way for each in ways if each.cut is not None for way in _recut(context, each, angle))
        for proposal in fitting(context, finding, chain(_slips(context, ways), cuts)):
            yield proposal._replace(asks=len(ways) > 1)
        return
    if finding.kind == "taper":  # Where it is to start, or how wide the rail is, is for the builder to say.
        yield from fitting(context, finding, _tapered_later(context, finding.judged(OpenAtTaper)), asks=True)
        return
    fault = finding.judged(Askew)
    for _, said, _, free in left_free(context.piece.graph, fault):
        head, node = context.at(fault.join.span), context.plan.provenance.joins[fault.join.index].line
        name = node.b.part if said is fault.join.part_b else node.a.part
        if name is not None and not node.others:
            says = f"join it to {free.name}, not to {said.name}"
            yield from fitting(context, finding, iter([((change(head, name, free.name),), says)]))
    even = evened(context.piece.graph, fault, context.piece.placement.askew)
    if even is not None:
        yield from fitting(context, finding, _all_corners(context, fault, even))
    yield from fitting(context, finding, _facing(context, fault))


def _tapered_later(context: Context, fault: OpenAtTaper) -> Iterator[Remedy]:
    past = context.exact(fault.past)
    for line, item, start, end in details_of(context, fault.host, TrimItem):
        if line.at(start, end) == fault.taper.span:
            edit = change(line, item.sizes[-1], context.spelt(past))
            yield (edit,), f"start the taper of {fault.host.name} {context.told(past)} from its end"


def _all_corners(context: Context, fault: Askew, even: Evened) -> Iterator[Remedy]:
    """Every end that is cut like those of this corner, where that heals its own corner too, cut to one angle, or with
    its long point on the other side."""
    graph, edits = context.piece.graph, set()
    for each in context.piece.placement.askew:
        if (
            abs(each.angle - fault.angle) < ROUNDING
            and evened(graph, each, context.piece.placement.askew) == even
        ):
            join = each.join
            for part, side in join.sides:
                for statement, item, _, _ in _cuts(context, part, side):
                    over = SIDE_BY_WORD[item.long_at.text].opposite.value
                    at = (item.long_at, over) if even.over else (item.angle, spelt(even.angle, "in"))
                    edits.add(change(statement, *at))
    says = "the other way" if even.over else f"{spelt(even.angle, 'in')} degrees"
    yield tuple(sorted(edits)), f"cut every corner {says}"


def _facing(context: Context, fault: Askew) -> Iterator[Remedy]:
    """Another side, of what is askew at one joint; a turn the other way; the end cut otherwise; another turn."""
    ways = list(straightened(context.piece.graph, fault))
    yield from _slips(context, [each for each in ways if each.turned_back and fault.angle > 45])
    if fault.angle > 45:
        for each in ways:
            if each.part.turn is not None and each.cut and each.part.cut_at(each.cut.end) and not each.also:
                yield from _ends_cut(context, _as_its_other_end(each))
                yield from _ends_cut(context, each)
        yield from _other_sides(context, fault.join)
    turns = [each for each in ways if each.turn is not None]
    slips = [each for each in ways if each.turned_back or each.long_point_moved]
    yield from _slips(context, likeliest(context.piece.graph, context.piece.placement, slips))
    cut = [
        (part, there) for part, side in fault.join.sides for there in [part.cut_at(side)] if there is not None
    ]
    for part, end in sorted(cut, key=lambda each: usual(each[1].angle)):
        yield from _cut_otherwise(context, part, end, fault.angle)
    for each in ways:
        new = each.cut is not None and each.part.cut_at(each.cut.end) is None
        if new and each.cut and (each.part.is_edge(each.cut.end) or each.part.turn is not None):
            yield from _recut(context, each, fault.angle)
    for each in turns:
        yield from _turned(context, each)


def _recut(context: Context, way: Straightened, off: float) -> Iterator[Remedy]:
    """A side that is cut cut otherwise by so many degrees; one that is not, cut."""
    part, cut = way.part, way.cut
    assert cut is not None
    now = part.cut_at(cut.end)
    if now is not None:
        yield from _cut_otherwise(context, part, now, off)
        return
    which, angle = f"{cut.end.value} {'edge' if part.is_edge(cut.end) else 'end'}", spelt(cut.angle, "in")
    for edits in add_item(context, part, f"{which} cut {angle}, long at {cut.long_at.value}"):
        yield edits, f"cut the {which} of {part.name} {angle} degrees"


def _slips(context: Context, ways: Sequence[Straightened]) -> Iterator[Remedy]:
    """A turn the other way, a long point on the other side."""
    for each in ways:
        if each.turned_back:
            yield from _turned(context, each)
        elif each.also is not None:
            yield from _ends_cut(context, each)
        elif each.cut is not None:
            for place in _cuts(context, each.part, each.cut.end):
                item = place.item
                long_at, says = each.cut.long_at.value, f"cut {each.part.name} with its long point at the "
                edit = change(place.statement, item.long_at, long_at)
                yield (edit,), f"{says}{long_at}"
                if item.end is None:
                    angle = context.words(place.statement, item.angle)
                    one, other = each.cut.end.value, each.cut.end.opposite.value
                    ends = (other, item.long_at.text), (one, long_at)
                    words = ", ".join(f"{end} end cut {angle}, long at {at}" for end, at in ends)
                    yield ((change(place.statement, place, words),), f"{says}{long_at} at its {one}")


def _ends_cut(context: Context, way: Straightened) -> Iterator[Remedy]:
    """One end or both ends of a part cut otherwise, or only the other way, where its lines tell each."""
    cuts = [cut for cut in (way.cut, way.also) if cut is not None]
    told = [(cut, place) for cut in cuts for place in _cuts(context, way.part, cut.end) if place.item.end]
    if len(told) != len(cuts):
        return
    over = [change(place.statement, place.item.long_at, cut.long_at.value) for cut, place in told]
    ends = "both ends" if cuts[1:] else f"the {cuts[0].end.value} end"
    if way.long_point_moved:
        yield tuple(over), f"cut {ends} of {way.part.name} the other way"
        return
    angle = spelt(cuts[0].angle, "in")
    slants = [change(each.statement, each.item.angle, angle) for _, each in told]
    yield (*slants, *over), f"cut {ends} of {way.part.name} {angle} degrees"


def _as_its_other_end(way: Straightened) -> Straightened:
    """A cut made anew at one end of a part, and likewise at its other, where both are cut alike now."""
    part, cut = way.part, way.cut
    if cut is None:
        return way
    now, other = part.cut_at(cut.end), part.cut_at(cut.end.opposite)
    if now is None or other is None or now.angle != other.angle:
        return way
    long_at = other.long_at if cut.long_at is now.long_at else other.long_at.opposite
    return way._replace(also=replace(other, angle=cut.angle, long_at=long_at))


def _other_sides(context: Context, join: Join) -> Iterator[Remedy]:
    head, node = context.at(join.span), context.plan.provenance.joins[join.index].line
    end, many = other_end(context.piece.graph, join), node.others
    if end is not None and many and all(a.start == node.a.start for a, _ in many):
        # One side named for several: each of those meets an end of its own.
        meant = f"{join.part_a.name}.{end.value}"
        yield (TextEdit(head.at(node.a.end, node.a.end), f", {meant}"),), f"join {meant} there"
    twin = across_from(context.piece.graph, join)
    if twin is not None and node.b.part is not None:
        meant = f"{twin.name}.{join.side_b.opposite.value}"
        yield (change(head, Span(node.b.part.start, node.b.side.end), meant),), f"join {meant} instead"


def _cut_otherwise(context: Context, part: Part, cut: EndCut, angle_off: float) -> Iterator[Remedy]:
    end = f"the {cut.end.value} {'edge' if part.is_edge(cut.end) else 'end'} of {part.name}"
    for place in _cuts(context, part, cut.end):
        taken, line, item = take_item(context, place), place.statement, place.item
        if isinstance(line.node, PartDetails) and taken is None:
            taken = line_taken_out(context, line)
        for by in (angle_off, -angle_off):
            angle = Fraction(round((float(cut.angle) + by) * 2), 2)
            if 0 < angle < STEEPEST:
                words = spelt(angle, "in")
                edit = change(line, item.angle, words)
                yield (edit,), f"cut {end} {words} degrees"
        if taken is not None:
            yield (taken,), f"cut {end} square"


def _turned(context: Context, way: Straightened) -> Iterator[Remedy]:
    for statement, item, _, _ in details_of(context, way.part, Turned):
        assert way.turn is not None
        words = spelt(way.turn.angle, "in")
        edit = change(statement, item.angle, words)
        yield (edit,), f"turn {way.part.name} {words} degrees"


def _cuts(context: Context, part: Part, side: Side) -> Iterator[DetailPlace[CutItem]]:
    for each in details_of(context, part, CutItem):
        if each.item.edge is part.is_edge(side) and (
            each.item.end is None or each.item.end.text == side.value
        ):
            yield each

"""Parts made longer, shorter, thicker or of another stock; alone, or with those that share their statement."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Generic, NamedTuple, TypeVar

from planlint.language.plain_lines import block_end, line_at, line_end
from planlint.language.syntax_tree import Flag, PartLine, SizeItem, Statement, StockLine
from planlint.model.directions import Side
from planlint.model.foreign_lines import Elsewhere as Foreign
from planlint.model.plan import Part
from planlint.model.provenance import Sum
from planlint.model.stock import Stock
from planlint.model.written_sums import common_lengths, sum_place
from planlint.placement.placement_results import Misturned
from planlint.repairs.join_edits import length_edit
from planlint.repairs.line_edits import change, say_more
from planlint.repairs.repair_context import Context, Proposal
from planlint.repairs.written_lengths import changed_sum
from planlint.text.edits import TextEdit, apply
from planlint.text.measures import length
from planlint.text.rounding import TOUCH
from planlint.text.source import Span

_Item = TypeVar("_Item")


class DetailPlace(NamedTuple, Generic[_Item]):
    """A detail of a part: the line that it stands in, and itself."""

    statement: Statement
    item: _Item
    start: int
    end: int


def details_of(context: Context, part: Part, kind: type[_Item]) -> Iterator[DetailPlace[_Item]]:
    """The details of one kind that a part's own lines tell."""
    context.at(part.span)  # Only of a part of this file.
    for statement, item, start, end in context.plan.provenance.parts[part.name].details:
        if isinstance(item, kind):
            yield DetailPlace(statement, item, start, end)


def measure_of(context: Context, part: Part, word: str) -> DetailPlace[SizeItem] | None:
    """Where a part's line says how long, wide or thick it is."""
    return next((each for each in details_of(context, part, SizeItem) if each.item.word.text == word), None)


def lengthened(
    context: Context, part: Part, by: Fraction, word: str = "long", others: Sequence[Part] = ()
) -> Iterator[tuple[TextEdit, ...]]:
    """Edits that make a part, and ``others`` that measure the same, ``by`` inches longer: where all are told at once,
    by a length's name, and alone."""
    told = context.plan.provenance.parts
    sums = [said for each in (part, *others) if (said := told[each.name].measures.get(word)) is not None]
    if len(sums) <= len(others):
        return
    sums = list({sum_place(said): said for said in sums}.values())
    edits = [changed(context, said, by) for said in sums]
    edit = edits[0]
    if len(sums) == 1:
        yield from _one(edit)
    for said in common_lengths(context.plan, sums):
        yield from _one(changed(context, said, by))
    if len(sums) > 1 and None not in edits:
        yield tuple(filter(None, edits))
    head = context.at(part.span)
    if edit is None or any(each.span != part.span for each in others):
        return
    if sums[0].statement in (head, *head.details):
        yield from alone(context, part, edit, *others)
    elif not others and word in {"long", "wide"}:
        now = part.length if word == "long" else part.width
        yield (say_more(head, f", {context.spelt(now + by)} {word}"),)


def across(context: Context, parts: Sequence[Part], by: Fraction) -> Iterator[tuple[TextEdit, ...]]:
    """Edits that make all parts ``by`` inches longer, each as long as it is: by the outermost length that they start
    with, or each of its own."""
    told = context.plan.provenance.parts
    sums = {
        sum_place(said): said for each in parts if (said := told[each.name].measures.get("long")) is not None
    }
    for said in reversed(list(common_lengths(context.plan, list(sums.values()))) if sums else []):
        yield from _one(changed(context, said, by))
    edits = [changed(context, said, by) for said in sums.values()]
    if edits and None not in edits:
        yield tuple(filter(None, edits))


def _one(edit: TextEdit | None) -> Iterator[tuple[TextEdit, ...]]:
    if edit is not None:
        yield (edit,)


def changed(context: Context, said: Sum, by: Fraction) -> TextEdit | None:
    """A sum made to come to ``by`` inches more; ``None`` where it stands in another file."""
    statement, value = said.statement, said.expression
    if not context.plan.provenance.is_own(statement) or isinstance(statement, Foreign):
        return None
    line = context.line(statement)
    words = changed_sum(value, line, by, context.unit, said.scope)
    return None if words is None else change(statement, value, words)


def alone(context: Context, part: Part, edit: TextEdit, *others: Part) -> Iterator[tuple[TextEdit, ...]]:
    """The part, with ``others`` of its statement, taken out of it into one of their own with the edit made in it."""
    head = context.at(part.span)
    node = head.node
    if not isinstance(node, PartLine):
        return
    taken = {part.name, *(each.name for each in others)}
    own, kept = ([name.text for name in node.names if (name.text in taken) is its] for its in (True, False))
    if not kept or len(own) < len(taken):  # A name with a number in it, in a loop.
        return
    names = Span(node.names[0].start, node.names[-1].end)
    start, end = line_at(context.text, head.span)[0], block_end(context.text, head)
    at = head.span.start - start
    copied = [TextEdit(Span(at + names.start, at + names.end), ", ".join(own))]
    copied.append(TextEdit(Span(edit.span.start - start, edit.span.end - start), edit.new))
    lines = apply(context.text[start:end], [each for each in copied if each.span.start >= 0])
    yield change(head, names, ", ".join(kept)), TextEdit(Span(end, end), f"{line_end(context.text)}{lines}")


def of_stock(context: Context, part: Part, stock: str) -> Iterator[tuple[TextEdit, ...]]:
    """Edits that make a part of another stock of the plan: with its fellows, and alone."""
    head = context.at(part.span)
    if not isinstance(head.node, PartLine):
        return
    edit = change(head, head.node.stock, stock)
    yield (edit,)
    if context.plan.lined_with(part):
        yield from alone(context, part, edit)


def turned_round(context: Context, turned: Misturned) -> Iterator[tuple[tuple[TextEdit, ...], str]]:
    """A part made to face another way, or its length and width swapped; alone, or with those of its statement."""
    part, name = turned.part, turned.part.name
    if turned.facing is None:
        long, wide = (measure_of(context, part, word) for word in ("long", "wide"))
        if long is None or wide is None:
            return
        words = [context.words(each.statement, each.item.value) for each in (long, wide)]
        edits = tuple(
            change(each.statement, each.item.value, new)
            for each, new in zip((long, wide), reversed(words), strict=True)
        )
        yield edits, f"swap the length and the width of {name}"
        return
    yield from facing_changed(context, part, turned.facing)


def facing_changed(context: Context, part: Part, facing: Side) -> Iterator[tuple[tuple[TextEdit, ...], str]]:
    """A part made to face another way: with those of its statement, or alone."""
    for each in details_of(context, part, Flag):
        if each.item.name == "facing":
            edit = change(each.statement, each, f"facing {facing.looks}")
            for edits in ((edit,), *alone(context, part, edit)):
                yield edits, f"let {part.name} face {facing.looks}"


def add_item(context: Context, part: Part, words: str) -> Iterator[tuple[TextEdit, ...]]:
    """A detail more at the end of a part's line: with its fellows, and alone."""
    head = context.at(part.span)
    edit = say_more(head, f", {words}")
    yield (edit,)
    if context.plan.lined_with(part):
        yield from alone(context, part, edit)


def take_item(context: Context, place: DetailPlace[_Item]) -> TextEdit | None:
    """A detail taken out of its line with the comma before it; ``None`` where it is all that its line says."""
    line = context.line(place.statement)
    comma = line[: place.start].rstrip()
    if comma.endswith(","):
        return change(place.statement, Span(len(comma) - 1, place.end), "")
    behind = line[place.end :]
    if behind.lstrip().startswith(","):
        gap = len(behind) - len(behind.lstrip().removeprefix(",").lstrip())
        return change(place.statement, Span(place.start, place.end + gap), "")
    return None


USUAL_THICKNESSES = (Fraction(3, 4), Fraction(1, 2), Fraction(1), Fraction(3, 2))
"""Thicknesses of stock in inches to try where the plan has none that serves. Basis: common practice."""


def thicker(context: Context, part: Part, least: float = 0.0) -> Iterator[Proposal]:
    """A part made thicker: as thick as its stock, of thicker stock of the plan, or its stock thicker."""
    unit = context.unit
    place = measure_of(context, part, "thick")
    if place is not None and part.stock.thickness > part.thickness:
        taken = take_item(context, place)
        if taken is not None:
            says = f"leave {part.name} as thick as its stock, {length(part.stock.thickness, unit)}"
            yield Proposal((taken,), says, moves=True)
    for stock in context.plan.stocks:
        wide = stock.width == part.stock.width or measure_of(context, part, "wide") is not None
        thick = stock.thickness > part.thickness and float(stock.thickness) >= least - TOUCH
        if stock.material == part.stock.material and thick and wide:
            for edits in of_stock(context, part, stock.name):
                yield Proposal(edits, f"make {part.name} of {stock.name}", moves=True, asks=True)
    others = [other.thickness for other in context.plan.parts if other.stock.material == part.stock.material]
    thicknesses: tuple[Fraction, ...] = (*others, *USUAL_THICKNESSES)
    for thickness in dict.fromkeys(thicknesses):
        if thickness > part.thickness and float(thickness) >= least - TOUCH:
            yield from stock_thickness(context, part.stock, thickness)


def stock_thickness(context: Context, stock: Stock, thickness: Fraction) -> Iterator[Proposal]:
    """A stock of another thickness."""
    statement = context.at(stock.span)
    node = statement.node
    if isinstance(node, StockLine) and node.thickness is not None and thickness != stock.thickness:
        edit = length_edit(context, statement, node.thickness, thickness)
        says = f"use stock {context.told(thickness)} thick for {stock.name}"
        yield Proposal((edit,), says, moves=True, asks=True)

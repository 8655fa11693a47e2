"""Lines of a plan told otherwise in one word or one number, as a slip of the pen would have it."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from fractions import Fraction
from itertools import chain

from planlint.checks.unlike_sides import SEEN
from planlint.geometry.piece import Piece
from planlint.language.expression_tree import Call, Expression, Name, Number, Operation
from planlint.language.syntax_tree import (
    CutItem,
    FastenersLine,
    Flag,
    JoinLine,
    Let,
    PartDetails,
    PartLine,
    PocketsLine,
    RemovalItem,
    ScrewsLine,
    SideOf,
    SizeItem,
    SpacingItem,
    Statement,
    Turned,
    Word,
)
from planlint.language.tree_text import said_in, statements_of
from planlint.model.directions import SIDE_BY_WORD, SIDES, Axis, usual_face
from planlint.model.plan import Part
from planlint.model.provenance import image_of
from planlint.repairs.line_edits import change
from planlint.repairs.written_lengths import neat, spelt
from planlint.text.edits import TextEdit, apply_within
from planlint.text.source import Span

MOST_LIKE = 6
"""Lengths of lines that are else told alike, the nearest first. Basis: our own judgement."""

Edits = tuple[TextEdit, ...]
Telling = tuple[str, Edits]
"""What to write, and where."""
_Alike = tuple[str, str, tuple[str, ...]]
"""What a line says before and behind a length, and the stock of the parts that it speaks of."""
_UNSAID = (CutItem, Turned, PocketsLine, FastenersLine, ScrewsLine)
"""What has no length that places a part."""


def told_otherwise(piece: Piece, names: Collection[str], amounts: Collection[Fraction]) -> Iterator[Telling]:
    """The lines that tell some parts and their joins, and those of what they are joined to, each with one word or
    number otherwise: those of the parts themselves first, and the words of a line before its numbers. ``amounts`` are
    inches by which parts lie wrong."""
    text, alike = piece.plan.provenance.tree.source.text, _numbers_by_line(piece)
    stocks = {span: of for span, (_, of) in _stocks_by_line(piece).items()}
    seen: set[Edits] = set()
    for statement in _lines(piece, names):
        line = text[slice(*statement.span)]
        single = chain(
            _words(piece, statement),
            _numbers(piece, statement, line, amounts, alike, stocks.get(statement.span, ())),
        )
        for edits in chain(((each,) for each in single), _swapped(statement, line)):
            if edits not in seen:
                seen.add(edits)
                yield f"write `{apply_within(text, statement.span, edits)}`", edits


def _lines(piece: Piece, names: Collection[str]) -> Iterator[Statement]:
    """The plan's own lines about some parts, then about those that they are joined to, then what has a name."""
    said = piece.plan.provenance
    part_by_name = piece.plan.part_by_name
    near = {each.name for name in names for each in piece.graph.neighbours(part_by_name[name])}
    heads: dict[Span, Statement] = {}
    for about in (names, near):
        for join in piece.plan.joins:
            if not {part.name for part in join.parts}.isdisjoint(about):
                heads.setdefault(join.span, said.joins[join.index].statement)
        for part in piece.plan.parts:
            if part.name in about:
                heads.setdefault(part.span, said.parts[part.name].statement)
    every = chain(*((head, *head.details) for head in heads.values()))
    lets = (each for each in statements_of(said.tree) if isinstance(each.node, Let))
    return (each for each in chain(every, lets) if said.is_own(each))


def _words(piece: Piece, statement: Statement) -> Iterator[TextEdit]:
    node = statement.node
    if isinstance(node, JoinLine):
        for each in said_in(node, SideOf):
            # A side of a part is as soon another end of the room as its opposite.
            yield from _other_sides(statement, each.side, every=True)
            yield from _other_parts(piece, statement, each.part)
    elif not isinstance(node, PocketsLine | FastenersLine):
        for word in said_in(node, Word):
            if word.text in SIDE_BY_WORD:
                yield from _other_sides(statement, word)
    if isinstance(node, PartLine | PartDetails):
        yield from otherwise_laid(piece, statement, node)
        for spacing in said_in(node, SpacingItem):
            for each in said_in(spacing, SideOf):
                yield from _other_parts(piece, statement, each.part)
    if isinstance(node, PartLine) and node.image is not None and len(node.names) == 1:
        for axis in Axis:
            if axis.words != node.mirrors:
                yield change(statement, node.image, image_of(node.stock.text, axis))


def _other_sides(statement: Statement, word: Word, *, every: bool = False) -> Iterator[TextEdit]:
    side = SIDE_BY_WORD[word.text]
    for other in (side.opposite, *(each for each in SIDES if every and each.axis is not side.axis)):
        yield change(statement, word, other.value)


def named_parts(piece: Piece) -> dict[str, Part]:
    """Parts by the names that their own lines have; of a name that a loop fills in, the last."""
    said = piece.plan.provenance.parts
    return {said[each.name].line.names[said[each.name].place].text: each for each in piece.plan.parts}


def _other_parts(piece: Piece, statement: Statement, name: Name | None) -> Iterator[TextEdit]:
    """Others of the stock of a part that a line names, and of those that a loop makes the next."""
    named, every = named_parts(piece) if name is not None else {}, piece.plan.part_by_name
    part = named.get(name.text, every.get(name.text)) if name is not None else None
    near = piece.plan.parts[max(0, part.index - 1) : part.index + 2] if part is not None else ()
    looped = {each.name: each for each in near if name is not None and name.text in every}
    for other, its in (named | looped).items():
        if name is not None and part is not None and its is not part and its.stock is part.stock:
            yield change(statement, name, other)


def otherwise_laid(piece: Piece, statement: Statement, node: PartLine | PartDetails) -> Iterator[TextEdit]:
    """The face of a part told to look another way, and its turn to go the other way round."""
    text = piece.plan.provenance.tree.source.text
    part = next((each for each in piece.plan.parts if _tells(piece, statement, each.name)), None)
    for item, start, end in node.items:
        if isinstance(item, Flag) and item.name == "facing" and part is not None:
            for axis in Axis:
                if axis not in {part.grain, part.facing.axis}:
                    yield change(statement, Span(start, end), f"facing {usual_face(axis).looks}")
        elif isinstance(item, Turned):
            angle = text[slice(*statement.at(item.angle.start, item.angle.end))]
            yield change(statement, item.angle, angle.removeprefix("-") if angle[0] == "-" else f"-{angle}")


def _tells(piece: Piece, statement: Statement, name: str) -> bool:
    said = piece.plan.provenance.parts[name]
    return statement in (said.statement, *said.statement.details)


def _swapped(statement: Statement, line: str) -> Iterator[Edits]:
    """A length and a width, or two measures of a cut, told each in the place of the other."""
    if not isinstance(statement.node, PartLine | PartDetails):
        return
    items = [item for item, *_ in statement.node.items]
    sizes = [
        each.value for each in items if isinstance(each, SizeItem) and each.word.text in {"long", "wide"}
    ]
    for told in (sizes, *(each.depths for each in items if isinstance(each, RemovalItem))):
        if len(told) == 2:
            said = [line[each.start : each.end] for each in told]
            yield tuple(change(statement, at, new) for at, new in zip(told, said[::-1], strict=True))


def _numbers(
    piece: Piece,
    statement: Statement,
    line: str,
    amounts: Collection[Fraction],
    alike: Mapping[_Alike, Mapping[str, Fraction]],
    stocks: tuple[str, ...],
) -> Iterator[TextEdit]:
    """A length as a line says it that is told alike, or by so much more or less."""
    unit = piece.plan.unit
    for number, share in _lengths(statement.node):
        now, words = number.inches(unit), line[number.start : number.end]
        others = alike.get((*_but_for(line, number), stocks), {})
        for other in sorted(others, key=lambda each: abs(others[each] - now))[: MOST_LIKE + 1]:
            if other != words:
                yield change(statement, number, other)
        for by in amounts:
            for new in (now + by / share, now - by / share):
                if new > 0 and neat(new, unit) and all(abs(new - it) > SEEN for it in others.values()):
                    yield change(statement, number, spelt(new, unit, words))


def _numbers_by_line(piece: Piece) -> dict[_Alike, dict[str, Fraction]]:
    """The lengths of the plan's lines, by what the line says before and behind them and the stock that it speaks of."""
    found = defaultdict[_Alike, dict[str, Fraction]](dict)
    text, unit = piece.plan.provenance.tree.source.text, piece.plan.unit
    for statement, stocks in _stocks_by_line(piece).values():
        line = text[slice(*statement.span)]
        for number, _ in _lengths(statement.node):
            key = (*_but_for(line, number), stocks)
            found[key][line[number.start : number.end]] = number.inches(unit)
    return found


def _stocks_by_line(piece: Piece) -> dict[Span, tuple[Statement, tuple[str, ...]]]:
    """The plan's own lines of parts and joins, with the stock of what they speak of."""
    said = piece.plan.provenance
    heads: list[tuple[Statement, tuple[str, ...]]] = [
        (said.parts[each.name].statement, (each.stock.name,)) for each in piece.plan.parts
    ]
    heads += [
        (told.statement, tuple(part.stock.name for part in join.parts))
        for told, join in zip(said.joins, piece.plan.joins, strict=True)
    ]
    return {
        line.span: (line, stocks)
        for head, stocks in heads
        if said.is_own(head)
        for line in (head, *head.details)
    }


def _but_for(line: str, number: Number) -> tuple[str, str]:
    """What a line says round a number, from whichever side it counts."""
    words = (line[: number.start], line[number.end :])
    before, behind = (" ".join("" if it in SIDE_BY_WORD else it for it in each.split(" ")) for each in words)
    return before, behind


def _lengths(node: object) -> Iterator[tuple[Number, Fraction]]:
    """The numbers of a line that are lengths, or added to or taken from others, and how often each is taken."""
    if isinstance(node, Number | Operation | Call):
        yield from _terms(node, Fraction(1))
    elif isinstance(node, tuple) and not isinstance(node, (*_UNSAID, Name)):
        for inner in node:
            yield from _lengths(inner)


def _terms(node: Expression, times: Fraction) -> Iterator[tuple[Number, Fraction]]:
    match node:
        case Number() if node.value:
            yield node, times
        case Operation(operator="+" | "-"):
            yield from _terms(node.left, times)
            yield from _terms(node.right, times)
        case Operation(operator="*", left=Number(value=factor), right=right) if factor:
            yield from _terms(right, times * factor)
        case Operation(operator="*" | "/", left=left, right=Number(value=factor)) if factor:
            yield from _terms(left, times * (factor if node.operator == "*" else 1 / factor))

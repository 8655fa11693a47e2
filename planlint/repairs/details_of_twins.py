"""Joins and cuts that a part lacks, told again from those of a part like it: as they are, or as their mirror image."""

from collections.abc import Collection, Iterator, Mapping
from itertools import combinations, islice, product

from planlint.geometry.piece import Piece
from planlint.language.expression_tree import Name
from planlint.language.plain_lines import block_end, indent_of, line_end
from planlint.language.syntax_tree import JoinLine, RemovalItem, SideOf, Statement, Word
from planlint.language.tree_text import said_in
from planlint.model.directions import SIDE_BY_WORD, Axis, Flips, Side, flipped
from planlint.model.like_parts import are_twins
from planlint.model.plan import Part
from planlint.repairs.line_edits import change, say_more
from planlint.repairs.word_slips import Telling, named_parts
from planlint.text.edits import TextEdit, apply_within
from planlint.text.source import Span

MOST_NAMED = 24
"""Ways to name what a part is joined to, in the place of those of a part like it. Basis: our own judgement."""


def joins_told_again(piece: Piece, parts: Collection[Part]) -> Iterator[Telling]:
    """Every join of a part of the stock of one of some parts, told of that instead, behind it: at the same sides, or at
    those opposite along an axis; with the part that it is joined to, or another of that stock."""
    said, named = piece.plan.provenance, named_parts(piece)
    heads = {each.statement.span: each.statement for each in said.joins if said.is_own(each.statement)}
    for part in parts:
        held = {each.side_of(part) for each in piece.graph.joins_of(part)} & {*part.ends}
        for head in heads.values():
            if isinstance(head.node, JoinLine) and head.node.like is None:
                names = {
                    each.text: named[each.text] for each in said_in(head.node, Name) if each.text in named
                }
                for axis in (None, *Axis):
                    flips: Flips = frozenset(() if axis is None else (axis,))
                    for renamed in _renamed(part, names, named):
                        if held.isdisjoint(_joined_by(head.node, part.name, renamed, flips)):
                            yield _again(piece, head, head.node, renamed, flips)


def cuts_told_again(piece: Piece, parts: Collection[Part]) -> Iterator[Telling]:
    """Every cut of a part like one of some parts that has fewer, told of that: at the same sides, or those across."""
    said = piece.plan.provenance
    text = said.tree.source.text
    for part in parts:
        head = said.parts[part.name].statement
        for twin in piece.plan.parts:
            its = said.parts[twin.name]
            if are_twins(part, twin) and len(twin.removals) > len(part.removals) and said.is_own(head):
                for statement, item, start, end in its.details:
                    if isinstance(item, RemovalItem) and said.is_own(statement):
                        for words in _turned(text, statement, Span(start, end), item):
                            edit = say_more(head, f", {words}")
                            yield f"cut {part.name} as {twin.name} is: `{words}`", (edit,)


def _turned(text: str, statement: Statement, place: Span, item: RemovalItem) -> Iterator[str]:
    """A cut in words, with each choice of its sides turned to those across."""
    for many in range(len(item.sides) + 1):
        for turned in combinations(item.sides, many):
            edits = [change(statement, each, SIDE_BY_WORD[each.text].opposite.value) for each in turned]
            yield apply_within(text, statement.at(*place), edits)


def _joined_by(node: JoinLine, name: str, renamed: Mapping[str, str], flips: Flips) -> Iterator[Side]:
    """The sides by which a part would be joined."""
    for each in said_in(node, SideOf):
        if each.part is not None and renamed.get(each.part.text) == name:
            yield flipped(SIDE_BY_WORD[each.side.text], flips)


def _renamed(part: Part, names: Mapping[str, Part], named: Mapping[str, Part]) -> Iterator[dict[str, str]]:
    """A part in the place of one that a join names, and beside it what is named, or others of that stock."""
    told = [name for name, its in named.items() if its is part]
    for own in (name for name, its in names.items() if its is not part and its.stock is part.stock):
        others = [name for name in names if name != own]
        choices = [
            [name, *(it for it, met in named.items() if it != name and met.stock is names[name].stock)]
            for name in others
        ]
        for name in told:
            for instead in islice(product(*choices), MOST_NAMED):
                if name not in instead and len({*instead}) == len(instead):
                    yield {own: name, **dict(zip(others, instead, strict=True))}


def _again(
    piece: Piece, head: Statement, node: JoinLine, renamed: Mapping[str, str], flips: Flips
) -> Telling:
    text = piece.plan.provenance.tree.source.text
    start, end = head.span.start, block_end(text, head)
    edits = [
        change(head, each, renamed[each.text])
        for each in said_in(node, Name)
        if renamed.get(each.text, each.text) != each.text
    ]
    for statement in (head, *head.details):
        for word in said_in(statement.node, Word):
            side = SIDE_BY_WORD.get(word.text)
            if side is not None and side.axis in flips:
                edits.append(change(statement, word, side.opposite.value))
    lines = apply_within(text, Span(start, end), edits)
    told = TextEdit(Span(end, end), f"{line_end(text)}{indent_of(text, start)}{lines}")
    return f"say `{lines.splitlines()[0].strip()}`", (told,)

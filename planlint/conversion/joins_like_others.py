"""Joins told as others are (`like`): written out before a conversion, and told so again where they still are alike."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from planlint.conversion.conversion_result import Conversion, traditional
from planlint.conversion.join_lines import row_told, tradition_words
from planlint.conversion.text_stretches import apply_within, inner_indent
from planlint.inspection.inspect_plan import understand
from planlint.language.plain_lines import block_end, line_end
from planlint.language.reader import read
from planlint.language.syntax_tree import AssemblyLine, For, JoinLine, PlacingLine, Statement
from planlint.model.plan import Plan
from planlint.model.plan_comparison import comparable
from planlint.model.provenance import JoinSaid, origin
from planlint.model.workshop import Settings
from planlint.text.edits import TextEdit, apply, before
from planlint.text.source import PlanText, Span


@dataclass(frozen=True)
class WrittenOut:
    """A plan in which no join of this file is told as another, and the edits that made it of its own text."""

    text: PlanText
    edits: tuple[TextEdit, ...]
    as_told: tuple[tuple[str, str], ...]
    """The sides of each join, and its statement as it was told."""

    def told_again(self, result: PlanText, settings: Settings) -> PlanText:
        """A new text with each join told as it was, where that still says the same."""
        plan, _ = understand(result, settings)
        if plan is None:
            return result
        wanted = comparable(plan.joins)
        whole = self._with(result, self.as_told)
        if _says(whole, wanted, settings):
            return whole
        for each in self.as_told:
            one = self._with(result, [each])
            if one.text != result.text and _says(one, wanted, settings):
                result = one
        return result

    def _with(self, result: PlanText, as_told: Iterable[tuple[str, str]]) -> PlanText:
        told = dict(as_told)
        edits = []
        for statement in _joins(read(result)[0].statements):
            sides = _sides(result.text, statement)
            if sides in told:
                end = block_end(result.text, statement)
                edits.append(TextEdit(Span(statement.span.start, end), told[sides]))
        return PlanText(result.path, apply(result.text, edits), result.byte_order_mark)


def of_source(
    conversion: Conversion, source: PlanText, text: PlanText, edits: Iterable[TextEdit]
) -> Conversion:
    """The record of the conversion of a text that edits made of a plan's own, with its places in that."""

    edits = list(edits)

    def place(span: Span) -> Span:
        return Span(before(span.start, edits), before(span.end, edits))

    return replace(
        conversion,
        source=source,
        result=source if conversion.result.text == text.text else conversion.result,
        joints=tuple(replace(each, span=place(each.span)) for each in conversion.joints),
        unread=tuple(each._replace(span=place(each.span)) for each in conversion.unread),
    )


def written_out(plan: Plan, settings: Settings) -> WrittenOut | None:
    """The plan with the joins written out that it tells as others.

    ``None`` where none is told so, none is traditional, or it would not say the same.
    """
    said = plan.provenance.joins
    if not any(each.like for each in said) or not any(map(traditional, plan.joins)):
        return None
    source = plan.provenance.tree.source
    blocks: dict[Span, set[tuple[TextEdit, ...]]] = {}
    statements: dict[Span, Statement] = {}
    written = {line.span: line for each in said for line in each.statement.details if origin(line)[0] is line}
    for each in said:
        if each.like and plan.provenance.is_own(each.statement):
            blocks.setdefault(each.statement.span, set()).add(tuple(_edits(source.text, each, said, written)))
            statements[each.statement.span] = each.statement
    # What each turn of a loop takes from another join differs: that cannot be told by one statement.
    alike = {span: next(iter(edits)) for span, edits in blocks.items() if len(edits) == 1}
    if not alike:
        return None
    edits = tuple(edit for each in alike.values() for edit in each)
    as_told = []
    for span in alike:
        here = statements[span]
        as_told.append(
            (_sides(source.text, here), source.text[span.start : block_end(source.text, _own(here))])
        )
    text = PlanText(source.path, apply(source.text, edits), source.byte_order_mark)
    same = _says(text, comparable(plan.joins), settings)
    return WrittenOut(text, edits, tuple(as_told)) if same else None


def _own(statement: Statement) -> Statement:
    """A join with its own lines alone; those that it takes over stand elsewhere."""
    return replace(statement, details=tuple(each for each in statement.details if origin(each)[0] is each))


def _edits(
    text: str, said: JoinSaid, joins: Iterable[JoinSaid], written: Mapping[Span, Statement]
) -> Iterator[TextEdit]:
    here, like = said.statement, said.line.like
    assert like is not None
    start = text.rfind("like", here.span.start, here.at(like.start, like.end).start)
    joint = ""
    if said.line.tradition is not None:
        first = next(each for each in joins if not each.like and each.line.tradition is said.line.tradition)
        joint = f"as {tradition_words(text, first.statement, said.line.tradition)}"
    before = start - 1 if not joint else start
    yield TextEdit(Span(before, here.at(like.start, like.end).end), joint)
    taken = [each for each in here.details if origin(each)[0] is not each]
    if taken:
        deeper, at = inner_indent(text, _own(here)), block_end(text, _own(here))
        lines = (_words(text, written[origin(each)[0].span], each) for each in taken)
        yield TextEdit(Span(at, at), "".join(f"{line_end(text)}{deeper}{words}" for words in lines))


def _words(text: str, first: Statement, taken: Statement) -> str:
    """A line that is taken over, ``first`` where it is written, as it has to read at the join that takes it over."""
    node, was = taken.node, first.node
    edits = []
    if isinstance(node, PlacingLine) and isinstance(was, PlacingLine) and was.sides:
        at = first.at(was.sides[0].start, was.sides[-1].end)
        edits.append(TextEdit(at, ", ".join(side.text for side in node.sides)))
    old, new = row_told(was), row_told(node)
    if old and new and old[0] is not None and new[0] is not None and old[0].text != new[0].text:
        edits.append(TextEdit(first.at(old[0].start, old[0].end), new[0].text))
    return apply_within(text, *first.span, edits)


def _sides(text: str, statement: Statement) -> str:
    """The name and the sides of a join as they are written."""
    node = statement.node
    assert isinstance(node, JoinLine)
    sides = [each for pair in ((node.a, node.b), *node.others) for each in pair]
    words = (text[slice(*statement.at(each.start, each.end))] for each in sides)
    return f"{node.name.text if node.name else ''}: {' '.join(words)}"


def _joins(statements: Iterable[Statement]) -> Iterator[Statement]:
    for each in statements:
        if isinstance(each.node, JoinLine):
            yield each
        elif isinstance(each.node, For | AssemblyLine):
            yield from _joins(each.details)


def _says(text: PlanText, wanted: object, settings: Settings) -> bool:
    plan, mistakes = understand(text, settings)
    return plan is not None and not mistakes and comparable(plan.joins) == wanted

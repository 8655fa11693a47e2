"""Sums as a plan writes them: the lengths with a name that one starts with, and what it counts at its end."""

from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction

from planlint.language.expression_tree import Expression, Name, Number, Operation
from planlint.language.syntax_tree import Let, PlaceLine
from planlint.language.tree_text import statements_of
from planlint.model.plan import Part, Plan
from planlint.model.provenance import Sum
from planlint.model.scope import PlacedUnit, Scope
from planlint.text.source import Span


def sum_place(said: Sum) -> tuple[Span, int]:
    """Where a sum stands: two of one place are the same words."""
    return said.statement.span, said.expression.start


def _behind(plan: Plan, said: Sum) -> Iterator[Sum]:
    """The lengths with a name that a sum starts with, one behind the other: lets, and what a unit is given."""
    seen = set()
    found = _named(plan, said)
    while found is not None and sum_place(found) not in seen:
        seen.add(sum_place(found))
        yield found
        found = _named(plan, found)


def _named(plan: Plan, said: Sum) -> Sum | None:
    value = said.expression
    while isinstance(value, Operation) and value.operator in {"+", "-"}:
        value = value.left
    if not isinstance(value, Name):
        return None
    placed = said.scope.placed
    if placed is not None:
        for statement, node in placed.assembly.lets:
            if node.name.text == value.text:
                return Sum(statement, node.value, said.scope)
        if value.text in {each.text for each in placed.assembly.node.parameters}:
            return _given(plan, placed, value.text)
    for statement in plan.provenance.tree.statements:
        if isinstance(statement.node, Let) and statement.node.name.text == value.text:
            return Sum(statement, statement.node.value, plan.provenance.scope or said.scope)
    return None


def _given(plan: Plan, placed: PlacedUnit, name: str) -> Sum | None:
    """What a unit is given as one of its measures, where it is placed by its own name."""
    by = placed.by
    for statement in statements_of(plan.provenance.tree) if by is not None else ():
        node = statement.node
        if by is not None and isinstance(node, PlaceLine) and f"{by.prefix}{node.name.text}" == placed.name:
            return next(
                (Sum(statement, given.value, by) for given in node.given if given.name.text == name), None
            )
    return None


def common_lengths(plan: Plan, sums: Sequence[Sum]) -> Iterator[Sum]:
    """The lengths with a name that all of some sums start with, the nearest first."""
    first, *rest = sums
    chains = [{sum_place(said) for said in _behind(plan, each)} for each in rest]
    return (said for said in _behind(plan, first) if all(sum_place(said) in chain for chain in chains))


def common_name(plan: Plan, parts: Sequence[Part], word: str) -> str:
    """The name of the nearest length that a measure of all these parts starts with, and none of another; empty where
    there is none, or where one line tells them all."""
    told = plan.provenance.parts
    sums = [said for each in parts if each.name in told and (said := told[each.name].measures.get(word))]
    if len(sums) < len(parts) or len({sum_place(said) for said in sums}) == 1:
        return ""
    names = {each.name for each in parts}
    others = [said for name in told if name not in names for said in told[name].measures.values()]
    taken = {sum_place(each) for said in others for each in _behind(plan, said)}
    nodes = (said.statement.node for said in common_lengths(plan, sums) if sum_place(said) not in taken)
    return next((node.name.text for node in nodes if isinstance(node, Let)), "")


def last_term(expression: Expression, scope: Scope) -> tuple[Fraction, Fraction, Expression] | None:
    """What a sum adds (less than 0: takes away) at its end, told by a number or a name: how often, how much each time
    in inches, and its words."""
    if not isinstance(expression, Operation) or expression.operator not in {"+", "-"}:
        return None
    term, times = expression.right, Fraction(1 if expression.operator == "+" else -1)
    if isinstance(term, Operation) and term.operator == "*" and isinstance(term.left, Number):
        times, term = times * term.left.value, term.right
    if isinstance(term, Number):
        return times, term.inches(scope.unit), term
    value = scope.find(term.text) if isinstance(term, Name) else None
    if value is None or not value.number:
        return None
    return times, value.number * (1 if value.is_length else scope.factor), term


def counts(plan: Plan, part: Part, word: str) -> Iterator[tuple[Fraction, Fraction, Fraction]]:
    """What the sum of a part's measure, and those that it starts with, add or take away: how often, how much each time
    in inches, and into how many even parts the whole goes, as by two drawers side by side."""
    said = plan.provenance.parts.get(part.name)
    first = said.measures.get(word) if said is not None else None
    for each in (first, *_behind(plan, first)) if first is not None else ():
        whole, parts = each.expression, Fraction(1)
        if isinstance(whole, Operation) and whole.operator == "/" and isinstance(whole.right, Number):
            parts, whole = whole.right.value, whole.left
        while isinstance(whole, Operation):
            found = last_term(whole, each.scope)
            if found is not None:
                yield *found[:2], parts
            whole = whole.left


def counted_off(
    plan: Plan, part: Part, word: str, by: Fraction, takes: Collection[Fraction], ends: int
) -> bool:
    """Whether a measure of a part would come to ``by`` inches more if what its sum counts, one of ``takes``, were
    counted once more or once less: a thickness that was forgotten. Not where it counts one for each of two ``ends``
    that are joined."""
    for times, size, parts in counts(plan, part, word):
        more = by * parts / size if size in takes else 0
        two_ends = ends == 2 == abs(times) and parts == 1
        if abs(more) == 1 and times * (times + more) > 0 and not two_ends:
            return True
    return False

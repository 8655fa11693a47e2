"""What a tree holds, in the order of its text."""

from collections.abc import Iterable, Iterator

from planlint.language.expression_tree import Name
from planlint.language.syntax_tree import Statement, Tree


def statements_of(tree: Tree) -> Iterator[Statement]:
    """Every statement of a tree and every detail under it, in the order of their lines."""
    return _flat(tree.statements)


def names_said(node: object) -> Iterator[Name]:
    """Every name in a node, those in the sums of its lengths and in the brackets of other names too."""
    if isinstance(node, Name):
        yield node
    if isinstance(node, tuple):
        for inner in node:
            yield from names_said(inner)


def _flat(statements: Iterable[Statement]) -> Iterator[Statement]:
    for statement in statements:
        yield statement
        yield from _flat(statement.details)

"""What a tree holds, in the order of its text."""

from collections.abc import Iterable, Iterator
from typing import TypeVar

from planlint.language.syntax_tree import Statement, Tree

_Said = TypeVar("_Said")


def statements_of(tree: Tree) -> Iterator[Statement]:
    """Every statement of a tree and every detail under it, in the order of their lines."""
    return _flat(tree.statements)


def said_in(node: object, kind: type[_Said]) -> Iterator[_Said]:
    """Every name, number or word in a node, those in the sums of its lengths and in the brackets of names too."""
    if isinstance(node, kind):
        yield node
    if isinstance(node, tuple):
        for inner in node:
            yield from said_in(inner, kind)


def _flat(statements: Iterable[Statement]) -> Iterator[Statement]:
    for statement in statements:
        yield statement
        yield from _flat(statement.details)

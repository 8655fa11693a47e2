"""Screws of another metal."""

from collections.abc import Iterator

from planlint.findings.finding import Finding
from planlint.language.syntax_tree import ScrewMetal
from planlint.repairs.line_edits import add_detail, change
from planlint.repairs.repair_context import Context, Proposal


def corrosion(context: Context, _finding: Finding) -> Iterator[Proposal]:
    """Stainless screws in the whole plan; the builder has to buy them."""
    head = context.head
    if head is None:
        return
    says = "use stainless screws throughout"
    for statement in head.details:
        if isinstance(statement.node, ScrewMetal):
            word = statement.node.metal
            yield Proposal((change(statement, word, "stainless"),), says, asks=True)
            return
    yield Proposal((add_detail(context, head, "screws stainless"),), says, asks=True)

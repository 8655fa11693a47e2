"""A repair with what has to follow it: thicker stock wants longer screws, a part that is fixed can be judged at all."""

from collections.abc import Iterable

from planlint.findings.finding import Finding
from planlint.inspection.inspection_result import Inspection
from planlint.repairs.proposals import proposals
from planlint.repairs.repair_context import Context, Proposal
from planlint.text.edits import TextEdit, before, clash
from planlint.text.source import Span

_THEN = "; then "
"""Parts the sentence of a repair from those of what follows it."""
MOST_FOLLOWING = 24
"""Findings that one repair may bring and have mended along with it. Basis: own judgement."""


def with_what_follows(
    first: Proposal, made: list[TextEdit], after: Inspection, brought: Iterable[Finding]
) -> Proposal | None:
    """A proposal with the least repairs of the findings that it brought; ``None`` where one of them has none.

    ``made`` are all edits that led to the text of ``after``; the edits returned are of the text before them.
    """
    context = Context(after)
    edits, told, asks = list(first.edits), {first.says: None}, first.asks
    for count, finding in enumerate(brought):
        way = next(proposals(context, finding), None) if count < MOST_FOLLOWING else None
        back = moved_back(way.edits, made) if way is not None else None
        if way is None or back is None:
            return None
        if all(edit in edits for edit in back):
            continue
        if clash(edits, back) or clash(made, back):
            return None
        edits += back
        told[way.says] = None
        asks = asks or way.asks
    return Proposal(tuple(edits), _THEN.join(told), moves=True, asks=asks, followed=True)


def moved_back(edits: tuple[TextEdit, ...], made: list[TextEdit]) -> tuple[TextEdit, ...] | None:
    """Edits of an edited text as edits of the text before; ``None`` where one stands in words put in since."""
    back = []
    for (start, end), new in edits:
        first, last = before(start, made), before(end, made)
        shift, inside = 0, False
        for (was, until), words in sorted(set(made)):
            now = was + shift
            inside = inside or (start < now + len(words) and now < end)
            shift += len(words) - (until - was)
        if inside or last - first != end - start:
            return None
        back.append(TextEdit(Span(first, last), new))
    return tuple(back)

"""Room for solid wood that is held across its grain: slots for its screws, and screws in slots instead of glue."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from planlint.checks.locked_across_grain import Locked, breadboard, glue_of
from planlint.checks.row_view import listed
from planlint.checks.turning_joint import pockets_words
from planlint.findings.finding import Finding
from planlint.findings.rulebook import rule_book
from planlint.language.syntax_tree import Flag
from planlint.model.plan import Join
from planlint.repairs.line_edits import add_detail, change, line_end
from planlint.repairs.repair_context import Context, Proposal
from planlint.text.edits import TextEdit


def locked_across_grain(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The joints that the finding names made to give way, each by what holds it."""
    joins = finding.judged(Locked).slot
    heads = {join.span: join for join in joins}
    edits: list[TextEdit] = []
    told: dict[str, list[str]] = {}
    for join in heads.values():
        found = _loosened(context, join)
        if found is None:
            return
        edits += found[0]
        told.setdefault(found[1], []).extend(each.name for each in joins if each.span == join.span)
    if edits:
        yield Proposal(tuple(edits), ", and ".join(f"{says} {listed(names)}" for says, names in told.items()))


def _loosened(context: Context, join: Join) -> tuple[list[TextEdit], str] | None:
    """The edits that let the wood move at one joint, and what they do; ``None`` where no words here can say it."""
    head = context.at(join.span)
    last = head.details[-1] if head.details else None
    if not glue_of(join):
        return [add_detail(context, head, "slotted", last)], "write `slotted` under"
    glue = next(
        (each for each in head.details if isinstance(each.node, Flag) and each.node.name == "glued"), None
    )
    if breadboard(join):
        if glue is None:
            return None
        size = glue.span.end - glue.span.start
        return [change(glue, 0, size, "glued along the middle third")], "glue only the middle third of"
    words = [] if join.pockets else _pockets(context, join)
    if words is None:
        return None
    edits = []
    if join.tradition is not None:
        if join.tradition.kind != "glued":
            return None
        line = context.words(head, 0, head.span.end - head.span.start)
        at = line.rfind(" as ", 0, join.tradition.span.start - head.span.start)
        if at < 0:  # Said on a line of its own.
            return None
        edits.append(change(head, len(line[:at].rstrip()), join.tradition.span.end - head.span.start, ""))
    if glue is not None:
        size = glue.span.end - glue.span.start
        slots = f"{line_end(context)}{_indent(context, glue.span.start)}".join([*words, "slotted"])
        return [*edits, change(glue, 0, size, slots)], "screw through slots instead of glue at"
    edits.append(_details(context, join, [*words, "slotted"]))
    return edits, "screw through slots instead of glue at"


def _details(context: Context, join: Join, words: list[str]) -> TextEdit:
    head = context.at(join.span)
    edit = add_detail(context, head, words[0], head.details[-1] if head.details else None)
    white = edit.new[: -len(words[0])]
    return edit._replace(new="".join(f"{white}{each}" for each in words))


def _indent(context: Context, at: int) -> str:
    return context.text[context.text.rfind("\n", 0, at) + 1 : at]


def _pockets(context: Context, join: Join) -> list[str] | None:
    """Pockets and screws for a joint that had none, as many as its length asks for; ``None`` where none go there."""
    words = pockets_words(context.piece, join)
    patches = context.piece.contact(join).patches
    if not words or not patches:
        return None
    points = [point for patch in patches for point in patch]
    wide = max(max(p[i] for p in points) - min(p[i] for p in points) for i in range(3))
    spacing = rule_book()["wide-spacing"].limit("spacing", context.piece.settings)
    many = max(2, ceil(wide / spacing))
    return [words.replace("pockets 2", f"pockets {many}", 1), "screws to suit"]

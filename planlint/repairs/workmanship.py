"""Repairs that add a word on how a part is made or held: a finish, a surface, a slot."""

from __future__ import annotations

from collections.abc import Iterator

from planlint.findings.finding import Finding
from planlint.language.tree import Flag, PartDetails, PartLine
from planlint.repairs.context import Context, Proposal
from planlint.repairs.lines import add_detail, change, take_out
from planlint.repairs.parts import add_item

DETAILS: dict[str, tuple[str, str]] = {
    "one-face-finish": ("finish both faces", "finish both faces"),
    "rings-not-alternated": ("rings alternate", "turn every second board"),
    "rough-edge": ("surfaced four sides", "surface the part on four sides"),
}
"""For each rule the words of a part that answer it, and what they say to do."""


def detail_added(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The words added to each part of the finding, in the place of those of their kind."""
    words, says = DETAILS[finding.rule]
    kind = "rough" if finding.rule == "rough-edge" else words.split()[0]
    for name in finding.parts:
        part = context.plan.part_by_name.get(name)
        if part is None:
            continue
        head = context.at(part.span)
        replaced = False
        for statement in (head, *head.details):
            if isinstance(statement.node, PartLine | PartDetails):
                for item, start, end in statement.node.items:
                    if isinstance(item, Flag) and item.name.split()[0] == kind:
                        replaced = True
                        yield Proposal((change(statement, start, end, words),), f"{says} of {name}")
        if not replaced:
            for edits in add_item(context, part, words):
                yield Proposal(edits, f"{says} of {name}")


def free_to_move(context: Context, finding: Finding) -> Iterator[Proposal]:
    """Screws in slots, or no glue, where the wood has to move across its grain."""
    join = context.join_of(finding)
    if join is None:
        return
    head = context.at(join.span)
    glue = [
        each for each in head.details if isinstance(each.node, Flag) and each.node.name.startswith("glued")
    ]
    gone = tuple(take_out(context, each) for each in glue)
    if join.pockets and not join.slotted:
        slot = add_detail(context, head, "slotted", head.details[-1] if head.details else None)
        if not gone:
            yield Proposal((slot,), "drill slots for the screws, so that the wood can move")
        else:
            size = glue[0].span.end - glue[0].span.start
            instead = (change(glue[0], 0, size, "slotted"), *gone[1:])
            yield Proposal(
                instead, "leave the glue away and drill slots for the screws, so that the wood can move"
            )
    elif gone:
        yield Proposal(gone, "leave the glue away, so that the wood can move")
    for each in glue:
        if isinstance(each.node, Flag) and each.node.name == "glued":
            size = each.span.end - each.span.start
            yield Proposal(
                (change(each, 0, size, "glued along the middle third"),),
                "glue only the middle third of the joint",
            )

"""Repairs of what a plan says of its boards: growth rings, finish, surface."""

from collections.abc import Iterator

from planlint.checks.board_practice import OneFace, RingsAlike, RoughWood
from planlint.findings.finding import Finding
from planlint.language.syntax_tree import Flag, PartLine
from planlint.model.plan import Part
from planlint.repairs.line_edits import change
from planlint.repairs.part_repairs import add_item, details_of
from planlint.repairs.repair_context import Context, Proposal
from planlint.text.edits import TextEdit
from planlint.text.measures import listed


def rings_not_alternated(context: Context, finding: Finding) -> Iterator[Proposal]:
    boards = finding.judged(RingsAlike).boards
    yield from _said_anew(context, boards, "rings", "rings alternate", "turn every other one over of")


def one_face_finish(context: Context, finding: Finding) -> Iterator[Proposal]:
    boards = finding.judged(OneFace).boards
    yield from _said_anew(context, boards, "finish", "finish both faces", "finish both faces of")


def rough_edge(context: Context, finding: Finding) -> Iterator[Proposal]:
    parts = finding.judged(RoughWood).parts
    yield from _said_anew(context, parts, "rough", "surfaced four sides", "surface all four sides of")


def _said_anew(
    context: Context, parts: tuple[Part, ...], old: str, new: str, says: str
) -> Iterator[Proposal]:
    """A detail of these parts said otherwise, wherever they have it from."""
    edits = [_edit(context, part, parts, old, new) for part in parts]
    found = tuple(dict.fromkeys(edit for edit in edits if edit is not None))
    if None not in edits:
        yield Proposal(found, f"{says} {listed([part.name for part in parts], 6)}")


def _edit(context: Context, part: Part, parts: tuple[Part, ...], old: str, new: str) -> TextEdit | None:
    """Where a part has a detail from, changed; a part like another that stays as it is says it itself."""
    for each in details_of(context, part, Flag):
        if each.item.name == old:
            return change(each.statement, each, new)
    head = context.at(part.span)
    if not isinstance(head.node, PartLine) or not head.node.like:
        return None
    other = context.plan.part_by_name.get(context.words(head, head.node.stock))
    if other is None or other is part:
        return None
    if head.node.mirrors is not None or other in parts:
        return _edit(context, other, parts, old, new)
    return next(add_item(context, part, new))[0]

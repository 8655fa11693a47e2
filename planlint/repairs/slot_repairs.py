"""Room for solid wood that is held across its grain: slots for its screws, and screws in slots instead of glue."""

from collections.abc import Iterator
from fractions import Fraction

from planlint.checks.locked_across_grain import Locked, breadboard
from planlint.checks.solid_panels import glue_of, in_a_groove
from planlint.findings.finding import Finding
from planlint.language.plain_lines import indent_of, line_end
from planlint.language.syntax_tree import Flag
from planlint.model.plan import Join
from planlint.repairs.join_edits import pockets_and_screws, screws_along
from planlint.repairs.line_edits import add_detail, add_details, line_taken_out, rewrite
from planlint.repairs.repair_context import Context, Proposal
from planlint.text.edits import TextEdit
from planlint.text.measures import INCH_PER_UNIT, in_inches, listed
from planlint.text.source import Span


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
    if not glue_of(join):
        return [add_detail(context, head, "slotted")], "write `slotted` under"
    glue = next(
        (each for each in head.details if isinstance(each.node, Flag) and each.node.name == "glued"), None
    )
    if in_a_groove(join):
        return None if glue is None else ([line_taken_out(context, glue)], "leave the glue out of")
    if breadboard(join):
        if glue is None:
            return None
        return [rewrite(glue, "glued along the middle third")], "glue only the middle third of"
    usual = pockets_and_screws(context, join)
    words = [] if join.pockets else usual[1] if usual else _through_a_face(context, join)
    if words is None:
        return None
    edits = []
    if join.tradition is not None:
        if join.tradition.kind != "glued":
            return None
        line = context.line(head)
        at = line.rfind(" as ", 0, join.tradition.span.start - head.span.start)
        if at < 0:  # Said on a line of its own.
            return None
        edits.append(TextEdit(Span(head.span.start + len(line[:at].rstrip()), join.tradition.span.end), ""))
    if glue is not None:
        slots = f"{line_end(context.text)}{indent_of(context.text, glue.span.start)}".join(
            [*words, "slotted"]
        )
        return [*edits, rewrite(glue, slots)], "screw through slots instead of glue at"
    edits.append(add_details(context, head, [*words, "slotted"]))
    return edits, "screw through slots instead of glue at"


LENGTHS = {
    "in": tuple(Fraction(each, 4) for each in range(3, 13)),
    "mm": (20, 25, 30, 35, 40, 45, 50, 60, 70, 80),
}
"""Lengths in which wood screws are sold, in inches and in millimetres. Basis: common practice, from memory."""
_SPACING = 6
"""Inches between such screws at the most. Basis: our own judgement, and no more than that of pocket screws."""


def _through_a_face(context: Context, join: Join) -> list[str] | None:
    """Screws through the part that lies with its face on the other, as long as that lets them be."""
    a, b = join.part_a, join.part_b
    part, side, into = (a, join.side_a, b) if a.is_face(join.side_a) else (b, join.side_b, a)
    if not part.is_face(side):
        return None
    unit = "in" if in_inches(context.unit) else "mm"
    most = part.thickness + min(part.thickness, into.size[side.axis]) - Fraction(1, 8)
    fit = [long for each in LENGTHS[unit] if part.thickness < (long := each * INCH_PER_UNIT[unit]) <= most]
    many = screws_along(context, join, min(_SPACING, context.piece.limits["wide-spacing", "spacing"]))
    if not fit or not many:
        return None
    name = part.name.removeprefix(context.plan.provenance.joins[join.index].scope.prefix)
    return [f"screws {many} through {name}, gauge 8, {context.spelt(fit[-1])} long"]

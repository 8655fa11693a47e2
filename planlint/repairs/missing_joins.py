"""Joins that were forgotten, written as they are at the other end of the part or at its twin."""

from collections.abc import Iterator

from planlint.checks.loose_end import LooseEnd, forgotten, forgotten_lap, like_end, twins_of
from planlint.findings.finding import Finding
from planlint.geometry.joint_facts import Overlap
from planlint.language.syntax_tree import JoinLine
from planlint.model.plan import Join
from planlint.placement.placement_results import FreeAxis
from planlint.repairs.join_edits import held_like
from planlint.repairs.line_edits import statements_behind
from planlint.repairs.part_repairs import lengthened
from planlint.repairs.placing_proof import puts_right
from planlint.repairs.placing_repairs import Remedy, words_that_fix
from planlint.repairs.repair_context import Context, NotInThisFile, Proposal
from planlint.text.edits import TextEdit
from planlint.text.source import Span


def loose_end(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The join that is missing: as at the part's other end, as at its twin, and with fewer words."""
    end = finding.judged(LooseEnd)
    short = finding.kind == "short"
    longer: tuple[tuple[TextEdit, ...], ...] = ((),)
    if short:
        longer = tuple(lengthened(context, end.part, context.exact(end.gap)))
    seen = set()
    own, twins = [each for each in (end.held, end.twin) if each], twins_of(context.piece, end)
    for like in {each.index: each for each in (*twins, *own)}.values():
        for placed in (True, False):
            name, lines = _lines(context, end, like, placed=placed)
            edit = statements_behind(context, end.held.span, [lines], _unit(context, end))
            if edit in seen:
                continue
            seen.add(edit)
            for more in longer:
                if not puts_right(context, (edit, *more), finding):
                    continue
                made = f", and make {end.part.name} as long as that asks for" if short else ""
                part, at = like_end(end, like)
                yield Proposal((edit, *more), f"join {name} as {part.name}.{at.value} is{made}", moves=short)
    if finding.kind == "touching" and not _on_end_grain(end):
        name, _ = _lines(context, end, end.held, placed=False)
        edit = statements_behind(context, end.held.span, [[f"join {name} as glued"]])
        yield Proposal((edit,), f"glue {name}", asks=True)


def free_to_slide(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The join that was forgotten, where one is; else words that say where along another the part lies."""
    end = forgotten(context.piece, finding.judged(FreeAxis).axis)
    if end is not None:
        for edits in _told_along(context, end):
            yield Proposal(edits, f"join {end.part.name}.{end.side.value} as {end.held.name} is", moves=True)
        for placed in () if _unit(context, end) else (True, False):
            name, lines = _lines(context, end, end.held, placed=placed)
            edit = statements_behind(context, end.held.span, [lines])
            yield Proposal((edit,), f"join {name} as {end.held.name} is", moves=True)
    yield from words_that_fix(context, finding)


def _told_along(context: Context, end: LooseEnd) -> Iterator[tuple[TextEdit, ...]]:
    """An end named in the line that joins the part's other end, where that is read for several turns or units."""
    said, its = (context.plan.provenance.joins[end.held.index], context.plan.provenance.parts[end.other.name])
    head = context.at(end.held.span)
    node = context.node(head, JoinLine)
    many = said.scope.outer is not None and not (said.flips or node.others or node.like)
    if many and node.a.part and end.part is end.held.part_a:
        theirs = its.line.names[its.place].text if its.scope.prefix == said.scope.prefix else end.other.name
        names = (node.a, f"{node.a.part.text}.{end.side.value}"), (node.b, f"{theirs}.{end.back.value}")
        yield tuple(TextEdit(head.at(each.end, each.end), f", {name}") for each, name in names)


def let_in_like_others(context: Context, shared: Overlap) -> Iterator[Remedy]:
    """The lap that was forgotten of two parts that run into one another, as that of parts like them."""
    end = forgotten_lap(context.piece, shared.part_a, shared.part_b)
    if end is not None:
        name, lines = _lines(context, end, end.held, placed=False)
        yield (statements_behind(context, end.held.span, [lines]),), f"join {name} as {end.held.name} is"


def _on_end_grain(end: LooseEnd) -> bool:
    """Whether glue would meet the end grain of solid wood there, which it does not hold."""
    return any(
        part.stock.material.solid and part.is_end(side)
        for part, side in ((end.part, end.side), (end.other, end.back))
    )


def _lines(context: Context, end: LooseEnd, like: Join, *, placed: bool) -> tuple[str, list[str]]:
    """The new join in words, and its lines: the head and its details."""
    second = like_end(end, like)[0] is like.part_b
    first = not second and like.part_a.stock is end.part.stock and like.side_a.axis is end.side.axis
    part, other = (each.name.removeprefix(_unit(context, end)) for each in (end.part, end.other))
    mine, theirs = f"{part}.{end.side.value}", f"{other}.{end.back.value}"
    name = f"{mine} to {theirs}" if first else f"{theirs} to {mine}"
    tradition = f" as {_text(context, like.tradition.span)}" if like.tradition else ""
    lines = [f"join {name}{tradition}"]
    if placed:
        lines += [each.words(context.spelt) for each in like.placings]
    a, b = (part, other) if first else (other, part)
    return name, lines + held_like(context, like, a, b)


def _unit(context: Context, end: LooseEnd) -> str:
    """What the names of a unit's parts begin with, where an end and what it meets are both of it; of an image none."""
    scope = context.plan.provenance.joins[end.held.index].scope
    prefix = "" if scope.flips else scope.prefix
    return prefix if all(each.name.startswith(prefix) for each in (end.part, end.other)) else ""


def _text(context: Context, span: Span) -> str:
    if span.end > len(context.text):
        raise NotInThisFile
    return context.text[span.start : span.end]

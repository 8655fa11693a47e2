"""Join lines of the new plan: the old joint as a comment, pockets in its place, distances from sides that moved."""

from collections.abc import Iterator, Mapping
from fractions import Fraction
from math import ceil

from planlint.conversion.drilling_choices import Choice
from planlint.conversion.exact_boxes import Slice, piece_side
from planlint.conversion.length_words import Term, bare_term, less, slanted, sum_of
from planlint.conversion.part_lines import Recipe
from planlint.conversion.size_changes import Change, Output, depth_term
from planlint.conversion.statement_sites import Sites
from planlint.conversion.text_stretches import apply_within, inner_indent, stacked, whole_line
from planlint.language.expression_tree import Expression, Name
from planlint.language.plain_lines import block_end, line_end
from planlint.language.syntax_tree import (
    FastenersLine,
    JoinLine,
    Node,
    PlacingLine,
    PocketsLine,
    RowOf,
    ScrewsLine,
    SideOf,
    Statement,
    TraditionItem,
)
from planlint.model.directions import Axis, Side, side_of
from planlint.model.expressions import length_of
from planlint.model.join_details import Placing, lies_words
from planlint.model.plan import Join, Part
from planlint.model.provenance import Path
from planlint.model.scope import Scope
from planlint.placement.placement_results import Placement
from planlint.text.edits import TextEdit
from planlint.text.source import Span

Choices = Mapping[tuple[int, int], Choice]
"""How each new join is drilled, by the number of the old join and of its output; without pockets where it is not."""


def join_recipes(
    sites: Sites, change: Change, choices: Choices, placement: Placement
) -> Iterator[tuple[int, Path, Recipe]]:
    """The edits of every join line that changes, by the statement's id and its turns."""
    for (key, path), joins in sites.told_joins.items():
        if not any(join.index in change.outputs for join in joins):
            continue
        wanted = [(join, list(_versions(sites, change, join, choices, placement))) for join in joins]
        first = wanted[0][1]
        if len(first) == 1 and all(versions == first for _, versions in wanted):
            yield key, path, first[0]
        else:
            yield key, path, _told_apart(sites, wanted)


def _versions(
    sites: Sites, change: Change, join: Join, choices: Choices, placement: Placement
) -> Iterator[Recipe]:
    """The edits that make each of the new joins of one join's line; none where it stays."""
    outputs = change.outputs.get(join.index)
    if outputs is None:
        yield ()
        return
    for number, output in enumerate(outputs):
        yield tuple(_edits(sites, change, join, number, output, len(outputs), choices, placement))


def _told_apart(sites: Sites, wanted: list[tuple[Join, list[Recipe]]]) -> Recipe:
    """One line told as several; joins that it told with others, and that still are alike, stay together."""
    site = sites.joins[wanted[0][0].index]
    start, end = site.statement.span.start, block_end(sites.text, site.statement)
    head = _sides_told(site.statement)
    groups: dict[tuple[object, ...], tuple[Recipe, list[tuple[str, str]]]] = {}
    for join, versions in wanted:
        line = sites.join_line(join)
        for number, edits in enumerate(versions):
            sides = [
                apply_within(
                    sites.text, *site.statement.at(each.start, each.end), _within(site.statement, edits, each)
                )
                for each in (line.a, line.b)
            ]
            rest = tuple(each for each in edits if not head.start <= each.span.start < head.end)
            mark = (rest,) if len(versions) == 1 else (rest, join.index, number)
            groups.setdefault(mark, (rest, []))[1].append((sides[0], sides[1]))
    texts = []
    for rest, told in groups.values():
        hands = [each[:1] if len(set(each)) == 1 else each for each in zip(*told, strict=True)]
        texts.append(
            apply_within(sites.text, start, end, [*rest, TextEdit(head, " to ".join(map(", ".join, hands)))])
        )
    return (TextEdit(Span(start, end), stacked(sites.text, start, texts)),)


def _sides_told(statement: Statement) -> Span:
    """Where all the sides stand that a join line names."""
    node = statement.node
    assert isinstance(node, JoinLine)
    sides = [each for pair in ((node.a, node.b), *node.others) for each in pair]
    return statement.at(min(each.start for each in sides), max(each.end for each in sides))


def _within(statement: Statement, edits: Recipe, side: SideOf) -> Iterator[TextEdit]:
    where = statement.at(side.start, side.end)
    return (each for each in edits if where.start <= each.span.start and each.span.end <= where.end)


def _edits(
    sites: Sites,
    change: Change,
    join: Join,
    number: int,
    output: Output,
    count: int,
    choices: Choices,
    placement: Placement,
) -> Iterator[TextEdit]:
    statement = sites.joins[join.index].statement
    line = sites.join_line(join)
    a, side_a, b, side_b = output
    if line.name is not None and count > 1:
        at = statement.at(line.name.end, line.name.end)
        yield TextEdit(at, f"_{number + 1}")
    for of, written, side, was in ((a, line.a, side_a, join.side_a), (b, line.b, side_b, join.side_b)):
        assert written.part is not None
        if of.suffix:
            yield TextEdit(statement.at(written.part.end, written.part.end), of.suffix)
        if side is not was:
            yield TextEdit(statement.at(written.side.start, written.side.end), side.value)
    converted = join.index in change.converted
    if converted:
        yield from _old_joint_as_comment(sites, join, statement)
    yield from _placing_edits(sites, join, output)
    yield from _pocket_edits(sites, join, output, placement)
    added = _new_placings(sites, join, output, placement, count > 1) if converted else []
    choice = choices.get((join.index, number)) if converted else None
    if choice is not None and not choice.count:
        yield from _screws_anew(sites, join)
    elif choice is not None:
        added += _pocket_lines(sites, join, output, choice)
    if added:
        indent = inner_indent(sites.text, statement)
        end = block_end(sites.text, statement)
        yield TextEdit(Span(end, end), "".join(f"{line_end(sites.text)}{indent}{words}" for words in added))


def _old_joint_as_comment(sites: Sites, join: Join, statement: Statement) -> Iterator[TextEdit]:
    found = sites.tradition(join)
    if found is None:
        return
    where, item = found
    said = tradition_words(sites.text, where, item)
    if where is statement:
        yield TextEdit(Span(_sides_told(statement).end, statement.span.end), f"  # was: {said}")
    else:
        yield TextEdit(where.span, f"# was: {said}")


def tradition_words(text: str, where: Statement, item: TraditionItem) -> str:
    """The old joint as the plan wrote it, from its name to its last measure."""
    return text[slice(*where.at(item.kind.start, item.end))]


# ---------------------------------------------------------------- where A sits on B


def _placing_edits(sites: Sites, join: Join, output: Output) -> Iterator[TextEdit]:
    """Lines that name a side which moved, rewritten so that the parts stay where they were."""
    lines: dict[int, tuple[Statement, PlacingLine, list[tuple[Placing, str | None]]]] = {}
    for (statement, node, _), placing in zip(sites.placings(join), join.placings, strict=True):
        entry = lines.setdefault(id(statement), (statement, node, []))
        entry[2].append((placing, _placed(sites, join, output, statement, node, placing)))
    for statement, node, found in lines.values():
        if all(words is None for _, words in found):
            continue
        kept = [placing.side.value for placing, words in found if words is None and placing.side is not None]
        new = [words for _, words in found if words]
        if kept:
            sides = statement.at(node.sides[0].start, node.sides[-1].end)
            head = sites.text[statement.span.start : sides.start]
            new.insert(0, f"{head}{', '.join(kept)}")
        if not new:
            yield whole_line(sites.text, statement)
            continue
        yield TextEdit(statement.span, stacked(sites.text, statement.span.start, new))


def _placed(
    sites: Sites, join: Join, output: Output, statement: Statement, node: PlacingLine, placing: Placing
) -> str | None:
    """The words of one placing between the new pieces: ``None`` where they stay, empty where they go."""
    a, b = output.a, output.b
    axis = placing.axis
    if output.side_a.axis is not join.side_a.axis and axis is output.side_a.axis:
        return ""
    if placing.side is None:
        low, high = side_of(axis, -1), side_of(axis, 1)
        moved = a.cut(low) - a.cut(high) - b.cut(low) + b.cut(high)
        if not moved:
            return None
        # Middles no longer lie together: from the low side, as far as it was.
        inset = (b.part.size[axis] - a.part.size[axis]) / 2 + a.cut(low) - b.cut(low)
        return lies_words(low, inset, bare_term(abs(inset), sites.unit).text, back=False)
    side, cut = placing.side, a.part.cut_at(join.side_a)
    gains = [term for term in (a.cuts.get(side),) if term is not None]
    losses = [term for term in (b.cuts.get(side),) if term is not None]
    leans = a.part.turn is not None or b.part.turn is not None
    if leans and cut is not None and axis is cut.long_at.axis and join.side_a in a.cuts:
        # Along the slant the shoulder lies further on than the end that was let in.
        (gains if side is cut.long_at else losses).append(slanted(depth_term(sites, join), cut.angle)[1])
    value = placing.inset + sum(term.value for term in gains) - sum(term.value for term in losses)
    if value == placing.inset:
        return None
    if node.distance is not None:
        said = sites.term(statement, node.distance, sites.joins[join.index].scope)
        (losses if placing.inset < 0 else gains).insert(0, said)
    if value < 0:
        gains, losses = losses, gains
    told = _total(sites, gains, losses).text
    return lies_words(side, value, told, back=node.verb not in {"from", "proud"})


def _total(sites: Sites, gains: list[Term], losses: list[Term]) -> Term:
    for term in list(losses):
        same = next((each for each in gains if each.text == term.text), None)
        if same is not None:
            gains.remove(same)
            losses.remove(term)
    total = gains[0] if gains else bare_term(Fraction(0), sites.unit)
    for term in gains[1:]:
        total = sum_of(total, term, sites.unit)
    return less(total, losses, sites.unit) if losses else total


def _new_placings(sites: Sites, join: Join, output: Output, placement: Placement, several: bool) -> list[str]:
    """What a lap's old faces settled, said anew where the parts now meet end to side."""
    if output.side_a.axis is join.side_a.axis:
        return []
    a, b = output.a.box(placement), output.b.box(placement)
    if a is None or b is None:
        return []
    said = {p.axis for p in join.placings}
    words = []
    for axis in Axis:
        wanted = axis is join.side_a.axis or (several and axis not in said)
        if axis is output.side_a.axis or not wanted:
            continue
        low, high = a.low[axis] - b.low[axis], b.high[axis] - a.high[axis]
        if low and low == high:
            words.append(f"centred {axis.words}")
            continue
        side, inset = (side_of(axis, 1), high) if not high and low else (side_of(axis, -1), low)
        words.append(lies_words(side, inset, bare_term(abs(inset), sites.unit).text, back=False))
    return words


# ---------------------------------------------------------------- pockets


def row_told(node: Node) -> tuple[Name | None, PocketsLine | RowOf] | None:
    """A line of pockets or of other fasteners: the part that it names, and where they lie."""
    if isinstance(node, PocketsLine):
        return node.face.part, node
    if isinstance(node, FastenersLine):
        return node.through.part if isinstance(node.through, SideOf) else node.through, node.row
    return None


def _pocket_edits(sites: Sites, join: Join, output: Output, placement: Placement) -> Iterator[TextEdit]:
    """Pockets and fasteners that the plan has already stay where they are, though what they are measured from moves."""
    site = sites.joins[join.index]
    for details in site.statement.details:
        row = row_told(details.node)
        if row is None:
            continue
        (named, node), other = row, sites.join_line(join).b.part
        drilled = output.b if named and other and named.text == other.text else output.a
        if named is not None and drilled.suffix:
            yield TextEdit(details.at(named.end, named.end), drilled.suffix)
        if node.origin is None:
            continue
        origin = Side(node.origin.text)
        taken = drilled.cuts.get(origin)
        reach = drilled.size(origin.axis)
        if node.at is not None and (taken is not None or drilled.cut(origin.opposite)):
            yield from _places_moved(sites, details, node.at, site.scope, taken, reach)
        elif node.every is not None and node.first is not None:
            moves = _contact_moves(output, drilled.part, origin, placement)
            if not moves:
                continue
            if taken is None or taken.value != moves:
                taken = bare_term(moves, sites.unit)
            first, pitch = length_of(node.first, site.scope) - moves, length_of(node.every, site.scope)
            if first >= _LEAST_FROM_END:
                left = less(sites.term(details, node.first, site.scope), [taken], sites.unit)
            else:
                # The first ones were in the wood that goes.
                left = bare_term(first + ceil((_LEAST_FROM_END - first) / pitch) * pitch, sites.unit)
            yield TextEdit(details.at(node.first.start, node.first.end), left.text)


def _contact_moves(output: Output, drilled: Part, origin: Side, placement: Placement) -> Fraction:
    """How far the edge moves inward of where two parts meet, from which a row of pockets is measured."""
    looks = piece_side(drilled, origin)
    now = [output.a.box(placement), output.b.box(placement)]
    was = [Slice(output.a.part).box(placement), Slice(output.b.part).box(placement)]
    boxes = [box for box in (*now, *was) if box is not None]
    if looks is None or len(boxes) < len(now) + len(was):
        return Fraction(0)
    edges = [
        max(each.low[looks.axis] for each in pair)
        if looks.sign < 0
        else -min(each.high[looks.axis] for each in pair)
        for pair in (boxes[:2], boxes[2:])
    ]
    return edges[0] - edges[1]


_LEAST_FROM_END = Fraction(5, 16)
"""Wood between the middle of a row's last pocket and the end: half a 3/8 in bore and the cover. The language's own."""


def _places_moved(
    sites: Sites,
    line: Statement,
    places: tuple[Expression, ...],
    scope: Scope,
    taken: Term | None,
    reach: Fraction,
) -> Iterator[TextEdit]:
    """Places of pockets, from a side that moves; those in the wood that goes are left out."""
    terms = [sites.term(line, each, scope) for each in places]
    moved = [term if taken is None else less(term, [taken], sites.unit) for term in terms]
    kept = [term for term in moved if 0 < term.value < reach]
    if kept == terms or not kept:
        return
    if len(kept) == len(moved):
        for expression, term in zip(places, moved, strict=True):
            yield TextEdit(line.at(expression.start, expression.end), term.text)
        return
    yield TextEdit(line.at(places[0].start, places[-1].end), ", ".join(term.text for term in kept))


def _screws_anew(sites: Sites, join: Join) -> Iterator[TextEdit]:
    """The plan's screws chosen anew, of the same thread: the pockets stay, but the screws no longer reach right."""
    for details in sites.joins[join.index].statement.details:
        node = details.node
        if isinstance(node, ScrewsLine):
            yield TextEdit(
                details.span, f"screws {node.thread.text if node.thread is not None else 'to suit'}"
            )


def _pocket_lines(sites: Sites, join: Join, output: Output, choice: Choice) -> list[str]:
    line = sites.join_line(join)
    face = choice.face.value
    if choice.in_b:
        assert line.b.part is not None
        face = f"{line.b.part.text}{output.b.suffix}.{face}"
    where = (
        "" if not choice.at else " at " + ", ".join(bare_term(each, sites.unit).text for each in choice.at)
    )
    if choice.at and choice.origin is not None:
        words = f"pockets{where} from {choice.origin.value} in {face}"
    else:
        words = f"pockets {choice.count} in {face}"
    lines = [words + (", plugged" if choice.plugged else "")]
    if join.screws is None:
        lines.append("screws to suit")
    return lines

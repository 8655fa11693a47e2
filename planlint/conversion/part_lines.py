"""Part lines of the new plan: sizes taken back, cuts that no joint needs taken out, one part told as two."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from fractions import Fraction

from planlint.conversion.exact_boxes import Slice
from planlint.conversion.length_words import Term, less, minus, plain
from planlint.conversion.size_changes import Change, removal_after
from planlint.conversion.statement_sites import Site, Sites
from planlint.language.syntax_tree import Expression, Measure, PartLine, RemovalItem, Statement
from planlint.model.directions import Axis, Side, side_of
from planlint.model.provenance import Path
from planlint.text.edits import TextEdit, apply
from planlint.text.source import Span

Recipe = tuple[TextEdit, ...]
"""What is edited in one statement, in one turn of the loops round it."""


def part_recipes(sites: Sites, change: Change) -> Iterator[tuple[int, Path, Recipe]]:
    """The edits of every part line that changes, by the statement's id and its turns."""
    touched: dict[tuple[int, Path], Site] = {}
    for name in {*change.slices, *change.dropped, *change.stopped}:
        site = sites.parts[name]
        touched[(id(site.statement), site.path)] = site
    for (key, path), site in touched.items():
        yield key, path, _recipe(sites, change, site)


def _recipe(sites: Sites, change: Change, site: Site) -> Recipe:
    statement = site.statement
    node = statement.node
    assert isinstance(node, PartLine)
    groups: dict[Recipe, list[str]] = {}
    split = False
    for name in sites.told[id(statement), site.path]:
        part = sites.plan.part_by_name[name]
        written = node.names[sites.parts[name].place].text
        for each in change.slices_of(part):
            edits = tuple(_part_edits(sites, change, each))
            groups.setdefault(edits, []).append(f"{written}{each.suffix}")
            split = split or bool(each.number)
    if len(groups) == 1 and not split:
        return next(iter(groups))
    start, end = statement.span.start, block_end(sites.text, statement)
    indent = indent_of(sites.text, start)
    names = statement.at(node.names[0].start, node.names[-1].end)
    texts = []
    for edits, called in groups.items():
        renamed = (TextEdit(names, ", ".join(called)), *edits)
        texts.append(apply_within(sites.text, start, end, renamed))
    return (TextEdit(Span(start, end), f"{line_end(sites.text)}{indent}".join(texts)),)


def _part_edits(sites: Sites, change: Change, of: Slice) -> Iterator[TextEdit]:
    for axis in Axis:
        yield from _size_edits(sites, of, axis)
    yield from _removal_edits(sites, change, of)


def _size_edits(sites: Sites, of: Slice, axis: Axis) -> Iterator[TextEdit]:
    part = of.part
    taken = [
        term for side in (side_of(axis, -1), side_of(axis, 1)) if (term := of.cuts.get(side)) is not None
    ]
    exact = of.sizes.get(axis)
    if not taken and exact is None:
        return
    word = sites.size_word(part, axis)
    scope = sites.parts[part.name].scope
    for line, _, item, _ in sites.items(part):
        if isinstance(item, Measure) and item.word.text == word:
            if exact is None:
                whole = sites.term(line, item.value, scope)
                exact = less(whole, taken, sites.unit, item.value, sites.text[slice(*line.span)])
            yield TextEdit(line.at(item.value.start, item.value.end), exact.text)
            return
    if exact is None:
        exact = less(sites.size(part, axis), taken, sites.unit)
    end = sites.parts[part.name].statement.span.end
    yield TextEdit(Span(end, end), f", {exact.text} {word}")


def _removal_edits(sites: Sites, change: Change, of: Slice) -> Iterator[TextEdit]:
    part = of.part
    unit = sites.unit
    scope = sites.parts[part.name].scope
    gone = set(change.dropped.get(part.name, ()))
    removals = sites.removals(part)
    edits: list[TextEdit] = []
    for number, (line, _, item, span) in enumerate(removals):
        if number in gone:
            continue
        kept = removal_after(sites, item, of)
        if kept is None or kept.gone:
            gone.add(number)
            continue
        cuts = {side.value: term for side, term in of.cuts.items()}
        run = kept.run
        stop = change.stopped.get(part.name, {}).get(number)
        if stop is not None:
            along = Axis(3 - Side(item.sides[0].text).axis - Side(item.sides[1].text).axis)
            start = of.cut(side_of(along, -1))
            run = max(stop[0] - start, Fraction(0)), min(stop[1] - start, of.size(along))
        if run is not None:
            edits += _run_edits(sites, of, line, item, span, run)
        if kept.rabbet is not None and kept.rabbet_side is not None and item.offset is not None:
            one, other = (plain(each, unit).text for each in kept.rabbet)
            words = f"rabbet {one} x {other} along {kept.rabbet_side.value} {item.sides[0].text}"
            edits.append(TextEdit(line.at(item.kind.start, item.sides[1].end), words))
            continue
        moved: list[tuple[Expression, Term | None]] = []
        for place in kept.shifted:
            at = 0 if item.offset is not None else place
            moved.append((item.depths[place], cuts.get(item.sides[at].text)))
        if kept.offset and item.offset is not None:
            moved.append((item.offset, cuts.get(item.sides[1].text)))
        for expression, term in moved:
            if term is not None:
                left = less(sites.term(line, expression, scope), [term], unit)
                edits.append(TextEdit(line.at(expression.start, expression.end), left.text))
    yield from edits
    yield from _struck_out(sites, [removals[number] for number in sorted(gone)])


def _run_edits(
    sites: Sites, of: Slice, line: Statement, item: RemovalItem, span: Span, run: tuple[Fraction, Fraction]
) -> Iterator[TextEdit]:
    """Where a groove starts and stops; measured back from the far end of a part whose length has a name."""
    along = Axis(3 - Side(item.sides[0].text).axis - Side(item.sides[1].text).axis)
    start, stop = plain(run[0], sites.unit), plain(run[1], sites.unit)
    reach = sites.size(of.part, along)
    if reach.named and reach.value == of.size(along):
        stop = (
            minus(reach, plain(reach.value - run[1], sites.unit), sites.unit)
            if run[1] != reach.value
            else reach
        )
    if item.run is None:
        yield TextEdit(Span(span.end, span.end), f", from {start.text} to {stop.text}")
        return
    for expression, place in zip(item.run, (start, stop), strict=True):
        yield TextEdit(line.at(expression.start, expression.end), place.text)


def _struck_out(sites: Sites, gone: Iterable[tuple[Statement, int, object, Span]]) -> Iterator[TextEdit]:
    """Details taken out of their lines with the comma beside them; a line of nothing else goes as a whole."""
    by_line: dict[int, tuple[Statement, set[int]]] = {}
    for line, number, _, _ in gone:
        by_line.setdefault(id(line), (line, set()))[1].add(number)
    for line, numbers in by_line.values():
        node = line.node
        items = getattr(node, "items", ())
        heads = node.stock.end if isinstance(node, PartLine) else None
        if heads is None and len(numbers) == len(items):
            yield _whole_line(sites.text, line)
            continue
        for number in sorted(numbers):
            _, start, end = items[number]
            before = items[number - 1][2] if number else heads
            kept_before = heads is not None or any(each not in numbers for each in range(number))
            if kept_before and before is not None:
                yield TextEdit(line.at(before, end), "")
            else:
                yield TextEdit(line.at(start, items[number + 1][1]), "")


def _whole_line(text: str, line: Statement) -> TextEdit:
    """A detail's line goes with the line end before it, so that what goes lies within its statement."""
    start, end = line.span
    last = text.find("\n", end)
    last = last if last >= 0 else len(text)
    comment = text.find("#", end, last)
    if comment >= 0:
        return TextEdit(Span(start, comment), "")  # The comment stays.
    return TextEdit(Span(_line_break(text, text.rfind("\n", 0, start)), _line_break(text, last)), "")


# ---------------------------------------------------------------- stretches of text


def block_end(text: str, statement: Statement) -> int:
    """The end of a statement's last line, details and the comment behind it included, the line end not."""
    last = statement
    while last.details:
        last = last.details[-1]
    end = text.find("\n", last.span.end)
    return _line_break(text, end if end >= 0 else len(text))


def _line_break(text: str, feed: int) -> int:
    """Where the line end begins whose line feed stands at a place."""
    return feed - 1 if text[feed - 1 : feed] == "\r" else feed


def indent_of(text: str, start: int) -> str:
    """The white space before a statement."""
    return text[text.rfind("\n", 0, start) + 1 : start]


def line_end(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def apply_within(text: str, start: int, end: int, edits: Iterable[TextEdit]) -> str:
    """A stretch of the text with the edits made that lie in it."""
    moved = [TextEdit(Span(a - start, b - start), new) for (a, b), new in edits]
    return apply(text[start:end], moved)

"""Part lines of the new plan: sizes taken back, cuts that go or are stopped, one part told as two, likes told apart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from typing import NamedTuple

from planlint.conversion.cuts_taken_back import bow_along, bow_radius, removal_after, runs_along
from planlint.conversion.exact_boxes import Slice
from planlint.conversion.length_words import bare_term, less
from planlint.conversion.size_changes import Change
from planlint.conversion.statement_sites import Detail, Site, Sites
from planlint.conversion.text_stretches import apply_within, inner_indent, stacked, struck_out
from planlint.language.expression_tree import Call, Expression, Name, Number, Operation
from planlint.language.plain_lines import block_end, line_end
from planlint.language.syntax_tree import (
    CutItem,
    PartLine,
    RemovalItem,
    SizeItem,
    SpacingItem,
    TrimItem,
    Turned,
    Word,
)
from planlint.model.directions import Axis, Side, side_of
from planlint.model.expressions import length_of, names_in
from planlint.model.provenance import Path
from planlint.text.edits import TextEdit
from planlint.text.measures import INCH_PER_UNIT, in_inches
from planlint.text.source import Span

Recipe = tuple[TextEdit, ...]
"""What is edited in one statement, in one turn of the loops round it."""


def part_recipes(sites: Sites, change: Change) -> Iterator[tuple[int, Path, Recipe]]:
    """The edits of every part line that changes, by the statement's id and its turns."""
    changed = {*change.slices, *change.remains}
    touched: dict[tuple[int, Path], Site] = {}
    for name, site in sites.parts.items():
        if changed.intersection(sites.lineage(name)):
            touched[(id(site.statement), site.path)] = site
    forms = _Forms(sites, change)
    for (key, path), site in touched.items():
        yield key, path, _recipe(forms, site)


def _recipe(forms: _Forms, site: Site) -> Recipe:
    sites, change = forms.sites, forms.change
    statement = site.statement
    node = statement.node
    assert isinstance(node, PartLine)
    groups: dict[Recipe, list[str]] = {}
    split = False
    for name in sites.told[id(statement), site.path]:
        part = sites.plan.part_by_name[name]
        written = node.names[sites.parts[name].place].text
        for each in change.slices_of(part):
            edits = tuple(_part_edits(forms, each))
            groups.setdefault(edits, []).append(f"{written}{each.suffix}")
            split = split or bool(each.number)
    if len(groups) == 1 and not split:
        return next(iter(groups))
    start, end = statement.span.start, block_end(sites.text, statement)
    names = statement.at(node.names[0].start, node.names[-1].end)
    texts = []
    for edits, called in groups.items():
        renamed = (TextEdit(names, ", ".join(called)), *edits)
        texts.append(apply_within(sites.text, start, end, renamed))
    return (TextEdit(Span(start, end), stacked(sites.text, start, texts)),)


class _NewPart(NamedTuple):
    """What one part becomes: new words of its measures, and of each detail that changes, by line and number."""

    measures: Mapping[str, str]
    details: Mapping[tuple[int, int], tuple[str, ...]]
    """The texts that stand for a cut; none where it goes."""


class _Forms:
    """What parts become, each worked out once, so that one that is like another is told by what that becomes."""

    def __init__(self, sites: Sites, change: Change) -> None:
        self.sites, self.change = sites, change
        self._known: dict[str, _NewPart] = {}

    def of(self, each: Slice) -> _NewPart:
        known = self._known.get(each.name)
        if known is None:
            # An image has the cuts of what it is the image of.
            image = self.sites.mirrors(each.part.name)
            known = _NewPart(
                {word: text for axis in Axis for word, text in self._measure(each, axis)},
                {}
                if image
                else {
                    (id(detail.line), detail.number): texts
                    for detail, texts in self._details(each)
                    if texts is not None
                },
            )
            self._known[each.name] = known
        return known

    def _details(self, of: Slice) -> Iterator[tuple[Detail, tuple[str, ...] | None]]:
        """Each cut and taper with the texts that stand for it."""
        for number, detail in enumerate(self.sites.removals(of.part)):
            yield detail, self._removal(of, number, detail)
        for detail in self.sites.items(of.part):
            item = detail.item
            if isinstance(item, CutItem) and not item.edge and of.number:
                yield detail, self._ends_cut(of, detail, item)
            if not isinstance(item, TrimItem):
                continue
            edits = []
            if item.at is not None:
                begins, taken = item.sizes[1], of.cuts.get(Side(item.at[1].text))
                if taken is not None:
                    left = less(self.sites.term(detail.line, begins, detail.scope), [taken], self.sites.unit)
                    edits = [TextEdit(detail.line.at(begins.start, begins.end), left.text)]
            elif item.kind.text == "bow" and not item.radius:
                edits = list(self._bow(of, detail, item))
            if edits:
                yield detail, (apply_within(self.sites.text, *detail.span, edits),)

    def _ends_cut(self, of: Slice, detail: Detail, item: CutItem) -> tuple[str, ...] | None:
        """The cut at those of its ends that a piece of a part still has."""
        ends = of.part.ends if item.end is None else (Side(item.end.text),)
        has = [end.value for end in ends if self.change.has_end(of, end)]
        if len(has) == len(ends):
            return None
        text = self.sites.text[slice(*detail.span)]
        return tuple(text.replace("ends", f"{end} end", 1) for end in has)

    def _bow(self, of: Slice, detail: Detail, item: TrimItem) -> Iterator[TextEdit]:
        """The same curve on a part that is shorter at both ends is told by its radius."""
        trim = next(
            each for each in of.part.trims if each.kind == "bow" and each.sides[0].value == item.sides[0].text
        )
        if of.size(bow_along(trim, of.part)) == of.part.size[bow_along(trim, of.part)]:
            return
        radius = self._by_rule(bow_radius(trim, of.part))
        yield TextEdit(
            detail.line.at(item.sizes[0].start, item.sides[0].end),
            f"{radius} radius along {item.sides[0].text}",
        )

    def _by_rule(self, inches: Fraction) -> str:
        """A length to the 64th of an inch or the tenth of a millimetre."""
        step = Fraction(1, 64) if in_inches(self.sites.unit) else INCH_PER_UNIT["mm"] / 10
        return bare_term(round(inches / step) * step, self.sites.unit).text

    def _measure(self, of: Slice, axis: Axis) -> Iterator[tuple[str, str]]:
        """A measure that gets less, in words."""
        sites, part = self.sites, of.part
        exact = of.sizes.get(axis)
        taken = [
            term for side in (side_of(axis, -1), side_of(axis, 1)) if (term := of.cuts.get(side)) is not None
        ]
        if not taken and exact is None:
            return
        word = sites.size_word(part, axis)
        if exact is None:
            whole = sites.size(part, axis)
            for told in sites.items(part):
                if isinstance(told.item, SizeItem) and told.item.word.text == word:
                    told_as = sites.term if told.owner == part.name else sites.anywhere
                    whole = told_as(told.line, told.item.value, told.scope)
            exact = less(whole, taken, sites.unit)
        yield word, exact.text

    def _removal(self, of: Slice, number: int, detail: Detail) -> tuple[str, ...] | None:
        """The texts that stand for a cut once the part is taken back; ``None`` where it stays as it is."""
        remains = self.change.remains.get(of.part.name, {}).get(number)
        kept = removal_after(detail, of, number)
        if kept is None or kept.gone or (remains is not None and remains.goes):
            return ()
        item, span = detail.item, detail.span
        assert isinstance(item, RemovalItem)
        if kept.arc:
            points = (
                f"{self._by_rule(deep)} at {bare_term(at, self.sites.unit).text}" for deep, at in kept.arc
            )
            return (f"arch through {', '.join(points)} along {item.sides[0].text}",)
        runs: list[tuple[Fraction, Fraction] | None] = [kept.run]
        if remains is not None and not remains.whole:
            runs = list(self._runs_within(of, item, remains.runs))
        texts = []
        for run in runs:
            edits = [] if run is None else list(_run_edits(self.sites, of, detail, run))
            if kept.rabbet is not None and kept.rabbet_side is not None:
                one, other = (bare_term(each, self.sites.unit).text for each in kept.rabbet)
                words = f"rabbet {one} x {other} along {kept.rabbet_side.value} {item.sides[0].text}"
                edits.append(TextEdit(detail.line.at(item.kind.start, item.sides[1].end), words))
            else:
                edits += self._moved(of, detail)
            texts.append(apply_within(self.sites.text, span.start, span.end, edits))
        return None if texts == [self.sites.text[slice(*span)]] else tuple(texts)

    @staticmethod
    def _runs_within(
        of: Slice, item: RemovalItem, runs: Iterable[tuple[Fraction, Fraction]]
    ) -> Iterator[tuple[Fraction, Fraction]]:
        along = Axis(3 - Side(item.sides[0].text).axis - Side(item.sides[1].text).axis)
        start = of.cut(side_of(along, -1))
        for low, high in runs:
            run = max(low - start, Fraction(0)), min(high - start, of.size(along))
            if run[0] < run[1]:
                yield run

    def _moved(self, of: Slice, detail: Detail) -> Iterator[TextEdit]:
        """Measures of a cut that get less since the side moves from which they are measured."""
        item, line = detail.item, detail.line
        assert isinstance(item, RemovalItem)
        cuts = {side.value: term for side, term in of.cuts.items()}
        measures: list[tuple[Expression | None, Word]] = [*zip(item.depths, item.sides, strict=False)]
        if item.offset is not None:
            into, *beside = item.sides
            measures = [(deep, into) for deep in item.depths[1:]]
            measures += zip((item.offset, item.beyond), beside, strict=False)
        for expression, side in measures:
            term = cuts.get(side.text)
            if term is not None and expression is not None:
                left = less(self.sites.term(line, expression, detail.scope), [term], self.sites.unit)
                yield TextEdit(line.at(expression.start, expression.end), left.text)


def _part_edits(forms: _Forms, of: Slice) -> Iterator[TextEdit]:
    """All that is edited in a part's own statement."""
    sites, name = forms.sites, of.part.name
    form = forms.of(of)
    original = sites.original(name)
    told_by = None
    if original is not None:
        slices = forms.change.slices_of(sites.plan.part_by_name[original])
        told_by = slices[0] if not slices[0].number else None
    apart = (
        original is not None
        and not sites.mirrors(name)
        and (told_by is None or not _alike(forms, form, of, told_by))
    )
    details = list(sites.items(of.part))
    own = [each for each in details if each.owner == name]
    yield from _own_edits(forms, form, own)
    missing = _missing_measures(forms, form, name, None if apart else told_by)
    if not apart:
        if missing:
            end = sites.parts[name].statement.span.end
            yield TextEdit(Span(end, end), "".join(f", {text} {word}" for word, text in missing.items()))
        return
    yield from _told_apart(forms, form, of, details, missing)


def _alike(forms: _Forms, form: _NewPart, of: Slice, told_by: Slice) -> bool:
    """Whether the cuts that a part takes over are those that the part it is like has in the new plan."""
    other = forms.of(told_by)
    keys = [
        (id(each.line), each.number)
        for each in forms.sites.items(of.part)
        if isinstance(each.item, RemovalItem | TrimItem) and each.owner != of.part.name
    ]
    return all(form.details.get(key) == other.details.get(key) for key in keys)


def _missing_measures(forms: _Forms, form: _NewPart, name: str, told_by: Slice | None) -> dict[str, str]:
    """Measures that a part's own line must say from now on, since it or the one it is like changes."""
    sites = forms.sites
    owners = {each.item.word.text: each for each in sites.items(name) if isinstance(each.item, SizeItem)}
    others = forms.of(told_by).measures if told_by is not None else {}
    found = {}
    for word in dict.fromkeys((*form.measures, *others)):
        told = owners.get(word)
        if told is not None and told.owner == name:
            continue
        if form.measures.get(word) == others.get(word):
            continue
        if word in form.measures:
            found[word] = form.measures[word]
        elif told is not None and isinstance(told.item, SizeItem):
            found[word] = sites.anywhere(told.line, told.item.value, told.scope).text
    return found


def _own_edits(forms: _Forms, form: _NewPart, own: Iterable[Detail]) -> Iterator[TextEdit]:
    sites = forms.sites
    gone = []
    for detail in own:
        item = detail.item
        if isinstance(item, SizeItem):
            text = form.measures.get(item.word.text)
            if text is not None:
                yield TextEdit(detail.line.at(item.value.start, item.value.end), text)
            continue
        texts = form.details.get((id(detail.line), detail.number))
        if texts is None:
            continue
        if not texts:
            gone.append(detail)
        else:
            alone = len(getattr(detail.line.node, "items", ())) == 1 and not isinstance(
                detail.line.node, PartLine
            )
            text = stacked(sites.text, detail.line.span.start, texts) if alone else ", ".join(texts)
            yield TextEdit(detail.span, text)
    yield from struck_out(sites, gone)


def _told_apart(
    forms: _Forms, form: _NewPart, of: Slice, details: Iterable[Detail], missing: Mapping[str, str]
) -> Iterator[TextEdit]:
    """A part told by itself that was like another: of its stock, with all that it took over from it."""
    sites, name = forms.sites, of.part.name
    site = sites.parts[name]
    node = site.statement.node
    assert isinstance(node, PartLine)
    stock = sites.part_line(sites.lineage(name)[-1]).stock
    head = site.statement.at(node.names[-1].end, node.stock.end)
    words = sites.text[slice(*sites.parts[sites.lineage(name)[-1]].statement.at(stock.start, stock.end))]
    beside: list[str] = []
    below: list[str] = []
    cuts = [each.item for each in details if each.owner == name and isinstance(each.item, CutItem)]
    for detail in details:
        if detail.owner == name:
            continue
        item = detail.item
        if isinstance(item, SizeItem):
            if item.word.text not in missing:
                beside.append(_elsewhere(sites, site, detail))
        elif (texts := form.details.get((id(detail.line), detail.number))) is not None:
            below += texts
        elif isinstance(item, RemovalItem | TrimItem):
            below.append(_elsewhere(sites, site, detail))
        elif isinstance(item, CutItem) and any(each.edge is item.edge for each in cuts):
            text = _elsewhere(sites, site, detail)
            own_end = next(each.end for each in cuts if each.edge is item.edge)
            if own_end is None or (item.end is not None and item.end.text == own_end.text):
                continue
            if item.end is None:
                what = "edge" if item.edge else "end"
                text = text.replace(f"{what}s", f"{Side(own_end.text).opposite.value} {what}", 1)
            below.append(text)
        else:
            beside.append(_elsewhere(sites, site, detail))
    measures = [f"{text} {word}" for word, text in missing.items()]
    yield TextEdit(head, f" of {', '.join((words, *measures, *beside))}")
    if below:
        inner = inner_indent(sites.text, site.statement)
        end = block_end(sites.text, site.statement)
        yield TextEdit(Span(end, end), "".join(f"{line_end(sites.text)}{inner}{each}" for each in below))


def _elsewhere(sites: Sites, site: Site, detail: Detail) -> str:
    """A detail as it reads at another part: names that mean something else there are worked out."""
    edits = []
    for expression in _lengths(detail.item):
        strange = any(
            site.scope.find(name.text) is not detail.scope.find(name.text) for name in names_in(expression)
        )
        if strange:
            value = bare_term(length_of(expression, detail.scope), sites.unit)
            edits.append(TextEdit(detail.line.at(expression.start, expression.end), value.text))
    return apply_within(sites.text, detail.span.start, detail.span.end, edits)


def _lengths(node: object) -> Iterator[Expression]:
    """The lengths that a detail tells."""
    if isinstance(node, Number | Name | Operation | Call):
        yield node
    elif isinstance(node, tuple) and not isinstance(node, CutItem | Turned | SpacingItem):
        for inner in node:
            yield from _lengths(inner)


def _run_edits(sites: Sites, of: Slice, detail: Detail, run: tuple[Fraction, Fraction]) -> Iterator[TextEdit]:
    """Where a groove starts and stops; measured back from the far end of a part whose length has a name."""
    item = detail.item
    assert isinstance(item, RemovalItem)
    along = runs_along(item, of.part)
    start, stop = bare_term(run[0], sites.unit), bare_term(run[1], sites.unit)
    reach = sites.size(of.part, along)
    if reach.named and reach.value == of.size(along) and run[1] * 2 > reach.value:
        stop = less(reach, [bare_term(reach.value - run[1], sites.unit)], sites.unit)
    if item.run is None:
        yield TextEdit(Span(detail.span.end, detail.span.end), f", from {start.text} to {stop.text}")
        return
    for expression, place in zip(item.run, (start, stop), strict=True):
        if length_of(expression, detail.scope) != place.value:
            yield TextEdit(detail.line.at(expression.start, expression.end), place.text)

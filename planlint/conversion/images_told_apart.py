"""Parts told as mirror images (`mirrors`): they follow what becomes of those; one that stops being alike is told by
itself first, word for word turned round."""

import re
from collections.abc import Collection, Iterator

from planlint.conversion.cuts_taken_back import runs_along
from planlint.conversion.exact_boxes import Slice
from planlint.conversion.length_words import less
from planlint.conversion.size_changes import Change
from planlint.conversion.statement_sites import Detail, Sites
from planlint.conversion.text_stretches import apply_within, inner_indent
from planlint.geometry.piece import Piece
from planlint.language.plain_lines import block_end, line_end
from planlint.language.syntax_tree import Flag, RemovalItem, SizeItem, SpacingItem, Turned
from planlint.model.directions import AXIS_BY_SPAN, SIDES, Axis, Flips, Side, flipped
from planlint.model.elaboration_state import AXIS_BY_WORD
from planlint.model.plan import Part, Plan
from planlint.model.provenance import takes_joins
from planlint.text.edits import TextEdit
from planlint.text.source import Span

_SIDE = re.compile(r"\b(?:left|right|front|back|top|bottom|up|down)\b")
_UP = {"up": "down", "down": "up"}


def told_by_themselves(plan: Plan, names: Collection[str]) -> tuple[TextEdit, ...]:
    """The edits that tell parts by themselves; none where one cannot be, as one with its joins, or one in a loop that
    would read differently in another turn."""
    sites = Sites(plan)
    edits: dict[Span, TextEdit] = {}
    lines = {id(sites.parts[name].statement) for name in names}
    # A line is told anew for all its turns, and all units of its assembly.
    for name in (each for each, site in sites.parts.items() if id(site.statement) in lines):
        words = _by_itself(sites, name)
        if words is None or edits.setdefault(words.span, words) != words:
            return ()
    return tuple(edits.values())


def _by_itself(sites: Sites, name: str) -> TextEdit | None:
    site, line = sites.parts[name], sites.part_line(name)
    details = list(sites.items(name))
    if sites.elsewhere(sites.plan.part_by_name[name]) or any(
        isinstance(each.item, SpacingItem) or takes_joins(each.item) for each in details
    ):
        return None
    beside: list[str] = []
    below: list[str] = []
    for each in details:
        words = _turned_round(sites, name, each)
        whole = isinstance(each.item, SizeItem | Flag)
        (beside if whole else below).append(words)
    first = sites.lineage(name)[-1]
    stock = sites.parts[first].statement.at(
        sites.part_line(first).stock.start, sites.part_line(first).stock.end
    )
    start, end = site.statement.span.start, block_end(sites.text, site.statement)
    inner = f"{line_end(sites.text)}{inner_indent(sites.text, site.statement)}"
    names = sites.text[slice(*site.statement.at(line.names[0].start, line.names[-1].end))]
    head = f"part {names} of {', '.join((sites.text[slice(*stock)], *beside))}"
    tail = sites.text[site.statement.span.end : end] if not site.statement.details else ""
    return TextEdit(Span(start, end), "".join((head, tail, *(f"{inner}{each}" for each in below))))


def _turned_round(sites: Sites, name: str, each: Detail) -> str:
    """A detail of another part as it reads at its image."""
    flips = _flips(sites, name, each.owner)
    edits = list(_run_edits(sites, name, each, flips))
    if isinstance(each.item, Turned) and len(flips - {AXIS_BY_WORD[each.item.about.text]}) % 2:
        angle = each.line.at(each.item.angle.start, each.item.angle.end)
        words = sites.text[slice(*angle)]
        edits.append(TextEdit(angle, words.removeprefix("-") if words.startswith("-") else f"-{words}"))
    text = apply_within(sites.text, *each.span, edits)
    return _SIDE.sub(lambda found: _other(found[0], flips), text)


def _flips(sites: Sites, name: str, owner: str) -> Flips:
    """How a part is the mirror image of what is written of one that it takes that over from."""
    found: Flips = frozenset()
    for each in sites.lineage(name):
        if each == owner:
            break
        span = sites.part_line(each).mirrors
        if span is not None:
            found ^= {AXIS_BY_SPAN[span]}
    return found


def _other(word: str, flips: Flips) -> str:
    if word in _UP:
        return _UP[word] if Axis.Z in flips else word
    return str(flipped(Side(word), flips).value)


def _run_edits(sites: Sites, name: str, each: Detail, flips: Flips) -> Iterator[TextEdit]:
    """Where a stopped cut starts and stops, which is measured from the left, front or bottom all the same."""
    item = each.item
    if not isinstance(item, RemovalItem) or item.run is None:
        return
    part = sites.plan.part_by_name[name]
    axis = runs_along(item, part)
    if axis not in flips:
        return
    reach = sites.size(part, axis)
    for here, there in zip(item.run, reversed(item.run), strict=True):
        left = less(reach, [sites.term(each.line, there, each.scope)], sites.unit)
        yield TextEdit(each.line.at(here.start, here.end), left.text)


def images_that_differ(piece: Piece, sites: Sites, change: Change) -> Iterator[tuple[str, str]]:
    """Parts that would no longer be the mirror image of the one that they are told as, each with that one."""
    parts = piece.plan.part_by_name
    for name in sites.parts:
        span, other = sites.part_line(name).mirrors, sites.original(name)
        if span is None or other is None or not {name, other}.intersection((*change.slices, *change.remains)):
            continue
        if not _alike(change, parts[name], parts[other], frozenset({AXIS_BY_SPAN[span]})):
            yield name, other


def _alike(change: Change, part: Part, other: Part, flips: Flips) -> bool:
    (mine, *more), (its, *others) = change.slices_of(part), change.slices_of(other)
    if more or others or mine.number or its.number:
        return False
    if any(mine.cut(flipped(side, flips)) != its.cut(side) for side in SIDES):
        return False
    return _runs(change, mine, flips) == _runs(change, its, frozenset())


def _runs(change: Change, of: Slice, flips: Flips) -> dict[int, object]:
    """What is left of each cut, as the part is told."""
    found: dict[int, object] = {}
    for number, remains in change.remains.get(of.part.name, {}).items():
        reach = of.part.size[remains.along]
        runs = remains.runs
        if remains.along in flips:
            runs = tuple((reach - high, reach - low) for low, high in reversed(runs))
        found[number] = remains.whole or (remains.along if runs else None, runs)
    return found

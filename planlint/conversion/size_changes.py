"""The plan of change: which parts get shorter or become two, which joins follow, which cuts no joint needs.

Everything is worked out on exact boxes, before a word of the text is touched.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from planlint.conversion.cut_remains import Remains, Showing, Taken, cut_remains, wood_that_shows
from planlint.conversion.cuts_taken_back import removal_after, trim_stays
from planlint.conversion.exact_boxes import ExactBox, Slice, piece_side
from planlint.conversion.lap_changes import Lap, pieces_of
from planlint.conversion.length_words import Term, bare_term, slanted
from planlint.conversion.statement_sites import Sites
from planlint.geometry.piece import Piece
from planlint.language.syntax_tree import RemovalItem
from planlint.model.directions import Axis, Side, flipped
from planlint.model.plan import Join, Part
from planlint.text.grouping import grouped
from planlint.text.measures import by_rule
from planlint.text.sayings import named


class Output(NamedTuple):
    """A join of the new plan that comes of one of the old: which pieces of its two parts, and their sides."""

    a: Slice
    side_a: Side
    b: Slice
    side_b: Side


@dataclass(frozen=True)
class Change:
    """What becomes of a plan; all that is not named in it stays as it was."""

    slices: Mapping[str, tuple[Slice, ...]] = field(default_factory=dict)
    """By the name of each part that changes."""
    outputs: Mapping[int, tuple[Output, ...]] = field(default_factory=dict)
    """By the number of each join that is rewritten."""
    converted: frozenset[int] = frozenset()
    remains: Mapping[str, Mapping[int, Remains]] = field(default_factory=dict)
    """What is left of rabbets, grooves, dados and notches in which wood lay that goes, by part and number."""
    shown: Mapping[int, tuple[tuple[Part, Showing], ...]] = field(default_factory=dict)
    """By the number of the join the wood that goes though it shows: it is told."""

    def slices_of(self, part: Part) -> tuple[Slice, ...]:
        return self.slices.get(part.name) or (Slice(part),)

    def has_end(self, of: Slice, end: Side) -> bool:
        """Whether a piece has that end of its part: of one in two, the other piece has it."""
        return of.cut(end) == min(each.cut(end) for each in self.slices_of(of.part))


class Conflict(NamedTuple):
    """Joints that cannot be converted together with all else as it is, and why."""

    joins: frozenset[int]
    why: str


def depth_term(sites: Sites, join: Join) -> Term:
    """How deep A lies in B, with its words: the measure as written, the depth of the dado, or B's own size."""
    tradition = join.tradition
    assert tradition is not None
    found = sites.tradition(join)
    site = sites.joins[join.index]
    if found is not None:
        statement, item = found
        for wanted in tradition.joint.inset_from:
            for measure in item.measures:
                if measure.word.text == wanted:
                    return sites.anywhere(statement, measure.value, site.scope)
    part, axis = join.part_b, join.side_b.axis
    if tradition.inset == part.size[axis]:
        return sites.size(part, axis)
    looks = flipped(join.side_b, sites.part_flips(part.name)).value
    for statement, _, removal, _, scope, _ in sites.removals(part):
        assert isinstance(removal, RemovalItem)
        if removal.offset is not None:
            expression, sides = removal.depths[1], removal.sides[:1]
        else:
            expression = next(
                (d for d, side in zip(removal.depths, removal.sides, strict=False) if side.text == looks),
                removal.depths[0],
            )
            sides = removal.sides
        if any(side.text == looks for side in sides):
            term = sites.anywhere(statement, expression, scope)
            if term.value == tradition.inset:
                return term
    return bare_term(tradition.inset, sites.unit)


def work_out(
    piece: Piece, sites: Sites, wanted: Iterable[Join], laps: Mapping[int, Lap]
) -> Change | Conflict:
    """What becomes of the plan if these joins are converted, all at once."""
    joins = list(wanted)
    converted = frozenset(join.index for join in joins)
    crossed = [lap for lap in laps.values() if lap.join.index in converted]
    ends = _ends(sites, [join for join in joins if join.index not in laps])
    if isinstance(ends, Conflict):
        return ends
    sources = _sources(ends, crossed)
    slices = _slices(piece, sites, ends, crossed)
    for name, pieces in slices.items():
        why = _spoilt(sites, piece.plan.part_by_name[name], pieces)
        if why:
            return Conflict(frozenset(sources[name]), why)
    change = Change(slices, {}, converted)
    outputs: dict[int, tuple[Output, ...]] = {}
    for join in piece.plan.joins:
        if join.index not in converted and not (join.part_a.name in slices or join.part_b.name in slices):
            continue
        found = _outputs(piece, change, join, laps.get(join.index) if join.index in converted else None)
        if isinstance(found, str):
            blame = sources[join.part_a.name] | sources[join.part_b.name]
            return Conflict(frozenset(blame & converted or {join.index}), found)
        outputs[join.index] = found
    taken = Taken(piece, sites, slices, converted)
    remains = cut_remains(taken)
    told: dict[int, list[tuple[Part, Showing]]] = defaultdict(list)
    for name in slices:
        part = piece.plan.part_by_name[name]
        for shown, blame in _shows(taken, part, remains, ends.get(name, {}), sources[name]):
            made = [piece.plan.joins[index].made for index in blame]
            # A shelf may stand out before the sides: at its ends that goes with the rest, and is told. What shows of a
            # tenon or a lap is the joint itself.
            if not shown.past or not all(each is None or each.shelf for each in made):
                return Conflict(frozenset(blame), _hole_or_loss(sites, part, shown))
            for index in blame:
                told[index].append((part, shown))
    return Change(slices, outputs, converted, remains, {index: tuple(each) for index, each in told.items()})


def _sources(ends: _Ends, crossed: Iterable[Lap]) -> dict[str, set[int]]:
    """By part the joins that change it."""
    sources: dict[str, set[int]] = defaultdict(set)
    for name, sides in ends.items():
        for _, by in sides.values():
            sources[name] |= by
    for lap in crossed:
        sources[lap.split.name].add(lap.join.index)
    return sources


def _hole_or_loss(sites: Sites, part: Part, shown: Showing) -> str:
    if not shown.past:
        return f"{named(part)} would leave a hole where it lies in a cut that nothing else fills"
    return (
        f"{named(part)} stands {by_rule(shown.by, sites.unit)} out past {named(shown.past)} at the {shown.side}: cut "
        "there, that wood would be lost"
    )


def _shows(
    taken: Taken,
    part: Part,
    remains: dict[str, dict[int, Remains]],
    ends: Mapping[Side, tuple[Term, set[int]]],
    sources: set[int],
) -> Iterator[tuple[Showing, set[int]]]:
    """Wood of a part that would be lost from sight; the joints at that end are to blame, or else all of it."""
    for shown in wood_that_shows(taken, part, remains):
        box = Slice(part).box(taken.piece.placement)
        blame = {
            index
            for side, (term, by) in ends.items()
            if box is not None
            and (looks := piece_side(part, side)) is not None
            and shown.box.common(box.moved({looks.opposite: part.size[side.axis] - term.value})) is not None
            for index in by
        } or sources
        yield shown, blame


_Ends = dict[str, dict[Side, tuple[Term, set[int]]]]
"""By part and side: how much is cut off there, and for which joints."""


def _ends(sites: Sites, joins: Iterable[Join]) -> _Ends | Conflict:
    """What the joints that let an end in take off it."""
    ends: _Ends = defaultdict(dict)
    for join in joins:
        if join.tradition is None or not join.tradition.inset:
            continue
        term, cut = depth_term(sites, join), join.part_a.cut_at(join.side_a)
        if cut is not None:
            term, _ = slanted(term, cut.angle)
        known = ends[join.part_a.name].setdefault(join.side_a, (term, set()))
        known[1].add(join.index)
        if known[0].value != term.value:
            why = (
                f"the joints at the {join.side_a.value} of {named(join.part_a)} go in to different depths: "
                "it would have to end in two places"
            )
            return Conflict(frozenset(known[1]), why)
    return ends


def _slices(piece: Piece, sites: Sites, ends: _Ends, crossed: Iterable[Lap]) -> dict[str, tuple[Slice, ...]]:
    """What is left of each part that is taken back or cut; nothing at all where that is nothing."""
    slices: dict[str, tuple[Slice, ...]] = {}
    for name, sides in ends.items():
        whole = Slice(piece.plan.part_by_name[name], 0, {side: term for side, (term, _) in sides.items()})
        slices[name] = (whole,) if min(whole.size(axis) for axis in Axis) > 0 else ()
    for name, group in grouped((lap.split.name, lap) for lap in crossed).items():
        for whole in slices.get(name, (Slice(group[0].split),)):
            slices[name] = pieces_of(whole, group, piece.placement, sites)
    return slices


def _spoilt(sites: Sites, part: Part, pieces: tuple[Slice, ...]) -> str:
    """Why a part cannot be taken back so far; empty where it can."""
    if not pieces:
        return f"nothing would be left of {named(part)}: its joints take up its whole size"
    flips = sites.part_flips(part.name)
    for number, detail in enumerate(sites.removals(part)):
        assert isinstance(detail.item, RemovalItem)
        if any(removal_after(detail, each, number, flips) is None for each in pieces):
            kind = detail.item.kind.text
            if kind == "arch" or detail.item.beyond is not None:
                return (
                    f"the {kind} in {named(part)} reaches into the wood that goes: it would be another {kind}"
                )
            return f"the {kind} in {named(part)} would cut what is left of it in two"
    for trim in part.trims:
        if not all(trim_stays(trim, each) for each in pieces):
            what = {"rounding": "rounded corner"}.get(trim.kind, trim.kind)
            return f"the {what} of {named(part)} reaches to a side that would be taken back: it would be another shape"
    return ""


def _outputs(piece: Piece, change: Change, join: Join, lap: Lap | None) -> tuple[Output, ...] | str:
    """The joins that come of one join; or why there is none."""
    pieces_a, pieces_b = change.slices_of(join.part_a), change.slices_of(join.part_b)
    if lap is not None:
        return tuple(_lapped(piece, lap, pieces_a, pieces_b)) or (
            f"no end of {named(lap.split)} would meet {named(lap.through)}"
        )
    found = [
        Output(a, join.side_a, b, join.side_b)
        for a in pieces_a
        for b in pieces_b
        if _still_met(piece, change, join, a, b)
    ]
    if not found:
        return (
            f"{named(join.part_a)}.{join.side_a.value} would no longer meet {named(join.part_b)}.{join.side_b.value}: "
            "the wood that goes is what holds them together"
        )
    return tuple(found)


def _lapped(piece: Piece, lap: Lap, pieces_a: Iterable[Slice], pieces_b: Iterable[Slice]) -> Iterable[Output]:
    """Where the ends of a lapped part that is cut meet the part that runs through."""
    split_is_a = lap.join.part_a is lap.split
    for a in pieces_a:
        for b in pieces_b:
            cut, through = (a, b) if split_is_a else (b, a)
            for end in lap.split.ends:
                side = lap.through_side(end)
                if side is None:
                    continue
                looks, other = piece_side(cut.part, end), piece_side(through.part, side)
                box, against = cut.box(piece.placement), through.box(piece.placement)
                if looks is None or other is None or box is None or against is None:
                    continue
                if box.plane(looks) == against.plane(other) and _beside(box, against, looks.axis):
                    yield Output(cut, end, through, side) if split_is_a else Output(through, side, cut, end)


def _beside(one: ExactBox, other: ExactBox, axis: Axis) -> bool:
    return all(one.shared(other, each) > 0 for each in Axis if each is not axis)


def _still_met(piece: Piece, change: Change, join: Join, a: Slice, b: Slice) -> bool:
    looks_a, looks_b = piece_side(join.part_a, join.side_a), piece_side(join.part_b, join.side_b)
    placement = piece.placement
    was_a, was_b = Slice(a.part).box(placement), Slice(b.part).box(placement)
    now_a, now_b = a.box(placement), b.box(placement)
    if (
        (looks_a is None or looks_b is None or looks_a.axis is not looks_b.axis)
        or (was_a is None or was_b is None or now_a is None or now_b is None)
        or join.part_a.cut_at(join.side_a) is not None
    ):
        # It stands as long as the very ends are not taken back but for it; of a part in two, at the piece that has it.
        back = b.cut(join.side_b) or (a.cut(join.side_a) and join.index not in change.converted)
        return not (back or b.number) and change.has_end(a, join.side_a)
    wanted = was_a.plane(looks_a) - was_b.plane(looks_b)
    if join.index in change.converted and join.tradition is not None:
        wanted -= looks_a.sign * join.tradition.inset
    if now_a.plane(looks_a) - now_b.plane(looks_b) != wanted:
        return False
    return _beside(now_a, now_b, looks_a.axis) or not _beside(was_a, was_b, looks_a.axis)

"""Laps: which part runs through, which is cut at it, and into how many pieces."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from planlint.conversion.equivalents import CROSSED
from planlint.conversion.exact_boxes import Slice, box_of, low_corner
from planlint.conversion.length_words import Term, bare_term, less, sum_of
from planlint.conversion.statement_sites import Sites
from planlint.geometry.piece import Piece
from planlint.language.joint_table import Form
from planlint.model.directions import Axis, Side, side_of
from planlint.model.plan import Join, Part
from planlint.placement.joint_graph import groups_of
from planlint.placement.placement_results import Placement
from planlint.text.measures import by_rule, length
from planlint.text.sayings import named


class Lap(NamedTuple):
    """One part is cut where it lies across another. ``ends_there`` where it does not go on beyond it."""

    join: Join
    split: Part
    through: Part
    ends_there: bool
    met: int
    """How many other parts are joined to it right there: cut, it would slip from under them."""

    def through_side(self, end: Side) -> Side | None:
        """The side of the part that runs through which an end of the cut part meets; none of them is turned."""
        return end.opposite if end.axis is self.split.grain else None


class Laps(NamedTuple):
    """How each lap is cut, and the ones that cannot be, with the reason."""

    laps: dict[int, Lap]
    refused: dict[int, str]


def find_laps(piece: Piece, joins: Iterable[Join], other_way: frozenset[int] = frozenset()) -> Laps:
    """Choose for every lap which part runs through; ``other_way`` turns the choice round where both would serve.

    Laps that hang together are cut the same way, so that no part is cut at one that is cut itself.
    """
    wanted = [join for join in joins if _is_lap(join) or _around(piece, join)]
    options: dict[int, list[Lap]] = {}
    refused: dict[int, str] = {}
    for join in wanted:
        found = _options(piece, join)
        if isinstance(found, str):
            refused[join.index] = found
        else:
            options[join.index] = found
    laps: dict[int, Lap] = {}
    for group in hanging_together([join for join in wanted if join.index in options]):
        chosen = _one_way(group, options, other_way)
        if chosen is None:
            for join in group:
                refused[join.index] = (
                    "these laps hang together, and whichever way is cut, a part would be cut at one that is cut itself"
                )
        else:
            laps.update({lap.join.index: lap for lap in chosen})
    return Laps(laps, refused)


def _is_lap(join: Join) -> bool:
    tradition = join.tradition
    if tradition is None or tradition.joint.form not in CROSSED or not tradition.inset:
        return False
    return tradition.kind == "cross lap" or not join.part_a.is_end(join.side_a)


def _around(piece: Piece, join: Join) -> bool:
    """Whether B is to end at A in a corner, since A reaches past it: a drawer's back between sides that are higher."""
    tradition, (a, b) = join.tradition, join.parts
    if (
        tradition is None
        or tradition.joint.form is not Form.FINGERS
        or tradition.inset != b.size[join.side_b.axis]
    ):
        return False
    if a.turn is not None or b.turn is not None or not isinstance(_cut_at(piece, join, a, b), str):
        return False
    lap = _cut_at(piece, join, b, a)
    return isinstance(lap, Lap) and lap.ends_there


def _options(piece: Piece, join: Join) -> list[Lap] | str:
    """Which of the two parts could be cut at the other, the better first; or why neither."""
    a, b = join.part_a, join.part_b
    if a.turn is not None or b.turn is not None:
        return "a part of this lap is turned: cut and fit it by hand"
    found = []
    reasons = []
    for split, through in ((a, b), (b, a)):
        lap = _cut_at(piece, join, split, through)
        if isinstance(lap, str):
            reasons.append(lap)
        else:
            found.append(lap)
    if not found:
        return "; ".join(dict.fromkeys([*reasons, *_meant_flush(join, piece.plan.unit)]))
    return sorted(found, key=lambda lap: not lap.ends_there)


def _meant_flush(join: Join, unit: str) -> Iterator[str]:
    """A hint where two parts equally thick are let in less: `deep` taken for the depth of the cut in each of them."""
    (a, b), axis = join.parts, join.side_a.axis
    thick = a.size[axis]
    if join.tradition is not None and join.tradition.inset < thick == b.size[axis]:
        deep = length(join.tradition.inset, unit)
        yield (
            f"{deep} is how far {named(a)} goes into {named(b)} in all, not what is cut out of each: for flush faces "
            f"that is {length(thick, unit)}"
        )


def _cut_at(piece: Piece, join: Join, split: Part, through: Part) -> Lap | str:
    one, other = box_of(split, piece.placement), box_of(through, piece.placement)
    assert one is not None and other is not None  # Neither is turned.
    unit, axis = piece.plan.unit, split.grain
    if through.grain is axis:
        return f"{named(split)} and {named(through)} run the same way: that is no lap"
    if not one.meets(other):
        return f"{named(split)} and {named(through)} do not lie in one another here"
    for across in Axis:
        if across is axis:
            continue
        low, high = other.low[across] - one.low[across], one.high[across] - other.high[across]
        if max(low, high) > 0:
            side = side_of(across, -1 if low > 0 else 1).value
            return (
                f"{named(split)} stands {by_rule(max(low, high), unit)} out past {named(through)} at the {side}: cut "
                "there, that wood would be lost"
            )
    below, above = other.low[axis] - one.low[axis], one.high[axis] - other.high[axis]
    if below <= 0 and above <= 0:
        return f"{named(split)} is not longer than {named(through)} is wide: nothing would be left of it"
    ends = below <= 0 or above <= 0
    short = min(each for each in (below, above) if each > 0)
    if short < SHORTEST:
        side = side_of(axis, -1 if below == short else 1).value
        return (
            f"{named(split)} stands only {by_rule(short, unit)} out past {named(through)} at the {side}: cut "
            f"off, that is a block too short to screw on (at least {length(SHORTEST, unit)}; own judgement)"
        )
    here, met = one.common(other), 0
    for each in piece.graph.joins_of(split):
        box = box_of(each.other(split), piece.placement)
        rests = each is join or (each.tradition is not None and each.tradition.kind == "resting")
        met += bool(box and here and not rests and all(here.shared(box, axis) >= 0 for axis in Axis))
    return Lap(join, split, through, ends, met)


SHORTEST = Fraction(5, 2)
"""Inches: no shorter piece is left at a lap, as a horn. Basis: own judgement; its pockets' bores take it up."""


def hanging_together(joins: list[Join]) -> list[list[Join]]:
    """Laps that share a part hang together."""
    ties = [(join.part_a.index, join.part_b.index) for join in joins]
    groups = groups_of(dict.fromkeys(part for tie in ties for part in tie), ties)
    return [[join for join in joins if join.part_a.index in group] for group in groups]


def _one_way(
    group: list[Join], options: Mapping[int, list[Lap]], other_way: frozenset[int]
) -> list[Lap] | None:
    axes = dict.fromkeys(lap.split.grain for join in group for lap in options[join.index])
    ways = [
        [options[join.index][0] for join in group],
        *([lap for join in group for lap in options[join.index] if lap.split.grain is axis] for axis in axes),
    ]
    sound = []
    for way in ways:
        split = {lap.split.name for lap in way if not lap.ends_there}
        ending = {lap.split.name for lap in way}
        whole = len(way) == len(group) and not any(lap.through.name in split for lap in way)
        if whole and not (split and any(lap.through.name in ending for lap in way)) and way not in sound:
            sound.append(way)
    if not sound:
        return None
    sound.sort(key=lambda way: [sum(each) for each in zip(*map(_cost, way), strict=True)])
    turned = any(join.index in other_way for join in group) and len(sound) > 1
    return sound[1 if turned else 0]


def _cost(lap: Lap) -> tuple[int, int, Fraction]:
    """What speaks against a way to cut a lap: a part becomes two; others are joined to it there; of two that lie the
    longer one, which bends more."""
    two = not lap.ends_there
    bends = two and Axis.Z not in {lap.split.grain, lap.through.grain}
    return int(two), two * lap.met, lap.split.size[lap.split.grain] if bends else Fraction(0)


# ---------------------------------------------------------------- pieces


def pieces_of(whole: Slice, laps: list[Lap], placement: Placement, sites: Sites) -> tuple[Slice, ...]:
    """What is left of a part that is cut at others; ``whole`` carries what its end joints take off."""
    part, unit = whole.part, sites.unit
    axis = part.grain
    low_side, high_side = side_of(axis, -1), side_of(axis, 1)
    reach = sites.size(part, axis)
    zero = bare_term(Fraction(0), unit)
    start = zero
    stretches: list[tuple[Term, Term]] = []
    for lap in sorted(laps, key=lambda each: _offset(each, placement, sites).value):
        near, wide = _offset(lap, placement, sites), sites.size(lap.through, axis)
        if near.value > start.value:
            stretches.append((start, near))
        far = sum_of(near, wide, unit) if near.value else wide
        start = far if far.value > start.value else start
    if start.value < reach.value:
        stretches.append((start, reach))
    if len(stretches) == 1:
        low, high = stretches[0]
        cuts = dict(whole.cuts)
        if low.value:
            cuts[low_side] = low
        if high.value < reach.value:
            at_end = [sites.size(lap.through, axis) for lap in laps]
            cut = bare_term(reach.value - high.value, unit)
            cuts[high_side] = next((term for term in at_end if term.value == cut.value), cut)
        made = replace(whole, cuts=cuts)
        return (made,) if made.size(axis) > 0 else ()
    pieces = []
    for number, (low, high) in enumerate(stretches, 1):
        cuts = {side: term for side, term in whole.cuts.items() if side.axis is not axis}
        first, last = whole.cuts.get(low_side), whole.cuts.get(high_side)
        taken = [low] if low.value else []
        if number == 1 and first is not None:
            cuts[low_side] = first
            taken.append(first)
        elif low.value:
            cuts[low_side] = low
        if number == len(stretches) and last is not None:
            cuts[high_side] = last
            taken.append(last)
        elif high.value < reach.value:
            cuts[high_side] = less(reach, [high], unit)
        pieces.append(Slice(part, number, cuts, {axis: less(high, taken, unit) if taken else high}))
    if len(pieces) == 2 and pieces[0].size(axis) == pieces[1].size(axis) and len(laps) == 1:
        size = _halved(whole, laps[0], sites)
        pieces = [replace(each, sizes={axis: size}) for each in pieces]
    return tuple(pieces) if all(each.size(axis) > 0 for each in pieces) else ()


def _halved(whole: Slice, lap: Lap, sites: Sites) -> Term:
    """Two equal pieces: half of what is left."""
    part, unit = whole.part, sites.unit
    axis = part.grain
    ends = (whole.cuts.get(side) for side in part.ends)
    taken = [sites.size(lap.through, axis), *(end for end in ends if end is not None)]
    left = less(sites.size(part, axis), taken, unit)
    if not left.named:
        return bare_term(left.value / 2, unit)
    return Term(left.value / 2, f"{left.bracketed} / 2", named=True)


def _offset(lap: Lap, placement: Placement, sites: Sites) -> Term:
    """How far the part that runs through lies from the low end of the one that is cut, in words where they say it."""
    axis, unit = lap.split.grain, sites.unit
    value = low_corner(lap.through, placement)[axis] - low_corner(lap.split, placement)[axis]
    split_is_a = lap.join.part_a is lap.split
    site = sites.joins[lap.join.index]
    for (line, node, _), placing in zip(sites.placings(lap.join), lap.join.placings, strict=True):
        if placing.side is None or placing.side.axis is not axis or node.distance is None:
            continue
        term = sites.anywhere(line, node.distance, site.scope)
        if (
            placing.side.sign < 0
            and term.value == value
            and (placing.inset < 0 if split_is_a else placing.inset > 0)
        ):
            return term
    return bare_term(value, unit)

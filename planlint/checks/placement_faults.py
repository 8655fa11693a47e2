"""What placement found: joints that cannot close, parts that are apart, run into one another, or are not held."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import islice

from planlint.findings.finding import Finding
from planlint.findings.rulebook import Rule
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis, Side
from planlint.model.plan import Join, Part
from planlint.placement.opposing import Straightened, straightened
from planlint.placement.placement_results import Misfit, Unlike
from planlint.text.measures import degrees, length

FAR_OFF = 60
"""Degrees off from which another side is meant, not another angle. Basis: our own judgement."""


def misfit(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A join that the rest of the plan leaves no room for."""
    limit = rule.limit("length", piece.settings)
    for fault in piece.placement.misfits:
        amount = abs(float(fault.amount))
        if amount <= limit:
            continue
        join, unit = fault.join, piece.plan.unit
        names = [part.name for part in fault.loop_parts]
        ring = f"; the ring is {', '.join(names)}" if len(names) > 2 else ""
        yield rule.finding(
            span=fault.placing.span if fault.placing is not None else join.span,
            joint=join.name,
            parts=names or _names(join),
            says=f"{_misfit_words(fault, length(amount, unit), unit)}{ring}.",
            measured=amount,
            limit=limit,
            unit="in",
            repairs=_closings(fault, unit),
        )


def _misfit_words(fault: Misfit, amount: str, unit: str) -> str:
    a, b = fault.join.part_a.name, fault.join.part_b.name
    if fault.placing is None:
        if fault.amount > 0:
            return f"{a} does not reach {b}: a gap of {amount} stays open {fault.along}"
        return f"{a} runs {amount} into {b}, {fault.along}"
    if fault.placing.side is None:
        return f"{a} cannot be centred on {b} {fault.along}: it lies {amount} off"
    side = fault.placing.side.value
    inset = fault.placing.inset
    wanted = (
        f"lie {length(abs(inset), unit)} {'from' if inset > 0 else 'proud of'}" if inset else "be flush with"
    )
    where = "in" if fault.amount > 0 else "out"
    return (
        f"The {side} of {a} cannot {wanted} the {side} of {b}: the other joins put it {amount} too far {where} "
        f"({fault.along})"
    )


def _closings(fault: Misfit, unit: str) -> list[str]:
    amount = length(abs(float(fault.amount)), unit)
    repairs = [] if fault.unlike is None else [_as_at_the_other_end(fault.unlike, unit)]
    part, change = fault.closing_part, fault.closing_change
    if part is not None and change is not None:
        made = f"{length(float(part.length + change), unit)} long instead of {length(part.length, unit)}"
        repairs.append(f"{'Or make' if repairs else 'Make'} {part.name} {made}.")
    if fault.placing is not None:
        repairs.append(
            f"{'Or change' if repairs else 'Change'} this distance by {amount}, or take the line out."
        )
    else:
        # Square to a slanted joint the gap is less than what a length must change by.
        by = amount if fault.axis is not None else length(abs(float(change)), unit) if change else ""
        by = f" by {by}" if by else ", until it closes"
        repairs.append(f"{'Or change' if repairs else 'Change'} another length or distance in the ring{by}.")
    return repairs


def _as_at_the_other_end(unlike: Unlike, unit: str) -> str:
    """A distance told otherwise at the two ends of a part: both, and where."""
    side, there = unlike.placing.side, unlike.other.part_b.name
    assert side is not None
    here, part = unlike.join.part_b.name, unlike.join.part_a.name
    return (
        f"Lay the {side.value} of {part} {_lies(unlike.inset, side, here, unit)}, as at {there}, instead of "
        f"{length(abs(unlike.placing.inset), unit) if unlike.placing.inset else 'flush'}."
    )


def _lies(inset: Fraction, side: Side, part: str, unit: str) -> str:
    if not inset:
        return f"flush with the {side.value} of {part}"
    return f"{length(abs(inset), unit)} {'from' if inset > 0 else 'proud of'} the {side.value} of {part}"


def apart(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Two sides said to meet do not touch, though where their parts lie is settled."""
    limit = rule.limit("length", piece.settings)
    unit = piece.plan.unit
    askew = {fault.join.index for fault in piece.placement.askew}
    for join in piece.plan.joins:
        if join.index in askew or piece.contact(join).patches:
            continue
        if not piece.placement.fixed_together(join.part_a, join.part_b):
            continue
        away, axis = _away(piece, join)
        a, b = (
            f"the {join.side_a.value} of {join.part_a.name}",
            f"the {join.side_b.value} of {join.part_b.name}",
        )
        if away > limit:
            says = f"{a} is joined to {b}, but lies {length(away, unit)} past it {axis.words}."
            repair = (
                f"Move {join.part_a.name} by more than {length(away, unit)}, {axis.words}, until they meet."
            )
        else:
            says = f"{a} is joined to {b}, but there is no wood where they should touch."
            repair = "Move the part, or the cut that takes the wood away there, until the two sides meet."
        yield rule.finding(
            span=join.span,
            joint=join.name,
            parts=_names(join),
            says=says[0].upper() + says[1:],
            measured=away if away > limit else None,
            limit=limit if away > limit else None,
            unit="in" if away > limit else None,
            repairs=[repair],
        )


def _away(piece: Piece, join: Join) -> tuple[float, Axis]:
    """How far the two parts of a join lie past one another along the joint, and on which axis."""
    a, b = piece.body(join.part_a).bounds, piece.body(join.part_b).bounds
    return max(
        (max(a.low[axis] - b.high[axis], b.low[axis] - a.high[axis]), axis)
        for axis in Axis
        if axis is not join.side_a.axis
    )


def overlap(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Two parts run into one another, and no joint says that they may.

    What a part in a ring of joins that does not close runs into is judged once it fits.
    """
    limit = rule.limit("depth", piece.settings)
    unit = piece.plan.unit
    for shared in piece.overlaps:
        a, b = shared.part_a, shared.part_b
        if shared.depth <= limit or _share_a_mortise(piece, a, b):
            continue
        join = next((j for j in piece.graph.joins_of(a) if b in j.parts), None)
        deep = length(shared.depth, unit)
        yield rule.finding(
            span=join.span if join is not None else b.name_span,
            joint=join.name if join is not None else None,
            parts=(a.name, b.name),
            says=f"{a.name} and {b.name} run {deep} into one another ({_volume(shared.volume, unit)} of wood).",
            measured=shared.depth,
            limit=limit,
            unit="in",
            repairs=[
                f"Move one of them by {deep}, or shorten it.",
                "Or cut a notch, dado or groove for it, or say which joint lets it in (`as half lap`, `as dado` …).",
            ],
        )


def _volume(cubic_inches: float, unit: str) -> str:
    if unit in {"in", "ft"}:
        return f"{cubic_inches:.3g} cubic inches"
    return f"{cubic_inches * 2.54**3:.3g} cubic centimetres"


def _share_a_mortise(piece: Piece, a: Part, b: Part) -> bool:
    """Whether both are let into one third part, where their tenons meet: those are cut thinner, and mitred."""

    def hosts(part: Part) -> set[str]:
        return {
            join.part_b.name
            for join in piece.graph.joins_of(part)
            if join.part_a is part and join.tradition is not None and join.tradition.inset
        }

    return bool(hosts(a) & hosts(b))


def free_to_slide(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Nothing fixes where a part lies along an axis."""
    for free in piece.placement.free:
        join = free.join
        names = [part.name for part in free.parts]
        moving = names[0] if len(names) == 1 else f"{names[0]} and the {len(names) - 1} parts that hang on it"
        other = join.part_a.name if join.part_b.name in names else join.part_b.name
        says = f"{moving} can slide {free.axis.words}: nothing in the plan fixes where along {other} it lies."
        offers = ", ".join(f"`{words}`" for words in free.words)
        yield rule.finding(
            span=join.span,
            joint=join.name,
            parts=_names(join),
            says=says,
            repairs=[f"Say {offers} or a distance, such as `2 from {_side_words(free.axis)}`, in this join."],
            basis="geometry",
        )


def _side_words(axis: Axis) -> str:
    return ("left", "front", "bottom")[axis]


def unjoined(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A part that no join holds."""
    for part in piece.placement.unjoined:
        yield rule.finding(
            span=part.name_span,
            parts=(part.name,),
            says=f"No join holds {part.name}: the plan does not say where it goes.",
            repairs=[f"Join {part.name} to its neighbour; if it only lies there, say `as resting`."],
            basis="geometry",
        )


def askew(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Two sides said to meet do not look at one another."""
    limit = rule.limit("angle", piece.settings)
    for fault in piece.placement.askew:
        if fault.angle <= limit:
            continue
        join = fault.join
        a, b = (
            f"the {join.side_a.value} of {join.part_a.name}",
            f"the {join.side_b.value} of {join.part_b.name}",
        )
        if fault.angle > 179.9:
            says = f"{a} and {b} look the same way."
            repairs = [
                f"Join {join.part_a.name}.{join.side_a.value} to {join.part_b.name}.{join.side_b.opposite.value}."
            ]
        else:
            says = f"{a} and {b} cannot meet flat: they are {degrees(fault.angle)} off."
            ways = list(islice(straightened(piece.graph, fault), 2))
            repairs = [_straight(each) for each in ways if fault.angle < FAR_OFF or each.turned_back]
            if not repairs and fault.angle < FAR_OFF:
                repairs = [f"Turn or cut both: together by {degrees(fault.angle)} more or less."]
            repairs = repairs or [
                f"Name the side of {join.part_b.name} that looks at the {join.side_a.value} of {join.part_a.name}."
            ]
        yield rule.finding(
            span=join.span,
            joint=join.name,
            parts=_names(join),
            says=says[0].upper() + says[1:],
            measured=fault.angle,
            limit=limit,
            unit="degrees",
            repairs=[way if not n else f"Or {way[0].lower()}{way[1:]}" for n, way in enumerate(repairs)],
        )


def _straight(way: Straightened) -> str:
    """Which part is turned or cut otherwise, and how the plan says it."""
    part, cut = way.part, way.cut
    if way.turn is not None and part.turn is not None:
        about = {Axis.X: "crosswise", Axis.Y: "deep", Axis.Z: "vertical"}[way.turn.axis]
        new, old = (f"turned {_plain(each.angle)}" for each in (way.turn, part.turn))
        return f"Write `{new} about {about}` for {part.name}, not `{old}`."
    assert cut is not None
    now = part.cut_at(cut.end)
    words = f"{degrees(cut.angle)}, long at {cut.long_at.value}" if cut.angle else "square"
    return (
        f"Cut the {cut.end.value} end of {part.name} {words}{f', not {degrees(now.angle)}' if now else ''}."
    )


def _plain(angle: Fraction) -> str:
    """An angle as a plan writes it: `22-1/2`."""
    return length(angle).removesuffix(" in")


def _names(join: Join) -> tuple[str, str]:
    return join.part_a.name, join.part_b.name

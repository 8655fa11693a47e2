"""The words for what placement found."""

from collections.abc import Iterator
from fractions import Fraction
from typing import assert_never

from planlint.checks.line_slips import Meant, SlipIn
from planlint.checks.loose_end import forgotten
from planlint.checks.open_at_taper import square_on_tapers
from planlint.checks.placement_faults import LyingPast
from planlint.checks.uneven_feet import UnevenFeet
from planlint.checks.unlike_sides import UnlikeSides
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis, Side, side_of
from planlint.model.plan import Join
from planlint.placement.placement_results import (
    Closing,
    Copied,
    DrawerFit,
    FreeAxis,
    Misfit,
    Misturned,
    Remade,
    Retold,
    Unlike,
)
from planlint.placement.retold_joins import along_a_free_axis
from planlint.text.measures import INCH_PER_UNIT, degrees, length, listed, read_as
from planlint.wording.angle_words import sides_named
from planlint.wording.finding_text import Told, alternatives
from planlint.wording.overlap_words import check_unit, in_other_unit, ways_to_lay

_Way = Copied | Remade | Retold | Unlike | Closing | Misturned
"""One change that would close a ring, or bring parts together."""
_MOST_NAMED = 24
"""Parts of a ring that are told by name. Basis: our own judgement."""


def misfit(piece: Piece, _: Finding, fault: Misfit | UnevenFeet | Meant) -> Told:
    if isinstance(fault, UnevenFeet):
        return _uneven(piece, fault)
    if isinstance(fault, Meant):
        line = "line" if fault.join is None else "join"
        says = (
            f"With `{fault.was}`, as its {line} says, {fault.part.name} does not fit the rest of the piece."
        )
        if fault.instead is not None:
            says = (
                f"One end of {fault.part.name} is laid `{fault.was}` and the other `{fault.edit.new}`: so parts do not "
                "fit."
            )
            return Told(says, [f"Write `{fault.edit.new}` at both ends, or `{fault.was}` at both."])
        if fault.join is not None and fault.edit.new in piece.plan.part_by_name:
            says = f"This join names {fault.was}, and {fault.edit.new} is joined to nothing here: so parts do not fit."
        if fault.slip_in is SlipIn.FACING:
            says = f"{fault.part.name} faces another way than its joints ask: its line says `{fault.was}`."
            return Told(
                says, [f"Write `{fault.edit.new}` there: then screws hold and parts lie as they are joined."]
            )
        if fault.slip_in is SlipIn.LET:
            says = f"With `{fault.was}` parts do not fit: {fault.part.stock.name} measures {fault.edit.new}."
        return Told(says, [f"Write `{fault.edit.new}` there: then all parts lie as they are joined."])
    unit, names = piece.plan.unit, [part.name for part in fault.loop_parts]
    more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED + 1 else ""
    ring = (
        f"; the ring is {', '.join(names[:_MOST_NAMED] if more else names)}{more}" if len(names) > 2 else ""
    )
    amount = length(abs(float(fault.amount)), unit)
    cause = fault.cause
    if isinstance(cause, DrawerFit):
        wide, (a, b) = "wide" if cause.by < 0 else "narrow", fault.join.parts
        says = f"The drawer at {a.name} is {amount} too {wide} to run in {b.name}{ring}."
        return Told(says, _drawer(cause, fault.axis, amount, unit))
    ways = _ways_to_close(piece, fault, amount)
    if fault.turned is not None:
        ways = [_told_way(fault.turned, unit), *ways[:1]]
    elif image := _taken_along(piece, fault):
        ways = [image, *ways]
    odd = in_other_unit(piece, cause.join.parts, cause) if isinstance(cause, Unlike) else []
    if not isinstance(cause, Retold):
        ways = [*(odd or _read_otherwise(fault, unit) or in_other_unit(piece, fault.join.parts)), *ways]
    if fault.placing is not None and (free := along_a_free_axis(fault, piece.placement.free)):
        now = fault.placing.words(lambda by: length(by, unit))
        ways = [f"Say {' or '.join(f'`{each}`' for each in free)} in this join, not `{now}`."]
    return Told(f"{_misfit(fault, amount, unit)}{ring}.", alternatives(ways))


def _read_otherwise(fault: Misfit, unit: str) -> list[str]:
    """A length or distance that would close a ring if its number counted in another unit."""
    cause = fault.cause
    changes = [(cause.placing.inset, cause.inset)] if isinstance(cause, Unlike) else []
    if fault.closing is not None:
        changes.append((fault.closing.now, fault.closing.now + Fraction(fault.closing.by)))
    read = ((now, read_as(now, meant, unit)) for now, meant in changes)
    return [check_unit(now / INCH_PER_UNIT[unit], unit, other, unit) for now, other in read if other][:1]


def _uneven(piece: Piece, fault: UnevenFeet) -> Told:
    unit = piece.plan.unit
    by, where = length(abs(fault.by), unit), "above" if fault.by > 0 else "below"
    feet, fellows = (listed([part.name for part in parts]) for parts in (fault.parts, fault.fellows))
    ways = [
        f"Make {listed([part.name for part in parts])} {length(float(parts[0].length) + more, unit)} long."
        for parts, more in ((fault.longer, fault.by), (fault.shorter, -fault.by))
        if parts
    ]
    lay = f"Lay {feet} {by} {'lower' if fault.by > 0 else 'higher'}."
    ends = "ends" if len(fault.parts) == 1 else "end"
    return Told(
        f"{feet} {ends} {by} {where} the foot of {fellows}: the piece cannot stand on all of them.",
        alternatives(ways or [lay]),
    )


def _taken_along(piece: Piece, fault: Misfit) -> str:
    """What to do with a join of a ring that an image takes along, to the long side of a part that has no image and is
    too small to reach from the one to the other."""
    provenance = piece.plan.provenance
    for join in fault.loop:
        # What only lies a gap apart is tied as by a join, and told by none.
        taken = (
            provenance.joins[join.index].mirrored if any(join is each for each in piece.plan.joins) else ()
        )
        for part, side in join.sides if taken else ():
            image = join.other(part)
            if provenance.parts[part.name].line.mirrors is not None or part.is_end(side):
                continue
            reach = sum(
                abs(share) * float(size) for share, size in zip(fault.direction, part.size, strict=True)
            )
            if reach > abs(float(fault.amount)):
                continue
            return (
                f"{image.name} takes its join to {part.name} along from {taken[-1][0]}, which it mirrors: write the "
                f"part that {image.name} is to meet as the image of {part.name}, `with its joins`; or leave that out "
                f"for {image.name} and tell its joins one by one."
            )
    return ""


def _meant(copied: Copied) -> str:
    join, held = copied.join, None if copied.other is None else copied.other.other(copied.named)
    mine, side = (join.part_a, join.side_b) if copied.of_b else (join.part_b, join.side_a)
    its = join.side_a if copied.of_b else join.side_b
    where = (
        ", which holds its other end"
        if held is mine
        else f", where {held.name} is"
        if held is not None
        else ""
    )
    return (
        f"Join {mine.name}.{its.value} to {copied.meant.name}.{side.value}, not to {copied.named.name}.{side.value}"
        f"{where}."
    )


def _turned(turned: Misturned, unit: str) -> str:
    name, takes, instead = turned.part.name, length(turned.takes, unit), length(turned.instead, unit)
    if turned.facing is None:
        return f"Check the measures of {name}: with its length and width swapped it takes {instead} here, not {takes}."
    return f"Check how {name} faces: facing {turned.facing.looks} it takes {instead} here, not {takes}."


def _misfit(fault: Misfit, amount: str, unit: str) -> str:
    a, b = fault.join.part_a.name, fault.join.part_b.name
    if fault.placing is None:
        if fault.amount > 0:
            return f"{a} does not reach {b}: a gap of {amount} stays open {fault.along}"
        return f"{a} runs {amount} into {b}, {fault.along}"
    if fault.placing.side is None:
        return f"{a} cannot be centred on {b} {fault.along}: it lies {amount} off"
    side, inset = fault.placing.side, fault.placing.inset
    wanted = f"{'lie' if inset else 'be'} {_lies(Fraction(inset), side, b, unit)}"
    where = "in" if fault.amount > 0 else "out"
    return f"The {side.value} of {a} cannot {wanted}: the other joins put it {amount} too far {where} ({fault.along})"


def _drawer(fit: DrawerFit, axis: Axis | None, amount: str, unit: str) -> list[str]:
    if fit.unlike is not None:
        at = " and ".join(part.name for part in fit.unlike.parts)
        thick, now = length(fit.thick, unit), length(fit.unlike.gap, unit)
        return [f"Use slides {thick} thick between {at}, as at the other side, instead of {now}."]
    names = listed([part.name for part in fit.parts])
    made, opening = ("shorter", "wider") if fit.by < 0 else ("longer", "narrower")
    sizes = {part.size[axis] for part in fit.parts} if axis is not None else set()
    if len(sizes) == 1:
        along = "long" if all(part.grain is axis for part in fit.parts) else "across"
        made += f": {length(sizes.pop() + fit.by, unit)} {along}"
    return [f"Make {names} {amount} {made}.", f"Or make the opening {amount} {opening}."]


def _ways_to_close(piece: Piece, fault: Misfit, amount: str) -> list[str]:
    unit = piece.plan.unit
    cause, closing, doubts = fault.cause, fault.closing, fault.doubts
    if isinstance(cause, Copied | Remade | Retold):
        return [_told_way(each, unit) for each in (cause, *doubts)]
    ways = [_told_way(cause, unit)] if isinstance(cause, Unlike) else []
    change = 0.0
    if closing is not None:
        change = float(closing.by)
        lengths = [_made(each, unit) for each in (closing, *doubts) if isinstance(each, Closing)]
        unsure = ": which of the two is meant the plan does not say" if lengths[1:] else ""
        ways.append(f"Make {', or '.join(lengths)}{unsure}.")
    distances = [each for each in doubts if isinstance(each, Unlike)]
    if distances:
        return [*ways, *(_told_way(each, unit) for each in distances)]
    if fault.placing is not None and fault.placing.side is None:
        said = [each.span for join in piece.plan.joins for each in join.placings]
        if said.count(fault.placing.span) > 1:
            b, its = fault.join.part_b.name, fault.join.side_b.value
            ways.append(f"Give {b}.{its} a join of its own, and lay it there from a side.")
        ways.append("Say a distance from a side instead, or take the line out.")
    elif fault.placing is not None:
        ways.append(f"Change this distance by {amount}, or take the line out.")
    else:
        # Square to a slanted joint the gap is less than what a length must change by.
        by = amount if fault.axis is not None else length(abs(change), unit) if change else ""
        by = f" by {by}" if by else ", until it closes"
        ways.append(f"Change another length or distance in the ring{by}.")
    return ways


def _told_way(way: _Way, unit: str) -> str:
    """What is to be changed, as one imperative sentence."""
    match way:
        case Copied():
            return _meant(way)
        case Remade():
            return _remade(way, unit)
        case Retold(join, other, placing, instead):
            says = (
                instead[0].words(lambda by: length(by, unit)) if placing is not None else f"like {other.name}"
            )
            now = f"`{placing.words(lambda by: length(by, unit))}`" if placing is not None else "as now"
            like = "" if other is join else f", as {other.part_a.name} lies on {other.part_b.name}"
            return f"Say `{says}` for {join.name}{like}, not {now}."
        case Unlike():
            return _as_at_the_other_end(way, unit)
        case Closing():
            return f"Make {_made(way, unit)}."
        case Misturned():
            return _turned(way, unit)
        case _:
            assert_never(way)


def _remade(way: Remade, unit: str) -> str:
    join, remade, other = way
    a, b = join.part_a.name, join.part_b.name
    if join.tradition is None and remade.tradition is not None:
        into = f"as {other.part_a.name} is into {other.part_b.name}"
        return f"Say `as {remade.tradition.kind}` for {join.name}: {a} is let into {b} there, {into}."
    if remade.side_a is join.side_a:
        deep, now = length(remade.inset, unit), length(join.inset, unit)
        return f"Let {a} {deep} into {b}, as {other.part_a.name} into {other.part_b.name}, instead of {now}."
    sides = f"{a}.{remade.side_a.value} to {b}.{remade.side_b.value}"
    return f"Join {sides}, as the mirror image of {other.name}: now both are joined at the same sides."


def _made(closing: Closing, unit: str) -> str:
    which = "wide" if closing.wide else "long"
    then = length(float(closing.now) + float(closing.by), unit)
    by_name = f", in `{closing.name}`" if closing.name else ""
    return f"{closing.names} {then} {which} instead of {length(closing.now, unit)}{by_name}"


def _as_at_the_other_end(unlike: Unlike, unit: str) -> str:
    """A distance told otherwise at the two ends of a part: both, and where."""
    side, other = unlike.placing.side, unlike.other
    assert side is not None
    here, part = unlike.join.part_b.name, unlike.join.part_a.name
    like = f"at {other.part_b.name}" if other.part_a is unlike.join.part_a else f"{other.part_a.name} lies"
    like = "" if other is unlike.join else f", as {like}"
    return (
        f"Lay the {side.value} of {part} {_lies(unlike.inset, side, here, unit)}{like}, instead of "
        f"{length(abs(unlike.placing.inset), unit) if unlike.placing.inset else 'flush'}."
    )


def _lies(inset: Fraction, side: Side, part: str, unit: str) -> str:
    if not inset:
        return f"flush with the {side.value} of {part}"
    return f"{length(abs(inset), unit)} {'from' if inset > 0 else 'proud of'} the {side.value} of {part}"


def apart(piece: Piece, found: Finding, fault: LyingPast) -> Told:
    join, away, along = fault.join, length(fault.away, piece.plan.unit), fault.axis.words
    a, b = sides_named(join)
    if found.kind == "past":
        meant, unit = fault.meant, piece.plan.unit
        ways = [*in_other_unit(piece, join.parts), *ways_to_lay(piece, join.parts, fault.axis)]
        if isinstance(meant, Closing):
            ways.append(f"Make {_made(meant, unit)}: then it lies on both alike.")
        elif meant is not None:
            ways = [_told_way(meant, unit)]
        by, lies = f" by more than {away}", f"lies {away} past it {along}"
        if found.measured is None:
            by, lies = "", f"ends just where that begins, {along}"
        ways.append(f"Move {join.part_a.name}{by}, {along}, until they meet.")
        return Told(f"The {a} is joined to the {b}, but {lies}.", alternatives(ways))
    return Told(
        f"The {a} is joined to the {b}, but there is no wood where they should touch.",
        alternatives(
            [
                *_onto_taper(join),
                "Move the part, or the cut that takes the wood away there, until the two sides meet.",
            ]
        ),
    )


def _onto_taper(join: Join) -> Iterator[str]:
    """How an end is cut that lies on the flat before a taper, to sit on the slant instead."""
    for part, side, other, slant in square_on_tapers(join):
        yield (
            f"Cut the {side.value} end of {part.name} {degrees(slant.angle)}, long at "
            f"{slant.long_at.opposite.value}: then it sits on the taper of {other.name}. Its length is that at "
            f"its {slant.long_at.opposite.value}."
        )


def unlike_sides(piece: Piece, _found: Finding, fact: UnlikeSides) -> Told:
    one, other, axis = fact.part.name, fact.twin.name, fact.across
    also = f"but for these two all of the piece is the same on both sides, {axis.words}."
    if not fact.by:
        return Told(
            f"{one} is cut or turned as {other} is, not as its mirror image: {also}",
            [f"Say `part {one} mirrors {other}{'' if axis is Axis.X else f' {axis.words}'}`."],
        )
    far, side = length(abs(fact.by), piece.plan.unit), side_of(fact.along, 1 if fact.by > 0 else -1).value
    if fact.twin is fact.part:
        half = length(abs(fact.by) / 2, piece.plan.unit)
        return Told(
            f"{one} reaches {far} farther to the {side} than to the other side: but for it, and what is told with it, "
            f"all of the piece is the same on both sides, {axis.words}.",
            [f"Make {one} {far} shorter at the {side}, or lay it {half} farther from there."],
        )
    says = f"{one} lies {far} farther to the {side} than the mirror image of {other}: {also}"
    return Told(says, [f"Lay {one} {far} farther from the {side}, or {other} that much nearer to its side."])


def free_to_slide(piece: Piece, _found: Finding, free: FreeAxis) -> Told:
    join, names = free.join, [part.name for part in free.parts]
    moving = (
        f"{names[0]} and the {len(names) - 1} parts that hang on it" if names[2:] else " and ".join(names)
    )
    other = join.part_a.name if join.part_b.name in names else join.part_b.name
    offers = ", ".join(f"`{words}`" for words in free.words)
    side = ("left", "front", "bottom")[free.axis]
    return Told(
        f"{moving} can slide {free.axis.words}: nothing in the plan fixes where along {other} it lies.",
        alternatives(
            [
                *_forgotten(piece, free.axis),
                *_as_placed_at_the_other_end(piece, free),
                f"Say {offers} or a distance, such as `2 from {side}`, in this join.",
            ]
        ),
    )


def _as_placed_at_the_other_end(piece: Piece, free: FreeAxis) -> list[str]:
    """What places A along the axis where its other end is joined."""
    a, end, unit = free.join.part_a, free.join.side_a.opposite, piece.plan.unit
    there = (join for join in piece.graph.joins_of(a) if join.part_a is a and join.side_a is end)
    told = ((each, join.part_b) for join in there for each in join.placings if each.axis is free.axis)
    return [
        f"Say `{each.words(lambda by: length(by, unit))}` in this join, as at {host.name}."
        for each, host in told
    ][:1]


def _forgotten(piece: Piece, along: Axis) -> list[str]:
    end = forgotten(piece, along)
    if end is None:
        return []
    as_is = "its other end is joined" if end.part in end.held.parts else f"{end.held.name} is"
    return [
        f"Join {end.part.name}.{end.side.value} to {end.other.name}.{end.back.value}, as {as_is}: nothing holds it."
    ]

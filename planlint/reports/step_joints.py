"""How one joint is told in a step of the work: where it lies, how it is made, its pockets, drivers and clamps."""

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from planlint.checks.row_view import Row, rows_of
from planlint.geometry.drilling.fastener_places import FastenerRow
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis, Side
from planlint.model.join_details import Placing, Tradition
from planlint.model.plan import Join, Part
from planlint.reports.safe_words import visible
from planlint.reports.step_names import numbered_runs
from planlint.sheet.joint_setouts import Loose, loose_in
from planlint.text.measures import by_rule, length, listed, to_sixteenth
from planlint.wording.fastener_words import drilled_words, fastener_name, fastener_places, through_words
from planlint.wording.row_words import set_up_words, setting_out
from planlint.workplan.clamps import Clamp
from planlint.workplan.set_ups import blockers_among
from planlint.workplan.step_data import JoinWork, Step
from planlint.workplan.way_in import usual_serves


def side_name(part: Part, side: Side) -> str:
    return f"{visible(part.name)}.{side.value}"


def joint_name(join: Join) -> str:
    return f"{side_name(join.part_a, join.side_a)} to {side_name(join.part_b, join.side_b)}"


def how_made(piece: Piece, work: JoinWork) -> str:
    join, unit = work.join, piece.plan.unit
    words = [made_words(join.tradition, loose_in(piece, join), unit)] if join.tradition else []
    words += [placing_words(placing, unit) for placing in work.placings]
    if join.glue:
        words.append("glued" if join.glue == "all" else f"glued along the {join.glue}")
    if join.slotted:
        words.append("slotted")
    return f": {', '.join(words)}" if words else ""


def made_words(made: Tradition, loose: tuple[Loose, int] | None, unit: str) -> str:
    """``as dowels (3, 3/8 in thick, 2 in long)``: as the plan has it, and how many lie in the joint."""
    if made.kind in {"glued", "resting"}:
        return made.kind
    sizes = [f"{length(inches, unit)} {measure}" for measure, inches in made.measures.items()]
    many = [str(loose[1])] if loose is not None and loose[0].what != "splines" else []
    more = ", ".join((*many, *sizes, *sorted(made.words)))
    return f"as {made.kind} ({more})" if more else f"as {made.kind}"


def placing_words(placing: Placing, unit: str) -> str:
    return placing.short_words(lambda by: by_rule(by, unit))


def pocket_words(row: Row) -> str:
    at = setting_out(row)
    return f"{len(row.pockets)} in the {row.asked.face.value} of {visible(row.part.name)}, at {at}"


def driven_words(row: FastenerRow, unit: str) -> str:
    """``3 No. 8 screws 2 in long, through the left of side into shelf, at … from front; clearance 11/64 in …``."""
    said = f"{fastener_name(row.fastening, unit, len(row.at))}, {through_words(row)}, {fastener_places(row, unit)}"
    holes = drilled_words(row.fastening, unit)
    return f"{said}; {holes}" if holes else said


def slot_words(work: JoinWork, row: Row, known: set[str]) -> str:
    """What `slotted` means at the bench: which holes, which way, and how tight; the second time only what differs."""
    count, slots = len(row.pockets), work.slots
    holes = "the hole at the foot of the pocket" if count == 1 else "the holes at the foot of the pockets"
    each = "a slot" if count == 1 else "slots"
    glue = "" if work.join.glue else ", and use no glue"
    way, moves = "", "the wood can move"
    if slots is not None:
        but = ""
        if row.along is slots.along and count > 1:
            but = ", all but the middle one" if count % 2 else ", all but one next to the middle"
        way, moves = f", {slots.along.words}{but}", f"{visible(slots.part.name)} can move across its grain"
    if glue in known:
        return f"as before{way}, so that {moves}"
    known.add(glue)
    return f"make {holes} {each}{way}, so that {moves}; drive the screws just snug{glue}"


def driver_words(piece: Piece, step: Step, work: JoinWork) -> str:
    names = [visible(name) for name in blockers_among(piece, work.join, step.made)]
    pairs = " or ".join(set_up_words(each, piece.plan.unit) for each in work.set_ups)
    without = f"; without it, put {listed(names)} in after this" if usual_serves(piece) else ""
    return f"{pairs}: {listed(names)} stand{'s' * (len(names) == 1)} in the way of the usual one{without}"


def clamp_opens(piece: Piece, clamp: Clamp) -> str:
    span = clamp.span(piece)
    return "" if span is None else f", {to_sixteenth(span, piece.plan.unit)} apart"


def clamp_words(piece: Piece, clamp: Clamp) -> str:
    said = (
        f"from the {clamp.pad_a.value} of {visible(clamp.part_a.name)} to the {clamp.pad_b.value} of "
        f"{visible(clamp.part_b.name)}{clamp_opens(piece, clamp)}"
    )
    if clamp.corner:
        said = (
            f"the corner, with pads on the {clamp.pad_a.value} of {visible(clamp.part_a.name)} and the "
            f"{clamp.pad_b.value} of {visible(clamp.part_b.name)}, or a band round it"
        )
    if clamp.through:
        said += ", in line with this joint"
    if clamp.again:
        said = "the one put on before holds this joint too"
    if clamp.lap:
        said += f"; and one over the lap, {clamp.lap.value} to {clamp.lap.opposite.value}"
    if clamp.flush:
        said += f"; and one that presses the joint flat at the {listed([side.value for side in clamp.flush])}"
    return said


def others(piece: Piece, works: Sequence[JoinWork]) -> list[str]:
    """The joints told with the first; parts in a row by their names alone, once for all sides that they meet alike."""
    first, many = works[0], Counter(part.name for work in works for part in work.join.parts)
    rows: dict[tuple[str, Side], list[tuple[Part, JoinWork]]] = {}
    for each in works:
        (row, side), (end, face) = each.join.sides
        # What most are joined to is where the others go, whichever is written first.
        if many[row.name] > many[end.name]:
            row, side, end, face = end, face, row, side
        rows.setdefault((side_name(end, face), side), []).append((row, each))
    whole = {to: _row(piece, first, like) for to, like in rows.items()}
    told: list[str] = []
    for to, like in rows.items():
        tos = [side_of for (side_of, _), words in whole.items() if words == whole[to]]
        rest = [each for each in like if each[1] is not first]
        if len(like) > 1 and len(tos) > 1:
            told.append(f"{whole[to]}, each to {listed(tos, most=len(tos))}")
        elif len(rest) == 1:
            told.append(joint_name(rest[0][1].join) + _otherwise(piece, first, rest[0][1]))
        elif rest:
            told.append(f"{_row(piece, first, rest)} to {to[0]}")
    return list(dict.fromkeys(told))


def _row(piece: Piece, first: JoinWork, like: Sequence[tuple[Part, JoinWork]]) -> str:
    """Parts in a row, with what is otherwise than at the first joint."""
    ways, names = (
        [_otherwise(piece, first, each) for _, each in like],
        listed(numbered_runs([row for row, _ in like])),
    )
    if len({*ways}) == 1:
        return f"{names}{ways[0]}"
    if spaced := _spaced(piece, first, like):
        return f"{names} ({spaced})"
    return listed([visible(row.name) + way for (row, _), way in zip(like, ways, strict=True)], most=len(like))


def _spaced(piece: Piece, first: JoinWork, like: Sequence[tuple[Part, JoinWork]]) -> str:
    """How parts of a row are set out that stand evenly, but on no marks of a rule: by a spacer and the last of them;
    and what else is not as at the first joint."""
    unit, (row, last) = piece.plan.unit, like[-1]
    ways = [{(each.side, each.centred): each.inset for each in work.placings} for _, work in like]
    vary = [way for way in ways[0] if len({each.get(way) for each in ways}) > 1]
    if len(like) < 3 or len(vary) != 1 or any(each.keys() != ways[0].keys() for each in ways):
        return ""
    ((side, _),) = vary
    insets = [each[vary[0]] for each in ways]
    faces = {tuple(row.asked.face for row in rows_of(piece, work.join)) for _, work in like}
    steps = {after - before for before, after in pairwise(insets)}
    if side is None or len(steps) > 1 or len(faces) > 1:
        return ""
    gap = abs(steps.pop()) - row.size[side.axis]
    if gap <= 0 or not any("(" in by_rule(inset, unit) for inset in insets):
        return ""
    end = next(each for each in last.placings if each.side is side)
    words = f"even gaps of {by_rule(gap, unit)} by a spacer, the last {placing_words(end, unit)}"
    return ", ".join([words, *_differs(piece, first, last, side)])


def _otherwise(piece: Piece, first: JoinWork, other: JoinWork) -> str:
    words = _differs(piece, first, other)
    return f" ({', '.join(words)})" if words else ""


def _differs(piece: Piece, first: JoinWork, other: JoinWork, spaced: Side | None = None) -> list[str]:
    """What is told of a joint alike because it is not so at the first: its distances, but that from the side along
    which a row is ``spaced``, and the faces drilled."""
    as_first = {(lies_by(placing), placing.inset) for placing in first.placings}
    words = [
        placing_words(placing, piece.plan.unit)
        for placing in other.placings
        if (lies_by(placing), placing.inset) not in as_first
        and (spaced is None or placing.side is not spaced)
    ]
    faces = [[row.asked.face for row in rows_of(piece, work.join)] for work in (first, other)]
    if faces[0] != faces[1]:
        words.append(f"pockets in the {listed([face.value for face in faces[1]])}")
    return words


def lies_by(placing: Placing) -> object:
    return placing.centred, placing.side and mirrored(placing.side)


def mirrored(side: Side) -> object:
    """A side as it is told of parts that mirror one another: left is right and front is back, but up stays up."""
    return side if side.axis is Axis.Z else side.axis

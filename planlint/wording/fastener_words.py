"""The words for screws through a face, bolts, nails, hinges and the like: what they are, where they go."""

from math import ceil
from typing import NamedTuple

from planlint.checks.fastener_fit import DriveFault
from planlint.checks.screws_meet import DriveMeets
from planlint.checks.turning_joint import LoneFastener
from planlint.findings.finding import Finding
from planlint.geometry.drilling.fastener_places import FASTENER_ROW, FastenerRow
from planlint.geometry.drilling.screw_clashes import Rod
from planlint.geometry.fastener_bores import pin_top
from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import dot
from planlint.model.directions import Axis, Side, side_of
from planlint.model.fastener_sizes import counterbore
from planlint.model.fastener_statements import KINDS
from planlint.model.join_details import Fastening
from planlint.model.plan import Part
from planlint.rulebook.limits import NIL
from planlint.text.measures import in_inches, length, listed, past, stations_told, to_sixteenth, told_apart
from planlint.text.rounding import ALIGNED, ROUNDING
from planlint.wording.finding_text import Told, alternatives

LONGEST_BOLT = 16.0
"""Inches of wood that a bolt is offered through; more is the length of a rail. Basis: our own judgement."""
MOST_CHOICE = 2.0
"""Inches between the shortest and the longest that fit within which both are told. Basis: our own judgement."""


def fastener_name(made: Fastening, unit: str, count: int) -> str:
    """How many of what, by size: ``3 No. 8 screws 2 in long``, ``1 bolt 5/16 in thick, 4 in long``, ``2 hinges``."""
    return f"{count} {fastener_called(made, unit, one=count == 1)}"


def fastener_called(made: Fastening, unit: str, *, one: bool = False) -> str:
    """The same without their number."""
    kind, called = KINDS[made.kind].one, made.called
    before = called if called and not called[0].isdigit() else called if called and called[-1] == "d" else ""
    sizes = []
    if not before and made.thick is not None:
        sizes.append(f"{called or length(made.thick, unit)} thick")
    if made.length is not None:
        sizes.append(f"{length(made.length, unit)} long")
    what = " ".join(filter(None, (before, kind if one else made.kind)))
    return f"{what}{' ' * bool(sizes)}{', '.join(sizes)}"


def bored_in(made: Fastening, unit: str, before: str) -> str:
    """How wide the head of a wood screw is bored in for, behind ``before``; nothing of others: ask their washers."""
    if made.kind != "screws" or made.thick is None:
        return ""
    return f"{before}{length(counterbore(made.thick, inch=in_inches(unit)), unit)} across"


def drilled_words(made: Fastening, unit: str) -> str:
    """The holes that they want: ``clearance 11/64 in, pilot 7/64 in, countersunk``."""
    words = [
        f"{name} {length(size, unit)}"
        for name, size in (("clearance", made.clearance), ("pilot", made.pilot))
        if size is not None
    ]
    if made.sunk:
        words.append(f"head sunk {length(made.sunk, unit)}{bored_in(made, unit, ', counterbore ')}")
    words += sorted(made.words)
    return ", ".join(words)


class SetOut(NamedTuple):
    """Where one row is marked on a part: the places along it from one side, and how far its line lies inside another;
    inches, as a rule laid on that part reads."""

    part: Part
    origin: Side
    places: tuple[float, ...]
    beside: Side
    inside: float


def _set_out(row: FastenerRow, *, behind: bool = False) -> SetOut | None:
    """On the part that they go in through, where their heads lie; or on the one ``behind`` it, where they meet it.

    ``None`` on a part to which the row lies askew.
    """
    body, side = (row.into, row.entered) if behind else (row.body, row.side)
    points = list(row.at)
    if row.drives and not behind:
        points = [drive.pocket.mouth for drive in row.drives]
    along, way = row.along, row.body.along(row.along)
    if behind:
        along = max(
            (axis for axis in Axis if axis is not side.axis), key=lambda axis: abs(dot(body.along(axis), way))
        )
        if abs(dot(body.along(along), way)) < ALIGNED:
            return None
    across = Axis(3 - along - side.axis)
    made = row.fastening
    if made.kind == "pins":
        points = [pin_top(row, point) for point in points]
    origin = side_of(along, -1) if behind else made.row.origin or side_of(along, -1)

    def away(to: Side, point: Vector) -> float:
        plane = body.planes[to]
        return plane.depth(point) / abs(dot(plane.normal, body.along(to.axis)))

    said = made.line[0] if made.line is not None else None
    both = (side_of(across, -1), side_of(across, 1))
    beside = said if said in both else min(both, key=lambda to: round(away(to, points[0]), 6))
    return SetOut(
        body.part,
        origin,
        tuple(sorted(away(origin, point) for point in points)),
        beside,
        away(beside, points[0]),
    )


def told_set_outs(row: FastenerRow) -> list[SetOut]:
    """Where a builder marks them: on the part they go in through; what is not driven on each that it is fixed to."""
    kind, found, behind = row.fastening.kind, _set_out(row), _set_out(row, behind=True)
    if row.drives or kind in {"buttons", "clips"}:
        behind = None
    elif kind == "pins" and behind is not None and not row.body.part.is_face(row.side):
        found = None
    elif kind == "pins" and found is not None and found.part.is_face(row.side):
        behind = None
    return [each for each in (found, behind) if each is not None]


def fastener_places(row: FastenerRow, unit: str) -> str:
    """``at 1-1/4 and 4-1/4 in from front, 3/8 in from bottom``; of what is not driven with the parts' names."""
    kind, told = row.fastening.kind, told_set_outs(row)
    if row.drives:
        return "; ".join(f"at {_places(each, unit)}, {_line(each, unit)}" for each in told)
    if kind == "slides":
        return "; ".join(_slides(each, row, unit) for each in told)
    if kind == "pins":
        return "; ".join(
            f"in {each.part.name} at {_places(each, unit)}, their tops {_line(each, unit)}" for each in told
        )
    which = "" if kind in {"buttons", "clips"} else "its middle " if len(row.at) == 1 else "their middles "
    return f"{which}at {' and '.join(f'{_places(each, unit)} of {each.part.name}' for each in told)}"


def _places(found: SetOut, unit: str) -> str:
    return f"{stations_told(found.places, unit)} from {found.origin.value}"


def _line(found: SetOut, unit: str) -> str:
    return f"{_ruled(found.inside, unit)} from {found.beside.value}"


def _ruled(value: float, unit: str) -> str:
    """As exact as a rule reads: 64ths, or tenths of a millimetre."""
    told = length(value, unit)
    return to_sixteenth(value, unit) if "." in told and in_inches(unit) else told


def _slides(found: SetOut, row: FastenerRow, unit: str) -> str:
    """From where to where slides lie along a part, and how high."""
    long, name, end = row.fastening.length, found.part.name, found.origin.value
    starts = [at - float(long) / 2 for at in found.places] if long is not None else []
    if len(starts) == 1 and starts[0] > -ROUNDING:
        at = f"{_ruled(starts[0], unit)} from {end}" if starts[0] > ROUNDING else f"flush with the {end}"
        where = f"its {end} end {at} of {name}"
    else:
        where = f"the middle at {_places(found, unit)} of {name}"
    return f"{where}, its middle line {_line(found, unit)}"


def through_words(row: FastenerRow) -> str:
    """``through the left of side into shelf``; of what is not driven ``on shelf and side``."""
    if not row.drives:
        return f"between {row.body.part.name} and {row.into.part.name}"
    return f"through the {row.side.opposite.value} of {row.body.part.name} into {row.into.part.name}"


def fastener_fit(piece: Piece, found: Finding, fact: DriveFault) -> Told:
    row, unit, made, measured = fact.row, piece.plan.unit, fact.row.fastening, found.measured or 0.0
    into, part = row.into.part.name, row.body.part.name
    one = len(row.at) == 1
    name = fastener_called(made, unit, one=True) if one else fastener_name(made, unit, len(row.at))
    what = f"The {name} {through_words(row)}"
    if found.kind == "comes-out":
        if fact.most is not None and fact.screw.length <= fact.most + NIL:
            says = f"{what} come{'s' * one} out of {into} beside it: the wood ends there."
            return Told(says, [f"Set the {made.kind} out where {part} and {into} meet."])
        if measured < 0:
            says = f"{what} come{'s' * one} out of {into} by {length(-measured, unit)}."
        else:
            says = f"{what} end{'s' * one} just under the surface of {into}."
    elif found.kind == "no-reach":
        through = length(fact.screw.pocket.setback, unit)
        says = f"{what} {'does' if one else 'do'} not reach it: {part} is {through} through there."
    elif found.kind == "misses":
        low = side_of(row.along, -1)
        at = length(row.body.planes[low].depth(fact.screw.pocket.exit), unit)
        says = f"The {KINDS[made.kind].one} at {at} from {low.value} of {part} goes past {into}, where no wood is."
        return Told(says, [f"Set the {made.kind} out where {part} and {into} meet."])
    elif found.kind == "bolt-short":
        through, shortest = length(fact.through, unit), length(fact.lengths(unit)[0], unit)
        says = f"{what} {'is' if one else 'are'} too short for a nut: the wood alone is {through} through."
        inserts = "Screw them `into inserts`."
        if fact.through > LONGEST_BOLT:
            return Told(says, [inserts])
        return Told(says, alternatives([f"Use bolts {shortest} long or more, or sink the heads.", inserts]))
    elif found.kind == "edge" and fact.edge is not None:
        body, side = fact.edge
        edge = f"the {side.value} of {body.part.name}"
        leaves, least = told_apart(max(measured, 0.0), found.limit or 0.0, unit)
        if measured < 0:
            says = f"{what} stand{'s' * one} out of {edge} by {past(-measured, unit)} all along."
        else:
            says = f"{what} leave{'s' * one} {leaves} of wood to {edge}: it splits out there."
        return Told(
            says,
            [
                f"Set the {made.kind} out so that {least} or more stays beside them.",
                f"Or lay {part} and {into} so that they meet over more.",
            ],
        )
    else:
        says = f"Only {length(measured, unit)} of the {name} lies in {into}."
    return Told(says, _other_length(fact, unit))


def _other_length(fact: DriveFault, unit: str) -> list[str]:
    low, high = fact.lengths(unit)
    if high is None:
        return []
    kind = fact.row.fastening.kind
    too_long = fact.most is not None and fact.screw.length > fact.most
    if low <= high + NIL:
        both = high - low > NIL and (too_long or high - low <= MOST_CHOICE)
        more = f" to {length(high, unit)} long" if both else " long"
        more += " or longer" if high - low > MOST_CHOICE and not too_long else ""
        return [f"Use {kind} {length(low, unit)}{more}."]
    into, part = fact.row.into.part.name, fact.row.body.part.name
    ways = [f"Make {into} thicker where they go in, or sink the heads less deep in {part}."]
    if fact.row.fastening.kind != "nails":
        ways.append("Or bolt the two together, or glue them as well.")
    if fact.screw.pocket.setback + NIL < high and too_long:
        ways.insert(0, f"Use {kind} {length(high, unit)} long: longer ones come out.")
    return ways


def lone_fastener(piece: Piece, fact: LoneFastener) -> Told:
    row, unit = fact.row, piece.plan.unit
    a, b, made = row.join.part_a.name, row.join.part_b.name, row.fastening
    return Told(
        f"One {KINDS[made.kind].one} holds {a} to {b} over {length(row.width, unit)}: the joint can turn on it.",
        [
            f"Drive 2 or more: `{made.kind} 2 through {row.body.part.name}`.",
            f"Or glue the joint as well; if {a} is meant to turn there, accept it and say so.",
        ],
    )


def drive_meets(piece: Piece, found: Finding, fact: DriveMeets) -> Told:
    unit, wood = piece.plan.unit, found.measured or 0.0
    first, second = (_whose(piece, rod, unit) for rod in (fact.first, fact.second))
    said = (
        f"run into one another, by {past(-wood, unit)}"
        if wood < 0
        else f"leave only {length(wood, unit)} of wood between them"
    )
    joins = [rod.screw.pocket.join for rod in (fact.first, fact.second)]
    named = listed(list(dict.fromkeys(f"{join.part_a.name} to {join.part_b.name}" for join in joins)))
    least = fact.first.radius + fact.second.radius + (found.limit or 0.0)
    aside = length(ceil(least * 16 - NIL) / 16, unit)
    ways = [f"Set those of {named} out so that they pass: move one row by {aside} or more."]
    if fact.second.screw.length > 1:
        ways.append(f"Or use shorter {fact.second.screw.thread} there, so that they end before it.")
    return Told(f"The {first} and the {second} {said}.", ways)


def _whose(piece: Piece, rod: Rod, unit: str) -> str:
    screw = rod.screw
    pocket = screw.pocket
    joint = f"{pocket.join.part_a.name} to {pocket.join.part_b.name}"
    if pocket.row < FASTENER_ROW:
        return f"{'screw' if rod.what == 'screw' else 'bore'} of the pocket of {joint}"
    row = piece.fasteners(pocket.join)[pocket.row - FASTENER_ROW]
    origin = row.fastening.row.origin or side_of(row.along, -1)
    at = length(row.body.planes[origin].depth(pocket.exit), unit)
    return f"{KINDS[screw.thread].one} through {pocket.part.name} at {at} from {origin.value}, {joint},"

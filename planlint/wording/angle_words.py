"""The words for sides that do not look at one another: turns, cuts, feet that are not level, tapers that stand open."""

from itertools import islice

from planlint.checks.open_at_taper import OpenAtTaper
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis
from planlint.model.plan import Join
from planlint.placement.askew_sides import OffLevel, Straightened, evened, left_free, likeliest, straightened
from planlint.placement.copied_names import across_from, other_end
from planlint.placement.equations import Askew
from planlint.text.measures import bare_inches, degrees, length
from planlint.wording.finding_text import Told, alternatives

FAR_OFF = 60
"""Degrees off from which another side is meant, not another angle. Basis: our own judgement."""


def sides_named(join: Join) -> tuple[str, str]:
    return f"{join.side_a.value} of {join.part_a.name}", f"{join.side_b.value} of {join.part_b.name}"


def _cut_anew(way: Straightened) -> bool:
    """Whether an end of a part that is turned is cut for another slant than it has."""
    return way.part.turn is not None and way.cut is not None and way.part.cut_at(way.cut.end) is not None


def askew(piece: Piece, _found: Finding, fault: Askew | OffLevel | OpenAtTaper) -> Told:
    if isinstance(fault, OpenAtTaper):
        unit, from_end = piece.plan.unit, fault.taper.long_at.value
        runs, start = length(fault.past, unit), length(float(fault.taper.start), unit)
        return Told(
            f"{fault.host.name} tapers from {start} from its {from_end}, and {fault.other.name} meets its "
            f"{fault.taper.end.value} as far as {runs}: the joint stands open there by {length(fault.open, unit)}.",
            alternatives(
                [
                    f"Start the taper {runs} from {from_end}, or further.",
                    f"Make {fault.other.name} so much narrower, or move it toward the {from_end} of {fault.host.name}.",
                ]
            ),
        )
    if isinstance(fault, OffLevel):
        return Told(
            f"The {fault.end.value} end of {fault.part.name} does not stand flat on the floor: it is "
            f"{degrees(fault.angle)} off level.",
            alternatives([_straight(each) for each in fault.ways]),
        )
    join = fault.join
    a, b = sides_named(join)
    if fault.angle > 179.9:
        facing = f"{(across_from(piece.graph, join) or join.part_b).name}.{join.side_b.opposite.value}"
        meant = f"Join {join.part_a.name}.{join.side_a.value} to {facing}."
        if (end := other_end(piece.graph, join)) is not None:
            meant = f"Join {join.part_a.name}.{end.value} to {join.part_b.name}.{join.side_b.value}."
        return Told(f"The {a} and the {b} look the same way.", [meant])
    found = islice(straightened(piece.graph, fault), 4)
    ways = likeliest(piece.graph, piece.placement, found)
    slips = [each for each in ways if each.turned_back or each.long_point_moved]
    near = ways[:2] if fault.angle < FAR_OFF else filter(_cut_anew, ways)
    do = [_straight(each) for each in (slips[:2] or near)]
    even = evened(piece.graph, fault, piece.placement.askew)
    if even is not None:
        now = join.part_a.cut_at(join.side_a)
        assert now is not None
        both = "edges" if join.part_a.is_edge(join.side_a) else "ends"
        said = f"{degrees(even.angle)}, not {degrees(now.angle)}"
        if even.over:
            said = f"long at {now.long_at.opposite.value}, not at {now.long_at.value}"
        do = [f"Cut both {both} {said}, and so at every corner like it.", *do]
    for at, named, its, free in left_free(piece.graph, fault):
        do = [f"Join {at} to {free.name}.{its}, where nothing is joined, not to {named.name}.{its}.", *do]
    if not do and fault.angle < FAR_OFF:
        do = [f"Turn or cut both: together by {degrees(fault.angle)} more or less."]
    do = do or [f"Name the side of {join.part_b.name} that looks at the {a}."]
    return Told(
        f"The {a} and the {b} cannot meet flat: they are {degrees(fault.angle)} off.", alternatives(do)
    )


def _straight(way: Straightened) -> str:
    """Which part is turned or cut otherwise, and how the plan says it."""
    part, cut = way.part, way.cut
    if way.turn is not None and part.turn is not None:
        about = {Axis.X: "crosswise", Axis.Y: "deep", Axis.Z: "vertical"}[way.turn.axis]
        new, old = (f"turned {bare_inches(each.angle)}" for each in (way.turn, part.turn))
        return f"Write `{new} about {about}` for {part.name}, not `{old}`."
    assert cut is not None
    if way.also is not None:
        points = " and ".join(f"at {each.long_at.value} at its {each.end.value}" for each in (cut, way.also))
        return f"Cut both ends of {part.name} the other way: long {points}."
    now = part.cut_at(cut.end)
    words = f"{degrees(cut.angle)}, long at {cut.long_at.value}" if cut.angle else "square"
    instead = ""
    if now is not None:
        instead = f", not at {now.long_at.value}" if now.angle == cut.angle else f", not {degrees(now.angle)}"
    what = "edge" if part.is_edge(cut.end) else "end"
    return f"Cut the {cut.end.value} {what} of {part.name} {words}{instead}."

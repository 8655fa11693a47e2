"""Joints that leave no wood: tenons, dowels and splines larger than what takes them, cuts that cut a part in two."""

from collections import defaultdict
from collections.abc import Iterator, Sequence, Set
from itertools import combinations, pairwise
from typing import NamedTuple

from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.fastener_bores import DOWEL, loose_row
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.let_in import box_within, in_frame_of, let_in, opens, overlap_of
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.box_index import overlapping_pairs
from planlint.geometry.shapes.carving import boxed
from planlint.geometry.shapes.cells import cell_less
from planlint.geometry.shapes.vectors import cross, dot, unit
from planlint.language.joint_table import Form
from planlint.model.directions import Axis
from planlint.model.plan import Join, Part, Removal
from planlint.placement.joint_graph import groups_of
from planlint.rulebook.limits import NIL
from planlint.text.rounding import ROUNDING

_DEEPEST = 6.0
"""Diameters that a dowel goes into one part at the most, where the other takes less. Basis: our own judgement."""
MM = 1 / 25.4
BISCUITS = ((47 * MM, 5 / 16), (53 * MM, 3 / 8), (56 * MM, 1 / 2))
"""How long biscuits of size 0, 10 and 20 are, and how deep the slot of each is: half as deep as it is wide, and a
little more. Inches. Basis: from memory."""
BISCUIT_THICK = 5 / 32
"""Inches that the slot of a biscuit is wide. Basis: from memory."""


class Gone(NamedTuple):
    """Wood gone from a part, in its own frame: cut by the plan, or let into it by a joint."""

    box: Box
    removal: Removal | None
    join: Join | None


class NoWood(NamedTuple):
    """A part whose wood does not bear what a joint or its cuts take from it, or whose size belies a joint's measure.

    ``kind`` says what is wrong, ``amount`` is the size in question and ``most`` what the wood would bear, in inches.
    """

    kind: str
    join: Join | None
    part: Part
    amount: float
    most: float
    removal: Removal | None = None
    gone: tuple[Gone, ...] = ()
    """What cuts it in two."""


def wood_of_joints(piece: Piece, rule: Rule, miscut: Set[int]) -> Iterator[Finding]:
    """Every such fault: those of the joints in the order of the plan, then those of the parts.

    What is left of parts that are ``miscut`` (by number) is judged once their cuts fit.
    """
    beside, told = rule.limit("wood beside", piece.settings), set()
    for join in piece.plan.joins:
        if join.tradition is not None and piece.trusted(join):
            for fault in _at_joint(piece, join, beside):
                told.add(join.index)
                yield _told(rule, fault)
    for part in (part for part in piece.plan.parts if part.index not in miscut):
        for fault in _of_part(piece, part, told):
            yield _told(rule, fault)


def _told(rule: Rule, fault: NoWood) -> Finding:
    join, made = fault.join, fault.join.tradition if fault.join else None
    span = fault.removal.span if fault.removal else made.span if made else fault.part.name_span
    return rule.finding(
        fact=fault,
        kind=fault.kind,
        grade=min(rule.grade, Grade.CAUTION) if fault.kind in {"window", *BELIED} else None,
        span=span,
        joint=join.name if join is not None else None,
        parts=dict.fromkeys(
            (fault.part.name, *((part.name for part in join.parts) if join is not None else ()))
        ),
        basis="geometry" if fault.kind in BELIED else "wood beside",
    )


# ---------------------------------------------------------------- what a joint asks for


def _at_joint(piece: Piece, join: Join, beside: float) -> Iterator[NoWood]:
    made = join.tradition
    assert made is not None
    size = {name: float(value) for name, value in made.measures.items()}
    if made.joint.form in {Form.TONGUE, Form.LAP, Form.BRIDLE}:
        yield from _tongue(piece, join, size, beside)
    deep = float(join.part_b.size[join.side_b.axis])
    right_through = float(made.inset) > deep - beside / 2
    if made.joint.floored and "through" not in made.words and right_through:
        yield NoWood("no-floor", join, join.part_b, float(made.inset), deep)
    if made.kind == "mortise and tenon" and "deep" in size:
        if size["deep"] < float(made.inset) - ROUNDING:
            yield NoWood("mortise-shallow", join, join.part_b, size["deep"], float(made.inset))
        if size["deep"] > deep + ROUNDING:
            yield NoWood("slot-deep", join, join.part_b, size["deep"], deep)
    if made.joint.form is Form.LOOSE:
        yield from _insert(piece, join, size, beside)
    yield from _belied(join)


BELIED = frozenset({"not-through", "lap-deep", "lap-short", "lap-wide"})
"""The kinds of faults in which a size belies a measure: the joint can be made, but not as it is told."""


def _belied(join: Join) -> Iterator[NoWood]:
    """What a through tenon or a lap is said to measure, against the size that it is to have there."""
    made, (a, b) = join.tradition, join.parts
    assert made is not None
    reach, whole = a.size[join.side_a.axis], b.size[join.side_b.axis]
    crossed, end = made.kind == "cross lap", a.is_end(join.side_a)
    wide, across = made.measures.get("wide"), b.grain if crossed else a.across
    if made.kind == "mortise and tenon" and "through" in made.words and made.inset < whole:
        yield NoWood("not-through", join, b, float(made.inset), float(whole))
    if made.joint.form not in {Form.LAP, Form.BRIDLE}:
        return
    if crossed and made.inset > reach:
        yield NoWood("lap-deep", join, a, float(made.inset), float(reach))
    # A lap may stop short of the far edge, or stand past it; so short a one is what is cut out of each.
    if not crossed and end and made.inset < whole and made.inset <= a.thickness:
        yield NoWood("lap-short", join, b, float(made.inset), float(whole))
    if wide is not None and across is not join.side_a.axis and wide != a.size[across]:
        yield NoWood("lap-wide", join, a, float(wide), float(a.size[across]))


def _tongue(piece: Piece, join: Join, size: dict[str, float], beside: float) -> Iterator[NoWood]:
    """A tenon or tongue thicker or wider than its part, or one that leaves its mortise no cheek."""
    part, end = join.part_a, join.side_a.axis
    kind = join.tradition.kind if join.tradition else ""
    across = part.across if part.across is not end else part.grain
    if "thick" in size:
        # What is left of a part in a lap is told by the direction that the lap is cut in.
        axis = end if join.form is Form.LAP and not part.is_end(join.side_a) else part.facing.axis
        most = float(part.size[axis])
        full = join.form in {Form.LAP, Form.BRIDLE}
        if (axis is not end or full) and size["thick"] > most - (ROUNDING if full else -ROUNDING):
            yield NoWood("thick", join, part, size["thick"], most)
            return
    if "wide" in size and join.form is not Form.LAP and size["wide"] > float(part.size[across]) + ROUNDING:
        yield NoWood("wide", join, part, size["wide"], float(part.size[across]))
    if kind == "mortise and tenon" and "thick" in size and part.facing.axis is not end:
        host, axis = piece.body(join.part_b), part.facing.axis
        lies = let_in(join, piece.body(part), host)
        if lies is not None and axis is not join.part_b.grain:
            cheek = min(lies.box.low[axis], host.size[axis] - lies.box.high[axis])
            if cheek < beside - ROUNDING:
                yield NoWood("no-cheek", join, join.part_b, size["thick"], cheek)


def _insert(piece: Piece, join: Join, size: dict[str, float], beside: float) -> Iterator[NoWood]:
    """Dowels, biscuits or a spline: too thick for the joint, too long for the wood, or no room beside the screws."""
    made = join.tradition
    assert made is not None
    thin, long = _extent(piece, join)
    biscuits = made.kind == "biscuits"
    thick = size.get("thick", BISCUIT_THICK if biscuits else 0.0)
    thinner = min(join.parts, key=lambda part: part.thickness)
    if thick > thin - 2 * beside + ROUNDING:
        yield NoWood("insert-thick", join, thinner, thick, thin)
    square = not any(part.cut_at(side) for part, side in join.sides)
    depths = [float(part.size[side.axis]) for part, side in join.sides]
    # Dowels go as deep into each as is good, a spline's slots are alike.
    across = 0.0 if biscuits else size.get("wide" if made.joint.splined else "long", 0.0)
    sizes = [goes for least, goes in BISCUITS if least < size.get("long", 0.0) + NIL + MM]
    deep = size.get("deep", (sizes or [BISCUITS[0][1]])[-1] if biscuits else 0.0)
    shallow = min(join.sides, key=lambda end: end[0].size[end[1].axis])[0]
    if square:
        least = min(depths) - beside
        deepest = _DEEPEST * (thick or float(DOWEL)) if made.kind == "dowels" else 0.0
        room = least + min(max(least, deepest), max(depths) - beside)
        if across and across > room + ROUNDING:
            yield NoWood("insert-long", join, shallow, across, room)
        elif deep and deep > min(depths) - beside + ROUNDING:
            yield NoWood("slot-deep", join, shallow, deep, min(depths))
    if "deep" in size and across > 2 * size["deep"] + ROUNDING:
        yield NoWood("slot-shallow", join, shallow, across, 2 * size["deep"])
    run = size.get("long", 0.0) if made.kind != "dowels" else 0.0
    if run > long + ROUNDING:
        yield NoWood("insert-run", join, shallow, run, long)
        return
    needs = thick or float(DOWEL) if made.kind == "dowels" else run or (BISCUITS[0][0] if biscuits else 0.0)
    yield from _crowded(piece, join, float(needs), beside)
    free = _room(piece, join, beside) if needs else None
    if free is not None and free < needs - NIL:
        yield NoWood("no-place", join, join.part_a, needs, free)


def _crowded(piece: Piece, join: Join, thick: float, beside: float) -> Iterator[NoWood]:
    """Dowels that the plan sets out with too little wood between them, or to where the joint ends."""
    row = loose_row(join, *piece.meeting(join), piece.contact(join))
    if row is None or row.fastening.kind != "dowels":
        return
    edges = (-thick / 2, *row.stations, row.width + thick / 2)
    least = min(b - a for a, b in pairwise(edges)) - thick
    if least < beside - ROUNDING:
        yield NoWood("crowded", join, join.part_a, thick, least)


def _extent(piece: Piece, join: Join) -> tuple[float, float]:
    """How wide the place is where two parts meet: the lesser way and the greater, by A's face."""
    met, body = piece.contact(join), piece.body(join.part_a)
    face = body.along(join.part_a.facing.axis)
    if abs(dot(face, met.normal)) > 0.7:
        face = body.along(join.part_a.across)
    along = unit(cross(met.normal, face))
    reaches = [[dot(way, point) for point in met.points] for way in (along, cross(along, met.normal))]
    less, more = sorted(max(reach) - min(reach) for reach in reaches)
    return less, more


def _room(piece: Piece, join: Join, beside: float) -> float | None:
    """The longest stretch along a joint that its pocket screws leave free; ``None`` where there are none."""
    bit = piece.settings.profile.bit_diameter / 2 + beside
    best: float | None = None
    for number in range(len(join.pockets)):
        frame = piece.row_frame(join, number)
        taken = sorted(pocket.station for pocket in piece.pockets(join) if pocket.row == number)
        if frame is None or not taken:
            continue
        edges = [beside - bit, *taken, frame.high - beside + bit]
        free = max(b - a for a, b in pairwise(edges)) - 2 * bit
        best = free if best is None else min(best, free)
    return best


# ---------------------------------------------------------------- what is left of a part


@of_piece
def _let_into(piece: Piece) -> dict[int, list[Gone]]:
    """By part what joints let into it, of those that tell where it lies and how thick it is."""
    found: defaultdict[int, list[Gone]] = defaultdict(list)
    for each in piece.tenons:
        join, host, made = each.join, each.host, each.join.tradition
        assert made is not None
        # Wood that lies anywhere in the place that both share, and tongues of unknown thickness, cut nothing off.
        loose = made.joint.form is Form.FINGERS or (join.form is Form.LAP and join.part_a.is_end(join.side_a))
        thin = made.joint.form is Form.TONGUE and not made.joint.shelf and "thick" not in made.measures
        if loose or thin or join.part_a.turn != join.part_b.turn:
            continue
        body = piece.body(host)
        box = box_within(in_frame_of(each.box, each.body, body), body.size)
        if box is not None:
            found[host.index].append(Gone(box, None, join))
    return found


def _of_part(piece: Piece, part: Part, told: Set[int]) -> Iterator[NoWood]:
    """A part that its cuts, and what joints let into it, cut in two or open a hole in; what joints that are ``told`` of
    (by number) take is judged once they are right."""
    lets = [
        each for each in _let_into(piece).get(part.index, ()) if each.join and each.join.index not in told
    ]
    if not lets and len(part.removals) < 2:
        return
    body = piece.body(part)
    cuts = zip(body.own_removals, part.removals, strict=True)
    gone = [*(Gone(box, each, None) for cell, each in cuts for box in boxed(cell)), *lets]
    if _cut_apart(body, gone):
        few = _to_blame(body, gone)
        # Two that are let into the same wood run into one another: that is told of them.
        if not any(overlap_of(a.box, b.box) for a, b in combinations(few, 2) if a.join and b.join):
            join = next((each.join for each in few if each.join is not None), None)
            yield NoWood("severed", join, part, 0.0, 0.0, few[-1].removal, few)
        return
    for let in lets:
        join = let.join
        assert join is not None and join.made is not None
        if not join.made.floored or part is not join.part_b:
            continue
        axis, sign = join.side_b.axis, join.side_b.sign
        for other in gone:
            if not opens(other.box, body, axis, -sign) or other.join is join:
                continue
            left = (
                let.box.low[axis] - other.box.high[axis]
                if sign > 0
                else other.box.low[axis] - let.box.high[axis]
            )
            shared = let.box.shared(other.box)
            wide, high = (shared[i] for i in Axis if i is not axis)
            if left < SLIVER and min(wide, high) > HOLE:
                yield NoWood("window", join, part, wide, high, other.removal)
                break


def _to_blame(body: Body, gone: Sequence[Gone]) -> tuple[Gone, ...]:
    """The fewest that cut a part in two by themselves."""
    few = (some for count in (1, 2) for some in combinations(gone, count) if _cut_apart(body, some))
    return next(few, tuple(gone))


def _cut_apart(body: Body, gone: Sequence[Gone]) -> bool:
    """Whether what is gone leaves a part in several pieces, slivers left out."""
    cells = [Box((0.0, 0.0, 0.0), body.size)]
    for each in gone:
        low, high = each.box
        wider = Box(
            (low[0] - SLIVER, low[1] - SLIVER, low[2] - SLIVER),
            (high[0] + SLIVER, high[1] + SLIVER, high[2] + SLIVER),
        )
        cells = [left for cell in cells for left in cell_less(cell, wider)]
    # Cells that share an edge alone hold nothing together.
    ties = [(i, j) for i, j in overlapping_pairs(cells, -NIL) if _face_shared(cells[i], cells[j])]
    pieces = groups_of(range(len(cells)), ties)
    return sum(sum(cells[cell].volume for cell in each) > SCRAP for each in pieces) > 1


def _face_shared(one: Box, other: Box) -> bool:
    shared = sorted(one.shared(other))
    return shared[0] > -NIL and shared[1] > NIL


SLIVER = 1 / 64
"""Inches of wood beside a cut that count as none. Basis: our own judgement."""
SCRAP = 0.05
"""Cubic inches below which what a cut leaves is waste, no part. Basis: our own judgement."""
HOLE = 1 / 16
"""Inches that a hole is wide at the least to be told. Basis: our own judgement."""

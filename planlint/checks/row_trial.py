"""A row of pockets drilled elsewhere than the plan says: whether it would show, and whether it could be driven."""

from collections.abc import Callable, Iterable, Mapping, Sequence

from planlint.checks.row_view import Row
from planlint.geometry.drilling.allowed_places import spread
from planlint.geometry.drilling.bore_clearance import clearance
from planlint.geometry.drilling.driver_reach import cells_in_the_way, corridor, in_the_way
from planlint.geometry.drilling.pocket_layout import pocket_at, row_frame
from planlint.geometry.joint_facts import Pocket, Screw, Vector
from planlint.geometry.shapes.vectors import plus
from planlint.model.plan import Join, Part
from planlint.rulebook.limits import NIL
from planlint.workplan.build_order import stuck_sets
from planlint.workplan.set_ups import Ways, let_out, once, set_ups

MOST_ORDERED = 400
"""In a plan of more joints or parts than this no order of work is searched for a row moved elsewhere: it then counts as
driven only where nothing at all stands in its way. Basis: our own judgement."""


def behind(row: Row) -> tuple[Pocket, ...]:
    """The same pockets drilled in the face behind; none where that face cannot be drilled toward the joint."""
    piece, face = row.piece, row.asked.face.opposite
    body, into = piece.body(row.part), piece.body(row.into)
    frame = row_frame(body, row.side, face, piece.contact(row.join), piece.settings.profile)
    if frame is None:
        return ()
    return tuple(
        pocket_at(frame, pocket.station, row.join, row.number, body, into, row.side)._replace(face=face)
        for pocket in row.pockets
    )


def keeps_wood(row: Row, pockets: Sequence[Pocket]) -> bool:
    """Whether pockets as ``behind`` gives them leave enough wood round their bores."""
    if not pockets:
        return False
    piece, body = row.piece, row.piece.body(row.part)
    frame = row_frame(body, row.side, pockets[0].face, piece.contact(row.join), piece.settings.profile)
    return frame is not None and all(
        clearance(pocket, frame, body, piece.settings, exact=False).least.spare >= -NIL for pocket in pockets
    )


def shifted(screw: Screw, way: Vector, by: float) -> Screw:
    """A screw and its pocket moved ``by`` inches along a direction."""
    pocket = screw.pocket
    at = pocket._replace(
        exit=plus(pocket.exit, way, by),
        shoulder=plus(pocket.shoulder, way, by),
        mouth=plus(pocket.mouth, way, by),
        tail=plus(pocket.tail, way, by),
    )
    return screw._replace(pocket=at, tip=plus(screw.tip, way, by))


def set_out_freely(row: Row, free: Callable[[float], bool]) -> list[float] | None:
    """The row with each pocket moved as little as is needed for its station to be ``free``, on the marks of a rule.

    ``None`` where so many do not fit.
    """
    apart = row.piece.settings.bore_spacing
    found = spread([pocket.station for pocket in row.pockets], row.width, apart, free)
    return None if found is None else row.marked(found, free, apart)


def shows(row: Row, pockets: Iterable[Pocket]) -> bool:
    """Whether anyone would see one of these pockets of a row, plugged or not."""
    return bool(row.piece.plan.seen_from) and any(map(row.piece.in_sight, pockets))


def would_show(row: Row, pockets: Sequence[Pocket]) -> bool:
    """Whether pockets moved elsewhere would be holes in sight: a row that is plugged is plugged there too."""
    return not row.asked.plugged and shows(row, pockets)


def has_room(row: Row, pockets: Iterable[Pocket], others: Sequence[Part]) -> bool:
    """Whether a driver for these pockets passes the receiving part and ``others``."""
    piece = row.piece
    bodies = [piece.body(part) for part in (row.into, *others)]
    ways = [corridor(pocket, piece.settings.profile) for pocket in pockets]
    return not any(in_the_way(way, body) for way in ways for body in bodies)


def shut_throughout(row: Row, ends: Sequence[Pocket], others: Sequence[Part]) -> bool:
    """Whether the same wood stands in the driver's way at both ends of a row, and so everywhere between them."""
    piece = row.piece
    one, other = (corridor(pocket, piece.settings.profile) for pocket in ends)
    bodies = (piece.body(part) for part in (row.into, *others))
    return any(
        not set(cells_in_the_way(one, body)).isdisjoint(cells_in_the_way(other, body)) for body in bodies
    )


def can_be_driven(
    row: Row, pockets: Sequence[Pocket], moved: Mapping[int, frozenset[int]]
) -> frozenset[int] | None:
    """What is in the way of the joint's screws with these pockets in place of the row's own; ``None`` if no order of
    work drives them.

    ``moved`` tells the same of other joints, by their index, whose pockets are to be moved as well.
    """
    piece, join = row.piece, row.join
    if not has_room(row, pockets, ()):
        return None
    kept = [pocket for pocket in piece.pockets(join) if pocket.row != row.number]
    here = piece.in_the_way_of(kept) | piece.in_the_way_of(pockets) | moved.get(join.index, frozenset())
    reach, usual = set_ups(piece), piece.settings.profile.set_ups[:1]
    outs = let_out(piece, join, (*kept, *pockets), usual)
    if not here and not outs:
        return here
    joins = piece.plan.joins
    if max(len(joins), len(piece.plan.parts)) > MOST_ORDERED:
        return None

    def access(each: Join) -> Ways:
        if each is join:
            return (*once(here), *outs)
        return once(moved[each.index]) if each.index in moved else reach.straight(each)

    ends = set(join.parts)
    stuck = any(ends.issubset(each.parts) for each in stuck_sets(piece.plan.parts, joins, access))
    return None if stuck else here

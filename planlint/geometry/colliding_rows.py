"""Rows that the tool lays out and that run into others: the later of two gives way, along its joint.

Where the plan gives the places of both, nothing is moved, and the checks tell what meets.
"""

from collections.abc import Sequence

from planlint.geometry.drilling.allowed_places import keeps_spacing
from planlint.geometry.drilling.fastener_places import FASTENER_ROW
from planlint.geometry.drilling.row_obstacles import laid_on, out_of_sight
from planlint.geometry.drilling.screw_clashes import Meeting, bounds, clear
from planlint.geometry.joint_facts import Pocket, Screw
from planlint.geometry.piece import Piece
from planlint.rulebook.limits import NIL

_MOST_ROUNDS = 6
"""Times that rows give way, each to what the others left. Basis: our own judgement."""

_Row = tuple[int, int]
"""The numbers of a joint and of its row."""


def given_way(piece: Piece) -> Piece:
    """The piece with rows that the tool lays out moved off one another; itself where none meet."""
    stuck: set[_Row] = set()
    for _ in range(_MOST_ROUNDS):
        later = _later(piece, piece.clashes, stuck)
        if not later:
            break
        moved: dict[_Row, tuple[float, ...]] = {}
        for row in later:
            elsewhere = _drives(piece, row) if row[1] >= FASTENER_ROW else _pockets(piece, row)
            if elsewhere is None:
                stuck.add(row)
            else:
                moved[row] = elsewhere
        if moved:
            piece = piece.with_rows({**piece.moved, **moved})
    return piece


def _later(piece: Piece, clashes: Sequence[Meeting], stuck: set[_Row]) -> list[_Row]:
    """Of each two rows that meet, the one that gives way; none whose partner gives way as well."""
    found: dict[_Row, None] = {}
    pairs = {
        tuple(sorted((_row(each.first.screw), _row(each.second.screw)), key=lambda row: _rank(piece, row)))
        for each in clashes
    }
    for first, second in sorted(pairs, key=lambda pair: [_rank(piece, row) for row in pair]):
        if first in found or second in found:
            continue
        for row in (second, first):
            if row not in stuck and _loose(piece, row):
                found[row] = None
                break
    return list(found)


def _row(screw: Screw) -> _Row:
    return screw.pocket.join.index, screw.pocket.row


def _rank(piece: Piece, row: _Row) -> tuple[float, ...]:
    """Which of two keeps its place: pockets before what is driven through a face, what goes up or down, then what goes
    left or right; of equals the lowest, leftmost, foremost. Neither names nor the order of statements count."""
    met = piece.contact(piece.plan.joins[row[0]])
    x, _, z = (round(abs(share), 3) for share in met.normal)
    low = [round(min((point[axis] for point in met.points), default=0.0), 3) for axis in (2, 0, 1)]
    return (row[1] >= FASTENER_ROW, -z, -x, *low, row[1])


def _loose(piece: Piece, row: _Row) -> bool:
    """Whether the tool lays it out."""
    join, number = piece.plan.joins[row[0]], row[1]
    asked = join.pockets[number] if number < FASTENER_ROW else join.fastenings[number - FASTENER_ROW].row
    return not asked.fixed and piece.trusted(join)


def _drives(piece: Piece, row: _Row) -> tuple[float, ...] | None:
    join, radius = piece.plan.joins[row[0]], piece.settings.profile.bit_diameter / 2
    least = piece.limits["screws-meet", "wood between screws"]
    fixed = piece.placement.fixed_together

    def passes(screw: Screw) -> bool:
        return all(
            clear(screw, other, radius, least - NIL)
            for other in piece.all_screws.near(bounds(screw, radius + least))
            if _row(other) != row and fixed(other.pocket.part, screw.pocket.part)
        )

    now = piece.fasteners(join)[row[1] - FASTENER_ROW]
    found = piece.fastened(join, passes)[row[1] - FASTENER_ROW]
    return found.stations if found.stations != now.stations and all(map(passes, found.drives)) else None


def _pockets(piece: Piece, row: _Row) -> tuple[float, ...] | None:
    join, limits = piece.plan.joins[row[0]], piece.limits
    ground, asked = piece.ground(join, row[1]), join.pockets[row[1]]
    if ground is None:
        return None
    now = [pocket for pocket in piece.pockets(join) if pocket.row == row[1]]
    first = [pocket.station for pocket in now]
    found = laid_on(ground, asked, first)
    if piece.plan.seen_from and not asked.plugged and not any(map(piece.in_sight, now)):

        def look(pockets: Sequence[Pocket]) -> frozenset[int]:
            return frozenset(number for number, pocket in enumerate(pockets) if piece.in_sight(pocket))

        pockets = [ground.pocket(station) for station in found]
        if look(pockets):
            pockets = out_of_sight(ground, asked, pockets, look)
            if look(pockets):
                return None
            found = [pocket.station for pocket in pockets]
    width = ground.frame.high
    if not all(map(ground.free, found)) or len(found) < len(first):
        return None
    return (
        tuple(found)
        if keeps_spacing(found, width, limits) or not keeps_spacing(first, width, limits)
        else None
    )

"""Drivers that cannot reach a screw, and pieces that no order of work puts together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from planlint.checks.rows import Row, listed, rows
from planlint.findings.finding import Finding
from planlint.findings.rulebook import Rule
from planlint.geometry.build_order import Assembly, build_order, least_stuck
from planlint.geometry.piece import Piece
from planlint.geometry.pockets import pocket_at, row_frame
from planlint.geometry.reach import corridor, in_the_way
from planlint.geometry.stretches import BETWEEN_BORES, spread
from planlint.model.plan import Join, Part
from planlint.text.measures import length

MOST_NAMED = 4
"""Joints of a knot that one finding tells one by one. Basis: our own judgement."""


def no_room_to_drive(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The part that a screw goes into stands itself where the driver for it must stand."""
    for row in rows(piece):
        shut = [pocket for pocket in row.pockets if piece.into_in_the_way(pocket)]
        if not shut:
            continue
        at = row.setting_out(pocket.station for pocket in shut)
        yield rule.finding(
            span=row.asked.span,
            joint=row.join.name,
            parts=row.names,
            says=(
                f"No driver reaches the screw{'' if len(shut) == 1 else 's'} {at}, in the {row.asked.face.value} of "
                f"{row.part.name}: {row.into.name} stands in the way of its own screw."
            ),
            repairs=_from_elsewhere(piece, row, ()),
        )


def no_build_order(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A set of parts in which every way to take the last joint apart is blocked by a part of the set."""
    for whole in piece.assemblies:
        for stuck in whole.stuck_sets():
            by_place = sorted(
                stuck.parts, key=lambda part: tuple(round(x, 4) for x in piece.body(part).middle[::-1])
            )
            knot = least_stuck(replace(stuck, parts=tuple(by_place)), piece.plan.joins, piece.blocking)
            yield _no_order(piece, rule, knot)


def _no_order(piece: Piece, rule: Rule, knot: Assembly) -> Finding:
    within = {part.index for part in knot.parts}
    joins = sorted(knot.joins, key=lambda join: _place(piece, join))
    told = [_blocked(piece, join, within) for join in joins[:MOST_NAMED]]
    more = f"; and {len(joins) - MOST_NAMED} more joints likewise" if len(joins) > MOST_NAMED else ""
    row = _way_out(piece, knot, joins)
    return rule.finding(
        span=row.asked.span,
        joint=row.join.name,
        parts=[part.name for part in knot.parts],
        says=(
            f"No order of work puts {listed([part.name for part in knot.parts])} together: "
            f"{'; '.join(told)}{more}. Whichever joint comes last, its screws are out of reach."
        ),
        repairs=_from_elsewhere(piece, row, [part for part in knot.parts if part not in row.join.parts]),
    )


def _way_out(piece: Piece, knot: Assembly, joins: Sequence[Join]) -> Row:
    """The row whose joint, made in another way, undoes the knot; one whose pockets can be moved, if any."""
    first: dict[str, Row] = {}
    for row in rows(piece):
        first.setdefault(row.join.name, row)

    def undoes(free: Join) -> bool:
        within = [join for join in piece.plan.joins if all(part in knot.parts for part in join.parts)]
        trees = build_order(
            knot.parts, within, lambda join: frozenset() if join is free else piece.blocking(join)
        )
        return not any(tree.stuck_sets() for tree in trees)

    undoing = [first[join.name] for join in joins if undoes(join)] or [first[joins[0].name]]
    for row in undoing:
        others = [part for part in knot.parts if part not in row.join.parts]
        if _places_with_room(piece, row, others) is not None or _room_behind(piece, row, others):
            return row
    return undoing[0]


def _place(piece: Piece, join: Join) -> tuple[float, ...]:
    """Where a joint lies: an order that neither names nor the order of statements change."""
    x, y, z = piece.pockets(join)[0].exit
    return round(z, 4), round(x, 4), round(y, 4)


def _blocked(piece: Piece, join: Join, within: set[int]) -> str:
    names = [piece.plan.parts[i].name for i in sorted(piece.blocking(join)) if i in within]
    stand = "stands" if len(names) == 1 else "stand"
    return f"{listed(names)} {stand} in the driver's way at {join.part_a.name} to {join.part_b.name}"


def _from_elsewhere(piece: Piece, row: Row, others: Sequence[Part]) -> list[str]:
    """Other places along the joint, or the other face, where a driver has room; else a shorter driver, or no screws."""
    repairs = []
    places = _places_with_room(piece, row, others)
    if places is not None:
        repairs.append(
            f"Set the pockets of {row.joint} out at {row.setting_out(places)}: there the driver has room."
        )
    if _room_behind(piece, row, others):
        start = "Or drill" if repairs else "Drill"
        repairs.append(
            f"{start} the pockets of {row.joint} in the {row.asked.face.opposite.value} of {row.part.name}: there is "
            "room."
        )
    profile = piece.settings.profile
    needed = length(profile.driver_length + profile.drill_length, piece.plan.unit)
    repairs.append(
        f"{'Or make' if repairs else 'Make'} {row.joint} with glue, dowels or a tenon instead of pocket screws; or "
        "drive it by hand or by a right-angle drive, and give its length in the settings (bit and drill are taken as "
        f"{needed} long)."
    )
    return repairs


def _places_with_room(piece: Piece, row: Row, others: Sequence[Part]) -> list[float] | None:
    """The row moved as little as is needed for a driver to pass the receiving part and ``others``."""
    ground = piece.ground(row.join, row.number)
    if ground is None:
        return None
    profile = piece.settings.profile
    bodies = [piece.body(part) for part in (row.into, *others)]

    def room(station: float) -> bool:
        way = corridor(ground.pocket(station), profile)
        return ground.free(station) and not any(in_the_way(way, body) for body in bodies)

    wanted = [pocket.station for pocket in row.pockets]
    return spread(wanted, row.width, BETWEEN_BORES + profile.bit_diameter, room)


def _room_behind(piece: Piece, row: Row, others: Sequence[Part]) -> bool:
    body, into, behind = piece.body(row.part), piece.body(row.into), row.asked.face.opposite
    frame = row_frame(body, row.side, behind, piece.contact(row.join), piece.settings.profile)
    if frame is None:
        return False
    ways = [
        corridor(
            pocket_at(frame, pocket.station, row.join, row.number, body, into, row.side),
            piece.settings.profile,
        )
        for pocket in row.pockets
    ]
    return not any(in_the_way(way, piece.body(part)) for way in ways for part in (row.into, *others))

"""Whether what runs on slides, or is made up whole and only lies there, comes out of the piece once that stands: else
a drawer cannot be opened, or is built in for good."""

from collections.abc import Iterator
from typing import NamedTuple

from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.model.directions import SIDES, Axis, Side
from planlint.model.plan import Join, Part
from planlint.workplan.blocking_graph import motions
from planlint.workplan.natural_units import bounds_of, volumes
from planlint.workplan.swept_wood import Sweep, reach_of, share_wood
from planlint.workplan.way_in import held_together

_BOX = 4
"""Parts of a box, at least, that only lies somewhere. Basis: geometry, of boards that are flat."""


class BuiltIn(NamedTuple):
    """What has no way out of the piece, at the joint by which it runs or lies there; ``shut_by`` are the parts in its
    way towards a side, each with how many inches it stands in it."""

    join: Join
    parts: tuple[Part, ...]
    side: Side
    shut_by: tuple[tuple[Part, float], ...]
    runs: bool
    """Whether it runs on slides."""


def built_in(piece: Piece) -> Iterator[BuiltIn]:
    """Drawers that cannot be opened towards where people stand, and boxes that no way leads out of, by their first
    parts."""
    joins = [join for join in piece.plan.joins if piece.trusted(join)]
    free = [join for join in joins if join.rests or join.hangs]
    if not free:
        return
    firm = [join for join in joins if not join.rests and not join.hangs]
    sets = held_together(range(len(piece.plan.parts)), firm)
    home = {i: each for each in sets for i in each}
    wood, seen = volumes(piece), piece.plan.seen_from
    for group in sets:
        ties = [join for join in free if sum(part.index in group for part in join.parts) == 1]
        others = frozenset[int]().union(*(home[part.index] for join in ties for part in join.parts)) - group
        if not ties or sum(wood[i] for i in group) >= sum(wood[i] for i in others):
            continue
        runs = next((join for join in ties if join.slides), None)
        facing = {piece.plan.parts[i].facing.axis for i in group}
        if runs is not None:
            across = piece.contact(runs).normal
            along = [side for side in SIDES if side.axis is not Axis.Z and abs(across[side.axis]) < 0.5]
            sides = [side for side in along if side in seen] or along
        elif len(group) >= _BOX and len(facing) > 1 and all(join.rests for join in ties):
            sides = list(SIDES)
        else:
            continue
        shut = {side: _shut_by(piece, group, others, side, opens=runs is not None) for side in sides}
        if sides and all(shut.values()):
            side = min(sides, key=lambda side: (side not in seen, side is not Side.FRONT, len(shut[side])))
            parts = tuple(piece.plan.parts[i] for i in sorted(group))
            yield BuiltIn(runs or ties[0], parts, side, shut[side], runs is not None)


def _shut_by(
    piece: Piece, group: frozenset[int], others: frozenset[int], side: Side, *, opens: bool
) -> tuple[tuple[Part, float], ...]:
    """The parts that a group runs into towards a side; a drawer ``opens`` by its own length."""
    way = tuple(float(side.sign) if axis is side.axis else 0.0 for axis in Axis)
    whole, wood = bounds_of(piece, group), motions(piece).wood
    far = whole.high[side.axis] - whole.low[side.axis] if opens else reach_of(piece.bounds)
    sweeps = [(i, Sweep(wood[i], (way[0], way[1], way[2]), far)) for i in sorted(group)]
    found: list[tuple[Part, float]] = []
    for j in sorted(others):
        hits = [i for i, sweep in sweeps if sweep.runs_into(wood[j]) and not share_wood(wood[i], wood[j])]
        if hits:
            by = max(_by(piece.bodies[i].bounds, piece.bodies[j].bounds, side) for i in hits)
            found.append((piece.plan.parts[j], by))
    return tuple(found)


def _by(moved: Box, still: Box, side: Side) -> float:
    """How many inches two boxes would have to be shifted across a way to pass one another."""
    return min(by for axis, by in zip(Axis, moved.shared(still), strict=True) if axis is not side.axis)

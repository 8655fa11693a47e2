"""Parts and rows of pockets of a unit that is placed as its mirror image."""

from __future__ import annotations

from dataclasses import replace

from planlint.model.directions import SIDE_BY_WORD, Axis, Flips, Side, flipped, side_of
from planlint.model.plan import Part, PocketRow, Removal, Size, Turn


def mirrored_part(part: Part, flips: Flips) -> Part:
    """The mirror image of a part: what looked left looks right; a turn about another axis runs the other way."""
    size = part.size
    turn = part.turn
    if turn is not None:
        against = len(flips) + (turn.axis in flips)
        turn = Turn(-turn.angle if against % 2 else turn.angle, turn.axis)
    finish = part.finish
    if finish is not None and finish.endswith(" only"):
        look = SIDE_BY_WORD.get(finish.removesuffix(" only"))
        finish = finish if look is None else f"{flipped(look, flips).value} only"
    up_down = {"up": "down", "down": "up"} if Axis.Z in flips and part.facing.axis is Axis.Z else {}
    return replace(
        part,
        facing=flipped(part.facing, flips),
        turn=turn,
        cuts=tuple(
            [
                replace(cut, end=flipped(cut.end, flips), long_at=flipped(cut.long_at, flips))
                for cut in part.cuts
            ]
        ),
        removals=tuple([_mirrored_removal(removal, size, flips) for removal in part.removals]),
        finish=finish,
        rings=up_down.get(part.rings or "", part.rings),
        covered=frozenset(flipped(side, flips) for side in part.covered),
        taped=frozenset(flipped(side, flips) for side in part.taped),
    )


def _mirrored_removal(removal: Removal, size: Size, flips: Flips) -> Removal:
    low, high = list(removal.low), list(removal.high)
    for axis in flips:
        low[axis], high[axis] = size[axis] - high[axis], size[axis] - low[axis]
    return replace(removal, low=(low[0], low[1], low[2]), high=(high[0], high[1], high[2]))


def mirrored_row(row: PocketRow, meeting: Side, flips: Flips) -> PocketRow:
    """The same row in the mirror image of its join, where ``meeting`` is the drilled part's joined side."""
    along = Axis(3 - row.face.axis - meeting.axis)
    origin = row.origin
    if origin is None and row.first is not None and along in flips:
        origin = side_of(along, -1)  # Where a row starts that does not say so.
    return replace(
        row, face=flipped(row.face, flips), origin=None if origin is None else flipped(origin, flips)
    )

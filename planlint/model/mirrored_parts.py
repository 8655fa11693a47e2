"""Parts and rows of pockets of a unit that is placed as its mirror image."""

from dataclasses import replace

from planlint.model.directions import Axis, Flips, Side, flipped, side_of
from planlint.model.join_details import PocketRow
from planlint.model.plan import EndCut, HalfSpace, Part, Removal, Size, Trim, Turn


def mirrored_part(part: Part, flips: Flips) -> Part:
    """The mirror image of a part: what looked left looks right; a turn about another axis runs the other way."""
    size = part.size
    turn = part.turn
    if turn is not None:
        against = len(flips) + (turn.axis in flips)
        turn = Turn(-turn.angle if against % 2 else turn.angle, turn.axis)
    up_down = {"up": "down", "down": "up"} if Axis.Z in flips and part.facing.axis is Axis.Z else {}
    return replace(
        part,
        facing=flipped(part.facing, flips),
        turn=turn,
        cuts=tuple([_mirrored_cut(cut, flips) for cut in part.cuts]),
        removals=tuple([_mirrored_removal(removal, size, flips) for removal in part.removals]),
        trims=tuple([_mirrored_trim(trim, size, flips) for trim in part.trims]),
        finished=frozenset(flipped(side, flips) for side in part.finished),
        rings=up_down.get(part.rings or "", part.rings),
        covered=frozenset(flipped(side, flips) for side in part.covered),
        taped=frozenset(flipped(side, flips) for side in part.taped),
    )


def _mirrored_removal(removal: Removal, size: Size, flips: Flips) -> Removal:
    low, high = list(removal.low), list(removal.high)
    for axis in flips:
        low[axis], high[axis] = size[axis] - high[axis], size[axis] - low[axis]
    return replace(
        removal,
        low=(low[0], low[1], low[2]),
        high=(high[0], high[1], high[2]),
        planes=_mirrored_planes(removal.planes, size, flips),
        points=_mirrored_points(removal.points, size, flips),
    )


def _mirrored_planes(planes: tuple[HalfSpace, ...], size: Size, flips: Flips) -> tuple[HalfSpace, ...]:
    found = []
    for normal, offset in planes:
        turned = [-n if axis in flips else n for axis, n in zip(Axis, normal, strict=True)]
        moved = offset - sum(normal[axis] * float(size[axis]) for axis in flips)
        found.append(HalfSpace((turned[0], turned[1], turned[2]), moved))
    return tuple(found)


def _mirrored_points(points: tuple[Size, ...], size: Size, flips: Flips) -> tuple[Size, ...]:
    found = []
    for point in points:
        x, y, z = (at if axis not in flips else size[axis] - at for axis, at in zip(Axis, point, strict=True))
        found.append((x, y, z))
    return tuple(found)


def _mirrored_trim(trim: Trim, size: Size, flips: Flips) -> Trim:
    return replace(
        trim,
        sides=tuple(flipped(side, flips) for side in trim.sides),
        planes=_mirrored_planes(trim.planes, size, flips),
        at=None if trim.at is None else flipped(trim.at, flips),
        points=_mirrored_points(trim.points, size, flips),
        slants=tuple(_mirrored_cut(cut, flips) for cut in trim.slants),
    )


def _mirrored_cut(cut: EndCut, flips: Flips) -> EndCut:
    return replace(cut, end=flipped(cut.end, flips), long_at=flipped(cut.long_at, flips))


def mirrored_row(row: PocketRow, meeting: Side, flips: Flips) -> PocketRow:
    """The same row in the mirror image of its join, where ``meeting`` is the drilled part's joined side."""
    along = Axis(3 - row.face.axis - meeting.axis)
    origin = row.origin
    if origin is None and row.first is not None and along in flips:
        origin = side_of(along, -1)  # Where a row starts that does not say so.
    return replace(
        row, face=flipped(row.face, flips), origin=None if origin is None else flipped(origin, flips)
    )

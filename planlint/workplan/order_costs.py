"""What a builder would rather do later, and rather not do at all: every cost of an order of work, in one place.

All of it is common practice or our own judgement. Found backwards: of what can be taken off, what ranks highest is
taken off first, and so put on last.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from planlint.geometry.facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.joint_kinds import rests
from planlint.geometry.shapes.vectors import dot
from planlint.model.directions import SIDES, Axis, Side
from planlint.model.plan import Join, Part
from planlint.workplan.natural_units import SMALL, Natural, bounds_of

LOOSE, LID, FRAME_ON, SLIDES_IN, CLOSES, BETWEEN, FIRST = 6, 5, 4, 3, 2, 1, 0
"""From last to first: what only rests; tops, bases and backs, laid on at one face; frames and doors laid on; thin
panels slid into grooves, where those do not close round them; sides and frames that take the ends of others and so
close them in; rails, shelves and dividers between; the last of those that take ends: the others are built up on it."""
SKIN = 3 / 8
"""A panel no thicker than this, in inches, is slid into its grooves."""

TURNING = 2.0
"""Turning the piece to lie on another side."""
FROM_THE_SIDE, SET_ON, FROM_BELOW = 1.0, 1.5, 6.0
"""Bringing a part in level, setting the work on a part that lies there, or bringing one in from below, and not from
above."""
AWKWARD, OUT_OF_REACH = 1.0, 4.0
"""Driving screws from the side, or from underneath, and not from above."""
TIPPY = 3.0
"""A piece more than twice as high as it is deep or wide, while it is worked on."""
NOT_AS_IT_STANDS = 0.5
"""Lying otherwise than it will stand, if nothing else decides."""


def rank(group: Collection[int], ties: Sequence[Join], natural: Natural | None) -> int:
    """When a group that is tied to others by some joins comes, later for a higher number."""
    if all(map(rests, ties)):
        return LOOSE
    own = [
        (join.part_a, join.side_a, join.part_b, join.side_b)
        if join.part_a.index in group
        else (join.part_b, join.side_b, join.part_a, join.side_a)
        for join in ties
    ]
    one_side = len({side for _, side, _, _ in own}) == 1
    faces = all(part.is_face(side) for part, side, _, _ in own)
    if one_side and faces:
        (axis,) = {side.axis for _, side, _, _ in own}
        ends = sum(other.is_end(theirs) for _, _, other, theirs in own)
        if axis is Axis.Z or not ends:
            return LID
        if natural is not None and natural.kind == "frame":
            return FRAME_ON
    if one_side and natural is not None and natural.kind == "frame" and not _takes_ends(own):
        return FRAME_ON
    if all(join.tradition is not None and join.tradition.kind in _CHANNELS for join in ties) and all(
        part.thickness <= SKIN for part, _, _, _ in own
    ):
        return SLIDES_IN
    return CLOSES if _takes_ends(own) and not _band(own) else BETWEEN


def _band(own: Sequence[tuple[Part, Side, Part, Side]]) -> bool:
    """Whether all that takes ends is a strip with little wood beside what ends at it: a band round a panel."""

    def wood(part: Part) -> float:
        return float(part.length * part.width * part.thickness)

    return all(wood(part) <= SMALL * wood(other) for part, _, other, _ in own)


_CHANNELS = frozenset({"dado", "tongue and groove", "rabbet"})


def _takes_ends(own: Sequence[tuple[Part, Side, Part, Side]]) -> bool:
    """Whether most joints are ends of others against this one's sides."""
    taken = sum(other.is_end(theirs) and not part.is_end(side) for part, side, other, theirs in own)
    return 2 * taken > len(own)


def last(
    piece: Piece, group: Collection[int], ties: Sequence[Join], ranked: int, loose_ends: int, frees: bool
) -> tuple[float, ...]:
    """The higher, the later a group is put on: what leaves the rest in one, then by rank, then what is in the way of
    others' screws, the less wood it has, then what has most joints, then what
    lies aslant, to the right, behind or above."""
    wood = sum(part.length * part.width * part.thickness for part in (piece.plan.parts[i] for i in group))
    low, high = bounds_of(piece, group)
    x, y, z = (round(low[i] + high[i], 2) for i in range(3))
    aslant = float(any(piece.plan.parts[i].turn is not None for i in group))
    place = (x, y, z) if ranked == CLOSES else (aslant, z, y, x)
    return (
        ranked == LOOSE,
        -loose_ends,
        ranked,
        frees,
        len(ties) if ranked == CLOSES else -float(wood) if frees else 0,
        *place,
    )


def _carries(piece: Piece, added: Collection[int], parts: Collection[int], down: Side) -> bool:
    """Whether what is added is wide enough for the rest to be set on it."""
    areas = []
    for each in (added, parts):
        low, high = bounds_of(piece, each)
        u, v = (high[i] - low[i] for i in range(3) if i != down.axis)
        areas.append(u * v)
    return areas[0] >= areas[1] / 2


def pose_costs(
    piece: Piece,
    parts: Collection[int],
    added: Collection[int],
    comes: Vector | None,
    drives: Sequence[tuple[Vector, Vector]],
    before: Side | None,
) -> dict[Side, float]:
    """What it costs to work with each side of a piece down.

    ``comes`` is the way in which ``added`` is brought in, ``drives`` are for each row of screws the way from which the
    driver comes and the way in which its pockets look; all unit vectors. ``before`` is the side that was down.
    """
    low, high = bounds_of(piece, parts)
    size = [high[i] - low[i] for i in range(3)]
    costs: dict[Side, float] = {}
    for down in SIDES:
        up: Vector = tuple(-float(down.sign) if i == down.axis else 0.0 for i in range(3))  # type: ignore[assignment]
        cost = TURNING if before is not None and down is not before else 0.0
        cost += 0.0 if down is Side.BOTTOM else NOT_AS_IT_STANDS
        if comes is not None:
            share = dot(comes, up)
            beneath = SET_ON if _carries(piece, added, parts, down) else FROM_BELOW
            cost += 0.0 if share < -0.7 else FROM_THE_SIDE if share < 0.3 else beneath
        worst = 0.0
        for driver, mouth in drives:
            if dot(mouth, up) > 0.7 or dot(driver, up) > 0.5:
                continue
            below = dot(mouth, up) < -0.7 or dot(driver, up) < -0.5
            worst = max(worst, OUT_OF_REACH if below else AWKWARD)
        cost += worst
        across = [size[i] for i in range(3) if i != down.axis]
        cost += TIPPY if size[down.axis] > 2 * min(across) else 0.0
        costs[down] = cost
    return costs

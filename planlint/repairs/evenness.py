"""How much of a piece is as most of it is: in line, in even steps, on the side that its name tells, and of use."""

from collections import Counter
from collections.abc import Iterator
from itertools import combinations, pairwise

from planlint.checks.unlike_sides import SEEN
from planlint.geometry.let_in import cut_box, overlap_of
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.model.directions import SIDES, Axis, Side
from planlint.model.plan import Part
from planlint.model.wood_cuts import Removal
from planlint.rulebook.limits import NIL

_MADE_FOR_PARTS = frozenset({"dado", "groove", "mortise"})


def planes(piece: Piece) -> int:
    """In how many planes its parts begin and end."""
    every = [piece.body(each).bounds for each in piece.plan.parts]
    return len({(axis, round(at[axis] / SEEN)) for box in every for at in box for axis in Axis})


def named_unlike(piece: Piece) -> int:
    """How many pairs of parts that are named after two sides, as ``leg_l`` and ``leg_r``, lie the other way round; and
    of those that are counted, as ``slat_1`` to ``slat_9``, how many pairs lie against the order of most."""
    pairs = [[its - at for at, its in combinations(row, 2)] for row in _rows(piece)]
    against = sum(min(sum(by < -NIL for by in row), sum(by > NIL for by in row)) for row in pairs)
    return _other_way_round(piece) + against


def unlike_steps(piece: Piece) -> int:
    """How many steps more than one there are between parts that are counted."""
    return sum(
        len({round(abs(its - at) / SEEN) for at, its in pairwise(row)}) - 1
        for row in _rows(piece)
        if len(row) > 2
    )


def idle_cuts(piece: Piece) -> int:
    """How many cuts that are made for other parts have none in them."""
    return sum(
        each.kind in _MADE_FOR_PARTS and not _filled(piece, part, each)
        for part in piece.plan.parts
        for each in part.removals
    )


def _filled(piece: Piece, part: Part, cut: Removal) -> bool:
    corners = [piece.body(part).to_piece(at) for at in cut_box(cut)]
    room = Box(*(tuple(map(pick, *corners)) for pick in (min, max)))
    return any(overlap_of(room, piece.body(each).bounds) for each in piece.plan.parts if each is not part)


def _rows(piece: Piece) -> Iterator[list[float]]:
    """Where the middles of parts that are counted lie, in their order, along the way that they lie farthest apart."""
    counted: dict[tuple[str, int], list[Part]] = {}
    for part in piece.plan.parts:
        stem = part.name.rstrip("0123456789")
        if stem != part.name:
            counted.setdefault((stem, id(part.stock)), []).append(part)
    for parts in counted.values():
        middles = [piece.body(each).middle for each in sorted(parts, key=lambda each: int(_number(each)))]
        yield max(map(list, zip(*middles, strict=True)), key=lambda row: max(row) - min(row))


def _number(part: Part) -> str:
    return part.name[len(part.name.rstrip("0123456789")) :]


def _other_way_round(piece: Piece) -> int:
    return sum(
        piece.body(one).middle[side.axis] * side.sign < piece.body(other).middle[side.axis] * side.sign
        for one, other in combinations(piece.plan.parts, 2)
        for side in [_told_apart(one, other)]
        if side is not None
    )


def lone_screws(piece: Piece, across: Axis, both: float) -> int:
    """How many screws have none that is driven at as far from the other side, about twice where the middle lies."""
    tips = [screw.tip for join in piece.plan.joins for screw in piece.screws(join)]
    there = Counter(tuple(round(at, 2) for at in tip) for tip in tips)
    there.subtract(
        tuple(round(both - at if axis is across else at, 2) for axis, at in zip(Axis, tip, strict=True))
        for tip in tips
    )
    return sum(many for many in there.values() if many > 0)


def _told_apart(one: Part, other: Part) -> Side | None:
    """The side that the name of one of two parts tells, where that of the other tells the opposite and is else alike:
    ``leg_left`` and ``leg_right``, ``end_l_top`` and ``end_r_top``, ``leg_fl`` and ``leg_fr``."""
    words, others = one.name.split("_"), other.name.split("_")
    unlike = [pair for pair in zip(words, others, strict=False) if pair[0] != pair[1]]
    if len(words) != len(others) or len(unlike) != 1 or one.stock is not other.stock:
        return None
    word, its = unlike[0]
    if len(word) == len(its) == 2:
        word, its = next(((a, b) for a, b in zip(word, its, strict=True) if a != b), ("", ""))
    named = (side for side in SIDES if side.value.startswith(word) and side.opposite.value.startswith(its))
    return next(named, None)

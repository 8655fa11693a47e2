"""Parts that should stand on the floor and do not reach it: the piece rocks."""

from collections import defaultdict
from collections.abc import Callable, Iterator
from typing import NamedTuple

from planlint.geometry.piece import Piece
from planlint.model.directions import Axis, Side
from planlint.model.plan import Part
from planlint.rulebook.limits import NIL

MOST_UNEVEN = 2.0
"""Inches by which feet alike may end unlike and still be meant to stand on one floor. Basis: our own judgement."""


class UnevenFeet(NamedTuple):
    """Parts whose feet end ``by`` inches above those of ``fellows``, which are like them; below: less than nothing.

    ``longer`` are the parts that would have to be so much longer, where their lengths differ by that; ``shorter`` those
    of the fellows, where as many feet stand so as otherwise.
    """

    parts: tuple[Part, ...]
    fellows: tuple[Part, ...]
    by: float
    longer: tuple[Part, ...]
    shorter: tuple[Part, ...]


def uneven_feet(piece: Piece, limit: float) -> Iterator[UnevenFeet]:
    """Of feet that are alike, some of them on the floor, the fewer that end elsewhere than the others."""
    if not piece.bodies or any(
        part.bottom_height is not None or part.fixed_to_wall for part in piece.plan.parts
    ):
        return
    floor = piece.bounds.low[Axis.Z]
    low = [body.bounds.low[Axis.Z] - floor for body in piece.bodies]
    alike: defaultdict[tuple[object, ...], list[Part]] = defaultdict(list)
    for part in piece.plan.parts:
        lean = part.turn and (part.turn.axis, abs(part.turn.angle))
        alike[part.stock.name, part.width, part.thickness, part.grain, part.facing.axis, lean].append(part)
    for every in alike.values():
        near = [each for each in every if low[each.index] <= MOST_UNEVEN or _four_legs(piece, every)]
        heights = [low[part.index] for part in near]
        if not near or min(heights) > limit or max(heights) <= limit:
            continue
        feet = [part for part in near if not _borne(piece, part, near)]
        if feet and feet[0].grain is Axis.Z:
            ways = [
                _by(feet, lambda part: piece.body(part).bounds.high[Axis.Z]),
                _by(feet, lambda p: float(p.length)),
            ]
        elif all(height > limit or part in feet for part, height in zip(piece.plan.parts, low, strict=True)):
            ways = [[feet]]  # Nothing else stands on the floor.
        else:
            continue
        found = ([each for fellows in way for each in _uneven(piece, fellows, low, limit)] for way in ways)
        yield from next(filter(None, found), [])


def _four_legs(piece: Piece, posts: list[Part]) -> bool:
    """Whether some parts are four uprights at the corners of a rectangle, their tops level: legs, wherever they end."""
    boxes = [piece.body(part).bounds for part in posts] if len(posts) == 4 else []
    marks = zip(*((*box.low[:2], box.high[Axis.Z]) for box in boxes), strict=True)
    level = [len({round(64 * at) for at in each}) for each in marks] == [2, 2, 1]
    return level and posts[0].grain is Axis.Z


def _by(feet: list[Part], mark: Callable[[Part], float]) -> list[list[Part]]:
    """Feet of which something measures the same, to a 64th."""
    found: defaultdict[int, list[Part]] = defaultdict(list)
    for part in feet:
        found[round(mark(part) * 64)].append(part)
    return [*found.values()]


def _uneven(piece: Piece, feet: list[Part], low: list[float], limit: float) -> Iterator[UnevenFeet]:
    """Those that end elsewhere than most; of as many, than those on the floor."""
    levels = sorted(
        _by(feet, lambda part: low[part.index]), key=lambda level: (-len(level), low[level[0].index])
    )
    fixed = piece.placement.fixed_together
    if all(low[level[0].index] > limit for level in levels):
        return
    for level in levels[1:]:
        by = low[level[0].index] - low[levels[0][0].index]
        if abs(by) > limit and fixed(level[0], levels[0][0]):
            longer = _longer(piece, level, levels[0][0], by)
            even = len(level) == len(levels[0])
            shorter = _longer(piece, levels[0], level[0], -by) if even else ()
            yield UnevenFeet((*level,), (*levels[0],), by, longer, shorter)


def _longer(piece: Piece, feet: list[Part], fellow: Part, by: float) -> tuple[Part, ...]:
    """The feet, or the posts on them, that are shorter by so much than those of a fellow."""

    def posts(part: Part) -> list[Part]:
        return (
            [part]
            if part.grain is Axis.Z
            else [each for each in piece.graph.neighbours(part) if each.grain is Axis.Z]
        )

    found = [
        post
        for part in feet
        for post in posts(part)
        for other in posts(fellow)
        if post.stock.name == other.stock.name and abs(float(other.length - post.length) - by) < NIL
    ]
    return (*dict.fromkeys(found),)


def _borne(piece: Piece, part: Part, near: list[Part]) -> bool:
    """Whether it stands on another part, joined to it or not, or is one piece with a foot beside it."""
    for join in piece.graph.joins_of(part):
        if join.side_of(part) is Side.BOTTOM or any(
            other in near for other in join.parts if other is not part
        ):
            return True
    low, high = piece.body(part).bounds
    return any(
        under.low[Axis.Z] < low[Axis.Z] - NIL
        and all(
            under.low[axis] < high[axis] - NIL and low[axis] < under.high[axis] - NIL
            for axis in (Axis.X, Axis.Y)
        )
        for under in (body.bounds for body in piece.bodies)
    )

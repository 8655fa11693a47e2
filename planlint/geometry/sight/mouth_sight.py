"""Whether a pocket's mouth can be seen, by whom, and by how many.

A mouth is in sight if a straight line from any eye (``eyes``) to any of its sample points reaches the drilled face from
outside and meets no other part. A side that nobody looks from stands against a wall or a neighbour: a block as deep as
eyes reach, which hides too.

What makes it cheap is in ``shadows``: boxes of wood rule out most eyes of a height at once, for a whole row of
mouths. Only for eyes that no single box rules out are lines drawn one by one.
"""

from collections.abc import Iterable, Iterator, Sequence
from math import cos, pi, sin
from typing import NamedTuple

from planlint.geometry.joint_facts import Pocket, Sight, Vector
from planlint.geometry.shapes.body import Body, Box, Plane
from planlint.geometry.shapes.box_index import BoxTree, bounding_box, boxes_meet, meets_box
from planlint.geometry.shapes.vectors import cross, dot, minus, plus, scaled
from planlint.geometry.shapes.wood_runs import solid_boxes
from planlint.geometry.sight.eye_shadows import EyePlace, Shadow
from planlint.geometry.sight.eyes import EyeArc, Eyes
from planlint.model.directions import Side
from planlint.text.rounding import TOUCH

RIM_POINTS = 8
"""Sample points round a mouth, besides its middle. Basis: our own judgement."""
NEARBY = 24.0
"""Parts this near a mouth, in inches, are tried first as what hides it. Basis: our own judgement."""


class Hider(NamedTuple):
    """Something that stands in the way of a look.

    A box that holds it; the body in it where that is not the whole box; and the boxes that are wood all through.
    """

    box: Box
    body: Body | None
    solid: tuple[Box, ...]

    @property
    def convex(self) -> bool:
        return self.body is None or len(self.body.own_cells) == 1


class Wall(NamedTuple):
    """What stands against a side that nobody looks from."""

    side: Side
    hider: Hider
    plane: float
    """Where its side toward the piece lies, as a distance out along the wall's side."""


def walls(bounds: Box, seen_from: Sequence[Side]) -> tuple[Wall, ...]:
    """A block against each upright side that is not looked from; round the corner to the next such side."""
    unseen = [side for side in _UPRIGHT if side not in seen_from]
    found = []
    for side in unseen:
        low, high = list(bounds.low), list(bounds.high)
        low[2], high[2] = -_FAR, _FAR
        for other in unseen:
            (high if other.sign > 0 else low)[other.axis] += other.sign * _FAR
        if side.sign > 0:
            low[side.axis] = bounds.high[side.axis]
        else:
            high[side.axis] = bounds.low[side.axis]
        block = Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))
        plane = (bounds.high if side.sign > 0 else bounds.low)[side.axis] * side.sign
        found.append(Wall(side, Hider(block, None, (block,)), plane))
    return tuple(found)


_UPRIGHT = (Side.LEFT, Side.RIGHT, Side.FRONT, Side.BACK)
_FAR = 1e5
"""Farther than any eye, in inches. Basis: our own judgement; the settings allow 100 ft."""


# ---------------------------------------------------------------- mouths


class Mouth(NamedTuple):
    """The ellipse of a pocket on its drilled face: its half axes, and corners of a rectangle that holds it."""

    centre: Vector
    long_axis: Vector
    short_axis: Vector
    corners: tuple[Vector, ...]
    face: Plane
    body: Body

    @property
    def points(self) -> tuple[Vector, ...]:
        """Sample points: the middle, and some round the rim."""
        rim = (plus(plus(self.centre, self.long_axis, a), self.short_axis, b) for a, b in _TURNS)
        return (self.centre, *rim)


_TURNS = [(cos(2 * pi * i / RIM_POINTS), sin(2 * pi * i / RIM_POINTS)) for i in range(RIM_POINTS)]
_CORNERS = [(a, b) for a in (-1, 1) for b in (-1, 1)]


def mouth_of(pocket: Pocket, body: Body, radius: float) -> Mouth:
    face = body.planes[pocket.face]
    sine = -dot(pocket.direction, face.normal)
    long_axis = scaled(plus(pocket.direction, face.normal, sine), radius / sine / (1 - sine * sine) ** 0.5)
    short_axis = scaled(cross(face.normal, long_axis), sine)
    corners = tuple(plus(plus(pocket.mouth, long_axis, a), short_axis, b) for a, b in _CORNERS)
    return Mouth(pocket.mouth, long_axis, short_axis, corners, face, body)


# ---------------------------------------------------------------- what stands between


class Screen:
    """All bodies of a piece and the walls round it, as things that hide."""

    def __init__(self, bodies: Sequence[Body], around: Sequence[Wall] = ()) -> None:
        self.bodies = bodies
        self.walls = around
        self._hiders = [_hider(body) for body in bodies]
        self._tree = BoxTree([body.bounds for body in bodies])
        self._solid = solid_boxes([box for hider in self._hiders for box in hider.solid])
        self._tree_of_solid = BoxTree(self._solid)

    def near(self, mouth: Mouth) -> list[Hider]:
        """What hides near a mouth: walls, and bodies other than its own and any wholly behind its face."""
        around = Box(plus(mouth.centre, _ONES, -NEARBY), plus(mouth.centre, _ONES, NEARBY))
        return [
            *(wall.hider for wall in self.walls),
            *(
                self._hiders[i]
                for i in self._tree.near(around)
                if self.bodies[i] is not mouth.body and _lies_before(self.bodies[i].bounds, mouth.face)
            ),
        ]

    def solid_near(self, mouths: Box, face: Plane) -> list[Box]:
        """Boxes that are wood all through, near a row of mouths and before its face: walls, then the largest."""
        around = Box(plus(mouths.low, _ONES, -NEARBY), plus(mouths.high, _ONES, NEARBY))
        near = [
            self._solid[i] for i in self._tree_of_solid.near(around) if _lies_before(self._solid[i], face)
        ]
        near.sort(key=_spread, reverse=True)
        return [*(box for wall in self.walls for box in wall.hider.solid), *near]

    def clear(self, point: Vector, d: Vector, own: Body) -> bool:
        """Whether nothing but the drilled part itself stands on the line from ``point`` to ``point + d``."""
        if any(blocks(wall.hider, point, d) for wall in self.walls):
            return False
        return not any(
            self.bodies[i] is not own and blocks(self._hiders[i], point, d)
            for i in self._tree.along(point, plus(point, d))
        )


_ONES: Vector = (1.0, 1.0, 1.0)


def _hider(body: Body) -> Hider:
    if body.plain:
        return Hider(body.bounds, None, (body.bounds,))
    if body.rotation is not None or body.cut_ends:
        return Hider(body.bounds, body, ())
    boxes = [cell.box for cell in body.own_cells] if body.square else body.own_solid
    return Hider(
        body.bounds, body, tuple(Box(body.to_piece(low), body.to_piece(high)) for low, high in boxes)
    )


def blocks(hider: Hider, start: Vector, d: Vector) -> bool:
    """Whether the segment ``start + t d``, 0 <= t <= 1, runs through wood."""
    if not meets_box(start, d, hider.box, TOUCH):
        return False
    body = hider.body
    # What is cut square is boxes of wood, and one is quickly asked; a line in the seam between two meets neither.
    return (
        body is None
        or any(meets_box(start, d, box, TOUCH) for box in hider.solid)
        or any(high - low > TOUCH for low, high in body.stretches(start, plus(start, d)))
    )


def _lies_before(box: Box, face: Plane) -> bool:
    """Whether any of a box lies before a face."""
    (nx, ny, nz), offset = face
    (x0, y0, z0), (x1, y1, z1) = box
    farthest = nx * (x1 if nx > 0 else x0) + ny * (y1 if ny > 0 else y0) + nz * (z1 if nz > 0 else z0)
    return farthest > offset + TOUCH


def _spread(box: Box) -> float:
    """Half the surface of a box."""
    x, y, z = minus(box.high, box.low)
    return x * y + y * z + z * x


# ---------------------------------------------------------------- the answer


def seen(mouths: Sequence[Mouth], eyes: Eyes, screen: Screen) -> frozenset[int]:
    """Which mouths of one row (all in one face) any eye sees, by their place in the row."""
    if not mouths or not eyes.places:
        return frozenset()
    (nx, ny, nz), offset = mouths[0].face
    reach = max(nz * eyes.heights[0], nz * eyes.heights[-1])
    front = [place for place in eyes.places if nx * place[0] + ny * place[1] + reach > offset + TOUCH]
    if not front:
        return frozenset()
    hull = bounding_box([corner for mouth in mouths for corner in mouth.corners])
    shadows = [Shadow(hull, box) for box in screen.solid_near(hull, mouths[0].face)]
    found: set[int] = set()
    useful: list[Shadow] = []
    for height in eyes.heights:
        left = [place for place in front if nx * place[0] + ny * place[1] + nz * height > offset + TOUCH]
        for shadow in shadows:
            if not left:
                break
            count = len(left)
            left = shadow.rule_out(left, height)
            if len(left) < count and shadow not in useful:
                useful.append(shadow)
        if not left:
            continue
        for number, mouth in enumerate(mouths):
            if number not in found and _seen_from(left, height, mouth, useful, screen):
                found.add(number)
        if len(found) == len(mouths):
            break
    return frozenset(found)


def _seen_from(
    places: list[EyePlace], height: float, mouth: Mouth, useful: Sequence[Shadow], screen: Screen
) -> bool:
    """Whether an eye at one of the places sees one mouth; ``useful`` are shadows that may fall on it."""
    outline = bounding_box(mouth.corners)
    for shadow in useful:
        places = Shadow(outline, shadow.wood).rule_out(places, height)
        if not places:
            return False
    return next(_seeing(mouth, [(*place, height) for place in places], screen), None) is not None


def _seeing(mouth: Mouth, eyes: Iterable[Vector], screen: Screen) -> Iterator[Vector]:
    """Those of the eyes, all before the face, that see a sample point of a mouth."""
    hiders, points = screen.near(mouth), mouth.points
    last: Hider | None = None
    for eye in eyes:
        # What hid the mouth from one eye is likely to hide it from the next; and what is convex and stands on the
        # lines to all corners stands on all lines between them.
        if last is not None and last.convex and all(blocks(last, c, minus(eye, c)) for c in mouth.corners):
            continue
        standing: list[Hider] | None = None
        for point in points:
            d = minus(eye, point)
            if last is not None and blocks(last, point, d):
                continue
            if standing is None:
                between = bounding_box((*mouth.corners, eye))
                standing = [hider for hider in hiders if boxes_meet(hider.box, between)]
            hider = next((each for each in standing if blocks(each, point, d)), None)
            if hider is not None:
                last = hider
            elif screen.clear(point, d, mouth.body):
                yield eye
                break


GRAZING = 1 / 6
"""The sine of the angle to a face below which an eye sees ever less of a mouth in it. Basis: our own judgement."""


def sight(mouth: Mouth, around: Sequence[EyeArc], screen: Screen) -> Sight:
    """The share of all eyes that see the mouth, the nearest that does, and where it stands."""
    total, seeing, most = 0, 0, 0.0
    nearest: tuple[float, Vector, Side, bool] | None = None
    outline = bounding_box(mouth.corners)
    shadows = [Shadow(outline, box) for box in screen.solid_near(outline, mouth.face)]
    for arc in around:
        for height, seated in arc.heights:
            total += len(arc.places)
            left = [place for place in arc.places if mouth.face.depth((*place, height)) < -TOUCH]
            for shadow in shadows:
                left = shadow.rule_out(left, height)
                if not left:
                    break
            for eye in _seeing(mouth, [(*place, height) for place in left], screen):
                seeing += 1
                away = minus(eye, mouth.centre)
                distance = dot(away, away)
                whole = min(1.0, -mouth.face.depth(eye) / (distance**0.5 * GRAZING))
                if most < whole:
                    clear = sum(screen.clear(point, minus(eye, point), mouth.body) for point in mouth.points)
                    most = max(most, whole * clear / len(mouth.points))
                if nearest is None or distance < nearest[0]:
                    nearest = (distance, eye, arc.side, seated)
    if nearest is None:
        return Sight(0.0, None, None, False)
    return Sight(seeing / total, *nearest[1:], most)

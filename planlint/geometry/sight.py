"""Whether a pocket's mouth can be seen, by whom, and by how many.

Eyes stand in an arc of 90 degrees each way around each side the piece is looked at from, at several distances and
heights. A mouth is in sight if a straight line from any eye to any of its sample points reaches the drilled face
from outside and meets no other part. A side that nobody looks from stands against a wall or a neighbour: a
block as deep as eyes reach, which hides too.

What makes it cheap: most eyes are ruled out in crowds. The eyes of an arc are sorted into a tree of boxes; if
every line from a box of eyes to the row of mouths must pass through one box of wood, none of those eyes sees
any of those mouths. Only for single eyes that no such box rules out are lines drawn one by one.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import cos, pi, radians, sin
from typing import NamedTuple

from planlint.geometry.body import Body, Box, Plane
from planlint.geometry.index import BoxTree, meets_box
from planlint.geometry.types import Pocket, Sight, Vector
from planlint.geometry.vectors import cross, minus, plus, scaled
from planlint.model.directions import Side
from planlint.model.settings import Viewer

ANGLE_STEP = 15
"""Degrees between neighbouring places of an eye on its arc. Basis: our own judgement."""
RIM_POINTS = 8
"""Sample points round a mouth, besides its middle. Basis: our own judgement."""
NEARBY = 24.0
"""Parts this near a mouth, in inches, are tried first as what hides it."""


class Eye(NamedTuple):
    point: Vector
    seated: bool


class Crowd:
    """Eyes that stand together: a box round them, and (when asked for) the two halves of the crowd; one eye has none."""

    __slots__ = ("_halves", "box", "eyes")

    def __init__(self, eyes: Sequence[Eye]) -> None:
        self.eyes = eyes
        self.box = _hull([eye.point for eye in eyes])
        self._halves: tuple[Crowd, ...] | None = None

    @property
    def halves(self) -> tuple[Crowd, ...]:
        if self._halves is None:
            self._halves = self._parted() if len(self.eyes) > 1 else ()
        return self._halves

    def _parted(self) -> tuple[Crowd, Crowd]:
        low, high = self.box
        axis = max(range(3), key=lambda i: high[i] - low[i])
        order = sorted(self.eyes, key=lambda eye: eye.point[axis])
        half = len(order) // 2
        return Crowd(order[:half]), Crowd(order[half:])


class Arc(NamedTuple):
    """All eyes that look from one side."""

    side: Side
    crowd: Crowd

    @property
    def eyes(self) -> Sequence[Eye]:
        return self.crowd.eyes


def arcs(bounds: Box, seen_from: Iterable[Side], viewer: Viewer, eye_height: float | None) -> tuple[Arc, ...]:
    """The eyes round a piece that fills ``bounds``, its floor at height 0.

    The plan's own ``eye height`` stands for all eyes; without it, standing eyes between the settings' bounds and,
    for a piece lower than ``seated_below``, seated ones.
    """
    heights: list[tuple[float, bool]]
    if eye_height is not None:
        heights = [(eye_height, False)]
    else:
        heights = [(height, False) for height in viewer.standing]
        if bounds.high[2] < viewer.seated_below:
            heights += [(height, True) for height in viewer.seated]
    return tuple(_arc(bounds, side, heights, viewer.distances) for side in seen_from if side.axis != 2)


def _arc(bounds: Box, side: Side, heights: list[tuple[float, bool]], distances: Sequence[float]) -> Arc:
    along = 1 - side.axis
    at = (bounds.high if side.sign > 0 else bounds.low)[side.axis]
    low, high = bounds.low[along], bounds.high[along]
    places = [(low, -angle) for angle in range(90, 0, -ANGLE_STEP)]
    places += [(low, 0), ((low + high) / 2, 0), (high, 0)]
    places += [(high, angle) for angle in range(ANGLE_STEP, 91, ANGLE_STEP)]
    eyes = []
    for foot, angle in places:
        for distance in distances:
            out, sideways = at + side.sign * distance * cos(radians(angle)), foot + distance * sin(radians(angle))
            for height, seated in heights:
                eyes.append(Eye((sideways, out, height) if along == 0 else (out, sideways, height), seated))
    return Arc(side, Crowd(eyes))


class Hider(NamedTuple):
    """Something that stands in the way of a look.

    A box that holds it; the body in it where that is not the whole box; and the boxes that are wood all through.
    """

    box: Box
    body: Body | None
    solid: tuple[Box, ...]


class Wall(NamedTuple):
    """What stands against a side that nobody looks from."""

    side: Side
    hider: Hider


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
        found.append(Wall(side, Hider(block, None, (block,))))
    return tuple(found)


_UPRIGHT = (Side.LEFT, Side.RIGHT, Side.FRONT, Side.BACK)
_FAR = 1e5
"""Farther than any eye, in inches."""


# ---------------------------------------------------------------- mouths


class Mouth(NamedTuple):
    """The ellipse of a pocket on its drilled face: sample points, and corners of a rectangle that holds it."""

    points: tuple[Vector, ...]
    corners: tuple[Vector, ...]
    face: Plane
    side: Side
    body: Body


def mouth_of(pocket: Pocket, body: Body, radius: float) -> Mouth:
    face = body.planes[pocket.face]
    sine = -sum(a * b for a, b in zip(pocket.direction, face.normal, strict=True))
    long_axis = scaled(plus(pocket.direction, face.normal, sine), radius / sine / (1 - sine * sine) ** 0.5)
    short_axis = scaled(cross(face.normal, long_axis), sine)
    turns = [2 * pi * i / RIM_POINTS for i in range(RIM_POINTS)]
    rim = (plus(plus(pocket.mouth, long_axis, cos(t)), short_axis, sin(t)) for t in turns)
    corners = tuple(plus(plus(pocket.mouth, long_axis, a), short_axis, b) for a in (-1, 1) for b in (-1, 1))
    return Mouth((pocket.mouth, *rim), corners, face, pocket.face, body)


# ---------------------------------------------------------------- what stands between


class Screen:
    """All bodies of a piece and the walls round it, as things that hide."""

    def __init__(self, bodies: Sequence[Body], around: Sequence[Wall] = ()) -> None:
        self.bodies = bodies
        self.walls = around
        self._hiders = [_hider(body) for body in bodies]
        self._tree = BoxTree([body.bounds for body in bodies])

    def covers(self, mouth: Mouth) -> bool:
        """Whether a wall stands right against the drilled face."""
        return mouth.body.rotation is None and any(
            wall.side is mouth.side
            and abs(wall.hider.box[wall.side.sign < 0][wall.side.axis] - mouth.points[0][wall.side.axis]) < 1e-6
            for wall in self.walls
        )

    def near(self, mouth: Mouth) -> list[Hider]:
        """What hides near a mouth: walls, and bodies other than its own and any wholly behind its face."""
        centre = mouth.points[0]
        around = Box(plus(centre, _ONES, -NEARBY), plus(centre, _ONES, NEARBY))
        return [
            *(wall.hider for wall in self.walls),
            *(
                self._hiders[i]
                for i in self._tree.near(around)
                if self.bodies[i] is not mouth.body and _reaches_before(self.bodies[i], mouth.face)
            ),
        ]

    def clear(self, point: Vector, d: Vector, own: Body) -> bool:
        """Whether nothing but the drilled part itself stands on the line from ``point`` to ``point + d``."""
        if any(blocks(wall.hider, point, d) for wall in self.walls):
            return False
        return not any(
            self.bodies[i] is not own and blocks(self._hiders[i], point, d)
            for i in self._tree.along(point, plus(point, d))
        )


_ONES: Vector = (1.0, 1.0, 1.0)
_TOUCH = 1e-9


def _hider(body: Body) -> Hider:
    if body.plain:
        return Hider(body.bounds, None, (body.bounds,))
    if body.rotation is not None or body.cut_ends:
        return Hider(body.bounds, body, ())
    return Hider(body.bounds, body, tuple(Box(body.to_piece(low), body.to_piece(high)) for low, high in body.own_cells))


def blocks(hider: Hider, start: Vector, d: Vector) -> bool:
    """Whether the segment ``start + t d``, 0 <= t <= 1, runs through wood."""
    if not meets_box(start, d, hider.box, _TOUCH):
        return False
    body = hider.body
    return body is None or any(high - low > _TOUCH for low, high in body.stretches(start, plus(start, d)))


def _reaches_before(body: Body, face: Plane) -> bool:
    n = face.normal
    low, high = body.bounds
    farthest = sum((high[i] if n[i] > 0 else low[i]) * n[i] for i in range(3))
    return farthest > face.offset + _TOUCH


def _box_hides(wood: Box, mouths: Box, eyes: Box) -> bool:
    """Whether every line from a box of mouths to a box of eyes must run through a box of wood.

    True only where a plane of the wood parts the two and all lines cross it inside the wood's outline. How far
    along the line a crossing lies, and where, is bounded by its extremes one by one: sure, but not sharp.
    """
    w_low, w_high = wood
    m_low, m_high = mouths
    e_low, e_high = eyes
    for a, b, c in _AXES:
        near, far = w_low[a], w_high[a]
        m0, m1, e0, e1 = m_low[a], m_high[a], e_low[a], e_high[a]
        if m1 <= near < e0:
            first, last = (near - m1) / (e1 - m1), (near - m0) / (e0 - m0)
        elif m1 < far <= e0:
            first, last = (far - m1) / (e1 - m1), (far - m0) / (e0 - m0)
        elif e1 < far <= m0:
            first, last = (m0 - far) / (m0 - e0), (m1 - far) / (m1 - e1)
        elif e1 <= near < m0:
            first, last = (m0 - near) / (m0 - e0), (m1 - near) / (m1 - e1)
        else:
            continue
        m, run, bound = m_low[b], e_low[b] - m_low[b], w_low[b] + _TOUCH
        if m + first * run < bound or m + last * run < bound:
            continue
        m, run, bound = m_high[b], e_high[b] - m_high[b], w_high[b] - _TOUCH
        if m + first * run > bound or m + last * run > bound:
            continue
        m, run, bound = m_low[c], e_low[c] - m_low[c], w_low[c] + _TOUCH
        if m + first * run < bound or m + last * run < bound:
            continue
        m, run, bound = m_high[c], e_high[c] - m_high[c], w_high[c] - _TOUCH
        if m + first * run <= bound and m + last * run <= bound:
            return True
    return False


_AXES = ((2, 0, 1), (0, 1, 2), (1, 2, 0))
"""Each axis with the two others; a top hides more than anything else, so up comes first."""


# ---------------------------------------------------------------- the answer


def seen(mouths: Sequence[Mouth], around: Sequence[Arc], screen: Screen) -> frozenset[int]:
    """Which mouths of one row (all in one face) any eye sees, by their place in the row."""
    if not mouths or screen.covers(mouths[0]):
        return frozenset()
    found: set[int] = set()
    face = mouths[0].face
    hull = _hull([corner for mouth in mouths for corner in mouth.corners])
    hiders = screen.near(mouths[len(mouths) // 2])
    solid = [box for hider in hiders for box in hider.solid]
    waiting = [(arc.crowd, solid) for arc in around]
    while waiting and len(found) < len(mouths):
        crowd, wood = waiting.pop()
        box = _before(crowd.box, face)
        if box is None or _hidden(wood, hull, box):
            continue
        if crowd.halves:
            # What does not stand between here hides nothing for either half.
            between = _hull((*hull, *box))
            wood = [each for each in wood if _meet(each, between)]
            waiting += [(half, wood) for half in crowd.halves]
            continue
        eye = crowd.eyes[0].point
        for number, mouth in enumerate(mouths):
            if number not in found and _eye_sees(mouth, eye, screen, hiders):
                found.add(number)
    return frozenset(found)


def _meet(a: Box, b: Box) -> bool:
    (a0, b0, c0), (a1, b1, c1) = a
    (p0, q0, r0), (p1, q1, r1) = b
    return a0 < p1 and p0 < a1 and b0 < q1 and q0 < b1 and c0 < r1 and r0 < c1


def _hull(points: Sequence[Vector]) -> Box:
    x, y, z = zip(*points, strict=True)
    return Box((min(x), min(y), min(z)), (max(x), max(y), max(z)))


def _hidden(wood: list[Box], mouths: Box, eyes: Box) -> bool:
    for number, box in enumerate(wood):
        if _box_hides(box, mouths, eyes):
            if number:
                # What hid one crowd is likely to hide the next.
                wood[0], wood[number] = box, wood[0]
            return True
    return False


def _before(box: Box, face: Plane) -> Box | None:
    """The part of a box of eyes that lies before a face; ``None`` if all of it lies behind."""
    n = face.normal
    for i in range(3):
        if n[i] == 1.0 or n[i] == -1.0:
            # The face is square to an axis: clip.
            bound = face.offset * n[i]
            low, high = box
            if (high[i] if n[i] > 0 else -low[i]) <= face.offset + _TOUCH:
                return None
            if n[i] > 0 and low[i] < bound:
                return Box((*low[:i], bound, *low[i + 1 :]), high)  # type: ignore[arg-type]
            if n[i] < 0 and high[i] > bound:
                return Box(low, (*high[:i], bound, *high[i + 1 :]))  # type: ignore[arg-type]
            return box
    farthest = sum((box.high[i] if n[i] > 0 else box.low[i]) * n[i] for i in range(3))
    return box if farthest > face.offset + _TOUCH else None


def _eye_sees(mouth: Mouth, eye: Vector, screen: Screen, hiders: Sequence[Hider]) -> bool:
    """Whether one eye, standing before the face, sees a sample point of a mouth."""
    away = [(corner, minus(eye, corner)) for corner in mouth.corners]
    for hider in hiders:
        # One convex thing on the lines to all corners hides all that lies between them.
        if len(hider.solid) == 1 and all(blocks(hider, corner, d) for corner, d in away):
            return False
    for point in mouth.points:
        d = minus(eye, point)
        if not any(blocks(hider, point, d) for hider in hiders) and screen.clear(point, d, mouth.body):
            return True
    return False


def sight(mouth: Mouth, around: Sequence[Arc], screen: Screen) -> Sight:
    """The share of all eyes that see the mouth, the nearest that does, and where it stands."""
    if screen.covers(mouth):
        return Sight(0.0, None, None, False)
    hiders = screen.near(mouth)
    total, seeing = 0, 0
    nearest: tuple[float, Eye, Side] | None = None
    for arc in around:
        for eye in arc.eyes:
            total += 1
            if mouth.face.depth(eye.point) >= -_TOUCH or not _eye_sees(mouth, eye.point, screen, hiders):
                continue
            seeing += 1
            away = minus(eye.point, mouth.points[0])
            distance = away[0] * away[0] + away[1] * away[1] + away[2] * away[2]
            if nearest is None or distance < nearest[0]:
                nearest = (distance, eye, arc.side)
    if nearest is None:
        return Sight(0.0, None, None, False)
    return Sight(seeing / total, nearest[1].point, nearest[2], nearest[1].seated)

"""Small pieces round a row of pockets, at random, and who looks at them the long way round: every eye, every line.

The rays are manifold3d's, the solids those of ``tests.solids``; only the questions are planlint's.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from math import cos, radians, sin

from hypothesis import assume
from hypothesis import strategies as st
from manifold3d import Manifold

from planlint.geometry.drilling.pocket_layout import pocket_at, row_frame
from planlint.geometry.joint_facts import Pocket, Sight, Vector
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.contact import contact
from planlint.geometry.shapes.vectors import minus, plus
from planlint.geometry.sight.eyes import EyeArc, all_eyes, arcs
from planlint.geometry.sight.mouth_sight import Mouth, Screen, mouth_of, seen, sight, walls
from planlint.model.directions import SIDES, Axis, Side, side_of
from planlint.model.plan import Part, Turn
from planlint.model.workshop import DrillingProfile, Viewer
from tests.builders import part
from tests.meetings import Meeting, put_together
from tests.solids import carved, join_of, row, solid

RADIUS = 3 / 16
UPRIGHT = (Side.LEFT, Side.RIGHT, Side.FRONT, Side.BACK)


# ---------------------------------------------------------------- the long way round


def wall_solids(bounds: Box, seen_from: Sequence[Side]) -> list[Manifold]:
    """Blocks 10,000 in deep and high against the sides nobody looks from, wide as the piece, on past its corner to
    a side that nobody looks from either."""
    far = 1e4
    found = []
    for side in UPRIGHT:
        if side in seen_from:
            continue
        low, high = [*bounds.low], [*bounds.high]
        low[2], high[2] = -far, far
        over = 1 - side.axis
        if side_of(Axis(over), -1) not in seen_from:
            low[over] -= far
        if side_of(Axis(over), 1) not in seen_from:
            high[over] += far
        at = (bounds.high if side.sign > 0 else bounds.low)[side.axis]
        low[side.axis], high[side.axis] = sorted((at, at + side.sign * far))
        found.append(Manifold.cube([b - a for a, b in zip(low, high, strict=True)]).translate(low))
    return found


def eyes_round(bounds: Box, seen_from: Iterable[Side], heights: Sequence[float]) -> list[Vector]:
    """The eyes of the design: 90 degrees each way round each side, 12, 48 and 120 in away, by polar angles.

    Where a side is seen and the one across from it is not, that one is at a wall: eyes keep 4 in before it.
    """
    eyes = []
    seen_from = list(seen_from)
    walls_at = [side for side in UPRIGHT if side not in seen_from and side.opposite in seen_from]
    for side in seen_from:
        over = 1 - side.axis
        at = (bounds.high if side.sign > 0 else bounds.low)[side.axis]
        low, high = bounds.low[over], bounds.high[over]
        feet = [(low, -a) for a in range(15, 91, 15)] + [(high, a) for a in range(15, 91, 15)]
        feet += [(foot, 0) for foot in (low, (low + high) / 2, high)]
        for foot, angle in feet:
            for away in (12.0, 48.0, 120.0):
                for height in heights:
                    eye = [0.0, 0.0, height]
                    eye[side.axis] = at + side.sign * away * cos(radians(angle))
                    eye[over] = foot + away * sin(radians(angle))
                    if all(before_wall(wall, bounds, eye) > 4 - 1e-6 for wall in walls_at):
                        eyes.append((eye[0], eye[1], eye[2]))
    return eyes


def before_wall(wall: Side, bounds: Box, eye: Sequence[float]) -> float:
    """How far an eye stands before the plane of a wall against one side of a piece."""
    if wall.sign > 0:
        return bounds.high[wall.axis] - eye[wall.axis]
    return eye[wall.axis] - bounds.low[wall.axis]


def eye_heights(bounds: Box, said: float | None, viewer: Viewer) -> list[float]:
    """The heights of the design: the plan's own; else two standing, and seated ones at a piece whose top is under
    36 in or whose every part hangs above them."""
    if said is not None:
        return [said]
    top, lowest = bounds.high[2], bounds.low[2]
    return [*viewer.standing, *(eye for eye in viewer.seated if top < 36 or lowest > eye)]


def brute(mouth: Mouth, eyes: Sequence[Vector], hiding: Sequence[Manifold]) -> list[bool]:
    """For each eye: whether it stands before the face and some line to a sample point goes through no solid."""
    found = []
    for eye in eyes:
        before = -mouth.face.depth(eye) > 1e-9
        found.append(before and any(clear(point, eye, hiding) for point in mouth.points))
    return found


def clear(point: Vector, eye: Vector, hiding: Sequence[Manifold]) -> bool:
    # From a hair before the face: a point may lie on its neighbour's flush face, which hides nothing. To a hair past
    # the eye: one at the end of an arc stands just in the plane of the wall's corner, and looks out of the wall.
    d = minus(eye, point)
    start, end = plus(point, d, 1e-7), plus(eye, d, 1e-6)
    return not any(wood.ray_cast(start, end) for wood in hiding)


# ---------------------------------------------------------------- pieces at random


def odd(low: float, high: float) -> st.SearchStrategy[Fraction]:
    """Lengths that fall on no common grid, so that no line runs along a side."""
    return st.integers(round(low * 97), round(high * 97)).map(lambda n: Fraction(n, 97))


@st.composite
def boards(draw: st.DrawFn, name: str) -> Part:
    """A panel or rail that lies any way, sometimes turned, mitred or grooved."""
    grain = draw(st.sampled_from(list(Axis)))
    facing = draw(st.sampled_from([side for side in SIDES if side.axis != grain]))
    made = replace(
        part(name, "1 x 1 x 1", "crosswise up"),
        length=draw(odd(4, 40)),
        width=draw(odd(1, 20)),
        thickness=draw(odd(0.5, 1.5)),
        grain=grain,
        facing=facing,
    )
    match draw(st.sampled_from(["plain", "plain", "plain", "turned", "grooved", "notched"])):
        case "turned":
            turn = Turn(Fraction(draw(st.integers(-170, 170)), 3), draw(st.sampled_from(list(Axis))))
            return replace(made, turn=turn)
        case "grooved":
            x, y, z = made.size
            return carved(made, ("groove", ("0", str(y / 3), "0"), (str(x), str(y / 2), str(z / 2))))
        case "notched":
            x, y, z = made.size
            return carved(made, ("notch", ("0", "0", "0"), (str(x / 3), str(y / 4), str(z))))
    return made


class Scene:
    """A drilled row, the bodies round it, and who looks."""

    def __init__(
        self,
        bodies: list[Body],
        pockets: list[Pocket],
        seen_from: tuple[Side, ...],
        height: float | None = None,
    ) -> None:
        drop = min(body.bounds.low[2] for body in bodies)
        low = tuple(min(body.bounds.low[i] for body in bodies) for i in range(3))
        high = tuple(max(body.bounds.high[i] for body in bodies) for i in range(3))
        assert drop == low[2]
        self.bounds = Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))
        self.seen_from = seen_from
        self.height = height
        self.bodies = bodies
        own = bodies[0]
        self.mouths = [mouth_of(pocket, own, RADIUS) for pocket in pockets]
        self.screen = Screen(bodies, walls(self.bounds, seen_from))
        self.hiding = [solid(body.part, body.origin) for body in bodies[1:]]
        self.hiding += wall_solids(self.bounds, seen_from)

    def arcs(self, viewer: Viewer) -> tuple[EyeArc, ...]:
        return arcs(self.bounds, self.seen_from, viewer, self.height)

    def seen(self, viewer: Viewer | None = None) -> frozenset[int]:
        return seen(self.mouths, all_eyes(self.arcs(viewer or Viewer())), self.screen)

    def sight(self, viewer: Viewer | None = None) -> Sight:
        return sight(self.mouths[0], self.arcs(viewer or Viewer()), self.screen)


@st.composite
def scenes(draw: st.DrawFn) -> Scene:
    """A shelf or rail with one to three pockets, the part it is screwed to, and up to seven boards about it."""
    a, b = draw(boards("a")), draw(boards("b"))
    a, b = replace(a, turn=None, removals=(), length=a.length + 3, width=a.width + 2), replace(b, turn=None)
    side = draw(st.sampled_from([s for s in SIDES if s.axis != a.facing.axis]))
    one, other = put_together(Meeting(a, side, b, side.opposite), (0.11, 0.07, 0.13), 0.0)
    face = draw(st.sampled_from([a.facing, a.facing.opposite]))
    lift: Vector = (0.0, 0.0, float(draw(odd(0, 80))))
    one, other = Body(a, plus(one.origin, lift)), Body(b, plus(other.origin, lift))
    join = join_of(a, side, b, side.opposite, row(face.value))
    frame = row_frame(one, side, face, contact(join, one, other), DrillingProfile())
    shares = draw(st.lists(st.integers(1, 30), min_size=1, max_size=3, unique=True))
    assert frame is not None
    pockets = [pocket_at(frame, n / 31 * frame.high, join, 0, one, other, side) for n in sorted(shares)]
    # A mouth that runs off its part is another fault.
    assume(all(one.holds(point) for pocket in pockets for point in mouth_of(pocket, one, RADIUS).points))
    bodies = [one, other]
    for i, board in enumerate(draw(st.lists(boards("c"), max_size=7))):
        near = draw(st.tuples(*(odd(-12, 12) for _ in range(3))))
        bodies.append(Body(replace(board, name=f"c{i}"), plus(one.middle, _floats(near))))
    drop = min(0.0, *(body.bounds.low[2] for body in bodies))
    if drop < 0:
        bodies = [Body(body.part, plus(body.origin, (0, 0, 1), -drop)) for body in bodies]
        pockets = [
            pocket._replace(
                mouth=plus(pocket.mouth, (0, 0, 1), -drop), exit=plus(pocket.exit, (0, 0, 1), -drop)
            )
            for pocket in pockets
        ]
    seen_from = draw(st.lists(st.sampled_from(UPRIGHT), min_size=1, max_size=3, unique=True))
    return Scene(bodies, pockets, tuple(seen_from), draw(st.one_of(st.none(), st.floats(30, 70))))


@st.composite
def cabinets(draw: st.DrawFn) -> Scene:
    """Shelves between two sides, flush or set back, with or without top, back, rails, toe board and doors: parts that
    touch all over. Pockets in any shelf or rail, in either face, toward the left side."""
    wide, deep, high = draw(odd(8, 40)), draw(odd(5, 20)), draw(odd(10, 80))
    t = draw(odd(0.6, 0.9))
    lift = draw(st.sampled_from([Fraction(0), Fraction(0), Fraction(300, 97)]))
    blocks: list[tuple[str, tuple[Fraction, ...], tuple[Fraction, ...]]] = []

    def block(name: str, low: tuple[Fraction, ...], size: tuple[Fraction, ...]) -> None:
        blocks.append((name, low, size))

    none = Fraction(0)
    has = draw(st.sets(st.sampled_from(["top", "back", "rails", "toe", "door", "divider", "strip"])))
    levels = sorted(draw(st.lists(st.integers(2, 16), min_size=1, max_size=4, unique=True)))
    rails = []
    for n in levels:
        z = high * n / 17
        inset = draw(st.sampled_from([none, none, deep / 7, deep / 3]))
        block(f"shelf{n}", (t, inset, z), (wide, deep - inset, t))
        if "rails" in has:
            # A rail under the front edge of its shelf, or against it.
            rails.append((f"rail{n}", (t, inset, z - 3 * t), (wide, t, 3 * t)))
    blocks += rails
    drilled_one = draw(st.sampled_from(blocks))
    block("left", (none, none, none), (t, deep, high))
    block("right", (t + wide, none, none), (t, deep, high))
    if "top" in has:
        block("top", (none, none, high), (wide + 2 * t, deep, t))
    if "back" in has:
        block("back", (none, deep, none), (wide + 2 * t, t / 3, high))
    if "toe" in has:
        block("toe", (t, none, none), (wide, t, high / 17))
    if "door" in has:
        block("door", (none, -t, high / 17), (wide * 2 / 3, t, high * 2 / 3))
    if "divider" in has:
        block("divider", (t + wide * 3 / 7, deep / 2, none), (t, deep / 2, high))
    if "strip" in has:
        _, low, size = drilled_one
        block("strip", (low[0], low[1], low[2] + size[2]), (size[0] / 4, size[1] / 3, t))
    ordered = [drilled_one, *(each for each in blocks if each is not drilled_one)]
    bodies = [Body(_box(name, size), _floats((low[0], low[1], low[2] + lift))) for name, low, size in ordered]
    face = draw(
        st.sampled_from([Side.TOP, Side.BOTTOM] if "shelf" in drilled_one[0] else [Side.FRONT, Side.BACK])
    )
    left = next(body for body in bodies if body.part.name == "left")
    join = join_of(bodies[0].part, Side.LEFT, left.part, Side.RIGHT, row(face.value))
    frame = row_frame(bodies[0], Side.LEFT, face, contact(join, bodies[0], left), DrillingProfile())
    assert frame is not None
    shares = draw(st.lists(st.integers(5, 26), min_size=1, max_size=3, unique=True))
    pockets = [
        pocket_at(frame, n / 31 * frame.high, join, 0, bodies[0], left, Side.LEFT) for n in sorted(shares)
    ]
    seen_from = draw(st.lists(st.sampled_from(UPRIGHT), min_size=1, max_size=4, unique=True))
    return Scene(bodies, pockets, tuple(seen_from), draw(st.one_of(st.none(), st.floats(10, 75))))


def _box(name: str, size: Sequence[Fraction]) -> Part:
    return replace(part(name, "1 x 1 x 1", "crosswise up"), length=size[0], width=size[1], thickness=size[2])


def _floats(three: Sequence[Fraction]) -> Vector:
    x, y, z = three
    return float(x), float(y), float(z)

"""What ties parts to one another, to the floor and to the wall, as springs: screws, glue, joints let in, and contact.

Every spring has a point, a direction and a stiffness in pounds an inch. Contact and the floor press and never pull.
"""

from collections.abc import Iterable, Iterator
from enum import IntEnum, auto
from typing import NamedTuple

from planlint.geometry.drilling.fastener_places import FastenerRow
from planlint.geometry.join_holds import glue_holds, shaped
from planlint.geometry.joint_facts import Screw, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box, body_polyhedra
from planlint.geometry.shapes.polygons import Polygon, area
from planlint.geometry.shapes.vectors import AXES, cross, dot, minus, norm, plus, scaled, unit
from planlint.model.plan import Join, Part
from planlint.rulebook.figure_tables import figures
from planlint.statics.screw_strength import usual_nail
from planlint.statics.wood_strength import USUAL_GRAVITY, USUAL_MODULUS, gravity, modulus
from planlint.text.rounding import whole_up

BEARING_SHARE = 1 / 20
"""Stiffness of wood pressed across its grain, as a share of that along it. Basis: the Wood Handbook's ratios of 0.04 to
0.08 for most woods, from memory."""
BEARING_DEPTH = 1.0
"""Inches of wood that give way where two parts press on one another. Basis: our own judgement."""
GLUED_TIMES = 5.0
"""How much stiffer a glued or interlocking joint is than one that only presses. Basis: our own judgement: it hardly
gives."""
GROUND = 1e5
"""Pounds an inch of the floor under each corner of a foot, and of what holds a part to the wall. Basis: our own
judgement: it hardly gives."""
RUBS_AT = 100.0
"""Pounds an inch at each point of what only rubs. Basis: our own judgement, so little that a board that bends slips on
what it lies on and thrusts no harder than friction can: were it fast there, it would sag and be bent a third less."""
SOFT = 1.0
"""Pounds an inch along a screwed joint besides its screws, so that what they leave free has a place to be found at."""
_STEP = 6.0
"""Inches of a long joint for each point that it is looked at, ..."""
MOST_STEPS = 4
"""... but no more points along it than these; both parts bend at the same places: between them the forces of a strip
that is fast all along would come and go, many times what they are."""
LEVEL = 0.02
"""Inches above the lowest corner at which a part still stands on the floor: less than a floor is uneven. Basis: our
own judgement."""
N_PER_MM = 5.71015
"""Pounds an inch in one newton a millimetre."""
KG_PER_M3 = 1120.0
"""Density at 12 percent of moisture of wood of specific gravity 1."""


class Kind(IntEnum):
    """What a spring stands for."""

    SCREW = auto()
    HELD = auto()
    """Glue, or wood let into wood."""
    PRESSING = auto()
    RUBBING = auto()
    """Friction where nothing else holds."""
    SOFT = auto()
    FLOOR = auto()
    FLOOR_RUBBING = auto()
    WALL = auto()
    AGAINST = auto()
    """What bears against the wall and is not fixed to it."""


ONE_WAY = (Kind.PRESSING, Kind.FLOOR, Kind.AGAINST)
LIES = (Kind.PRESSING, Kind.RUBBING, Kind.SOFT)
"""What keeps a part that only lies on others."""


class Tie(NamedTuple):
    """A spring from one part to another, or to what stands fast. Its movement is ``to`` less ``part``, along
    ``direction``: more than 0 opens a joint, or pulls on a screw."""

    kind: Kind
    part: Part
    to: Part | None
    point: Vector
    direction: Vector
    stiffness: float
    join: Join | None = None
    screw: Screw | None = None


def joint_ties(piece: Piece, join: Join) -> Iterator[Tie]:
    """The springs of a joint whose parts lie certain."""
    contact = piece.contact(join)
    a, b = join.parts
    normal = contact.normal
    one, other = along_plane(normal)
    bears = _bears(a, b)
    holds = shaped(join) or glue_holds(piece, join)
    screws = (*piece.screws(join), *piece.drives(join))
    rows = piece.fasteners(join)
    turns = bool(rows) and all(row.fastening.moves for row in rows)
    for patch in contact.patches:
        points = round_patch(patch)
        each = bears * area(patch) / len(points)
        for number, point in enumerate(points):
            if holds:
                for way in (normal, one, other):
                    yield Tie(Kind.HELD, a, b, point, way, GLUED_TIMES * each, join)
                continue
            if not join.gap and not turns:
                yield Tie(Kind.PRESSING, a, b, point, normal, each, join)
            if not screws and all(row.fastening.kind in CLAMPED for row in rows):
                yield Tie(Kind.RUBBING, a, b, point, one, RUBS_AT, join)
                yield Tie(Kind.RUBBING, a, b, point, other, RUBS_AT, join)
            elif number in (0, len(points) // 2):
                yield Tie(Kind.SOFT, a, b, point, one, SOFT, join)
                yield Tie(Kind.SOFT, a, b, point, other, SOFT, join)
    for screw in screws:
        yield from _screw_ties(piece, join, screw)
    for row in rows:
        yield from _fastener_ties(row, normal)


def pressing_ties(part: Part, on: Part, patches: Iterable[Polygon]) -> Iterator[Tie]:
    """The springs of a part that lies on another."""
    for patch in patches:
        points = round_patch(patch)
        each = _bears(part, on) * area(patch) / len(points)
        for point in points:
            yield Tie(Kind.PRESSING, part, on, point, (0.0, 0.0, -1.0), each)


def _bears(one: Part, other: Part) -> float:
    """Pounds an inch of each square inch on which two parts press."""
    return BEARING_SHARE * min(_modulus(one), _modulus(other)) / BEARING_DEPTH


CLAMPED = frozenset({"buttons", "clips"})
"""What draws two faces together: they rub on one another as faces do that lie on one another. Basis: own judgement."""


def _fastener_ties(row: FastenerRow, normal: Vector) -> Iterator[Tie]:
    """What is not driven: a pin carries, buttons and clips hold on, hinges and slides hold every way."""
    kind, (a, b) = row.fastening.kind, row.join.parts
    ways = {"pins": AXES[2:], "buttons": (normal,), "clips": (normal,)}.get(kind, AXES)
    if row.drives:
        return
    for point in row.at:
        for way in ways:
            yield Tie(Kind.HELD, a, b, point, way, GROUND, row.join)
        if row.fastening.moves:
            yield Tie(Kind.SOFT, a, b, plus(point, normal), along_plane(normal)[0], SOFT, row.join)
            yield Tie(Kind.SOFT, a, b, plus(point, normal), along_plane(normal)[1], SOFT, row.join)


def _screw_ties(piece: Piece, join: Join, screw: Screw) -> Iterator[Tie]:
    pocket = screw.pocket
    size = slip_modulus(pocket.part, pocket.into, screw)
    axis = pocket.direction
    yield Tie(Kind.SCREW, pocket.part, pocket.into, pocket.exit, axis, size, join, screw)
    across = piece.body(pocket.into).along(pocket.into.across)
    flat = minus(across, scaled(axis, dot(across, axis)))
    slid = unit(flat) if norm(flat) > 0.1 else along_plane(axis)[0]
    if not join.slotted:
        yield Tie(Kind.SCREW, pocket.part, pocket.into, pocket.exit, slid, size, join, screw)
    yield Tie(Kind.SCREW, pocket.part, pocket.into, pocket.exit, cross(axis, slid), size, join, screw)


def slip_modulus(one: Part, other: Part, screw: Screw) -> float:
    """How hard it is to shift a screw, a nail or a bolt, in pounds an inch: Eurocode 5, table 7.1."""
    dense, slip = (_kilograms(one) * _kilograms(other)) ** 0.5, figures("screws")["slip"]
    thick = 25.4 * (screw.diameter or usual_nail(screw.length))
    nail = screw.thread == "nails"
    each = thick ** slip["nail_power"] / slip["nail_divisor"] if nail else thick / slip["divisor"]
    return N_PER_MM * float(dense**1.5 * each)


def _kilograms(part: Part) -> float:
    found = gravity(part.stock.material)
    return KG_PER_M3 * (USUAL_GRAVITY if found is None else found.value)


def _modulus(part: Part) -> float:
    found = modulus(part.stock.material)
    return USUAL_MODULUS if found is None else found.value


# ---------------------------------------------------------------- floor and wall


def floor_ties(piece: Piece, parts: Iterable[Part]) -> Iterator[Tie]:
    """The springs under what stands lowest of some parts."""
    wood = [
        (part, [face for cell in body_polyhedra(piece.body(part)) for face in cell if len(face) > 2])
        for part in parts
    ]
    floor = min((at[2] for _, faces in wood for face in faces for at in face), default=0.0) + LEVEL
    for part, faces in wood:
        low = [face for face in faces if all(point[2] <= floor for point in face)]
        points = [point for face in low for point in round_patch(face)]
        if not points:
            points = [point for face in faces for point in face if point[2] <= floor]
        yield from _standing(part, _apart(points))


def _standing(part: Part, points: Iterable[Vector]) -> Iterator[Tie]:
    # Movement is that of the floor less the part's: what is more than 0 along the way down lifts the part off.
    for point in points:
        yield Tie(Kind.FLOOR, part, None, point, (0.0, 0.0, -1.0), GROUND)
        for way in AXES[:2]:
            yield Tie(Kind.FLOOR_RUBBING, part, None, point, way, GROUND)


def wall_ties(piece: Piece, part: Part) -> Iterator[Tie]:
    """What holds a part to the wall behind it: all round its back, every way."""
    for point in _behind(piece.body(part).bounds):
        for way in AXES:
            yield Tie(Kind.WALL, part, None, point, way, GROUND)


def against_wall(piece: Piece, parts: Iterable[Part], held: Iterable[Part]) -> Iterator[Tie]:
    """Where parts bear against the wall that holds others of them: all round their backs, where these reach as far."""
    held = list(held)
    wall = max(piece.body(part).bounds.high[1] for part in held)
    for part in parts:
        box = piece.body(part).bounds
        if part in held or box.high[1] < wall - LEVEL:
            continue
        for point in _behind(box):
            yield Tie(Kind.AGAINST, part, None, point, (0.0, 1.0, 0.0), GROUND)


def _behind(box: Box) -> tuple[Vector, ...]:
    """The corners of the back of a box."""
    (x0, _, z0), (x1, y, z1) = box
    return (x0, y, z0), (x1, y, z0), (x1, y, z1), (x0, y, z1)


# ---------------------------------------------------------------- points of a joint


def round_patch(patch: Polygon) -> list[Vector]:
    """The corners of a patch, and points between those that lie far apart."""
    far = max(norm(minus(q, p)) for p, q in _sides(patch))
    step = max(_STEP, far / MOST_STEPS)
    points = []
    for p, q in _sides(patch):
        many = max(1, whole_up(norm(minus(q, p)) / step))
        points += [plus(p, minus(q, p), n / many) for n in range(many)]
    return points


def _sides(patch: Polygon) -> Iterable[tuple[Vector, Vector]]:
    return zip(patch, (*patch[1:], patch[0]), strict=True)


def _apart(points: Iterable[Vector]) -> list[Vector]:
    """Points, those that are as good as the same but once."""
    return list({tuple(round(each, 3) for each in point): point for point in points}.values())


def along_plane(normal: Vector) -> tuple[Vector, Vector]:
    """Two directions square to one another and to a third."""
    axis = min(range(3), key=lambda n: abs(normal[n]))
    one = unit(cross(normal, AXES[axis]))
    return one, cross(normal, one)

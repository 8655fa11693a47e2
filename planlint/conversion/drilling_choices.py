"""The ways in which a joint could be drilled: in which part, from which face, how many pockets."""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise

from planlint.geometry.drilling.pocket_layout import allowed_stretch, laid_out, row_frame
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.joint_kinds import SQUARISH
from planlint.geometry.shapes.vectors import dot, minus, plus
from planlint.model.directions import Axis, Flips, Side, flipped, side_of
from planlint.model.plan import Join, Part
from planlint.text.measures import at_mark, length
from planlint.text.rounding import ROUNDING, whole_down, whole_up

_SPACING = 7.0
"""Pockets of a long joint lie about so far apart, in inches, or nearer where wide-spacing asks it: common practice is 6
to 8."""
MOST = 60
"""Pockets that one joint gets at most. Basis: own judgement."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Pockets in one face of A or of B. With ``at`` they are set out from ``origin``, else evenly."""

    in_b: bool
    face: Side
    count: int
    plugged: bool = False
    at: tuple[Fraction, ...] = ()
    origin: Side | None = None
    fewer: int = 0
    """How many fewer than the lay-out asks for."""
    outward: bool = field(default=False, compare=False)
    """Whether the face looks away from the middle of the piece."""

    def words(self, part: str, unit: str) -> str:
        """``2 pockets in the back of rail``, with their places where they are not spread evenly."""
        pockets = f"{self.count} pocket{'' if self.count == 1 else 's'}"
        where = ""
        if self.at and self.origin is not None:
            places = " and ".join(length(place, unit) for place in self.at)
            where = f" at {places} from the {self.origin.value}"
        return f"{pockets} in the {self.face.value} of {part}{where}{', plugged' if self.plugged else ''}"


def mirrored_choice(choice: Choice, flips: Flips) -> Choice:
    """The same pockets in the mirror image of a joint."""
    if not flips:
        return choice
    origin = None if choice.origin is None else flipped(choice.origin, flips)
    return replace(choice, face=flipped(choice.face, flips), origin=origin)


def choices_for(piece: Piece, join: Join) -> list[Choice]:
    """Every way that makes sense at the bench, without plugs, the likeliest first.

    A pocket is drilled through a broad face (of a squarish post, through any of its four long sides) toward an end
    or an edge, for that is where the fixture clamps; and never so that its thread ends up in end grain while the
    other part could be drilled instead.
    """
    found: list[tuple[tuple[object, ...], Choice]] = []
    for in_b, part, side in ((False, join.part_a, join.side_a), (True, join.part_b, join.side_b)):
        for face in _faces(part, side):
            count = _count(piece, join, part, side, face)
            towards = inward(piece, part, face)
            rank = (in_b, not towards > ROUNDING, _HABIT.index(face))
            found.append((rank, Choice(in_b, face, count, outward=towards < -ROUNDING)))
    found.sort(key=lambda each: each[0])
    ways = [choice for _, choice in found]
    ways = [way for way in ways if not _into_end_grain(join, way)] or ways
    two = any(way.count > 1 for way in ways)
    # A narrow face that takes one screw is no better for being hidden where another takes two.
    return sorted((replace(way, fewer=int(two and way.count < 2)) for way in ways), key=lambda way: way.fewer)


def inward(piece: Piece, part: Part, face: Side) -> float:
    """How far a face looks toward the middle of the piece, in inches; less than 0 where it looks away from it."""
    body, (x, y, z) = piece.body(part), ((low + high) / 2 for low, high in zip(*piece.bounds, strict=True))
    return dot(body.planes[face].normal, minus((x, y, z), body.middle))


def choices_shifted(piece: Piece, join: Join, choice: Choice) -> list[Choice]:
    """The same pockets set out otherwise: drawn to one end or the other, all of them or the outermost; or one fewer.

    Where rails meet at a post their screws would run into one another at the same height; a groove, or a cut behind the
    bore, may lie where the first pocket would. They are shifted by the width of a bore, or by two.
    """
    part, side = (join.part_b, join.side_b) if choice.in_b else (join.part_a, join.side_a)
    body, settings = piece.body(part), piece.settings
    frame = row_frame(body, side, choice.face, piece.contact(join), settings.profile)
    if frame is None:
        return []
    low, high = allowed_stretch(frame, body, side, choice.face, settings)
    low, high = max(low, 0.0), min(high, frame.high)
    found: list[Choice] = []
    if high >= low and part.turn is None:
        even = laid_out(choice.count, frame, (low, high))
        origin = side_of(Axis(3 - choice.face.axis - side.axis), 1)
        plane = body.planes[origin]
        for moves in _moves(choice.count, settings.profile.bit_diameter):
            stations = [
                min(max(station + move, low), high) for station, move in zip(even, moves, strict=True)
            ]
            places = sorted(plane.depth(plus(frame.base, frame.across, station)) for station in stations)
            if all(b - a >= settings.bore_spacing - ROUNDING for a, b in pairwise(places)):
                at = tuple(at_mark(place, piece.plan.unit) for place in places)
                way = replace(choice, at=at, origin=origin)
                if way not in found:
                    found.append(way)
    if choice.count > 1:
        found.append(replace(choice, count=choice.count - 1, fewer=choice.fewer + 1))
    return found


def _moves(count: int, by: float) -> Iterator[list[float]]:
    """How far each pocket of a row is moved: all of them, or only the first or the last."""
    for far in (by, -by, 2 * by, -2 * by):
        yield [far] * count
    if count > 1:
        for far in (by, -by):
            yield [far] + [0.0] * (count - 1)
            yield [0.0] * (count - 1) + [far]


def _into_end_grain(join: Join, choice: Choice) -> bool:
    """Whether the thread would run into the end of a board."""
    into, side = (join.part_a, join.side_a) if choice.in_b else (join.part_b, join.side_b)
    return into.stock.material.solid and into.is_end(side) and into.cut_at(side) is None


_HABIT = (Side.BOTTOM, Side.BACK, Side.RIGHT, Side.LEFT, Side.TOP, Side.FRONT)
"""Among faces that serve alike: underneath and behind before on top and in front. Basis: own judgement."""


def _faces(part: Part, side: Side) -> Iterator[Side]:
    squarish = part.thickness >= SQUARISH * part.width and not part.stock.sheet
    if part.is_face(side) and not squarish:
        return
    for face in Side:
        if face.axis is side.axis or part.is_end(face):
            continue
        if part.is_face(face) or squarish:
            yield face


def _count(piece: Piece, join: Join, part: Part, side: Side, face: Side) -> int:
    body, settings = piece.body(part), piece.settings
    frame = row_frame(body, side, face, piece.contact(join), settings.profile)
    if frame is None:
        return 2
    low, high = allowed_stretch(frame, body, side, face, settings)
    fits = whole_down((high - low) / settings.bore_spacing, ROUNDING) + 1 if high >= low else 1
    spacing = min(_SPACING, piece.limits["wide-spacing", "spacing"])
    return max(1, min(max(2, whole_up(frame.high / spacing, ROUNDING)), fits, MOST))

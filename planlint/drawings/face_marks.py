"""What is set out on one side of a part: the mouths of its pockets, and the walls of what is cut away."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from math import inf
from typing import NamedTuple

from planlint.checks.row_view import Row
from planlint.drawings.arc_marks import arc_marks, written
from planlint.drawings.close_ups import mouth_rim
from planlint.drawings.drawn_view import Room
from planlint.drawings.fastener_marks import OnSide, distances, fastener_signs
from planlint.drawings.joined_wood import floats
from planlint.drawings.meeting_marks import MOST_NAMED, MetPart, named
from planlint.drawings.primitives import Area, Item, Line, Text, dimension
from planlint.drawings.running_dimensions import CLEAR, Mark, meeting_distance, running
from planlint.drawings.text_overlaps import WORDS_TOUCH, on_lines, texts_meet
from planlint.drawings.viewpoints import SeenAt, View, parallel
from planlint.drawings.worked_sides import opens_to
from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import AXES, cross, dot, plus, scaled
from planlint.model.directions import Axis, Side, side_of
from planlint.model.plan import Part, Size
from planlint.sheet.arc_shapes import arc_shapes
from planlint.sheet.joint_setouts import Shaped, shaped_parts
from planlint.text.measures import length, to_sixteenth
from planlint.text.rounding import LEAST_DIVISOR

Paper = Callable[[SeenAt], SeenAt]
"""From inches of a view to millimetres on the sheet."""
APART = 20.0
"""Millimetres between two lines of distances on the same side of a face: room for what stands on the inner one."""


class Flatwise(NamedTuple):
    """A part lying on the bench, one side up: its own frame looked at, its length across the paper."""

    body: Body
    view: View
    side: Side
    fasteners: tuple[OnSide, ...] = ()
    """What is no pocket, on this side."""
    shaped: tuple[Shaped, ...] = ()
    """What joints cut into this side, and what they leave standing of an end beside it."""
    met: tuple[MetPart, ...] = ()
    """What meets this side."""
    walls: Mapping[Side, Iterable[Fraction]] = {}
    """By the side that it is measured from, where on it wood is cut away; the ends of the part left out."""

    def flat(self, own: Vector) -> SeenAt:
        return self.view.flat(own)


def flatwise(
    whole: Body,
    side: Side,
    fasteners: Iterable[OnSide] = (),
    shaped: Iterable[Shaped] = (),
    met: Iterable[MetPart] = (),
) -> Flatwise:
    """A part as it lies with one side up; its grain runs across the paper wherever it lies in that side."""
    body, part = _lying(whole), whole.part
    toward = body.own_planes[side].normal if side not in body.cut_ends else square(side)
    along = part.grain if side.axis != part.grain else part.across
    up = cross(toward, AXES[along])
    # The other sides keep the way up that the builder knows them by, where the grain may run either way.
    if sum(up) < 0:
        up = (-up[0], -up[1], -up[2])
    lying = Flatwise(
        body, parallel(side.value, toward, up), side, tuple(fasteners), tuple(shaped), tuple(met)
    )
    return lying._replace(walls=_walls(part, side, lying))


@lru_cache(maxsize=64)
def _lying(whole: Body) -> Body:
    """Kept, as its sides are looked at in turn."""
    body = Body(replace(whole.part, turn=None), (0.0, 0.0, 0.0))
    body.own_cells, body.own_shapes = whole.own_cells, whole.own_shapes
    return body


def settled_shapes(piece: Piece, part: Part) -> list[Shaped]:
    """What joints make of a part and the plan settles: mortises, grooves, dadoes, and tenons with their shoulders."""
    return [
        each
        for each in shaped_parts(piece).get(part.index, ())
        if (each.lets_in or each.stays) and each.boxed and each.low is not None and each.high is not None
    ]


def square(side: Side) -> Vector:
    return scaled(AXES[side.axis], float(side.sign))


def lines_of_distances(part: Part, side: Side, lying: Flatwise, mine: Sequence[Row]) -> Counter[str]:
    """How many lines of distances stand on each side of the outline: ``over``, ``under``, ``left``, ``right``."""
    found: Counter[str] = Counter()
    for row in {(row.side, row.origin): row for row in mine}.values():
        x, y = lying.flat(row.piece.body(part).direction_to_own(row.frame.inward))
        if abs(x) > 0.5:
            found["right" if x > 0 else "left"] += 1
        if abs(x) <= 0.87:
            found["over" if y > 0 else "under"] += 1
    for measured_from in (*lying.walls, *distances(lying.fasteners)):
        x, _ = lying.flat(square(measured_from))
        found["under" if abs(x) > 0.5 else "left"] += 1
    for at, _, _ in _taper_ends(part, side):
        x, _ = lying.flat(square(at))
        if abs(x) > 0.5:
            found["right" if x > 0 else "left"] += 1
    return found


def set_out(
    piece: Piece,
    part: Part,
    side: Side,
    lying: Flatwise,
    mine: Sequence[Row],
    paper: Paper,
    outline: Room,
    there: Sequence[Item],
) -> list[Item]:
    """The mouths of a face with their distances, and where wood is cut away; clear of words that are ``there``."""
    items: list[Item] = []
    unit = piece.plan.unit
    body = piece.body(part)
    groups: defaultdict[tuple[Side, Side], list[Row]] = defaultdict(list)
    for row in mine:
        groups[row.side, row.origin].append(row)
        for pocket in row.pockets:
            rim = tuple(paper(lying.flat(body.to_own(at))) for at in mouth_rim(row, pocket))
            axis = (pocket.tail, plus(pocket.exit, row.frame.inward, 0.2))
            items += [Area("bore", rim), Line("seen", rim, closed=True)]
            items.append(Line("axis", tuple(paper(lying.flat(body.to_own(at))) for at in axis)))
    own = {corner for faces in lying.body.own_shapes for face in faces for corner in face}
    corners = [paper(lying.flat(corner)) for corner in own]
    used: Counter[Side] = Counter()
    later: list[tuple[list[Mark], SeenAt, SeenAt, float]] = []
    for (toward, origin), group in groups.items():
        row = group[0]
        marks = [mark for each in group for mark in _marks(each, lying, body, paper, unit)]
        first = row.pockets[0]
        near = row.from_side(first.station, origin)
        rises = 1.0 if row.from_side(first.station + 1.0, origin) > near else -1.0
        across = lying.flat(body.direction_to_own(row.frame.across))
        inward = lying.flat(body.direction_to_own(row.frame.inward))
        zero = paper(lying.flat(body.to_own(plus(first.exit, row.frame.across, -rises * near))))
        out = inward[0], -inward[1]
        reach = max(x * out[0] + y * out[1] for x, y in corners) - zero[0] * out[0] - zero[1] * out[1]
        off = CLEAR + max(0.0, reach) + used[toward] * APART
        used[toward] += 1
        items += running(marks, zero, out, (rises * across[0], -rises * across[1]), origin.value, off)
        later.append((marks, out, (across[0], -across[1]), from_joint(row)))
    scale = abs(paper((0.0, 1.0))[1] - paper((0.0, 0.0))[1])
    items += fastener_signs(lying.fasteners, lambda own: paper(lying.flat(own)), scale)
    taken = {
        under: sum(n for toward, n in used.items() if _looks(lying, toward, under)) for under in (True, False)
    }
    for measured_from, found in _walls_set_out(part, lying, unit):
        items += _from_side(part, measured_from, found, lying, paper, outline, taken)
    for measured_from, places in distances(lying.fasteners).items():
        found = [(own, away, to_sixteenth(away, unit)) for own, away in places]
        items += _from_side(part, measured_from, found, lying, paper, outline, taken, leaders=True)
    for at, one, other in _taper_ends(part, side):
        low, high = sorted(
            (paper(lying.flat(floats(each))) for each in (one, other)), key=lambda each: -each[1]
        )
        over = low[0] > (outline[0] + outline[2]) / 2
        off = CLEAR + APART * (used[at] if over else taken[False])
        left = next(abs(a - b) for a, b in zip(one, other, strict=True) if a != b)
        items += dimension(low, high, -off if over else off, length(left, unit))
    for marks, out, sideways, away in later:
        items += _free([*there, *items], meeting_distance(marks, out, sideways, to_sixteenth(away, unit)))
    for met in lying.met[:MOST_NAMED]:
        place = [paper(lying.flat(corner)) for patch in met.patches for corner in patch]
        items += _free([*there, *items], named(met, place), 0.0)
    for mark in arc_marks(part, side, unit):
        items += _free([*there, *items], written(mark, lambda own: paper(lying.flat(own))))
    return items


def _free(items: Sequence[Item], ways: Iterable[list[Item]], touch: float = WORDS_TOUCH) -> list[Item]:
    """Of several ways to write something, none of whose words may lie on others, the first whose words lie on the
    fewest lines, a break's less than any; the text below the drawing has it too."""
    texts = [item for item in items if isinstance(item, Text)]
    best: tuple[float, list[Item]] = (inf, [])
    for way in ways:
        mine = [item for item in way if isinstance(item, Text)]
        if any(texts_meet(one, other) for one in mine for other in texts):
            continue
        lines = (line for one in mine for line in on_lines(one, items, touch))
        worse = sum(0.3 if line.kind == "thin" else 1.0 for line in lines)
        if worse < best[0]:
            best = worse, way
        if not worse:
            break
    return best[1]


def _marks(row: Row, lying: Flatwise, body: Body, paper: Paper, unit: str) -> Iterable[Mark]:
    for pocket in row.pockets:
        mouth, leaves = (paper(lying.flat(body.to_own(p))) for p in (pocket.mouth, pocket.exit))
        away = row.from_side(pocket.station, row.origin)
        yield Mark(mouth, leaves, away, to_sixteenth(away, unit))


def _walls_set_out(
    part: Part, lying: Flatwise, unit: str
) -> Iterator[tuple[Side, list[tuple[Vector, float, str]]]]:
    """By the side measured from, where what is cut away and what meets a side lie, how far off, and in words."""
    for side, walls in lying.walls.items():
        aways = sorted(part.from_side(side, at) for at in walls)
        places = (scaled(AXES[side.axis], float(part.from_side(side, away))) for away in aways)
        yield side, [(at, float(away), length(away, unit)) for at, away in zip(places, aways, strict=True)]


def _from_side(
    part: Part,
    measured_from: Side,
    found: Sequence[tuple[Vector, float, str]],
    lying: Flatwise,
    paper: Paper,
    outline: Room,
    taken: dict[bool, int],
    *,
    leaders: bool = False,
) -> list[Item]:
    """Distances of places from one side on one line, under the outline or to its left, beyond those ``taken``; with
    ``leaders`` from the places themselves."""
    left, _, _, base = outline
    axis = measured_from.axis
    x, y = lying.flat(AXES[axis])
    along = abs(x) > 0.5

    def foot(own: Vector) -> SeenAt:
        at = paper(lying.flat(own))
        return (at[0], base) if along else (left, at[1])

    marks = [
        Mark(paper(lying.flat(own)) if leaders else foot(own), foot(own), away, words)
        for own, away, words in found
    ]
    low = measured_from.sign < 0
    zero = foot(scaled(AXES[axis], 0.0 if low else float(part.size[axis])))
    rising = (x, -y) if low else (-x, y)
    off = CLEAR + taken[along] * APART
    taken[along] += 1
    out = (0.0, 1.0) if along else (-1.0, 0.0)
    return running(marks, zero, out, rising, measured_from.value, off)


def _looks(lying: Flatwise, toward: Side, under: bool) -> bool:
    """Whether a side lies under a face on paper, or else to its left."""
    x, y = lying.flat(square(toward))
    return y < -0.5 if under else x < -0.5


def _walls(part: Part, side: Side, lying: Flatwise) -> dict[Side, set[Fraction]]:
    found: defaultdict[Side, set[Fraction]] = defaultdict(set)
    for places in (
        _of_cuts(part, side),
        _of_joints(part, lying),
        _of_arcs(part, side),
        _of_tapers(part),
        _of_met(lying),
    ):
        for measured_from, at in places:
            found[measured_from].add(at)
    for axis in Axis:
        low, high = side_of(axis, -1), side_of(axis, 1)
        if found[low] and found[high] and abs(lying.flat(AXES[axis])[0]) <= 0.5:
            # Beside the face, lines from two sides would run through one another's words.
            found[low] |= found.pop(high)
    inside = {
        each: {at for at in places if 0 < at < part.size[each.axis]}
        for each, places in found.items()
        if each.axis is not side.axis
    }
    return {each: places for each, places in inside.items() if places}


def _of_cuts(part: Part, side: Side) -> Iterator[tuple[Side, Fraction]]:
    """The walls of what is cut into a side, of a hole its middle."""
    for r in part.removals:
        if not r.points and opens_to(part, r, side):
            for axis in Axis:
                hole = r.kind == "hole"
                walls = [(r.low[axis] + r.high[axis]) / 2] if hole else [r.low[axis], r.high[axis]]
                yield from ((side_of(axis, -1), at) for at in walls)


def _of_joints(part: Part, lying: Flatwise) -> Iterator[tuple[Side, Fraction]]:
    for shaped in lying.shaped:
        if shaped.low is not None and shaped.high is not None:
            for axis in Axis:
                nearer = part.nearer(axis, shaped.low, shaped.high)
                yield from ((nearer, at) for at in (shaped.low[axis], shaped.high[axis]))


def _of_arcs(part: Part, side: Side) -> Iterator[tuple[Side, Fraction]]:
    """The points that an arc runs through; of one that is told by its depth, that of a bow's corners."""
    for arc in arc_shapes(part):
        if arc.level is side.axis:
            for point in arc.points:
                yield side_of(arc.run, -1), point[arc.run]
                yield arc.side, point[arc.side.axis]
            if arc.swells and not arc.points:
                yield arc.side, part.from_side(arc.side, arc.deep)


def _of_tapers(part: Part) -> Iterator[tuple[Side, Fraction]]:
    """Where a taper starts."""
    for trim in part.trims:
        if trim.kind == "taper" and trim.at is not None:
            yield trim.at.opposite, part.from_side(trim.at.opposite, trim.sizes[1])


def _of_met(lying: Flatwise) -> Iterator[tuple[Side, Fraction]]:
    """The near edge of each part that meets a side."""
    for met in lying.met:
        for axis in Axis if met.square else ():
            yield side_of(axis, -1), Fraction(met.box.low[axis]).limit_denominator(100_000)


def _taper_ends(part: Part, side: Side) -> Iterator[tuple[Side, Size, Size]]:
    """The ends to which a part tapers, as it is seen on a side: each with the two corners that the taper leaves."""
    for trim in part.trims:
        seen = [each for each in trim.sides if each.axis is not side.axis]
        if trim.at is not None and trim.at.axis is not side.axis and seen:
            taken = (part.size[seen[0].axis] - trim.sizes[0]) / len(seen)
            corners = [
                {
                    trim.at.axis: part.from_side(trim.at, Fraction(0)),
                    each.axis: part.from_side(each, taken if each in seen else Fraction(0)),
                    side.axis: part.from_side(side, Fraction(0)),
                }
                for each in (seen[0], seen[0].opposite)
            ]
            low, high = sorted((at[Axis.X], at[Axis.Y], at[Axis.Z]) for at in corners)
            yield trim.at, low, high


def from_joint(row: Row) -> float:
    """From the side that meets the other part to the middle of a mouth, along the drilled face."""
    meeting = row.piece.body(row.part).planes[row.side]
    mouth = row.pockets[0].mouth
    return meeting.depth(mouth) / max(dot(meeting.normal, row.frame.inward), LEAST_DIVISOR)

"""Screws and bores that run into one another, over all joints of a piece, and into the tenons of other joints.

Each pocket gives two round bodies: the wide bore, from its flat shoulder to the end of its slanting mouth, and the
screw, from the shoulder to its point. Pairs of one row lie side by side and are judged by their spacing; all other
pairs are judged here.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from functools import lru_cache
from typing import NamedTuple

from planlint.geometry.drilling.bore_clearance import bore_hull
from planlint.geometry.drilling.screw_choice import neck
from planlint.geometry.joint_facts import Pocket, Screw, Vector
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.box_index import BoxTree, bounding_box, box_round, boxes_meet, overlapping_pairs
from planlint.geometry.shapes.convex import Hull, Rim, disc, gap_between, point, way_out
from planlint.geometry.shapes.segments import segment_to_box, segment_to_segment
from planlint.geometry.shapes.vectors import dot, minus, norm, plus, unit
from planlint.language.joint_table import Form
from planlint.model.directions import Axis, Side
from planlint.model.plan import Join, Part


class Rod(NamedTuple):
    """A round body inside a segment's surroundings: ``what`` is ``"screw"`` or ``"bore"``. Radius in inches."""

    screw: Screw
    what: str
    start: Vector
    end: Vector
    radius: float


class Meeting(NamedTuple):
    """Two rods nearer than asked; ``wood`` is what stands between their surfaces, in inches; where they run into one
    another, less the least move that takes them apart."""

    first: Rod
    second: Rod
    wood: float


def rods(screw: Screw, bit_radius: float) -> tuple[Rod, ...]:
    """The bore and the screw of one pocket; of what is driven through a face only itself."""
    pocket = screw.pocket
    driven = Rod(screw, "screw", pocket.shoulder, screw.tip, screw.diameter / 2)
    if pocket.mouth == pocket.tail:
        return (driven,)
    return Rod(screw, "bore", _behind(pocket), pocket.shoulder, bit_radius), driven


def _behind(pocket: Pocket) -> Vector:
    """The place on a bore's axis that lies as far back as the end of its mouth."""
    back = dot(minus(pocket.mouth, pocket.tail), pocket.direction)
    back = max(back, dot(minus(pocket.mouth, pocket.shoulder), pocket.direction))
    return plus(pocket.mouth, pocket.direction, -back)


def hull(rod: Rod) -> Hull:
    """The rod as it is: a bore ends at a flat shoulder and aslant at the face, a screw in a point."""
    pocket = rod.screw.pocket
    if rod.what == "screw":
        waist = neck(rod.screw)
        return (
            disc(pocket.shoulder, pocket.direction, rod.radius),
            disc(waist, pocket.direction, rod.radius),
            point(rod.screw.tip),
        )
    return bore_hull(pocket, rod.radius)


def _flats(rod: Rod) -> list[Vector]:
    """A rod's axis, and the normal of the face that its bore is drilled in."""
    direction = rod.screw.pocket.direction
    if rod.screw.pocket.mouth == rod.screw.pocket.tail:
        return [direction]
    long = unit(minus(rod.screw.pocket.mouth, rod.screw.pocket.tail))
    return [direction, unit(plus(direction, long, -dot(direction, long)))]


def _at_least(first: Rod, second: Rod) -> float:
    """What stands between two rods at least: quicker to know than how much it is."""
    between = segment_to_segment(first.start, first.end, second.start, second.end)
    return between - first.radius - second.radius


def wood_between(first: Rod, second: Rod) -> float:
    """What stands between the surfaces of two rods, in inches; where they meet, less the least move that parts them."""
    # In an order that does not change with the plan's.
    first, second = sorted((first, second), key=lambda rod: (rod.start, rod.end))
    return _between(hull(first), hull(second), lambda: [*_flats(first), *_flats(second)])


def _between(first: Hull, second: Hull, ways: Callable[[], list[Vector]]) -> float:
    wood = gap_between(first, second)
    if wood > 0:
        return wood
    origin = first[0].centre
    return -_way_out(_seen_from(first, origin), _seen_from(second, origin), tuple(map(_rounded, ways())))


@lru_cache(maxsize=1024)
def _way_out(first: tuple[Rim, ...], second: tuple[Rim, ...], ways: tuple[Vector, ...]) -> float:
    """How far out: looking for it is dear, and a row of alike bays has the same crossing over and over."""
    return norm(way_out(first, second, ways))


def _rounded(at: Vector) -> Vector:
    return round(at[0], 9), round(at[1], 9), round(at[2], 9)


def _seen_from(hull: Hull, origin: Vector) -> tuple[Rim, ...]:
    """A body from a point near by, the same wherever in the piece both lie."""
    return tuple(
        Rim(_rounded(minus(centre, origin)), _rounded(u), _rounded(v), most) for centre, u, v, most in hull
    )


def _pairs(a: Screw, b: Screw, bit_radius: float) -> Iterator[tuple[Rod, Rod]]:
    """The rods of two pockets that can meet: bores in two parts have wood of their own, and at the most their mouths
    lie on one another."""
    two = a.pocket.part is not b.pocket.part
    for mine in rods(a, bit_radius):
        for theirs in rods(b, bit_radius):
            if not (two and mine.what == theirs.what == "bore"):
                yield mine, theirs


def nearest_rods(a: Screw, b: Screw, bit_radius: float) -> Meeting:
    """The two rods of two pockets that come nearest to one another."""
    pairs = sorted(
        ((_at_least(x, y), x, y) for x, y in _pairs(a, b, bit_radius)), key=lambda each: round(each[0], 9)
    )
    best: Meeting | None = None
    for least, x, y in pairs:
        if best is None or least < best.wood:
            found = Meeting(x, y, wood_between(x, y))
            if best is None or found.wood < best.wood:
                best = found
    assert best is not None
    return best


def clear(a: Screw, b: Screw, bit_radius: float, least: float) -> bool:
    """Whether ``least`` inches of wood or more stand between the bores and screws of two pockets."""
    return not any(
        _at_least(x, y) < least and gap_between(hull(x), hull(y), least) < least
        for x, y in _pairs(a, b, bit_radius)
    )


def screw_meetings(screws: Sequence[Screw], bit_radius: float, least: float) -> list[Meeting]:
    """The nearest rods of each pair of pockets of different rows, where less than ``least`` inches of wood is left."""
    found = []
    for i, j in ScrewMap(screws, bit_radius + least / 2).pairs():
        a, b = screws[i].pocket, screws[j].pocket
        if a.join is b.join and a.row == b.row:
            continue
        if not clear(screws[i], screws[j], bit_radius, least):
            found.append(nearest_rods(screws[i], screws[j], bit_radius))
    return found


def by_joints(found: Iterable[Meeting]) -> Iterator[Meeting]:
    """The worst meeting of each pair of joints, in the order of the plan; of equals the lowest, leftmost, foremost."""
    worst: dict[tuple[int, int], Meeting] = {}
    for each in found:
        pair = (each.first.screw.pocket.join.index, each.second.screw.pocket.join.index)
        if pair not in worst or _how_bad(each) < _how_bad(worst[pair]):
            worst[pair] = each
    return iter(worst[pair] for pair in sorted(worst))


def _how_bad(meeting: Meeting) -> tuple[float, ...]:
    x, y, z = meeting.first.screw.pocket.exit
    # No finer than a way out is found.
    return round(meeting.wood, 2), round(z, 6), round(x, 6), round(y, 6)


# ---------------------------------------------------------------- tenons


class Tenon(NamedTuple):
    """What of one part lies in the other's wood by a joint: ``box`` in the own frame of ``body``, whose wood it is.

    Dowels, pins and inserts are ``round`` about one of that part's axes.
    """

    join: Join
    body: Body
    box: Box
    round: Axis | None = None

    fitted: str = ""
    """``hinges``, ``slides``, ``buttons`` or ``clips``: the wood that those want, by what is usual."""

    @property
    def host(self) -> Part:
        """The part that gives way to it."""
        return self.join.other(self.body.part)


def tenon(join: Join, body: Body, forms: Collection[Form] = (Form.TONGUE,)) -> Tenon | None:
    """What of part A lies in B by a traditional joint, ``body`` being A's; ``None`` where nothing does.

    Thickness and width count from the middle of A where the plan gives them, else they are A's own; a haunched tenon
    lies away from the side that is flush, where its haunch is.
    """
    made = join.tradition
    if made is None or not made.inset or made.joint.form not in forms:
        return None
    part, end = body.part, join.side_a.axis
    low, high = [0.0, 0.0, 0.0], list(body.size)
    if join.side_a.sign > 0:
        low[end] = high[end] - float(made.inset)
    else:
        high[end] = float(made.inset)
    for axis, measure in ((part.facing.axis, "thick"), (part.across, "wide"), (part.grain, "wide")):
        size = made.measures.get(measure)
        if size is not None and axis != end and float(size) < body.size[axis]:
            middle, half = body.size[axis] / 2, float(size) / 2
            low[axis], high[axis] = middle - half, middle + half
            haunch = haunch_side(join, axis) if measure == "wide" else None
            if haunch is not None:
                shift = -haunch.sign * (middle - half)
                low[axis], high[axis] = low[axis] + shift, high[axis] + shift
            if measure == "wide":
                break
    return Tenon(join, body, Box((low[0], low[1], low[2]), (high[0], high[1], high[2])))


def haunch_side(join: Join, across: Axis) -> Side | None:
    """The side of A at which its tenon is haunched: the one that is flush."""
    if join.tradition is None or "haunched" not in join.tradition.words:
        return None
    flush = (placing.side for placing in join.placings if placing.flush and placing.side is not None)
    return next((side for side in flush if side.axis is across), None)


def wood_to_tenon(screw: Screw, other: Tenon, bit_radius: float) -> tuple[float, str]:
    """Least wood between a pocket's bore or screw and a tenon, and which of the two is nearer; where one runs into
    the tenon, less the least move that takes it out."""
    block, body = _block(other), other.body
    sides = [body.along(axis) for axis in Axis]
    return min(
        (_between(hull(rod), block, lambda rod=rod: [*_flats(rod), *sides]), rod.what)  # type: ignore[misc]
        for rod in rods(screw, bit_radius)
    )


def clear_of_tenon(screw: Screw, other: Tenon, bit_radius: float, least: float) -> bool:
    """Whether ``least`` inches of wood or more stand between a pocket's bore and screw and a tenon."""
    own = other.body.to_own
    return not any(
        segment_to_box(own(rod.start), own(rod.end), other.box) - rod.radius < least
        and gap_between(hull(rod), _block(other), least) < least
        for rod in rods(screw, bit_radius)
    )


def wood_beside(one: Tenon | Screw, other: Tenon | Screw) -> float:
    """Least wood between two things let or driven into one part; where they meet, less the least move that does it."""
    ways = [way for each in (one, other) if isinstance(each, Tenon) for way in map(each.body.along, Axis)]
    return _between(solid(one), solid(other), lambda: ways)


def solid(made: Tenon | Screw) -> Hull:
    """What is let or driven into a part, as a convex body."""
    return hull(rods(made, 0.0)[-1]) if isinstance(made, Screw) else _block(made)


def meeting_box(made: Tenon | Screw, reach: float) -> Box:
    """A box round what is let or driven into a part, ``reach`` inches wider all round."""
    if isinstance(made, Screw):
        return bounds(made, reach + made.diameter / 2)
    return box_round(*bounding_box([made.body.to_piece(corner) for corner in made.box.corners]), reach)


def _block(tenon: Tenon) -> Hull:
    body, box, axis = tenon.body, tenon.box, tenon.round
    if axis is None:
        return [point(body.to_piece(corner)) for corner in box.corners]
    middle = [(low + high) / 2 for low, high in zip(box.low, box.high, strict=True)]
    across = Axis((axis + 1) % 3)
    ends = []
    for end in (box.low[axis], box.high[axis]):
        middle[axis] = end
        centre = body.to_piece((middle[0], middle[1], middle[2]))
        ends.append(disc(centre, body.along(axis), (box.high[across] - box.low[across]) / 2))
    return ends


# ---------------------------------------------------------------- what is near


def bounds(screw: Screw, reach: float) -> Box:
    """A box round a bore and its screw, which lie on one line, ``reach`` inches wider all round."""
    return box_round(_behind(screw.pocket), screw.tip, reach)


class ScrewMap:
    """Pockets with their screws, sorted by place: asked which come near a box, or near one another."""

    def __init__(self, screws: Sequence[Screw], reach: float) -> None:
        self._screws = screws
        self._tree = BoxTree([bounds(screw, reach) for screw in screws])

    def near(self, box: Box) -> list[Screw]:
        """Those whose boxes meet ``box``, in the order given."""
        near = sorted(self._tree.near(box))
        return [self._screws[number] for number in near if boxes_meet(self._tree.boxes[number], box)]

    def pairs(self) -> list[tuple[int, int]]:
        """Index pairs whose boxes meet: cost grows with the screws and the pairs found."""
        return sorted(overlapping_pairs(self._tree.boxes))

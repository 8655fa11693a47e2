"""What traditional joints cut into each part, and where: tenons and mortises, laps, tails and pins, holes, grooves.

How each joint is made, and what is usual where a plan is silent, is common practice, from memory.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from fractions import Fraction
from math import ceil
from typing import NamedTuple

from planlint.geometry.drilling.fastener_places import FastenerRow
from planlint.geometry.drilling.screw_clashes import haunch_side, tenon
from planlint.geometry.fastener_bores import loose_row
from planlint.geometry.join_holds import shaped
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.let_in import box_within, cut_box, in_frame_of, overlap_of
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.box_index import bounding_box
from planlint.language.joint_table import JOINTS, Form
from planlint.model.directions import Axis, Side, side_of
from planlint.model.join_details import Tradition
from planlint.model.plan import Join, Part, Size
from planlint.text.rounding import ROUNDING

TONGUED = (Form.TONGUE, Form.RABBET, Form.BRIDLE)
"""Shoulders are cut round what of A lies in B."""
_PITCH = {"tails": Fraction(2), "dowel holes": Fraction(4), "biscuit slots": Fraction(8)}
"""About how far apart tails, dowels and biscuits stand, middle to middle, where a plan is silent. Basis: common
practice, from memory."""
SPLINE_DEEP = Fraction(1, 2)
"""The share of a spline's width that goes into each part. Basis: geometry."""
DOWEL_SPARE = Fraction(1, 16)
"""A hole is so much deeper than what goes in, for glue. Basis: common practice, from memory."""


class Shaped(NamedTuple):
    """What one joint makes of one side of a part. ``low`` and ``high``, in inches in the part's own frame, bound what
    stays of it (``stays``), what is cut out of it, or where it meets the other; ``None`` where the plan does not
    settle that.
    """

    side: Side
    kind: str
    makes: str
    measures: tuple[tuple[str, Fraction], ...]
    """As the plan says them."""
    words: tuple[str, ...]
    """``through``, ``stub``, ``haunched``."""
    lets_in: bool
    """Whether the other part comes into this one."""
    low: Size | None = None
    high: Size | None = None
    haunch: Side | None = None
    """The side that a haunch lies at."""
    at: tuple[Size, ...] = ()
    """Where the plan lays dowels or biscuits out, in the part's own frame."""
    origin: Side | None = None
    """The side that the plan measures them from, where it is one of this part."""
    takes: Fraction | None = None
    """How thick the other part is, where one of the two has no wood for half of a dowel."""

    @property
    def form(self) -> Form:
        return JOINTS[self.kind].form

    @property
    def stays(self) -> bool:
        """Whether it is what stays of a part: shoulders are cut round it."""
        return not self.lets_in and self.form in TONGUED

    @property
    def boxed(self) -> bool:
        """Whether its box tells it in full."""
        return self.form in TONGUED or self.form is Form.LAP

    @property
    def said(self) -> dict[str, Fraction]:
        return dict(self.measures)

    @property
    def bored(self) -> Fraction | None:
        """How deep half of a dowel or biscuit goes, with room for glue, where the plan says it."""
        said = self.said
        half = said["long"] / 2 + DOWEL_SPARE if self.kind == "dowels" and "long" in said else None
        return said.get("deep", half)


def usual_count(makes: str, long: Fraction, measures: dict[str, Fraction]) -> int:
    """How many tails, fingers, dowels or biscuits come on such a length, where only common practice says."""
    if makes == "fingers":
        return max(1, round(long / measures["wide"])) if measures.get("wide") else 0
    pitch = _PITCH.get(makes, _PITCH["tails"])
    if makes in {"dowel holes", "biscuit slots"}:
        return max(2, ceil(long / pitch)) if long >= 1 else 1
    return max(1, round(long / pitch))


@of_piece
def shaped_parts(piece: Piece) -> dict[int, tuple[Shaped, ...]]:
    """What traditional joints ask of each part, by its index."""
    found: defaultdict[int, tuple[Shaped, ...]] = defaultdict(tuple)
    for join in piece.plan.joins:
        if join.tradition is not None and shaped(join):
            for part, each in _shaped(piece, join, join.tradition):
                found[part.index] = (*found[part.index], each)
    return found


def _shaped(piece: Piece, join: Join, said: Tradition) -> Iterator[tuple[Part, Shaped]]:
    a, b = piece.body(join.part_a), piece.body(join.part_b)
    settled = piece.trusted(join) and join.part_a.turn == join.part_b.turn
    if join.form is Form.LAP:
        boxes = _laps(join, a, b) if settled else (None, None)
    elif join.form in TONGUED:
        boxes = _tongue(join, said, a, b, settled=settled)
    elif said.inset:
        boxes = (_shared(b, a), _shared(a, b)) if settled else (None, None)
    else:
        boxes = (_met(piece, join, a), _met(piece, join, b)) if piece.trusted(join) else (None, None)
    sides = ((join.part_a, join.side_a, a, False), (join.part_b, join.side_b, b, True))
    measures, words = tuple(said.measures.items()), tuple(sorted(said.words))
    row = _row(piece, join)
    haunch = haunch_side(join, join.part_a.across)
    for (part, side, body, lets_in), box, makes in zip(sides, boxes, said.joint.makes, strict=True):
        cut_out = join.form is not Form.FINGERS and (lets_in or join.form not in TONGUED)
        if box is not None and cut_out and any(cut.volume >= box.volume / 2 for cut in _cut_in(part, box)):
            continue  # A line of the part cuts out what the joint asks for: it is told as that.
        if makes == "tongue" and said.kind in {"dado", "rabbet", "bridle"} and box is not None:
            whole = all(
                box.low[x] < ROUNDING and box.high[x] > body.size[x] - ROUNDING for x in _beside(side)
            )
            if whole and (said.kind != "bridle" or "thick" in said.measures):
                continue  # All of it goes in.
        made = Shaped(
            side,
            said.kind,
            makes,
            measures,
            words,
            lets_in,
            box and _size(box.low),
            box and _size(box.high),
            haunch,
            tuple(_size(body.to_own(point)) for point in row.at) if row is not None else (),
            row.fastening.row.origin if row is not None and settled else None,
        )
        wood = [one.size[met.axis] for one, met, *_ in sides]
        thin = made.form is Form.LOOSE and made.bored is not None and made.bored >= min(wood)
        yield part, made._replace(takes=wood[not lets_in]) if thin else made


def _row(piece: Piece, join: Join) -> FastenerRow | None:
    return loose_row(join, *piece.meeting(join), piece.contact(join)) if piece.trusted(join) else None


def _beside(side: Side) -> list[Axis]:
    return [axis for axis in Axis if axis is not side.axis]


def _size(values: tuple[float, float, float]) -> Size:
    """Exact again what was worked out in floats."""
    x, y, z = (Fraction(value).limit_denominator(100_000) for value in values)
    return x, y, z


def _tongue(join: Join, said: Tradition, a: Body, b: Body, *, settled: bool) -> tuple[Box | None, Box | None]:
    """What goes in of A, in A's frame, and what is cut out of B for it, in B's."""
    made = tenon(join, a, TONGUED)
    if made is None:
        return None, None
    inside = box_within(in_frame_of(made.box, a, b), b.size) if settled else None
    if inside is None:
        return made.box, None
    deep = said.measures.get("deep")
    if said.kind == "mortise and tenon" and deep is not None:
        inside = _from(join.side_b, min(float(deep), b.size[join.side_b.axis]), inside)
    return made.box, inside


def _shared(one: Body, other: Body) -> Box | None:
    """What two parts share, in the frame of the second."""
    return box_within(in_frame_of(Box((0.0, 0.0, 0.0), one.size), one, other), other.size)


def _laps(join: Join, a: Body, b: Body) -> tuple[Box | None, Box | None]:
    """What is cut out of each: what the plan says is left of A, or what the other's cut leaves, else half of both."""
    in_a, in_b = _shared(b, a), _shared(a, b)
    if in_a is None or in_b is None or join.tradition is None:
        return None, None
    end = join.part_a.is_end(join.side_a)
    side_a = join.part_a.facing.opposite if end else join.side_a
    axis = side_a.axis
    deep = in_a.high[axis] - in_a.low[axis]
    left = join.tradition.measures.get("thick")
    b_cut = _cut_deep(join.part_b, in_b, axis)
    a_cut = deep / 2
    if left is not None:
        a_cut = a.size[axis] - float(left)
    elif b_cut is not None:
        a_cut = deep - b_cut
    if not 0 < a_cut < deep:
        return None, None
    return _from(side_a, a_cut, in_a), _from(side_a.opposite, deep - a_cut, in_b)


def _cut_deep(part: Part, box: Box, axis: Axis) -> float | None:
    """How deep along an axis the plan itself cuts a part where another laps it."""
    large = (cut for cut in _cut_in(part, box) if cut.volume > box.volume / 4)
    return next((cut.high[axis] - cut.low[axis] for cut in large), None)


def _cut_in(part: Part, box: Box) -> Iterator[Box]:
    """What the plan itself cuts out of a box."""
    for removal in part.removals:
        shared = overlap_of(cut_box(removal), box)
        if shared is not None:
            yield shared


def _from(side: Side, deep: float, box: Box) -> Box:
    """So much of a box from one of its sides."""
    low, high = box.low[side.axis], box.high[side.axis]
    return box.between(side.axis, *((high - deep, high) if side.sign > 0 else (low, low + deep)))


def _met(piece: Piece, join: Join, body: Body) -> Box | None:
    """The smallest box round where the two sides meet, in the frame of one part."""
    points = [body.to_own(point) for point in piece.contact(join).points]
    return bounding_box(points) if points else None


def shoulders(shaped: Shaped, part: Part) -> dict[Side, Fraction]:
    """How far each shoulder of a tenon or tongue lies inside its side of the part."""
    assert shaped.low is not None
    assert shaped.high is not None
    return {
        side: part.inside(side, shaped.low, shaped.high)
        for axis in _beside(shaped.side)
        for side in (side_of(axis, -1), side_of(axis, 1))
    }


SPLINE_UNIT = 254
"""Splines are counted by their length, in so many to the inch: tenths of a millimetre."""


class Loose(NamedTuple):
    """What lies in a joint and is bought: dowels, biscuits or splines of one size."""

    what: str
    """``dowels``, ``biscuits`` or ``splines``."""
    measures: tuple[tuple[str, Fraction], ...]


def loose_pieces(piece: Piece) -> Counter[Loose]:
    """How many dowels and biscuits, and how much spline settled joints take (``SPLINE_UNIT``)."""
    found: Counter[Loose] = Counter()
    for join in piece.plan.joins:
        if (here := loose_in(piece, join)) is not None:
            found[here[0]] += here[1]
    return found


def loose_in(piece: Piece, join: Join) -> tuple[Loose, int] | None:
    """What lies in one settled joint, and how many of it, as ``spread`` has it: of splines so many ``SPLINE_UNIT``."""
    said = join.tradition
    if said is None or said.joint.form is not Form.LOOSE or not piece.trusted(join):
        return None
    met = _met(piece, join, piece.body(join.part_a))
    if met is None:
        return None
    what = "splines" if said.joint.splined else said.kind
    run = _size(met.high)[_longer(met)] - _size(met.low)[_longer(met)]
    measures = tuple((word, said.measures[word]) for word in sorted(said.measures) if word != "deep")
    row = _row(piece, join)
    if row is not None:
        return Loose(what, measures), len(row.at)
    return Loose(what, measures), (
        ceil(run * SPLINE_UNIT)
        if said.joint.splined
        else usual_count(said.joint.makes[0], run, said.measures)
    )


def _longer(box: Box) -> int:
    return max(range(3), key=lambda i: box.high[i] - box.low[i])

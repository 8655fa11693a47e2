"""Which ways a joint lets its parts come apart, and so together: by what lies in it, as it is made in the trade.

How traditional joints go together is common practice, from memory. Where a plan does not say how a cut is made,
the ways that an honest cut allows are taken; cuts that the plan does draw narrow them further (``swept_wood``).
"""

from fractions import Fraction
from typing import NamedTuple

from planlint.geometry.fastener_bores import DOWEL_IN
from planlint.geometry.joint_facts import Contact, Vector
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import cross, dot, scaled, unit
from planlint.language.joint_table import Comes, Form
from planlint.model.directions import Axis
from planlint.model.plan import Join
from planlint.text.rounding import ALIGNED

SNUG = 1 / 64
"""Inches by which a part may fall short of an end and still cover it. Basis: our own judgement."""
SQUARE = 1e-3
"""The cosine under which two directions are square to one another: to 1/16 of a degree. Basis: our own judgement."""
SKIN = Fraction(3, 8)
"""A panel no thicker than this, in inches, is slid into its grooves, glued or not (so is any that floats), or let into
rabbets over their open side. Basis: our own judgement."""
BISCUIT_IN = 1 / 2
"""Inches that a biscuit stands in each part where the plan does not say it. Basis: common practice, from memory."""


class Freedom(NamedTuple):
    """The ways in which part A of a joint may leave part B, as unit vectors in the piece's axes.

    Any way with a share of ``out`` or square to it, that is also square to ``walls`` and not towards a rabbet's
    ``shoulder``; where ``only`` is given, just those. ``deep`` is how far A must go along ``out``, in inches, before
    the joint no longer guides it.
    """

    out: Vector
    walls: Vector | None = None
    only: tuple[Vector, ...] = ()
    deep: float = 0.0
    shoulder: Vector | None = None

    @property
    def loose(self) -> bool:
        """Whether wood alone says which ways are open: nothing lies in the joint."""
        return not self.only and self.walls is None and not self.deep

    def allows(self, way: Vector) -> bool:
        """Whether A may start to leave B along a unit vector."""
        if self.only:
            return any(dot(each, way) > ALIGNED for each in self.only)
        if self.walls is not None and abs(dot(self.walls, way)) > SQUARE:
            return False
        if self.shoulder is not None and dot(self.shoulder, way) > SQUARE:
            return False
        return dot(self.out, way) > -SQUARE


def channel_opened(join: Join, body_a: Body, way: Freedom) -> Freedom | None:
    """The ways that a channel allows once it is cut through at its ends, or the part notched there: along it too.

    As it was for a sliding dovetail; ``None`` for what lies in no channel, or in one open only across its walls.
    """
    made, thin = join.made, _axis(body_a, join.part_a.facing.axis)
    if made is not None and made.comes is Comes.ENDWAYS:
        return way
    if made is None or made.comes is not Comes.ALONG or _along(thin, way.out):
        return None
    return Freedom(way.out, walls=thin, deep=way.deep)


def remade(join: Join, way: Freedom) -> Freedom:
    """The ways that a joint allows which is made as a butt; a lap, cut from the other side."""
    if lies_over(join):
        return way._replace(out=scaled(way.out, -1.0), only=(scaled(way.out, -1.0), *way.only[1:]))
    return Freedom(way.out, deep=way.deep)


def lies_over(join: Join) -> bool:
    """Whether A lies over B in a lap of their faces or edges: cut from the other side, it would lie under it."""
    kind = join.tradition.kind if join.tradition else ""
    return kind == "cross lap" or (kind == "half lap" and join.part_a.is_face(join.side_a))


def freedom(join: Join, contact: Contact, body_a: Body, body_b: Body) -> Freedom:
    """The ways in which A of a join may leave B."""
    x, y, z = contact.normal
    out = (0.0 - x, 0.0 - y, 0.0 - z)
    made = join.tradition
    if made is None:
        return Freedom(out)
    comes, deep, part = made.joint.comes, float(made.inset), join.part_a
    thin = _axis(body_a, part.facing.axis)
    if comes is Comes.OUT:
        if join.form is Form.LOOSE:
            deep = _peg(join)
        return Freedom(out, only=(out,), deep=deep)
    if comes is Comes.ALONG:
        if "stub" in made.words or "haunched" in made.words or _along(thin, out):
            return Freedom(out, only=(out,), deep=deep)
        return Freedom(out, walls=thin, deep=deep)
    if comes is Comes.ENDWAYS:
        along = cross(out, thin)
        if dot(along, along) < SQUARE:
            return Freedom(out, only=(body_a.grain, scaled(body_a.grain, -1.0)), deep=deep)
        along = unit(along)
        return Freedom(out, only=_open_to(along, thin, body_a, body_b, "stub" in made.words), deep=deep)
    if comes is Comes.OVER:
        return Freedom(out, only=_over_the_end(thin, body_a, body_b), deep=deep)
    if comes is Comes.OUT_OR_OVER:
        return Freedom(out, only=(out, *_over_the_end(thin, body_a, body_b)), deep=deep)
    if comes in {Comes.PAST_ENDS, Comes.OFF_CHEEKS}:
        only = [out, *_past_ends(body_a, body_b)]
        if comes is Comes.OFF_CHEEKS and not _along(thin, out):
            only += [thin, scaled(thin, -1.0)]
        return Freedom(out, only=tuple(only), deep=deep)
    open_to = (
        [each for each in _reached(body_a, body_b) if _along(thin, each)] if join.form is Form.RABBET else []
    )
    return Freedom(out, deep=deep, shoulder=scaled(open_to[0], -1.0) if len(open_to) == 1 else None)


def skin_in_rabbet(join: Join) -> bool:
    """Whether A, a thin panel, lies with an edge or end in a rabbet of B."""
    part = join.part_a
    return join.form is Form.RABBET and part.thickness <= SKIN and not part.is_face(join.side_a)


def easiest(join: Join, free: Freedom, body_a: Body, body_b: Body) -> Vector:
    """The way in which A of a join is best moved off B: over the open side of a rabbet, else square to the joint."""
    if not skin_in_rabbet(join):
        return free.out
    return _over_the_end(_axis(body_a, join.part_a.facing.axis), body_a, body_b)[0]


def _peg(join: Join) -> float:
    """How far dowels or biscuits stand in one part, in inches."""
    assert join.tradition is not None
    measures = join.tradition.measures
    if "deep" in measures:
        return float(measures["deep"])
    if join.tradition.kind == "biscuits":
        return BISCUIT_IN
    return float(measures["long"]) / 2 if "long" in measures else DOWEL_IN


def _axis(body: Body, axis: Axis) -> Vector:
    """An axis of a part's own frame, in the piece's axes."""
    own: list[float] = [0.0, 0.0, 0.0]
    own[axis] = 1.0
    return body.direction_to_piece((own[0], own[1], own[2]))


def _along(a: Vector, b: Vector) -> bool:
    return abs(dot(a, b)) > ALIGNED


def _over_the_end(way: Vector, body_a: Body, body_b: Body) -> tuple[Vector, ...]:
    """Of a direction and its opposite the one from B's middle to A: out over the end of B that A stands at.

    Both where A stands at the middle of B.
    """
    (xa, ya, za), (xb, yb, zb) = body_a.middle, body_b.middle
    side = dot(way, (xa - xb, ya - yb, za - zb))
    if abs(side) < SNUG:
        return way, scaled(way, -1.0)
    return (scaled(way, 1.0 if side > 0 else -1.0),)


def _reached(body_a: Body, body_b: Body) -> list[Vector]:
    """The ways out of B past those of its sides that A comes to."""
    corners = body_a.bounds.corners
    return [each.normal for each in body_b.planes.values() if min(map(each.depth, corners)) <= SNUG]


def _open_to(along: Vector, thin: Vector, body_a: Body, body_b: Body, stopped: bool) -> tuple[Vector, ...]:
    """The ways out of the socket of a sliding dovetail: along it, a stopped one where A comes to an edge of B (where it
    comes to none, the socket is cut from either); over an end of B where A lies flush with that alone, as the top rail
    of a table is let down into its legs."""
    reached = _reached(body_a, body_b)
    both = along, scaled(along, -1.0)
    ways = tuple(way for way in both if any(dot(way, normal) > ALIGNED for normal in reached))
    if ways:
        return ways if stopped else both
    return tuple(normal for normal in reached if _along(thin, normal)) or both


def _past_ends(body_a: Body, body_b: Body) -> list[Vector]:
    """Ways along B's length past an end that A covers, and back along A's own length where its end is the one that
    covers B: how laps at corners slide apart."""
    past = [way for way in _reached(body_a, body_b) if _along(way, body_b.grain)]
    return past + [scaled(way, -1.0) for way in _reached(body_b, body_a) if _along(way, body_a.grain)]

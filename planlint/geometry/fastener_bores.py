"""What lies in holes that are no pockets, where its place is known: dowels, shelf pins, inserts of bolts.

Of hinges, slides, buttons and clips the wood that their screws want, by what is usual: makers differ.
"""

from collections.abc import Iterator
from fractions import Fraction
from itertools import product

from planlint.geometry.drilling.fastener_places import FastenerRow, fastener_rows
from planlint.geometry.drilling.screw_clashes import Tenon
from planlint.geometry.joint_facts import Contact, Vector
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.vectors import dot, plus
from planlint.model.directions import Axis, Side
from planlint.model.join_details import Fastening
from planlint.model.plan import Join

DOWEL = Fraction(3, 8)
"""Inches that a dowel is thick where the plan does not say. Basis: common practice, in 3/4 in stock."""
DOWEL_IN = 1.0
"""Inches that a dowel stands in each part where the plan does not say it. Basis: common practice, from memory."""
PIN_IN = Fraction(3, 8)
"""Inches that a shelf pin stands in its hole where the plan does not say how long it is. Basis: from memory."""
INSERT_IN, INSERT_OVER = Fraction(1, 2), Fraction(1, 8)
"""Inches that an insert is deep, and that its hole is wider than the bolt. Basis: from memory."""
ALONG = 1 - 1e-6
"""The cosine over which a part's axis runs along a hole: to 1/12 of a degree. Basis: our own judgement."""


LEAF = 2.5
"""Inches that a hinge is long where the plan does not say it. Basis: from memory, of cupboard doors."""
LEAF_END, LEAF_IN = 0.25, 0.625
"""Inches of a hinge's leaf beyond its last screw, and that its screws go in. Basis: from memory, No. 6 x 5/8."""
SLIDE_HOLE, SLIDE_IN = 37 / 25.4, 0.5
"""Inches from a slide's end to its first screw, and that it goes in. Basis: from memory, 37 mm and No. 6 x 1/2."""
FITTED = {"hinges": 0.25, "slides": 0.25, "clips": 0.75}
"""Inches across the line of screws that they want. Basis: from memory: a leaf's stand staggered, a figure-eight is let
in with its whole round."""
CLIP_IN = 0.75
"""Inches that the screw of a clip goes into the edge below. Basis: from memory, No. 8 x 3/4."""
BUTTON_UNDER, BUTTON_SLOT, BUTTON_WIDE = 0.5, 0.375, 1.25
"""Inches below the edge at which a button's slot begins, how high and how deep it is, and how long. Basis: common
practice: 3/8 in tongues in slots 1/2 in down, with room to move."""


def _asked(join: Join) -> Iterator[Fastening]:
    places = join.tradition.places if join.tradition is not None else None
    if places is not None and places.kind == "dowels":
        yield places
    for each in join.fastenings:
        row = each.row
        if (
            each.kind == "pins"
            or ("into inserts" in each.words and row.fixed)
            or (each.kind in {*FITTED, "buttons"} and (row.first is not None or row.fixed))
            or each.kind == "slides"
        ):
            yield each


def may_be_bored(join: Join) -> bool:
    """Whether holes are bored at a join whose places the plan settles."""
    return any(_asked(join))


def loose_row(join: Join, body_a: Body, body_b: Body, contact: Contact) -> FastenerRow | None:
    """The dowels or biscuits of a joint as the plan lays them out; ``None`` where it does not."""
    places = join.tradition.places if join.tradition is not None else None
    return next(fastener_rows(join, body_a, body_b, contact, asked=places), None) if places else None


def bored(join: Join, body_a: Body, body_b: Body, contact: Contact) -> Iterator[Tenon]:
    """What is bored for at a join, as a round tenon of the part that it does not lie in."""
    for asked in _asked(join):
        for row in fastener_rows(join, body_a, body_b, contact, asked=asked):
            into, past = (row.into, row.entered), (row.body, row.side)
            if asked.kind in FITTED or asked.kind == "buttons":
                for one, (host, entered) in ((past, into), (into, past)):
                    if abs(dot(one[0].along(one[1].axis), host.planes[entered].normal)) > ALONG:
                        yield from _fitted(row, one, (host, entered))
                continue
            if asked.kind == "dowels":
                made = join.tradition
                assert made is not None
                deep = made.measures.get("deep") or (asked.length / 2 if asked.length else DOWEL_IN)
                hosts, thick = [(into, past), (past, into)], asked.thick or DOWEL
            elif asked.kind == "pins":
                hosts = [
                    each for each in ((past, into), (into, past)) if each[0][0].part.is_face(each[0][1])
                ][:1]
                deep, thick = (asked.length / 2 if asked.length else PIN_IN), asked.thick or Fraction(0)
            else:
                hosts, thick = [(into, past)], (asked.thick or 0) + INSERT_OVER
                deep = INSERT_IN
            for at in row.at:
                point = at
                if asked.kind == "pins":
                    x, y, z = pin_top(row, at)
                    point = x, y, z - float(thick) / 2
                for (host, entered), (body, side) in hosts:
                    normal = host.planes[entered].normal
                    if abs(dot(body.along(side.axis), normal)) > ALONG:
                        fits = min(float(deep), float(host.part.size[entered.axis]))
                        yield _round(join, body, side, point, float(thick) / 2, fits)


def _round(join: Join, body: Body, side: Side, at: Vector, radius: float, deep: float) -> Tenon:
    """What stands so far out of a side of a part, about a point in the joint."""
    own, axis = body.to_own(at), side.axis
    low, high = [each - radius for each in own], [each + radius for each in own]
    low[axis], high[axis] = sorted((own[axis], own[axis] + side.sign * deep))
    return Tenon(join, body, Box((low[0], low[1], low[2]), (high[0], high[1], high[2])), axis)


def _fitted(row: FastenerRow, past: tuple[Body, Side], into: tuple[Body, Side]) -> Iterator[Tenon]:
    """The wood of one part that the screws of hinges, slides or clips want, or the slots of buttons.

    A top is held by what is let into the edge below it: only that is asked.
    """
    made, (body, side), (host, entered) = row.fastening, past, into
    fixed, kind = not made.moves, made.kind
    if fixed and (host.part.is_face(entered) or not body.part.is_face(side)):
        return
    along = _axis_of(body, row.body.along(row.along))
    across = Axis(3 - along - side.axis)
    low, deep, wide, half = 0.0, CLIP_IN, FITTED.get(kind, BUTTON_SLOT), FITTED["clips"] / 2
    shifts: tuple[float, ...] = (0.0,)
    if kind == "hinges":
        deep, half = LEAF_IN, float(made.length or LEAF) / 2 - LEAF_END
    elif kind == "slides":
        away = float(made.length or 0) / 2 - SLIDE_HOLE
        deep, half, shifts = SLIDE_IN, FITTED[kind] / 2, (-away, away)
    elif kind == "buttons":
        low, deep, half = BUTTON_UNDER, BUTTON_UNDER + BUTTON_SLOT, BUTTON_WIDE / 2
    plane = host.planes[entered]
    for at in row.at:
        own = body.to_own(plus(at, plane.normal, plane.depth(at)))
        middle = own[across]
        if kind == "buttons":
            # The slot is on the side to which the top reaches further.
            inward = 1 if body.size[across] > 2 * middle else -1
            thick = host.size[_axis_of(host, body.along(across))]
            middle += inward * (thick - wide) / 2
        for shift in shifts:
            first, last = list(own), list(own)
            first[across], last[across] = middle - wide / 2, middle + wide / 2
            first[along], last[along] = own[along] + shift - half, own[along] + shift + half
            first[side.axis], last[side.axis] = sorted(
                own[side.axis] + side.sign * each for each in (low, deep)
            )
            yield Tenon(
                row.join, body, Box((first[0], first[1], first[2]), (last[0], last[1], last[2])), None, kind
            )


def _axis_of(body: Body, direction: Vector) -> Axis:
    """Which of a part's own axes runs along a direction, or nearest to it."""
    return max(Axis, key=lambda axis: abs(dot(body.along(axis), direction)))


def pin_top(row: FastenerRow, point: Vector) -> Vector:
    """Where the top of a pin lies: at the under side of what rests on it."""
    rests = row.into if row.body.part.is_face(row.side) else row.body
    wide, deep, high = rests.size
    low = min(rests.to_piece(corner)[2] for corner in product((0.0, wide), (0.0, deep), (0.0, high)))
    return (point[0], point[1], low)

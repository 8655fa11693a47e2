"""What lies in round holes that are no pockets, where its place is known: dowels, shelf pins, inserts of bolts.

Where the screws of hinges, slides, buttons and clips lie is for their makers to say: nothing is known of them here.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import product

from planlint.geometry.drilling.fastener_places import FastenerRow, fastener_rows
from planlint.geometry.drilling.screw_clashes import Tenon
from planlint.geometry.facts import Contact, Vector
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.vectors import dot
from planlint.model.directions import Side
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
"""The cosine over which a part's axis runs along a hole."""


def _asked(join: Join) -> Iterator[Fastening]:
    if join.tradition is not None and join.tradition.places is not None:
        yield join.tradition.places
    for each in join.fastenings:
        if each.kind == "pins" or ("into inserts" in each.words and each.row.fixed):
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
            elif asked.kind == "bolts":
                hosts, thick = [(into, past)], (asked.thick or 0) + INSERT_OVER
                deep = INSERT_IN
            else:
                continue
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


def pin_top(row: FastenerRow, point: Vector) -> Vector:
    """Where the top of a pin lies: at the under side of what rests on it."""
    rests = row.into if row.body.part.is_face(row.side) else row.body
    wide, deep, high = rests.size
    low = min(rests.to_piece(corner)[2] for corner in product((0.0, wide), (0.0, deep), (0.0, high)))
    return (point[0], point[1], low)

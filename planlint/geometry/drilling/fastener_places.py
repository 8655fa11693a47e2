"""Where the fasteners of a joint lie that are no pocket screws: along the contact, square to it."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

from planlint.geometry.drilling.allowed_places import spread
from planlint.geometry.drilling.pocket_layout import GRID
from planlint.geometry.joint_facts import Contact, Pocket, Screw, Vector
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import dot, minus, plus, scaled, unit
from planlint.model.directions import Axis, Side, side_of
from planlint.model.join_details import Fastening
from planlint.model.plan import Join
from planlint.rulebook.limits import NIL
from planlint.text.rounding import LEAST_DIVISOR, whole_down

FASTENER_ROW = 1000
"""What the number of a row of fasteners is counted from, so that none is taken for a row of pockets. Basis:
far more than the rows that a join may have."""
LEAST_END = 0.5
"""Inches from the end of a joint beyond which a row ``every D`` goes no further. Basis: our own judgement."""


Floor = tuple[Side, Side, list[Vector]]
"""Of a panel that lies in a rabbet by its edge: its face on the rabbet's floor, the side of B that is open there, and
the corners of what lies on the floor."""


class FastenerRow(NamedTuple):
    """The fasteners of one line as they lie. ``at`` are their middles in the joint plane, low to high; ``stations`` how
    far along the contact each lies from its low end; ``along`` the axis of ``body`` that the row runs on.

    ``drives`` are their screws, bolts or nails, each as a screw with a pocket that has no bore; none of what is not
    driven.
    """

    join: Join
    fastening: Fastening
    body: Body
    side: Side
    into: Body
    entered: Side
    along: Axis
    stations: tuple[float, ...]
    width: float
    at: tuple[Vector, ...]
    drives: tuple[Screw, ...]


def fastener_rows(
    join: Join,
    body_a: Body,
    body_b: Body,
    contact: Contact,
    passes: Callable[[Screw], bool] | None = None,
    floor: Floor | None = None,
    moved: Mapping[int, tuple[float, ...]] | None = None,
    asked: Fastening | None = None,
) -> Iterator[FastenerRow]:
    """Every line of fasteners of a joint, or only what is ``asked``, laid out; none where the sides do not touch.

    What is driven without a place said is moved to where it ``passes`` the pockets whose places the plan gives, where
    so many find room; rows that are ``moved``, by number, lie there. What goes through a panel in a rabbet goes into
    its ``floor``, not through its whole width.
    """
    met = contact.points
    if not met:
        return
    for number, fastening in enumerate(join.fastenings if asked is None else [asked]):
        a, points = (body_a, join.side_a, body_b, join.side_b), met
        body, side, into, entered = (a[2], a[3], a[0], a[1]) if fastening.row.in_b else a
        if floor is not None and fastening.driven and not fastening.row.in_b:
            side, entered, points = floor
        normal = body.planes[side].normal
        along = _along(fastening, body, side, points)
        way = _in_plane(body, along, normal)
        beside = Axis(3 - along - side.axis)
        over = _in_plane(body, beside, normal)
        low, high = (f(dot(way, point) for point in points) for f in (min, max))
        left, right = (f(dot(over, point) for point in points) for f in (min, max))
        aside: float | None = None
        if fastening.line is not None:
            at, inside = fastening.line
            beside_it = side_of(beside, 1 if at.sign > 0 else -1)
            aside = _measured(body, beside_it, over, float(inside))
        start = body.planes[side]
        base = plus(scaled(normal, start.offset), way, low)
        patches = contact.patches if points is met else ()

        def spot(station: float) -> Vector:
            between = _between(patches, way, low + station, over) if aside is None else aside  # noqa: B023
            inside = (left + right) / 2 if between is None else between  # noqa: B023
            return plus(plus(base, way, station), over, inside)  # noqa: B023

        def drive(station: float) -> Screw:
            return _drive(join, number, fastening, body, side, into, entered, station, spot(station))  # noqa: B023

        elsewhere = (moved or {}).get(number)
        stations = elsewhere or tuple(_stations(fastening, body, along, way, low, high))
        if fastening.kind == "slides" and len(stations) == 1 and not fastening.row.fixed:
            there = _along_a_drawer(low + stations[0], float(fastening.length or 0), way, body, into)
            stations = (there - low,)
        drives = tuple(map(drive, stations))
        loose = fastening.driven and not fastening.row.fixed and elsewhere is None
        if passes and loose and not all(map(passes, drives)):
            apart = min((after - before for before, after in pairwise(stations)), default=0.0) / 2
            passing = spread(stations, high - low, apart, lambda station: passes(drive(station)))
            stations = tuple(passing or stations)
            drives = tuple(map(drive, stations))
        yield FastenerRow(
            join,
            fastening,
            body,
            side,
            into,
            entered,
            along,
            stations,
            high - low,
            tuple(map(spot, stations)),
            drives if fastening.driven else (),
        )


def _along(fastening: Fastening, body: Body, side: Side, points: list[Vector]) -> Axis:
    """The way a row runs: along the side it is measured from, square to the one its line is, else the longer way."""
    if fastening.row.origin is not None:
        return fastening.row.origin.axis
    ways = [axis for axis in Axis if axis is not side.axis]
    if fastening.line is not None:
        ways.remove(fastening.line[0].axis)
        return ways[0]

    def reach(axis: Axis) -> float:
        way = _in_plane(body, axis, body.planes[side].normal)
        found = _ends(body, way) if fastening.kind == "slides" else [dot(way, point) for point in points]
        return round(max(found) - min(found), 6)

    return max(ways, key=reach)


def _ends(body: Body, way: Vector) -> tuple[float, float]:
    """From where to where a part reaches along ``way``."""
    half = sum(abs(dot(way, body.along(axis))) * body.size[axis] for axis in Axis) / 2
    return dot(way, body.middle) - half, dot(way, body.middle) + half


def _along_a_drawer(middle: float, length: float, way: Vector, *bodies: Body) -> float:
    """Of a slide longer than what meets, as on the stile of a frame: within the longer part, where that has room."""
    low, high = max((_ends(each, way) for each in bodies), key=lambda ends: ends[1] - ends[0])
    if high - low < length - NIL:
        return middle
    return min(max(middle, low + length / 2), high - length / 2)


def _in_plane(body: Body, axis: Axis, normal: Vector) -> Vector:
    """The direction of a part's axis within the joint plane."""
    own = body.along(axis)
    return unit(plus(own, normal, -dot(own, normal)))


def _between(patches: Iterable[Sequence[Vector]], way: Vector, at: float, over: Vector) -> float | None:
    """Half-way across what two sides share, at one place along them; ``None`` where they share nothing there."""
    found = []
    for patch in patches:
        for one, other in zip(patch, (*patch[1:], patch[0]), strict=True):
            before, after = dot(way, one) - at, dot(way, other) - at
            if min(before, after) <= NIL and max(before, after) >= -NIL:
                share = before / (before - after) if abs(before - after) > NIL else 0.0
                found += [dot(over, plus(one, minus(other, one), min(1.0, max(0.0, share))))]
                found += [dot(over, other)] if abs(before - after) <= NIL else []
    return (min(found) + max(found)) / 2 if found else None


def _measured(body: Body, side: Side, way: Vector, inside: float) -> float:
    """The place along ``way`` that lies so far inside a side of the part."""
    plane = body.planes[side]
    pitch = dot(plane.normal, way)
    middle = body.middle
    at = dot(way, middle) + plane.depth(middle) / pitch
    return at - inside / pitch


def _stations(
    fastening: Fastening, body: Body, along: Axis, way: Vector, low: float, high: float
) -> Iterator[float]:
    """How far along the contact each lies, from its low end."""
    row, width = fastening.row, high - low
    origin = row.origin
    from_far = (along in fastening.far) if origin is None else origin.sign > 0
    if row.at is not None:
        assert origin is not None
        yield from sorted(_measured(body, origin, way, float(place)) - low for place in row.at)
        return
    if row.first is None:
        count = row.count or 1
        places = [width * (2 * i + 1) / (2 * count) for i in range(count)]
        half = [round(place / GRID) * GRID for place in places[: count // 2]]
        yield from (*half, *([width / 2] if count % 2 else []), *(width - place for place in reversed(half)))
        return
    first, last = float(row.first), float(row.last) if row.last is not None else LEAST_END
    between = width - first - last
    if row.last is not None:
        count = row.between_ends(between)
        step = max(0.0, between) / (count - 1)
    else:
        assert row.every is not None
        step = float(row.every)
        count = max(1, whole_down(between / step) + 1)
    found = [first + step * i for i in range(count)]
    yield from ([width - place for place in reversed(found)] if from_far else found)


def _drive(
    join: Join,
    number: int,
    fastening: Fastening,
    body: Body,
    side: Side,
    into: Body,
    entered: Side,
    station: float,
    middle: Vector,
) -> Screw:
    """One of them from its head to its point, as a screw without a bore; it leaves its part where that wood ends."""
    direction = body.planes[side].normal
    face = body.planes[side.opposite]
    through = face.depth(middle) / max(LEAST_DIVISOR, dot(scaled(face.normal, -1.0), direction))
    if body.part.removals and (wood := body.stretches(plus(middle, direction, -through), middle)):
        middle, through = plus(middle, direction, (wood[-1][1] - 1) * through), wood[-1][1] * through
    setback = through - float(fastening.sunk)
    head = plus(middle, direction, -setback)
    mouth = plus(middle, direction, -through)
    thick, length = float(fastening.thick or 0), float(fastening.length or 0)
    pocket = Pocket(
        join,
        FASTENER_ROW + number,
        body.part,
        into.part,
        side.opposite,
        side,
        station,
        middle,
        direction,
        head,
        mouth,
        mouth,
        setback,
        "plugged" in fastening.words,
    )
    tip = plus(head, direction, length)
    reach = -dot(into.planes[entered].normal, direction) * (length - setback)
    return Screw(pocket, fastening.kind, length, 0, thick, tip, reach, False)

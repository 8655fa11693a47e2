"""Pocket holes from the drilling profile: where each row lies, and the stretch in which a bore stays in the wood.

A row runs along ``across``: the direction in the joint plane that is square to the bores. A *station* is a distance
along it from the low end of the contact: the one nearer the left, front or bottom of the drilled part, by its own
names for its sides.
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import NamedTuple

from planlint.geometry.joint_facts import Contact, Pocket, Vector
from planlint.geometry.shapes.body import Body, Plane
from planlint.geometry.shapes.convex import reaches
from planlint.geometry.shapes.vectors import cross, dot, plus, scaled, unit
from planlint.model.directions import Axis, Side, side_of
from planlint.model.join_details import PocketRow
from planlint.model.plan import Join, Part
from planlint.model.workshop import DrillingProfile, Settings
from planlint.text.rounding import SAME_WAY, TOUCH, whole_down, whole_up

GRID = 1 / 16
"""Stations the tool chooses lie on this grid, in inches: what a rule is read to. Basis: common practice."""


class RowFrame(NamedTuple):
    """The lines a row of pockets is set out from.

    ``base``, ``shoulder``, ``mouth`` and ``tail`` are a pocket's exit, shoulder, mouth and its end, at station 0;
    ``across`` the unit vector along the row; ``direction`` the bore's, from mouth to joint; ``inward`` its part along
    the drilled face. ``low`` and ``high`` are the ends of the contact, ``low`` being 0. ``sine`` is that of the angle
    between bore and face. ``meeting`` is the joint plane.
    """

    base: Vector
    shoulder: Vector
    mouth: Vector
    tail: Vector
    across: Vector
    direction: Vector
    inward: Vector
    low: float
    high: float
    thickness: float
    setback: float
    face: Plane
    sine: float
    meeting: Plane


def row_frame(
    body: Body, side: Side, face: Side, contact: Contact, profile: DrillingProfile
) -> RowFrame | None:
    """The frame of a row drilled in ``body`` through ``face`` toward ``side``; ``None`` if they do not touch.

    The bore's axis lies in the plane of the two sides' normals, at the profile's angle to the face, and leaves
    the meeting side at half the thickness.
    """
    if not contact.patches:
        return None
    drilled, meeting, behind = body.planes[face], body.planes[side], body.planes[face.opposite]
    thickness = drilled.offset + behind.offset
    opposed = -dot(drilled.normal, behind.normal)
    if opposed < SAME_WAY:  # A tapered part: as thick as it is where the joint is.
        middle = scaled(plus(min(contact.points), max(contact.points)), 0.5)
        thickness = drilled.depth(middle) + behind.depth(middle) / opposed
    lean = dot(meeting.normal, drilled.normal)
    inward = unit(plus(meeting.normal, drilled.normal, -lean))
    across = cross(drilled.normal, inward)
    # Not by the axes of the piece: along a mitre both count, and a mirrored piece would start from the other end.
    if dot(across, body.planes[side_of(Axis(3 - side.axis - face.axis), 1)].normal) < 0:
        across = scaled(across, -1)
    cosine, sine = profile.slope
    direction = plus(scaled(inward, cosine), drilled.normal, -sine)
    reach = [dot(across, point) for point in contact.points]
    low, high = min(reach), max(reach)
    # The exit line: half-way through the thickness, on the meeting plane, at the low end of the contact.
    deep = drilled.offset - thickness / 2
    along = (meeting.offset - lean * deep) / dot(meeting.normal, inward)
    base = plus(plus(scaled(drilled.normal, deep), inward, along), across, low)
    setback, slope = profile.setback(thickness), -dot(direction, drilled.normal)
    shoulder = plus(base, direction, -setback)
    mouth = plus(base, direction, -drilled.depth(base) / slope)
    tail = plus(mouth, inward, -profile.bit_diameter / 2 / slope)
    width = high - low
    return RowFrame(
        base,
        shoulder,
        mouth,
        tail,
        across,
        direction,
        inward,
        0.0,
        width,
        thickness,
        setback,
        drilled,
        slope,
        meeting,
    )


def pocket_at(
    frame: RowFrame, station: float, join: Join, row: int, body: Body, into: Body, side: Side
) -> Pocket:
    """The pocket whose axis leaves the joint plane at ``station``."""
    asked = join.pockets[row]
    across = frame.across
    return Pocket(
        join,
        row,
        body.part,
        into.part,
        asked.face,
        side,
        station,
        plus(frame.base, across, station),
        frame.direction,
        plus(frame.shoulder, across, station),
        plus(frame.mouth, across, station),
        plus(frame.tail, across, station),
        frame.setback,
        asked.plugged,
    )


# ---------------------------------------------------------------- bores against the sides of their part


class Covers(NamedTuple):
    """Wood between a bore or its pilot and a plane of their part, at station 0, and its change per inch of station."""

    bore: float
    pilot: float
    change: float


def covers(frame: RowFrame, plane: Plane, profile: DrillingProfile) -> Covers:
    """The cover of a row's pockets; as all of a pocket moves along with the station, it changes evenly.

    A bore is the hull of two figures: the flat disc at the shoulder and the ellipse of the mouth; the nearer of
    the two decides. The pilot runs from the shoulder to the joint plane, in which it ends in an ellipse.
    """
    n, radius = plane.normal, profile.bit_diameter / 2
    along, across = dot(n, frame.direction), dot(n, frame.across)
    width = max(0.0, 1 - along * along) ** 0.5
    shoulder = plane.depth(frame.shoulder)
    thin = profile.pilot_diameter / 2
    end = plane.depth(frame.base) - reaches(frame.direction, thin, frame.meeting.normal, n)
    pilot = min(shoulder - thin * width, end)
    bore = shoulder - radius * width
    # Where the plane lies ahead, nothing of the bore is nearer than its disc; in thin stock the whole ellipse would be.
    if along <= TOUCH:
        long_way = radius / frame.sine * dot(n, frame.inward)
        bore = min(bore, plane.depth(frame.mouth) - (long_way**2 + (radius * across) ** 2) ** 0.5)
    return Covers(bore, pilot, -across)


def fences(body: Body, side: Side, face: Side) -> Iterator[tuple[Side, Plane]]:
    """The sides of the drilled part that a bore must keep away from: all but the drilled face and the joint."""
    for other, plane in body.planes.items():
        if other is not face and other is not side:
            yield other, plane


def wood_rule(part: Part, side: Side, near: Side | str) -> str:
    """Which rule says how much wood a bore toward ``side`` keeps to what is ``near``: a side, or the name of a cut."""
    if not isinstance(near, Side):
        return "thin-cover"
    if not part.cuts:
        return "breakout"
    if at_mitre(part, side) or at_mitre(part, near):
        return "mitre-breakout"
    return "breakout" if part.cut_at(near) is None else "thin-cover"


def at_mitre(part: Part, side: Side) -> bool:
    """Whether an end is cut across the part's width, as for a frame (a cut across its thickness is a bevel)."""
    cut = part.cut_at(side)
    return cut is not None and cut.long_at.axis is part.across


def allowed_stretch(
    frame: RowFrame, body: Body, side: Side, face: Side, settings: Settings
) -> tuple[float, float]:
    """Stations at which bore and pilot keep their wood to the sides of their part; empty if low > high."""
    low, high, plain = frame.low, frame.high, settings.limits["breakout", "wood"]
    for other, plane in fences(body, side, face):
        bore, pilot, change = covers(frame, plane, settings.profile)
        rule = wood_rule(body.part, side, other) if body.part.cuts else "breakout"
        spare = min(bore, pilot) - (plain if rule == "breakout" else settings.limits[rule, "wood"])
        if abs(change) < TOUCH:
            if spare < -TOUCH:
                return 0.0, -1.0
        elif change > 0:
            low = max(low, -spare / change)
        else:
            high = min(high, -spare / change)
    return low, high


def end_margin(settings: Settings) -> float:
    """What lies at least between the end of a joint and its nearest pocket, in inches: half a bore and its wood."""
    return settings.profile.bit_diameter / 2 + settings.limits["breakout", "wood"]


# ---------------------------------------------------------------- laying out


def stations(
    row: PocketRow, frame: RowFrame, allowed: tuple[float, float], body: Body, settings: Settings
) -> list[float]:
    """The stations of a row, as asked or as the tool lays them out, low to high.

    A row ``every D`` ends where less than ``end_margin`` would be left.
    """
    width = frame.high - frame.low
    if row.at is not None:
        assert row.origin is not None
        return sorted(_measured_from(body, row.origin, frame, float(distance)) for distance in row.at)
    if row.last is not None:
        return _between_ends(row, float(row.last), width)
    if row.every is not None:
        pitch, first = float(row.every), float(row.first or 0)
        count = whole_down((width - first - end_margin(settings)) / pitch) + 1
        found = [first + pitch * i for i in range(max(1, count))]
        if row.origin is not None and row.origin.sign > 0:
            found = [width - station for station in reversed(found)]
        return found
    return laid_out(row.count or 1, frame, allowed, settings.bore_spacing)


def _between_ends(row: PocketRow, last: float, width: float) -> list[float]:
    """A row that keeps both its ends: the rest evenly between, so many or no further apart than asked."""
    first = float(row.first or 0)
    if row.origin is not None and row.origin.sign > 0:
        first, last = last, first
    between = width - first - last
    if between < -TOUCH:
        return [width / 2]  # The joint is shorter than the part: the checks tell what is wrong with it.
    count = row.between_ends(between)
    return [first + between * i / (count - 1) for i in range(count)]


def laid_out(count: int, frame: RowFrame, allowed: tuple[float, float], apart: float = 0.0) -> list[float]:
    """``count`` pockets spread evenly, half a space at each end, on the grid and symmetrical where that is free.

    Where that would break out, the same spread is drawn into the stretch that is allowed.
    """
    width = frame.high - frame.low
    spread = [width * (2 * i + 1) / (2 * count) for i in range(count)]
    low, high = allowed
    if low <= high and (spread[0] < low or spread[-1] > high):
        low, high = max(low, 0.0), min(high, width)
        # Drawn in only as far as needed at the end that asks for it; the others share what is left evenly.
        first, last = max(spread[0], low), min(spread[-1], high)
        # Where that crowds them, they take what room there is: ``apart`` is what their middles keep.
        first = max(low, min(first, last - apart * (count - 1)))
        last = min(high, max(last, first + apart * (count - 1)))
        step = (last - first) / (count - 1) if count > 1 else 0.0
        spread = [first + step * i for i in range(count)] if count > 1 else [(low + high) / 2]
    found = _marked(spread, width, allowed)
    if all(b - a >= apart - TOUCH for a, b in pairwise(found)):
        return found
    # Marks that would crowd them give way.
    if spread[0] + spread[-1] <= width + TOUCH:
        return _outward(spread, width, allowed, apart)
    mirrored = [width - station for station in reversed(spread)]
    outward = _outward(mirrored, width, (width - allowed[1], width - allowed[0]), apart)
    return [width - station for station in reversed(outward)]


def _outward(spread: list[float], width: float, allowed: tuple[float, float], apart: float) -> list[float]:
    """A row drawn to its low end, or to neither, moved outward onto marks as far as there is room, else off them."""
    count, needed = len(spread), apart * (len(spread) - 1)
    even = abs(spread[0] + spread[-1] - width) < TOUCH
    first = whole_down(spread[0] / GRID) * GRID
    last = width - first if even else whole_up(spread[-1] / GRID) * GRID
    if first < allowed[0] - TOUCH:
        first = whole_up(allowed[0] / GRID) * GRID
        last = width - first if even else last
    if last > allowed[1] + TOUCH or last - first < needed - TOUCH:
        return spread
    return [first + (last - first) * i / (count - 1) for i in range(count)]


def _marked(spread: list[float], width: float, allowed: tuple[float, float]) -> list[float]:
    """Stations on the grid, symmetrical where the spread is."""
    count = len(spread)
    if abs(spread[0] + spread[-1] - width) < TOUCH:
        low, high = allowed
        # The half that is set out must fit mirrored too.
        near = (max(low, width - high), min(high, width / 2)) if low <= high else allowed
        half = [_on_grid(station, near) for station in spread[: count // 2]]
        return [*half, *([width / 2] if count % 2 else []), *(width - station for station in reversed(half))]
    if spread[0] + spread[-1] < width:
        return [_on_grid(station, allowed) for station in spread]
    # The rule lies at the end that the row is drawn to, so that a mirrored joint is set out as this one is.
    mirrored = width - allowed[1], width - allowed[0]
    return [width - _on_grid(width - station, mirrored) for station in spread]


def _on_grid(station: float, allowed: tuple[float, float]) -> float:
    low, high = allowed
    nearest = round(station / GRID) * GRID
    if low <= high:
        if nearest < low:
            nearest = whole_up(low / GRID) * GRID
        elif nearest > high:
            nearest = whole_down(high / GRID) * GRID
        if not low - TOUCH <= nearest <= high + TOUCH:
            return station
    return nearest


def _measured_from(body: Body, origin: Side, frame: RowFrame, distance: float) -> float:
    """The station that lies ``distance`` from a side of the drilled part, measured along the row."""
    plane = body.planes[origin]
    pitch = dot(plane.normal, frame.across)
    # Along a mitre the row meets the named side aslant: the rule lies along the cut.
    at_side = plane.depth(frame.base) / pitch
    return at_side - distance if pitch > 0 else at_side + distance

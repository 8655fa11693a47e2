"""What fasteners other than pocket screws ask of the sides of a part: holes, and the places of hinges and slides."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from typing import NamedTuple

from planlint.drawings.primitives import Area, Item, Line, ring
from planlint.drawings.viewpoints import SeenAt
from planlint.geometry.drilling.fastener_places import FastenerRow
from planlint.geometry.joint_facts import Vector
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import AXES, plus
from planlint.model.directions import Axis, Side, side_of
from planlint.model.plan import Part
from planlint.reports.safe_words import visible
from planlint.text.measures import length, stations_told
from planlint.wording.fastener_words import drilled_words, fastener_name

_CROSS = 1.6
"""Half the length of the cross at a middle, in mm on paper."""


class OnSide(NamedTuple):
    """One row of fasteners as it shows on a side of one of its two parts. ``hole`` is the diameter of what is drilled
    there, in inches; 0 where nothing is. ``points`` are the middles, in the part's own frame."""

    row: FastenerRow
    part: Part
    side: Side
    hole: float
    points: tuple[Vector, ...]
    along: Axis
    origin: Side

    @property
    def through(self) -> bool:
        """Whether it is this part that they go through, and not the one behind it."""
        return self.row.body.part is self.part

    @property
    def body(self) -> Body:
        """The part as it lies in the piece."""
        return self.row.body if self.through else self.row.into

    @property
    def beside(self) -> Side:
        """The side that the row's distance across is measured from."""
        line, axis = self.row.fastening.line, Axis(3 - self.along - self.side.axis)
        return line[0] if self.through and line is not None and line[0].axis is axis else side_of(axis, -1)


@of_piece
def fasteners_on(piece: Piece, part: Part) -> tuple[OnSide, ...]:
    """All that fasteners ask of a part."""
    return tuple(
        each
        for join in piece.graph.joins_of(part)
        if join.fastenings
        for row in piece.fasteners(join)
        for each in _sides(piece, row, part)
    )


def _sides(piece: Piece, row: FastenerRow, part: Part) -> Iterator[OnSide]:
    made, body = row.fastening, piece.body(part)
    through = row.body.part is part
    if through:
        side = row.side.opposite if row.drives else row.side
        along = row.along
        origin = made.row.origin or side_of(along, -1)
    else:
        side = row.entered
        way = body.direction_to_own(row.body.along(row.along))
        along = max((axis for axis in Axis if axis is not side.axis), key=lambda axis: abs(way[axis]))
        origin = side_of(along, -1)
    bolted = made.kind == "bolts" and "into inserts" not in made.words
    size = made.clearance if through or bolted else made.pilot
    if made.kind == "pins":
        size = made.thick
    if not through and made.kind == "nails":
        return
    yield OnSide(
        row, part, side, float(size or 0), tuple(body.to_own(at) for at in row.at), along, origin
    )  # fmt: skip


def fastener_captions(piece: Piece, found: Iterable[OnSide]) -> Iterator[str]:
    """A line for each row: what goes where, with its holes, in the words of the order of work."""
    unit = piece.plan.unit
    for each in found:
        row, made = each.row, each.row.fastening
        name = fastener_name(made, unit, len(row.at))
        plane = each.body.planes[each.origin]
        at = f"{stations_told(sorted(plane.depth(point) for point in row.at), unit)} from {each.origin.value}"
        if each.through:
            holes = drilled_words(made, unit)
            into = "into" if row.drives else "toward"
            yield (
                f"In the {each.side.value}, {into} {visible(row.into.part.name)}: {name} at {at}"
                f"{f'; {holes}' if holes else ''}."
            )
        else:
            hole = f" holes {length(each.hole, unit)}," if each.hole and made.kind != "pins" else ""
            yield f"In the {each.side.value}, from {visible(row.body.part.name)}:{hole} for {name}, at {at}."


def fastener_signs(found: Iterable[OnSide], place: Callable[[Vector], SeenAt], scale: float) -> list[Item]:
    """Holes as they are, and the lines of hinges and slides, each with a cross at its middle. ``place`` lays a point of
    the part's own frame on paper, ``scale`` mm to the inch."""
    items: list[Item] = []
    for each in found:
        for point in each.points:
            x, y = place(point)
            if each.hole:
                radius = max(0.35, scale * each.hole / 2)
                rim = ring((x, y), radius, radius, 24)
                items += [Area("bore", rim), Line("seen", rim, closed=True)]
            ends = _ends(each, point)
            if ends[0] != ends[1]:
                items.append(Line("neighbour", (place(ends[0]), place(ends[1]))))
            items += [
                Line("thin", ((x - _CROSS, y), (x + _CROSS, y))),
                Line("thin", ((x, y - _CROSS), (x, y + _CROSS))),
            ]
    return items


def _ends(each: OnSide, point: Vector) -> tuple[Vector, Vector]:
    """From where to where a hinge or a slide lies along its part; a point for what is driven."""
    half = 0.0 if each.row.drives else float(each.row.fastening.length or 0) / 2
    way = AXES[each.along]
    return plus(point, way, -half), plus(point, way, half)


def taken_up(found: Iterable[OnSide]) -> list[Vector]:
    """The places on a part that they take up, in its own frame."""
    return [end for each in found for point in each.points for end in _ends(each, point)]


def distances(found: Iterable[OnSide]) -> dict[Side, list[tuple[Vector, float]]]:
    """What is set out, along each row and across it: by the side measured from the places, and how far each lies from
    it, each distance once."""
    groups: defaultdict[Side, dict[float, Vector]] = defaultdict(dict)
    for each in found:
        for side in (each.origin, each.beside):
            plane = each.body.planes[side]
            for at, own in zip(each.row.at, each.points, strict=True):
                groups[side].setdefault(round(plane.depth(at), 4), own)
    return {side: [(own, away) for away, own in sorted(marks.items())] for side, marks in groups.items()}

"""Pockets by set-up: fixture and stop are set once for each thickness, then all its parts are drilled."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from planlint.checks.row_view import screw_kind
from planlint.geometry.shapes.vectors import dot, minus
from planlint.model.directions import Side
from planlint.text.grouping import grouped
from planlint.wording.row_words import measured_from

if TYPE_CHECKING:
    from planlint.checks.row_view import Row
    from planlint.model.plan import Join


@dataclass(frozen=True, slots=True)
class DrilledRow:
    """One row of pockets: ``places`` from ``origin`` on the rule, in inches; what it joins; whether it is plugged."""

    part: str
    face: Side
    end: Side
    """The side that meets the other part: it lies against the fixture's stop."""
    into: str
    origin: Side
    places: tuple[float, ...]
    measured: str
    plugged: bool
    screw: tuple[str, float, int]
    """Thread, length and gauge of its screws."""


@dataclass(frozen=True, slots=True)
class DrillingSetUp:
    """One setting of fixture and stop, inches. ``setback`` is from the joint to the shoulder along the bore, ``depth``
    how far the wide bit goes on from where its edge first touches the face."""

    thickness: float
    setback: float
    depth: float
    rows: tuple[DrilledRow, ...]
    screws: tuple[tuple[str, float, int, int], ...]
    """Thread, length, gauge and how many."""

    @property
    def pockets(self) -> int:
        return sum(len(row.places) for row in self.rows)


def drilling_setups(rows: Sequence[Row], work: Sequence[Join]) -> tuple[DrillingSetUp, ...]:
    """The set-ups for all rows of pockets, and the rows in each, as ``work`` (the joins in their order) needs them."""
    turn = {join.index: number for number, join in enumerate(work)}
    # The wood between the drilled face and the one behind it.
    by_thickness = grouped(
        (float(row.part.size[row.asked.face.axis]), row)
        for row in sorted(rows, key=lambda row: turn.get(row.join.index, len(turn)))
    )
    return tuple(_set_up(thickness, found) for thickness, found in by_thickness.items())


def _set_up(thickness: float, rows: list[Row]) -> DrillingSetUp:
    pocket = rows[0].pockets[0]
    depth = dot(minus(pocket.shoulder, pocket.tail), pocket.direction)
    count = Counter(screw_kind(screw) for row in rows for screw in row.screws)
    told = [
        DrilledRow(
            row.part.name,
            row.asked.face,
            row.side,
            row.into.name,
            row.origin,
            tuple(sorted(row.from_side(pocket.station, row.origin) for pocket in row.pockets)),
            measured_from(row),
            row.asked.plugged,
            screw_kind(row.screws[0]),
        )
        for row in rows
    ]
    return DrillingSetUp(
        thickness,
        pocket.setback,
        depth,
        tuple(told),
        tuple((*kind, many) for kind, many in sorted(count.items())),
    )


class AlikeRows(NamedTuple):
    """Rows that are set out alike: their parts, the sides that meet others, and the places of all."""

    parts: tuple[str, ...]
    ends: tuple[Side, ...]
    row: DrilledRow


def alike_rows(rows: Sequence[DrilledRow]) -> list[AlikeRows]:
    """Rows in the same face at the same places, told once: both ends of a part, then parts that are drilled alike."""
    ends: dict[object, tuple[DrilledRow, list[Side]]] = {}
    for row in rows:
        places = tuple(round(place, 6) for place in row.places)
        key = (row.part, row.face, row.end.axis, row.measured, row.plugged, row.screw, places)
        ends.setdefault(key, (row, []))[1].append(row.end)
    parts: dict[object, tuple[DrilledRow, tuple[Side, ...], list[str]]] = {}
    for (part, *rest), (row, sides) in ((key, each) for key, each in ends.items() if isinstance(key, tuple)):
        parts.setdefault((*rest, *sides), (row, tuple(sides), []))[2].append(part)
    return [AlikeRows(tuple(names), sides, row) for row, sides, names in parts.values()]

"""Rows of pockets as the checks look at them.

Only joints whose parts lie fixed together, flat and touching have rows: elsewhere no pocket can be judged.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from fractions import Fraction
from itertools import groupby
from math import ceil, floor, inf
from operator import itemgetter
from typing import NamedTuple

from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.drilling.pocket_layout import RowFrame
from planlint.geometry.drilling.screw_choice import screw_in
from planlint.geometry.joint_facts import Pocket, Screw
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import dot, plus
from planlint.model.directions import Axis, Side, side_of
from planlint.model.join_details import PocketRow, ScrewChoice
from planlint.model.plan import Join, Part
from planlint.rulebook.limits import NIL
from planlint.text.measures import length, rule_mark


class Row(NamedTuple):
    """One row of pockets of a trusted joint: drilled in ``part`` through ``asked.face``, screwed into ``into``."""

    piece: Piece
    join: Join
    number: int
    asked: PocketRow
    frame: RowFrame
    pockets: tuple[Pocket, ...]
    screws: tuple[Screw, ...]
    part: Part
    side: Side
    into: Part
    entered: Side

    @property
    def unit(self) -> str:
        return self.piece.plan.unit

    @property
    def width(self) -> float:
        """Length of the contact along the row."""
        return self.frame.high

    @property
    def joint(self) -> str:
        """The joint as a builder calls it: ``rail to stile``."""
        return f"{self.join.part_a.name} to {self.join.part_b.name}"

    @property
    def names(self) -> tuple[str, str]:
        return self.join.part_a.name, self.join.part_b.name

    def found(
        self, rule: Rule, fact: object, measured: float | None = None, limit: float | None = None, *,
        kind: str = "", unit: str | None = None, basis: str | None = None, grade: Grade | None = None,
    ) -> Finding:  # fmt: skip
        """What a rule finds of this row, told at its line."""
        return rule.finding(
            fact=fact, kind=kind, span=self.asked.span, at=self.join, measured=measured, limit=limit, unit=unit,
            basis=basis, grade=grade,
        )  # fmt: skip

    @property
    def along(self) -> Axis:
        """The axis of the drilled part that the row runs along, in the part's own frame."""
        return Axis(3 - self.asked.face.axis - self.side.axis)

    @property
    def origin(self) -> Side:
        """The side that the plan measures this row from, or the one that the joint is flush with, or the low one."""
        if self.asked.origin is not None:
            return self.asked.origin
        for placing in self.join.placings:
            if placing.flush and placing.side is not None and placing.side.axis is self.along:
                return placing.side
        return side_of(self.along, -1)

    def end(self, high: bool) -> Side:
        """The side of the drilled part toward which stations rise, or the other."""
        plane = self.piece.body(self.part).planes[side_of(self.along, 1)]
        return side_of(self.along, 1 if (dot(plane.normal, self.frame.across) > 0) is high else -1)

    def from_end(self, station: float) -> float:
        """How far a station lies from the nearer end of the row's joint."""
        return round(min(station, self.width - station), 6)

    def from_side(self, station: float, side: Side) -> float:
        """How far a station lies from a side of the drilled part, measured along the row."""
        plane = self.piece.body(self.part).planes[side]
        point = plus(self.frame.base, self.frame.across, station)
        return plane.depth(point) / abs(dot(plane.normal, self.frame.across))

    def room(self, low: float, high: float) -> tuple[float, float] | None:
        """A stretch of stations as distances from the side measured from, drawn in to marks of a rule."""
        mark = rule_mark(self.unit)
        near, far = sorted(self.from_side(station, self.origin) for station in (low, high))
        first, last = ceil(near / mark - NIL) * mark, floor(far / mark + NIL) * mark
        return (first, last) if first <= last + NIL else None

    def on_marks(self, station: float) -> list[float]:
        """Stations near one that a rule can mark, measured from where the plan measures, the nearest first."""
        away, mark = self.from_side(station, self.origin), rule_mark(self.unit)
        rises = self.from_side(station + mark, self.origin) > away
        near = sorted((floor(away / mark) + n for n in (-1, 0, 1, 2)), key=lambda n: abs(n * mark - away))
        return [station + (n * mark - away if rises else away - n * mark) for n in near]

    def marked(
        self, stations: Sequence[float], free: Callable[[float], bool], apart: float = 0.0, most: float = inf
    ) -> list[float] | None:
        """Stations, low to high, moved to the marks of a rule, as near as they stay ``free`` there, ``apart`` and no
        more than ``most`` from one another; ``None`` where that is not so."""
        ways: list[tuple[float, list[float]]] = [(0.0, [])]
        for station in stations:
            # For each mark near by the least moved row that ends there.
            ways = [
                min(before, key=itemgetter(0))
                for each in self.on_marks(station)
                if free(each)
                and (
                    before := [
                        (moved + abs(each - station), [*row, each])
                        for moved, row in ways
                        if not row or apart - NIL <= each - row[-1] <= most + NIL
                    ]
                )
            ]
        return min(ways, key=itemgetter(0))[1] if ways else None

    def clear_of_ends(self, low: float, high: float, least: float) -> tuple[float, float]:
        """The part of a stretch of stations at which a screw enters ``least`` or more, along the grain, from the
        receiving part's ends; all of it where that cannot split. Empty if low > high."""
        body = self.piece.body(self.into)
        if not self.into.stock.material.solid or self.into.is_end(self.entered):
            return low, high
        if abs(dot(body.grain, self.frame.across)) <= 0.5:
            return low, high
        for end in self.into.ends:
            plane = body.planes[end]
            rise = -dot(plane.normal, self.frame.across)
            deep = plane.depth(self.frame.base) - least * abs(dot(plane.normal, body.grain))
            if rise > NIL:
                low = max(low, -deep / rise)
            elif rise < -NIL:
                high = min(high, deep / -rise)
        return low, high

    def length(self, inches: float) -> str:
        return length(inches, self.unit)

    def screw(self, pocket: Pocket, inches: float | None, thread: str | None = None) -> Screw:
        """The screw that a pocket would have at another length (``None``: the tool's choice) or thread."""
        said = self.join.screws
        exact = None if inches is None else Fraction(inches)
        choice = ScrewChoice(
            thread or (said.thread if said else None),
            exact,
            said.gauge if said and not thread else None,
            self.asked.span,
        )
        into = self.piece.body(self.into)
        return screw_in(pocket, into, self.entered, choice, self.piece.settings)


@of_piece
def rows(piece: Piece) -> tuple[Row, ...]:
    """Every row of pockets that can be judged, in the order of the plan."""
    return tuple(_rows(piece))


def rows_of(piece: Piece, join: Join) -> Sequence[Row]:
    """The rows of one joint: none where the plan does not settle where they lie, or has none."""
    return _by_joint(piece).get(join.index, ())


@of_piece
def _by_joint(piece: Piece) -> Mapping[int, Sequence[Row]]:
    return {number: list(found) for number, found in groupby(rows(piece), lambda row: row.join.index)}


def _rows(piece: Piece) -> Iterable[Row]:
    for join in piece.plan.joins:
        if not join.pockets or not piece.trusted(join):
            continue
        for number, asked in enumerate(join.pockets):
            frame = piece.row_frame(join, number)
            pockets = tuple(pocket for pocket in piece.pockets(join) if pocket.row == number)
            screws = tuple(screw for screw in piece.screws(join) if screw.pocket.row == number)
            if frame is not None and pockets:
                yield Row(piece, join, number, asked, frame, pockets, screws, *piece.drilled(join, number))


def screw_kind(screw: Screw) -> tuple[str, float, int]:
    """Thread, length and gauge."""
    return screw.thread, screw.length, screw.gauge

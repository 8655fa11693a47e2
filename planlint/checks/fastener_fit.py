"""Screws, bolts and nails through a face: long enough to hold, and short enough to stay inside."""

from collections.abc import Iterator
from math import ceil, floor, inf
from typing import NamedTuple

from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.drilling.fastener_places import FastenerRow
from planlint.geometry.join_holds import glued
from planlint.geometry.joint_facts import Screw, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import dot, plus
from planlint.model.directions import Side
from planlint.rulebook.limits import NIL
from planlint.text.measures import in_inches, rule_mark


class DriveFault(NamedTuple):
    """The fastener of a row that fits worst. It should be ``least`` to ``most`` inches long; ``most`` is ``None`` for a
    bolt with a nut, which may stand out; no length does where ``most`` is less than ``least``. ``through`` is the wood
    that it goes through in all, from its head to the far side."""

    row: FastenerRow
    screw: Screw
    least: float
    most: float | None
    through: float
    told: tuple[Vector, Vector]
    """The two places whose distance is told."""
    edge: tuple[Body, Side] | None = None
    """The side of a part that it lies too near to."""

    def lengths(self, unit: str) -> tuple[float, float | None]:
        """The shortest and the longest that fit of those that are sold: in quarters of an inch, or in 5 mm."""
        step = rule_mark(unit) * (4 if in_inches(unit) else 5)
        longest = None if self.most is None else floor(self.most / step + NIL) * step
        return ceil(self.least / step - NIL) * step, longest

    def too_thin(self, unit: str) -> bool:
        """Whether no length that is sold fits: such wood wants glue."""
        low, high = self.lengths(unit)
        return high is not None and high < low


RESTS_ON = {
    "short": "wood held",
    "no-reach": "wood held",
    "bolt-short": "bolt past the wood",
    "edge": "wood to the edge",
}


def fastener_fit(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A fastener through a face comes out, does not reach the other part, or has too little wood there."""
    diameters, out = rule.limit("wood held", piece.settings), rule.limit("wood at the least", piece.settings)
    nut = rule.limit("bolt past the wood", piece.settings)
    beside = rule.limit("wood to the edge", piece.settings)
    for join in piece.plan.joins:
        if not join.driven:
            continue
        for row in piece.fasteners(join):
            if not row.drives:
                continue
            kind, measured, limit, fault = _worst(piece, row, diameters, out, nut)
            if kind == "short" and glued(join) and fault.too_thin(piece.plan.unit):
                kind = ""
            if not kind:
                kind, measured, limit, fault = _beside(row, fault, beside)
            if not kind:
                continue
            yield rule.finding(
                fact=fault,
                kind=kind,
                span=row.fastening.span,
                at=join,
                measured=None if kind == "misses" else measured,
                limit=None if kind == "misses" else limit,
                basis=RESTS_ON.get(kind, "wood at the least"),
                grade=min(rule.grade, Grade.CAUTION) if kind in {"short", "edge"} else None,
            )


def _at(fault: DriveFault, screw: Screw, back: float) -> DriveFault:
    """A fault told of one of the row: over the last inches before its point, or, where it stands out, behind it."""
    return fault._replace(screw=screw, told=(plus(screw.tip, screw.pocket.direction, back), screw.tip))


def _worst(
    piece: Piece, row: FastenerRow, diameters: float, out: float, nut: float
) -> tuple[str, float, float, DriveFault]:
    """What is wrong with a row, as a code; empty where nothing is."""
    screw = row.drives[0]
    setback, thick = screw.pocket.setback, screw.diameter
    far = row.into.planes[row.entered.opposite]
    through = setback + far.depth(screw.pocket.exit)
    wanted = max(diameters * thick, out)  # Nails may be told by their length alone.
    if row.fastening.kind == "bolts" and "into inserts" not in row.fastening.words:
        need = through + nut * thick
        fault = DriveFault(row, screw, need, None, through, (screw.pocket.shoulder, screw.tip))
        missed = [each for each in row.drives if piece.grip(each) <= NIL]
        if missed:
            return "misses", 0.0, out, _at(fault, missed[0], 0.0)
        return ("bolt-short" if screw.length < need - NIL else ""), screw.length, need, fault
    fault = DriveFault(row, screw, setback + wanted, through - out, through, (screw.tip, screw.tip))
    grips = [(piece.grip(each) or _held_by_others(piece, row, each), each) for each in row.drives]
    held, least = min(grips, key=lambda each: each[0])
    if held <= NIL:
        short = least.length <= setback + NIL
        return ("no-reach" if short else "misses"), 0.0, wanted, _at(fault, least, 0.0)
    cover, worst = min(((_cover(piece, row, each), each) for each in row.drives), key=lambda each: each[0])
    if cover < out - NIL:
        return "comes-out", cover, out, _at(fault, worst, cover)
    return ("short" if held < wanted - NIL else ""), held, wanted, _at(fault, least, -held)


def _cover(piece: Piece, row: FastenerRow, screw: Screw) -> float:
    """The least wood between it and the outside, but where it comes out into a cut and so into what is let in there."""
    cover, past = piece.tip_cover(screw)
    return inf if not isinstance(past, Side) and _held_by_others(piece, row, screw) else cover


def _held_by_others(piece: Piece, row: FastenerRow, screw: Screw) -> float:
    """How long it lies in another part that a joint lets into the one it goes into, as a shelf into a dado there."""
    into = row.into.part
    others = {each.part_a for each in piece.graph.joins_of(into) if each.inset > 0} - {into, row.body.part}
    planes = [piece.body(other).planes.values() for other in others]
    near = -SEAM - screw.diameter / 2
    there = any(all(plane.depth(screw.tip) > near for plane in each) for each in planes)
    return max(screw.length - screw.pocket.setback, 0.0) if there else 0.0


def _beside(row: FastenerRow, fault: DriveFault, diameters: float) -> tuple[str, float, float, DriveFault]:
    """Of all that a row's fasteners leave between themselves and a side beside them, in either part, the least."""
    found = []
    for screw in row.drives:
        middle = screw.pocket.exit
        for body, through in ((row.body, row.side), (row.into, row.entered)):
            for side in Side:
                plane = body.planes[side]
                if side.axis is through.axis or abs(dot(plane.normal, screw.pocket.direction)) > _SQUARE:
                    continue
                wood = plane.depth(middle) - screw.diameter / 2
                to = plus(middle, plane.normal, plane.depth(middle))
                edge = plus(middle, plane.normal, screw.diameter / 2)
                found.append((wood, fault._replace(screw=screw, told=(edge, to), edge=(body, side))))
    if not found:
        return "", 0.0, 0.0, fault
    wood, worst = min(found, key=lambda each: round(each[0], 6))
    limit = diameters * worst.screw.diameter
    return ("edge" if wood < limit - NIL else ""), wood, limit, worst


SEAM = 1 / 64
"""Inches beside a part within which a point goes into it and its neighbour alike. Basis: what a rule is read to."""
_SQUARE = 0.1
"""Cosine of the slant beyond which a side does not run along a fastener, some 6 degrees. Basis: our own judgement."""

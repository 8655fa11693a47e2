"""Screws, bolts and nails through a face: long enough to hold, and short enough to stay inside."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from planlint.checks.row_view import NIL
from planlint.findings.finding import Finding, Grade
from planlint.findings.rulebook import Rule
from planlint.geometry.drilling.fastener_places import FastenerRow
from planlint.geometry.facts import Screw, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import plus


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


def fastener_fit(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A fastener through a face comes out, does not reach the other part, or has too little wood there."""
    diameters, out = rule.limit("wood held", piece.settings), rule.limit("wood at the least", piece.settings)
    nut = rule.limit("bolt past the wood", piece.settings)
    for join in piece.plan.joins:
        if not join.driven:
            continue
        for row in piece.fasteners(join):
            if not row.drives:
                continue
            kind, measured, limit, fault = _worst(piece, row, diameters, out, nut)
            if not kind:
                continue
            yield rule.finding(
                fact=fault,
                kind=kind,
                span=row.fastening.span,
                joint=join.name,
                parts=(join.part_a.name, join.part_b.name),
                measured=measured,
                limit=limit,
                unit="in",
                basis={"short": "wood held", "bolt-short": "bolt past the wood"}.get(
                    kind, "wood at the least"
                ),
                grade=min(rule.grade, Grade.CAUTION) if kind == "short" else None,
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
    wanted = diameters * thick
    if row.fastening.kind == "bolts" and "into inserts" not in row.fastening.words:
        need = through + nut * thick
        fault = DriveFault(row, screw, need, None, through, (screw.pocket.shoulder, screw.tip))
        missed = [each for each in row.drives if piece.grip(each) <= NIL]
        if missed:
            return "misses", 0.0, out, _at(fault, missed[0], 0.0)
        return ("bolt-short" if screw.length < need - NIL else ""), screw.length, need, fault
    fault = DriveFault(row, screw, setback + wanted, through - out, through, (screw.tip, screw.tip))
    grips = [(piece.grip(each), each) for each in row.drives]
    grip, least = min(grips, key=lambda each: each[0])
    if grip <= NIL:
        short = least.length <= setback + NIL
        return ("no-reach" if short else "misses"), 0.0, wanted, _at(fault, least, 0.0)
    cover, worst = min(((piece.tip_cover(each)[0], each) for each in row.drives), key=lambda each: each[0])
    if cover < out - NIL:
        return "comes-out", cover, out, _at(fault, worst, cover)
    return ("short" if grip < wanted - NIL else ""), grip, wanted, _at(fault, least, -grip)

"""The words for joints that are missing."""

from __future__ import annotations

from planlint.checks.loose_end import LooseEnd
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.text.measures import length
from planlint.wording.told import Told


def loose_end(piece: Piece, found: Finding, end: LooseEnd) -> Told:
    part, other, gap = end.part.name, end.other.name, length(end.gap, piece.plan.unit)
    short = found.kind == "short"
    where = f"stops {gap} short of {other}" if short else f"touches {other}"
    longer = f", and make {part} {gap} longer" if short else ""
    sides = f"{part}.{end.side.value} to {other}.{end.back.value}"
    like = end.twin or end.held
    return Told(
        f"The {end.side.value} of {part} {where}, and no join holds it there.",
        [
            f"Join {sides} as {like.name} is{longer}.",
            f"If it only lies there, say so: `join {sides} as resting`.",
        ],
    )

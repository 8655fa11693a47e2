"""The words for parts that run into one another, and for loops that lay their parts too near, too far, or too many."""

from __future__ import annotations

from collections.abc import Sequence

from planlint.checks.looped_parts import looped_parts
from planlint.checks.placement_faults import let_into_one
from planlint.findings.finding import Finding
from planlint.geometry.facts import Overlap
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis
from planlint.model.plan import Part
from planlint.text.measures import length
from planlint.wording.told import Told, alternatives


def overlap(piece: Piece, _found: Finding, shared: Overlap) -> Told:
    unit = piece.plan.unit
    deep, a, b = length(shared.depth, unit), shared.part_a.name, shared.part_b.name
    meeting = let_into_one(piece, shared.part_a, shared.part_b)
    if meeting:
        return Told(
            f"{a} and {b} run {deep} into one another inside {meeting[0].part_b.name}, which both are let into.",
            ["Let both in less deep, and make them as much shorter.", "Or lay one past the other."],
        )
    return Told(
        f"{a} and {b} run {deep} into one another ({_volume(shared.volume, unit)} of wood).",
        alternatives(
            [
                *ways_to_lay(piece, (shared.part_a, shared.part_b)),
                f"Move one of them by {deep}, or shorten it.",
                _LET_IN,
            ]
        ),
    )


_LET_IN = "Cut a notch, dado or groove for it, or say which joint lets it in (`as half lap`, `as dado` …)."


def _volume(cubic_inches: float, unit: str) -> str:
    if unit in {"in", "ft"}:
        return f"{cubic_inches:.3g} cubic inches"
    return f"{cubic_inches * 2.54**3:.3g} cubic centimetres"


def ways_to_lay(piece: Piece, parts: Sequence[Part], along: Axis | None = None) -> list[str]:
    """How the loop that lays one of some parts would end as far from the one end as from the other."""
    row, unit = looped_parts(piece, parts, along), piece.plan.unit
    if row is None:
        return []
    if row.one_late:
        return [f"Start one turn earlier: now the first lies {length(row.first, unit)} in."]
    if row.too_many:
        return [f"Let this loop make {row.many - row.too_many} instead of {row.many}."]
    if row.even is None:
        return []
    return [f"Lay each {length(row.even, unit)} from the one before it instead of {length(row.pitch, unit)}."]

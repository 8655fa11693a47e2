"""The words for faces that should lie in one surface."""

from __future__ import annotations

from planlint.checks.stepped_face import Step
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.model.directions import Side
from planlint.text.measures import length
from planlint.wording.told import Told


def stepped_face(piece: Piece, _found: Finding, fact: Step) -> Told:
    (high, low, side, step, flush), unit = fact, piece.plan.unit
    by, axis = length(abs(step), unit), side.axis
    other = f" while they are flush at the {flush.value}" if flush is not None else ""
    return Told(
        f"At the {side.value}, {high.name} stands {by} proud of {low.name}{other}: "
        f"{length(high.size[axis], unit)} thick against {length(low.size[axis], unit)}.",
        [
            f"Plane {high.name} down by {by}, or make both of the same stock.",
            f"If the step is meant, say so in place of `flush`: `{_as_meant(step, side, unit)}`.",
        ],
    )


def _as_meant(step: float, side: Side, unit: str) -> str:
    amount = length(abs(step), unit)
    return f"proud {amount} at {side.value}" if step > 0 else f"set back {amount} from {side.value}"

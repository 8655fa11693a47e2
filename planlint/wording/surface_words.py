"""The words for faces that should lie in one surface."""

from planlint.checks.stepped_face import IN_RABBET, FaceStep, UnlikeMitre
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.model.directions import Side
from planlint.text.measures import degrees, length
from planlint.wording.finding_text import Told


def stepped_face(piece: Piece, found: Finding, fact: FaceStep | UnlikeMitre) -> Told:
    if isinstance(fact, UnlikeMitre):
        return _unlike(piece, found.measured or 0.0, fact)
    (high, low, side, step, flush), unit = fact, piece.plan.unit
    by, axis = length(abs(step), unit), side.axis
    if found.kind == IN_RABBET:
        thick, deep = (length(float(high.thickness) - less, unit) for less in (0.0, step))
        return Told(
            f"{high.name} stands {by} proud of the {side.value} of {low.name}: it is {thick} thick, and its rabbet "
            f"{deep} deep.",
            [f"Make {high.name} {deep} thick.", f"Or cut the rabbet {thick} deep."],
        )
    other = f" while they are flush at the {flush.value}" if flush is not None else ""
    return Told(
        f"At the {side.value}, {high.name} stands {by} proud of {low.name}{other}: "
        f"{length(high.size[axis], unit)} thick against {length(low.size[axis], unit)}.",
        [
            f"Plane {high.name} down by {by}, or make both of the same stock.",
            f"If the step is meant, say so in place of `flush`: `{_as_meant(step, side, unit)}`.",
        ],
    )


def _unlike(piece: Piece, more: float, fact: UnlikeMitre) -> Told:
    parts, unit = fact.join.parts, piece.plan.unit
    a, b = (f"{part.name} is {length(part.width, unit)} wide" for part in parts)
    one, other = (f"{part.name} {degrees(angle)}" for part, angle in zip(parts, fact.angles, strict=True))
    longer = parts[fact.longs[1] > fact.longs[0]].name
    ways = [f"Make {parts[0].name} and {parts[1].name} as wide as one another."]
    if min(fact.angles) > 0:
        ways.append(f"Or cut {one} and {other}: then both cuts are as long.")
    return Told(
        f"{a} and {b}: the cut of {longer} is {length(more, unit)} longer, and the inner edges do not meet.",
        ways,
    )


def _as_meant(step: float, side: Side, unit: str) -> str:
    amount = length(abs(step), unit)
    return f"proud {amount} at {side.value}" if step > 0 else f"set back {amount} from {side.value}"

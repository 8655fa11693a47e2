"""The words for boards laid together, finished and surfaced, and for faces that should lie in one surface."""

from math import ceil

from planlint.checks.board_practice import OneFace, RingsAlike, RoughWood, WideBoards
from planlint.checks.stepped_face import IN_RABBET, FaceStep, UnlikeMitre
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.model.directions import Side
from planlint.model.plan import Part
from planlint.text.measures import degrees, length, listed
from planlint.wording.finding_text import Told


def wide_boards(piece: Piece, found: Finding, fact: WideBoards) -> Told:
    unit, limit = piece.plan.unit, found.limit or 1
    widest = max(part.width for part in fact.boards)
    many = ceil(widest / limit)
    return Told(
        f"{_names(fact.boards)}, up to {length(widest, unit)} wide, {_is(fact.boards)} joined edge to edge: the wider "
        "a flat-sawn board, the more it cups, and the panel with it.",
        [
            f"Rip boards of {length(widest, unit)} into {many}, turn every other strip over, and joint them again.",
            "Or take boards that are told to be quarter-sawn: they hardly cup.",
        ],
    )


def rings_not_alternated(_piece: Piece, _found: Finding, fact: RingsAlike) -> Told:
    rings = {part.rings for part in fact.boards}
    way = f"{fact.boards[0].rings}" if len(rings) == 1 else "the same way"
    return Told(
        f"The growth rings of {_names(fact.boards)} curve {way} side by side: they cup alike, and the panel bows.",
        [
            "Turn every other board over and write `rings alternate`: then cupping comes out as a slight ripple."
        ],
    )


def one_face_finish(piece: Piece, _found: Finding, fact: OneFace) -> Told:
    what = "hangs free" if fact.upright else "lies flat"
    other = fact.face.opposite.value
    return Told(
        f"{_names(fact.boards)}, {length(fact.wide, piece.plan.unit)} of solid wood that {what}, "
        f"{'is' if len(fact.boards) == 1 else 'are'} finished at the {fact.face.value} only: the {other} takes up and "
        "gives off moisture faster, and the wood cups.",
        [f"Finish the {other} as well, with as many coats: `finish both faces`."],
    )


def rough_edge(_piece: Piece, _found: Finding, fact: RoughWood) -> Told:
    joints = listed([join.name for join in fact.joins], 4)
    return Told(
        f"{_names(fact.parts)} {_is(fact.parts)} rough, and joined along a sawn edge or face at {joints}: sawn faces "
        "are neither flat nor square, so the joint gapes and pockets sit askew.",
        [
            "Joint one face and one edge, plane and rip the others parallel: `surfaced four sides`.",
            "The size in the plan is then the size that is left: buy it thicker and wider.",
        ],
    )


def _names(parts: tuple[Part, ...]) -> str:
    return listed([part.name for part in parts], 6)


def _is(parts: tuple[Part, ...]) -> str:
    return "is" if len(parts) == 1 else "are"


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

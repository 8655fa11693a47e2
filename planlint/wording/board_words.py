"""The words for boards laid together, finished and surfaced."""

from math import ceil

from planlint.checks.board_practice import OneFace, RingsAlike, RoughWood, WideBoards
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.model.plan import Part
from planlint.text.measures import length, listed
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

"""The words for parts that run into one another, and for loops that lay their parts too near, too far, or too many."""

from collections.abc import Sequence
from fractions import Fraction

from planlint.checks.looped_parts import looped_parts
from planlint.checks.loose_end import forgotten_lap
from planlint.checks.placement_faults import laid_alike, let_into_one
from planlint.findings.finding import Finding
from planlint.geometry.joint_facts import Overlap
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis
from planlint.model.plan import Part
from planlint.placement.misread_units import other_units
from planlint.placement.placement_results import Unlike
from planlint.text.measures import INCH_PER_UNIT, UNIT_WORDS, in_inches, length
from planlint.wording.finding_text import Told, alternatives


def overlap(piece: Piece, _found: Finding, shared: Overlap) -> Told:
    unit = piece.plan.unit
    deep, a, b = length(shared.depth, unit), shared.part_a.name, shared.part_b.name
    meeting = let_into_one(piece, shared.part_a, shared.part_b)
    if meeting:
        return Told(
            f"{a} and {b} run {deep} into one another inside {meeting[0].part_b.name}, which both are let into.",
            ["Let both in less deep, and make them as much shorter.", "Or lay one past the other."],
        )
    if laid_alike(piece, shared.part_a, shared.part_b) is not None:
        return Told(
            f"{b} lies just where {a} does.",
            [f"Lay {b} elsewhere: both are told the same place."],
        )
    return Told(
        f"{a} and {b} run {deep} into one another ({_volume(shared.volume, unit)} of wood).",
        alternatives(
            [
                *_let_in_like_others(piece, shared),
                *in_other_unit(piece, (shared.part_a, shared.part_b)),
                *ways_to_lay(piece, (shared.part_a, shared.part_b)),
                f"Move one of them by {deep}, or shorten it.",
                _LET_IN,
            ]
        ),
    )


def _let_in_like_others(piece: Piece, shared: Overlap) -> list[str]:
    end = forgotten_lap(piece, shared.part_a, shared.part_b)
    if end is None:
        return []
    joined = f"{end.part.name}.{end.side.value} to {end.other.name}.{end.back.value}"
    return [f"Join {joined}, as {end.held.name} is: nothing lets the one into the other."]


_LET_IN = "Cut a notch, dado or groove for it, or say which joint lets it in (`as half lap`, `as dado` …)."


def _volume(cubic_inches: float, unit: str) -> str:
    if in_inches(unit):
        return f"{cubic_inches:.3g} cubic inches"
    return f"{cubic_inches * 2.54**3:.3g} cubic centimetres"


def in_other_unit(piece: Piece, parts: Sequence[Part], unlike: Unlike | None = None) -> list[str]:
    """In which unit a distance reads better that runs past both its parts, or is told in another than the plan's; or
    that is unlike another by its unit."""
    unit = piece.plan.unit
    odd = (
        each
        for each in other_units(piece.graph, parts)
        if (each.read == abs(unlike.inset) if unlike else each.past or each.instead == unit)
    )
    return [check_unit(each.bare, each.told, each.instead, unit) for each in odd][:1]


def check_unit(bare: Fraction, told: str, instead: str, unit: str) -> str:
    """What is to be said of a number that is most likely meant in another unit."""
    number, here, there = (f"{float(bare):g}", *(UNIT_WORDS.get(each, each) for each in (told, instead)))
    if instead == unit:
        return f"Write `{number}`, if {there} are meant, as in the rest of the plan: now it is in {here}."
    is_ = length(bare * INCH_PER_UNIT[instead], unit)
    return f"Write `{number} {instead}`, if {there} are meant in a plan in {here}: that is {is_}."


def ways_to_lay(piece: Piece, parts: Sequence[Part], along: Axis | None = None) -> list[str]:
    return [f"{way[0].upper()}{way[1:]}." for way in row_evened(piece, parts, along)]


def row_evened(piece: Piece, parts: Sequence[Part], along: Axis | None = None) -> list[str]:
    """How the loop that lays one of some parts would end as far from the one end as from the other."""
    row, unit = looped_parts(piece, parts, along), piece.plan.unit
    if row is None:
        return []
    if row.one_late:
        return [f"start one turn earlier: now the first lies {length(row.first, unit)} in"]
    less = row.too_many or row.past
    fewer = [f"let this loop make {row.many - less} instead of {row.many}"] if less else []
    if row.too_many or row.even is None:
        return fewer
    step, pitch = length(row.step(unit), unit), length(row.pitch, unit)
    return [f"lay each {step} from the one before it instead of {pitch}", *fewer]

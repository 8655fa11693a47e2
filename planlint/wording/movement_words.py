"""The words for solid wood that cannot move."""

from __future__ import annotations

from collections.abc import Sequence

from planlint.checks.locked_across_grain import Locked, breadboard
from planlint.checks.row_view import listed
from planlint.checks.solid_panels import glue_of
from planlint.checks.stock_sizes import UnknownWood
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.model.plan import Join
from planlint.text.measures import length
from planlint.wording.told import Told


def unknown_wood(_piece: Piece, found: Finding, fact: UnknownWood) -> Told:
    wood, many = fact.stock.material.name, len(found.parts) > 1
    judged = "so how much it moves over a season, whether that would split it, and which thread suits it is not judged"
    return Told(
        f"{wood}, of which {listed(found.parts, 4)} {'are' if many else 'is'} made, is not a wood or panel known here, "
        f"{judged}. It is taken for solid wood with a grain.",
        [
            *([f"Correct the name, if {fact.near} is meant."] if fact.near else []),
            "Name a wood that is like it in weight and hardness, such as red oak or poplar.",
            "If it is a panel, name it as one: plywood, MDF, particleboard, OSB or hardboard.",
        ],
    )


def locked_across_grain(piece: Piece, _found: Finding, fact: Locked) -> Told:
    unit, panel = piece.plan.unit, sorted(fact.panel, key=lambda each: each.index)
    names = listed([each.name for each in panel], 4)
    return Told(
        f"{names} {'is' if len(panel) == 1 else 'are'} held fast over {length(fact.apart, unit)} across the grain, by "
        f"{' and '.join(fact.held_by)}: there {fact.panel[0].stock.material.name} moves {length(fact.moves, unit)} "
        "over a season, and splits or bows.",
        _advice(fact),
    )


def _advice(fact: Locked) -> list[str]:
    """What to do at the joints that must give way to the wood, by what holds each of them now."""
    behind = f", and {fact.kept} alone holds it fast" if fact.kept else ""
    tongues = [join for join in fact.slot if breadboard(join)]
    glued = [join for join in fact.slot if glue_of(join) and not breadboard(join)]
    screwed = [join for join in fact.slot if not glue_of(join)]
    ways = []
    if screwed:
        ways.append(f"Write `slotted` under {_names(screwed)}: screws in slots let the wood move{behind}.")
    if glued:
        ways.append(
            f"Leave out the glue at {_names(glued)}, and screw there through slots, or hold the wood with buttons in a "
            f"groove{behind if not screwed else ''}."
        )
    if tongues:
        ways.append(f"Glue {_names(tongues)} along the middle third only: the rest of the tongue stays dry.")
    other = "make it" if glued else "hold it with buttons in a groove, or make it"
    return [*ways, f"Or {other} of sheet material."]


def _names(joins: Sequence[Join]) -> str:
    return listed([join.name for join in joins])

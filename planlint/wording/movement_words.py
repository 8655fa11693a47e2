"""The words for solid wood that cannot move."""

from collections.abc import Sequence

from planlint.checks.locked_across_grain import Locked, breadboard
from planlint.checks.loose_panel import LoosePanel
from planlint.checks.solid_panels import glue_of, in_a_groove
from planlint.checks.stock_sizes import UnknownWood
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.model.plan import Join
from planlint.text.measures import length, listed, rule_mark, to_sixteenth
from planlint.text.rounding import whole_up
from planlint.wording.finding_text import Told


def unknown_wood(_piece: Piece, found: Finding, fact: UnknownWood) -> Told:
    wood, many = fact.stock.material.name, len(found.parts) > 1
    judged = (
        "so how much it moves over a season, whether that would split it, which thread suits it and what it "
    )
    judged += "carries is not judged"
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
    names, air = listed([each.name for each in panel], 4), piece.settings.humidity
    return Told(
        f"{names} {'is' if len(panel) == 1 else 'are'} held fast over {length(fact.apart, unit)} across the grain, by "
        f"{' and '.join(fact.held_by)}: there {_wood(fact)} moves {length(fact.moves, unit)} between "
        f"{air.low:g} and {air.high:g} percent humidity, and splits or bows.",
        _advice(fact),
    )


def _wood(fact: Locked) -> str:
    material = fact.panel[0].stock.material
    return material.name if material.sawn else f"{material.name}, taken as flat-sawn,"


def _advice(fact: Locked) -> list[str]:
    """What to do at the joints that must give way to the wood, by what holds each of them now."""
    behind = f", and {fact.kept} alone holds it fast" if fact.kept else ""
    tongues = [join for join in fact.slot if breadboard(join)]
    grooved = [join for join in fact.slot if in_a_groove(join)]
    glued = [join for join in fact.slot if glue_of(join) and not breadboard(join) and join not in grooved]
    screwed = [join for join in fact.slot if not glue_of(join)]
    ways = []
    if screwed:
        ways.append(f"Write `slotted` under {_names(screwed)}: screws in slots let the wood move{behind}.")
    if glued:
        ways.append(
            f"Leave out the glue at {_names(glued)}, and screw there through slots, or hold the wood with buttons in a "
            f"groove{behind if not screwed else ''}."
        )
    if grooved:
        ways.append(f"Leave out the glue at {_names(grooved)}: a solid panel floats in its groove.")
    if tongues:
        ways.append(f"Glue {_names(tongues)} along the middle third only: the rest of the tongue stays dry.")
    other = "make it" if glued or grooved else "hold it with buttons in a groove, or make it"
    return [*ways, f"Or {other} of sheet material."]


def _names(joins: Sequence[Join]) -> str:
    return listed([join.name for join in joins])


def loose_panel(piece: Piece, found: Finding, fact: LoosePanel) -> Told:
    unit, air = piece.plan.unit, piece.settings.humidity
    names = listed([part.name for part in fact.panel], 4)
    material = fact.panel[0].stock.material
    wood = material.name if material.sawn else f"{material.name} taken as flat-sawn"
    hosts = listed([join.part_b.name for join in fact.joins])
    moves = length(fact.moves, unit)
    if fact.kind == "tight":
        room = length(fact.room or 0.0, unit) if fact.room else "no room"
        by = _up(fact.moves - (fact.room or 0.0), unit)
        return Told(
            f"{names}, {length(fact.wide, unit)} of {wood}, grows by {moves} up to {air.high:g} percent humidity "
            f"and has {room} in the grooves of {hosts}: it pushes the frame apart, or buckles.",
            [
                f"Make it {by} narrower, and say that it goes that much less deep into the grooves.",
                f"Or cut the grooves deeper, by {by} together.",
                "Or make it of sheet material.",
            ],
        )
    needs = _up(fact.moves / 2 + (found.limit or 0.0), unit)
    lies = length(max(found.measured or 0.0, 0.0), unit)
    return Told(
        f"{names}, {length(fact.wide, unit)} of {wood}, shrinks by {moves} down to {air.low:g} percent humidity: then "
        f"it lies only {lies} deep in the grooves of {hosts}, and shows a gap or drops out.",
        [f"Make it wider, with grooves to match: {needs} or more in each."],
    )


def _up(inches: float, unit: str) -> str:
    """Rounded up to what is set out with a rule: there must be room for all of it."""
    step = rule_mark(unit)
    return to_sixteenth(whole_up(inches / step) * step, unit)

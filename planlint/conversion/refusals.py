"""Joints that are not to be converted, whatever the rules say of the pockets."""

from __future__ import annotations

from collections.abc import Iterator

from planlint.conversion.boxes import piece_side
from planlint.conversion.movement import HELD, movement
from planlint.conversion.table import LAPS
from planlint.geometry.piece import Piece
from planlint.model.directions import side_of
from planlint.model.plan import Join, Part
from planlint.text.measures import length

_HOLDS_PANEL = frozenset({"breadboard end", "tongue and groove", "dado", "rabbet", "sliding dovetail"})
"""Joints in which a wide part may be free to move; screws in it are not."""


def refusal(piece: Piece, join: Join) -> str:
    """Why a joint must stay as it is; empty where it may be converted."""
    tradition = join.tradition
    assert tradition is not None
    a, b = join.part_a, join.part_b
    if not piece.trusted(join):
        return f"{a.name} and {b.name} do not meet here as the plan says: mend that first"
    if tradition.inset:
        if a.cut_at(join.side_a) is not None:
            return f"the {join.side_a.value} end of {a.name} is cut off square: how much to take off is for the bench"
        if a.is_face(join.side_a) and tradition.kind not in LAPS:
            return f"{a.name} is let in by its face: taken back it would only be thinner, so it stays let in"
        if piece_side(a, join.side_a) is None or piece_side(b, join.side_b) is None:
            return "its parts are turned, and their sizes cannot be worked out exactly"
    return "" if join.slotted else _locked(piece, join)


def _locked(piece: Piece, join: Join) -> str:
    """That screws would hold wood which must move across its grain, and by how much it moves."""
    assert join.tradition is not None
    if join.tradition.kind not in _HOLDS_PANEL:
        return ""
    found = _moving(join)
    if found is None:
        return _captured(piece, join)
    panel, other = found
    unit = piece.plan.unit
    moves = movement(panel.stock.material, panel.width, piece.settings.humidity)
    if moves is None:
        return (
            f"it would lock {panel.name} across its grain to {other.name}; how much {panel.stock.material.name} moves "
            "is not published, so it is not risked"
        )
    if moves.inches <= HELD:
        return ""
    return (
        f"it would lock {panel.name} across its grain: {length(panel.width, unit)} of {panel.stock.material.name} "
        f"moves {_amount(moves.inches, unit)} over a season, and {other.name} does not move with it "
        f"({moves.basis}; held joints take up {length(HELD, unit)}, own judgement)"
    )


def _amount(inches: float, unit: str) -> str:
    """A movement to 1/32 in, or to a tenth of a millimetre: no figure behind it is truer."""
    return length(round(inches * 32) / 32 if unit in {"in", "ft"} else inches, unit)


def _moving(join: Join) -> tuple[Part, Part] | None:
    """A wide part that ends against another whose grain runs across it."""
    for part, side, other in (
        (join.part_a, join.side_a, join.part_b),
        (join.part_b, join.side_b, join.part_a),
    ):
        if (
            not part.is_end(side)
            or not part.stock.material.solid
            or part.turn is not None
            or other.turn is not None
        ):
            continue
        if other.grain is part.across:
            return part, other
    return None


def _captured(piece: Piece, join: Join) -> str:
    """That a solid panel lies in grooves at both its edges, so that it floats between them."""
    part = join.part_a
    if join.tradition is None or join.tradition.kind != "tongue and groove" or not part.stock.material.solid:
        return ""
    edges = {
        each.side_a
        for each in piece.graph.joins_of(part)
        if each.part_a is part
        and each.tradition is not None
        and each.tradition.inset
        and part.is_edge(each.side_a)
    }
    if not {side_of(part.across, -1), side_of(part.across, 1)} <= edges or not part.is_edge(join.side_a):
        return ""
    moves = movement(part.stock.material, part.width, piece.settings.humidity)
    if moves is not None and moves.inches <= HELD:
        return ""
    amount = f" by {_amount(moves.inches, piece.plan.unit)} over a season ({moves.basis})" if moves else ""
    return f"{part.name} floats between grooves at both its edges, for it moves{amount}: screws would hold it fast"


def slotted_variant(piece: Piece, join: Join) -> Iterator[str]:
    """What could be written instead where wood must move."""
    if join.slotted or not _locked(piece, join):
        return
    found = _moving(join)
    if found is None:
        return
    panel, _ = found
    yield (
        f"Write `slotted` under this join and convert again: the pockets then get slots along {panel.name}'s width, "
        "all but the middle one, and no glue but at the middle."
    )

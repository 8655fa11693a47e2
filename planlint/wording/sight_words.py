"""The words for pocket holes that people see, and where nobody would see them."""

from planlint.checks.hole_in_sight import Seen
from planlint.checks.row_trial import behind, can_be_driven, set_out_freely, shows
from planlint.checks.row_view import Row
from planlint.findings.finding import Finding
from planlint.geometry.drilling.allowed_places import LOOKS, keeps_spacing
from planlint.geometry.joint_facts import Pocket, Sight
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.rulebook.limits import NIL
from planlint.text.measures import some_of, to_sixteenth
from planlint.wording.finding_text import Told
from planlint.wording.row_words import setting_out

MOST_SEARCHED = 24.0
"""Joints wider than this, in inches, are not searched for places out of sight: that takes longer than all else. Basis:
our own judgement."""


def hole_in_sight(piece: Piece, _found: Finding, fact: Seen) -> Told:
    row = fact.row
    return Told(
        f"{some_of(fact.many, len(row.pockets), 'pocket').capitalize()} in the {row.asked.face.value} of "
        f"{row.part.name} can be seen {_by_whom(row, fact.sight, fact.pocket)}.",
        _hide(row, _told_to_move(piece)),
    )


@of_piece
def _told_to_move(_piece: Piece) -> dict[int, frozenset[int]]:
    """What is in the way of joints told to be drilled from behind: all of them may be. Gathered as they are told."""
    return {}


def _by_whom(row: Row, sight: Sight, pocket: Pocket) -> str:
    if sight.eye is None or sight.seen_from is None:
        return "from where people look"
    x, y, z = (a - b for a, b in zip(sight.eye, pocket.mouth, strict=True))
    away = (x * x + y * y + z * z) ** 0.5
    who = "seated" if sight.seated else "standing"
    return (
        f"from the {sight.seen_from.value}, by someone {who} {to_sixteenth(round(away), row.unit)} away with eyes "
        f"{to_sixteenth(round(sight.eye[2]), row.unit)} above the floor"
    )


def _hide(row: Row, moved: dict[int, frozenset[int]]) -> list[str]:
    """Drill in the face behind, if nobody sees it there and a driver reaches it; else elsewhere here; else plug.

    ``moved`` gathers what is in the way of joints told to be drilled from behind: all of them may be.
    """
    plug = "plug the holes: write `, plugged` at the end of the line."
    pockets = behind(row)
    if pockets and not shows(row, pockets):
        in_the_way = can_be_driven(row, pockets, moved)
        if in_the_way is not None:
            moved[row.join.index] = in_the_way
            return [
                f"Drill in the {row.asked.face.opposite.value} of {row.part.name} instead: nobody sees it there.",
                f"Or {plug}",
            ]
    hidden = _out_of_sight(row) if row.asked.fixed and row.width <= MOST_SEARCHED else None
    if hidden is not None:
        where = setting_out(row, hidden)
        return [f"Keep the pockets where nobody sees them: set them out at {where}.", f"Or {plug}"]
    return [plug.capitalize()]


def _out_of_sight(row: Row) -> list[float] | None:
    """The row moved to where nobody sees it; ``None`` where it has no room there, or no longer holds the width."""
    piece = row.piece
    ground = piece.ground(row.join, row.number)
    found = piece.allowed_stretches(row.join, row.number)
    # Sight was asked at places half a look to each side of these.
    seen = [(low - LOOKS / 2, high + LOOKS / 2) for low, high, why in found if "in sight" in why]
    free = [(low, high) for low, high, why in found if not why]
    if ground is None or not free:
        return None

    def hidden(station: float) -> bool:
        return any(low - NIL <= station <= high + NIL for low, high in free) and not any(
            low < station < high for low, high in seen
        )

    places = set_out_freely(row, hidden)
    if places is None or not keeps_spacing(places, row.width, piece.limits):
        return None
    return None if shows(row, [ground.pocket(station) for station in places]) else places

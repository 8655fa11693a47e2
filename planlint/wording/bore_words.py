"""The words for bores against the wood they are drilled in."""

from planlint.checks.bore_cover import NarrowMitre, Tight
from planlint.checks.row_trial import behind, has_room, keeps_wood, shows
from planlint.checks.row_view import Row
from planlint.findings.finding import Finding
from planlint.findings.one_cause import OUTSIDE
from planlint.geometry.piece import Piece
from planlint.model.directions import Side
from planlint.text.measures import degrees, some_of
from planlint.wording.finding_text import Told
from planlint.wording.row_words import free_places, measured_from, setting_out


def breakout(_piece: Piece, found: Finding, tight: Tight) -> Told:
    return _broken(found, tight, "The")


def mitre_breakout(_piece: Piece, found: Finding, tight: Tight) -> Told:
    cut = tight.row.part.cut_at(tight.row.side) or tight.cut_beside
    angle = f", cut {degrees(cut.angle)}," if cut else ""
    return _broken(found, tight, f"At the mitred end{angle} the")


def thin_cover(_piece: Piece, found: Finding, tight: Tight) -> Told:
    cut = tight.cut_beside
    return _broken(found, tight, f"At the end bevelled {degrees(cut.angle)} the" if cut else "The")


def _broken(found: Finding, tight: Tight, where: str) -> Told:
    row, wood, near = tight.row, tight.wood.wood, tight.wood.at
    mouth = "mouth of the bore" if tight.mouth_alone(found.limit or 0.0) else "bore"
    what = mouth if tight.wood.what == "bore" else "pilot hole"
    side = f"the {near}"
    if isinstance(near, Side):
        side = "the joint" if near is row.side else f"the part's {near.value}"
    said = {
        "thin": f"leaves {row.length(wood)} of wood at {side}",
        "into-a-cut": f"runs into {side}",
        "comes-out": f"breaks out at {side}, by {row.length(-wood)}",
        OUTSIDE: f"lies past {side}",
    }[found.kind]
    many = f"; so do {some_of(tight.many, len(row.pockets), 'pocket')} of the row" if tight.many > 1 else ""
    at, face = setting_out(row, [tight.pocket.station]), row.asked.face.value
    return Told(
        f"{where} {what} of the pocket {at}, in the {face} of {row.part.name}, {said}{many}.",
        [_move(row, near, found.limit or 0.0)],
    )


def _move(row: Row, near: Side | str, limit: float) -> str:
    """Where the pockets would keep their wood, or what else to do."""
    if row.part.removals or row.part.cuts:
        free = free_places(row)
        if free:
            return f"Keep the pockets where their wood is whole: {free}."
    if not row.part.removals:
        low, high = row.piece.allowed(row.join, row.number)
        room = row.room(low, high) if low <= high else None
        if room is not None:
            first, last = (row.length(each) for each in room)
            if first == last:
                return f"Drill one pocket {first} {measured_from(row)}: only there does it keep its wood."
            # Where nothing is free there, something else than wood is in the way: an eye, or another screw.
            seen = (
                "; something else bars them there, so plug them or drill another face"
                if row.part.cuts
                else ""
            )
            return f"Keep the pockets between {first} and {last} {measured_from(row)}{seen}."
    if isinstance(near, str):
        return (
            f"No place on this joint keeps {row.length(limit)} of wood beside the {near}: move the {near}, "
            f"drill in {row.asked.face.opposite.value}, or drill {row.into.name} instead."
        )
    other = behind(row)
    if keeps_wood(row, other) and has_room(row, other, ()) and (row.asked.plugged or not shows(row, other)):
        face = row.asked.face.opposite.value
        return f"Drill the pockets in the {face} of {row.part.name}: there they keep their wood."
    return (
        f"No place on this joint keeps {row.length(limit)} of wood round a pocket: use wider or thicker stock for "
        f"{row.part.name}, or drill {row.into.name} instead."
    )


def narrow_mitre(_piece: Piece, found: Finding, fact: NarrowMitre) -> Told:
    row, part, least = fact.row, fact.part, fact.row.length(found.limit or 0.0)
    return Told(
        f"{part.name} is {row.length(float(part.width))} wide: mitred stock under {least} leaves little room for the "
        f"pockets of {row.joint}.",
        [
            f"Use stock {least} wide or more.",
            "Or glue the mitre with a spline, or butt the ends as stile and rail.",
        ],
    )


def thin_stock(_piece: Piece, found: Finding, row: Row) -> Told:
    least = found.limit or 0.0
    ways = [f"Use stock {row.length(least)} thick or more for {row.part.name}."]
    if float(row.into.size[row.entered.axis]) >= least and not row.into.is_end(row.entered):
        board_end = row.part.is_end(row.side) and row.part.stock.material.solid
        how = "with a tenon or dowels" if board_end else "in a groove or rabbet"
        ways.append(f"Or glue {row.part.name} to {row.into.name} {how}, without pockets.")
    return Told(
        f"The pockets of {row.joint} are drilled in {row.part.name}, which is only "
        f"{row.length(row.frame.thickness)} thick there: the screw's head has no wood to bear on.",
        ways,
    )

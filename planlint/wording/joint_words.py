"""The words for joints that are missing, that turn or that nothing holds, and for cuts that do not fit."""

from collections.abc import Sequence

from planlint.checks.cuts_for_parts import MORTISES
from planlint.checks.joint_wood import NoWood
from planlint.checks.loose_end import LooseEnd, like_end, twins_of
from planlint.checks.placement_faults import LooseGroup
from planlint.checks.poor_fit import PoorFit
from planlint.checks.row_view import Row
from planlint.checks.turning_joint import LoneFastener, LoneRow, held_twin, usual_pockets
from planlint.findings.finding import Finding
from planlint.geometry.join_holds import glued, on_end_grain
from planlint.geometry.piece import Piece
from planlint.language.joint_table import Form
from planlint.language.vocabulary import USUAL_MIRROR
from planlint.model.plan import Join, Part
from planlint.model.provenance import meant_as_image, mirror_meant
from planlint.rulebook.limits import NIL
from planlint.text.measures import length, listed, rule_mark
from planlint.wording.fastener_words import lone_fastener
from planlint.wording.finding_text import Told, alternatives
from planlint.wording.no_wood_words import no_wood
from planlint.wording.row_words import setting_out


def loose_end(piece: Piece, found: Finding, end: LooseEnd) -> Told:
    part, other, gap = end.part.name, end.other.name, length(end.gap, piece.plan.unit)
    short = found.kind == "short"
    where = f"stops {gap} short of" if short else "runs into" if found.kind == "inside" else "touches"
    longer = f", and make {part} {gap} longer" if short else ""
    sides = f"{part}.{end.side.value} to {other}.{end.back.value}"
    likes = twins_of(piece, end) or [end.twin or end.held]
    like, at = like_end(end, likes[0])
    return Told(
        f"The {end.side.value} of {part} {where} {other}, and no join holds it there.",
        [
            f"Join {sides} as {like.name}.{at.value} is{longer}.",
            *(
                [f"If it only lies there, say so: `join {sides} as resting`."]
                if found.kind != "inside"
                else []
            ),
        ],
    )


def unjoined(piece: Piece, _found: Finding, part: Part | LooseGroup) -> Told:
    if isinstance(part, LooseGroup):
        names = listed([each.name for each in part.parts])
        return Told(
            f"{names} are joined to one another and to nothing else: the plan does not say where they go.",
            [
                f"Join {part.parts[0].name}, or another of them, to what it meets.",
                "Or, where they make a door or a drawer, say how it hangs or runs: `hinges 2`, `slides`.",
            ],
        )
    _, words = meant_as_image(piece.plan.provenance, part.name, part.grain)
    image = [f"Write `{words[0]}` for {part.name}: then it is joined as that is."] if words else []
    return Told(
        f"No join holds {part.name}: the plan does not say where it goes.",
        alternatives(
            [*image, f"Join {part.name} to its neighbour; if it only lies there, say `as resting`."]
        ),
    )


def _check_mirror(piece: Piece, name: str) -> list[str]:
    """Where a part is made in the mirror another way than left to right, that this may be what is wrong."""
    said = piece.plan.provenance.parts.get(name)
    if said is None or said.line.mirrors in {None, USUAL_MIRROR}:
        return []
    return [f"Check how {name} is mirrored: {said.line.mirrors}, as the plan says, its cuts lie elsewhere."]


def poor_fit(piece: Piece, found: Finding, fault: PoorFit | NoWood) -> Told:
    if isinstance(fault, NoWood):
        return no_wood(piece, fault)
    unit, host, part = piece.plan.unit, fault.host.name, fault.part.name
    amount, needed = length(fault.amount, unit), length(fault.needed, unit)
    made = fault.join.made
    cut = fault.removal.kind if fault.removal else made.cuts[0] if made and made.cuts else "cut"
    side = fault.side.value if fault.side is not None else ""
    meant, span = fault.join.side_b.value, fault.side.axis.words if fault.side is not None else ""
    a, b = fault.join.part_a.name, fault.join.part_b.name
    both = f"out of {a} or {b}, so that both cuts come to {needed}."
    lap = fault.join.form is Form.LAP
    thick, thin, thicker = ("wide", "narrower", "wider") if lap else ("thick", "thinner", "thicker")
    tenon, across = ("the tenon of ", f", {span}") if cut in MORTISES else ("", f", as {part} is {thick}")
    like, image = mirror_meant(piece.plan.provenance, host, fault.join.side_b.axis)
    mirrored = [f"Write `{image}` for {host}, not `{like}`."] if image else []
    kind = "misplaced in all" if found.kind == "misplaced" and fault.hosts else found.kind
    kind = "lap-missing" if found.kind == "missing" and lap else kind
    says, *do = {
        "narrow": (
            f"The {cut} in {host} is {amount} too narrow for {tenon}{part}{across * bool(tenon)}.",
            f"Cut it {needed} wide{across}.",
            f"Or make {tenon}{part} {amount} {thin} where it goes in.",
        ),
        "wide": (
            f"The {cut} in {host} is {amount} wider than {part}: the joint is loose.",
            f"Cut it {needed} wide{across}.",
            f"Or make {part} {amount} {thicker}.",
        ),
        "shallow": (
            f"The {cut} in {host} is {amount} too shallow: {part} goes {needed} in.",
            f"Cut it {needed} deep.",
            f"Or let {part} in {amount} less, and make it shorter by that.",
        ),
        "misplaced in all": (
            f"{part} lies {amount} too far toward the {side} for the {cut}s in {listed(fault.hosts)}.",
            f"Lay {part} {amount} nearer to the {fault.side.opposite.value if fault.side is not None else ''}.",
            f"Or cut all of them {amount} nearer to the {side}.",
        ),
        "misplaced": (
            f"The {cut} in {host} lies {amount} off {part}, which is let in further toward the {side}.",
            f"Cut it {amount} nearer to the {side} of {host}.",
            f"Or lay {part} where the {cut} is.",
        ),
        "short": (
            f"The {cut} in {host} stops {amount} before {part} does, toward the {side}.",
            f"Cut it {amount} further toward the {side}.",
            f"Or notch {part} round its end by {amount}.",
        ),
        "other-face": (
            f"{part} is let into the {meant} of {host}, but the {cut} is cut in its {side}.",
            *mirrored,
            f"{'Or cut' if mirrored else 'Cut'} it in the {meant} of {host} instead.",
        ),
        "missing": (
            f"{part} goes {amount} into the {meant} of {host}, where no {cut} is cut for it.",
            *alternatives(
                [
                    *_check_mirror(piece, host),
                    f"Cut a {cut} {amount} deep there, as where the plan has its others.",
                    f"Shorten {part} by {amount}.",
                ]
            ),
        ),
        "lap-missing": (
            f"{host} is not cut for its lap with {part}, which leaves {amount} of its own wood there.",
            f"Cut the {side} of {host} {amount} deep where {part} lies, as where the plan has its others.",
        ),
        "lap-thick": (
            f"What is left of {a} and {b} in their lap is {amount} more than the {needed} they share.",
            f"Cut {amount} more {both}",
        ),
        "lap-face": (
            f"{a} and {b} are cut on the same side for their lap: they run {amount} into one another.",
            f"Cut the lap of {a} or {b} on its other side.",
        ),
        "lap-gap": (
            f"The cuts of the lap of {a} on {b} take {amount} too much: a gap stays open between them.",
            f"Cut {amount} less {both}",
        ),
    }[kind]
    swap = [f"Swap its two numbers: as told it is {needed} the other way."] * fault.swapped
    return Told(says, [*alternatives([*swap, *do[:1]]), *do[1:]])


def lone_screw(piece: Piece, _found: Finding, fact: LoneRow | LoneFastener) -> Told:
    if isinstance(fact, LoneFastener):
        return lone_fastener(piece, fact)
    row, join = fact.row, fact.row.join
    glue = ", for glue on end grain soon lets go" if glued(join) else ""
    or_glue = "" if on_end_grain(piece, join) else "glue the joint, or "
    return Told(
        f"One screw holds {row.joint} over a width of {row.length(row.width)}: the joint can turn on it{glue}.",
        [
            f"Drill 2 pockets in {row.asked.face.value}, at {setting_out(row, _marked(row, fact.room))}.",
            f"Or {or_glue}add a dowel beside the screw.",
        ],
    )


def _marked(row: Row, room: tuple[float, float]) -> Sequence[float]:
    """The two places on the marks of a rule, within the room for them where the marks allow it."""
    low, high = room
    apart = high - low - rule_mark(row.unit)
    return row.marked(room, lambda station: low - NIL <= station <= high + NIL, apart) or room


def unheld(piece: Piece, found: Finding, join: Join) -> Told:
    a, b = join.parts
    weak = found.kind == "glue-on-end-grain"
    says = (
        f"Only glue on end grain holds {a.name} to {b.name}: such a butt soon lets go"
        if weak
        else f"Nothing holds {a.name} to {b.name}: no pockets, glue or interlocking joint is said"
    )
    if join.screws is not None:
        says += "; the line asks for screws, but no pockets are drilled for them"
    pockets = usual_pockets(piece, join)
    glue = "" if on_end_grain(piece, join) else "`glued`, or "
    other_ways = f"{glue}{'an interlocking joint, such as `as dowels`, or ' if weak else ''}{RESTING}"
    twin = held_twin(piece, join)
    do = [f"Hold it as {twin.name} is held."] if twin is not None else []
    return Told(
        f"{says}.",
        alternatives([*do, f"Say `{pockets.words()}`, {other_ways}." if pockets else f"Say {other_ways}."]),
    )


RESTING = "`as resting` if it lies loose on purpose"

"""The words for screws, bores and tenons that run into one another, and what would keep them apart."""

from collections.abc import Sequence
from math import ceil

from planlint.checks.row_trial import behind, has_room, keeps_wood, set_out_freely, shifted, shows
from planlint.checks.row_view import Row
from planlint.checks.screws_meet import DriveMeets, LetInMeets, MeetsTenon, ScrewsMeet
from planlint.findings.finding import Finding
from planlint.geometry.drilling.screw_clashes import Rod, Tenon, clear
from planlint.geometry.joint_facts import Screw
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import scaled
from planlint.model.directions import Side
from planlint.model.fastener_statements import KINDS
from planlint.rulebook.limits import NIL
from planlint.text.measures import length, past, rule_mark
from planlint.wording.fastener_words import drive_meets
from planlint.wording.finding_text import Told, alternatives
from planlint.wording.no_wood_words import NOUNS
from planlint.wording.row_words import at_least, free_places, setting_out

FURTHEST_SHIFT = 2.0
"""How far along its joint a row is moved to clear another, in inches. Basis: our own judgement."""
FURTHEST_APART = 4.0
"""How much larger a part is advised at most, in inches: two bores, end to end. Basis: our own judgement."""


def screws_meet(
    piece: Piece, found: Finding, fact: ScrewsMeet | MeetsTenon | DriveMeets | LetInMeets
) -> Told:
    if isinstance(fact, LetInMeets):
        return _let_in(piece.plan.unit, found, fact)
    if isinstance(fact, DriveMeets):
        return drive_meets(piece, found, fact)
    if isinstance(fact, MeetsTenon):
        return _tenon(found, fact)
    (mine, theirs, rods), wood = fact, found.measured or 0.0
    said = (
        f"run into one another, by {past(-wood, mine.unit)}"
        if wood < 0
        else f"leave only {mine.length(wood)} of wood between them"
    )
    return Told(
        f"The {_whose(mine, rods[0])} and the {_whose(theirs, rods[1])} {said}.",
        _apart(mine, theirs, piece.settings.profile.bit_diameter / 2, found.limit or 0.0),
    )


def _whose(row: Row, rod: Rod) -> str:
    what = "screw" if rod.what == "screw" else "bore"
    return f"{what} of {row.joint} {setting_out(row, [rod.screw.pocket.station])}"


def _apart(mine: Row, theirs: Row, bit: float, limit: float) -> list[str]:
    """One row moved along its joint until it clears the other; else shorter screws; else wood that keeps them apart."""
    ways = []
    both = ((mine, theirs), (theirs, mine))
    for row, other in both:
        stations = _staggered(row, other.screws, bit, limit)
        if stations is not None:
            ways.append(f"Stagger them: set the pockets of {row.joint} out at {setting_out(row, stations)}.")
            break
    for row, other in both:
        inches = _shorter(row, other.screws, bit, limit)
        if inches is not None:
            ways.append(f"Use {row.length(inches)} screws at {row.joint}: they end short of it.")
            break
    if mine.part is theirs.part:
        ways += _in_one_part(mine, theirs, bit, limit)
    if mine.into is theirs.into and mine.entered is theirs.entered.opposite:
        # Both come from opposite sides: in thicker stock their points end further apart.
        more = _further(mine, theirs, mine.entered, bit, limit)
        if more is not None:
            through = at_least(float(mine.into.size[mine.entered.axis]) + more, mine.unit)
            ways.append(
                f"Make {mine.into.name} {through} or more through from {mine.entered.value} to {theirs.entered.value}."
            )
    if not ways:
        one = mine.part is theirs.part
        move = "" if one else f"Move {mine.part.name} or {theirs.part.name} further from the other, or join "
        joined = f"{'Join ' if one else ''}{mine.joint} or {theirs.joint} with glue, dowels or a tenon"
        ways.append(f"{move}{joined}.")
    return alternatives(ways)


def _in_one_part(mine: Row, theirs: Row, bit: float, limit: float) -> list[str]:
    """What keeps the bores of two rows in one part apart: more wood between its ends, or the face behind for one."""
    ways = []
    if mine.side is theirs.side.opposite:
        more = _further(mine, theirs, mine.side, bit, limit)
        if more is not None:
            part, axis = mine.part, mine.side.axis
            size = at_least(float(part.size[axis]) + more, mine.unit)
            ways.append(f"Make {part.name} {size} or more from {mine.side.value} to {theirs.side.value}.")
    for row, other in ((mine, theirs), (theirs, mine)):
        pockets = behind(row)
        if (
            keeps_wood(row, pockets)
            and has_room(row, pockets, ())
            and (row.asked.plugged or not shows(row, pockets))
            and all(
                clear(row.screw(pocket, old.length), screw, bit, limit - NIL)
                for pocket, old in zip(pockets, row.screws, strict=True)
                for screw in other.screws
            )
        ):
            face = row.asked.face.opposite.value
            ways.append(
                f"Drill the pockets of {row.joint} in the {face} of {row.part.name}: there they pass."
            )
            break
    return ways


def _further(mine: Row, theirs: Row, side: Side, bit: float, limit: float) -> float | None:
    """How much further apart two rows must lie, square to a side that ``mine`` lies on, to clear one another."""
    into = mine.into if side is mine.entered else mine.part
    away = scaled(mine.piece.body(into).planes[side].normal, -1)
    step = rule_mark(mine.unit)
    # On from the marks of a rule, so that the size told is the size tried.
    now = float(into.size[side.axis])
    first = ceil(now / step - NIL) * step - now
    for n in range(int(FURTHEST_APART / step) + 1):
        moved = [shifted(screw, away, first + n * step) for screw in theirs.screws]
        if all(clear(a, b, bit, limit - NIL) for a in mine.screws for b in moved):
            return first + n * step
    return None


def _staggered(row: Row, others: Sequence[Screw], bit: float, limit: float) -> list[float] | None:
    """The row moved as little as is needed, its bores still within their wood and its screws within theirs."""
    low, high = row.piece.allowed(row.join, row.number)
    ground = row.piece.ground(row.join, row.number)
    if ground is None:
        return None
    mark = rule_mark(row.unit)

    def passes(station: float) -> bool:
        if not low - NIL <= station <= high + NIL or not ground.free(station):
            return False
        return all(clear(ground.screw(station), other, bit, limit - NIL) for other in others)

    stations = [row.on_marks(pocket.station)[0] for pocket in row.pockets]
    for shift in [sign * n * mark for n in range(int(FURTHEST_SHIFT / mark) + 1) for sign in (1, -1)]:
        moved = [station + shift for station in stations]
        if all(map(passes, moved)):
            return moved
    return set_out_freely(row, passes)


def _shorter(row: Row, others: Sequence[Screw], bit: float, limit: float) -> float | None:
    """The longest screw of the shop, shorter than the row's, that clears the other row and still holds."""
    now = row.screws[0]
    for inches in sorted(row.piece.settings.screws.lengths, reverse=True):
        if inches >= now.length:
            continue
        shorter = [row.screw(pocket, inches) for pocket in row.pockets]
        if (
            row.piece.grip(shorter[0])
            < row.piece.limits["short-grip", "thread in the wood"] * now.diameter - NIL
        ):
            return None
        if all(clear(a, b, bit, limit - NIL) for a in shorter for b in others):
            return inches
    return None


# ---------------------------------------------------------------- tenons


def _tenon(found: Finding, fact: MeetsTenon) -> Told:
    row, other, wood = fact.row, fact.tenon, found.measured or 0.0
    if other.join is row.join and other.round is None:
        return Told(
            f"The screw of {row.joint} {setting_out(row, [fact.screw.pocket.station])} runs through the spline between "
            "them.",
            [f"Leave the pockets of {row.joint} out: spline and glue hold it.", "Or leave the spline out."],
        )
    said = f"runs {row.length(-wood)} into" if wood < 0 else f"leaves only {row.length(wood)} of wood beside"
    at, part = setting_out(row, [fact.screw.pocket.station]), other.body.part.name
    what, host = f"the {tongue_of(other)} of {part}", other.host.name
    wants = f"{'slot' if other.fitted == 'buttons' else 'screws'} that {what} wants" if other.fitted else ""
    what = f"the {wants} in {host}" if wants else f"{what} in {host}"
    return Told(f"The {fact.what} of {row.joint} {at} {said} {what}.", [_past_the_tenon(row, other)])


def let_in_name(each: Tenon | Screw) -> str:
    if isinstance(each, Screw):
        return f"{KINDS[each.thread].one} through {each.pocket.part.name}"
    return f"{tongue_of(each)} of {each.body.part.name}"


def _let_in(unit: str, found: Finding, fact: LetInMeets) -> Told:
    wood, host = found.measured or 0.0, fact.host.name
    names = [let_in_name(each) for each in (fact.first, fact.second)]
    said = (
        f"run into one another in {host}, by {past(-wood, unit)}"
        if wood < 0
        else f"leave only {length(wood, unit)} of wood between them in {host}"
    )
    by = length(ceil(((found.limit or 0.0) - wood) * 16 - NIL) / 16, unit)
    return Told(
        f"The {names[0]} and the {names[1]} {said}.",
        [f"Set one of them elsewhere, or let it in less deep: they must lie {by} further apart."],
    )


def tongue_of(made: Tenon) -> str:
    """What a part lets into another: ``tenon``."""
    kind = made.join.tradition.kind if made.join.tradition else ""
    if made.fitted:
        return KINDS[made.fitted].one
    if made.round is not None:
        return "dowel" if kind == "dowels" else "pin" if made.join.on_pins else "insert"
    return "cheek" if kind == "bridle" and made.host is made.join.part_a else _TONGUES.get(kind, "end")


_TONGUES = {
    **NOUNS,
    "sliding dovetail": "tongue",
    "box joint": "fingers",
    "through dovetail": "dovetails",
    "half-blind dovetail": "dovetails",
}


def _past_the_tenon(row: Row, other: Tenon) -> str:
    free = free_places(row)
    if free:
        return f"Set the pockets of {row.joint} out where they clear it: {free}."
    tongue, part = tongue_of(other), other.body.part
    if other.round is not None or other.fitted:
        unseen = " and is out of sight" if row.piece.plan.seen_from and not row.asked.plugged else ""
        aside = f"set the {tongue} elsewhere, or {row.part.name} further from it"
        return f"No place along {row.joint} clears it{unseen}: {aside}."
    shorter = f"make the {tongue} of {part.name} shorter, or " if tongue in {"tenon", "tongue"} else ""
    return f"No place along {row.joint} clears it: {shorter}set {row.part.name} further from {part.name}."

"""The words for drivers that cannot reach a screw, and for parts that cannot be put together or brought in."""

from collections.abc import Sequence

from planlint.checks.driving_room import NoOrder, OutOfReach, ShutHollow, others_than_joined
from planlint.checks.no_way_in import ShutIn
from planlint.checks.row_trial import behind, has_room, would_show
from planlint.checks.row_view import Row, rows_of
from planlint.findings.finding import Finding
from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import scaled
from planlint.model.directions import SIDES
from planlint.model.plan import Join, Part
from planlint.model.workshop import SetUp
from planlint.text.grouping import grouped
from planlint.text.measures import length, listed
from planlint.text.rounding import ALIGNED
from planlint.wording.finding_text import Told, alternatives
from planlint.wording.row_words import set_up_words, setting_out
from planlint.workplan.joint_freedom import SKIN, Freedom, lies_over
from planlint.workplan.natural_units import natural_units
from planlint.workplan.set_ups import blockers_among
from planlint.workplan.way_out import BuiltIn

NARROWER = 2.0
"""Inches by which a drawer is made smaller at most, to pass what is in its way. Basis: our own judgement."""
MOST_TOLD = 4
"""Joints that one finding tells one by one. Basis: our own judgement."""


def no_room_to_drive(_piece: Piece, _found: Finding, fact: OutOfReach) -> Told:
    row = fact.row
    reaches = "No driver reaches" if fact.fits is None else "The usual driver does not reach"
    screws = (
        f"{reaches} the screw{'' if len(fact.stations) == 1 else 's'} {setting_out(row, fact.stations)}, in the "
        f"{row.asked.face.value} of {row.part.name}: "
    )
    if fact.by is row.part:
        longer = (
            f"Drive it with {set_up_words(fact.fits, row.unit)}."
            if fact.fits is not None
            else "Take a longer bit or a slimmer driver, and give what the shop has as `bits` and `drivers` under "
            "`[drilling]` in planlint.toml."
        )
        return Told(
            f"{screws}at the end of its bit it is so wide that it runs into {row.part.name}.", [longer]
        )
    return Told(
        f"{screws}{row.into.name} stands in the way of its own screw.",
        _from_elsewhere(row, (), fact.places, fact.fits),
    )


def no_build_order(piece: Piece, _found: Finding, fact: NoOrder | ShutHollow) -> Told:
    if isinstance(fact, ShutHollow):
        return _shut_hollow(piece, fact)
    with_usual = "" if fact.fits is None else " with the usual bit and driver"
    blocked = _some([_blocked(piece, join, fact.parts) for join in fact.joins])
    return Told(
        f"No order of work puts {listed([part.name for part in fact.parts])} together{with_usual}: "
        f"{blocked}. Whichever joint comes last, its screws are out of reach.",
        _from_elsewhere(fact.row, others_than_joined(fact.row, fact.parts), fact.places, fact.fits)
        if fact.row
        else _not_through(piece, fact),
    )


def _not_through(piece: Piece, fact: NoOrder) -> list[str]:
    """For screws through a face: another driver, from the other side, or no screws."""
    ways = [] if fact.fits is None else [f"Drive it with {set_up_words(fact.fits, piece.plan.unit)}."]
    a, b = fact.join.part_a.name, fact.join.part_b.name
    return alternatives(
        [
            *ways,
            f"Screw {a} to {b} from the other side, where the driver has room.",
            f"Make {a} to {b} with glue instead of screws.",
        ]
    )


def _shut_hollow(piece: Piece, fact: ShutHollow) -> Told:
    name = fact.last.name
    rows = [row for join in fact.joins for row in rows_of(piece, join)[:1]]
    moved = [(row, behind(row)) for row in rows]
    room = bool(rows) and all(pockets and has_room(row, pockets, ()) for row, pockets in moved)
    show = room and any(would_show(row, pockets) for row, pockets in moved)
    outside = dict.fromkeys(f"the {row.asked.face.opposite.value} of {row.part.name}" for row in rows)
    drill = f"Drill the pockets at {name} outside, in {listed(list(outside))}"
    ways = [f"{drill}."] if room and not show else []
    if fact.through:
        on = listed([join.other(fact.last).name for join in fact.joins])
        ways.append(f"Put {name} on last, with plain screws through it into {on}.")
    ways.append(f"Make the joints of {name} with glue, dowels or a tongue instead of pocket screws.")
    if show:
        ways.append(f"{drill} and plug them: they show.")
    return Told(
        f"{listed([part.name for part in fact.parts])} close round the pockets that hold them together: whichever "
        f"comes last, no hand and no driver gets in to its screws.",
        alternatives(ways),
    )


def _some(told: Sequence[str]) -> str:
    left = len(told) - MOST_TOLD
    more = f"; and {left} more joint{'' if left == 1 else 's'} likewise" if left > 0 else ""
    return "; ".join(told[:MOST_TOLD]) + more


def _blocked(piece: Piece, join: Join, parts: Sequence[Part]) -> str:
    names = blockers_among(piece, join, parts)
    stand = "stands" if len(names) == 1 else "stand"
    return f"{listed(names)} {stand} in the driver's way at {join.part_a.name} to {join.part_b.name}"


def _from_elsewhere(
    row: Row, others: Sequence[Part], places: Sequence[float] | None, fits: SetUp | None
) -> list[str]:
    """Other places along the joint, or the other face, where a driver has room; else a shorter one, or no screws.

    ``places`` are those along the joint with room; the other face comes last where the pockets would show in it.
    """
    ways = []
    if fits is not None:
        ways.append(f"Drive it with {set_up_words(fits, row.unit)}.")
    if places is not None:
        ways.append(
            f"Set the pockets of {row.joint} out at {setting_out(row, places)}: there the driver has room."
        )
    moved = behind(row)
    drill = f"Drill the pockets of {row.joint} in the {row.asked.face.opposite.value} of {row.part.name}"
    room = bool(moved) and has_room(row, moved, others)
    show = room and would_show(row, moved)
    if room and not show:
        ways.append(f"{drill}: there is room.")
    no_screws = f"Make {row.joint} with glue, dowels or a tenon instead of pocket screws"
    if fits is None:
        no_screws += (
            "; or drive it by hand, or measure what the shop has and give it as `bits` and `drivers` under "
            "`[drilling]` in planlint.toml"
        )
    ways.append(f"{no_screws}.")
    if show:
        ways.append(f"{drill} and plug them: they show.")
    return alternatives(ways)


def no_way_in(piece: Piece, _found: Finding, fact: ShutIn | BuiltIn) -> Told:
    if isinstance(fact, BuiltIn):
        return _built_in(piece, fact)
    part, others = fact.part, fact.others
    entered = _some([_entered(join, free) for join, free in fact.guided])
    return Told(
        f"{part.name} has no way in: {listed(others)} shut{'s' if len(others) == 1 else ''} it in."
        f"{entered and f' {entered}.'} Whichever comes last, no straight move brings it home.",
        alternatives(_let_in(fact)),
    )


def _built_in(piece: Piece, fact: BuiltIn) -> Told:
    own = frozenset(part.index for part in fact.parts)
    named = next((unit.name for unit in natural_units(piece) if unit.name and unit.parts == own), "")
    name = named or listed([part.name for part in fact.parts])
    shut = [part.name for part, _ in fact.shut_by]
    by = grouped((length(inches, piece.plan.unit), part.name) for part, inches in fact.shut_by)
    stand = " and ".join(f"{listed(n)} stand{'s' if len(n) == 1 else ''} {far}" for far, n in by.items())
    stand += f" in the way towards the {fact.side.value}"
    if not fact.runs:
        return Told(
            f"{name} {'is' if named else 'are'} built in for good: no way leads out, and {stand}.",
            [
                f"Leave {listed(shut)} out, or hang one of what shuts it in on hinges, so that it can be taken out."
            ],
        )
    ways = [
        f"Move {listed(shut)} out of the way by that much.",
        "Make it that much smaller, and pack its slides out past what is in the way.",
    ]
    far = max(inches for _, inches in fact.shut_by) > NARROWER
    return Told(
        f"{name} cannot be pulled out on {'its' if named else 'their'} slides: {stand}.",
        [f"Leave {listed(shut)} out there."] if far else alternatives(ways),
    )


def _let_in(fact: ShutIn) -> list[str]:
    ways, name = [], fact.part.name
    if fact.notched is not None and fact.notched.tradition is not None:
        a, b = fact.notched.part_a.name, fact.notched.part_b.name
        ways.append(
            f"Cut the {fact.notched.tradition.kind} of {a} in {b} through to its end, or notch the corner of {a} that "
            f"it stops, and slide {a} in along it."
        )
    if fact.springy:
        ways.append(
            "Spring the thin part, tilt it in, or let it in at a notch and slide it home: try it dry first."
        )
    for join in fact.undoing[:2]:
        joint = f"{join.part_a.name} to {join.part_b.name}"
        if join.tradition is not None and any(join is each for each, _ in fact.guided):
            kind = join.tradition.kind
            if lies_over(join):
                side = _from(next(scaled(free.out, -1.0) for each, free in fact.guided if each is join))
                ways.append(
                    f"Cut the {kind} of {joint} from the other side, so that {join.part_a.name} goes in {side}."
                )
                continue
            thin = join.part_a.thickness <= SKIN and not join.part_a.is_face(join.side_a)
            ways.append(
                f"Lay {join.part_a.name} into a rabbet of {join.part_b.name} that is open to one side, with pins or a "
                f"bead to hold it, instead of {kind}."
                if thin
                else f"Make {joint} as a butt with pocket screws, or with glue, instead of {kind}."
            )
        elif join.pockets:
            ways.append(
                f"Drill {joint} in a face that stays open, so that its screws can be driven after {name} is in."
            )
    return [*ways, f"Cut the joints of {name} so that all of them are entered the same way."]


def _entered(join: Join, free: Freedom) -> str:
    """``rail goes into post only from the left``: how a joint is entered, by its part A."""
    ways = free.only or (free.out,)
    words = " or ".join(dict.fromkeys(_from(way) for way in ways))
    along = "" if free.only or free.walls is None else ", or along its channel"
    return f"{join.part_a.name} goes into {join.part_b.name} only {words}{along}"


_FROM = {"top": "from above", "bottom": "from below"}


def _from(way: Vector) -> str:
    """Where a part comes from that leaves along a unit vector."""
    for side in SIDES:
        if way[side.axis] * side.sign > ALIGNED:
            return _FROM.get(side.value, f"from the {side.value}")
    return "square to the joint"

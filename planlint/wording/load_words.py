"""The words for what loads do: parts that sag, joints that carry too much, pieces that sway, tip or hang."""

from collections.abc import Sequence
from math import floor

from planlint.checks.breaking_part import WHOLE, MayBreak
from planlint.checks.hung_piece import Hangs, ThinHold
from planlint.checks.overloaded_joint import GivesWay, NotTold, Overloaded
from planlint.checks.racking_frame import Sways
from planlint.checks.sagging_shelf import Sags
from planlint.checks.tipping_piece import PushedOver, Tips, Topples
from planlint.findings.finding import Finding, Grade
from planlint.geometry.joint_facts import Pocket, Vector
from planlint.geometry.piece import Piece
from planlint.model.fastener_statements import KINDS
from planlint.statics.carried_loads import UPRIGHT
from planlint.text.measures import in_inches, listed, stress, to_sixteenth, told_apart, weight
from planlint.wording.finding_text import Told, alternatives

_NARROW = 6
"""Inches of width up to which one strip stiffens a part. Basis: our own judgement."""
MANY_TIMES = 2
"""Times as many screws in a joint as there are that may find room. Basis: our own judgement."""
CAUTION = "Where people can be hurt, follow local codes and licensed practice: planlint certifies nothing."


def _do(*ways: str) -> Sequence[str]:
    return (*ways, CAUTION)


def shelf_sag(piece: Piece, _found: Finding, fact: Sags | NotTold) -> Told:
    unit = piece.plan.unit
    if isinstance(fact, NotTold):
        return Told(
            f"No figure is known here for how stiff {fact.wood} is, so how far it sags under its load is not judged.",
            _do(
                "Take a wood of its weight and hardness that is known here, or try a board of it under that load."
            ),
        )
    part, span = fact.sag.part, fact.sag.span
    sags, most = told_apart(fact.sag.inches if fact.seen else fact.last, fact.most, unit)
    what = "its end that stands out" if span.overhang else "between its supports"
    time = (
        " as soon as it is loaded, which the eye sees"
        if fact.seen
        else " in the end, as wood under a load that stays gives more and more"
        if fact.stays
        else " where people sit or stand"
        if fact.in_one_place
        else ""
    )
    shorter = floor(fact.span_to_be * 2) / 2
    ways = [
        f"Make it {to_sixteenth(fact.deep_to_be + 1 / 32, unit)} {'thick' if fact.flat else 'wide'}, or of a stiffer "
        "wood.",
        "Or glue a strip on edge along its front, and another along its back."
        if fact.flat and part.width > _NARROW
        else "Or glue a strip on edge under it, all along."
        if fact.flat
        else "Or glue a second one to its face, all along.",
    ]
    if span.overhang:
        ways.append(f"Or let it stand out no more than {to_sixteenth(shorter, unit)}.")
    else:
        ways.append(
            f"Or put a support under it, so that no span is longer than {to_sixteenth(shorter, unit)}."
        )
    return Told(
        f"{part.name} sags {sags} over {to_sixteenth(span.long, unit)} {what} under {weight(fact.pounds, unit)}{time}: "
        f"more than {most}.",
        _do(*ways),
    )


def may_break(piece: Piece, found: Finding, fact: MayBreak) -> Told:
    unit, bent = piece.plan.unit, fact.bent
    part, cut = bent.part, bent.left <= WHOLE
    low, high = _ends(piece.body(part).grain)
    from_high = bent.station > part.length / 2
    place = to_sixteenth(part.length - bent.station if from_high else bent.station, unit)
    where = f"{place} from {high if from_high else low}"
    if cut:
        where += f", where its cuts leave {bent.left * 100:.0f} % of its strength"
    ways = [
        f"Make it {to_sixteenth(fact.deep_to_be + 1 / 32, unit)} {'thick' if bent.flat else 'wide'}, or of a stronger "
        "wood, or put a support nearer to that place.",
    ]
    if cut:
        ways.insert(
            0, "Cut less away there, or where it bends less, near a support; leave no sharp inner corner."
        )
    grave = "may break" if found.grade is Grade.STOP else "bends too near to breaking"
    return Told(
        f"{part.name} {grave} under the load{'' if fact.under is part else f' on {fact.under.name}'}, {where}: "
        f"{stress(bent.psi, unit)} in its outermost fibres, {_times(fact.used)} what is allowed "
        f"({stress(fact.may, unit)}). Clear {part.stock.material.name} breaks at {stress(fact.breaks.value, unit)}; a "
        "board with knots far sooner.",
        _do(*ways),
    )


def _ends(grain: Vector) -> tuple[str, str]:
    """What the low and the high end of a part that lies are called."""
    along = max(range(3), key=lambda n: abs(grain[n]))
    names = (("its left end", "its right end"), ("its front end", "its back end"), ("its foot", "its top"))[
        along
    ]
    return names if grain[along] > 0 else names[::-1]


def joint_overload(piece: Piece, _found: Finding, fact: Overloaded | GivesWay | NotTold) -> Told:
    unit = piece.plan.unit
    if isinstance(fact, NotTold):
        return Told(
            f"No figure is known here for screws in {fact.wood}, so what its joints carry is not judged.",
            _do("Take a wood of its weight and hardness that is known here, or glue these joints as well."),
        )
    if isinstance(fact, GivesWay):
        names = listed([part.name for part in fact.parts], 4)
        if fact.slides:
            return Told(
                f"Under the load on {fact.under.name} friction alone does not keep {names} from sliding "
                f"{towards(fact.way)}.",
                _do(
                    f"Screw or glue {names} to what carries it, or put a stop before it, a stretcher between its feet."
                ),
            )
        return Told(
            f"Under the load on {fact.under.name} nothing keeps {names} from going {towards(fact.way)}: there the "
            "piece gives way.",
            _do(f"Screw or glue {names} to what should carry it, so that it cannot slide, fold or drop."),
        )
    force, may = fact.force, fact.may
    may_pull, push = may.along, weight(may.across * fact.more, unit)
    pocket = force.screw.pocket
    pulls = force.along > force.across and may_pull is not None
    carries = (
        f"{weight(force.along, unit)} pulling on it and {weight(force.across, unit)} across it"
        if force.along > 0
        else f"{weight(force.across, unit)} across it"
    )
    head = f", before its head pulls through {pocket.part.name}," if may.head else ""
    pull = "" if may_pull is None else f"{weight(may_pull * fact.more, unit)} pulling{head} or "
    fits = fact.needed <= MANY_TIMES * fact.screws
    many = force.screw.thread if force.screw.thread in KINDS else "screws"
    return Told(
        f"A {KINDS[many].one} from {pocket.part.name} into {pocket.into.name} carries {carries}: "
        f"{_times(fact.used)} what is allowed ({pull}{push} across)."
        f"{' The parts bend and pry at it: it works loose.' if fact.pried else ''}",
        _do(
            *alternatives(
                [
                    *[
                        f"Drive {fact.needed} {many} here instead of {fact.screws}, as far apart as there is room."
                    ]
                    * fits,
                    _other_way(piece, pocket, pulls=pulls, pried=fact.pried),
                    *[f"Take {many} that reach deeper."] * pulls,
                ]
            )
        ),
    )


def _other_way(piece: Piece, pocket: Pocket, *, pulls: bool, pried: bool) -> str:
    if abs(piece.contact(pocket.join).normal[2]) > UPRIGHT:  # One of the two lies on the other.
        if pried:
            return f"Make {pocket.part.name} stiffer, or its span shorter, so that it bends and pries less."
        if pulls:
            return f"Brace {pocket.part.name} and {pocket.into.name} with brackets or gussets, so that neither tips."
        return f"Glue {pocket.part.name} to {pocket.into.name} as well, where no wood is locked across its grain."
    return (
        f"Give the load another way down: a cleat or a rail under {pocket.part.name}, or let it into "
        f"{pocket.into.name}."
    )


def racking(piece: Piece, _found: Finding, fact: Sways) -> Told:
    unit = piece.plan.unit
    way = "sideways" if fact.sideways else "to and fro"
    ways = (
        f"Screw or glue a back all round, or a rail {to_sixteenth(3, unit)} wide or more between the uprights, with "
        "two screws an end.",
        "Or add a third screw to its joints, a wider rail, or gussets in its corners.",
    )
    push = f"a push of {weight(fact.push, unit)} at its top"
    if fact.alone:
        return Told(
            f"Nothing holds {listed(_found.parts, 4)} but what is driven at the top: "
            f"{to_sixteenth(fact.part.length, unit)} of {fact.part.name} pries at a joint "
            f"{to_sixteenth(fact.alone, unit)} deep, and works it loose.",
            _do(
                "Join them with aprons at the top or stretchers lower down, two screws an end.",
                "Or let their tops in.",
            ),
        )
    if fact.loose:
        names = listed([part.name for part in fact.loose], 4)
        return Told(f"Nothing keeps {names} from folding {way} under {push}.", _do(*ways))
    sway, most = told_apart(fact.sway, _found.limit or 0.0, unit)
    return Told(
        f"{push[0].upper()}{push[1:]}, {to_sixteenth(fact.height, unit)} up, sways the piece {sway} {way}: more than "
        f"{most}.",
        _do(*ways),
    )


def tip_over(piece: Piece, _found: Finding, fact: Tips | Topples | PushedOver) -> Told:
    unit = piece.plan.unit
    fix = "Write `fixed to wall` under a part at its back, and fix it there: into studs, or with a bracket made for it."
    if isinstance(fact, Topples):
        return Told(
            f"With {'people near the end of' if fact.placed else 'the load on'} {fact.part.name}, weight and load act "
            f"{to_sixteenth(fact.outside, unit)} outside of the feet: the piece falls to the {fact.to.value}.",
            _do("Bring the feet out under the load, or the load in over them.", fix),
        )
    if isinstance(fact, PushedOver):
        return Told(
            f"The push on {fact.part.name} turns the piece over to the {fact.to.value}: its weight and "
            f"what lies on it keep {_moment(fact.keeps, unit)} against {_moment(fact.tips, unit)}.",
            _do(fix, "Or make it deeper, or heavier low down, or spread its feet."),
        )
    if fact.reach:
        return Told(
            f"With its drawers out and a child of {weight(fact.push, unit)} on them, {to_sixteenth(fact.reach, unit)} "
            f"before its feet, the piece tips over: its own weight of {weight(fact.pounds, unit)} keeps "
            f"{_moment(fact.keeps, unit)} against "
            f"{_moment(fact.tips, unit)}. It is clothing storage by its title, and tall and heavy "
            "enough for 16 CFR 1261 (ASTM F2057).",
            _do(fix, "Follow 16 CFR 1261 itself: its tests ask for more than this sum."),
        )
    load = "with its load" if fact.loaded else "when empty"
    return Told(
        f"A push of {weight(fact.push, unit)} {to_sixteenth(fact.height, unit)} up"
        f"{', besides what its loads push,' if fact.aside else ''} tips the piece over to the "
        f"{fact.to.value}: {weight(fact.pounds, unit)} {load}, {to_sixteenth(fact.inside, unit)} inside of its "
        "feet, does not keep it.",
        _do(fix, "Or make it deeper, or spread its feet."),
    )


def hanging(piece: Piece, _found: Finding, fact: Hangs | ThinHold) -> Told:
    unit = piece.plan.unit
    whole, own, loads = (
        weight(each, unit) for each in (fact.hangs.pounds, fact.hangs.weighs, fact.hangs.loads)
    )
    total = f"{whole} ({own} its own, {loads} load)"
    if isinstance(fact, ThinHold):
        thick, least = told_apart(float(fact.part.thickness), fact.least, unit)
        return Told(
            f"{total} hangs by {fact.part.name}, which is {thick} thick: less than the {least} that hold the heads of "
            "screws.",
            _do(f"Fix a rail of {least} or more to the wall instead, screwed to the sides of the piece."),
        )
    return Told(
        f"{total} hangs on the wall, and pulls {weight(fact.hangs.pull, unit)} out of it at the top: {fact.used:.2g} "
        f"times what {fact.screws} No. 10 screws in {_many(fact.studs, 'stud')} may carry.",
        _do(
            f"Drive {fact.needed} screws into studs, or fix it through a longer rail that meets more of them.",
            "Or let it stand on something: a cleat under its whole length, or legs.",
        ),
    )


def _moment(inch_pounds: float, unit: str) -> str:
    metric = not in_inches(unit)
    return f"{inch_pounds * 0.112985:.0f} Nm" if metric else f"{inch_pounds:.0f} in-lb"


def _times(used: float) -> str:
    return f"{used:.{0 if used >= 9.95 else 1 if used >= 1.95 else 2}f} times"


def _many(count: int, what: str) -> str:
    return f"one {what}" if count == 1 else f"{count} {what}s"


def towards(way: Vector) -> str:
    """A direction in a builder's words."""
    axis = max(range(3), key=lambda n: abs(way[n]))
    return (("to the left", "to the right"), ("to the front", "to the back"), ("down", "up"))[axis][
        way[axis] > 0
    ]

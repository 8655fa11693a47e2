"""The words for guards that children fall over or are caught in: each ends with what decides, which is not this."""

from planlint.checks.bunk_guard import Unguarded
from planlint.checks.guard_gap import Gaps
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.text.measures import length, listed
from planlint.wording.finding_text import Told

_RULES = {
    "crib": "16 CFR 1219",
    "bunk bed": "16 CFR 1213 and 1513",
    "lower bunk": "16 CFR 1213 and 1513",
    "guard": "the building code in force (IRC R312.1)",
    "stair guard": "the building code in force (IRC R312.1)",
    "children": "the safety rule for this kind of piece",
}
_TESTED = {"crib": "A crib needs a structure that was tested: better buy one. "}
_WHOSE = {
    "crib": "of a crib",
    "bunk bed": "of the upper bed",
    "lower bunk": "at the end of the lower bunk",
    "guard": "of a guard",
    "stair guard": "of a stair guard",
    "children": "of a piece for children",
}


LEAST_MATTRESS = 3.0
"""Inches: no thinner mattress is offered. Basis: our own judgement."""


def follow(rule: str) -> str:
    """What every finding on safety ends with."""
    return f"Follow {rule} itself and local codes: planlint certifies nothing."


def guard_gap(piece: Piece, _found: Finding, fact: Gaps) -> Told:
    unit, widest = piece.plan.unit, fact.openings[0]
    many = len(fact.openings)
    count = "An opening" if many == 1 else f"{many} openings"
    where = f"in the {fact.where} " if fact.where else ""
    up_to = length(widest.size, unit)
    named = listed([part.name for part in fact.bars], 4)
    trap = (
        f"a body goes through that the head does not follow; only from {length(fact.passes, unit)} up does a child get "
        "out whole"
        if fact.passes < 1e6
        else "a child's body goes through, and its head is caught"
    )
    return Told(
        f"{count} {where}{_WHOSE[fact.what]} {'is' if many == 1 else 'are'}"
        f"{'' if many == 1 else ' up to'} {up_to} {'wide' if fact.upright else 'high'} (between {named}): {trap}.",
        [_closer(fact, unit), _TESTED.get(fact.what, "") + follow(_RULES[fact.what])],
    )


def _closer(fact: Gaps, unit: str) -> str:
    most, what = length(fact.most, unit), "slat" if fact.upright else "rail"
    if fact.bar >= 8:
        return f"Close it to {most} or less."
    apart = length(fact.most + fact.bar, unit)
    return (
        f"Keep gaps to {most} or less: {what}s of {length(fact.bar, unit)} no further than {apart} from middle to "
        "middle, so more of them."
    )


def bunk_guard(piece: Piece, _found: Finding, fact: Unguarded) -> Told:
    unit, side = piece.plan.unit, fact.side.value
    bed = f"The bed {length(fact.above_floor, unit)} above the floor"
    on = (
        f"on a mattress {length(fact.mattress, unit)} thick"
        if fact.mattress is not None
        else "above the mattress"
    )
    end = follow("16 CFR 1213 and 1513")
    if fact.kind == "no-rail":
        needs = length(fact.needed, unit)
        return Told(
            f"{bed} has no guardrail at its {side}: whoever lies there rolls out.",
            [f"Join a rail there whose top is {needs} or more above {_over(fact)}.", end],
        )
    if fact.kind == "low":
        return Told(
            f"{bed} has a guardrail at its {side} that stands {length(fact.amount, unit)} up from what it lies on, and "
            f"{length(fact.needed, unit)} is needed {on}: whoever lies there rolls over it.",
            [_raised(fact, unit), end],
        )
    if fact.kind == "gap":
        return Told(
            f"{bed} is open over {length(fact.amount, unit)} of its {side}: the way in is "
            f"{length(fact.needed, unit)} at most.",
            [f"Make the rail longer by {length(fact.amount - fact.needed, unit)} or more.", end],
        )
    if fact.kind == "both-open":
        return Told(
            f"{bed} is open at both sides, {length(fact.amount, unit)} at its {side}: one rail "
            "must run from end to end.",
            [f"Let the rail at the {side} run on until it meets both ends.", end],
        )
    return Told(
        f"{bed} is closed at its {side} over {fact.amount:.0%} of its width only: the end must stand "
        f"{length(fact.top, unit)} or more above {_over(fact)} over half of it.",
        ["Join a rail or a panel there.", end],
    )


def _over(fact: Unguarded) -> str:
    return "what the mattress lies on" if fact.mattress is not None else "the mattress"


def _raised(fact: Unguarded, unit: str) -> str:
    """How a rail that is too low comes to be high enough, by what the plan says of the mattress."""
    says = f"Raise its top by {length(fact.needed - fact.amount, unit)} or more"
    if fact.mattress is None:
        return f"{says}, and by the mattress on top of that: say how thick it is, `use as bunk bed, mattress 6 thick`."
    thick = fact.amount - (fact.needed - fact.mattress)
    if thick < LEAST_MATTRESS:
        return f"{says}."
    return f"{says}, or lay a mattress of {length(thick, unit)} at most on it and mark that on the bed."

"""Guardrails and ends of beds that are high above the floor."""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from planlint.checks.guard_gap import NEAR
from planlint.checks.piece_purpose import Deck, bodies_together, decks, purpose
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.openings import THIN
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body
from planlint.model.directions import Axis, Side, side_of
from planlint.text.rounding import ROUNDING

STUB = 1.0
"""Inches: what stands up less from a bed is no rail. Basis: our own judgement."""
POST = 6.0
"""Inches: what guards less of a side in one stretch is a post. Basis: our own judgement."""


class GuardStretch(NamedTuple):
    """Part of a side of a bed, from low to high along it, and how high wood stands up there: 0 for a stub."""

    low: float
    high: float
    stands: float

    @property
    def long(self) -> float:
        return self.high - self.low


class Unguarded(NamedTuple):
    """What is wrong at one side of a bed, ``amount`` against ``needed``, both in inches; a share for ``end``."""

    kind: str
    """``no-rail``, ``low``, ``gap``, ``both-open`` or ``end``."""
    deck: Deck
    side: Side
    amount: float
    needed: float
    mattress: float | None
    above_floor: float
    top: float
    """How far a rail or an end must stand up from what the mattress lies on."""
    opening: tuple[float, float] | None = None
    """From where to where along the side it is open."""


def bunk_guard(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A bed said to be a bunk or loft bed whose guardrails are missing, too low, too short or open at both sides."""
    if purpose(piece.plan) not in {"bunk bed", "loft bed"}:
        return
    bodies = bodies_together(piece)
    if not bodies:
        return
    floor = min(body.bounds.low[2] for body in bodies)
    for deck in decks(bodies):
        above = deck.underside - floor
        if above > rule.limit("bed height", piece.settings) + ROUNDING:
            for fault, limit in _faults(piece, rule, bodies, deck, above):
                share = fault.kind == "end"
                yield rule.finding(
                    fact=fault,
                    kind=fault.kind,
                    span=deck.parts[0].span,
                    parts=_named(deck),
                    measured=None if fault.kind == "no-rail" else fault.amount,
                    limit=None if fault.kind == "no-rail" else fault.needed,
                    unit=None if fault.kind == "no-rail" else "of the width" if share else "in",
                    basis=limit,
                )


def _named(deck: Deck) -> list[str]:
    return [part.name for part in (deck.parts[0], *deck.parts[-1:])][: len(deck.parts)]


def _faults(
    piece: Piece, rule: Rule, bodies: Sequence[Body], deck: Deck, above: float
) -> Iterator[tuple[Unguarded, str]]:
    mattress = None if piece.plan.mattress is None else float(piece.plan.mattress)
    needed = rule.limit("above mattress", piece.settings) + (mattress or 0.0)
    widest, tight = rule.limit("rail end", piece.settings), rule.limit("continuous", piece.settings)
    across = Axis.Y if deck.along is Axis.X else Axis.X
    open_at: list[Unguarded] = []

    def fault(kind: str, side: Side, amount: float, limit: float) -> Unguarded:
        return Unguarded(kind, deck, side, amount, limit, mattress, above, needed)

    for sign in (-1, 1):
        side, profile = side_of(across, sign), _profile(bodies, deck, across, sign)
        rails = [each for each in profile if each.stands and each.long > POST]
        if sum(each.long for each in rails) < 0.3 * sum(each.long for each in profile):
            yield fault("no-rail", side, 0.0, needed), "above mattress"
            continue
        lowest = min(each.stands for each in rails)
        if lowest < needed - ROUNDING:
            yield fault("low", side, lowest, needed), "above mattress"
        ways_in = (each for each in profile if not each.stands)
        widest_of = max(ways_in, key=lambda each: each.long, default=GuardStretch(0.0, 0.0, 0.0))
        opening = widest_of.low, widest_of.high
        open_at.append(fault("both-open", side, widest_of.long, tight)._replace(opening=opening))
        if widest_of.long > widest + ROUNDING:
            yield fault("gap", side, widest_of.long, widest)._replace(opening=opening), "rail end"
    if len(open_at) == 2 and all(each.amount > tight + ROUNDING for each in open_at):
        yield min(open_at, key=lambda each: each.amount), "continuous"
    share = rule.limit("end share", piece.settings)
    for sign in (-1, 1):
        profile = _profile(bodies, deck, deck.along, sign)
        whole = sum(each.long for each in profile)
        high = sum(each.long for each in profile if each.stands >= needed - ROUNDING) / whole
        if high < share - ROUNDING:
            yield fault("end", side_of(deck.along, sign), high, share), "end share"


def _profile(bodies: Sequence[Body], deck: Deck, axis: Axis, sign: int) -> list[GuardStretch]:
    """How high wood stands up from a bed along one of its sides, as stretches from its low end to its high one."""
    along = Axis.Y if axis is Axis.X else Axis.X
    edge = deck.box.high[axis] if sign > 0 else deck.box.low[axis]
    low, high = deck.box.low[along], deck.box.high[along]
    wood = []
    for body in bodies:
        box = body.bounds
        beside = edge - NEAR < box.low[axis] and box.high[axis] < edge + NEAR
        stands = box.high[2] - deck.top
        if beside and box.high[axis] - box.low[axis] <= THIN + ROUNDING and stands > STUB + ROUNDING:
            wood.append((max(box.low[along], low), min(box.high[along], high), stands))
    lines = sorted({low, high, *(at for a, b, _ in wood if a < b for at in (a, b))})
    found: list[GuardStretch] = []
    for start, end in pairwise(lines):
        if end - start < ROUNDING:
            continue
        stands = max((top for a, b, top in wood if a < start + ROUNDING and b > end - ROUNDING), default=0.0)
        if found and abs(found[-1].stands - stands) < ROUNDING:
            found[-1] = found[-1]._replace(high=end)
        else:
            found.append(GuardStretch(start, end, stands))
    return found

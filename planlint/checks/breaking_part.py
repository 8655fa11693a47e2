"""Parts that their loads may break."""

from collections.abc import Iterator
from math import sqrt
from typing import NamedTuple

from planlint.checks.overloaded_joint import as_it_bends, short_loads
from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.piece import Piece
from planlint.model.plan import Part
from planlint.statics.bent_wood import Bent, bent_parts
from planlint.statics.carried_loads import Standing, carried
from planlint.statics.wood_strength import Figure, rupture

WHOLE = 0.95
"""Share of its strength from which on a part counts as not cut away. Basis: our own judgement."""


class MayBreak(NamedTuple):
    """A part where its loads bend it most for what its wood stands; ``may`` is the most that is allowed, in psi."""

    bent: Bent
    breaks: Figure
    may: float
    under: Part
    """The part that bears a load."""

    @property
    def used(self) -> float:
        return self.bent.psi / self.may

    @property
    def deep_to_be(self) -> float:
        """How thick, or where it is bent edgewise how wide, it would have to be: strength grows with the square."""
        part = self.bent.part
        return float(part.thickness if self.bent.flat else part.width) * sqrt(self.used)


def may_break(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The way of the loads to the floor bends a part nearer to breaking than it should."""
    if not piece.plan.loads:
        return
    breaks = rule.limit("share that may break it", piece.settings)
    for standing in carried(piece)[0]:
        if standing.solution.loose:
            continue
        for fact in bent_most(piece, standing, near=True):
            if fact.used <= 1:
                continue
            yield rule.finding(
                fact=fact,
                span=next(load.span for load in standing.loads if load.part is fact.under),
                parts=[fact.bent.part.name],
                measured=fact.bent.psi,
                limit=fact.may,
                unit="psi",
                basis="safety",
                grade=None if fact.used > breaks else Grade.CAUTION,
            )


def bent_most(piece: Piece, standing: Standing, *, near: bool = False) -> Iterator[MayBreak]:
    """Each part of a unit whose wood is known where its loads bend it most; or only those that may be ``near`` to
    breaking."""
    allowed = short_loads(piece, standing) / piece.limits["may-break", "safety"]
    breaks = {
        part.name: found for part in standing.parts if (found := rupture(part.stock.material)) is not None
    }
    stands = {name: found.value * allowed for name, found in breaks.items()}
    loaded = [load.part for load in standing.loads]
    worst: dict[str, Bent] = {}
    for each in as_it_bends(piece, standing):
        if not each.solution.loose:
            for bent in bent_parts(each.solution, (*each.weights, *each.bears), stands if near else None):
                worst[bent.part.name] = max(worst.get(bent.part.name, bent), bent, key=lambda one: one.psi)
    for bent in worst.values():
        name = bent.part.name
        if name in breaks:
            under = next((part for part in loaded if part is bent.part), loaded[0])
            yield MayBreak(bent, breaks[name], stands[name], under)

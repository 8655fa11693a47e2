"""Parts that their loads may break."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt
from typing import NamedTuple

from planlint.checks.overloaded_joint import short_loads
from planlint.findings.finding import Finding, Grade
from planlint.findings.rulebook import Rule
from planlint.geometry.piece import Piece
from planlint.model.plan import Part
from planlint.statics.bent_wood import Bent, bent_parts
from planlint.statics.carried_loads import carried
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
    share = 1 / rule.limit("safety", piece.settings)
    breaks = rule.limit("share that may break it", piece.settings)
    for standing in carried(piece)[0]:
        if standing.solution.loose:
            continue
        more = short_loads(piece, standing)
        for bent in bent_parts(standing.solution, (*standing.weights, *standing.bears)):
            found = rupture(bent.part.stock.material)
            if found is None or bent.psi <= found.value * share * more:
                continue
            load = next((each for each in standing.loads if each.part is bent.part), standing.loads[0])
            fact = MayBreak(bent, found, found.value * share * more, load.part)
            yield rule.finding(
                fact=fact,
                span=load.span,
                parts=[bent.part.name],
                measured=bent.psi,
                limit=fact.may,
                unit="psi",
                basis="safety",
                grade=None if fact.used > breaks else Grade.CAUTION,
            )

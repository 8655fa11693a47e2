"""The words for ``accept`` lines."""

from planlint.checks.acceptance import Bare, Stale
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.wording.finding_text import Told


def stale(_piece: Piece, found: Finding, fact: Stale) -> Told:
    rule, target = fact.acceptance.rule, fact.acceptance.target
    nearest = [f"Correct the name: the nearest is {fact.near}."] if fact.near else []
    take_out = "Take this line out of the plan, or correct the name it accepts."
    if found.kind == "no-such-rule":
        install = "Install the package that brings a rule of this name, or take this line out of the plan."
        return Told(
            f"no rule called {rule} is known here, so this line accepts nothing.", [*nearest, install]
        )
    but = "no joint or part is called so"
    if found.kind == "nothing-there":
        but = "nothing of that kind is found there"
    return Told(f"{rule} is accepted on {target}, but {but}.", nearest or [take_out])


def bare(_piece: Piece, _found: Finding, fact: Bare) -> Told:
    return Told(
        f"{fact.acceptance.rule} is accepted on {fact.acceptance.target} and no reason is given.",
        ['Say why at the end of the line: because "…".'],
    )

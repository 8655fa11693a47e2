"""Measures of traditional joints that cannot be true stop a conversion: the rule poor-fit judges them."""

from collections.abc import Iterable, Iterator

from planlint.checks.joint_wood import NoWood
from planlint.checks.poor_fit import PoorFit
from planlint.conversion.statement_sites import Sites
from planlint.findings.finding import Finding
from planlint.inspection.inspection_result import Inspection
from planlint.model.plan import Join
from planlint.text.source import Mistake, Span

_SAID = {
    "thick": ("thick",),
    "wide": ("wide",),
    "insert-thick": ("thick",),
    "mortise-shallow": ("deep",),
    "slot-deep": ("deep",),
    "no-floor": ("deep", "long"),
    "not-through": ("long",),
    "lap-deep": ("deep",),
    "lap-short": ("long", "deep"),
    "lap-wide": ("wide",),
}
"""The kinds of joints that leave no wood of which a measure cannot be, and which."""


def bad_measures(before: Inspection, sites: Sites, joins: Iterable[Join]) -> list[Mistake]:
    """Every measure of these joints that does not add up, in the order of their places."""
    asked = {join.name: join for join in joins}
    found = (
        mistake
        for each in before.findings
        if each.joint in asked
        for mistake in _stopping(sites, asked[each.joint], each)
    )
    return sorted(dict.fromkeys(found))


def _stopping(sites: Sites, join: Join, found: Finding) -> Iterator[Mistake]:
    """What is found of a joint that stops a conversion, with its place."""
    fact, made = found.fact, join.tradition
    if isinstance(fact, PoorFit):
        channel = fact.removal is not None and fact.removal.kind in {"dado", "groove"}
        lap = found.kind in {"lap-thick", "lap-gap"} and made is not None and "thick" in made.measures
        if lap or found.kind == "shallow" or (found.kind == "narrow" and channel):
            yield Mistake(found.span, found.says)
    # A dowel or spline that is just too thick for the wood goes all the same.
    elif (
        isinstance(fact, NoWood)
        and found.kind in _SAID
        and (found.kind != "insert-thick" or fact.amount >= fact.most)
    ):
        yield Mistake(_place(sites, join, _SAID[found.kind]) or found.span, found.says)


def _place(sites: Sites, join: Join, words: Iterable[str]) -> Span | None:
    """Where a measure of a joint is written, or else the joint's name."""
    told = sites.tradition(join)
    if told is None:
        return None
    statement, item = told
    said = [each for each in item.measures if each.word.text in words]
    return statement.at(
        *((said[0].value.start, said[0].word.end) if said else (item.kind.start, item.kind.end))
    )

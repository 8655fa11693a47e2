"""``accept RULE on TARGET because "…"``: the builder knows, and keeps it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import NamedTuple

from planlint.findings.finding import Finding
from planlint.findings.rulebook import Rule
from planlint.model.nearest_name import Offers
from planlint.model.plan import Acceptance, Join, Plan

STALE = "stale-acceptance"
BARE = "bare-acceptance"
OWN_RULES = frozenset({STALE, BARE})
"""Rules about acceptances: made here, and not to be accepted away themselves."""


class Sorted(NamedTuple):
    """Findings after the plan's acceptances: those that stand, and those that the builder keeps."""

    standing: list[Finding]
    accepted: list[Finding]


def apply_acceptances(
    plan: Plan,
    findings: Iterable[Finding],
    rules: Mapping[str, Rule],
    unchecked: frozenset[str] = frozenset(),
) -> Sorted:
    """Take away what the plan accepts; add findings for acceptances that match nothing or give no reason.

    Of rules ``unchecked`` nobody knows what they would have found: accepting them is not called stale.
    """
    if not plan.acceptances:
        return Sorted(list(findings), [])
    joins = _joins_by_target(plan)
    wanted: dict[tuple[str, str], list[int]] = {}
    for number, acceptance in enumerate(plan.acceptances):
        if acceptance.rule in OWN_RULES:
            continue
        for joint in joins.get(acceptance.target, ()):
            wanted.setdefault((acceptance.rule, joint), []).append(number)
        if acceptance.target in plan.part_by_name:
            wanted.setdefault((acceptance.rule, acceptance.target), []).append(number)

    used = {number for number, acceptance in enumerate(plan.acceptances) if acceptance.rule in unchecked}
    standing: list[Finding] = []
    accepted: list[Finding] = []
    for finding in findings:
        targets = (finding.joint, *finding.parts) if finding.joint else finding.parts
        matching = [number for target in targets for number in wanted.get((finding.rule, target), ())]
        used.update(matching)
        if matching:
            reasons = (plan.acceptances[number].reason for number in matching)
            reason = next((words for words in reasons if words and words.strip()), None)
            accepted.append(replace(finding, reason=reason))
        else:
            standing.append(finding)
    standing.extend(_about_acceptances(plan, used, rules))
    return Sorted(standing, accepted)


def _joins_by_target(plan: Plan) -> dict[str, list[str]]:
    """Joins by every way to call one: its own name, ``rail.left``, and ``rail.left/stile.right``."""
    joins: dict[str, list[str]] = {}
    for join in plan.joins:
        for called in {join.name, _short(join), f"{_short(join)}/{join.part_b.name}.{join.side_b.value}"}:
            joins.setdefault(called, []).append(join.name)
    return joins


def _short(join: Join) -> str:
    return f"{join.part_a.name}.{join.side_a.value}"


def _about_acceptances(plan: Plan, used: set[int], rules: Mapping[str, Rule]) -> Iterable[Finding]:
    offers = Offers()
    names: dict[str, object] = {}
    for number, acceptance in enumerate(plan.acceptances):
        joint, parts = _place(plan, acceptance)
        stale = rules.get(STALE) if number not in used else None
        if stale and acceptance.rule not in rules:
            yield stale.finding(
                span=acceptance.span,
                joint=joint,
                parts=parts,
                says=f"no rule called {acceptance.rule} is known here, so this line accepts nothing.",
                repairs=_instead_of(acceptance.rule, rules, offers),
                basis="judgement",
            )
        elif stale:
            names = names or {**_joins_by_target(plan), **plan.part_by_name}
            target = acceptance.target
            known = target in names
            near = None if known else offers.nearest(target, names)
            yield stale.finding(
                span=acceptance.span,
                joint=joint,
                parts=parts,
                says=f"{acceptance.rule} is accepted on {target}, but "
                f"{'nothing of that kind is found there' if known else 'no joint or part is called so'}.",
                repairs=[
                    f"Correct the name: the nearest is {near}."
                    if near
                    else "Take this line out of the plan, or correct the name it accepts."
                ],
                basis="judgement",
            )
        if not (acceptance.reason or "").strip() and (rule := rules.get(BARE)):
            yield rule.finding(
                span=acceptance.span,
                joint=joint,
                parts=parts,
                says=f"{acceptance.rule} is accepted on {acceptance.target} and no reason is given.",
                repairs=['Say why at the end of the line: because "…".'],
                basis="judgement",
            )


def _instead_of(word: str, rules: Mapping[str, Rule], offers: Offers) -> Iterator[str]:
    """What to do about the name of a rule that is not known: it is misspelt, or a package brings it elsewhere."""
    near = offers.nearest(word, rules)
    if near is None:  # `tip-thru`: the one rule that has a word of it.
        words = {*word.split("-")}
        alike = [name for name in rules if words & {*name.split("-")}]
        near = alike[0] if len(alike) == 1 else None
    if near:
        yield f"Correct the name: the nearest is {near}."
    yield "Install the package that brings a rule of this name, or take this line out of the plan."


def _place(plan: Plan, acceptance: Acceptance) -> tuple[str | None, tuple[str, ...]]:
    join = plan.join_by_name.get(acceptance.target)
    if join:
        return join.name, (join.part_a.name, join.part_b.name)
    return None, (acceptance.target,) if acceptance.target in plan.part_by_name else ()

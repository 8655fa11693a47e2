"""``accept RULE on TARGET because "…"``: the builder knows, and keeps it."""

import os
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import NamedTuple

from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.model.nearest_name import Offers
from planlint.model.plan import Acceptance, Plan

STALE = "stale-acceptance"
BARE = "bare-acceptance"
OWN_RULES = frozenset({STALE, BARE})
"""Rules about acceptances: made here, and not to be accepted away themselves."""


class Stale(NamedTuple):
    """An acceptance that nothing answers to, and the name that was most likely meant."""

    acceptance: Acceptance
    near: str | None = None


class Bare(NamedTuple):
    """An acceptance without a reason, and what it accepts."""

    acceptance: Acceptance
    accepted: tuple[Finding, ...]


class Sorted(NamedTuple):
    """Findings after the plan's acceptances: those that stand, and those that the builder keeps."""

    standing: list[Finding]
    accepted: list[Finding]


MOST_REASONS = 3
"""Reasons told of one fault that several lines accept, as after a merge. Basis: our own judgement."""


def apply_acceptances(
    plan: Plan,
    findings: Iterable[Finding],
    rules: Mapping[str, Rule],
    unjudged: Callable[[str, Iterable[str]], bool],
) -> Sorted:
    """Take away what the plan accepts; add findings for acceptances that match nothing or give no reason.

    ``unjudged`` tells whether nobody knows what a rule would have found at joints or parts: accepting that is not
    called stale.
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
        for name in acceptance.names or ({acceptance.target} & plan.part_by_name.keys()):
            wanted.setdefault((acceptance.rule, name), []).append(number)

    used = {
        number
        for number, each in enumerate(plan.acceptances)
        if unjudged(each.rule, (each.target, *each.names, *joins.get(each.target, ())))
    }
    standing: list[Finding] = []
    accepted: list[Finding] = []
    by_line: dict[int, list[Finding]] = {}
    for finding in findings:
        matching = [number for name in finding.names for number in wanted.get((finding.rule, name), ())]
        used.update(matching)
        for number in matching:
            by_line.setdefault(number, []).append(finding)
        if matching:
            reasons = (plan.acceptances[number].reason for number in sorted(matching))
            given = [*dict.fromkeys(words for words in reasons if words and words.strip())]
            more = [f"and {len(given) - MOST_REASONS} more"] if len(given) > MOST_REASONS else []
            accepted.append(replace(finding, reason="; ".join([*given[:MOST_REASONS], *more]) or None))
        else:
            standing.append(finding)
    standing.extend(_about_acceptances(plan, used, rules, by_line))
    return Sorted(standing, accepted)


def _joins_by_target(plan: Plan) -> dict[str, list[str]]:
    """Joins by every way to call one: its own name, ``rail.left``, and ``rail.left/stile.right``."""
    joins: dict[str, list[str]] = {}
    for join in plan.joins:
        for called in {*join.called}:
            joins.setdefault(called, []).append(join.name)
    return joins


def _about_acceptances(
    plan: Plan, used: set[int], rules: Mapping[str, Rule], by_line: Mapping[int, list[Finding]]
) -> Iterable[Finding]:
    offers = Offers()
    names: dict[str, object] = {}
    for number, acceptance in enumerate(plan.acceptances):
        joint, parts = _place(plan, acceptance)
        if number not in used and (stale := rules.get(STALE)):
            names = names or {**_joins_by_target(plan), **plan.part_by_name}
            if acceptance.rule not in rules:
                kind, near = "no-such-rule", _rule_like(acceptance.rule, rules, offers)
            elif acceptance.target not in names and not acceptance.names:
                kind, near = "no-such-place", offers.nearest(acceptance.target, names)
            else:
                kind, near = "nothing-there", None
            yield stale.finding(
                fact=Stale(acceptance, near),
                kind=kind,
                span=acceptance.span,
                joint=joint,
                parts=parts,
                basis="judgement",
            )
        if not (acceptance.reason or "").strip() and (rule := rules.get(BARE)):
            yield rule.finding(
                fact=Bare(acceptance, tuple(by_line.get(number, ()))),
                span=acceptance.span,
                joint=joint,
                parts=parts,
                basis="judgement",
            )


def _rule_like(word: str, rules: Mapping[str, Rule], offers: Offers) -> str | None:
    """The rule most likely meant by a name: one spelt almost so, or the one that has a word of it (`tip-thru`), of
    several that which begins most like it."""
    words = {*word.split("-")}
    begin = os.path.commonprefix
    alike = {name: len(begin([word, name])) for name in rules if words & {*name.split("-")}}
    most = [name for name, same in alike.items() if same == max(alike.values())]
    return offers.nearest(word, rules) or (most[0] if len(most) == 1 else None)


def _place(plan: Plan, acceptance: Acceptance) -> tuple[str | None, tuple[str, ...]]:
    join = plan.join_by_name.get(acceptance.target)
    if join:
        return join.name, (join.part_a.name, join.part_b.name)
    return None, (acceptance.target,) if acceptance.target in plan.part_by_name else ()

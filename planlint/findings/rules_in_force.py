"""The rules as the checks have them: the data of the book, and the findings that are made of it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import ClassVar, TypeVar

from planlint.findings.finding import Finding, Repair
from planlint.model.plan import Join
from planlint.model.workshop import Settings
from planlint.rulebook.grades import GRADE_BY_WORD, OFF, Grade
from planlint.rulebook.limits import Limits
from planlint.rulebook.rule_files import RulePages, book_pages
from planlint.text.source import Span

_AnyRule = TypeVar("_AnyRule", bound="Rule")


@dataclass(frozen=True)
class Rule(RulePages):
    """One rule of the book, as a check asks it for its limits and for findings."""

    without_limits: ClassVar[str] = "geometry"
    """What a finding rests on where neither it nor a limit says so."""

    def limit(self, name: str, settings: Settings) -> float:
        """The value of a limit, in its own unit, as changed by the settings."""
        changed = settings.limits.changed.get((self.name, name))
        return self.limits[name].value if changed is None else changed.value

    def as_set_by(self: _AnyRule, limits: Limits) -> _AnyRule:
        """The rule with the shop's limits in place of its own, so that its findings tell whose they are."""
        changed = {name: each for (rule, name), each in limits.changed.items() if rule == self.name}
        return replace(self, limits={**self.limits, **changed}) if changed else self

    def finding(
        self,
        *,
        span: Span,
        fact: object | None = None,
        kind: str = "",
        says: str = "",
        at: Join | None = None,
        joint: str | None = None,
        against: str | None = None,
        parts: Iterable[str] = (),
        measured: float | None = None,
        limit: float | None = None,
        unit: str | None = None,
        repairs: Iterable[Repair | str] = (),
        basis: str | None = None,
        judged_by: str | None = None,
        grade: Grade | None = None,
    ) -> Finding:
        """A finding of this rule, ``at`` a join or named otherwise; ``measured`` and ``limit`` are values in ``unit``:
        in inches, where what was judged is given without.

        ``fact`` is what was judged; ``planlint.wording`` makes the text from it. A workshop's own rule gives its text
        itself: ``says`` and ``repairs``.
        ``basis`` may be the name of one of the rule's limits, whose basis is then told, or any other words; then
        ``judged_by`` may name the limit. Where neither is given, it is the rule's first limit; ``without_limits`` is
        told where it has none.
        ``grade`` is the rule's own unless given.
        """
        if at is not None:
            joint, parts = at.name, tuple(parts) or [part.name for part in at.parts]
        if unit is None and measured is not None and fact is not None:
            unit = "in"
        named = self.limits.get(basis) if basis else next(iter(self.limits.values()), None)
        by = judged_by or (named.name if named else "")
        told = named.told if named else (basis or self.without_limits)
        judged = self.limits.get(by)
        if judged is not None and judged is not named and judged.shop:
            told = f"{told}; {judged.told}"
        return Finding(
            self.name,
            self.grade if grade is None else grade,
            joint,
            tuple(parts),
            span,
            says,
            None if measured is None else float(measured),
            None if limit is None else float(limit),
            unit,
            told,
            tuple(Repair(repair) if isinstance(repair, str) else repair for repair in repairs),
            kind=kind,
            against=against,
            judged_by=by,
            fact=fact,
        )


@cache
def rule_book() -> Mapping[str, Rule]:
    """All rules by name, in the order of the catalogue.

    Raises ``ValueError`` where a rule's file is broken: a fault of this program, never of a plan.
    """
    return {name: Rule(name, each.grade, each.order, each.limits) for name, each in book_pages().items()}


def in_force(rules: Mapping[str, Rule], settings: Settings) -> Mapping[str, Rule]:
    """The rules as a shop grades them and with its limits, without those that are off."""
    if settings.limits.changed:
        rules = {name: rule.as_set_by(settings.limits) for name, rule in rules.items()}
    grades = settings.grades
    if not grades:
        return rules
    return {
        name: replace(rule, grade=GRADE_BY_WORD.get(grades.get(name, ""), rule.grade))
        for name, rule in rules.items()
        if grades.get(name) != OFF
    }

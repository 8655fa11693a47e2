"""The catalogue of rules, and one rule in full."""

from collections.abc import Iterable, Mapping
from math import inf

from planlint.findings.rules_in_force import Rule
from planlint.plugins.own_rules import OWN
from planlint.reports.line_difference import write_difference
from planlint.reports.page_layout import Page
from planlint.reports.safe_words import count, quantity, sentence
from planlint.rulebook.limits import Limits
from planlint.rulebook.rule_files import Limit

_FOOT = "`planlint rules NAME` tells one rule: why, its limits and what they rest on; with `--cases` its worked cases."


def write_catalogue(page: Page, rules: Mapping[str, Rule], faults: Iterable[tuple[str, str]] = ()) -> None:
    """All rules, one row each: name, grade, the question it asks; and those that cannot be used, with why."""
    page.table((rule.name, rule.grade.word, rule.question) for rule in rules.values())
    for name, says in faults:
        page.blank()
        write_unusable(page, name, says)
    page.blank()
    page.prose(_FOOT)
    page.flush()


def write_unusable(page: Page, name: str, says: str) -> None:
    """An own rule that cannot be used."""
    page.graded("NOT USABLE", name, style="bold magenta", indent=0)
    page.prose(f"{OWN[0].upper()}{OWN[1:]} {name} cannot be used: {says}.", indent=4)
    page.flush()


def write_rule(page: Page, rule: Rule, limits: Limits, *, cases: bool = True) -> None:
    """One rule: its reasons, its repair, its limits as the shop has them, and its cases where they are asked for."""
    page.heading(rule.name, rule.grade.word)
    page.rule(len(rule.name) + 2 + len(rule.grade.word))
    page.prose(sentence(rule.question))
    page.blank()
    page.labelled("Why", sentence(rule.why), indent=0)
    page.labelled("Do", sentence(rule.repair), indent=0)
    for usual, limit in zip(rule.limits.values(), rule.as_set_by(limits).limits.values(), strict=True):
        page.blank()
        page.labelled("Limit", f"{limit.name}: {_value(limit)}", indent=0)
        own = f" (the rule's own: {_value(usual)}, {usual.told})" if limit.shop else ""
        page.labelled("Basis", f"{limit.told}{own}", indent=0)
        if limit.highest < inf:
            least, most = (quantity(each, limit.unit) for each in (limit.lowest, limit.highest))
            page.labelled("May be set", f"{least} to {most}", indent=0)
        note = rule.note(limit.name)
        if note:
            page.labelled("Note", sentence(note), indent=0)
    if not cases:
        page.blank()
        page.prose(f"`planlint rules {rule.name} --cases` adds {count(len(rule.cases), 'worked case')}.")
        page.flush()
        return
    for number, case in enumerate(rule.cases, 1):
        page.blank()
        page.heading(f"Case {number}: {case.title}")
        page.verbatim(case.plan.strip("\n"), indent=4)
        page.labelled("Finds", "; ".join(case.findings) or "nothing", indent=0)
        if case.mended is not None:
            # Cases that are easier read with an empty line in front have none once mended.
            plan, mended = (text.strip("\n").splitlines() for text in (case.plan, case.mended))
            page.prose("Mended", style="dim")
            write_difference(page, 1, plan, mended)
    page.flush()


def _value(limit: Limit) -> str:
    value = quantity(limit.value, limit.unit)
    return f"at {limit.sense} {value}" if limit.sense else value

"""Changing plans where a workshop's own rule is not there or fails: told, and the work goes on without it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

from planlint.collection.failing_rules import rules_off
from planlint.command.stderr_notes import tell
from planlint.inspection.inspection_result import FAILED, Trouble
from planlint.model.workshop import Settings
from planlint.rulebook.grades import OFF

if TYPE_CHECKING:
    from planlint.collection.findings_ledger import Ledger


def without_missing(settings: Settings) -> tuple[Settings, int]:
    """Settings without own rules that are not installed or cannot be used, and the least exit status."""
    from planlint.plugins.own_rules import OWN, every_rule, own_rules  # noqa: PLC0415 - with the machinery of an inspection

    rules = every_rule()  # Where another rule has the name, that one is in force.
    faults = {name: f"cannot be used: {says}" for name, says in own_rules().faults if name not in rules}
    faults |= {name: f"is not installed here: {says}" for name, says in settings.not_installed}
    missing = {name: says for name, says in faults.items() if settings.grades.get(name) != OFF}
    for name, says in missing.items():
        _once(f"{OWN} {name} {says}")
    if not missing:
        return settings, 0
    grades = {**settings.grades, **dict.fromkeys(missing, OFF)}
    return replace(settings, grades=grades, not_installed=()), 2


def without_failed(settings: Settings, troubles: Sequence[Trouble]) -> Settings | None:
    """Settings without the own rules that failed at a plan, where nothing else stood in the way of its inspection."""
    if not troubles or not all(each.kind == FAILED for each in troubles):
        return None
    for each in troubles:
        _once(each.says)
    return rules_off(settings, {rule: each for each in troubles for rule in each.rules})


def without_own(settings: Settings) -> Settings:
    """Settings for what no own rule has a say in."""
    from planlint.plugins.own_rules import own_rules  # noqa: PLC0415 - likewise

    own = own_rules()
    names = [*own.rules, *(name for name, _ in own.faults)]
    return (
        replace(settings, grades={**settings.grades, **dict.fromkeys(names, OFF)}, not_installed=())
        if names or settings.not_installed
        else settings
    )


def tell_strange(ledger: Ledger, told: Collection[str] = ()) -> list[str]:
    """Tell of the rules that a ledger has entries of and nobody here knows: theirs stay. Which those are, without the
    ones that are ``told`` of already."""
    from planlint.plugins.own_rules import every_rule  # noqa: PLC0415 - likewise

    strange = [rule for rule in ledger.strange_rules(every_rule()) if rule not in told]
    if strange:
        _once(
            f"the ledger has entries of rules that are not known here, and they stay: {', '.join(strange)}; install "
            "the package that brings them, or take their lines out of the ledger"
        )
    return strange


@cache
def _once(says: str) -> None:
    tell(says)

"""Changing plans where a workshop's own rule is not there: told, and the work goes on without it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from planlint.command.told_beside import tell
from planlint.model.workshop import Settings
from planlint.rulebook.grades import OFF


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


@cache
def _once(says: str) -> None:
    tell(says)

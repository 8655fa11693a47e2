"""Every limit in force: those of the rule book, and in their place those that the shop set.

Whoever lays out, judges, repairs or converts asks the ``Limits`` of the settings, so that a limit has one value.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from planlint.rulebook.rule_files import Limit, book_pages

NIL = 1e-3
"""Inches by which a measure may miss a limit: finer than anyone sets out, and what a metric size is off an inch one
(a 32 mm screw in 18 mm board). Basis: our own judgement."""


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits that one plan is judged by, each by its rule's name and its own."""

    changed: Mapping[tuple[str, str], Limit] = field(default_factory=dict)
    """Those that are not the book's."""

    def __getitem__(self, key: tuple[str, str]) -> float:
        """The value of a limit, in its own unit. Raises ``KeyError`` for one that the book does not have."""
        return self.limit(*key).value

    def limit(self, rule: str, name: str) -> Limit:
        """A limit with its unit and what it rests on. Raises ``KeyError`` likewise."""
        changed = self.changed.get((rule, name)) if self.changed else None
        return book_pages()[rule].limits[name] if changed is None else changed

    @classmethod
    def of(cls, values: Mapping[tuple[str, str], float], where: str = "") -> Limits:
        """The book's limits but for some ``values``, set by the shop ``where`` that is said."""
        usual = cls()
        return cls(
            {
                (rule, name): replace(usual.limit(rule, name), value=value, shop=where or "its own settings")
                for (rule, name), value in values.items()
            }
        )

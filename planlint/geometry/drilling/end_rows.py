"""Rows that the tool lays out at the ends of parts: what it lays out along an edge, with more room, keeps clear of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property

from planlint.model.plan import Join, Part


class EndRows:
    """The joins of a plan, by number, with pockets toward an end of a part whose places the plan leaves to the tool."""

    def __init__(self, joins: Mapping[int, Join]) -> None:
        self._joins = joins

    def otherwise(self, changed: Mapping[int, Join]) -> tuple[EndRows, frozenset[int]]:
        """The same with some joins changed, and the numbers of the parts with such rows before or after in these."""
        before = (self._joins[index] for index in changed if index in self._joins)
        parts = {part.index for join in (*before, *changed.values()) for part in _drilled(join)}
        return EndRows({**self._joins, **changed}) if changed else self, frozenset(parts)

    def of(self, part: Part) -> list[Join]:
        return self._by_part.get(part.index, [])

    @cached_property
    def _by_part(self) -> dict[int, list[Join]]:
        found: dict[int, list[Join]] = {}
        for join in self._joins.values():
            for part in _drilled(join):
                found.setdefault(part.index, []).append(join)
        return found


def _drilled(join: Join) -> Iterator[Part]:
    for row in join.pockets:
        part, side = (join.part_b, join.side_b) if row.in_b else (join.part_a, join.side_a)
        if not row.fixed and part.is_end(side):
            yield part

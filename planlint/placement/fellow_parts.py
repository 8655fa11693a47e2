"""Parts like one another: of one stock and lying the same way; and how many measure the same."""

from __future__ import annotations

from collections.abc import Sequence

from planlint.model.plan import Part
from planlint.placement.placement_results import Closing


def fellows(parts: Sequence[Part], closing: Closing) -> tuple[int, int]:
    """How many more parts would be as long (or as wide) as a part made longer than are as it is now: of those of its
    stock that lie the same way, and of all that do."""
    mine, now, then = closing.part, closing.now, closing.now + closing.by
    others = [
        closing._replace(part=other)
        for other in parts
        if other.name != mine.name
        and (other.across is mine.across if closing.wide else other.grain is mine.grain)
    ]

    def more(among: Sequence[Closing]) -> int:
        return sum((each.now == then) - (each.now == now) for each in among)

    return more([other for other in others if alike(mine, other.part)]), more(others)


def alike(one: Part, other: Part) -> bool:
    return one.name != other.name and one.stock is other.stock and one.grain is other.grain

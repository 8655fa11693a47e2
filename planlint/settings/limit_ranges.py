"""A rule's limit as a shop may set it: in its own unit, from the least to the most that makes sense."""

from math import isfinite
from typing import Any

from planlint.rulebook.rule_files import Limit
from planlint.settings.setting_amounts import angle, length_set, number_set, share, whole
from planlint.settings.toml_writing import with_unit
from planlint.text.rounding import TOUCH

_COUNTED = frozenset({"screws", "pockets", "parts", "pieces", "joints"})
"""Units of which there are whole numbers only."""


def in_range(value: Any, limit: Limit) -> float:
    """A limit in its own unit, from the least to the most that makes sense. Raises ``ValueError``."""
    try:
        found = in_unit(value, limit.unit)
    except ValueError as problem:
        if not isfinite(limit.highest):
            raise
        least, most = (with_unit(each, limit.unit) for each in (limit.lowest, limit.highest))
        raise ValueError(f"{problem}; {limit.name} may be from {least} to {most}") from problem
    if found < limit.lowest - TOUCH:
        raise ValueError(
            f"the least that makes sense for {limit.name} is {with_unit(limit.lowest, limit.unit)}"
        )
    if found > limit.highest + TOUCH:
        raise ValueError(
            f"the most that makes sense for {limit.name} is {with_unit(limit.highest, limit.unit)}: check the unit"
        )
    return found


def in_unit(value: Any, unit: str) -> float:
    """A limit in its own unit. Raises ``ValueError``."""
    if unit == "in":
        return length_set(value)
    if unit == "degrees":
        return angle(value)
    if unit == "of all eyes":
        return share(value)
    return whole(value, unit) if unit in _COUNTED else number_set(value, unit)

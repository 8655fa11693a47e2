"""What a finding says."""

from collections.abc import Sequence
from typing import NamedTuple


class Told(NamedTuple):
    """One sentence that says what is wrong, where and by how much; and what to do about it, each with numbers."""

    says: str
    do: Sequence[str] = ()


def alternatives(ways: Sequence[str]) -> list[str]:
    """Several ways, each but the first begun with ``Or``."""
    return [way if n == 0 else f"Or {way[0].lower()}{way[1:]}" for n, way in enumerate(ways)]

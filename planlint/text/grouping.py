"""What belongs together, by a key."""

from collections.abc import Iterable
from typing import TypeVar

_K = TypeVar("_K")
_V = TypeVar("_V")


def grouped(pairs: Iterable[tuple[_K, _V]]) -> dict[_K, list[_V]]:
    """What has the same key, in the order in which it came; the keys in that of the first of each."""
    found: dict[_K, list[_V]] = {}
    for key, value in pairs:
        found.setdefault(key, []).append(value)
    return found

"""Names that are numbered, as a loop makes them: many told in few words."""

import re
from collections.abc import Iterable, Sequence

from planlint.reports.safe_words import visible


def runs_of(names: Sequence[str]) -> list[str]:
    """Names in their order, those numbered one after the other as a run: ``slat_1 through slat_8``."""
    runs: list[list[str]] = []
    for name in names:
        stem, number, tail = _numbered(name)
        if runs and number >= 0 and _numbered(runs[-1][-1]) == (stem, number - 1, tail):
            runs[-1].append(name)
        else:
            runs.append([name])
    told: list[str] = []
    for run in runs:
        told += [f"{visible(run[0])} through {visible(run[-1])}"] if len(run) > 2 else map(visible, run)
    return told


def ordered_by_number(names: Iterable[str]) -> list[str]:
    """Each name once, those alike but for their number together and in its order."""
    alike: dict[tuple[str, str], dict[str, int]] = {}
    for name in names:
        stem, number, tail = _numbered(name)
        alike.setdefault((stem, tail), {})[name] = number
    return [name for numbers in alike.values() for name in sorted(numbers, key=numbers.__getitem__)]


def _numbered(name: str) -> tuple[str, int, str]:
    """What stands before the last number of a name, the number (-1 where it has none), and what stands behind."""
    found = re.fullmatch(r"(.*?)([0-9]+)([^0-9]*)", name)
    return (found[1], int(found[2]), found[3]) if found else (name, -1, "")

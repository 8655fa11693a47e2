"""What is worth most of all that fits a length: by it patterns for boards, strips and sheets are found."""

from collections.abc import Sequence
from math import ceil

from planlint.text.rounding import STILL

MOST_MARKS = 50_000
"""Marks along a length that one filling is worked out on. Basis: own judgement, from times."""


def solver_here() -> bool:
    """Whether the extra `sheet` is installed."""
    try:
        import scipy.optimize as _  # noqa: F401, PLC0415
    except ImportError:
        return False
    return True


def fullest(
    needs: Sequence[int], counts: Sequence[int], room: int, worth: Sequence[float]
) -> tuple[float, tuple[int, ...]]:
    """The filling of ``room`` that is worth most, of ``counts`` of each at the most: what each length can hold, worked
    out part by part. Exact up to ``MOST_MARKS``; beyond, parts are rounded up: what fits then fits all the better."""
    import numpy as np  # noqa: PLC0415 - the extra `sheet`

    grain = max(1, ceil(room / MOST_MARKS))
    size = room // grain
    best = np.zeros(size + 1)
    steps = []
    for part, need in enumerate(needs):
        left = min(counts[part], room // need)
        bundle = 1
        while left > 0 and worth[part] > 0:
            many = min(bundle, left)
            left, bundle = left - many, bundle * 2
            long = many * ceil(need / grain)
            if long > size:
                break
            with_it = np.full(size + 1, -1.0)
            with_it[long:] = best[: size + 1 - long] + many * worth[part]
            steps.append((part, many, long, with_it > best + STILL))
            best = np.maximum(best, with_it)
    taken, at = [0] * len(needs), size
    for part, many, long, better in reversed(steps):
        if better[at]:
            taken[part] += many
            at -= long
    return float(best[size]), tuple(taken)

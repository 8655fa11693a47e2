"""The name a builder most likely meant, for a name that is not known."""

from collections.abc import Iterable


def letters_apart(one: str, other: str, limit: int) -> int:
    """Letters to change, add, drop or swap with a neighbour to make one word the other.

    ``limit + 1`` stands for anything above ``limit``.
    """
    if abs(len(one) - len(other)) > limit:
        return limit + 1
    before: list[int] = []
    above = list(range(len(other) + 1))
    for i, letter in enumerate(one, 1):
        row = [i]
        for j, facing in enumerate(other, 1):
            cost = above[j - 1] if letter == facing else 1 + min(above[j - 1], above[j], row[j - 1])
            if i > 1 and j > 1 and letter == other[j - 2] and facing == one[i - 2]:
                cost = min(cost, before[j - 2] + 1)
            row.append(cost)
        # A swap reaches back two rows: both must be past the limit before the rest cannot come back under it.
        if min(row) > limit and min(above) > limit:
            return limit + 1
        before, above = above, row
    return min(above[-1], limit + 1)


def nearest(word: str, known: Iterable[str], most: int = 2_000) -> str | None:
    """The known name nearest to ``word``: at most a third of its letters differ, or one of them goes on behind ``_``.
    ``None`` if none is near.

    Looks at no more than ``most`` names, so that a long list of mistakes stays quick to report.
    """
    if len(word) > 64:
        return None
    lowered = word.lower()
    letters = set(lowered)
    limit = max(1, len(word) // 3)
    best = longer = None
    for number, name in enumerate(known):
        if number >= most:
            break
        small = name.lower()
        if longer is None and (small.startswith(f"{lowered}_") or lowered.startswith(f"{small}_")):
            longer = name  # `leg` of `leg_l` and `leg_r`
        # Each change touches two letters at most: cheap to rule most names out.
        if abs(len(small) - len(word)) > limit or len(letters.symmetric_difference(small)) > 2 * limit:
            continue
        apart = letters_apart(lowered, small, limit)
        if apart <= limit and name != word:
            best, limit = name, apart - 1
            if limit < 0:
                break
    return best or longer


def offered(near: str | None, otherwise: str = "") -> str:
    """The end of a message on a name that is not known: the nearest one, or what to do otherwise."""
    return f"; the nearest is {near}" if near else otherwise


class Offers:
    """Offers the nearest name for so many mistakes, and for none after: past that, it only costs time."""

    def __init__(self, left: int = 100) -> None:
        self.left = left

    def nearest(self, word: str, known: Iterable[str]) -> str | None:
        """As the function of that name, while offers are left."""
        self.left -= 1
        return nearest(word, known) if self.left >= 0 else None

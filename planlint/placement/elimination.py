"""Linear equations in a few unknowns each, solved as they come, exactly wherever their numbers are exact.

Every solved unknown is kept in terms of unknowns that are still free (a Gauss-Jordan form), with an index of
who mentions whom, so that a chain of ten thousand equations costs little more than its length.
"""

from collections import defaultdict
from fractions import Fraction

from planlint.model.wood_cuts import Scalar

NOTHING = 1e-9
"""A float coefficient below this is a rounding error: those of real equations are sines and cosines of plan
angles, of order 1 (geometry)."""

LinearRow = dict[int, Scalar]


class Elimination:
    """A growing set of independent equations over numbered unknowns."""

    def __init__(self) -> None:
        self._solved: dict[int, tuple[LinearRow, Scalar]] = {}
        self._users: defaultdict[int, set[int]] = defaultdict(set)

    def form(self, unknown: int) -> tuple[LinearRow, Scalar]:
        """An unknown in terms of free ones: coefficients and constant."""
        return self._solved.get(unknown) or ({unknown: 1}, 0)

    def value(self, unknown: int) -> Scalar:
        """An unknown where every free one is 0."""
        solved = self._solved.get(unknown)
        return 0 if solved is None else solved[1]

    def reduce(self, row: LinearRow, constant: Scalar) -> tuple[LinearRow, Scalar]:
        """An equation ``sum of row = constant`` in terms of free unknowns; an empty row adds nothing."""
        left: LinearRow = {}
        for unknown, coefficient in row.items():
            solved = self._solved.get(unknown)
            if solved is None:
                left[unknown] = left.get(unknown, 0) + coefficient
                continue
            constant -= coefficient * solved[1]
            for free, share in solved[0].items():
                left[free] = left.get(free, 0) + coefficient * share
        return {unknown: share for unknown, share in left.items() if not _vanishes(share)}, constant

    def add(self, row: LinearRow, constant: Scalar) -> Scalar | None:
        """Take an equation in. ``None`` if it fixed something, else by how much ``sum - constant`` is off."""
        left, rest = self.reduce(row, constant)
        if not left:
            return -rest
        most = max(abs(float(share)) for share in left.values())
        users = self._users
        # Any unknown of fair weight is stable to solve for; the one that fewest others mention is cheapest.
        pivot = min(
            (unknown for unknown, share in left.items() if abs(float(share)) * 4 >= most),
            key=lambda unknown: len(users[unknown]),
        )
        weight = left.pop(pivot)
        form = {unknown: divided(-share, weight) for unknown, share in left.items()}
        value = divided(rest, weight)
        for user in users.pop(pivot):
            self._substitute(user, pivot, form, value)
        self._solved[pivot] = form, value
        for unknown in form:
            users[unknown].add(pivot)
        return None

    def _substitute(self, user: int, pivot: int, form: LinearRow, value: Scalar) -> None:
        row, constant = self._solved[user]
        share = row.pop(pivot)
        for unknown, coefficient in form.items():
            total = row.get(unknown, 0) + share * coefficient
            if _vanishes(total):
                row.pop(unknown, None)
                self._users[unknown].discard(user)
            else:
                row[unknown] = total
                self._users[unknown].add(user)
        self._solved[user] = row, constant + share * value


def divided(value: Scalar, divisor: Scalar) -> Scalar:
    """A quotient, exact where both numbers are."""
    if divisor == 1:
        return value
    if isinstance(value, float) or isinstance(divisor, float):
        return value / divisor
    return Fraction(value) / divisor


def _vanishes(share: Scalar) -> bool:
    return abs(share) < NOTHING if isinstance(share, float) else share == 0

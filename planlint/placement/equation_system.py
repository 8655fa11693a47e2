"""The unknown places of all parts, and the equations taken in so far.

Along each axis parts whose difference is known form a cluster (a union-find with exact offsets). Equations along
other directions then tie the clusters to one another in an ``Elimination`` whose unknowns are the clusters.
"""

from planlint.model.directions import Axis
from planlint.model.wood_cuts import Scalar
from planlint.placement.elimination import Elimination
from planlint.placement.equations import Equation


class Offsets:
    """Along one axis: which parts' differences are known, and what they are."""

    __slots__ = ("_parent", "_shift", "_size")

    def __init__(self, count: int) -> None:
        self._parent = list(range(count))
        self._shift: list[Scalar] = [0] * count
        self._size = [1] * count

    def find(self, item: int) -> tuple[int, Scalar]:
        """The item its cluster is measured from, and how far beyond that one it lies."""
        parent, shift = self._parent, self._shift
        root = parent[item]
        if parent[root] == root:
            return root, shift[item]
        trail = [item]
        while parent[root] != root:
            trail.append(root)
            root = parent[root]
        total: Scalar = 0
        for passed in reversed(trail):
            total += shift[passed]
            shift[passed] = total
            parent[passed] = root
        return root, total

    def tie(self, a: int, b: int, value: Scalar) -> Scalar | None:
        """Fix ``b - a``. ``None`` if that was open; else how much more than ``value`` it already is."""
        root_a, shift_a = self.find(a)
        root_b, shift_b = self.find(b)
        if root_a == root_b:
            return shift_b - shift_a - value
        beyond = value + shift_a - shift_b
        if self._size[root_a] < self._size[root_b]:
            root_a, root_b, beyond = root_b, root_a, -beyond
        self._parent[root_b] = root_a
        self._shift[root_b] = beyond
        self._size[root_a] += self._size[root_b]
        return None


class System:
    """All parts' places. Axis equations go in first (``take_axis``), any others after (``take``)."""

    def __init__(self, count: int) -> None:
        self._count = count
        self._offsets = (Offsets(count), Offsets(count), Offsets(count))
        self._clusters = Elimination()

    def take_axis(self, equation: Equation) -> Scalar | None:
        """Take an equation along an axis in, before any other kind. ``None`` if it fixed something; else the
        amount along its normal by which the parts already lie further apart than it asks."""
        axis = equation.axis
        assert axis is not None
        excess = self._offsets[axis].tie(equation.a, equation.b, equation.value)
        return excess if excess is None or equation.sign > 0 else -excess

    def take(self, equation: Equation) -> Scalar | None:
        """The same for an equation in any direction; the amount counts in lengths of its normal."""
        row: dict[int, Scalar] = {}
        value = equation.value if equation.axis is None or equation.sign > 0 else -equation.value
        for axis in Axis:
            share = equation.normal[axis]
            if not share:
                continue
            root_a, shift_a = self._offsets[axis].find(equation.a)
            root_b, shift_b = self._offsets[axis].find(equation.b)
            value -= share * (shift_b - shift_a)
            if root_a != root_b:
                row[axis * self._count + root_b] = share
                row[axis * self._count + root_a] = -share
        return self._clusters.add(row, value)

    def place(self, part: int) -> tuple[Scalar, Scalar, Scalar]:
        """Where a part lies, with everything that is still free at 0."""
        x, y, z = (self._coordinate(part, axis) for axis in Axis)
        return x, y, z

    def _coordinate(self, part: int, axis: Axis) -> Scalar:
        root, shift = self._offsets[axis].find(part)
        return shift + self._clusters.value(axis * self._count + root)

    def rigid_groups(self) -> list[int]:
        """For each part a number; two parts share it if no way is left for one to move against the other."""
        forms: dict[int, tuple[tuple[int, float], ...]] = {}
        numbers: dict[tuple[tuple[tuple[int, float], ...], ...], int] = {}
        groups = []
        for part in range(self._count):
            key = []
            for axis in Axis:
                unknown = axis * self._count + self._offsets[axis].find(part)[0]
                if unknown not in forms:
                    row = self._clusters.form(unknown)[0]
                    forms[unknown] = tuple(
                        sorted((free, round(float(share), 6)) for free, share in row.items())
                    )
                key.append(forms[unknown])
            groups.append(numbers.setdefault(tuple(key), len(numbers)))
        return groups

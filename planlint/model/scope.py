"""The names known at a place of a plan: in a file, in the turn of a loop, in a unit that is placed.

A scope knows the unit it belongs to, a unit its assembly, an assembly the scope of its file: so they stand together.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from planlint.language.syntax_tree import AssemblyLine, Let, Statement
from planlint.model.directions import Flips
from planlint.model.foreign_lines import brought
from planlint.model.nearest_name import Offers
from planlint.model.stock import Stock
from planlint.text.measures import INCH_PER_UNIT
from planlint.text.source import PlanText


class Value(NamedTuple):
    """A worked-out number; ``is_length`` tells inches from a plain number."""

    number: Fraction
    is_length: bool


class BrokenNames:
    """Names whose own statement has a mistake: nothing is said of those who use them.

    A name that ends in ``{`` stands for all that begin so: the start of a template that could not be filled in.
    """

    def __init__(self, names: Iterable[str] = ()) -> None:
        self._names: set[str] = set()
        self._starts: set[str] = set()
        for name in names:
            self.add(name)

    def add(self, name: str) -> None:
        if name.endswith("{"):
            self._starts.add(name[:-1])
        else:
            self._names.add(name)

    def update(self, other: BrokenNames) -> None:
        """Takes over all names of another."""
        self._names |= other._names
        self._starts |= other._starts

    def __contains__(self, name: str) -> bool:
        if name in self._names:
            return True
        return bool(self._starts) and any(name[:end] in self._starts for end in range(len(name) + 1))


class Scope:
    """The names known at one place: the plan's lets, and inside a loop or an assembly its own in front of them.

    ``prefix`` goes before the names that parts, joins and stock get here; ``placed`` is the unit they belong to.
    ``brought`` are the lets of other files, by the file; ``unfit`` says why some of them cannot be used.
    """

    __slots__ = (
        "broken", "brought", "factor", "offers", "outer", "placed", "prefix", "turn", "unfit", "unit", "unread",
        "values",
    )  # fmt: skip

    def __init__(self, unit: str, outer: Scope | None = None, turn: int = 0) -> None:
        self.unit = unit
        self.turn = turn
        self.factor = INCH_PER_UNIT[unit]
        self.outer = outer
        self.values: dict[str, Value] = {}
        self.broken: set[str] = outer.broken if outer is not None else set()
        self.unread: BrokenNames = outer.unread if outer is not None else BrokenNames()
        self.offers: Offers = outer.offers if outer is not None else Offers()
        self.prefix: str = outer.prefix if outer is not None else ""
        self.placed: PlacedUnit | None = outer.placed if outer is not None else None
        self.brought: dict[str, str] = outer.brought if outer is not None else {}
        self.unfit: dict[str, str] = outer.unfit if outer is not None else {}

    @property
    def flips(self) -> Flips:
        """The axes along which the unit is the mirror image of its assembly as it is told."""
        return self.placed.flips if self.placed is not None else frozenset()

    @property
    def turn_told(self) -> str:
        """In which turn of a loop this is, for a message; nothing outside of loops."""
        if self.outer is None or self.placed is not self.outer.placed:
            return ""
        return "".join(f" where {name} is {value.number}" for name, value in [*self.values.items()][:1])

    def stands_in(self, block: Scope) -> bool:
        """Whether a place lies in a turn of a loop, or in a unit, or in another that is placed there."""
        at: Scope | None = self
        while at is not None and at is not block:
            of_unit = at.placed is not None and (at.outer is None or at.outer.placed is not at.placed)
            at = at.placed.by if at.placed is not None and of_unit else at.outer
        return at is block

    def find(self, name: str) -> Value | None:
        """What a name stands for here, or ``None``."""
        scope: Scope | None = self
        while scope is not None:
            value = scope.values.get(name)
            if value is not None:
                return value
            scope = scope.outer
        return None

    def names(self) -> list[str]:
        """Every name known here, the nearest scope first."""
        found: list[str] = []
        scope: Scope | None = self
        while scope is not None:
            found.extend(scope.values)
            scope = scope.outer
        return found


class FileScope(Scope):
    """The names known in a whole file: beside its lets, the stock and the assemblies that it tells or uses.

    ``dropped`` are names of stock, parts and assemblies whose own statements are broken, by kind.
    """

    __slots__ = ("assemblies", "dropped", "stocks")

    def __init__(self, unit: str, unread: BrokenNames) -> None:
        super().__init__(unit)
        self.unread = unread
        self.stocks: dict[str, Stock] = {}
        self.assemblies: dict[str, Assembly] = {}
        self.dropped = {"stock": BrokenNames(), "part": BrokenNames(), "assembly": BrokenNames()}


class Assembly:
    """A unit as it is told: its first line and what stands under it, in the file of ``home``.

    ``source`` is that file, where it is not the plan itself.
    """

    __slots__ = ("home", "lets", "name", "node", "ring", "source", "statement")

    def __init__(
        self, statement: Statement, node: AssemblyLine, home: FileScope, source: PlanText | None = None
    ) -> None:
        self.name = node.name.text
        self.statement = statement
        self.node = node
        self.home = home
        self.source = source
        self.ring = False
        """Whether it comes to contain itself."""
        self.lets = [(inner, inner.node) for inner in self.body if isinstance(inner.node, Let)]

    @property
    def body(self) -> tuple[Statement, ...]:
        return self.statement.details

    def body_for(self, here: Statement) -> tuple[Statement, ...]:
        """Its statements, for a unit placed by ``here``: those of another file take the place of that line."""
        if self.source is None:
            return self.body
        return tuple([brought(inner, self.source, here) for inner in self.body])


class PlacedUnit(NamedTuple):
    """One unit: its whole name, the assembly it is built by, and whether it is the mirror image of that."""

    name: str
    assembly: Assembly
    flips: Flips = frozenset()
    by: Scope | None = None
    """The names at the line that places it."""

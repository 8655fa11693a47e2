"""Where each thing of a plan is said: kept from its one reading, for all who rewrite, tell or draw it.

A statement that a loop repeats, or that belongs to an assembly, is said once and read often: ``scope`` tells with which
names, and ``path`` in which unit and in which turns.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Generic, NamedTuple, TypeVar

from planlint.language.expression_tree import Expression
from planlint.language.syntax_tree import (
    CutItem,
    Flag,
    JoinLine,
    Lone,
    PartDetails,
    PartItem,
    PartLine,
    PlacingLine,
    PocketsLine,
    RemovalItem,
    ScrewsLine,
    SpacingItem,
    Statement,
    StockLine,
    TraditionItem,
    Tree,
    TrimItem,
)
from planlint.language.vocabulary import USUAL_MIRROR
from planlint.model.directions import Axis, Flips
from planlint.model.foreign_lines import Elsewhere
from planlint.model.scope import FileScope, Scope
from planlint.text.source import PlanText, Span

_Item = TypeVar("_Item")
Path = tuple[int | str, ...]
"""The unit of an assembly that a statement is read for, then the turns of the loops round it; empty outside both."""


class Sum(NamedTuple):
    """A length as it is written: the line it stands on, and the names it is worked out with."""

    statement: Statement
    expression: Expression
    scope: Scope


class DetailSaid(NamedTuple, Generic[_Item]):
    """A detail of a part, with its place in the text."""

    statement: Statement
    item: _Item
    span: Span
    scope: Scope


CutSaid = DetailSaid[CutItem]
RemovalSaid = DetailSaid[RemovalItem]
TrimSaid = DetailSaid[TrimItem]
SpacingSaid = DetailSaid[SpacingItem]


class PartSaid(NamedTuple):
    """A part line, and which of its names a part has; what it takes over from a part that it is like is said there."""

    statement: Statement
    line: PartLine
    scope: Scope
    place: int
    measures: Mapping[str, Sum]
    """Its length, width and thickness by ``long``, ``wide`` and ``thick``, but for what only its stock says."""
    cuts: tuple[CutSaid, ...]
    """The detail behind each of the part's cuts, in their order."""
    removals: tuple[RemovalSaid, ...]

    @property
    def details(self) -> Iterator[tuple[Statement, PartItem, int, int]]:
        """Every detail of its own lines: the line, the detail, and where in the line it starts and ends."""
        for line in (self.statement, *self.statement.details):
            if isinstance(line.node, PartLine | PartDetails):
                yield from ((line, *each) for each in line.node.items)


class JoinSaid(NamedTuple):
    """A join line with the details under it, each read with the names of ``scope``.

    Of a line that tells several joins ``place`` counts them, and ``line`` is as if it told this one alone. ``mirrored``
    are the parts, each with the axis, whose mirror images took the join along.
    """

    statement: Statement
    line: JoinLine
    scope: Scope
    place: int = 0
    like: bool = False
    """Whether the details are those of another join, told again here."""
    mirrored: tuple[tuple[str, Axis], ...] = ()

    @property
    def flips(self) -> Flips:
        """The axes along which the join is the mirror image of its words."""
        found = self.scope.flips
        for _, axis in self.mirrored:
            found ^= {axis}
        return found

    @property
    def tradition(self) -> tuple[Statement, TraditionItem] | None:
        """The joint of another kind, and the line it stands on."""
        if self.line.tradition is not None:
            return self.statement, self.line.tradition
        for each in self.statement.details:
            if isinstance(each.node, TraditionItem):
                return each, each.node
        return None

    @property
    def placings(self) -> list[tuple[Statement, PlacingLine, int]]:
        """For each of the join's placings its line, and which of the line's sides it is."""
        return [
            (each, each.node, side)
            for each in self.statement.details
            if isinstance(each.node, PlacingLine)
            for side in range(max(1, len(each.node.sides)))
        ]

    @property
    def pockets(self) -> list[tuple[Statement, PocketsLine]]:
        """The line of each row of pockets, in their order."""
        return [(each, each.node) for each in self.statement.details if isinstance(each.node, PocketsLine)]

    @property
    def screws(self) -> tuple[Statement, ScrewsLine] | None:
        return next(
            ((each, each.node) for each in self.statement.details if isinstance(each.node, ScrewsLine)), None
        )


class LineSaid(NamedTuple, Generic[_Item]):
    """A line that tells a stock, with the scope of its own file, or says something of parts and joins: a load, an
    acceptance."""

    statement: Statement
    line: _Item
    scope: Scope


StockSaid = LineSaid[StockLine]
LoneSaid = LineSaid[Lone]
_Said = PartSaid | JoinSaid | StockSaid | LoneSaid


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where all of a plan is said. Joins stand in the order of the plan's own; of the ``others`` loads do, then
    acceptances."""

    tree: Tree = field(default=Tree(PlanText("", ""), ()))
    scope: FileScope | None = None
    """The names of the plan itself."""
    stocks: Mapping[str, StockSaid] = field(default_factory=dict)
    parts: Mapping[str, PartSaid] = field(default_factory=dict)
    joins: tuple[JoinSaid, ...] = ()
    others: tuple[LoneSaid, ...] = ()

    def __iter__(self) -> Iterator[_Said]:
        yield from self.stocks.values()
        yield from self.parts.values()
        yield from self.joins
        yield from self.others

    def is_own(self, statement: Statement) -> bool:
        """Whether a statement stands in the plan's own text, where edits can reach it."""
        return origin(statement)[1] in {None, self.tree.source}


def takes_joins(item: PartItem) -> bool:
    """Whether a detail makes a mirror image take the joins of its part along."""
    return isinstance(item, Flag) and item.name == "with its joins"


def meant_as_image(provenance: Provenance, name: str, grain: Axis) -> tuple[str, list[str]]:
    """The part that a part is like or mirrors, whose joins it does not take along as images in this plan do; and what
    its line may say instead, from behind its own name, the likeliest first. Of any other part nothing."""

    def takes(said: PartSaid) -> bool:
        return any(takes_joins(item) for _, item, *_ in said.details)

    said = provenance.parts.get(name)
    images = [each.line for each in provenance.parts.values() if each.line.mirrors and takes(each)]
    if said is None or len(said.line.names) > 1 or not (said.line.like or said.line.mirrors) or not images:
        return "", []
    of, own, along = said.line.stock.text, said.line.mirrors, "" if takes(said) else ", with its joins"
    there = {each.mirrors for each in images if each.stock.text == of and each is not said.line}
    # A part is not doubled by its image along its own length.
    ways = sorted(
        Axis, key=lambda axis: (not (along and axis.words == own), axis is grain, axis.words in there)
    )
    return of, [f"{image_of(of, axis)}{along}" for axis in ways if along or axis.words != own]


def image_of(name: str, axis: Axis) -> str:
    """What the line of a part says, from behind its own name, that is the image of another along an axis."""
    return f"mirrors {name}{f' {axis.words}' if axis.words != USUAL_MIRROR else ''}"


def mirror_meant(provenance: Provenance, name: str, axis: Axis) -> tuple[str, str]:
    """What the line of a part says that is like another, from behind its own name, and what it says to be the image of
    that along an axis; empty words for any other part."""
    said = provenance.parts.get(name)
    if said is None or len(said.line.names) > 1 or not said.line.like or said.line.mirrors:
        return "", ""
    of = said.line.stock.text
    return f"like {of}", image_of(of, axis)


def origin(statement: Statement) -> tuple[Statement, PlanText | None]:
    """A statement where it is written, and the file, where that is not the text that it is read for."""
    if isinstance(statement, Elsewhere) and statement.first is not None:
        return statement.first, statement.source
    return statement, None


def path_of(scope: Scope) -> Path:
    """The unit, and the turns, that a statement was read for with these names."""
    turns: list[int | str] = []
    at: Scope | None = scope
    while at is not None and at.outer is not None:
        if at.placed is not None and at.outer.placed is not at.placed:
            turns.append(at.placed.name)
            break
        turns.append(int(next(iter(at.values.values())).number))
        at = at.outer
    return tuple(reversed(turns))

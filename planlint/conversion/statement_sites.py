"""Where each part and each join of a worked-out plan stands in its text: the statement, and the turns of its loops."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from planlint.conversion.length_words import Term, bare_number, bare_term, is_sum
from planlint.language.expression_tree import Expression, Number
from planlint.language.syntax_tree import (
    AssemblyLine,
    Flag,
    For,
    HungAt,
    JoinLine,
    Lone,
    PartItem,
    PartLine,
    PlacingLine,
    RemovalItem,
    SizeItem,
    SpacingItem,
    Statement,
    TraditionItem,
    Turned,
)
from planlint.model.directions import AXIS_BY_SPAN, Axis, Flips, Side
from planlint.model.expressions import length_of, name_of, names_in
from planlint.model.foreign_lines import Elsewhere
from planlint.model.plan import Join, Part, Plan
from planlint.model.provenance import JoinSaid, LoneSaid, PartSaid, Path, Sum, origin, path_of
from planlint.model.scope import Scope
from planlint.text.grouping import grouped
from planlint.text.source import Span


class Site(NamedTuple):
    """One part or join where it is written; ``place`` counts the names of a part line."""

    statement: Statement
    scope: Scope
    path: Path
    place: int = 0


class Detail(NamedTuple):
    """One detail of a part where it is written: by the part itself, or by one that it is like."""

    line: Statement
    number: int
    """Which of the line's details it is."""
    item: PartItem
    span: Span
    scope: Scope
    owner: str
    """The part whose line tells it."""


class Sites:
    """The text behind a plan that was read without a mistake."""

    def __init__(self, plan: Plan) -> None:
        said = plan.provenance
        assert said.scope is not None
        self.tree = said.tree
        self.plan = plan
        self.unit = plan.unit
        self.text = plan.source.text
        self.root = said.scope
        self.parts = {name: _site(part, part.place) for name, part in said.parts.items()}
        self.joins = tuple([_site(join) for join in said.joins])
        self.others: tuple[tuple[Site, Lone], ...] = tuple([(_site(each), each.line) for each in said.others])
        self.told = grouped(((id(site.statement), site.path), called) for called, site in self.parts.items())
        """The parts that one line tells in one turn of the loops round it."""
        self.flips: tuple[Flips, ...] = tuple([join.flips for join in said.joins])
        """Of each join, how it is the mirror image of what is written."""
        self._marks = tuple([_mark(join, site) for join, site in zip(said.joins, self.joins, strict=True)])
        self._alike = grouped((mark, index) for index, mark in enumerate(self._marks))
        self._mirrored = {
            site.path[:1] for site in (*self.parts.values(), *self.joins) if site.path and site.scope.flips
        }
        self._paths: dict[int, dict[Path, None]] = {}
        for site in (*self.parts.values(), *self.joins, *(each for each, _ in self.others)):
            self._paths.setdefault(id(site.statement), {})[site.path] = None

    def elsewhere(self, part: Part) -> bool:
        """Whether a part stands in another file, which this plan uses."""
        return not self.plan.provenance.is_own(self.parts[part.name].statement)

    def follows(self, join: Join) -> bool:
        """Whether a join is told as the mirror image of another, and follows what that becomes."""
        return bool(self.plan.provenance.joins[join.index].mirrored or self.joins[join.index].scope.flips)

    def mates(self, join: Join) -> list[Join]:
        """The joins that can only be converted together with one: its mirror images and what it is the image of; it
        among them."""
        found = [self.plan.joins[index] for index in self._alike[self._marks[join.index]]]
        return found if any(self.follows(each) for each in found) else [join]

    def in_units(self, join: Join) -> list[Join]:
        """The joins that the same words of an assembly tell, one in each of its units; none outside of assemblies."""
        path = self.joins[join.index].path
        unit = bool(path) and isinstance(path[0], str)
        return [self.plan.joins[index] for index in self._alike[self._marks[join.index]]] if unit else []

    def mark(self, join: Join) -> tuple[object, ...]:
        """What the joins have in common that the same words tell: of all units of an assembly, and their images."""
        return self._marks[join.index]

    def own_join(self, join: Join) -> bool:
        """Whether a join stands in this file."""
        return self.plan.provenance.is_own(self.joins[join.index].statement)

    # ------------------------------------------------------------ nodes of a statement

    def join_line(self, join: Join) -> JoinLine:
        return self.plan.provenance.joins[join.index].line

    def part_line(self, part: Part | str) -> PartLine:
        return self.plan.provenance.parts[part if isinstance(part, str) else part.name].line

    def original(self, part: str) -> str | None:
        """The part that one is said to be like."""
        site = self.parts[part]
        node = self.part_line(part)
        return f"{site.scope.prefix}{name_of(node.stock, site.scope)}" if node.like or node.mirrors else None

    def lineage(self, part: str) -> list[str]:
        """A part, the one it is like, the one that is like, and so on."""
        chain = [part]
        while (other := self.original(chain[-1])) is not None:
            chain.append(other)
        return chain

    def mirrors(self, part: str) -> bool:
        """Whether a part is told as the mirror image of another, by itself or by one that it is like."""
        return any(self.part_line(each).mirrors is not None for each in self.lineage(part))

    def part_flips(self, part: str) -> Flips:
        """How a part is the mirror image of what is written of it."""
        found = self.parts[part].scope.flips
        for each in self.lineage(part):
            span = self.part_line(each).mirrors
            if span is not None:
                found ^= {AXIS_BY_SPAN[span]}
        return found

    def in_mirror(self, unit: Path) -> bool:
        """Whether a unit is placed as a mirror image, so that its parts and joins follow those of another."""
        return unit[:1] in self._mirrored

    @property
    def told_joins(self) -> dict[tuple[int, Path], list[Join]]:
        """The joins that each line tells in one turn or unit, those that follow others left out."""
        told = ((self.joins[join.index], join) for join in self.plan.joins if not self.follows(join))
        return grouped(((id(site.statement), site.path), join) for site, join in told)

    def items(self, part: Part | str) -> Iterator[Detail]:
        """The details of a part: its own, then those it takes over from the parts it is like, nearest first."""
        given: set[object] = set()
        name = part if isinstance(part, str) else part.name
        for owner in self.lineage(name):
            site = self.parts[owner]
            slots = set()
            for line in (site.statement, *site.statement.details):
                for count, (item, start, end) in enumerate(getattr(line.node, "items", ())):
                    slot = _slot(item)
                    if slot is not None and slot in given:
                        continue
                    if owner != name and isinstance(item, SpacingItem):
                        continue  # Where it lies each part tells by itself.
                    slots.add(slot)
                    yield Detail(line, count, item, line.at(start, end), site.scope, owner)
            given |= slots - {None}

    def removals(self, part: Part | str) -> list[Detail]:
        """The rabbets, grooves, dados and notches as written, in the order of ``part.removals``."""
        found = [each for each in self.items(part) if isinstance(each.item, RemovalItem)]
        owners = self.lineage(part if isinstance(part, str) else part.name)[::-1]
        return sorted(found, key=lambda each: owners.index(each.owner))

    def runs_along(self, part: Part, number: int) -> Axis | None:
        """Along which axis a cut runs; ``None`` for a notch."""
        item = self.removals(part)[number].item
        assert isinstance(item, RemovalItem)
        if (item.kind.text == "notch" and item.offset is None) or len(item.sides) != 2:
            return None
        return Axis(3 - Side(item.sides[0].text).axis - Side(item.sides[1].text).axis)

    def tradition(self, join: Join) -> tuple[Statement, TraditionItem] | None:
        """The traditional joint as written, and the line it stands on."""
        return self.plan.provenance.joins[join.index].tradition

    def placings(self, join: Join) -> list[tuple[Statement, PlacingLine, int]]:
        """For each of ``join.placings`` its line, and which of the line's sides it is."""
        return self.plan.provenance.joins[join.index].placings

    # ------------------------------------------------------------ lengths with their words

    def words(self, statement: Statement, expression: Expression) -> str:
        return self.text[slice(*statement.at(expression.start, expression.end))]

    def term(self, statement: Statement, expression: Expression, scope: Scope) -> Term:
        """A length with the words it has where it stands."""
        value = length_of(expression, scope)
        if isinstance(statement, Elsewhere):
            return bare_term(value, self.unit)
        if isinstance(expression, Number):
            # A number with a unit of its own is told in the plan's: sums then read in one unit.
            return Term(value, bare_number(value, self.unit))
        return Term(value, self.words(statement, expression), bool(names_in(expression)), is_sum(expression))

    def anywhere(self, statement: Statement, expression: Expression, scope: Scope) -> Term:
        """The same where other statements may use it: a loop's own names are worked out."""
        term = self.term(statement, expression, scope)
        if all(scope.find(name.text) is self.root.values.get(name.text) for name in names_in(expression)):
            return term
        return bare_term(term.value, self.unit)

    def size(self, part: Part, axis: Axis) -> Term:
        """A part's reach along an axis: by its own line, else by its stock's, else as a number."""
        word = self.size_word(part, axis)
        provenance = self.plan.provenance
        found = provenance.parts[part.name].measures.get(word)
        if found is None:
            statement, stock, scope = provenance.stocks[part.stock.name]
            expression = {"wide": stock.width, "thick": stock.thickness}.get(word)
            if expression is not None and not (stock.sheet and word == "wide"):
                found = Sum(statement, expression, scope)
        if found is None or not provenance.is_own(found.statement):
            return bare_term(part.size[axis], self.unit)
        return self.anywhere(origin(found.statement)[0], found.expression, found.scope)

    @staticmethod
    def size_word(part: Part, axis: Axis) -> str:
        if axis is part.grain:
            return "long"
        return "wide" if axis is part.across else "thick"

    # ------------------------------------------------------------ loops

    def turns(self, block: Statement, before: Path) -> list[int | str]:
        """The turns of a loop, or the units of an assembly, that hold anything, within what stands round it."""
        depth = len(before)
        found = {
            path[depth]
            for inner in _ids(block.details)
            for path in self._paths.get(inner, ())
            if path[:depth] == before
        }
        return sorted(found, key=lambda turn: (isinstance(turn, str), turn))


_SETTLES = {
    "upright": "grain", "crosswise": "grain", "deep": "grain", "surfaced four sides": "rough",
    "finish both faces": "finish",
}  # fmt: skip


def _slot(item: PartItem) -> str | None:
    """What a detail settles, so that one taken over is left out; ``None`` for what adds up: wood taken away, sides."""
    if isinstance(item, SizeItem):
        return item.word.text
    if isinstance(item, Flag):
        return None if item.name in {"covered", "taped"} else _SETTLES.get(item.name, item.name)
    return type(item).__name__ if isinstance(item, Turned | HungAt) else None


def _ids(statements: Iterable[Statement]) -> Iterable[int]:
    for each in statements:
        yield id(each)
        if isinstance(each.node, For | AssemblyLine):
            yield from _ids(each.details)


def _mark(said: JoinSaid, site: Site) -> tuple[object, ...]:
    """The words that tell a join; those of an assembly tell it for all its units."""
    unit = bool(site.path) and isinstance(site.path[0], str)
    return id(site.statement), site.path[1:] if unit else site.path, said.place


def _site(said: PartSaid | JoinSaid | LoneSaid, place: int = 0) -> Site:
    return Site(said.statement, said.scope, path_of(said.scope), place)

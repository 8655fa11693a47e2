"""Assemblies of used files: copied into the plan that places them, or placed in their own file and converted there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from posixpath import dirname, join, normpath
from typing import NamedTuple

from planlint.conversion.length_words import number
from planlint.conversion.text_stretches import apply_within, block_end, inner_indent, line_end
from planlint.language.reader import read
from planlint.language.syntax_tree import (
    AssemblyLine,
    For,
    JoinLine,
    PlaceLine,
    PlanHead,
    SeenFrom,
    Statement,
    TraditionItem,
    Tree,
    UnitLine,
    Use,
)
from planlint.model.plan import Plan
from planlint.model.scope import PlacedUnit, Scope
from planlint.model.use_statements import Loader
from planlint.text.edits import TextEdit, apply
from planlint.text.source import PlanText, Span


class NotCopied(Exception):  # noqa: N818 - it is left; nothing is wrong with the program
    """Why the assemblies cannot be copied, in words."""


class _Told(NamedTuple):
    """An assembly where it is told."""

    tree: Tree
    statement: Statement
    node: AssemblyLine


def with_own_copies(source: PlanText, load: Loader | None) -> PlanText:
    """The plan with copies of its own of all assemblies that it places from used files, under names of their own.

    Raises ``NotCopied`` where a file counts in another unit, since its plain numbers would mean something else here.
    """
    tree, _ = read(source)
    own = {each.node.name.text for each in tree.statements if isinstance(each.node, AssemblyLine)}
    found = {told.node.name.text: told for told in _used(tree, load, "")}
    wanted: dict[str, _Told] = {}
    waiting = [place.node.assembly.text for place in _places(tree.statements)]
    for name in waiting:
        told = found.get(name)
        if told is None or name in own or name in wanted:
            continue
        if _unit(told.tree) != _unit(tree):
            says = f"{told.tree.source.path} counts in {_WORDS[_unit(told.tree)]}, this plan in {_WORDS[_unit(tree)]}"
            raise NotCopied(f"{name} is not copied: {says}; its plain numbers would mean something else here")
        wanted[name] = told
        waiting += [each.node.assembly.text for each in _places(told.statement.details)]
    if not wanted:
        return source
    names = {name: _free(f"{name}_screwed", {*own, *found}) for name in wanted}
    first = next(each for each in tree.statements if any(_places([each])))
    end = line_end(source.text)
    copies = [_copy(told, names) for told in wanted.values()]
    at = first.span.start
    edits = [TextEdit(Span(at, at), "".join(f"{copy}{end}{end}" for copy in copies))]
    edits += _renamed(tree.statements, names)
    return PlanText(source.path, apply(source.text, edits), source.byte_order_mark)


def placed_here(library: PlanText, users: Iterable[Plan]) -> tuple[PlanText, list[TextEdit]]:
    """A file with its assemblies placed as its users place them, seen from where those are, and the edits for that."""
    tree, _ = read(library)
    end, unit, plans, edits = line_end(library.text), _unit(tree), list(users), []
    lines: dict[str, str] = {}
    for plan in plans:
        for placed, within in _units_of(plan, tree):
            turned = "".join(f" mirrored {axis.words}" for axis in sorted(placed.flips)[:1])
            for name in (each.text for each in placed.assembly.node.parameters):
                value = within.values[name]
                inches = value.number * (1 if value.is_length else within.factor)
                turned += f", {name} {number(inches, unit)}"
            called = placed.name if placed.name not in library.text else f"trial_{len(lines) + 1}"
            lines.setdefault(f"{placed.assembly.name} as {{}}{turned}", called)
    head = next((each for each in tree.statements if isinstance(each.node, PlanHead)), None)
    if head is not None and not any(isinstance(each.node, SeenFrom) for each in head.details):
        sides = ", ".join(dict.fromkeys(side.value for plan in plans for side in plan.seen_from)) or "nowhere"
        indent = inner_indent(library.text, head)
        edits.append(TextEdit(Span(head.span.end, head.span.end), f"{end}{indent}seen from {sides}"))
    tail = "".join(f"{end}place {line.format(name)}" for line, name in lines.items())
    edits.append(TextEdit(Span(len(library.text), len(library.text)), f"{tail}{end}"))
    return PlanText(library.path, apply(library.text, edits), library.byte_order_mark), edits


def _units_of(plan: Plan, library: Tree) -> Iterable[tuple[PlacedUnit, Scope]]:
    """The units of a file's assemblies that a plan places, but for those that stand in others of them; with what is
    known in each."""
    told = {each.node.name.text for each in library.statements if isinstance(each.node, AssemblyLine)}
    units: dict[str, tuple[PlacedUnit, Scope]] = {}
    for part in plan.provenance.parts.values():
        outermost, scope = None, part.scope
        while (placed := scope.placed) is not None and placed.by is not None:
            while scope.outer is not None and scope.outer.placed is placed:
                scope = scope.outer
            if placed.assembly.source is not None and placed.assembly.name in told:
                outermost = placed, scope
            scope = placed.by
        if outermost is not None:
            units.setdefault(outermost[0].name, outermost)
    return units.values()


def _used(tree: Tree, load: Loader | None, folder: str) -> Iterator[_Told]:
    """The assemblies of the files that one uses, and of those that they use."""
    for each in tree.statements:
        if not isinstance(each.node, Use) or load is None:
            continue
        path = normpath(join(folder, each.node.path))
        found = load(path)
        if not isinstance(found, PlanText) or found is tree.source:
            continue
        inner, _ = read(found)
        for statement in inner.statements:
            if isinstance(statement.node, AssemblyLine):
                yield _Told(inner, statement, statement.node)
        yield from _used(inner, load, dirname(path))


def waits_for_users(source: PlanText) -> bool:
    """Whether a file tells traditional joints in assemblies that it places nowhere: only those who use it do."""
    tree, _ = read(source)
    placed = {place.node.assembly.text for place in _places(tree.statements)}
    return any(
        isinstance(each.node, AssemblyLine)
        and each.node.name.text not in placed
        and any(_traditional(inner) for inner in each.details)
        for each in tree.statements
    )


def _traditional(statement: Statement) -> bool:
    node = statement.node
    own = isinstance(node, TraditionItem) or (isinstance(node, JoinLine) and node.tradition is not None)
    return own or any(map(_traditional, statement.details))


class _Place(NamedTuple):
    statement: Statement
    node: PlaceLine


def _places(statements: Iterable[Statement]) -> Iterator[_Place]:
    for each in statements:
        if isinstance(each.node, PlaceLine):
            yield _Place(each, each.node)
        elif isinstance(each.node, For | AssemblyLine):
            yield from _places(each.details)


def _renamed(statements: Iterable[Statement], names: dict[str, str]) -> Iterator[TextEdit]:
    for statement, node in _places(statements):
        name = names.get(node.assembly.text)
        if name is not None:
            yield TextEdit(statement.at(node.assembly.start, node.assembly.end), name)


def _copy(told: _Told, names: dict[str, str]) -> str:
    text, statement, node = told.tree.source.text, told.statement, told.node
    edits = [
        TextEdit(statement.at(node.name.start, node.name.end), names[node.name.text]),
        *_renamed(statement.details, names),
    ]
    return apply_within(text, statement.span.start, block_end(text, statement), edits)


def _unit(tree: Tree) -> str:
    for each in tree.statements:
        if isinstance(each.node, PlanHead):
            for details in each.details:
                if isinstance(details.node, UnitLine):
                    return {"inch": "in"}.get(details.node.unit.text, details.node.unit.text)
    return "in"


_WORDS = {"in": "inches", "ft": "feet", "mm": "millimetres", "cm": "centimetres", "m": "metres"}


def _free(name: str, taken: set[str]) -> str:
    number_ = 1
    while (found := name if number_ == 1 else f"{name}_{number_}") in taken:
        number_ += 1
    return found

"""Assemblies of used files: copied into the plan that places them, or placed in their own file and converted there."""

from collections.abc import Iterable, Iterator
from posixpath import dirname, join, normpath
from typing import NamedTuple

from planlint.conversion.length_words import bare_number
from planlint.conversion.text_stretches import apply_within, inner_indent
from planlint.language.expression_tree import Name
from planlint.language.plain_lines import block_end, line_end
from planlint.language.reader import read
from planlint.language.syntax_tree import (
    AssemblyLine,
    For,
    JoinLine,
    Let,
    PartLine,
    PlaceLine,
    PlanHead,
    SeenFrom,
    SideOf,
    Statement,
    StockLine,
    TraditionItem,
    Tree,
    UnitLine,
    Use,
)
from planlint.model.plan import Plan
from planlint.model.scope import PlacedUnit, Scope
from planlint.model.use_statements import Loader
from planlint.text.edits import TextEdit, apply
from planlint.text.measures import UNIT_WORDS
from planlint.text.source import PlanText, Span


class NotCopied(Exception):  # noqa: N818 - it is left; nothing is wrong with the program
    """Why the assemblies cannot be copied, in words."""


_Named = Let | StockLine | AssemblyLine


class _Definition(NamedTuple):
    """A length, a stock or an assembly where it is told: the file's path from the plan's folder."""

    path: str
    tree: Tree
    statement: Statement
    node: _Named


_Known = dict[tuple[bool, str], _Definition]
"""What is known in a file, by its name and whether it is an assembly."""


def with_own_copies(source: PlanText, load: Loader | None) -> PlanText:
    """The plan with copies of its own of all assemblies that it places from used files, under names of their own, and
    with the lengths and stock that they lean on.

    Raises ``NotCopied`` where plain numbers or names would mean something else here than there.
    """
    tree, _ = read(source)
    files: dict[str, _Known] = {}
    here = _known(tree, load, files)
    wanted: dict[str, _Definition] = {}
    leant: dict[str, list[str]] = {}
    waiting = [(place.node.assembly.text, here) for place in _places(tree.statements)]
    for name, known in waiting:
        told = known.get((True, name))
        if told is None or not told.path or name in wanted:
            continue
        if _unit(told.tree) != _unit(tree):
            says = f"{told.path} counts in {UNIT_WORDS[_unit(told.tree)]}, this plan in {UNIT_WORDS[_unit(tree)]}"
            raise NotCopied(f"{name} is not copied: {says}; its plain numbers would mean something else here")
        if here.get((True, name), told).path != told.path:
            raise NotCopied(f"{name} is another assembly here than in {told.path}; rename one of them")
        wanted[name] = told
        there = files[told.path]
        waiting += [(each.node.assembly.text, there) for each in _places(told.statement.details)]
        for word, path in _leant_on(told, there):
            if (mine := here.get((False, word))) is None:
                here[False, word] = there[False, word]
                leant.setdefault(path, []).append(word)
            elif mine.path != path:
                says = f"{word} is another length or stock in {mine.path or 'this plan'} than in {path}"
                raise NotCopied(f"{name} is not copied: {says}; rename one, and convert again")
    if not wanted:
        return source
    names = {name: _free(f"{name}_screwed", {each for _, each in here}) for name in wanted}
    first = next(each for each in tree.statements if any(_places([each])))
    end = line_end(source.text)
    copies = [_copy(told, names) for told in wanted.values()]
    lines = [f'use "{path}" for {", ".join(words)}{end}' for path, words in leant.items()]
    at = [first.span.start, next(each.span.start for each in tree.statements if isinstance(each.node, Use))]
    put_in = ("".join(f"{copy}{end}{end}" for copy in copies), "".join(lines))
    edits = [TextEdit(Span(each, each), words) for each, words in zip(at, put_in, strict=True) if words]
    edits += _renamed(tree.statements, names)
    return PlanText(source.path, apply(source.text, edits), source.byte_order_mark)


def _known(tree: Tree, load: Loader | None, found: dict[str, _Known], path: str = "") -> _Known:
    """What is known in a file: what it tells, and what it uses of others. Each file is read once, and ``found``."""
    own = [
        _Definition(path, tree, each, each.node) for each in tree.statements if isinstance(each.node, _Named)
    ]
    found[path] = known = {(isinstance(each.node, AssemblyLine), each.node.name.text): each for each in own}
    for use in (each.node for each in tree.statements if isinstance(each.node, Use)):
        at = normpath(join(dirname(path), use.path))
        text = load(at) if load and at not in found else None
        brought = _known(read(text)[0], load, found, at) if isinstance(text, PlanText) else found.get(at, {})
        for (kind, name), told in list(brought.items()):
            if use.names is None or name in {each.text for each in use.names}:
                known.setdefault((kind, name), told)
    return known


def _leant_on(told: _Definition, there: _Known) -> Iterator[tuple[str, str]]:
    """The lengths and stock of its file that an assembly names, each with the path of the file that tells it."""
    details = told.statement.details
    own = {each.node.name.text for each in details if isinstance(each.node, Let | StockLine)}
    own |= {each.text for each in told.node.parameters} if isinstance(told.node, AssemblyLine) else set()
    for word in dict.fromkeys(_named_in(details)):
        if word not in own and (False, word) in there:
            yield word, there[False, word].path


def _named_in(said: object) -> Iterator[str]:
    """The names of lengths and stock in some lines; parts and joins may have the same."""
    inner: Iterable[object] = said if isinstance(said, tuple) else ()
    if isinstance(said, Statement):
        inner = (said.node, said.details)
    elif isinstance(said, PartLine):
        inner = (*(each.pieces for each in said.names), said.items)
        yield said.stock.text
    elif isinstance(said, SideOf):
        inner = said.part.pieces if said.part else ()
    elif isinstance(said, Name):
        yield said.text
    for each in inner:
        yield from _named_in(each)


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
                turned += f", {name} {bare_number(inches, unit)}"
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


class _PlacedHere(NamedTuple):
    statement: Statement
    node: PlaceLine


def _places(statements: Iterable[Statement]) -> Iterator[_PlacedHere]:
    for each in statements:
        if isinstance(each.node, PlaceLine):
            yield _PlacedHere(each, each.node)
        elif isinstance(each.node, For | AssemblyLine):
            yield from _places(each.details)


def _renamed(statements: Iterable[Statement], names: dict[str, str]) -> Iterator[TextEdit]:
    for statement, node in _places(statements):
        name = names.get(node.assembly.text)
        if name is not None:
            yield TextEdit(statement.at(node.assembly.start, node.assembly.end), name)


def _copy(told: _Definition, names: dict[str, str]) -> str:
    text, statement, node = told.tree.source.text, told.statement, told.node
    edits = [
        TextEdit(statement.at(node.name.start, node.name.end), names[node.name.text]),
        *_renamed(statement.details, names),
    ]
    return apply_within(text, statement.span.start, block_end(text, statement), edits)


def _unit(tree: Tree) -> str:
    heads = (
        line.node for each in tree.statements if isinstance(each.node, PlanHead) for line in each.details
    )
    told = next((node.unit.text for node in heads if isinstance(node, UnitLine)), "in")
    return {"inch": "in"}.get(told, told)


def _free(name: str, taken: set[str]) -> str:
    return next(
        found for found in (name, *(f"{name}_{n}" for n in range(2, len(taken) + 3))) if found not in taken
    )

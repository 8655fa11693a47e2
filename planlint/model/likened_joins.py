"""Joins that are told as others are: the lines under the other stand here once more, but for what is said anew."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from planlint.language.expression_tree import Name
from planlint.language.syntax_tree import FastenersLine, PlacingLine, PocketsLine, SideOf, Statement
from planlint.model.directions import SIDE_BY_WORD, Axis
from planlint.model.elaboration_state import Workings
from planlint.model.expressions import name_of
from planlint.model.foreign_lines import Elsewhere, brought
from planlint.model.mistake_log import Refusal
from planlint.model.nearest_name import nearest, offered
from planlint.model.provenance import JoinSaid
from planlint.model.scope import Scope


def told_as_others(workings: Workings, joins: Sequence[JoinSaid]) -> list[JoinSaid]:
    """The joins with what those say that they are like; one that is like none is noted, and left out."""
    if not any(said.line.like for said in joins):
        return list(joins)
    known: dict[str, JoinSaid] = {}
    for said in joins:
        for name in _names(said):
            known.setdefault(name, said)
    found: list[JoinSaid] = []
    for said in joins:
        workings.log.enter(said.statement, said.scope)
        try:
            found.append(_likened(workings, said, known))
        except Refusal as refusal:
            workings.log.refuse(said.statement, refusal)
    return found


def _likened(workings: Workings, said: JoinSaid, known: dict[str, JoinSaid]) -> JoinSaid:
    chain = [said]
    while chain[-1].line.like is not None:
        like = chain[-1].line.like
        words = chain[-1].scope.prefix + name_of(like, chain[-1].scope)
        other = known.get(words)
        if other is None:
            at = said.line.like or like
            raise Refusal.at(at, f"there is no join called {words}{offered(nearest(words, known))}")
        if any(other is each for each in chain):
            raise Refusal.at(like, "these joins are like one another in a ring: say of one how it is made")
        chain.append(other)
    made = chain.pop()
    if not chain:
        return said
    line, details = made.line, list(made.statement.details)
    spaced = _spaced(workings, said)
    for each in reversed(chain):
        details = [*_left(details, each.statement.details, spaced), *each.statement.details]
        line = each.line._replace(tradition=each.line.tradition or line.tradition)
    here = said.statement
    mine = {id(each) for each in here.details}
    swapped = {
        its.part.text: ours.part
        for its, ours in ((made.line.a, said.line.a), (made.line.b, said.line.b))
        if its.part is not None and ours.part is not None
    }
    details = [each if id(each) in mine else _of_these(each, swapped) for each in details]
    own = [
        each if isinstance(each, Elsewhere) or id(each) in mine else brought(each, workings.source, here)
        for each in details
    ]
    return said._replace(statement=replace(here, details=tuple(own)), line=line, like=True)


def _of_these(details: Statement, swapped: dict[str, Name]) -> Statement:
    """A detail that names a part of the other join, told of the part that stands in its place here."""
    node = details.node
    if isinstance(node, PocketsLine) and node.face.part is not None and node.face.part.text in swapped:
        face = node.face._replace(part=swapped[node.face.part.text])
        return replace(details, node=node._replace(face=face))
    if isinstance(node, FastenersLine) and node.through is not None:
        name = node.through.part if isinstance(node.through, SideOf) else node.through
        if name is not None and name.text in swapped:
            return replace(details, node=node._replace(through=swapped[name.text]))
    return details


def _spaced(workings: Workings, said: JoinSaid) -> set[Axis]:
    """The directions in which the part itself says where it lies: by a gap, a line or the floor."""
    named = said.line.a.part
    name = None if named is None else said.scope.prefix + name_of(named, said.scope)
    found = set()
    for owner, spacing in workings.spacings:
        if owner == name and owner in workings.parts:
            to = spacing.item.to
            side = SIDE_BY_WORD[to.side.text].axis if isinstance(to, SideOf) else workings.parts[owner].across
            found.add(Axis.Z if spacing.item.kind == "floor" else side)
    return found


def _left(details: Iterable[Statement], own: Iterable[Statement], spaced: set[Axis]) -> list[Statement]:
    """The details of another join that a join does not say itself: where it sits in a direction, or how it is held."""
    said = [each.node for each in own]
    kinds = {type(node) for node in said}
    axes = {
        SIDE_BY_WORD[word.text].axis for node in said if isinstance(node, PlacingLine) for word in node.sides
    }
    axes |= spaced
    spans = {node.axis.text for node in said if isinstance(node, PlacingLine) and node.axis is not None}
    left = []
    for each in details:
        node = each.node
        if isinstance(node, PlacingLine):
            sides = [word for word in node.sides if SIDE_BY_WORD[word.text].axis not in axes]
            words = {SIDE_BY_WORD[word.text].axis.words for word in node.sides}
            if (node.sides and (not sides or words & spans)) or (
                node.axis and node.axis.text in {*spans, *(axis.words for axis in axes)}
            ):
                continue
            if len(sides) < len(node.sides):
                each = replace(each, node=node._replace(sides=tuple(sides)))  # noqa: PLW2901
        elif type(node) in kinds:
            continue
        left.append(each)
    return left


def _names(said: JoinSaid) -> list[str]:
    """What a join can be called: its own name, or its first side, or both."""
    line, scope = said.line, said.scope
    try:
        own = [] if line.name is None else [scope.prefix + name_of(line.name, scope)]
        a, b = (_side(each, scope) for each in (line.a, line.b))
    except Refusal:
        return []
    return [*own, a, f"{a}/{b}"]


def _side(side: SideOf, scope: Scope) -> str:
    part: Name | None = side.part
    return f"{scope.prefix}{name_of(part, scope) if part is not None else ''}.{side.side.text}"

"""Assemblies: units that are told once and placed as often as they are built.

A unit placed as ``d1`` gives its part ``front`` the name ``d1_front``: an ordinary name, since a dot stands between a
part and its side and a slash between the two sides of a join.
"""

from collections.abc import Iterable, Iterator

from planlint.language.expression_tree import Name
from planlint.language.syntax_tree import AssemblyLine, For, PlaceLine, Statement
from planlint.model.directions import AXIS_BY_SPAN
from planlint.model.elaboration_state import Workings
from planlint.model.expressions import evaluate
from planlint.model.foreign_lines import brought
from planlint.model.mistake_log import FollowOn, Refusal
from planlint.model.nearest_name import offered
from planlint.model.scope import Assembly, PlacedUnit, Scope, Value
from planlint.text.measures import in_short
from planlint.text.source import PlanText


def tell_assemblies(
    workings: Workings, statements: Iterable[Statement], source: PlanText | None = None
) -> None:
    """Notes every assembly of a file, and those that come to contain themselves."""
    own: list[Assembly] = []

    def refuse(statement: Statement, name: Name, says: str) -> None:
        if source is not None and workings.here is not None:
            statement = brought(statement, source, workings.here)
        workings.log.refuse(statement, Refusal.at(name, says))

    for statement in statements:
        node = statement.node
        if not isinstance(node, AssemblyLine):
            continue
        name = node.name.text
        first = workings.scope.assemblies.get(name)
        if first is not None:
            says = f"assembly {name} is already told on line {first.statement.line}: give one of them another name"
            if first.home is not workings.scope and first.source is not None:
                says = f"assembly {name} already comes from {first.source.path}: give this one another name"
            refuse(statement, node.name, says)
            continue
        twice = _twice(node.parameters)
        if twice is not None:
            says = f"{twice.text} stands for two measures of this assembly: use another name"
            refuse(statement, twice, says)
            workings.scope.dropped["assembly"].add(name)
            continue
        assembly = Assembly(statement, node, workings.scope, source)
        workings.scope.assemblies[name] = assembly
        own.append(assembly)
    _tell_rings(workings, own)


def _twice(names: Iterable[Name]) -> Name | None:
    seen: set[str] = set()
    for name in names:
        if name.text in seen:
            return name
        seen.add(name.text)
    return None


# ---------------------------------------------------------------- rings


def places_in(body: Iterable[Statement]) -> Iterator[Statement]:
    """Every ``place`` line of a body, loops included."""
    for statement in body:
        if isinstance(statement.node, PlaceLine):
            yield statement
        elif isinstance(statement.node, For):
            yield from places_in(statement.details)


def _tell_rings(workings: Workings, assemblies: list[Assembly]) -> None:
    """Finds assemblies that contain themselves, on a stack of our own: a chain may be thousands long."""
    home = workings.scope
    done: set[str] = set()
    for first in assemblies:
        path: dict[str, Iterator[Statement]] = {}
        if first.name not in done:
            path[first.name] = places_in(first.body)
        while path:
            current = next(reversed(path))
            for statement in path[current]:
                assert isinstance(statement.node, PlaceLine)
                wanted = statement.node.assembly.text
                target = home.assemblies.get(wanted)
                if wanted in path:
                    _tell_ring(workings, list(path), wanted, statement)
                elif target is not None and target.home is home and wanted not in done:
                    path[wanted] = places_in(target.body)
                    break
            else:
                del path[current]
                done.add(current)


def _tell_ring(workings: Workings, path: list[str], wanted: str, statement: Statement) -> None:
    ring = path[path.index(wanted) :]
    for name in ring:
        workings.scope.assemblies[name].ring = True
    chain = " places ".join([*in_short(ring), wanted])
    says = f"these assemblies place one another in a ring: {chain}; take one of them out"
    if len(ring) == 1:
        says = f"assembly {wanted} places itself: a unit cannot stand inside itself"
    source = workings.scope.assemblies[wanted].source
    if source is not None and workings.here is not None:
        statement = brought(statement, source, workings.here)
    workings.log.refuse(statement, Refusal(None, 0, says))


# ---------------------------------------------------------------- placing

_UNIT_WORDS = {"in": "inches", "ft": "feet", "mm": "mm", "cm": "cm", "m": "metres"}


def assembly_of(workings: Workings, node: PlaceLine, scope: Scope) -> Assembly:
    """The assembly that a ``place`` line names; raises ``Refusal``."""
    home = workings.home_of(scope)
    name = node.assembly
    found = home.assemblies.get(name.text)
    if found is None:
        if name.text in home.dropped["assembly"] or name.text in home.unread:
            raise FollowOn
        near = workings.scope.offers.nearest(name.text, home.assemblies)
        offer = offered(near, f"; tell it with `assembly {name.text}(…)` and `end`")
        raise Refusal.at(name, f"there is no assembly called {name.text}{offer}")
    if found.ring:
        raise FollowOn
    return found


def scope_inside(assembly: Assembly, node: PlaceLine, scope: Scope, turn: int, name: str) -> Scope:
    """What is known inside a unit placed as ``name``; raises ``Refusal`` where its measures do not fit."""
    home = assembly.home
    within = Scope(home.unit, home, turn)
    within.broken = set(home.broken)
    within.values = _values(assembly, node, scope, home.unit)
    within.prefix = f"{name}_"
    flips = frozenset() if node.mirrored is None else frozenset({AXIS_BY_SPAN[node.mirrored]})
    within.placed = PlacedUnit(name, assembly, scope.flips ^ flips, scope)
    return within


def _values(assembly: Assembly, node: PlaceLine, scope: Scope, unit: str) -> dict[str, Value]:
    takes = [parameter.text for parameter in assembly.node.parameters]
    values: dict[str, Value] = {}
    for name, expression in node.given:
        if name.text not in takes:
            known = ", ".join(takes)
            says = f"{assembly.name} takes no measure called {name.text}; " + (
                f"it takes {known}" if takes else "it takes none"
            )
            raise Refusal.at(name, says)
        if name.text in values:
            raise Refusal.at(name, f"{name.text} is given twice: keep one of the two")
        value = evaluate(expression, scope)
        if not value.is_length and unit != scope.unit and value.number:
            says = (
                f"{assembly.name} counts in {_UNIT_WORDS[unit]} and this line in {_UNIT_WORDS[scope.unit]}: "
                f"give {name.text} its unit, such as `{name.text} 12 {scope.unit}`"
            )
            raise Refusal.at(expression, says)
        values[name.text] = value
    missing = [name for name in takes if name not in values]
    if missing:
        says = f"{assembly.name} needs its {' and its '.join(missing)} too: add `, {missing[0]} …`"
        raise Refusal.at(node.assembly, says, last=node.name)
    return values


def check_instance(workings: Workings, statement: Statement, node: PlaceLine, within: Scope) -> None:
    """Notes a unit's name; raises ``Refusal`` where another has it."""
    assert within.placed is not None
    name = within.placed.name
    first = workings.instances.get(name)
    if first is None:
        workings.instances[name] = statement
        return
    where = f"on line {first.line}" if first is not statement else "in another turn of its loop"
    raise Refusal.at(node.name, f"a unit is already placed as {name} {where}: give one another name")

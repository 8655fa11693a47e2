"""Loops and units: how much they would make, and what they make, one after another."""

from collections.abc import Iterable
from fractions import Fraction
from typing import assert_never

from planlint.language.syntax_tree import (
    AssemblyLine,
    EndLine,
    For,
    JoinDetail,
    JoinLine,
    Let,
    Lone,
    PartDetails,
    PartLine,
    PlaceLine,
    PlanDetail,
    PlanHead,
    Statement,
    StockLine,
    Use,
)
from planlint.model.assemblies import assembly_of, check_instance, places_in, scope_inside
from planlint.model.elaboration_state import Workings
from planlint.model.expressions import name_of, names_in, settle_lets, whole_number
from planlint.model.mistake_log import MistakeLog, Refusal
from planlint.model.provenance import JoinSaid, LineSaid, LoneSaid, StockSaid
from planlint.model.scope import Assembly, Scope, Value
from planlint.text.source import PlanText

DEEPEST_LOOP = 12
"""How deep loops and assemblies may stand in one another. Basis: own judgement."""

MOST_LOOKS = 20
"""Lines looked at in counting, for each part or join there may be. Basis: own judgement."""


_READ_ELSEWHERE = PlanHead | Use | Let | AssemblyLine | EndLine | PlanDetail | PartDetails | JoinDetail
"""Lines that stand once for a whole plan, or under another that reads them."""


class TooMany(Exception):  # noqa: N818
    """A plan would come to more parts and joins than it may."""

    def __init__(self, statement: Statement) -> None:
        super().__init__()
        self.statement = statement


# ---------------------------------------------------------------- counting, before anything is made


def check_amount(workings: Workings, statements: Iterable[Statement], scope: Scope, most: int) -> None:
    """Counts the parts and joins a plan comes to without making one; raises ``TooMany`` past ``most``."""
    count = _Count(workings, most)
    total = 0
    for statement in statements:
        total += count.amount(statement, scope, 0)
        if total > most or count.tired:
            raise TooMany(statement)


class _Count:
    """Counts ahead; ``looks`` are the lines looked at, which a plan may not make endless either."""

    def __init__(self, workings: Workings, most: int) -> None:
        self.workings = workings
        self.most = most
        self.looks = 0
        self.cuts = 0
        """How often it did not look deeper, since what lies there is refused anyway."""
        self.known: dict[Assembly, int] = {}
        """What assemblies come to that have no loops in them, however they are placed."""

    @property
    def tired(self) -> bool:
        return self.looks > MOST_LOOKS * (self.most + 5_000)

    def amount(self, statement: Statement, scope: Scope, depth: int) -> int:
        """Parts and joins of one statement; a turn of a loop and a unit count as one at least.

        Stops counting past ``most``.
        """
        node = statement.node
        self.looks += 1
        if isinstance(node, PartLine):
            return len(node.names)
        if isinstance(node, JoinLine):
            return 1 + len(node.others)
        if depth > DEEPEST_LOOP:
            self.cuts += 1
            return 0
        if self.tired:
            return 0
        if isinstance(node, For):
            return self._turns(statement, node, scope, depth)
        if isinstance(node, PlaceLine):
            return self._unit(node, scope, depth)
        if isinstance(node, StockLine | Lone | _READ_ELSEWHERE):
            return 0
        assert_never(node)

    def _turns(self, statement: Statement, node: For, scope: Scope, depth: int) -> int:
        try:
            first, last = _bounds(node, scope)
        except Refusal:
            return 0
        body = statement.details
        own = {node.name.text} | {inner.node.name.text for inner in body if isinstance(inner.node, Let)}
        if not self._bounds_lean_on(body, own, scope):
            return (last - first + 1) * self._sum(body, scope, depth)
        lets = [(inner, inner.node) for inner in body if isinstance(inner.node, Let)]
        total = 0
        for turn in range(first, last + 1):
            within = Scope(scope.unit, scope)
            within.broken = set(scope.broken)
            within.values[node.name.text] = Value(Fraction(turn), False)
            settle_lets(lets, within, MistakeLog(PlanText("", "")))
            total += self._sum(body, within, depth)
            if total > self.most:
                break
        return total

    def _unit(self, node: PlaceLine, scope: Scope, depth: int) -> int:
        try:
            assembly = assembly_of(self.workings, node, scope)
            known = self.known.get(assembly)
            if known is not None:
                return known
            within = scope_inside(assembly, node, scope, 0, "")
        except Refusal:
            return 0
        settle_lets(assembly.lets, within, MistakeLog(PlanText("", "")))
        cuts = self.cuts
        total = self._sum(assembly.body, within, depth)
        if self.cuts == cuts and self._plain(assembly):
            self.known[assembly] = total
        return total

    def _sum(self, body: Iterable[Statement], scope: Scope, depth: int) -> int:
        total = 0
        for inner in body:
            total += self.amount(inner, scope, depth + 1)
            if total > self.most:
                break
        return max(1, total)

    def _plain(self, assembly: Assembly) -> bool:
        """Whether an assembly comes to the same wherever it is placed; those it places were counted before it."""
        if any(isinstance(inner.node, For) for inner in assembly.body):
            return False
        nodes = (each.node for each in places_in(assembly.body))
        placed = [assembly.home.assemblies.get(n.assembly.text) for n in nodes if isinstance(n, PlaceLine)]
        return all(target is None or target in self.known for target in placed)

    def _bounds_lean_on(self, body: Iterable[Statement], names: set[str], scope: Scope) -> bool:
        for inner in body:
            node = inner.node
            if isinstance(node, For):
                used = {name.text for name in (*names_in(node.first), *names_in(node.last))}
                if used & names or self._bounds_lean_on(inner.details, names, scope):
                    return True
            elif isinstance(node, PlaceLine) and any(
                name.text in names for given in node.given for name in names_in(given.value)
            ):
                return True
        return False


def _bounds(node: For, scope: Scope) -> tuple[int, int]:
    first = whole_number(node.first, scope, "the start of a loop")
    last = whole_number(node.last, scope, "the end of a loop")
    if last < first:
        says = f"this loop runs from {first} up to {last}, so it makes nothing: put the smaller number first"
        raise Refusal.at(node.first, says, last=node.last)
    return first, last


# ---------------------------------------------------------------- turns


class Unrolled:
    """Every statement of a plan with the names it sees, by kind, in the order they are worked out."""

    def __init__(self) -> None:
        self.stocks: list[StockSaid] = []
        self.parts: list[tuple[Statement, PartLine, Scope]] = []
        self.joins: list[JoinSaid] = []
        self.others: list[LoneSaid] = []
        self.turns = 0


def unroll(
    workings: Workings, statements: Iterable[Statement], scope: Scope, into: Unrolled, depth: int = 0
) -> None:
    """Goes through statements in order, loops turn by turn; a broken loop is noted and left out."""
    for statement in statements:
        node = statement.node
        if isinstance(node, PartLine):
            into.parts.append((statement, node, scope))
        elif isinstance(node, JoinLine):
            into.joins.append(JoinSaid(statement, node, scope))
            for place, (a, b) in enumerate(node.others, 1):
                into.joins.append(JoinSaid(statement, node._replace(a=a, b=b), scope, place))
        elif isinstance(node, StockLine):
            into.stocks.append(LineSaid(statement, node, scope))
        elif isinstance(node, Lone):
            into.others.append(LineSaid(statement, node, scope))
        elif isinstance(node, For):
            _turn_by_turn(workings, statement, node, scope, into, depth)
        elif isinstance(node, PlaceLine):
            _place(workings, statement, node, scope, into, depth)
        elif not isinstance(node, _READ_ELSEWHERE):
            assert_never(node)


def _place(
    workings: Workings, statement: Statement, node: PlaceLine, scope: Scope, into: Unrolled, depth: int
) -> None:
    """One unit, all of it; a broken one is noted and left out."""
    log = workings.log
    log.enter(statement, scope)
    try:
        if depth >= DEEPEST_LOOP:
            raise Refusal(
                None,
                0,
                f"loops and assemblies stand {DEEPEST_LOOP} deep in one another here: make it flatter",
            )
        assembly = assembly_of(workings, node, scope)
        into.turns += 1
        within = scope_inside(assembly, node, scope, into.turns, scope.prefix + name_of(node.name, scope))
        check_instance(workings, statement, node, within)
    except Refusal as refusal:
        log.refuse(statement, refusal)
        drop_unit(workings, node, scope)
        return
    body = assembly.body_for(statement)
    if assembly.lets:
        lets = [(inner, inner.node) for inner in body if isinstance(inner.node, Let)]
        log.enter(statement, within)
        settle_lets(lets, within, log)
    unroll(workings, body, within, into, depth + 1)


def drop_unit(workings: Workings, node: PlaceLine, scope: Scope) -> None:
    """Nothing is said of those who name parts of a unit that is left out."""
    try:
        start = f"{scope.prefix}{name_of(node.name, scope)}_"
    except Refusal:
        start = f"{scope.prefix}{node.name.text.partition('{')[0]}"
    for kind in ("part", "stock"):
        workings.scope.dropped[kind].add(f"{start}{{")


def _turn_by_turn(
    workings: Workings, statement: Statement, node: For, scope: Scope, into: Unrolled, depth: int
) -> None:
    name = node.name.text
    body = statement.details
    lets = [(inner, inner.node) for inner in body if isinstance(inner.node, Let)]
    log = workings.log
    try:
        if depth >= DEEPEST_LOOP:
            raise Refusal(
                None, 0, f"loops stand {DEEPEST_LOOP} deep in one another here: write them one after another"
            )
        if scope.find(name) is not None or name in scope.broken:
            raise Refusal.at(node.name, f"{name} already stands for something: use another name")
        first, last = _bounds(node, scope)
    except Refusal as refusal:
        log.enter(statement, scope)
        log.refuse(statement, refusal)
        _drop_body(workings, body, scope)
        return
    for turn in range(first, last + 1):
        into.turns += 1
        within = Scope(scope.unit, scope, into.turns)
        within.values[name] = Value(Fraction(turn), False)
        if lets:
            log.enter(statement, within)
            settle_lets(lets, within, log)
        unroll(workings, body, within, into, depth + 1)


def _drop_body(workings: Workings, body: Iterable[Statement], scope: Scope) -> None:
    """The names a broken loop would have given are not known, and nothing is said of those who use them."""
    for inner in body:
        node = inner.node
        if isinstance(node, PartLine):
            for name in node.names:
                workings.mark_broken("part", name, scope)
        elif isinstance(node, StockLine):
            workings.mark_broken("stock", node.name, scope)
        elif isinstance(node, For):
            _drop_body(workings, inner.details, scope)
        elif isinstance(node, PlaceLine):
            drop_unit(workings, node, scope)
        elif not isinstance(node, JoinLine | Lone | _READ_ELSEWHERE):
            assert_never(node)

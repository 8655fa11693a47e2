"""From the tree of a plan to the plan itself: lets worked out, loops unrolled, names found, all checked.

Statements may come in any order. A statement with a mistake is noted and left out; whatever leans on it is
left out too, without a word, so that each mistake is told once and at its place.
"""

from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction
from typing import assert_never

from planlint.language.expression_tree import Name
from planlint.language.syntax_tree import (
    AcceptLine,
    AssemblyLine,
    Let,
    LoadLine,
    PlaceLine,
    PlanHead,
    Statement,
    StockLine,
    Target,
    Tree,
    Use,
)
from planlint.model.assemblies import tell_assemblies
from planlint.model.directions import SIDE_BY_WORD, flipped
from planlint.model.elaboration_state import Workings
from planlint.model.expressions import name_of, settle_lets
from planlint.model.join_names import name_joins, taken_along
from planlint.model.join_statements import Waiting, pockets_in, read_join
from planlint.model.likened_joins import told_as_others
from planlint.model.mistake_log import MistakeLog, Refusal
from planlint.model.part_statements import add_parts
from planlint.model.plan import Acceptance, Load, Plan
from planlint.model.plan_head import HeadRead
from planlint.model.provenance import LoneSaid, Provenance
from planlint.model.scope import Scope
from planlint.model.spacing_statements import all_spacings
from planlint.model.stock_statements import add_stock
from planlint.model.unrolling import TooMany, Unrolled, check_amount, unroll
from planlint.model.workshop import Settings
from planlint.text.measures import POUNDS_PER_KG
from planlint.text.source import Mistake

POCKETS_PER_ITEM = 5
"""Pockets a plan may come to, for each part or join it may come to. Basis: own judgement."""

_MOST_ACCEPTED = 2000
"""Lines of one plan that accept something. Basis: own judgement."""

POUNDS_PER_UNIT = {
    "lb": Fraction(1),
    "kg": POUNDS_PER_KG,
    # Exact by definition: a kilogram falls at 9.80665 m/s².
    "N": Fraction(10**13, 44_482_216_152_605),
}
"""Pounds of force in one of each unit; a kilogram is taken at its weight."""


def elaborate(tree: Tree, settings: Settings) -> tuple[Plan | None, list[Mistake]]:
    """The plan a tree stands for, with every mistake found on the way, in the order of their places.

    The plan holds what is left after broken statements are dropped; ``None`` where no part is left.
    A file that holds only what others use is a plan without parts.
    """
    log = MistakeLog(tree.source)
    head = HeadRead(log, tree.statements)
    workings = Workings(tree, log, head.unit)
    scope = workings.scope
    uses = [statement for statement in tree.statements if isinstance(statement.node, Use)]
    if uses:
        from planlint.model.use_statements import bring_in  # noqa: PLC0415 - few plans use others

        bring_in(workings, uses, settings.files)
    tell_assemblies(workings, tree.statements)
    settle_lets(
        [(statement, statement.node) for statement in tree.statements if isinstance(statement.node, Let)],
        scope,
        log,
    )
    try:
        check_amount(workings, tree.statements, scope, settings.most_items)
    except TooMany as too_many:
        says = (
            f"from here on the plan comes to more than {settings.most_items:,} parts and joins, "
            "the most that is allowed: check how often its loops turn and its units are placed"
        )
        log.add(too_many.statement.span, says)
        return None, log.told()
    unrolled = Unrolled()
    unroll(workings, tree.statements, scope, unrolled)
    for stock_said in unrolled.stocks:
        log.enter(stock_said.statement, stock_said.scope)
        add_stock(workings, stock_said)
    add_parts(workings, unrolled.parts)
    waiting: list[Waiting] = []
    pockets = 0
    for said in told_as_others(workings, unrolled.joins):
        log.enter(said.statement, said.scope, said.place)
        join = read_join(workings, said)
        if join is not None:
            waiting.append(join)
            pockets += pockets_in(join)
            if pockets > POCKETS_PER_ITEM * settings.most_items:
                says = f"the joins up to here come to more than {POCKETS_PER_ITEM * settings.most_items:,} pockets"
                log.add(said.statement.span, f"{says}: check how often they are repeated")
                return None, log.told()
    log.leave()
    waiting += taken_along(workings, waiting)
    joins, said_joins = name_joins(workings, waiting)
    spaced = all_spacings(workings, len(joins)) if workings.spacings else ()
    log.leave()
    workings.said_joins = {join.name: said for join, said in zip(joins, said_joins, strict=True)}
    loads, acceptances = _said_of_them(workings, unrolled.others)
    if len(acceptances) > _MOST_ACCEPTED:
        says = f"more than {_MOST_ACCEPTED:,} lines accept something: switch the rule off in planlint.toml instead"
        workings.add(acceptances[_MOST_ACCEPTED][0].span, says)
    log.leave()
    lengths = head.lengths(scope)
    if not workings.parts and not (_is_for_others(tree) and not log.mistakes):
        if not log.mistakes and not tree.unread_names:
            log.add(head.span, "this plan has no parts yet: write a `part` line for each board")
        return None, log.told()
    plan = Plan(
        tree.source,
        head.unit,
        tuple(scope.stocks.values()),
        tuple(workings.parts.values()),
        joins,
        spaced,
        tuple([load for load, _ in loads]),
        tuple([acceptance for acceptance, _ in acceptances]),
        head.span,
        Provenance(
            tree,
            scope,
            workings.said_stocks,
            workings.said_parts,
            said_joins,
            tuple([said for _, said in (*loads, *acceptances)]),
        ),
    )
    return head.told_of(plan, lengths), log.told()


def _is_for_others(tree: Tree) -> bool:
    """Whether a file holds only what other plans use, and no part, join or unit of its own."""
    kinds = {type(statement.node) for statement in tree.statements}
    return bool(kinds & {Let, StockLine, AssemblyLine}) and kinds <= {
        PlanHead,
        Use,
        Let,
        StockLine,
        AssemblyLine,
    }


_Loads = list[tuple[Load, LoneSaid]]
_Acceptances = list[tuple[Acceptance, LoneSaid]]


def _said_of_them(workings: Workings, lines: Iterable[LoneSaid]) -> tuple[_Loads, _Acceptances]:
    """What is said of parts and joins, each with its line; one with a mistake is noted and left out."""
    loads: _Loads = []
    acceptances: _Acceptances = []
    for said in lines:
        statement, node, scope = said
        workings.log.enter(statement, scope)
        try:
            if isinstance(node, LoadLine):
                loads.append((_load(workings, statement, node, scope), said))
            elif isinstance(node, AcceptLine):
                acceptances.append((_acceptance(workings, statement, node, scope), said))
            else:
                assert_never(node)
        except Refusal as refusal:
            workings.log.refuse(statement, refusal)
    return loads, _together(acceptances)


def _load(workings: Workings, statement: Statement, node: LoadLine, scope: Scope) -> Load:
    part = workings.find_part(node.part, scope)
    if node.amount <= 0:
        raise Refusal(None, 0, "a load must be more than 0")
    side = None if node.towards is None else SIDE_BY_WORD[node.towards.text]
    towards = None if side is None else flipped(side, scope.flips)
    return Load(part, node.amount * POUNDS_PER_UNIT[node.unit.text], node.per_foot, statement.span, towards)


def _acceptance(workings: Workings, statement: Statement, node: AcceptLine, scope: Scope) -> Acceptance:
    if not node.target.named:
        if scope is workings.scope:
            says = "`here` is all that a loop or an assembly tells: at the margin name what is accepted"
            raise Refusal.at(node.target, says)
        return Acceptance(node.rule.text, HERE, node.reason, statement.span, _told_in(workings, scope))
    target = _target(node.target, scope)
    return Acceptance(node.rule.text, target, node.reason, statement.span, _units_called(workings, target))


HERE = "all that is told here"


def _told_in(workings: Workings, scope: Scope) -> frozenset[str]:
    """The parts and joins that the lines of a block tell, in one of its turns or units."""
    parts = (name for name, said in workings.said_parts.items() if said.scope.stands_in(scope))
    joins = (name for name, said in workings.said_joins.items() if said.scope.stands_in(scope))
    return frozenset((*parts, *joins))


def _units_called(workings: Workings, target: str) -> frozenset[str]:
    """The parts and joins of the unit of a name, or of all units of an assembly; none where a part is called so."""
    if target in workings.parts:
        return frozenset()
    units = [
        f"{name}_"
        for name, placed in workings.instances.items()
        if name == target or (isinstance(placed.node, PlaceLine) and placed.node.assembly.text == target)
    ]
    if not units:
        return frozenset()
    starts = tuple(units)
    joins = (name for name, said in workings.said_joins.items() if said.scope.prefix.startswith(starts))
    return frozenset((*(name for name in workings.parts if name.startswith(starts)), *joins))


def _together(acceptances: _Acceptances) -> _Acceptances:
    """What one line accepts in all turns and units of its block is one acceptance."""
    kept: dict[object, tuple[Acceptance, LoneSaid]] = {}
    for number, (each, said) in enumerate(acceptances):
        key: object = (each.span, said.statement) if each.target == HERE else number
        first = kept.get(key)
        kept[key] = (
            (each, said)
            if first is None
            else (replace(first[0], names=first[0].names | each.names), first[1])
        )
    return list(kept.values())


def _target(target: Target, scope: Scope) -> str:
    """What a target is called, its templates filled in: ``slat_{n + 1}.left`` in the turn n = 2 is ``slat_3.left``."""
    names = [(scope.prefix + name_of(name, scope), side) for name, side in target.named]
    return "/".join([f"{name}.{_side(side, scope)}" if side is not None else name for name, side in names])


def _side(word: Name, scope: Scope) -> str:
    side = SIDE_BY_WORD.get(word.text)
    return word.text if side is None else flipped(side, scope.flips).value

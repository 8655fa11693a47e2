"""Repairs of what loads do: more screws, a back, a stretcher, and what the wall holds."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from planlint.checks.breaking_part import WHOLE, MayBreak
from planlint.checks.hung_piece import Hangs, ThinHold
from planlint.checks.overloaded_joint import Overloaded
from planlint.checks.racking_frame import Sways
from planlint.checks.sagging_shelf import Sags
from planlint.checks.tipping_piece import PushedOver, Tips, Topples
from planlint.findings.finding import Finding
from planlint.geometry.drilling.fastener_places import FASTENER_ROW
from planlint.geometry.shapes.body import Body
from planlint.model.directions import Axis, Side
from planlint.model.join_details import PocketRow
from planlint.model.plan import Join, Part
from planlint.repairs.fastener_repairs import set_out_row
from planlint.repairs.guard_repairs import free_name, post_joins, rail_again
from planlint.repairs.join_edits import write_row
from planlint.repairs.joint_trial import clears
from planlint.repairs.line_edits import statements_behind
from planlint.repairs.part_repairs import add_item, thicker
from planlint.repairs.repair_context import Context, Proposal
from planlint.statics.joint_ties import LEVEL
from planlint.text.edits import TextEdit
from planlint.text.measures import in_inches

_MORE = 4
"""Screws more that a row is tried with. Basis: own judgement."""


def joint_overload(context: Context, finding: Finding) -> Iterator[Proposal]:
    """More pockets, screws or nails in a row that says how many, as far as they find room; a cleat under the end of a
    shelf."""
    fact = finding.fact
    if not isinstance(fact, Overloaded):
        return
    yield from _more_screws(context, finding, fact)
    yield from _cleat(context, fact)


def _more_screws(context: Context, finding: Finding, fact: Overloaded) -> Iterator[Proposal]:
    join, more = fact.join, fact.needed - fact.screws
    at = fact.force.screw.pocket.row - FASTENER_ROW
    if at >= 0:
        yield from _more_driven(context, join, at, more)
        return
    for number, row in enumerate(join.pockets):
        if row.count is None or row.fixed:
            continue
        first = row.count + 1
        enough = max(first, row.count + more)
        for count in dict.fromkeys((enough, *range(first, row.count + _MORE + 1))):
            if count > row.count + _MORE:
                continue
            edits = _counted(context, join, number, count, finding.rule)
            if edits is not None:
                yield Proposal(edits, f"drive {count} screws instead of {row.count}")


def _counted(context: Context, join: Join, number: int, count: int, rule: str) -> tuple[TextEdit, ...] | None:
    """A row of pockets with so many of them; ``None`` where they do not find room."""
    way = replace(join.pockets[number], count=count)
    changed = replace(join, pockets=(*join.pockets[:number], way, *join.pockets[number + 1 :]))
    return write_row(context, join, number, way) if clears(context, changed, rule) else None


def _more_driven(context: Context, join: Join, at: int, more: int) -> Iterator[Proposal]:
    placed = context.piece.fasteners(context.as_written(join))[at]
    row, many = placed.fastening.row, len(placed.at)
    if row.at is None and (row.first is None or row.last is not None):
        new = PocketRow(
            row.face,
            row.in_b,
            count=many + more,
            first=row.first,
            last=row.last,
            origin=row.origin,
            span=row.span,
        )
        kind = placed.fastening.kind
        yield Proposal(set_out_row(context, placed, new), f"drive {many + more} {kind} instead of {many}")


def _cleat(context: Context, fact: Overloaded) -> Iterator[Proposal]:
    """A strip screwed to the upright that the end of a level part is screwed to: there it lies on wood."""
    shelf, join = fact.force.screw.pocket.part, fact.join
    upright, side = join.other(shelf), join.side_of(shelf)
    stands = upright.grain is Axis.Z and upright.facing.axis is side.axis and upright.turn is None
    if (
        not stands
        or shelf.facing.axis is not Axis.Z
        or shelf.grain is not side.axis
        or shelf.turn is not None
    ):
        return
    metric, wood = not in_inches(context.unit), upright.stock.material
    sizes = [Fraction(each * 10, 254) for each in (19, 38, 25, 30)] if metric else CLEAT
    thick, wide, back, long = (context.spelt(each) for each in sizes)
    size = f"{context.spelt(shelf.width - 2 * sizes[2])} long"
    lies, low = ("deep", "front") if side.axis is Axis.X else ("crosswise", "left")
    stock, name = "cleat_wood", free_name(context, f"cleat_{side.value}")
    sold = f"stock {stock} of {wood.name if wood.solid else 'hard maple'}, {thick} x {wide}"
    known = any(each.name == stock for each in context.plan.stocks)  # From the cleat at the other end.
    for many in CLEAT_SCREWS:
        statements = [
            *([] if known else [[sold]]),
            [f"part {name} of {stock}, {size}, {lies}, facing {side.value}"],
            [
                f"join {name}.top to {shelf.name}.bottom as resting",
                f"flush {side.value}",
                f"{back} from {low}",
            ],
            [
                f"join {name}.{side.value} to {upright.name}.{join.side_of(upright).value}",
                f"screws {many} through {name}, gauge 8, {long} long",
            ],
        ]
        edit = statements_behind(context, join.span, statements)
        yield Proposal((edit,), f"screw a cleat to {upright.name} under {shelf.name}", asks=True)


CLEAT = [Fraction(3, 4), Fraction(3, 2), Fraction(1), Fraction(5, 4)]
"""Inches: how thick and wide a cleat is, how far it stays from the edges of its shelf, how long its screws are. Basis:
common practice."""
CLEAT_SCREWS = (3, 5)
"""Screws of a cleat, then of one that these do not hold. Basis: common practice."""


def shelf_sag(context: Context, finding: Finding) -> Iterator[Proposal]:
    """What sags made as thick as it should be."""
    fact = finding.fact
    if isinstance(fact, Sags) and fact.flat:
        yield from thicker(context, fact.sag.part, fact.deep_to_be)


def may_break(context: Context, finding: Finding) -> Iterator[Proposal]:
    """What may break made as thick as it should be; where it is cut away that is not where wood is wanting."""
    fact = finding.judged(MayBreak)
    if fact.bent.flat and fact.bent.left > WHOLE:
        yield from thicker(context, fact.bent.part, fact.deep_to_be)


# ---------------------------------------------------------------- racking


def racking(context: Context, finding: Finding) -> Iterator[Proposal]:
    """A screw more in each joint; a back where sides stand bare behind; a stretcher below each rail between legs."""
    fact = finding.judged(Sways)
    yield from _a_screw_more(context, finding.rule)
    axis = Axis.X if fact.sideways else Axis.Y
    if fact.sideways:
        yield from _back(context)
    yield from _stretchers(context, axis)


def _a_screw_more(context: Context, rule: str) -> Iterator[Proposal]:
    edits: dict[TextEdit, None] = {}
    for join in {join.span: join for join in context.plan.joins}.values():
        for number, row in enumerate(join.pockets):
            if row.count is not None and not row.fixed:
                made = _counted(context, join, number, row.count + 1, rule)
                edits |= dict.fromkeys(made or ())
    if edits:
        yield Proposal(tuple(edits), "drive a screw more in each joint that has room for it")


def _back(context: Context) -> Iterator[Proposal]:
    """A back of thin plywood, screwed to the two outermost uprights where these stand alike and nothing lies behind."""
    piece, plan = context.piece, context.plan
    bodies = [piece.body(part) for part in plan.parts]
    behind = max(body.bounds.high[1] for body in bodies)
    sides = [body for body in bodies if _upright(body) and body.bounds.high[1] > behind - LEVEL]
    if len(sides) < 2 or not plan.joins:
        return
    left, right = (
        min(sides, key=lambda body: body.bounds.low[0]),
        max(sides, key=lambda body: body.bounds.high[0]),
    )
    if left is right or any(abs(a[2] - b[2]) > LEVEL for a, b in zip(left.bounds, right.bounds, strict=True)):
        return
    metric = not in_inches(context.unit)
    wide = Fraction(right.bounds.high[0] - left.bounds.low[0]).limit_denominator(1000)
    stock, name = free_name(context, "back_wood"), free_name(context, "back")
    sizes = [Fraction(each * 10, 254) for each in (6, 150, 25)] if metric else SIZES
    thick, apart, long = (context.spelt(each) for each in sizes)
    size = f"{context.spelt(left.part.length)} long, {context.spelt(wide)} wide"
    held = f"screws every {apart} from {long} to {long} through {name}, gauge 6, {long} long"
    statements = [
        [f"stock {stock} of birch plywood, {thick} thick"],
        [f"part {name} of {stock}, {size}, upright, facing front"],
        [f"join {name}.front to {left.part.name}.back", "flush left, bottom", held],
        [f"join {name}.front to {right.part.name}.back", "flush right, bottom", held],
    ]
    edit = statements_behind(context, plan.joins[-1].span, statements)
    yield Proposal((edit,), f"screw a back to {left.part.name} and {right.part.name}", asks=True)


SIZES = [Fraction(1, 4), Fraction(6), Fraction(1)]
"""Inches: how thick a back is, how far apart its screws lie, how long they are. Basis: common practice."""


def _upright(body: Body) -> bool:
    part = body.part
    return part.grain is Axis.Z and part.turn is None and part.facing.axis is Axis.X


def _stretchers(context: Context, axis: Axis) -> Iterator[Proposal]:
    """Each rail on edge between two uprights once more, lower down."""
    statements, names = [], []
    for part in context.plan.parts:
        if part.grain is axis and part.facing.axis is not Axis.Z and len(post_joins(context, part)) == 2:
            statements += rail_again(context, part, free_name(context, f"low_{part.name}"))
            names.append(part.name)
    if 0 < len(names) <= MOST_RAILS:
        edit = statements_behind(context, context.plan.joins[-1].span, statements)
        told = " and ".join(names)
        yield Proposal((edit,), f"put a stretcher like {told} lower down", asks=True)


MOST_RAILS = 2
"""Rails that get a stretcher each: where there are more there are stretchers. Basis: own judgement."""


# ---------------------------------------------------------------- the wall


def tip_over(context: Context, finding: Finding) -> Iterator[Proposal]:
    """What reaches highest at the back of the piece said to be fixed to the wall."""
    fact = finding.fact
    if isinstance(fact, Tips | PushedOver) or (isinstance(fact, Topples) and fact.to is Side.BACK):
        for part in _at_the_wall(context)[:1]:
            yield from _fixed(context, part)


def hanging(context: Context, finding: Finding) -> Iterator[Proposal]:
    """Another part at the wall fixed to it as well, a thick one; or what holds it thicker."""
    fact = finding.fact
    if not isinstance(fact, Hangs | ThinHold):
        return
    least = context.piece.limits["hanging", "thickness"]
    for part in _at_the_wall(context):
        if part not in fact.hangs.held_by and part.facing.axis is Axis.Y and part.thickness >= least:
            yield from _fixed(context, part)
    if isinstance(fact, ThinHold):
        yield from thicker(context, fact.part, fact.least)


def _fixed(context: Context, part: Part) -> Iterator[Proposal]:
    for edits in add_item(context, part, "fixed to wall"):
        yield Proposal(edits, f"fix {part.name} to the wall", asks=True)


def _at_the_wall(context: Context) -> Sequence[Part]:
    """The parts that reach furthest back, the highest that face the wall first."""
    bounds = {body.part.name: body.bounds for body in context.piece.bodies}
    wall = max(box.high[1] for box in bounds.values())

    def holds(part: Part) -> tuple[bool, float, float]:
        box = bounds[part.name]
        return part.facing.axis is Axis.Y, round(box.high[2], 3), box.high[0] - box.low[0]

    behind = [part for part in context.plan.parts if bounds[part.name].high[1] > wall - _NEAR]
    return sorted(behind, key=holds, reverse=True)


_NEAR = 0.05
"""Inches from the back of the piece within which a part counts as at the back. Basis: our own judgement."""

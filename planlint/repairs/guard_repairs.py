"""Guards made as high and as close as they should be, as far as a plan's words can: rails moved or added, a thinner
mattress."""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from planlint.checks.bunk_guard import Unguarded
from planlint.checks.guard_gap import Gaps
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.language.syntax_tree import For, PlacingLine, UseAs
from planlint.model.directions import Axis
from planlint.model.plan import Join, Part
from planlint.repairs.distance_edits import part_moved
from planlint.repairs.join_edits import length_edit
from planlint.repairs.line_edits import change, statements_behind
from planlint.repairs.repair_context import Context, Proposal
from planlint.text.rounding import ROUNDING
from planlint.wording.guard_words import LEAST_MATTRESS

_SMALL = 1 / 64
"""Inches that lengths are written to: what a row of gaps is out by at its end. Basis: geometry."""


def guard_gap(context: Context, finding: Finding) -> Iterator[Proposal]:
    """More slats in a loop; the upper rail of a gap between two set lower, or one more like it in the middle."""
    fact = finding.judged(Gaps)
    if fact.upright:
        yield from _more_slats(context, fact)
    rails = [part for part in fact.bars if part.grain is not Axis.Z and part.turn is None]
    if fact.upright or len(rails) < 2:
        return
    upper = max(rails, key=lambda part: context.piece.body(part).bounds.low[2])
    low, high = context.piece.body(upper).bounds
    gap = fact.openings[0].size
    yield from _higher(context, upper, fact.most - gap)
    yield from _one_more(context, upper, -(gap + high[2] - low[2]) / 2)


def bunk_guard(context: Context, finding: Finding) -> Iterator[Proposal]:
    """A rail that is too low set higher, or the mattress thinner."""
    fact = finding.judged(Unguarded)
    if fact.kind != "low":
        return
    top = fact.deck.top + fact.amount
    for body in context.piece.bodies:
        low, high = (box[fact.side.axis] for box in body.bounds)
        beside = (
            low - 1
            < (fact.deck.box.high if fact.side.sign > 0 else fact.deck.box.low)[fact.side.axis]
            < high + 1
        )
        if beside and body.part.grain is fact.deck.along and abs(body.bounds.high[2] - top) < ROUNDING:
            yield from _higher(context, body.part, fact.needed - fact.amount)
            yield from _one_more(context, body.part, fact.needed - fact.amount)
    thick = fact.amount - (fact.needed - (fact.mattress or 0.0))
    if fact.mattress is None or thick < LEAST_MATTRESS or context.head is None:
        return
    for statement in context.head.details:
        node = statement.node
        if isinstance(node, UseAs) and node.mattress is not None:
            edit = length_edit(context, statement, node.mattress, context.exact(thick))
            says = f"lay a mattress of {context.told(thick)} on it"
            yield Proposal((edit,), says, asks=True)


def _higher(context: Context, part: Part, by: float) -> Iterator[Proposal]:
    edits = part_moved(context, part, Axis.Z, context.exact(by))
    if edits is not None:
        way = "higher" if by > 0 else "lower"
        yield Proposal(edits, f"set {part.name} {context.told(abs(by))} {way}", moves=True, asks=True)


def _one_more(context: Context, part: Part, above: float) -> Iterator[Proposal]:
    """A rail like another, so much above it."""
    joins = post_joins(context, part)
    if len(joins) != 2:
        return
    body = context.piece.body(part)
    post = context.piece.body(joins[0].other(part))
    height = context.exact(body.bounds.low[2] + above - post.bounds.low[2])
    name = free_name(context, f"{part.name}_more")
    edit = statements_behind(context, context.plan.joins[-1].span, rail_again(context, part, name, height))
    yield Proposal(
        (edit,), f"put one more rail like {part.name} {'above' if above > 0 else 'below'} it", asks=True
    )


def _more_slats(context: Context, fact: Gaps) -> Iterator[Proposal]:
    """A row of slats that a loop makes, once more with as many as keep its gaps, evenly spaced from wood to wood."""
    piece, loops = context.piece, (each for each in context.tree.statements if isinstance(each.node, For))
    made = {each.span: loop for loop in loops for each in loop.details}
    part = next((each for each in fact.bars if each.grain is Axis.Z and each.span in made), None)
    if part is None:
        return
    loop = made[part.span]
    turn = context.node(loop, For)
    row = [piece.body(each).bounds for each in context.plan.parts if each.span == part.span]
    along = Axis.X if part.facing.axis is Axis.Y else Axis.Y
    placings = {
        placing.span: (join, placing)
        for join in piece.graph.joins_of(part)
        for placing in join.placings
        if placing.side is not None and placing.side.axis is along
    }
    if len(placings) != 1 or len(row) < 2 or context.words(loop, turn.first) != "1":
        return
    join, placing = next(iter(placings.values()))
    statement = context.at(placing.span)
    node = statement.node
    if not isinstance(node, PlacingLine) or node.distance is None or join.part_a is not part:
        return
    if len(node.sides) != 1 or placing.side is None or placing.side.sign > 0 or node.verb == "proud":
        return
    between = _between_wood(piece, row, along)
    if between is None:
        return
    low, high = between
    bar = row[0].high[along] - row[0].low[along]
    at = sorted(box.low[along] for box in row)
    more = (high - at[-1] - bar - at[0] + low) / max(at[1] - at[0], _SMALL)
    if round(more) > 0 and abs(more - round(more)) < _SMALL:  # As many as end the row as it begins.
        edit = change(loop, turn.last, str(len(row) + round(more)))
        yield Proposal((edit,), f"set {edit.new} slats instead of {len(row)}", moves=True)
    many = len(row) + 1
    while (high - low - many * bar) / (many + 1) > fact.most - many * _SMALL:
        many += 1
    gap = context.exact((high - low - many * bar) / (many + 1))
    start = context.exact(low - piece.body(join.part_b).bounds.low[along]) + gap
    apart = gap + context.exact(bar)
    words = f"{context.spelt(start)} + ({turn.name.text} - 1) * {context.spelt(apart)}"
    edits = (change(loop, turn.last, str(many)), change(statement, node.distance, words))
    yield Proposal(edits, f"set {many} slats instead of {len(row)}, evenly spaced", moves=True, asks=True)


def _between_wood(piece: Piece, row: Sequence[Box], along: Axis) -> tuple[float, float] | None:
    """The faces of the wood on both sides of a row, at half its height; ``None`` where it ends in the open."""
    first, last = min(row, key=lambda box: box.low[along]), max(row, key=lambda box: box.low[along])
    square = Axis.Y if along is Axis.X else Axis.X
    middle = (first.low[2] + first.high[2]) / 2
    beside = [
        box
        for box in (body.bounds for body in piece.bodies)
        if box.low[2] < middle < box.high[2]
        and box.low[square] < first.high[square]
        and first.low[square] < box.high[square]
    ]
    before = [box.high[along] for box in beside if box.high[along] <= first.low[along] + ROUNDING]
    behind = [box.low[along] for box in beside if box.low[along] >= last.high[along] - ROUNDING]
    return (max(before), min(behind)) if before and behind else None


def free_name(context: Context, name: str) -> str:
    """A name that nothing of the plan has."""
    taken = {*context.plan.part_by_name, *(stock.name for stock in context.plan.stocks)}
    tries = (name, *(f"{name}_{n}" for n in range(2, 100)))
    return next(each for each in tries if each not in taken and f"{each} " not in context.text)


def post_joins(context: Context, part: Part) -> list[Join]:
    """The joints of a rail's ends to uprights."""
    return [
        join
        for join in context.piece.graph.joins_of(part)
        if join.side_of(part).axis is part.grain
        and join.other(part).grain is Axis.Z
        and join.other(part).turn is None
    ]


def rail_again(context: Context, part: Part, name: str, height: Fraction | None = None) -> list[list[str]]:
    """Statements for a rail like another between the same posts: ``height`` above their bottoms, else a quarter up."""
    statements = [[f"part {name} like {part.name}"]]
    for join in post_joins(context, part):
        post = join.other(part)
        mine, theirs = f"{name}.{join.side_of(part).value}", f"{post.name}.{join.side_of(post).value}"
        ends = (mine, theirs) if join.part_a is part else (theirs, mine)
        up = LOW * post.length if height is None else height
        statements.append(
            [f"join {ends[0]} to {ends[1]} like {join.name}", f"{context.spelt(up)} from bottom"]
        )
    return statements


LOW = Fraction(1, 4)
"""Of its upright's length, how high a stretcher stands. Basis: common practice, a quarter to a third."""

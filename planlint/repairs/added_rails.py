"""A rail of the plan once more at another height, and names for what is new."""

from fractions import Fraction

from planlint.model.directions import Axis
from planlint.model.plan import Join, Part
from planlint.repairs.repair_context import Context


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

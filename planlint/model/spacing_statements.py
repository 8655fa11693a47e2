"""Where parts lie by others that they do not touch: a gap, a line that they share, the floor."""

from fractions import Fraction

from planlint.language.syntax_tree import SideOf
from planlint.model.directions import Side, flipped, side_of
from planlint.model.elaboration_state import Workings, side_of_word
from planlint.model.expressions import positive_length
from planlint.model.join_details import Placing
from planlint.model.mistake_log import Refusal
from planlint.model.plan import Join, Part, both_sides
from planlint.model.provenance import SpacingSaid


def all_spacings(workings: Workings, first: int) -> tuple[Join, ...]:
    """All of a plan, each as a join that nothing touches at, numbered from ``first``."""
    made: list[Join] = []
    standing: Part | None = None
    for name, said in workings.spacings:
        if name not in workings.parts:
            continue
        workings.log.enter(said.statement, said.scope)
        try:
            part = workings.parts[name]
            if said.item.kind == "floor":
                if part.turn is not None:
                    raise _refused(
                        said, f"{name} is turned: say how it stands by joining it to what stands straight"
                    )
                if standing is not None:
                    made.append(_line(part, Side.BOTTOM, standing, said, first + len(made)))
                standing = standing or part
            else:
                made.append(_by_another(workings, part, said, first + len(made)))
        except Refusal as refusal:
            workings.log.refuse(said.statement, refusal)
    return tuple(made)


def _by_another(workings: Workings, part: Part, said: SpacingSaid, number: int) -> Join:
    to, scope = said.item.to, said.scope
    assert to is not None
    name = to.part if isinstance(to, SideOf) else to
    assert name is not None
    other = workings.parts[workings.find_part(name, scope).name]
    if other is part:
        raise Refusal.at(to, f"{part.name} cannot be placed by itself: name another part")
    side = flipped(side_of_word(to.side), scope.flips) if isinstance(to, SideOf) else None
    if said.item.kind == "line":
        assert side is not None
        return _line(part, side, other, said, number)
    assert said.item.distance is not None
    gap = positive_length(said.item.distance, scope, "the gap")
    # Without a side the part lies beyond the other: right of it, behind it or above it, by the width of both.
    side = side or side_of(part.across, 1)
    facing = side.opposite
    return Join(
        both_sides(part, facing, other, side),
        number,
        part,
        facing,
        other,
        side,
        said.span,
        gap=gap,
    )


def _line(part: Part, side: Side, other: Part, said: SpacingSaid, number: int) -> Join:
    placing = Placing(said.span, side, Fraction(0), flush=True)
    name = both_sides(part, side, other, side)
    return Join(name, number, part, side, other, side, said.span, (placing,), touches=False)


def _refused(said: SpacingSaid, says: str) -> Refusal:
    start = said.span.start - said.statement.span.start
    return Refusal(start, start + said.span.end - said.span.start, says)

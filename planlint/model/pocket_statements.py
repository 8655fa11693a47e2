"""Pockets and screws of a join, as the plan asks for them."""

from fractions import Fraction
from math import ceil, cos, radians

from planlint.language.expression_tree import Expression
from planlint.language.syntax_tree import PocketsLine, ScrewsLine, Statement
from planlint.model.directions import Axis, Side, side_of
from planlint.model.elaboration_state import Workings, side_of_word
from planlint.model.expressions import distance, name_of, positive_length, whole_number
from planlint.model.join_details import PocketRow, ScrewChoice
from planlint.model.mistake_log import Refusal
from planlint.model.plan import Part
from planlint.model.scope import Scope
from planlint.text.measures import in_words

MOST_POCKETS = 200
"""Pockets in one row of one join. Basis: own judgement; eight feet of panel takes about sixteen."""

MOST_ROWS = 20
"""Rows of pockets in one join. Basis: own judgement."""

NEAREST = Fraction(1, 4)
"""Inches from pocket to pocket at the least in a row that can be read: nearer than that two bores are one hole. Basis:
our own judgement; what merely lies too close is told by the rule close-spacing."""

LONGEST_SCREW = 24
"""Inches: no screw of wood to wood is longer. Basis: from memory."""

GAUGES = range(2, 25)
"""Screw gauges made: No. 2 to No. 24 of the wood screw series. Basis: common practice, from memory."""


def pocket_row(
    workings: Workings,
    statement: Statement,
    node: PocketsLine,
    scope: Scope,
    part_a: Part,
    side_a: Side,
    part_b: Part,
    side_b: Side,
) -> PocketRow:
    """One row of pockets; raises ``Refusal`` with what is wrong with it."""
    face_of = node.face
    face = side_of_word(face_of.side)
    part, side, in_b = part_a, side_a, False
    if face_of.part is not None:
        name = scope.prefix + name_of(face_of.part, scope)
        if name == part_b.name:
            part, side, in_b = part_b, side_b, True
        elif name != part_a.name:
            says = f"{name} is not part of this join: its pockets are in {part_a.name} or {part_b.name}"
            raise Refusal.at(face_of.part, says)
    if face.axis == side.axis:
        can = in_words((each.value for each in Side if each.axis != side.axis), "or")
        says = (
            f"a pocket in {face.value} cannot come out at {side.value}, where the parts meet: "
            f"the drilled face is square to the joint, so in {part.name} drill {can}"
        )
        raise Refusal.at(face_of, says)
    origin = side_of_word(node.origin) if node.origin is not None else None
    along = 3 - face.axis - side.axis
    if origin is not None and origin.axis != along:
        low, high = side_of(Axis(along), -1), side_of(Axis(along), 1)
        assert node.origin is not None
        says = (
            f"these pockets are set out {low.axis.words}: "
            f"measure from {low.value} or {high.value}, not {origin.value}"
        )
        raise Refusal.at(node.origin, says)
    span = statement.span
    plugged = node.plugged
    reach = _row_length(part, side, Axis(along))
    what = part.name if reach == part.size[along] else f"the mitre of {part.name}"
    if node.count is not None and node.last is None:
        count = _fitting(workings, node.count, _count(node.count, scope), what, reach)
        return PocketRow(face, in_b, span, count, origin=origin, plugged=plugged)
    if node.at is not None:
        places = tuple([_place(each, scope) for each in node.at])
        _fitting(workings, node.at[-1], len(set(places)), what, reach)
        return PocketRow(face, in_b, span, at=places, origin=origin, plugged=plugged)
    first = _place(node.first, scope) if node.first is not None else None
    last = _place(node.last, scope) if node.last is not None else None
    if (first or 0) + (last or 0) > reach:
        places, origin = _crossed(
            first or Fraction(), last or Fraction(), reach, origin or side_of(Axis(along), -1)
        )
        return PocketRow(face, in_b, span, at=places, origin=origin, plugged=plugged)
    if node.count is not None:
        count = _fitting(workings, node.count, _count(node.count, scope), what, reach)
        if count < 2:
            says = "a row that keeps both ends has a pocket at each: say 2 or more"
            raise Refusal.at(node.count, says)
        return PocketRow(face, in_b, span, count, first=first, origin=origin, plugged=plugged, last=last)
    assert node.every is not None
    every = positive_length(node.every, scope, "the spacing of the pockets")
    if reach > every * MOST_POCKETS:
        says = f"that is more than {MOST_POCKETS} pockets in one row: check the spacing"
        raise Refusal.at(node.every, says)
    _fitting(workings, node.every, int(reach / every), what, reach)
    return PocketRow(face, in_b, span, every=every, first=first, origin=origin, plugged=plugged, last=last)


def _crossed(
    first: Fraction, last: Fraction, reach: Fraction, origin: Side
) -> tuple[tuple[Fraction, ...], Side]:
    """The places told by the ends of a row that leave nothing between them: both, or the one that lies past the part.

    What is wrong with them is for the checks to tell: the rest can be judged.
    """
    if first > reach:
        return (first,), origin
    if last > reach:
        return (last,), origin.opposite
    return (first, reach - last), origin


def _count(expression: Expression, scope: Scope) -> int:
    count = whole_number(expression, scope, "the number of pockets")
    if count < 1:
        says = f"{count} pockets hold nothing: say how many, or leave the line out"
        raise Refusal.at(expression, says)
    if count > MOST_POCKETS:
        says = f"more than {MOST_POCKETS} pockets in one row: check the number"
        raise Refusal.at(expression, says)
    return count


def _row_length(part: Part, side: Side, along: Axis) -> Fraction:
    """How far a row can run on a side: along a mitre, the length of the cut, which is more than the part's width."""
    cut = part.cut_at(side)
    if cut is None or cut.long_at.axis is not along:
        return part.size[along]
    # To the next mark of a rule: what lies so near the end of the cut is for the checks to judge.
    return Fraction(ceil(float(part.size[along]) / cos(radians(float(cut.angle))) * 16), 16)


def _place(expression: Expression, scope: Scope) -> Fraction:
    """The place of one pocket. One that lies outside its part is for the checks to tell: the rest can be judged."""
    return distance(expression, scope, "the place of a pocket", "measure inward from the side named")


def _fitting(workings: Workings, at: Expression, count: int, what: str, reach: Fraction) -> int:
    """The number of pockets in a row, if so many can be told from one another."""
    if count > 8 and count > reach / NEAREST + 1:
        says = (
            f"{count} pockets do not fit: {what} is only {workings.length(reach)} that way, and bores nearer than "
            f"{workings.length(NEAREST)} are one hole"
        )
        raise Refusal.at(at, says)
    return count


def most_pockets(row: PocketRow, part_a: Part, side_a: Side, part_b: Part, side_b: Side) -> int:
    """How many pockets a row comes to at most."""
    if row.count is not None:
        return row.count
    if row.at is not None:
        return len(row.at)
    part, side = (part_b, side_b) if row.in_b else (part_a, side_a)
    assert row.every is not None
    return int(_row_length(part, side, Axis(3 - row.face.axis - side.axis)) / row.every) + 1


def screw_choice(statement: Statement, node: ScrewsLine, scope: Scope) -> ScrewChoice:
    """The screws a join names; all three empty for ``screws to suit``."""
    thread = node.thread
    if thread is not None and thread.text not in {"coarse", "fine"}:
        raise Refusal.at(thread, f"a thread is coarse or fine, not {thread.text}")
    length = (
        positive_length(node.length, scope, "the length of the screws") if node.length is not None else None
    )
    if node.length is not None and length is not None and length > LONGEST_SCREW:
        raise Refusal.at(node.length, f"no screw is over {LONGEST_SCREW} in long: check its unit")
    gauge = None
    if node.gauge is not None:
        gauge = whole_number(node.gauge, scope, "the gauge of a screw")
        if gauge not in GAUGES:
            says = f"screws are made in gauges {GAUGES.start} to {GAUGES.stop - 1}, not {gauge}"
            raise Refusal.at(node.gauge, says)
    return ScrewChoice(thread.text if thread is not None else None, length, gauge, statement.span)

"""Joints of traditional plans, as a plan tells them: their measures, and how deep each lets A into B."""

from collections.abc import Iterable, Iterator
from fractions import Fraction
from itertools import product

from planlint.language.joint_table import JOINTS, JointMade, Silent
from planlint.language.syntax_tree import PlacingLine, Statement, TraditionItem
from planlint.model.directions import SIDE_BY_WORD, Side
from planlint.model.elaboration_state import Workings
from planlint.model.expressions import length_of, positive_length
from planlint.model.fastener_statements import loose_places
from planlint.model.join_details import Tradition
from planlint.model.mistake_log import Refusal
from planlint.model.nearest_name import nearest, offered
from planlint.model.plan import Part, Removal
from planlint.model.scope import Scope
from planlint.text.measures import in_words


def tradition_of(
    workings: Workings,
    statement: Statement,
    item: TraditionItem,
    scope: Scope,
    sides: tuple[Part, Side, Part, Side],
    lines: Iterable[Statement],
) -> Tradition:
    """A joint ``as …`` with its measures, and with how deep A's side lies in B; raises ``Refusal``. ``lines`` are all
    that stand under the join."""
    part_a, side_a, part_b, side_b = sides
    kind = item.kind.text
    joint = JOINTS.get(kind)
    if joint is None:
        raise Refusal.at(item.kind, f"{kind} is not a joint known here{offered(nearest(kind, JOINTS))}")
    measures: dict[str, Fraction] = {}
    for measure in item.measures:
        word = measure.word
        name = word.text
        if name not in joint.measures:
            takes = f"it takes {in_words(joint.measures)}" if joint.measures else "it takes no measures"
            raise Refusal.at(measure.value, f"{_a(kind)} is not so much {name}: {takes}", last=word)
        if name in measures:
            raise Refusal.at(
                measure.value, f"how {name} it is has been said already: keep one of the two", last=word
            )
        measures[name] = positive_length(measure.value, scope, joint.measures[name])
    words = frozenset(word.text for word in item.words)
    for said in item.words:
        if said.text not in joint.words:
            takes = f"; it may be {in_words(sorted(joint.words), 'or')}" if joint.words else ""
            raise Refusal.at(said, f"{said.text} says nothing about {_a(kind)}{takes}")
    span = statement.at(item.kind.start, item.end)
    inset = _inset(workings, item, joint, measures, words, part_b, side_b, lines, scope)
    places = None
    if item.row is not None:
        if not joint.rows:
            many = in_words((each for each, takes in JOINTS.items() if takes.rows), "and")
            says = f"how many and where is said of {many}, not of {_a(kind)}: `as {kind}`, with measures behind a comma"
            raise Refusal(item.kind.start, item.end, says)
        places = loose_places(workings, statement, item, item.row, scope, part_a, side_a, measures)
    return Tradition(kind, measures, words, span, inset, places)


def _inset(
    workings: Workings,
    item: TraditionItem,
    joint: JointMade,
    measures: dict[str, Fraction],
    words: frozenset[str],
    part_b: Part,
    side_b: Side,
    lines: Iterable[Statement],
    scope: Scope,
) -> Fraction:
    whole = part_b.size[side_b.axis]
    for name in joint.inset_from:
        if name in measures:
            inset = measures[name]
            if inset > whole and not ("through" in words and "through" in joint.words):
                at = next(measure for measure in item.measures if measure.word.text == name)
                says = (
                    f"this goes {workings.length(inset)} into {part_b.name}, which is only {workings.length(whole)} "
                    f"{side_b.axis.words}: it would come out of the far side"
                )
                hint = "; say `through` if it is meant to" if "through" in joint.words else ""
                raise Refusal.at(at.value, says + hint, last=at.word)
            return inset
    kind = item.kind.text
    if joint.silent is Silent.SURFACE:
        return Fraction(0)
    if joint.silent is Silent.ACROSS or "through" in words:
        return whole
    if joint.silent is Silent.GROOVE:
        # Those of its own name before others: a side with dados for shelves has a groove for the back besides.
        usual = joint.cuts or ("groove", "dado")
        # Where none opens on that side, one cut in the other face by mistake says how deep: the slip is found later.
        for side, kinds in product((side_b, side_b.opposite), (usual[:1], usual)):
            cuts = [
                (removal, depth)
                for removal in part_b.removals
                if removal.kind in kinds
                if (depth := _depth(removal.low, removal.high, part_b, side)) is not None
            ]
            depths = {depth for _, depth in cuts}
            if len(depths) > 1:
                sides = list(_placed(lines, scope))
                depths = {depth for removal, depth in cuts if _lies_at(removal, part_b, sides)}
            if len(depths) == 1:
                return depths.pop()
    first = joint.inset_from[0]
    noun = {"mortise and tenon": "tenon ", "half-blind dovetail": "tails "}.get(kind, "")
    uncut = f", for no {joint.cuts[0]} is cut in the {side_b.value} of {part_b.name}" if joint.cuts else ""
    says = (
        f"{_a(kind)} needs {joint.measures[first]}{uncut}: "
        f"say it after the joint's name, such as `as {kind}, {noun}3/8 {first}`"
    )
    raise Refusal.at(item.kind, says)


def _placed(lines: Iterable[Statement], scope: Scope) -> Iterator[tuple[Side, Fraction]]:
    """How far inside B's sides those of A lie, as far as the plan says it; what cannot be worked out is told later."""
    for line in lines:
        node = line.node
        if isinstance(node, PlacingLine) and node.axis is None:
            try:
                far = Fraction(0) if node.distance is None else length_of(node.distance, scope)
            except Refusal:
                continue
            for word in node.sides:
                if word.text in SIDE_BY_WORD:
                    yield SIDE_BY_WORD[word.text], -far if node.verb == "proud" else far


def _lies_at(removal: Removal, part: Part, at: Iterable[tuple[Side, Fraction]]) -> bool:
    """Whether a cut begins where one of the sides lies of what is let in."""
    return any(
        inside == part.inside(side, removal.low, removal.high)
        for side, inside in at
        if removal.low[side.axis] > 0 or removal.high[side.axis] < part.size[side.axis]
    )


def _depth(low: tuple[Fraction, ...], high: tuple[Fraction, ...], part: Part, side: Side) -> Fraction | None:
    """How deep wood is taken away in from a side; ``None`` where the cut does not open on that side."""
    axis = side.axis
    whole = part.size[axis]
    if low[axis] == 0 and high[axis] == whole:
        return None
    if side.sign < 0:
        return high[axis] if low[axis] == 0 else None
    return whole - low[axis] if high[axis] == whole else None


def _a(kind: str) -> str:
    return kind if JOINTS[kind].rows else f"a {kind}"

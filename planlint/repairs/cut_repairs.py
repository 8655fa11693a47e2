"""Dados, grooves and rabbets written anew, so that they take what lies in them."""

from collections.abc import Iterator
from fractions import Fraction

from planlint.checks.joint_wood import NoWood
from planlint.checks.poor_fit import LAP_FAULTS, PoorFit
from planlint.findings.finding import Finding
from planlint.geometry.let_in import NEAR, cut_box, let_in, overlap_of, width
from planlint.geometry.let_in import in_frame_of as moved_box
from planlint.language.expression_tree import Expression
from planlint.language.joint_table import Form
from planlint.language.syntax_tree import RemovalItem, Statement
from planlint.model.directions import SIDE_BY_WORD, Axis, Side, side_of
from planlint.model.plan import Join, Part, Removal
from planlint.repairs.distance_edits import part_moved
from planlint.repairs.let_in_repairs import of_wood
from planlint.repairs.line_edits import change
from planlint.repairs.part_repairs import add_item, alone, details_of
from planlint.repairs.repair_context import Context, Proposal
from planlint.repairs.written_lengths import changed_sum
from planlint.text.edits import TextEdit
from planlint.text.rounding import ROUNDING


def poor_fit(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The cut changed by what is missing; cut in the other face, or cut at all, as the plan has it elsewhere."""
    fault = finding.fact
    if isinstance(fault, NoWood):
        yield from of_wood(context, fault)
    elif isinstance(fault, PoorFit):
        yield from _laid_there(context, fault)
        if fault.kind == "missing":
            yield from _cut_at_all(context, fault)
        elif fault.kind in LAP_FAULTS:
            yield from _lap(context, fault)
        elif fault.removal is not None and (place := _place(context, fault.host, fault.removal)):
            yield from _turned(context, fault, *place)
            laid = _laid(context, fault) if _told_once(context, fault) else ()
            yield from (each._replace(asks=bool(laid)) for each in _recut(context, fault, *place))
            if laid:
                yield Proposal(laid, f"lay {fault.part.name} where its cut is", moves=True, asks=True)


def _told_once(context: Context, fault: PoorFit) -> bool:
    """Whether one line alone lays a part the way that its cut is off: nothing tells which of the two is meant."""
    part, side = fault.join.part_a, fault.side
    if fault.kind != "misplaced" or side is None:
        return False
    joins = (join for join in context.piece.graph.joins_of(part) if join.part_a is part)
    return len({each.span for join in joins for each in join.placings if each.axis is side.axis}) == 1


def _turned(context: Context, fault: PoorFit, statement: Statement, item: RemovalItem) -> Iterator[Proposal]:
    """A cut told from the wrong end, or cut at it."""
    far = fault.kind == "misplaced" and (item.offset is None or context.exact(fault.amount) > NEAR)
    for word in item.sides if far else ():
        side = SIDE_BY_WORD[word.text].opposite
        if fault.side is side or (item.offset is not None and fault.side is side.opposite):
            turned = change(statement, word, side.value)
            yield Proposal(
                (turned,), f"cut the {item.kind.text} in {fault.host.name} as far from its {side.value}"
            )


def _cut_at_all(context: Context, fault: PoorFit) -> Iterator[Proposal]:
    host, part = fault.host.name, fault.part.name
    if fault.join.form is Form.LAP:
        for edits in _lap_cut(context, fault):
            yield Proposal(edits, f"cut {host} for its lap with {part}")
        return
    for edits in _copied(context, fault):
        yield Proposal(edits, f"cut {host} for {part} as the plan has its others")


def _recut(context: Context, fault: PoorFit, statement: Statement, item: RemovalItem) -> Iterator[Proposal]:
    """A cut with its numbers changed, by what is missing, or cut in the other face."""
    host, kind = fault.host.name, fault.kind
    by = context.exact(fault.amount)
    if fault.swapped:
        one, other = item.depths[:2]
        ways = (one, other), (other, one)
        swap = tuple(change(statement, at, context.words(statement, new)) for at, new in ways)
        yield Proposal(swap, f"swap the two numbers of the {item.kind.text} in {host}")
    edit, does = _changed(context, statement, item, fault, by)
    says = f"cut the {item.kind.text} in {host} {does}"
    if item.beyond is not None and kind in {"narrow", "misplaced"}:
        yield Proposal(_mortise_moved(context, statement, item, fault), says)
        return
    if edit is None:
        return
    yield Proposal((edit,), says)
    # Of a dado that is too wide the wall that it is measured to may be the wrong one, or both.
    for share in (1, 2) if kind == "wide" else ():
        wall = _by(context, statement, item.offset, by / share)
        if wall is not None:
            yield Proposal((edit, wall), says)
    if context.plan.lined_with(fault.host):
        for edits in alone(context, fault.host, edit):
            yield Proposal(edits, says)


def _laid_there(context: Context, fault: PoorFit) -> Iterator[Proposal]:
    """The part laid where all its cuts are."""
    if fault.hosts and (edits := _laid(context, fault)):
        yield Proposal(edits, f"lay {fault.join.part_a.name} where its cuts are", moves=True)


def _laid(context: Context, fault: PoorFit) -> tuple[TextEdit, ...]:
    """Edits that lay a part where its cut is; none where no line says where it lies."""
    if fault.side is None:
        return ()
    toward = -fault.side.sign * context.exact(fault.amount)
    return part_moved(context, fault.join.part_a, fault.side.axis, toward) or ()


def _lap(context: Context, fault: PoorFit) -> Iterator[Proposal]:
    """The cut of the one part or of the other made deeper or shallower, or on the other side."""
    by = context.exact(fault.amount) * (1 if fault.kind == "lap-thick" else -1)
    does = {"lap-face": "on its other side", "lap-thick": "deeper"}.get(fault.kind, "less deep")
    axis = (fault.side or fault.join.side_b).axis
    a, b = map(context.piece.body, fault.join.parts)
    lies = let_in(fault.join, a, b)
    assert lies is not None
    for part in fault.join.parts:
        there = lies.box if part is fault.join.part_b else moved_box(lies.box, b, a)
        for removal in part.removals:
            place = _place(context, part, removal) if overlap_of(cut_box(removal), there) else None
            if place is None:
                continue
            statement, item = place
            # Of a channel the second number is how deep it goes into the first side.
            for number, word in zip(item.depths[item.offset is not None :], item.sides, strict=False):
                side = SIDE_BY_WORD[word.text]
                if side.axis is not axis:
                    continue
                edit = _by(context, statement, number, by)
                if fault.kind == "lap-face":
                    edit = change(statement, word, side.opposite.value)
                if edit is not None:
                    yield Proposal((edit,), f"cut {part.name} {does} in the lap")


def _changed(
    context: Context, statement: Statement, item: RemovalItem, fault: PoorFit, by: Fraction
) -> tuple[TextEdit | None, str]:
    """The one change of a cut's words that mends it, and what that does."""
    channel = item.offset is not None
    kind, side = fault.kind, fault.side
    entered = fault.join.side_b
    faces = [each for each in item.sides if channel or SIDE_BY_WORD[each.text] is entered.opposite]
    if kind == "other-face" and faces:
        word = faces[0]
        return change(statement, word, entered.value), "in its other face"
    if item.beyond is not None and kind != "shallow":
        return None, {"narrow": "larger"}.get(kind, "where the tenon is")
    if kind in {"narrow", "wide", "shallow"}:
        number = _measure(item, fault, channel=channel)
        does = {"narrow": "wider", "wide": "narrower", "shallow": "deeper"}[kind]
        return _by(context, statement, number, -by if kind == "wide" else by), does
    if kind == "misplaced" and channel and item.offset is not None and side is not None:
        measured = SIDE_BY_WORD[item.sides[1].text]
        return _by(
            context, statement, item.offset, -by if measured is side else by
        ), f"nearer to the {side.value}"
    if kind == "misplaced" and not channel and side is not None:
        number = next(
            (d for d, s in zip(item.depths, item.sides, strict=True) if s.text == side.opposite.value), None
        )
        return _by(context, statement, number, by), f"further to the {side.value}"
    if kind == "short" and item.run is not None and side is not None:
        first, last = item.run
        at = first if side.sign < 0 else last
        return _by(context, statement, at, -by if side.sign < 0 else by), f"further to the {side.value}"
    return None, ""


def _mortise_moved(
    context: Context, statement: Statement, item: RemovalItem, fault: PoorFit
) -> tuple[TextEdit, ...]:
    """A mortise cut where its tenon is, and as large where it is smaller."""
    lies = let_in(fault.join, *map(context.piece.body, fault.join.parts))
    assert lies is not None and fault.removal is not None and fault.side is not None
    cut, axis, edits = cut_box(fault.removal), fault.side.axis, []
    low, high = lies.box.low[axis] - cut.low[axis], lies.box.high[axis] - cut.high[axis]
    if fault.kind == "misplaced":
        low = high = low if low < 0 else high
    for size, place, word in zip(item.depths, (item.offset, item.beyond), item.sides[1:], strict=False):
        side = SIDE_BY_WORD[word.text]
        if side.axis is axis:
            for number, by in (size, high - low), (place, low if side.sign < 0 else -high):
                edits.append(
                    _by(context, statement, number, context.exact(by)) if abs(by) > ROUNDING else None
                )
    return tuple(edit for edit in edits if edit is not None)


def _measure(item: RemovalItem, fault: PoorFit, *, channel: bool) -> Expression | None:
    """The number that says how wide or how deep a cut is."""
    if item.beyond is not None:
        return item.depths[2] if len(item.depths) > 2 else None
    if channel:
        return item.depths[0 if fault.kind in {"narrow", "wide"} else 1]
    both = zip(item.depths, item.sides, strict=False)
    if fault.join.form is Form.LAP and fault.side is not None:
        return next((depth for depth, word in both if SIDE_BY_WORD[word.text].axis is fault.side.axis), None)
    into = fault.join.side_b.value
    return next((depth for depth, word in both if (word.text == into) is (fault.kind == "shallow")), None)


def as_deep(context: Context, join: Join, deep: Fraction) -> Iterator[tuple[TextEdit, ...]]:
    """The cut that a part is let into made so deep: its two numbers swapped, where that does it, or one changed."""
    lies = let_in(join, *map(context.piece.body, join.parts))
    if lies is None or join.made is None:
        return
    for removal in join.part_b.removals:
        there = removal.kind in join.made.cuts and overlap_of(cut_box(removal), lies.box)
        place = _place(context, join.part_b, removal) if there else None
        if place is not None:
            (statement, item), words = place, [context.words(place[0], each) for each in place[1].depths[:2]]
            if {join.inset, deep} <= {context.exact(width(cut_box(removal), axis)) for axis in Axis}:
                ways = zip(item.depths, reversed(words), strict=False)
                yield tuple(change(statement, at, new) for at, new in ways)
            for number in item.depths[:2]:
                edit = _by(context, statement, number, deep - join.inset)
                yield from ((edit,),) if edit is not None else ()


def _by(context: Context, statement: Statement, number: Expression | None, by: Fraction) -> TextEdit | None:
    if number is None:
        return None
    line = context.line(statement)
    words = changed_sum(number, line, by, context.unit)
    return None if words is None else change(statement, number, words)


def _place(context: Context, part: Part, removal: Removal) -> tuple[Statement, RemovalItem] | None:
    for statement, item, start, end in details_of(context, part, RemovalItem):
        if statement.at(start, end) == removal.span:
            return statement, item
    return None


def _lap_cut(context: Context, fault: PoorFit) -> Iterator[tuple[TextEdit, ...]]:
    """What a part lacks for its lap: a dado where the other crosses it, a rabbet at its end."""
    join, host = fault.join, fault.host
    a, b = map(context.piece.body, join.parts)
    lies = let_in(join, a, b)
    if lies is None or fault.side is None or fault.side.axis is host.grain:
        return
    place = lies.box if host is join.part_b else moved_box(lies.box, b, a)
    along, long = host.grain, float(host.length)
    wide, deep = (context.spelt(context.exact(each)) for each in (width(place, along), fault.amount))
    for side, away in (side_of(along, -1), place.low[along]), (side_of(along, 1), long - place.high[along]):
        if abs(away) < ROUNDING:
            words = f"rabbet {wide} x {deep} along {side.value} {fault.side.value}"
            yield from reversed([*add_item(context, host, words)])
            return
    first = context.spelt(context.exact(place.low[along]))
    words = f"dado {wide} wide {deep} deep across {fault.side.value}, {first} from {side_of(along, -1).value}"
    yield from reversed([*add_item(context, host, words)])


def _copied(context: Context, fault: PoorFit) -> Iterator[tuple[TextEdit, ...]]:
    """A dado or groove as deep as the part goes in, where it lies."""
    join, host = fault.join, fault.host
    kind = join.made.cuts[0] if join.made else ""
    if kind not in {"dado", "groove"} or join.part_a.facing.axis is join.side_b.axis:
        return
    across = join.part_a.facing.axis
    side = Side.BACK if across == 1 else Side.LEFT if across == 0 else Side.BOTTOM
    piece = context.piece
    low, base = piece.body(join.part_a).bounds, piece.body(host).bounds
    away = base.high[across] - low.high[across] if side is Side.BACK else low.low[across] - base.low[across]
    wide, deep = join.part_a.thickness, context.exact(fault.amount)
    along = "across" if kind == "dado" else "along"
    words = (
        f"{kind} {context.spelt(wide)} wide {context.spelt(deep)} deep {along} {join.side_b.value}, "
        f"{context.spelt(context.exact(away))} from {side.value}"
    )
    yield from reversed([*add_item(context, host, words)])

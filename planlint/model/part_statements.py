"""Part lines: a piece of stock with its measures, the way it lies, and the wood cut from it."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NoReturn

from planlint.language.syntax_tree import PartDetails, PartLine, SizeItem, Statement
from planlint.model.cuts import cut_aslant, take_away
from planlint.model.directions import AXIS_BY_SPAN, Axis, Side, side_of
from planlint.model.elaboration_state import Workings
from planlint.model.expressions import name_of
from planlint.model.mirrored_parts import mirrored_part
from planlint.model.mistake_log import FollowOn, Refusal
from planlint.model.part_details import LYING, PartDraft, read_details
from planlint.model.plan import EndCut, Part, Removal, Size, Trim
from planlint.model.provenance import PartSaid, takes_joins
from planlint.model.scope import Scope
from planlint.model.stock import Stock
from planlint.model.trims import trimmed
from planlint.model.wood_cuts import plane_of
from planlint.text.measures import in_short, in_words
from planlint.text.source import Span

_Line = tuple[Statement, PartLine, Scope]


def add_parts(workings: Workings, lines: Sequence[_Line]) -> None:
    """Works out part lines, for each of their names, into ``workings.parts``; or notes what is wrong with them."""
    drafts = _Drafts(workings, lines)
    for line in lines:
        workings.log.enter(line[0], line[2])
        _add_parts(workings, line, drafts)


class _Drafts:
    """What part lines come to; parts may be like others, which may stand further down."""

    def __init__(self, workings: Workings, lines: Sequence[_Line]) -> None:
        self.workings = workings
        self.by_name: dict[str, _Line] = {}
        self.done: dict[int, tuple[PartDraft, Stock] | None] = {}
        """What lines come to, by their identity; ``None`` where there is nothing to build on."""
        for line in lines if any(node.like for _, node, _ in lines) else ():
            _, node, scope = line
            for name in node.names:
                try:
                    self.by_name.setdefault(scope.prefix + name_of(name, scope), line)
                except Refusal:  # Told where the part is added.
                    continue

    def of(self, line: _Line) -> tuple[PartDraft, Stock] | None:
        """The draft and the stock of a line, after those it leans on; on a stack of our own, for a long chain."""
        chain = [] if id(line) in self.done else [line]
        while chain:
            current = chain[-1]
            statement, node, scope = current
            self.workings.log.enter(statement, scope)
            try:
                other = self._other(node, scope) if node.like else None
                if other is not None and id(other) not in self.done:
                    if any(other is each for each in chain):
                        self._tell_ring(chain, other)
                    else:
                        chain.append(other)
                    continue
                self.done[id(current)] = self._read(current, other)
            except Refusal as refusal:
                self.workings.log.refuse(statement, refusal)
                self.done[id(current)] = None
            chain.pop()
        return self.done[id(line)]

    def _other(self, node: PartLine, scope: Scope) -> _Line:
        words = name_of(node.stock, scope)
        other = self.by_name.get(scope.prefix + words)
        if other is None:
            raise self.workings.unknown_part(words, node.stock, scope, self.by_name)
        return other

    def _read(self, line: _Line, other: _Line | None) -> tuple[PartDraft, Stock] | None:
        statement, node, scope = line
        known = self.done[id(other)] if other is not None else None
        if other is not None and known is None:
            raise FollowOn
        stock = known[1] if known is not None else self.workings.find_stock(node.stock, scope)
        draft = read_details(self.workings, statement, node, scope)
        if draft is None:
            return None
        if known is not None:
            draft.copy_from(known[0], statement, self.workings.source, node.mirrors)
        _check_mirror(draft, node, statement)
        return draft, stock

    def _tell_ring(self, chain: list[_Line], first: _Line) -> None:
        at = next(number for number, each in enumerate(chain) if each is first)
        names = [_called(node) for _, node, _ in chain[at:]]
        for line in chain[at:]:
            self.done[id(line)] = None
        statement, node, _ = min(chain[at:], key=lambda line: line[0].span)
        says = f"these parts are like one another in a ring: {' is like '.join([*in_short(names), names[0]])}"
        if len(names) == 1:
            says = f"{names[0]} cannot be like itself"
        refusal = Refusal.at(node.stock, f"{says}; say of one what it is made of")
        self.workings.log.refuse(statement, refusal)


def _check_mirror(draft: PartDraft, node: PartLine, statement: Statement) -> None:
    """What mirrors another part is like it, but for its measures; raises ``Refusal``."""
    lines = (statement, *statement.details)
    items = [
        item
        for line in lines
        if isinstance(line.node, PartLine | PartDetails)
        for item, _, _ in line.node.items
    ]
    own = [item for item in items if not isinstance(item, SizeItem) and not takes_joins(item)]
    if draft.flips and own:
        says = f"this is a mirror image, so it is like {node.stock.text} but for its measures: say the rest there"
        raise Refusal(None, 0, says)
    if draft.with_joins is not None and (node.mirrors is None or len(node.names) > 1):
        says = "a part takes its joins along where it, and no other on its line, `mirrors` one"
        raise Refusal(None, 0, says)


def _add_parts(workings: Workings, line: _Line, drafts: _Drafts) -> None:
    statement, node, scope = line
    found = drafts.of(line)
    if found is None:
        # What a broken detail was to say is not known: the part as a whole is judged once it is mended.
        _drop(workings, node, scope)
        return
    draft, stock = found
    workings.log.enter(statement, scope)
    try:
        size, length, width, thickness = _measures(draft, statement, node, stock)
        facing, grain = draft.facing, draft.grain
        assert facing is not None and grain is not None
        cuts: tuple[EndCut, ...] = ()
        removals: tuple[Removal, ...] = ()
        trims: tuple[Trim, ...] = ()
        if draft.cuts:
            cuts = cut_aslant(workings, draft.cuts, grain, facing.axis, size)
        slants = [plane_of(size, cut.end, cut) for cut in cuts]
        if draft.trims:
            trims = trimmed(workings, draft.trims, grain, facing.axis, size, slants)
        if draft.removals:
            removals = take_away(workings, draft.removals, grain, facing.axis, size, slants)
        _taped_edges(draft, statement, facing)
        _finished_face(draft, statement, facing)
    except Refusal as refusal:
        if not (refusal.start is None and refusal.says and workings.has_unread_details(statement)):
            workings.log.refuse(statement, refusal)
        _drop(workings, node, scope)
        return
    parts = workings.parts
    span = statement.span
    prefix = scope.prefix
    cuts_said = tuple([each for each in draft.cuts for _ in range(1 if each.item.end else 2)])
    removals_said = tuple(draft.removals)
    for place, word in enumerate(node.names):
        try:
            name = prefix + name_of(word, scope) if prefix else name_of(word, scope)
            if name in parts:
                says = workings.named_twice("part", name, parts[name].span, statement, scope)
                raise Refusal.at(word, says)
        except Refusal as refusal:
            workings.log.refuse(statement, refusal)
            workings.mark_broken("part", word, scope)
            continue
        workings.said_parts[name] = PartSaid(
            statement, node, scope, place, draft.sums, cuts_said, removals_said
        )
        made = Part(
            name,
            len(parts),
            stock,
            length,
            width,
            thickness,
            grain,
            facing,
            span,
            statement.at(word.start, word.end),
            cuts=cuts,
            removals=removals,
            trims=trims,
        )
        made = draft.told_of(made)
        workings.spacings += [(name, each) for each in draft.spacings]
        flips = draft.flips ^ scope.flips
        parts[name] = mirrored_part(made, flips) if flips else made
        if draft.with_joins is not None and node.mirrors is not None:
            workings.twins.append((prefix + name_of(node.stock, scope), name, AXIS_BY_SPAN[node.mirrors]))


def _drop(workings: Workings, node: PartLine, scope: Scope) -> None:
    for name in node.names:
        workings.mark_broken("part", name, scope)


# ---------------------------------------------------------------- the part as a whole


def _measures(
    draft: PartDraft, statement: Statement, node: PartLine, stock: Stock
) -> tuple[Size, Fraction, Fraction, Fraction]:
    """Reach along x, y and z, and length, width, thickness: from the part line, or else from the stock."""
    grain, facing = draft.grain, draft.facing
    given = draft.measures
    if grain is None or facing is None:
        lacks = []
        if grain is None:
            lacks.append("how its length lies (upright, crosswise or deep)")
        if facing is None:
            lacks.append("where its face looks (such as facing front)")
        raise Refusal(None, 0, f"{_called(node)} does not say {' and '.join(lacks)}")
    if grain is facing.axis:
        toward = in_words((side_of(axis, 1).value for axis in Axis if axis is not grain), "or")
        says = (
            f"the length runs {grain.words} and so does the face, which looks {facing.value}: "
            f"a part that lies {LYING[grain]} can face {toward}, or the sides opposite"
        )
        raise Refusal(None, 0, says)
    if "long" not in given:
        raise Refusal(None, 0, f"{_called(node)} has no length: say how long, such as `34 long`")
    length = given["long"][0]
    thickness, thick_at = given.get("thick", (stock.thickness, statement.span))
    if thickness > stock.thickness:
        _more_than_stock(draft, thick_at, thickness, "thick", stock, stock.thickness)
    if "wide" in given:
        width, wide_at = given["wide"]
        if not stock.sheet and stock.width is not None and width > stock.width:
            _more_than_stock(draft, wide_at, width, "wide", stock, stock.width)
    elif stock.sheet or stock.width is None:
        says = (
            f"{_called(node)} is cut from {stock.name}, which sets no width: say how wide, such as `17 wide`"
        )
        raise Refusal(None, 0, says)
    else:
        width, wide_at = stock.width, statement.span
    if thickness > width:
        in_unit = draft.workings.length
        says = (
            f"{in_unit(thickness)} thick is more than {in_unit(width)} wide: "
            "the face is the broad side, so turn the part to face the other way and change the two round"
        )
        _raise_at(draft, wide_at if "wide" in given else thick_at, says)
    across = 3 - grain - facing.axis
    by_axis = {grain: length, across: width, facing.axis: thickness}
    return (by_axis[Axis.X], by_axis[Axis.Y], by_axis[Axis.Z]), length, width, thickness


def _more_than_stock(
    draft: PartDraft, span: Span, size: Fraction, word: str, stock: Stock, most: Fraction
) -> NoReturn:
    in_unit = draft.workings.length
    instead = "glue up a thicker stock" if word == "thick" else "join boards edge to edge"
    says = (
        f"{in_unit(size)} {word} is more than its stock {stock.name} gives, {in_unit(most)}: "
        f"name another stock, or {instead}"
    )
    _raise_at(draft, span, says)


def _raise_at(draft: PartDraft, span: Span, says: str) -> NoReturn:
    """Notes a mistake at a place that may lie on another line than the part's own, and drops the part."""
    draft.workings.add(span, says)
    raise FollowOn


def _called(node: PartLine) -> str:
    names = [name.text for name in node.names]
    return in_words(names) if len(names) <= 4 else f"{names[0]} to {names[-1]}"


def _taped_edges(draft: PartDraft, statement: Statement, facing: Side) -> None:
    wrong = next((side for side in draft.taped if side.axis is facing.axis), None)
    if wrong is not None:
        says = f"{wrong.value} is a face of this part: tape goes on its edges"
        _raise_at(draft, statement.span, says)


def _finished_face(draft: PartDraft, statement: Statement, facing: Side) -> None:
    wrong = draft.finish
    if wrong is not None and wrong.axis is not facing.axis:
        says = f"{wrong.value} is not a face of this part: its faces are {facing.value} and {facing.opposite.value}"
        _raise_at(draft, draft.finish_at or statement.span, says)

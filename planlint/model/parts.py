"""Part lines: a piece of stock with its measures, the way it lies, and the wood cut from it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import NoReturn

from planlint.language.tree import (
    CutItem,
    Flag,
    HungAt,
    Measure,
    PartDetails,
    PartItem,
    PartLine,
    RemovalItem,
    Statement,
    Turned,
)
from planlint.model.carving import cut_ends, take_away
from planlint.model.directions import SIDE_BY_WORD, Axis, Side, side_of
from planlint.model.expressions import Scope, angle_of, distance, name_of, positive_length
from planlint.model.ledger import FollowOn, Refusal
from planlint.model.plan import EndCut, Part, Removal, Size, Stock, Turn
from planlint.model.workings import AXIS_BY_WORD, Workings, in_words
from planlint.text.source import Span

_RINGS = {"rings up": "up", "rings down": "down", "rings alternate": "alternate"}
_SIZE_WORDS = {"long": "the length", "wide": "the width", "thick": "the thickness"}
_LYING = {Axis.X: "crosswise", Axis.Y: "deep", Axis.Z: "upright"}


class _Draft:
    """A part while its details are read."""

    __slots__ = (
        "bottom_height",
        "cuts",
        "exterior",
        "facing",
        "finish",
        "finish_at",
        "fixed_to_wall",
        "grain",
        "measures",
        "removals",
        "rings",
        "scope",
        "surface",
        "turn",
        "workings",
    )

    def __init__(self, workings: Workings, scope: Scope) -> None:
        self.workings = workings
        self.scope = scope
        self.measures: dict[str, tuple[Fraction, Span]] = {}
        self.grain: Axis | None = None
        self.facing: Side | None = None
        self.turn: Turn | None = None
        self.cuts: list[tuple[Statement, CutItem, Span]] = []
        self.removals: list[tuple[Statement, RemovalItem, Span]] = []
        self.finish: str | None = None
        self.finish_at = Span(0, 0)
        self.rings: str | None = None
        self.surface: str | None = None
        self.exterior = False
        self.fixed_to_wall = False
        self.bottom_height: Fraction | None = None


def add_parts(workings: Workings, statement: Statement, node: PartLine, scope: Scope) -> None:
    """Works out one part line, for each of its names, into ``workings.parts``; or notes what is wrong with it."""
    try:
        stock = workings.find_stock(node.stock, scope)
    except Refusal as refusal:
        workings.ledger.refuse(statement, refusal)
        _drop(workings, node, scope)
        return
    draft = _Draft(workings, scope)
    sound = _read_items(draft, statement, node.items)
    for details in statement.details:
        if isinstance(details.node, PartDetails):
            sound = _read_items(draft, details, details.node.items) and sound
    if not sound:
        # What a broken detail was to say is not known: the part as a whole is judged once it is mended.
        _drop(workings, node, scope)
        return
    try:
        size, length, width, thickness = _measures(draft, statement, node, stock)
        facing, grain = draft.facing, draft.grain
        assert facing is not None and grain is not None
        cuts: tuple[EndCut, ...] = ()
        removals: tuple[Removal, ...] = ()
        if draft.cuts:
            cuts = cut_ends(workings, scope, draft.cuts, grain, size)
        if draft.removals:
            removals = take_away(workings, scope, draft.removals, size)
        if draft.finish is not None and draft.finish != "both faces":
            _finished_face(draft, draft.finish, facing)
    except Refusal as refusal:
        if not (refusal.start is None and refusal.says and workings.has_unread_details(statement)):
            workings.ledger.refuse(statement, refusal)
        _drop(workings, node, scope)
        return
    parts = workings.parts
    span = statement.span
    for word in node.names:
        try:
            name = name_of(word, scope)
            if name in parts:
                says = workings.named_twice("part", name, parts[name].span, statement, scope)
                raise Refusal(word.start, word.end, says)
        except Refusal as refusal:
            workings.ledger.refuse(statement, refusal)
            workings.mark_broken("part", word, scope)
            continue
        parts[name] = Part(
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
            draft.turn,
            cuts,
            removals,
            draft.finish,
            draft.rings,
            draft.surface == "rough",
            draft.exterior,
            draft.fixed_to_wall,
            draft.bottom_height,
        )


def _drop(workings: Workings, node: PartLine, scope: Scope) -> None:
    for name in node.names:
        workings.mark_broken("part", name, scope)


# ---------------------------------------------------------------- details, one at a time


def _read_items(draft: _Draft, statement: Statement, items: Sequence[tuple[PartItem, int, int]]) -> bool:
    """Reads details into the draft; a detail with a mistake is noted and the rest still read."""
    sound = True
    for item, start, end in items:
        try:
            _READ[type(item)](draft, item, statement, start, end)
        except Refusal as refusal:
            draft.workings.ledger.refuse(statement, refusal)
            sound = False
    return sound


def _read_measure(draft: _Draft, item: Measure, statement: Statement, start: int, end: int) -> None:
    word = item.word.text
    if word not in _SIZE_WORDS:
        raise Refusal(start, end, f"a part is so much long, wide or thick, not {word}")
    if word in draft.measures:
        raise Refusal(start, end, f"how {word} the part is has been said already: keep one of the two")
    size = positive_length(item.value, draft.scope, _SIZE_WORDS[word])
    draft.measures[word] = (size, statement.at(start, end))


def _read_flag(draft: _Draft, item: Flag, statement: Statement, start: int, end: int) -> None:
    name = item.name
    axis = AXIS_BY_WORD.get(name)
    if axis is not None:
        if draft.grain is not None:
            raise Refusal(
                start, end, f"the part already lies {_LYING[draft.grain]}: keep one of the two words"
            )
        draft.grain = axis
    elif name.startswith("facing "):
        side = _facing(name[7:])
        if side is None:
            raise Refusal(start, end, f"a face looks front, back, left, right, up or down, not {name[7:]}")
        if draft.facing is not None:
            raise Refusal(start, end, f"the part already faces {draft.facing.value}: keep one of the two")
        draft.facing = side
    elif name.startswith("finish "):
        if draft.finish is not None:
            raise Refusal(start, end, "the finish has been said already: keep one of the two")
        draft.finish = name[7:]
        draft.finish_at = statement.at(start, end)
    else:
        _read_plain_flag(draft, name, start, end)


def _read_plain_flag(draft: _Draft, name: str, start: int, end: int) -> None:
    if name in _RINGS:
        draft.rings = _RINGS[name]
    elif name in {"rough", "surfaced four sides"}:
        if draft.surface not in {None, name}:
            raise Refusal(start, end, "a part is either rough or surfaced four sides, not both")
        draft.surface = name
    elif name == "exterior":
        draft.exterior = True
    elif name == "fixed to wall":
        draft.fixed_to_wall = True
    else:
        raise Refusal(start, end, f"{name} says nothing about a part")


def _facing(word: str) -> Side | None:
    return {"up": Side.TOP, "down": Side.BOTTOM}.get(word) or SIDE_BY_WORD.get(word)


def _read_turn(draft: _Draft, item: Turned, statement: Statement, start: int, end: int) -> None:  # noqa: ARG001
    if draft.turn is not None:
        raise Refusal(start, end, "the part is turned already: a part is turned once, about one axis")
    axis = AXIS_BY_WORD.get(item.about.text)
    if axis is None:
        raise Refusal(item.about.start, item.about.end, "a part is turned about vertical, crosswise or deep")
    angle = angle_of(item.angle, draft.scope)
    if not -360 < angle < 360:
        raise Refusal(start, end, "a part is turned by less than a full turn, 360 degrees")
    if angle:
        draft.turn = Turn(angle, axis)


def _read_hung(draft: _Draft, item: HungAt, statement: Statement, start: int, end: int) -> None:  # noqa: ARG001
    if draft.bottom_height is not None:
        raise Refusal(start, end, "the height of its bottom has been said already: keep one of the two")
    draft.bottom_height = distance(item.height, draft.scope, "the height above the floor")


def _read_cut(draft: _Draft, item: CutItem, statement: Statement, start: int, end: int) -> None:
    draft.cuts.append((statement, item, statement.at(start, end)))


def _read_removal(draft: _Draft, item: RemovalItem, statement: Statement, start: int, end: int) -> None:
    draft.removals.append((statement, item, statement.at(start, end)))


_READ: dict[type, Callable[..., None]] = {
    Measure: _read_measure,
    Flag: _read_flag,
    Turned: _read_turn,
    HungAt: _read_hung,
    CutItem: _read_cut,
    RemovalItem: _read_removal,
}


# ---------------------------------------------------------------- the part as a whole


def _measures(
    draft: _Draft, statement: Statement, node: PartLine, stock: Stock
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
            f"a part that lies {_LYING[grain]} can face {toward}, or the sides opposite"
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
    draft: _Draft, span: Span, size: Fraction, word: str, stock: Stock, most: Fraction
) -> NoReturn:
    in_unit = draft.workings.length
    instead = "glue up a thicker stock" if word == "thick" else "join boards edge to edge"
    says = (
        f"{in_unit(size)} {word} is more than its stock {stock.name} gives, {in_unit(most)}: "
        f"name another stock, or {instead}"
    )
    _raise_at(draft, span, says)


def _raise_at(draft: _Draft, span: Span, says: str) -> NoReturn:
    """Notes a mistake at a place that may lie on another line than the part's own, and drops the part."""
    draft.workings.add(span, says)
    raise FollowOn


def _called(node: PartLine) -> str:
    names = [name.text for name in node.names]
    return in_words(names) if len(names) <= 4 else f"{names[0]} to {names[-1]}"


def _finished_face(draft: _Draft, finish: str, facing: Side) -> None:
    word = finish.removesuffix(" only")
    side = _facing(word)
    if side is None or side.axis != facing.axis:
        says = f"{word} is not a face of this part: its faces are {facing.value} and {facing.opposite.value}"
        _raise_at(draft, draft.finish_at, says)

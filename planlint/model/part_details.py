"""The details of a part, read one at a time into a draft of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import assert_never

from planlint.language.syntax_tree import (
    CutItem,
    Flag,
    HungAt,
    PartDetails,
    PartItem,
    PartLine,
    RemovalItem,
    SizeItem,
    SpacingItem,
    Statement,
    TrimItem,
    Turned,
    Word,
)
from planlint.model.cuts import MOST_REMOVALS
from planlint.model.directions import AXIS_BY_SPAN, SIDE_BY_WORD, Axis, Flips, Side
from planlint.model.elaboration_state import AXIS_BY_WORD, Workings
from planlint.model.expressions import angle_of, distance, positive_length
from planlint.model.foreign_lines import Elsewhere, brought
from planlint.model.mistake_log import Refusal
from planlint.model.plan import Part, Turn
from planlint.model.provenance import CutSaid, DetailSaid, RemovalSaid, SpacingSaid, Sum, TrimSaid
from planlint.model.scope import Scope
from planlint.text.source import PlanText, Span

_SIZE_WORDS = {"long": "the length", "wide": "the width", "thick": "the thickness"}
_FACING = {"up": Side.TOP, "down": Side.BOTTOM}
LYING = {Axis.X: "crosswise", Axis.Y: "deep", Axis.Z: "upright"}


@dataclass
class PartDraft:
    """A part while its details are read."""

    workings: Workings
    scope: Scope
    measures: dict[str, tuple[Fraction, Span]] = field(default_factory=dict)
    sums: dict[str, Sum] = field(default_factory=dict)
    grain: Axis | None = None
    facing: Side | None = None
    turn: Turn | None = None
    cuts: list[CutSaid] = field(default_factory=list)
    removals: list[RemovalSaid] = field(default_factory=list)
    trims: list[TrimSaid] = field(default_factory=list)
    spacings: list[SpacingSaid] = field(default_factory=list)
    flips: Flips = frozenset()
    with_joins: Word | None = None
    finish_at: Span | None = None
    finish: Side | None = None
    """The one face that is finished; ``None`` for both, and where nothing is said of a finish."""
    rings: str | None = None
    surface: str | None = None
    exterior: bool = False
    covered: frozenset[Side] = frozenset()
    taped: frozenset[Side] = frozenset()
    fixed_to_wall: bool = False
    bottom_height: Fraction | None = None

    def copy_from(
        self, other: PartDraft, here: Statement, source: PlanText, mirrors: str | None = None
    ) -> None:
        """Takes over what this part leaves open from the one it is like; mistakes are told at the line ``here``.

        What mirrors another is written as that one is, and turned round once it is made.
        """
        self.flips = other.flips ^ ({AXIS_BY_SPAN[mirrors]} if mirrors is not None else frozenset())

        def copied(statement: Statement) -> Statement:
            return statement if isinstance(statement, Elsewhere) else brought(statement, source, here)

        self.measures = {**other.measures, **self.measures}
        self.sums = {**other.sums, **self.sums}
        for slot in ("grain", "facing", "turn", "rings", "surface", "bottom_height"):
            if getattr(self, slot) is None:
                setattr(self, slot, getattr(other, slot))
        if self.finish_at is None:
            self.finish, self.finish_at = other.finish, other.finish_at
        self.exterior = self.exterior or other.exterior
        self.covered |= other.covered
        self.taped |= other.taped
        self.fixed_to_wall = self.fixed_to_wall or other.fixed_to_wall
        # One more than there may be is enough to be told.
        removals = [each._replace(statement=copied(each.statement)) for each in other.removals]
        self.removals = [*removals, *self.removals][: MOST_REMOVALS + 1]
        trims = [each._replace(statement=copied(each.statement)) for each in other.trims]
        self.trims = [*trims, *self.trims][: MOST_REMOVALS + 1]
        cuts = [each._replace(statement=copied(each.statement)) for each in _cuts_left(other, self)]
        self.cuts = [*cuts, *self.cuts]

    def finished(self, facing: Side) -> frozenset[Side]:
        if self.finish_at is None:
            return frozenset()
        return frozenset((facing, facing.opposite) if self.finish is None else (self.finish,))

    def told_of(self, part: Part) -> Part:
        """The part with all that its details say but for its measures, how it lies and what is cut from it."""
        return replace(
            part,
            turn=self.turn,
            finished=self.finished(part.facing),
            rings=self.rings,
            rough=self.surface == "rough",
            exterior=self.exterior,
            fixed_to_wall=self.fixed_to_wall,
            bottom_height=self.bottom_height,
            covered=self.covered,
            taped=self.taped,
        )


def _cuts_left(other: PartDraft, draft: PartDraft) -> list[CutSaid]:
    """The cuts of another part at those ends, and those edges, that a part does not cut itself."""
    left = []
    for cut in other.cuts:
        item = cut.item
        own = [each.item.end for each in draft.cuts if each.item.edge is item.edge]
        if None in own:
            continue
        words = {end.text for end in own if end is not None}
        if item.end is not None:
            if item.end.text not in words:
                left.append(cut)
            continue
        opposite = [SIDE_BY_WORD[word].opposite.value for word in words]
        if not words:
            left.append(cut)
        elif len(words) == 1:
            # Both ends were cut alike, and one of them is cut otherwise now.
            end = Word(opposite[0], item.long_at.start, item.long_at.end)
            left.append(cut._replace(item=item._replace(end=end)))
    return left


def read_details(workings: Workings, statement: Statement, node: PartLine, scope: Scope) -> PartDraft | None:
    """The draft of a part line, or ``None`` where a detail is broken; each such mistake is noted."""
    draft = PartDraft(workings, scope)
    sound = _read_items(draft, statement, node.items)
    for details in statement.details:
        if isinstance(details.node, PartDetails):
            sound = _read_items(draft, details, details.node.items) and sound
    return draft if sound else None


def _read_items(draft: PartDraft, statement: Statement, items: Sequence[tuple[PartItem, int, int]]) -> bool:
    """Reads details into the draft; a detail with a mistake is noted and the rest still read."""
    sound = True
    for item, start, end in items:
        try:
            _read_item(draft, item, statement, start, end)
        except Refusal as refusal:
            draft.workings.log.refuse(statement, refusal)
            sound = False
    return sound


def _read_item(draft: PartDraft, item: PartItem, statement: Statement, start: int, end: int) -> None:
    if isinstance(item, SizeItem):
        _read_measure(draft, item, statement, start, end)
    elif isinstance(item, Flag):
        _read_flag(draft, item, statement, start, end)
    elif isinstance(item, Turned):
        _read_turn(draft, item, start, end)
    elif isinstance(item, HungAt):
        _read_hung(draft, item, start, end)
    elif isinstance(item, CutItem):
        draft.cuts.append(DetailSaid(statement, item, statement.at(start, end), draft.scope))
    elif isinstance(item, TrimItem):
        draft.trims.append(DetailSaid(statement, item, statement.at(start, end), draft.scope))
    elif isinstance(item, RemovalItem):
        draft.removals.append(DetailSaid(statement, item, statement.at(start, end), draft.scope))
    elif isinstance(item, SpacingItem):
        draft.spacings.append(DetailSaid(statement, item, statement.at(start, end), draft.scope))
    else:
        assert_never(item)


def _read_measure(draft: PartDraft, item: SizeItem, statement: Statement, start: int, end: int) -> None:
    word = item.word.text
    if word in draft.measures:
        raise Refusal(start, end, f"how {word} the part is has been said already: keep one of the two")
    size = positive_length(item.value, draft.scope, _SIZE_WORDS[word])
    draft.measures[word] = (size, statement.at(start, end))
    draft.sums[word] = Sum(statement, item.value, draft.scope)


def _read_flag(draft: PartDraft, item: Flag, statement: Statement, start: int, end: int) -> None:
    name = item.name
    axis = AXIS_BY_WORD.get(name)
    if axis is not None:
        if draft.grain is not None:
            raise Refusal(
                start, end, f"the part already lies {LYING[draft.grain]}: keep one of the two words"
            )
        draft.grain = axis
    elif name == "facing":
        if draft.facing is not None:
            raise Refusal(start, end, f"the part already faces {draft.facing.value}: keep one of the two")
        draft.facing = _FACING.get(item.word.text) or SIDE_BY_WORD[item.word.text]
    elif name in {"finish", "finish both faces"}:
        if draft.finish_at is not None:
            raise Refusal(start, end, "the finish has been said already: keep one of the two")
        draft.finish = SIDE_BY_WORD[item.word.text] if name == "finish" else None
        draft.finish_at = statement.at(start, end)
    elif name == "taped":
        draft.taped |= {SIDE_BY_WORD[item.word.text]}
    elif name == "covered":
        draft.covered |= {SIDE_BY_WORD[item.word.text]}
    elif name == "rings":
        draft.rings = item.word.text
    else:
        _read_plain_flag(draft, name, item.word, start, end)


def _read_plain_flag(draft: PartDraft, name: str, word: Word, start: int, end: int) -> None:
    if name in {"rough", "surfaced four sides"}:
        if draft.surface not in {None, name}:
            raise Refusal(start, end, "a part is either rough or surfaced four sides, not both")
        draft.surface = name
    elif name == "exterior":
        draft.exterior = True
    elif name == "with its joins":
        draft.with_joins = word
    elif name == "fixed to wall":
        draft.fixed_to_wall = True
    else:
        raise Refusal(start, end, f"{name} says nothing about a part")


def _read_turn(draft: PartDraft, item: Turned, start: int, end: int) -> None:
    if draft.turn is not None:
        raise Refusal(start, end, "the part is turned already: a part is turned once, about one axis")
    angle = angle_of(item.angle, draft.scope)
    if not -360 < angle < 360:
        raise Refusal(start, end, "a part is turned by less than a full turn, 360 degrees")
    if angle:
        draft.turn = Turn(angle, AXIS_BY_WORD[item.about.text])


def _read_hung(draft: PartDraft, item: HungAt, start: int, end: int) -> None:
    if draft.bottom_height is not None:
        raise Refusal(start, end, "the height of its bottom has been said already: keep one of the two")
    draft.bottom_height = distance(item.height, draft.scope, "the height above the floor")

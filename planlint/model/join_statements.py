"""Join lines: which side of one part meets which side of another, where it sits, and what holds it."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import Any, NamedTuple, assert_never

from planlint.language.expression_tree import Expression
from planlint.language.syntax_tree import (
    FastenersLine,
    Flag,
    JoinDetail,
    PlacingLine,
    PocketsLine,
    ScrewsLine,
    Statement,
    TraditionItem,
)
from planlint.model.directions import Flips, Side, flipped
from planlint.model.elaboration_state import CENTRED_BY_WORD, Workings, side_of_word
from planlint.model.expressions import distance, evaluate, name_of
from planlint.model.fastener_statements import fastening
from planlint.model.join_details import Fastening, Placing
from planlint.model.mirrored_parts import mirrored_row
from planlint.model.mistake_log import Refusal
from planlint.model.plan import Join, Part
from planlint.model.pocket_statements import MOST_ROWS, most_pockets, pocket_row, screw_choice
from planlint.model.provenance import JoinSaid
from planlint.model.scope import Scope
from planlint.model.traditions import tradition_of
from planlint.text.measures import in_words

_GLUE = {"glued": "all", "glued middle third": "middle third"}


@dataclass(slots=True)
class _JoinDraft:
    """A join while its details are read."""

    workings: Workings
    scope: Scope
    sides: tuple[Part, Side, Part, Side]
    said: dict[str, Any] = field(default_factory=dict)
    """What its lines tell, by the fields of ``Join``."""

    def told(self, what: str) -> tuple[Any, ...]:
        """What is told of such things so far, of which there may be several."""
        found: tuple[Any, ...] = self.said.get(what, ())
        return found

    def add(self, what: str, *more: object) -> None:
        self.said[what] = (*self.told(what), *more)


def mirrored_join(join: Join, flips: Flips, image: Callable[[Part], Part]) -> Join:
    """The same join between the mirror images of its parts."""
    made = join.tradition
    if made is not None and made.places is not None:
        made = replace(made, places=_mirrored_fastening(made.places, flips))
    return replace(
        join,
        part_a=image(join.part_a),
        side_a=flipped(join.side_a, flips),
        part_b=image(join.part_b),
        side_b=flipped(join.side_b, flips),
        placings=tuple(
            [
                each if each.side is None else replace(each, side=flipped(each.side, flips))
                for each in join.placings
            ]
        ),
        tradition=made,
        pockets=tuple(
            [mirrored_row(row, join.side_b if row.in_b else join.side_a, flips) for row in join.pockets]
        ),
        fastenings=tuple([_mirrored_fastening(each, flips) for each in join.fastenings]),
    )


def _mirrored_fastening(each: Fastening, flips: Flips) -> Fastening:
    origin, line = each.row.origin, each.line
    row = replace(
        each.row,
        face=flipped(each.row.face, flips),
        origin=None if origin is None else flipped(origin, flips),
    )
    line = None if line is None else (flipped(line[0], flips), line[1])
    return replace(each, row=row, line=line, far=each.far ^ flips)


class Waiting(NamedTuple):
    """A join read whole, that waits for all others before it gets its name and number."""

    said: JoinSaid
    own_name: str | None
    join: Join


def read_join(workings: Workings, said: JoinSaid) -> Waiting | None:
    """Works out one join line and its details, or notes what is wrong and returns ``None``."""
    statement, node, scope = said.statement, said.line, said.scope
    try:
        a, b = node.a, node.b
        if a.part is None or b.part is None:
            says = "a join names a part and its side on either hand: `join rail.left to stile.right`"
            raise Refusal.at(a, says, last=b)
        side_a = side_of_word(a.side)
        side_b = side_of_word(b.side)
        part_a = workings.find_part(a.part, scope)
        part_b = workings.find_part(b.part, scope)
        if part_a is part_b:
            raise Refusal.at(
                a, f"{part_a.name} is joined to itself: name another part on one of the two hands", last=b
            )
        draft = _JoinDraft(workings, scope, (part_a, side_a, part_b, side_b))
        own_name = scope.prefix + name_of(node.name, scope) if node.name is not None else None
        if node.tradition is not None:
            draft.said["tradition"] = tradition_of(
                workings, statement, node.tradition, scope, draft.sides, statement.details
            )
    except Refusal as refusal:
        workings.log.refuse(statement, refusal)
        _tell_sums(workings, statement, scope)
        return None
    sound = True
    for details in statement.details:
        try:
            _read_detail(draft, details, statement.details)
        except Refusal as refusal:
            workings.log.refuse(details, refusal)
            sound = False
    if not sound:
        return None
    join = Join("", -1, *draft.sides, statement.span, **draft.said)
    if scope.flips:  # Read as its assembly tells it, and turned round with the unit.
        join = mirrored_join(join, scope.flips, lambda part: workings.parts[part.name])
    return Waiting(said, own_name, join)


def _tell_sums(workings: Workings, statement: Statement, scope: Scope) -> None:
    """Tells what is wrong with the sums in the details of a join that is left out: all else hangs on its parts."""
    for details in statement.details:
        node = details.node
        sums: tuple[Expression | None, ...] = ()
        if isinstance(node, PlacingLine):
            sums = (node.distance,)
        elif isinstance(node, PocketsLine):
            sums = (node.count, *(node.at or ()), node.every, node.first, node.last)
        elif isinstance(node, ScrewsLine):
            sums = (node.length, node.gauge)
        elif isinstance(node, FastenersLine):
            row = node.row
            sums = (
                row.count,
                *(row.at or ()),
                row.every,
                row.first,
                row.last,
                *(each.value for each in node.sizes),
            )
        for each in sums:
            if each is not None:
                try:
                    evaluate(each, scope)
                except Refusal as refusal:
                    workings.log.refuse(details, refusal)


def pockets_in(join: Waiting) -> int:
    """How many pockets a join comes to at most."""
    return sum(most_pockets(row, *join.join.both_ways[0]) for row in join.join.pockets)


# ---------------------------------------------------------------- details


def _read_detail(draft: _JoinDraft, details: Statement, beside: Iterable[Statement]) -> None:
    node = details.node
    if not isinstance(node, JoinDetail):
        raise Refusal(None, 0, "this line says nothing about a join")
    if isinstance(node, PlacingLine):
        _read_placing(draft, details, node)
    elif isinstance(node, PocketsLine):
        _read_pockets(draft, details, node)
    elif isinstance(node, ScrewsLine):
        _read_screws(draft, details, node)
    elif isinstance(node, TraditionItem):
        _read_tradition(draft, details, node, beside)
    elif isinstance(node, FastenersLine):
        _read_fasteners(draft, details, node)
    elif isinstance(node, Flag):
        _read_flag(draft, node)
    else:
        assert_never(node)


def _read_placing(draft: _JoinDraft, details: Statement, node: PlacingLine) -> None:
    verb = node.verb
    span = details.span
    if verb == "centred":
        axis = CENTRED_BY_WORD.get(node.axis.text) if node.axis is not None else None
        if axis is None:
            raise Refusal(None, 0, "a part is centred left to right, front to back, or top to bottom")
        if _touching(draft, axis):
            raise _along_joint(draft, 0, span.end - span.start, f"centred {axis.words}")
        draft.add("placings", Placing(span, centred=axis))
        return
    sides = [(side_of_word(word), word) for word in node.sides]
    for side, word in sides:
        if side.axis == draft.sides[1].axis and _touching(draft, side.axis):
            raise _along_joint(draft, word.start, word.end, f"{verb} {side.value}")
    if verb == "flush":
        draft.add("placings", *(Placing(span, side, flush=True) for side, _ in sides))
        return
    assert node.distance is not None
    instead = {
        "set back": "where it stands out past the other part say `proud D at SIDE`",
        "proud": "where it lies inside the other part say `set back D from SIDE`",
        "from": "where it stands out past the other part say `proud D at SIDE`",
    }.get(verb, "")
    inset = distance(node.distance, draft.scope, "this distance", instead)
    inset = -inset if verb == "proud" else inset
    draft.add("placings", *(Placing(span, side, inset) for side, _ in sides))


def _touching(draft: _JoinDraft, axis: int) -> bool:
    """Whether the joint itself already fixes this axis: opposed square sides do, a mitre does not."""
    part_a, side_a, part_b, side_b = draft.sides
    if not side_a.axis == side_b.axis == axis:
        return False
    return (not part_a.cuts or part_a.cut_at(side_a) is None) and part_a.turn is part_b.turn is None


def _along_joint(draft: _JoinDraft, start: int, end: int, said: str) -> Refusal:
    part_a, side_a, part_b, side_b = draft.sides
    can = in_words((side.value for side in Side if side.axis != side_a.axis), "or")
    says = (
        f"`{said}` runs across the joint, where {part_a.name}.{side_a.value} already meets "
        f"{part_b.name}.{side_b.value}: place it by {can}"
    )
    if any(each.kind == "notch" for each in part_b.removals):
        says += f". If it lies on the floor of a notch in {part_b.name}, join it `as rabbet`"
    return Refusal(start, end, says)


def _read_pockets(draft: _JoinDraft, details: Statement, node: PocketsLine) -> None:
    if len(draft.told("pockets")) == MOST_ROWS:
        raise Refusal(None, 0, f"more than {MOST_ROWS} rows of pockets in one join: check how it is written")
    draft.add("pockets", pocket_row(draft.workings, details, node, draft.scope, *draft.sides))


def _read_screws(draft: _JoinDraft, details: Statement, node: ScrewsLine) -> None:
    if "screws" in draft.said:
        raise Refusal(None, 0, "the screws of this join have been named already: keep one of the two lines")
    draft.said["screws"] = screw_choice(details, node, draft.scope)


def _read_fasteners(draft: _JoinDraft, details: Statement, node: FastenersLine) -> None:
    if len(draft.told("fastenings")) == MOST_ROWS:
        raise Refusal(
            None, 0, f"more than {MOST_ROWS} rows of fasteners in one join: check how it is written"
        )
    made = fastening(draft.workings, details, node, draft.scope, draft.sides)
    draft.add("fastenings", made)
    if made.kind == "slides" and made.thick:
        draft.said["gap"] = made.thick


def _read_tradition(
    draft: _JoinDraft, details: Statement, node: TraditionItem, beside: Iterable[Statement]
) -> None:
    made = draft.said.get("tradition")
    if made is not None:
        raise Refusal(None, 0, f"this join is already a {made.kind}: keep one of the two")
    draft.said["tradition"] = tradition_of(draft.workings, details, node, draft.scope, draft.sides, beside)


def _read_flag(draft: _JoinDraft, node: Flag) -> None:
    if node.name == "slotted":
        draft.said["slotted"] = True
        return
    glue = _GLUE.get(node.name)
    if glue is None:
        raise Refusal.at(node.word, f"{node.name} says nothing about a join")
    if draft.said.get("glue", glue) != glue:
        raise Refusal.at(node.word, "how this join is glued has been said already: keep one of the two")
    draft.said["glue"] = glue

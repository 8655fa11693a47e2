"""Solid panels that lie loose in the grooves of a frame: room to grow, and hold when they have shrunk."""

from collections.abc import Iterator
from typing import NamedTuple

from planlint.checks.solid_panels import holds_fast, solid_panels
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.let_in import cut_box, let_in, opens, overlap_of
from planlint.geometry.piece import Piece
from planlint.language.joint_table import Form
from planlint.model.plan import Join, Part, Removal
from planlint.model.seasonal_movement import movement
from planlint.text.rounding import ROUNDING


class LoosePanel(NamedTuple):
    """A panel and what is wrong with it: ``tight`` at the season's wet end, or ``drops`` out at its dry end."""

    kind: str
    panel: tuple[Part, ...]
    joins: tuple[Join, Join]
    wide: float
    moves: float
    """How far it grows, or shrinks, from the middle of the season, in inches."""
    room: float | None
    """Between its edges and the bottoms of both grooves together; ``None`` where the plan does not tell the grooves."""
    held: float
    """How far it lies in both grooves together."""


class _PanelEdge(NamedTuple):
    join: Join
    held: float
    room: float | None


def loose_panel(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A solid panel in grooves at both its edges that has no room to grow, or too little hold when it shrinks."""
    if not any(map(_grooved, piece.plan.joins)):
        return
    short, hold = rule.limit("short", piece.settings), rule.limit("hold", piece.settings)
    for panel in solid_panels(piece):
        edges = _edges(piece, panel)
        if edges is None:
            continue
        wide = float(sum(part.width for part in panel))
        season = movement(panel[0].stock.material, wide, piece.settings.humidity)
        if season is None:
            continue
        low, high = edges
        moves = season.inches / 2
        held = low.held + high.held
        room = None if low.room is None or high.room is None else low.room + high.room
        boards = tuple(sorted(panel, key=lambda part: part.index))
        joins = (low.join, high.join)
        tight = room is not None and moves - room > short + ROUNDING
        if tight or (held - moves) / 2 < hold - ROUNDING:
            kind = "tight" if tight else "drops"
            yield rule.finding(
                fact=LoosePanel(kind, boards, joins, wide, moves, room, held),
                kind=kind,
                span=boards[0].span,
                parts=[part.name for part in boards],
                measured=moves - (room or 0.0) if tight else (held - moves) / 2,
                limit=short if tight else hold,
                basis="short" if tight else "hold",
            )


def _edges(piece: Piece, panel: list[Part]) -> tuple[_PanelEdge, _PanelEdge] | None:
    """The grooves at the two edges of a panel; ``None`` where it is not let in at both, or is held fast anywhere."""
    inside = {part.name for part in panel}
    across = panel[0].across
    found: dict[int, _PanelEdge] = {}
    for part in panel:
        for join in piece.graph.joins_of(part):
            if inside.issuperset(each.name for each in join.parts):
                continue
            let_in = _grooved(join) and join.inset > 0 and piece.trusted(join)
            if holds_fast(piece, join) or join.part_a is not part or not let_in:
                return None
            if join.side_a.axis is across:
                found[join.side_a.sign] = _edge(piece, join)
    return (found[-1], found[1]) if len(found) == 2 else None


def _grooved(join: Join) -> bool:
    return join.made is not None and join.made.floats and join.form is Form.TONGUE


def _edge(piece: Piece, join: Join) -> _PanelEdge:
    held = piece.inset(join)
    groove = groove_of(piece, join)
    if groove is None:
        return _PanelEdge(join, held, None)
    box, axis = cut_box(groove), join.side_b.axis
    return _PanelEdge(join, held, box.high[axis] - box.low[axis] - held)


def groove_of(piece: Piece, join: Join) -> Removal | None:
    """The groove that the plan tells in B for what of A lies in it."""
    body = piece.body(join.part_b)
    lies = let_in(join, piece.body(join.part_a), body)
    if lies is None or join.tradition is None:
        return None
    axis = join.side_b.axis
    for removal in join.part_b.removals:
        box = cut_box(removal)
        usual = removal.kind in (join.tradition.joint.cuts or ("groove", "dado"))
        if usual and overlap_of(box, lies.box) and opens(box, body, axis, join.side_b.sign):
            return removal
    return None

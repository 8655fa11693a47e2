"""Which of a part's dados, grooves, rabbets and mortises is cut for what is let into it."""

from collections.abc import Iterator

from planlint.geometry.let_in import NEAR, LetIn, channel, cut_box, opens, width
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, Box
from planlint.model.plan import Join, Removal
from planlint.text.rounding import ROUNDING

MORTISED = "mortise and tenon"
MORTISES = ("cutout", "slot")
"""The cuts that a plan may write for one. Few do: where none lies there, none is asked for."""


def kind_of_joint(join: Join) -> str:
    """The traditional joint that it is told as; empty for none."""
    return join.tradition.kind if join.tradition else ""


def cuts_for(join: Join) -> tuple[str, ...]:
    """The kinds of cut that a joint asks for in its second part."""
    return MORTISES if kind_of_joint(join) == MORTISED else () if join.made is None else join.made.cuts


def matched(piece: Piece, held: list[LetIn]) -> Iterator[tuple[LetIn, Removal | None]]:
    """For each part let into one side the cut that is nearest to it there, each cut for one part."""
    join = held[0].join
    body, cuts = piece.body(join.part_b), join.part_b.removals
    pairs = sorted(
        (round(off_middle(cut, lies), 6), _away(cut, lies), n, m)
        for n, lies in enumerate(held)
        for m, cut in enumerate(cuts)
        if cut.kind in cuts_for(lies.join) and opens_to(lies, cut, body) and not _crosses(lies, cut)
    )
    mine: dict[int, int] = {}
    for off, _, n, m in pairs:
        shared = any(k == m and _beside(held[n].box, held[o].box) for o, k in mine.items())
        if n not in mine and (m not in mine.values() or shared) and off < NEAR:
            mine[n] = m
    for n, lies in enumerate(held):
        yield lies, cuts[mine[n]] if n in mine else None


def opens_to(lies: LetIn, cut: Removal, body: Body) -> bool:
    """Whether a cut opens on the side that a part is let into; the mortise of a tenon that goes through on either."""
    side, mortise = lies.join.side_b, cut.kind in MORTISES
    through = mortise and width(lies.box, side.axis) > body.size[side.axis] - ROUNDING
    ways = (side, side.opposite) if through else (side,)
    return any(opens(cut_box(cut), body, side.axis, each.sign, through=mortise) for each in ways)


def _crosses(lies: LetIn, cut: Removal) -> bool:
    """Whether a part only passes over a channel, as a drawer's back does over the groove for its bottom."""
    across, along = channel(cut_box(cut), lies.join.side_b.axis, lies.join.part_b.grain)
    wide = width(lies.box, across)
    return cut.kind not in MORTISES and wide > 2 * max(width(cut_box(cut), across), width(lies.box, along))


def _beside(one: Box, other: Box) -> bool:
    """Whether two parts may lie in one channel: end to end, at the same place across it."""
    same = sum(
        abs(one.low[i] - other.low[i]) < ROUNDING and abs(one.high[i] - other.high[i]) < ROUNDING
        for i in range(3)
    )
    return same >= 2


def off_middle(removal: Removal, lies: LetIn) -> float:
    """How far the middles of a cut and of what lies in it are apart across the cut, of a mortise any way; less the play
    that it has in a cut that is wider."""
    cut, box = cut_box(removal), lies.box
    ways = channel(cut, lies.join.side_b.axis, lies.join.part_b.grain)[: 2 if removal.kind in MORTISES else 1]
    return max(
        abs(cut.low[i] + cut.high[i] - box.low[i] - box.high[i]) / 2
        - max(0.0, width(cut, i) - width(box, i)) / 2
        for i in ways
    )


def _away(removal: Removal, lies: LetIn) -> float:
    """How far what lies in a cut reaches beyond its ends: of stopped channels in one line, that is its own which it
    lies in."""
    cut, box = cut_box(removal), lies.box
    _, along = channel(cut, lies.join.side_b.axis, lies.join.part_b.grain)
    return max(cut.low[along] - box.low[along], box.high[along] - cut.high[along], 0.0)

"""Boards of solid wood that are joined edge to edge into one panel."""

from collections.abc import Iterator

from planlint.geometry.join_holds import glued, shaped
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.joint_kinds import makes_panel
from planlint.model.plan import Join, Part
from planlint.placement.joint_graph import groups_of


def glue_of(join: Join) -> str | None:
    """How a joint is glued: a joint said to be nothing but glued is so all over."""
    return "all" if join.tradition is not None and join.tradition.kind == "glued" else join.glue


def holds_fast(piece: Piece, join: Join) -> bool:
    """Whether a joint leaves its parts no play: screws in round holes, or glue."""
    held = bool((join.pockets or join.driven) and not join.slotted) or glue_of(join) is not None
    return held and piece.trusted(join)


def made_one(piece: Piece, join: Join) -> bool:
    """Whether something makes two parts one: screws, glue, or wood let into wood."""
    return (bool(join.pockets or join.driven) or glued(join) or shaped(join)) and piece.trusted(join)


def solid_panels(piece: Piece) -> Iterator[list[Part]]:
    """Solid parts, those joined edge to edge with one grain direction together: they move as one board."""
    solid = {part.name: part for part in piece.plan.parts if part.stock.material.solid}
    fast = [(join.part_a.name, join.part_b.name) for join in panel_joins(piece) if holds_fast(piece, join)]
    for names in groups_of(solid, fast):
        yield [solid[name] for name in names]


def panel_joins(piece: Piece) -> Iterator[Join]:
    """Joints of two solid boards edge to edge, the grain of both the same way; not of a panel in its frame."""
    for join in piece.plan.joins:
        solid = join.part_a.stock.material.solid and join.part_b.stock.material.solid
        if solid and makes_panel(join) and not in_a_groove(join):
            yield join


def in_a_groove(join: Join) -> bool:
    """Whether a panel lies in the groove of a frame that is thicker or thinner than it."""
    said, (a, b) = join.tradition, join.parts
    return said is not None and said.kind in _GROOVED and bool(said.inset) and a.thickness != b.thickness


_GROOVED = frozenset({"tongue and groove", "cope and stick"})

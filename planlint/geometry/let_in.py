"""What of one part lies in another by a traditional joint, against the wood that is cut away there for it."""

from collections.abc import Iterator
from typing import NamedTuple

from planlint.geometry.drilling.fastener_places import Floor
from planlint.geometry.drilling.screw_clashes import Tenon, tenon
from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.cells import boxes_round
from planlint.language.joint_table import Form
from planlint.model.directions import Axis, side_of
from planlint.model.plan import Join, Removal
from planlint.text.rounding import ROUNDING

NEAR = 2.0
"""Inches beside its part within which a cut may have been meant for it. Basis: our own judgement."""


class LetIn(NamedTuple):
    """A joint and the box of A that lies within B's outline, in B's own frame."""

    join: Join
    box: Box


def let_in(join: Join, body_a: Body, body_b: Body) -> LetIn | None:
    """The part of A that lies in B, of a lap all that both share; ``None`` where nothing does, or the parts are turned
    against one another."""
    if join.tradition is None or not join.tradition.inset or join.part_a.turn != join.part_b.turn:
        return None
    made = tenon(join, body_a)
    lapped = join.form is Form.LAP
    whole = [made.box] if made is not None else [Box((0.0, 0.0, 0.0), body_a.size)] if lapped else []
    if made is not None and body_a.part.removals:  # A tongue that rabbets leave: the wood that is there.
        whole = [
            each for cell in body_a.own_cells if (each := overlap_of(cell.box, made.box)) is not None
        ] or whole
    boxes = whole or [cell.box for cell in body_a.own_cells]
    inside = [
        each
        for box in boxes
        if (each := box_within(in_frame_of(box, body_a, body_b), body_b.size)) is not None
    ]
    return LetIn(join, boxes_round(inside)) if inside else None


def interlocked(join: Join, body_a: Body, body_b: Body) -> Iterator[Tenon]:
    """What of each part lies in wood that a joint takes from the other by its name alone.

    A lap is cut half and half unless it says what is left of A; a bridle's tongue is a third of A. Where a lap does not
    show from which side each part is cut, and where parts interlock by turns, either may be anywhere in the place that
    they share. Wood that the plan itself cuts away there is left to what it says.
    """
    made = join.tradition
    if made is None or not made.inset:
        return
    if made.joint.form is Form.TONGUE:
        found = tenon(join, body_a)
        if found is not None:
            yield found
        return
    lies = let_in(join, body_a, body_b)
    if lies is None:
        return
    for whose, box in _shares(join, lies.box, body_a, body_b):
        host = body_b if whose is body_a else body_a
        if not any(overlap_of(in_frame_of(box, body_b, host), gone.box) for gone in host.own_removals):
            yield Tenon(join, whose, in_frame_of(box, body_b, whose))


def _shares(join: Join, shared: Box, body_a: Body, body_b: Body) -> Iterator[tuple[Body, Box]]:
    """Whose wood fills what of the place that two parts share; in the frame of B."""
    made = join.tradition
    facing, part = body_a.part.facing.axis, body_a.part
    if join.form is Form.RABBET:
        yield body_a, shared
    elif join.form is Form.BRIDLE and facing is not join.side_a.axis and made is not None:
        thick = min(float(made.measures.get("thick", part.thickness / 3)), body_a.size[facing])
        middle = (shared.low[facing] + shared.high[facing]) / 2
        low, high = middle - thick / 2, middle + thick / 2
        yield body_a, _between(shared, facing, low, high)
        yield body_b, _between(shared, facing, shared.low[facing], low)
        yield body_b, _between(shared, facing, high, shared.high[facing])
    elif join.form is Form.LAP and not part.is_end(join.side_a) and made is not None:
        axis, sign = join.side_b.axis, join.side_b.sign
        out, back = (shared.high, shared.low) if sign > 0 else (shared.low, shared.high)
        cut = (out[axis] + back[axis]) / 2
        if "thick" in made.measures:  # From A's far face, which lies before B by what is not let in.
            proud = body_a.size[axis] - float(made.inset)
            cut = out[axis] - sign * (float(made.measures["thick"]) - proud)
        yield body_a, _between(shared, axis, *sorted((out[axis], cut)))
        yield body_b, _between(shared, axis, *sorted((cut, back[axis])))
    elif join.form in {Form.LAP, Form.FINGERS}:
        yield body_a, shared
        yield body_b, shared


def _between(box: Box, axis: Axis, low: float, high: float) -> Box:
    return box.between(axis, max(low, box.low[axis]), min(high, box.high[axis]))


def in_frame_of(box: Box, body: Body, to: Body) -> Box:
    """A box of one body's own frame in that of another, turned alike."""
    low, high = to.to_own(body.to_piece(box.low)), to.to_own(body.to_piece(box.high))
    return Box(low, high)


def box_within(box: Box, size: Vector) -> Box | None:
    return overlap_of(box, Box((0.0, 0.0, 0.0), size))


def overlap_of(box: Box, other: Box) -> Box | None:
    return None if min(box.shared(other)) < ROUNDING else box.common(other)


def cut_box(removal: Removal) -> Box:
    a, b, c = (float(each) for each in removal.low)
    d, e, f = (float(each) for each in removal.high)
    return Box((a, b, c), (d, e, f))


def opens(cut: Box, body: Body, axis: Axis, sign: int, *, through: bool = False) -> bool:
    """Whether a cut opens on a side, and does not go right ``through`` from there unless it may."""
    near, far = (cut.high[axis] >= body.size[axis] - ROUNDING, cut.low[axis] <= ROUNDING)
    return (near if sign > 0 else far) and (through or not (near and far))


def channel(cut: Box, axis: Axis, grain: Axis) -> tuple[Axis, Axis]:
    """The axis across a cut and the one it runs along, of the two beside the one that it is deep in; a square one runs
    across the grain, as a dado in an edge does."""
    one, other = sorted((each for each in Axis if each is not axis), key=grain.__ne__)
    return (one, other) if width(cut, one) <= width(cut, other) + ROUNDING else (other, one)


def width(box: Box, axis: Axis) -> float:
    return box.high[axis] - box.low[axis]


def left_in(body: Body, region: Box, axis: Axis, frame: Body) -> float:
    """How thick a body is along an axis in the middle of a region, which is told in the frame of ``frame``."""
    return sum(high - low for low, high in runs_in(body, region, axis, frame))


def runs_in(body: Body, region: Box, axis: Axis, frame: Body) -> list[tuple[float, float]]:
    """From where to where a body is there along the axis."""
    middle = [(a + b) / 2 for a, b in zip(region.low, region.high, strict=True)]
    start, end = list(middle), list(middle)
    start[axis], end[axis] = region.low[axis], region.high[axis]
    runs = body.stretches(
        frame.to_piece((start[0], start[1], start[2])), frame.to_piece((end[0], end[1], end[2]))
    )
    wide, first = width(region, axis), region.low[axis]
    return [(first + low * wide, first + high * wide) for low, high in runs]


def rabbet_floor(join: Join, body_a: Body, body_b: Body) -> Floor | None:
    """Where what is driven through a panel that lies in a rabbet by its edge goes in; ``None`` for any other joint."""
    part = body_a.part
    if join.form is not Form.RABBET or join.side_a.axis is part.facing.axis:
        return None
    lies = let_in(join, body_a, body_b)
    if lies is None:
        return None
    axis, box = part.facing.axis, lies.box
    sign = 1 if body_b.size[axis] - box.high[axis] > box.low[axis] else -1
    return side_of(axis, sign), side_of(axis, -sign), [body_b.to_piece(corner) for corner in box.corners]


def tongue_to_fit(join: Join) -> bool:
    """Whether a tongue is cut to its groove, wherever that lies in the part's thickness: of a frame's rail, and of a
    board as thick as the next; of thinner panels the plan does not say that they have one."""
    if join.tradition is None or "thick" in join.tradition.measures:
        return False
    return join.tradition.kind == "cope and stick" or (
        join.tradition.kind == "tongue and groove" and join.part_a.thickness >= join.part_b.thickness
    )

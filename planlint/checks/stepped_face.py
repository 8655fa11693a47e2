"""Faces that should lie in one surface."""

from collections.abc import Iterator
from math import atan2, cos, degrees, radians
from typing import NamedTuple

from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.vectors import minus
from planlint.language.joint_table import Form
from planlint.model.directions import Axis, Side, side_of
from planlint.model.plan import Join, Part
from planlint.rulebook.limits import NIL
from planlint.text.source import Span

ONE_SURFACE = frozenset({"frame", "mitre", "edge to edge", "edge band", "end to end"})
"""Kinds of joint whose parts are meant to make one surface."""


class FaceStep(NamedTuple):
    """One part that stands proud of another at a side; the other side at which they are flush, if they are."""

    high: Part
    low: Part
    side: Side
    step: float
    """How far A stands proud of B; negative where B does of A."""
    flush: Side | None


class UnlikeMitre(NamedTuple):
    """A mitre of parts of unlike width: how long the cut of each is, in the order of the join, and the two angles that
    make them alike."""

    join: Join
    longs: tuple[float, float]
    angles: tuple[float, float]


IN_RABBET = "rabbet"
"""The kind of a finding of a board by its face on the floor of a rabbet that is not as deep as it is thick."""
UNLIKE = "mitre"
"""The kind of a finding of a mitre whose two cuts are not as long as one another."""


def stepped_face(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Parts said to be flush differ in thickness: one face steps. Of a mitre the inner edges, where widths differ."""
    limit, intended = rule.limit("step", piece.settings), rule.limit("plain setback", piece.settings)
    for join in piece.plan.joins:
        mitre = _mitre(join)
        step = abs(mitre.longs[0] - mitre.longs[1]) if mitre is not None else 0.0
        if step > limit + NIL and piece.trusted(join):
            yield rule.finding(
                fact=mitre,
                kind=UNLIKE,
                span=join.span,
                at=join,
                measured=step,
                limit=limit,
                basis="step",
            )
        out = _out_of_rabbet(piece, join)
        if limit + NIL < out <= intended + NIL:
            yield rule.finding(
                fact=FaceStep(join.part_a, join.part_b, join.side_b, out, None),
                kind=IN_RABBET,
                span=join.span,
                at=join,
                measured=out,
                limit=limit,
            )
        axis = _surface_axis(join)
        if axis is None:
            continue
        a, b = piece.body(join.part_a), piece.body(join.part_b)
        if (
            a.plain
            and b.plain
            and join.part_a.size[axis] == join.part_b.size[axis]
            and any(p.flush and p.side is not None and p.side.axis is axis for p in join.placings)
        ):
            continue
        if not piece.trusted(join) or piece.kind(join).name not in ONE_SURFACE:
            continue
        steps = [_step(piece, join, axis, sign) for sign in (-1, 1)]
        if not _meant_flush(piece, join, axis, steps, limit):
            continue
        for sign, step in zip((-1, 1), steps, strict=True):
            if not limit + NIL < abs(step) <= intended + NIL:
                continue
            high, low = (join.part_a, join.part_b) if step > 0 else (join.part_b, join.part_a)
            flush = next((s for s, d in zip((-1, 1), steps, strict=True) if abs(d) <= limit + NIL), None)
            yield rule.finding(
                fact=FaceStep(
                    high, low, side_of(axis, sign), step, None if flush is None else side_of(axis, flush)
                ),
                span=_span(join, axis),
                at=join,
                measured=abs(step),
                limit=limit,
            )


def _out_of_rabbet(piece: Piece, join: Join) -> float:
    """How far a board that lies by its face on the floor of a rabbet stands out of it."""
    part, cuts = join.part_a, (cut for cut in join.part_b.removals if cut.kind == "rabbet")
    lies = join.form is Form.RABBET and join.side_a.axis is part.facing.axis and any(cuts)
    return float(part.thickness - join.inset) if lies and piece.trusted(join) else 0.0


def _mitre(join: Join) -> UnlikeMitre | None:
    """Two ends cut across the width that meet square to one another, lying in one surface; ``None`` of any other joint,
    as of a scarf."""
    a, b = join.part_a, join.part_b
    cut_a, cut_b = a.cut_at(join.side_a), b.cut_at(join.side_b)
    if cut_a is None or cut_b is None or a.tapers or b.tapers or a.facing.axis is not b.facing.axis:
        return None
    across = cut_a.long_at.axis is a.across and cut_b.long_at.axis is b.across
    if not across or a.turn != b.turn or a.grain is b.grain or a.width == b.width:
        return None
    first, second = float(a.width), float(b.width)
    even = degrees(atan2(second, first))
    longs = first / cos(radians(float(cut_a.angle))), second / cos(radians(float(cut_b.angle)))
    return UnlikeMitre(join, longs, (even, 90 - even))


def _surface_axis(join: Join) -> Axis | None:
    """The axis square to the surface that both parts lie in; ``None`` where they do not lie in one."""
    a, b = join.part_a, join.part_b
    if a.turn != b.turn:
        return None
    if a.facing.axis is b.facing.axis:
        axis = a.facing.axis
    elif a.stock.sheet != b.stock.sheet:
        axis = (a if a.stock.sheet else b).facing.axis
    else:
        return None
    return None if axis is join.side_a.axis or axis is join.side_b.axis else axis


def _meant_flush(piece: Piece, join: Join, axis: Axis, steps: list[float], limit: float) -> bool:
    """Whether the plan means the faces to lie in one surface.

    It does if it says ``flush`` of either; it does not if it gives a setback or centres the part; where it is
    silent, one pair of faces must lie flush by what is said elsewhere, and no setback be given for either part.
    """
    words = [p for p in join.placings if (p.centred is axis or (p.side is not None and p.side.axis is axis))]
    if any(p.centred is not None or (p.inset and not p.flush) for p in words):
        return False
    if words:
        return True
    set_back = any(
        p.side is not None and p.side.axis is axis and p.inset
        for part in join.parts
        for other in piece.graph.joins_of(part)
        for p in other.placings
    )
    return not set_back and any(abs(step) <= limit + NIL for step in steps)


def _step(piece: Piece, join: Join, axis: Axis, sign: int) -> float:
    """How far A's face stands proud of B's (negative: below), toward one sign of the axis, by the wood that is there.

    Where wood was taken away beside the joint, both the face that is left there and the part's full face may be the
    one that was meant: the pair that lies nearest together counts.
    """
    faces_a = _faces(piece, join, join.part_a, axis, sign)
    faces_b = _faces(piece, join, join.part_b, axis, sign)
    return min(((a - b) * sign for a in faces_a for b in faces_b), key=abs)


def _faces(piece: Piece, join: Join, part: Part, axis: Axis, sign: int) -> list[float]:
    """Where a part's face may be taken to lie on an axis of its own frame (both parts of a joint turn alike)."""
    body = piece.body(part)
    base = _base(piece, join, body)
    cells = [cell.box for cell in body.own_cells] if part.removals else [Box((0.0, 0.0, 0.0), body.size)]
    whole = _reach(cells, axis, sign)
    if not part.removals:
        return [base[axis] + whole]
    side = join.side_of(part)
    bound = body.size[side.axis] if side.sign > 0 else 0.0
    meeting = [cell for cell in cells if abs(cell[side.sign > 0][side.axis] - bound) < NIL]
    near = _reach(meeting or cells, axis, sign)
    return [base[axis] + whole, base[axis] + near] if abs(near - whole) > NIL else [base[axis] + whole]


def _base(piece: Piece, join: Join, body: Body) -> tuple[float, float, float]:
    """Where a body's own frame lies, in axes parallel to it with one origin for both parts of a joint."""
    if body.rotation is None:
        return body.origin
    corner, reference = (0.0, 0.0, 0.0), piece.body(join.part_a)
    return reference.direction_to_own(minus(body.to_piece(corner), reference.to_piece(corner)))


def _reach(cells: list[Box], axis: Axis, sign: int) -> float:
    return max(cell.high[axis] for cell in cells) if sign > 0 else min(cell.low[axis] for cell in cells)


def _span(join: Join, axis: Axis) -> Span:
    for placing in join.placings:
        if placing.flush and placing.side is not None and placing.side.axis is axis:
            return placing.span
    return join.span

"""Whether the piece stands as it stood: every side of every part, before and after, to the last fraction."""

from collections.abc import Iterator
from fractions import Fraction

from planlint.conversion.cut_remains import stretch
from planlint.conversion.cuts_taken_back import bow_radius, hollow
from planlint.conversion.exact_boxes import ExactBox, Slice
from planlint.conversion.size_changes import Change
from planlint.geometry.piece import Piece
from planlint.model.arc_statements import hollow_side, run_of
from planlint.model.directions import Axis, side_of
from planlint.model.plan import Part
from planlint.model.wood_cuts import Scalar
from planlint.placement.part_frames import own_to_piece
from planlint.text.rounding import ROUNDING


def parts_moved(old: Piece, new: Piece, change: Change) -> Iterator[str]:
    """Parts of which a side lies elsewhere than it should after a change, or that are missing."""
    now = new.plan.part_by_name
    shift = _shift(old, new, change)
    for part in old.plan.parts:
        for each in change.slices_of(part):
            other = now.get(each.name)
            if other is None or not _as_it_was(old, new, change, each, other, shift):
                yield part.name


def _as_it_was(
    old: Piece,
    new: Piece,
    change: Change,
    each: Slice,
    other: Part,
    shift: tuple[Scalar, Scalar, Scalar] | None,
) -> bool:
    part = each.part
    if any(other.size[axis] != each.size(axis) for axis in Axis) or other.turn != part.turn:
        return False
    due = {(cut.end, cut.angle, cut.long_at) for cut in part.cuts if change.has_end(each, cut.end)}
    ends = {(cut.end, cut.angle, cut.long_at) for cut in other.cuts}
    if (other.grain, other.facing, ends) != (part.grain, part.facing, due):
        return False
    if _planes_due(each) != _planes_due(Slice(other)) or not _bows_as_due(part, other):
        return False
    boxes = sorted((tuple(cut.low), tuple(cut.high)) for cut in other.removals if cut.kind != "arch")
    if _cuts_due(change, each) != boxes or not _arches_as_due(each, other):
        return False
    if shift is None:
        return True
    was = _corner(part, old, each)
    is_now = _corner(other, new, Slice(other))
    return all(
        abs(float(a) + float(move) - float(b)) < ROUNDING
        for a, b, move in zip(was, is_now, shift, strict=True)
    )


def _planes_due(each: Slice) -> list[tuple[float, ...]]:
    """All planes of curves, tapers and chamfers of a part, in the frame of a piece of it."""
    back = [float(each.cut(side_of(axis, -1))) for axis in Axis]
    curved = (plane for removal in each.part.removals if removal.kind != "arch" for plane in removal.planes)
    trimmed = (plane for trim in each.part.trims if trim.kind != "bow" for plane in trim.planes)
    return sorted(
        tuple(round(x, 6) for x in (*normal, offset - sum(n * b for n, b in zip(normal, back, strict=True))))
        for normal, offset in (*curved, *trimmed)
    )


_BOW_ROUNDING = Fraction(1, 32)
"""Inches by which the radius of a bow may differ that is told anew. Basis: geometry; 1/1000 in of a bow 2 in deep."""


def _bows_as_due(part: Part, other: Part) -> bool:
    """Whether the bows of two parts are the same curves, however long each of them is."""
    bows, others = ([trim for trim in each.trims if trim.kind == "bow"] for each in (part, other))
    return len(bows) == len(others) and all(
        bow.sides == now.sides and abs(bow_radius(bow, part) - bow_radius(now, other)) <= _BOW_ROUNDING
        for bow, now in zip(bows, others, strict=True)
    )


_ARCH_ROUNDING = Fraction(1, 64)
"""Inches by which an arch may lie deeper or less deep that is told anew by points. Basis: geometry; to that they are
told."""


def _arches_as_due(each: Slice, other: Part) -> bool:
    """Whether the arches of a part are the same curves over what is left of it, each from where to where it was."""
    due = []
    for removal in each.part.removals:
        if removal.kind == "arch":
            side = hollow_side(removal, each.part)
            along = run_of(side, each.part.grain, each.part.facing.axis)
            low = each.cut(side_of(along, -1))
            run = max(removal.low[along] - low, Fraction(0)), min(removal.high[along] - low, each.size(along))
            if run[0] < run[1]:
                due.append((removal, side, along, low, run))
    arches = [removal for removal in other.removals if removal.kind == "arch"]
    for (was, side, along, low, run), now in zip(due, arches, strict=False):
        curve, told = hollow(was, side, along, each.part), hollow(now, side, along, other)
        places = (run[0], (run[0] + run[1]) / 2, run[1])  # Three points tell an arc.
        if run != (now.low[along], now.high[along]) or hollow_side(now, other) is not side:
            return False
        if any(abs(curve.at(place + low) - told.at(place)) > _ARCH_ROUNDING for place in places):
            return False
    return len(due) == len(arches)


def _cuts_due(change: Change, each: Slice) -> list[tuple[tuple[Fraction, ...], tuple[Fraction, ...]]]:
    """What must be cut from a piece of a part: the low and high corners of every cut in its own frame."""
    part, due = each.part, []
    for number, cut in enumerate(part.removals):
        if cut.kind == "arch":
            continue
        remains = change.remains.get(part.name, {}).get(number)
        boxes = [ExactBox(cut.low, cut.high)]
        if remains is not None and not remains.whole:
            boxes = [stretch(boxes[0], remains.along, low, high) for low, high in remains.runs]
        for box in boxes:
            low = [
                max(at - each.cut(side_of(axis, -1)), Fraction(0))
                for axis, at in zip(Axis, box.low, strict=True)
            ]
            high = [
                min(at - each.cut(side_of(axis, -1)), each.size(axis))
                for axis, at in zip(Axis, box.high, strict=True)
            ]
            if all(a < b for a, b in zip(low, high, strict=True)):
                due.append((tuple(low), tuple(high)))
    return sorted(due)


def _corner(part: Part, piece: Piece, each: Slice) -> tuple[Scalar, Scalar, Scalar]:
    """Where the low corner of a piece of a part lies."""
    own = [each.cut(side_of(axis, -1)) for axis in Axis]
    return own_to_piece(part, piece.placement.position(part), own)


def _shift(old: Piece, new: Piece, change: Change) -> tuple[Scalar, Scalar, Scalar] | None:
    """How far the whole piece moved: positions count from its lowest corner, which may have been taken back."""
    now = new.plan.part_by_name
    for part in sorted(old.plan.parts, key=lambda each: (each.name in change.slices, each.turn is not None)):
        for each in change.slices_of(part):
            other = now.get(each.name)
            if other is None:
                return None
            corner, at = _corner(part, old, each), _corner(other, new, Slice(other))
            x, y, z = (float(b) - float(a) for a, b in zip(corner, at, strict=True))
            return x, y, z
    return None

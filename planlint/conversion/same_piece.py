"""Whether the piece stands as it stood: every side of every part, before and after, to the last fraction."""

from __future__ import annotations

from collections.abc import Iterator

from planlint.conversion.exact_boxes import Slice, box_of
from planlint.conversion.size_changes import Change
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis, Side, side_of
from planlint.model.plan import Part
from planlint.placement.part_frames import Scalar, own_to_piece

_ROUNDING = 1e-6
"""Inches by which a part turned at an odd angle may seem to move through rounding."""


def moved(old: Piece, new: Piece, change: Change) -> Iterator[str]:
    """Parts of which a side lies elsewhere than it should after a change, or that are missing."""
    now = new.plan.part_by_name
    shift = _shift(old, new, change)
    for part in old.plan.parts:
        for each in change.slices_of(part):
            other = now.get(each.name)
            if other is None or not _as_it_was(old, new, each, other, shift):
                yield part.name


def _as_it_was(
    old: Piece, new: Piece, each: Slice, other: Part, shift: tuple[Scalar, Scalar, Scalar] | None
) -> bool:
    part = each.part
    if any(other.size[axis] != each.size(axis) for axis in Axis) or other.turn != part.turn:
        return False
    if (other.grain, other.facing, other.cuts and True) != (part.grain, part.facing, part.cuts and True):
        return False
    if shift is None:
        return True
    box, before = box_of(other, new.placement), each.box(old.placement)
    if box is not None and before is not None:
        return all(
            box.plane(side) == before.plane(side) + shift[side.axis]
            for side in (Side.LEFT, Side.FRONT, Side.BOTTOM)
        )
    was = _corner(part, old, each)
    is_now = _corner(other, new, Slice(other))
    return all(
        abs(float(a) + float(move) - float(b)) < _ROUNDING
        for a, b, move in zip(was, is_now, shift, strict=True)
    )


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
            was, is_now = each.box(old.placement), box_of(other, new.placement)
            if was is not None and is_now is not None:
                x, y, z = (b - a for a, b in zip(was.low, is_now.low, strict=True))
                return x, y, z
            corner, at = _corner(part, old, each), _corner(other, new, Slice(other))
            x, y, z = (float(b) - float(a) for a, b in zip(corner, at, strict=True))  # type: ignore[assignment]
            return x, y, z
    return None

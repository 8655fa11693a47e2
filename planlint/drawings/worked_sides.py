"""Which sides of a part its sheet shows: all that are worked, and for each cut and shape one that shows its outline."""

from collections.abc import Iterable, Iterator

from planlint.model.directions import SIDES, Axis, Side, side_of
from planlint.model.plan import Part
from planlint.model.wood_cuts import Removal, Trim
from planlint.sheet.arc_shapes import arc_shapes
from planlint.sheet.cut_list import cut_outs


def worked_sides(part: Part, worked: Iterable[Side], met: Iterable[Side] = ()) -> list[Side]:
    """The broad faces first, with those that other parts meet, of a post its edges too; of a part that is not worked
    an edge that they meet, else its face."""
    along = [side for side in met if not part.is_end(side)]
    broad = [side for side in along if part.is_face(side) or 2 * part.thickness > part.width]
    shown = {*worked, *broad} or set(along[:1])
    for outlined in (*_of_cuts(part), *_of_trims(part)):
        if shown.isdisjoint(outlined):
            shown.add(part.facing if part.facing in outlined else outlined[0])
    return sorted(shown or {part.facing}, key=lambda side: (not part.is_face(side), SIDES.index(side)))


def opens_to(part: Part, removal: Removal, side: Side) -> bool:
    """Whether wood is taken out of a side itself, not only behind it."""
    return not part.inside(side, removal.low, removal.high)


def _of_cuts(part: Part) -> Iterator[list[Side]]:
    """For each cut the sides on which it is seen for what it is."""
    for cut, removal in zip(cut_outs(part), part.removals, strict=True):
        if cut.kind != "arch":
            opened = [side for side in SIDES if opens_to(part, removal, side)]
            # A groove in an edge opens to the ends, too.
            yield [side for side in opened if part.is_face(side) or side is cut.face] or [cut.face]
    for arc in arc_shapes(part):
        yield _across(arc.level)


def _of_trims(part: Part) -> Iterator[list[Side]]:
    """For each taper or rounded corner the sides on which its outline is seen; one along the grain is told in words."""
    for trim in part.trims:
        for level in _levels(trim):
            if level is not part.grain:
                yield _across(level)


def _levels(trim: Trim) -> Iterator[Axis]:
    if trim.kind in {"chamfer", "rounding"}:
        one, other = trim.sides
        yield Axis(3 - one.axis - other.axis)
    elif trim.at is not None:
        yield from (Axis(3 - side.axis - trim.at.axis) for side in trim.sides)


def _across(level: Axis) -> list[Side]:
    return [side_of(level, -1), side_of(level, 1)]

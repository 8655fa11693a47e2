"""Each part as it goes to the drill: the faces that are worked, with all that is set out on them."""

from collections import Counter
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

from planlint.checks.row_view import Row, rows
from planlint.drawings.broken_axis import GAP, BrokenAxis, broken, kept_long
from planlint.drawings.drawn_view import Room
from planlint.drawings.face_marks import (
    APART,
    Flatwise,
    flatwise,
    from_joint,
    lines_of_distances,
    set_out,
    settled_shapes,
    square,
)
from planlint.drawings.fastener_marks import fastener_captions, fasteners_on, taken_up
from planlint.drawings.grain_spot import flat_grain_sign
from planlint.drawings.hidden_lines import EdgeRun, Scene
from planlint.drawings.joined_wood import bodies_as_cut, floats
from planlint.drawings.meeting_marks import met_places
from planlint.drawings.paper_lines import inked
from planlint.drawings.piece_sheets import EDGE, HEAD, SIZE, SMALL, titled
from planlint.drawings.primitives import (
    Item,
    Line,
    Sheet,
    Text,
    abbreviated,
    dimension,
    named_scale,
    paper_of,
    scale_words,
    words_cut_off,
    wrapped,
)
from planlint.drawings.text_overlaps import parted
from planlint.drawings.viewpoints import SeenAt
from planlint.drawings.worked_sides import worked_sides
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import AXES
from planlint.model.directions import SIDES, Axis, Side
from planlint.model.plan import Part, Trim
from planlint.reports.safe_words import count, visible
from planlint.reports.setout_words import shape_words
from planlint.sheet.joint_setouts import shaped_parts
from planlint.text.measures import degrees, length, listed, to_sixteenth
from planlint.wording.row_words import screw_length, setting_out

CROWDED = 0.5
"""A side that shares its sheet is drawn at least so large as it would be alone. Basis: our own judgement."""
_ROUND = 1.25
"""Inches of wood drawn round what is worked, where a long part is broken. Basis: our own judgement."""
_NAMES = {"top": "top", "bottom": "underside"}


def part_sheets(piece: Piece, part: Part) -> Iterator[Sheet]:
    """The worked faces of a part, two to a sheet where both have room."""
    wide, high = paper_of(piece.plan.unit)
    mine = [row for row in rows(piece) if row.part is part]
    others = fasteners_on(piece, part)
    worked = [row.asked.face for row in mine] + [each.side for each in others]
    met = [each.side for each in met_places(piece)[part.index]]
    sides = worked_sides(
        part, [*worked, *(each.side for each in settled_shapes(piece, part) if each.lets_in)], met
    )
    faces = [_face(piece, part, side) for side in sides]
    for number, together in enumerate(_shared_out(piece, part, faces, wide, high)):
        shown = [face.lying.side for face in together]
        words = _captions(piece, part, [row for row in mine if row.asked.face in shown])
        words += fastener_captions(piece, [each for each in others if each.side in shown])
        words = [line for each in words for line in wrapped(each, SIZE, wide - 2 * EDGE, 2)]
        foot = 4.0 * len(words)
        each = (high - 2 * EDGE - HEAD - foot) / len(shown)
        items: list[Item] = []
        for place, face in enumerate(together):
            top = EDGE + HEAD + place * each
            items += _face_drawing(piece, part, face, (EDGE, top, wide - EDGE, top + each - 3))
        name, more = visible(part.name), f", {number + 1}" if number else ""
        title = f"{abbreviated(name, 3.5, 60)}{more}"
        its = f"{name}, {_size(piece, part)}; its {listed([s.value for s in shown])} as worked."
        mark = f"part-{part.index}{f'-{number + 1}' if number else ''}"
        says = " ".join([its, *words])
        yield titled(piece, mark, f"part {name}", says, parted(items), f"Part {title}", words)


def _size(piece: Piece, part: Part) -> str:
    unit = piece.plan.unit
    return (
        f"{length(part.length, unit)} long, {length(part.width, unit)} wide, {length(part.thickness, unit)} thick, "
        f"{visible(part.stock.material.name)}"
    )


def _captions(piece: Piece, part: Part, mine: Sequence[Row]) -> list[str]:
    """What stands under the drawing: the part's size and, for each row, what is drilled and driven."""
    unit = piece.plan.unit
    words = [_size(piece, part) + "."]
    words += [
        f"{cut.end.value.capitalize()} {'end' if part.is_end(cut.end) else 'edge'} cut {degrees(cut.angle)}, "
        f"long at {cut.long_at.value}."
        for cut in part.cuts
        if cut.angle
    ]
    words += [
        f"{told[0].upper()}{told[1:]}."
        for told in shape_words(part, shaped_parts(piece).get(part.index, ()), unit)
    ]
    for row in mine:
        many = len(row.pockets)
        screw = row.screws[0]
        words.append(
            f"In the {row.asked.face.value}, toward {row.side.value}, into {visible(row.into.name)}: "
            f"{count(many, 'pocket')} at {setting_out(row)}, "
            f"mouth{'' if many == 1 else 's'} {to_sixteenth(from_joint(row), piece.plan.unit)} from the joint; "
            f"{screw.thread} {screw_length(screw.length, piece.plan.unit)} screws"
            f"{', plugged' if row.asked.plugged else ''}."
        )
    return words


# ---------------------------------------------------------------- one face


class _FaceView(NamedTuple):
    """One side of a part, looked at: its rows, its edges, and the box round them, in inches."""

    lying: Flatwise
    mine: list[Row]
    stretches: list[EdgeRun]
    box: Room
    taken: Counter[str]
    """How many lines of distances stand on each side of it."""


def _face(piece: Piece, part: Part, side: Side) -> _FaceView:
    fasteners = [each for each in fasteners_on(piece, part) if each.side is side]
    lying = flatwise(
        bodies_as_cut(piece)[part.index],
        side,
        fasteners,
        [
            each
            for each in settled_shapes(piece, part)
            if each.side is side or (each.stays and each.side.axis is not side.axis)
        ],
        [each for each in met_places(piece)[part.index] if each.side is side],
    )
    mine = [row for row in rows(piece) if row.part is part and row.asked.face is side]
    stretches = Scene([lying.body], lying.view).stretches()
    xs, ys = zip(*(end for each in stretches for end in (each.a, each.b)), strict=True)
    taken = lines_of_distances(part, side, lying, mine)
    return _FaceView(lying, mine, stretches, (min(xs), min(ys), max(xs), max(ys)), taken)


def _shared_out(
    piece: Piece, part: Part, faces: Sequence[_FaceView], wide: float, high: float
) -> Iterator[Sequence[_FaceView]]:
    """The sides that come on a sheet together."""
    whole = EDGE, EDGE + HEAD, wide - EDGE, high - EDGE - 16.0
    half = *whole[:3], (whole[1] + whole[3]) / 2
    alone = [
        len(faces) > 1
        and _laid_out(piece, part, face, half)[2] < CROWDED * _laid_out(piece, part, face, whole)[2]
        for face in faces
    ]
    first = 0
    while first < len(faces):
        many = 1 if any(alone[first : first + 2]) else 2
        yield faces[first : first + many]
        first += many


def _face_drawing(piece: Piece, part: Part, face: _FaceView, room: Room) -> list[Item]:
    """One side of a part in a room on paper: outline, cuts, mouths, and all distances."""
    lying, mine, stretches, box, taken = face
    side = lying.side
    axis, frame_y, scale = _laid_out(piece, part, face, room)

    def paper(at: SeenAt) -> SeenAt:
        return axis.at(at[0]), frame_y - scale * at[1]

    items: list[Item] = []
    lines = inked(stretches, [("seen", None, False), ("hidden", None, True)])
    rims = [
        (lying.flat(a), lying.flat(b))
        for met in lying.met
        for patch in met.patches
        for a, b in zip(patch, (*patch[1:], patch[0]), strict=True)
    ]
    for kind, segments in (*lines.items(), ("neighbour", rims)):
        for a, b in segments:
            items += [
                Line(kind, ((p[0], frame_y - scale * p[1]), (q[0], frame_y - scale * q[1])))
                for p, q in axis.segments(a, b)
            ]
    top, base = frame_y - scale * box[3], frame_y - scale * box[1]
    items += [line for at in axis.breaks for line in _break_lines(*at, top, base)]
    unit = piece.plan.unit
    under = 14.0 + APART * taken["under"] if taken["under"] else 10.0
    items += dimension((axis.start, base), (axis.end, base), -under, length(_reach(part, lying, 0), unit))
    beside = 11.0 + APART * taken["left"] if taken["left"] else 10.0
    items += dimension((axis.start, base), (axis.start, top), beside, length(_reach(part, lying, 1), unit))
    title = f"The {_NAMES.get(side.value, side.value)}, {scale_words(scale)}" + (
        ", broken" if axis.breaks else ""
    )
    items.append(Text((room[0], room[1] + 3.0), title, 3.2, bold=True))
    if part.grain is not side.axis:
        items += flat_grain_sign(axis, lying, mine, box, paper, items)
    outline = axis.start, top, axis.end, base
    items += _neighbours(piece, part, face, outline, room, broken_off=bool(axis.breaks))
    items += set_out(piece, part, side, lying, mine, paper, outline, items)
    return items


def _reach(part: Part, lying: Flatwise, way: int) -> Fraction:
    """The size of a part across the paper (0) or up it (1): that of the board it is sawn from."""
    return next(part.size[axis] for axis in Axis if abs(lying.flat(AXES[axis])[way]) > 0.5)


def _laid_out(piece: Piece, part: Part, face: _FaceView, room: Room) -> tuple[BrokenAxis, float, float]:
    """The axis along the part, and the height and scale across it. Where all of it would make what is worked too small,
    the stretches between are left out."""
    lying, mine, _, box, taken = face
    left, top, right, bottom = room
    wide = right - left - 44.0 - APART * max(1, taken["left"]) - APART * max(1, taken["right"])
    high = bottom - top - 26.0 - APART * (taken["over"] + taken["under"])
    unit = piece.plan.unit
    whole = box[0], box[2]
    most = high / (box[3] - box[1])
    size = box[2] - box[0], box[3] - box[1]
    scale = named_scale(min(most, wide / size[0]), unit, enlarged=max(size) < SMALL)
    axis = BrokenAxis((whole,), scale, 0.0)
    wanted = _worked(piece, part, lying, mine, whole)
    long, breaks = kept_long(whole, wanted, 3.0)
    tight = scale * piece.settings.profile.bit_diameter < 2.3 and bool(
        mine or part.removals or lying.fasteners or lying.shaped
    )
    if breaks and (tight or scale * (box[3] - box[1]) < 8.0):
        larger = named_scale(min(most, (wide - breaks * GAP) / long, 25.4), unit)
        if larger > 1.2 * scale:
            scale = larger
            axis = broken(whole, wanted, scale, 0.0, 3.0)
    start = (left + right - axis.end) / 2
    axis = axis._replace(start=start)
    middle = (top + bottom) / 2 + APART / 2 * (taken["over"] - taken["under"]) - 2.0
    return axis, middle + scale * (box[1] + box[3]) / 2, scale


def _worked(
    piece: Piece, part: Part, lying: Flatwise, mine: Sequence[Row], whole: tuple[float, float]
) -> list[tuple[float, float]]:
    """Stretches along a part in which something is worked, and its ends."""
    found = [(whole[0], whole[0] + _ROUND), (whole[1] - _ROUND, whole[1])]
    body = piece.body(part)
    for row in mine:
        for pocket in row.pockets:
            for point in (pocket.tail, pocket.exit):
                x, _ = lying.flat(body.to_own(point))
                found.append((x - _ROUND, x + _ROUND))
    for point in (*taken_up(lying.fasteners), *(end for met in lying.met for end in met.box)):
        x, _ = lying.flat(point)
        found.append((x - _ROUND, x + _ROUND))
    cuts = [(cut.low, cut.high, bool(cut.planes)) for cut in part.removals]
    for one, other, curved in (*cuts, *((cut.low, cut.high, False) for cut in lying.shaped)):
        low, high = sorted(lying.flat(floats(at))[0] for at in (one, other) if at is not None)
        if curved:
            found.append((low - _ROUND, high + _ROUND))
        found += [(x - _ROUND, x + _ROUND) for x in (low, high)]
    for trim in part.trims:
        found += _trimmed(trim, lying, whole)
    for cut in part.cuts:
        reach = float(part.size[cut.long_at.axis])
        ends = (whole[0], whole[0] + 2 * reach) if cut.end.sign < 0 else (whole[1] - 2 * reach, whole[1])
        found.append(ends)
    return found


def _trimmed(trim: Trim, lying: Flatwise, whole: tuple[float, float]) -> Iterator[tuple[float, float]]:
    """The stretch along a part that a taper, a chamfer … shapes; of one that runs along all of it, its ends do."""
    if trim.kind == "bow":
        yield whole
    for side in trim.sides:
        x, _ = lying.flat(square(side))
        deep = float(max(trim.sizes))
        if abs(x) > 0.5:
            yield (whole[1] - deep - _ROUND, whole[1]) if x > 0 else (whole[0], whole[0] + deep + _ROUND)
    if trim.at is not None:
        x, _ = lying.flat(square(trim.at))
        start = float(trim.sizes[1])
        if abs(x) > 0.5:
            yield (whole[0] + start - _ROUND, whole[1]) if x > 0 else (whole[0], whole[1] - start + _ROUND)


def _break_lines(left: float, right: float, top: float, base: float) -> Iterator[Item]:
    """Two thin zigzag lines beside a break."""
    middle = (top + base) / 2
    for x in (left, right):
        zigzag = (x, middle - 1.5), (x + 0.9, middle - 0.7), (x - 0.9, middle + 0.7), (x, middle + 1.5)
        yield Line("thin", ((x, top - 2), *zigzag, (x, base + 2)))


def _neighbours(
    piece: Piece,
    part: Part,
    face: _FaceView,
    outline: Room,
    room: Room,
    *,
    broken_off: bool,
) -> list[Item]:
    """Which side meets what, written beside that side."""
    meets: dict[Side, list[str]] = {}
    for join in piece.graph.joins_of(part):
        own, other, theirs = (
            (join.side_a, join.part_b, join.side_b)
            if join.part_a is part
            else (join.side_b, join.part_a, join.side_a)
        )
        meets.setdefault(own, []).append(f"{visible(other.name)}.{theirs.value}")
    left, top, right, base = outline
    lying, taken = face.lying, face.taken
    items: list[Item] = []
    for where in SIDES:
        if where.axis is lying.side.axis:
            continue
        x, y = lying.flat(square(where))
        names = meets.get(where)
        words = f"{where.value}" + (f": meets {listed(list(dict.fromkeys(names)), 3)}" if names else "")
        if abs(x) > 0.5:
            # Beside the end; where distances are set out there, at its corner.
            edge, out, anchor = (left, -1.0, "end") if x < 0 else (right, 1.0, "start")
            at = edge + (2.0 if x > 0 else -28.0), (top + base) / 2
            if taken["left" if x < 0 else "right"]:
                at = edge + 1.5 * out, base + 6.6 if taken["over"] else top - 4.0
            wide = (at[0] - room[0]) if x < 0 else (room[2] - at[0])
        else:
            off = 1.2 if broken_off else 0.0  # The lines of a break stand out.
            anchor = "middle"
            over = top - (6.0 + APART * taken["over"] if taken["over"] else 2.0 + off)
            under = base + (8.0 + APART * taken["under"] if taken["under"] else 4.5 + off)
            at = (left + right) / 2, over if y > 0 else under
            # What stands at the corners, beside distances, ends where the outline begins.
            wide = right - left + (-2 if taken["left"] or taken["right"] else 20)
        items.append(Text(at, words_cut_off(words, SIZE, wide), SIZE, anchor))
    return items

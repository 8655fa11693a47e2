"""One picture for each step of the order of work: what stands, what comes, where screws go and clamps stand."""

from collections.abc import Iterator

from planlint.checks.row_view import rows_of
from planlint.drawings.drawn_view import Drawn, Room, drawn, sign_spots
from planlint.drawings.face_marks import square
from planlint.drawings.joined_wood import bodies_as_cut
from planlint.drawings.margin_labels import Label, Margins, margin_labels
from planlint.drawings.parts_alone import joint_at
from planlint.drawings.piece_sheets import EDGE, HEAD, LABELS, SIZE, in_doubt, titled, uncertain
from planlint.drawings.primitives import Area, Item, Line, Sheet, Text, arrow, paper_of, ring, wrapped
from planlint.drawings.viewpoints import SeenAt, parallel
from planlint.geometry.joint_facts import Vector
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import dot, norm, plus, scaled
from planlint.model.directions import Side
from planlint.reports.safe_words import visible
from planlint.reports.step_joints import driven_words, joint_name
from planlint.reports.step_names import Names, comes
from planlint.wording.row_words import screw_name, setting_out
from planlint.workplan.step_data import JoinWork, Step
from planlint.workplan.work_steps import work_steps

PULLED = 0.22
"""How far what comes is drawn away, as a share of the step's largest measure. Basis: our own judgement."""


def step_sheet(piece: Piece, step: Step, of: int) -> Sheet:
    """One step; ``of`` is how many there are."""
    wide, high = paper_of(piece.plan.unit)
    words = step_words(piece, step)
    lines = [line for words_ in words for line in wrapped(words_, 3.1, wide - 2 * EDGE, 2)]
    if len(lines) > MOST_LINES:
        lines = [*lines[: MOST_LINES - 1], "… and more joints: `planlint steps PLAN` tells them all."]
    foot = 4.4 * len(lines) + 4
    room: Room = (EDGE, EDGE + HEAD, wide - EDGE, high - EDGE - foot)
    items = step_picture(piece, step, room)
    items += [
        Text((EDGE, high - EDGE - foot + 5 + 4.4 * n), line, 3.1, bold=n == 0) for n, line in enumerate(lines)
    ]
    name, title = f"step {step.number}", f"Step {step.number} of {of}"
    return titled(piece, f"step-{step.number}", name, " ".join(words), items, title)


MOST_LINES = 9
"""Lines of words under the picture of a step. Basis: our own judgement, so that the picture keeps its room."""
_SMALL = (108.0, 52.0)
"""Most paper of a picture beside words, mm. Basis: our own judgement, as wide as names stay readable beside it."""


def step_sketch(piece: Piece, step: Step) -> Sheet:
    """The picture of one step alone, no higher than it has to be, to stand with the words of the order of work."""
    wide, high = _SMALL
    title = f"Step {step.number}"
    items = step_picture(piece, step, (1.0, 1.0, wide - 1.0, high - 1.0))
    ys = [y for item in items for y in _heights(item)] or [0.0, high]
    top, high = min(ys) - 1.0, max(ys) - min(ys) + 2.0
    items = [_raised(item, top) for item in items]
    return Sheet(f"sketch-{step.number}", title, " ".join(step_words(piece, step)), wide, high, tuple(items))


def _heights(item: Item) -> tuple[float, ...]:
    """From where to where it reaches, down the paper."""
    if isinstance(item, Text):
        return item.at[1] - item.size, item.at[1] + item.size / 3
    return tuple(y for _, y in item.points)


def _raised(item: Item, by: float) -> Item:
    if isinstance(item, Text):
        return item._replace(at=(item.at[0], item.at[1] - by))
    return item._replace(points=tuple((x, y - by) for x, y in item.points))


def step_words(piece: Piece, step: Step) -> list[str]:
    """What a step says: what comes to what, and each joint with its screws; in the words of the order of work."""
    names = _names(piece)
    if step.stuck:
        return [
            f"No order of work puts {names.of(step.added[0])} together: its joints are in one another's way."
        ]
    said = [" ".join(names.what(step)) + "."]
    said += [f"{label}: {words}." for label, words in (*names.lies(step), *names.alike(step), *comes(step))]
    for work in step.work:
        said += _work_words(piece, work)
    return said + in_doubt(piece, [*step.comes, *step.stands])


@of_piece
def _names(piece: Piece) -> Names:
    return Names(work_steps(piece))


def _work_words(piece: Piece, work: JoinWork) -> Iterator[str]:
    join, sides = work.join, joint_name(work.join)
    mine, driven = rows_of(piece, work.join), piece.fasteners(work.join)
    if not mine and not driven:
        yield f"{sides}{f', {join.tradition.kind}' if join.tradition else ''}{', glued' if join.glue else ''}."
    for row in mine:
        screw = row.screws[0]
        yield (
            f"{sides}: pockets in the {row.asked.face.value} of {visible(row.part.name)}, "
            f"{setting_out(row)}; {screw_name(row, screw)}, No. {screw.gauge}."
        )
    for each in driven:
        yield f"{sides}: {driven_words(each, piece.plan.unit)}."


def step_picture(piece: Piece, step: Step, room: Room) -> list[Item]:
    """What stands, and what comes drawn away from it along its joints, from above a corner of it as it lies."""
    pull = _pull(piece, step)
    cut = bodies_as_cut(piece)
    bodies = [cut[part.index] for part in step.stands]
    bodies += [cut[part.index].moved(pull) for part in step.comes]
    inner = (room[0] + LABELS, room[1] + 4, room[2] - LABELS, room[3] - 6)
    comes = [part.index for part in step.comes]
    doubtful = uncertain(piece)
    bold = [number for number in comes if number not in doubtful]
    lying = parallel("corner", *looked_at(step))
    shown = drawn(
        bodies, lying, inner, most=12.7, hidden=False, bold=bold, bold_kind="changed", doubtful=doubtful
    )
    items = list(shown.items)
    if norm(pull) > 0:
        for work in step.work:
            at = joint_at(piece, work.join)
            items += _move_arrow(shown, plus(at, pull), at)
    for work in step.work:
        items += _screws(piece, shown, work, pull, comes)
        items += _clamps(piece, shown, work, pull, comes)
    xs = [x for item in shown.items if isinstance(item, Line) for x, _ in item.points] or [room[0]]
    margins = Margins(room[0], min(xs) - 2, max(xs) + 2, room[2], room[1], room[3] - 4)
    labels: list[Label] = []
    for part in (*step.comes, *step.stands):
        if len(labels) == margins.holds(SIZE):
            break
        # A place is sought only where there is room for its name: that takes long.
        if (place := sign_spots(shown, {part.index}).get(part.index)) is not None:
            labels.append(Label(visible(part.name), place.at, bold=part.index in comes))
    items += margin_labels(labels, margins)
    if step.down is not Side.BOTTOM:
        under = (min(xs) + max(xs)) / 2, max(y for item in items for y in _heights(item)) + 4
        items.append(Text(under, f"Drawn as it lies, its {step.down.value} down", SIZE, "middle"))
    return items


def looked_at(step: Step) -> tuple[Vector, Vector]:
    """From which way one looks at the work as it lies in a step, and which way is up there."""
    return _TOWARD[step.down], scaled(square(step.down), -1)


_TOWARD: dict[Side, Vector] = {
    Side.BOTTOM: (1, -1, 1),
    Side.TOP: (-1, -1, -1),
    Side.BACK: (1, -1, -1),
    Side.FRONT: (1, 1, 1),
    Side.LEFT: (1, -1, -1),
    Side.RIGHT: (-1, -1, 1),
}
"""By the side that is down, from where one looks: the front right corner as it comes to lie, the piece turned over
toward its nearest side."""


def _pull(piece: Piece, step: Step) -> Vector:
    """Which way what comes is drawn away: back along the way it comes in; not at all where that is not settled."""
    if step.way is None or step.stuck:
        return 0.0, 0.0, 0.0
    boxes = [piece.body(part).bounds for part in (*step.comes, *step.stands)]
    size = max(max(box.high[i] for box in boxes) - min(box.low[i] for box in boxes) for i in range(3))
    way = scaled(step.way.last, -PULLED * size)
    return way if step.way.first is None else plus(way, step.way.first, -PULLED * size)


def _move_arrow(shown: Drawn, start: Vector, end: Vector) -> list[Item]:
    a, b = shown.on_paper(start), shown.on_paper(end)
    way = (b[0] - a[0], b[1] - a[1])
    return [Line("neighbour", (a, b)), arrow(b, way, size=2.4)]


def _screws(piece: Piece, shown: Drawn, work: JoinWork, pull: Vector, comes: list[int]) -> list[Item]:
    """Each screw, bolt or nail as an arrow to where it goes in."""
    driven = [(row.part, row.screws) for row in rows_of(piece, work.join)]
    driven += [(row.body.part, row.drives) for row in piece.fasteners(work.join)]
    items: list[Item] = []
    for part, screws in driven:
        by = pull if part.index in comes else (0.0, 0.0, 0.0)
        for screw in screws:
            mouth = plus(screw.pocket.mouth, by)
            tip, tail = shown.on_paper(mouth), shown.on_paper(plus(mouth, screw.pocket.direction, -3.0))
            way: SeenAt = (tip[0] - tail[0], tip[1] - tail[1])
            items += [Line("measure", (tail, tip)), arrow(tip, way, "fault", 2.2)]
    return items


def _clamps(piece: Piece, shown: Drawn, work: JoinWork, pull: Vector, comes: list[int]) -> list[Item]:
    """The two pads of a clamp as bars on the sides that they press."""
    clamp = work.clamp
    if clamp is None or clamp.again:
        return []
    items: list[Item] = []
    middle = joint_at(piece, work.join)
    ends = []
    for part, side in ((clamp.part_a, clamp.pad_a), (clamp.part_b, clamp.pad_b)):
        plane = piece.body(part).planes[side]
        at = plus(middle, plane.normal, plane.depth(middle))
        if part.index in comes:
            at = plus(at, pull)
        out = shown.on_paper(plus(at, plane.normal, 1.0))
        place = shown.on_paper(at)
        ends.append(place)
        way = (place[0] - out[0], place[1] - out[1])
        items += [
            Area("steel", ring(place, 1.1, 1.1, 12)),
            Line("thin", ring(place, 1.1, 1.1, 12), closed=True),
        ]
        if dot(plane.normal, shown.scene.view.toward) != 0 and way != (0.0, 0.0):
            items.append(arrow(place, way, size=2.6))
    return [*items, Line("axis", (ends[0], ends[1]))]

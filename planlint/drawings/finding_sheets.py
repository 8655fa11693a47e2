"""Each finding where it lies: the piece with its parts marked, what is wrong near by, and the words of the report."""

from collections.abc import Callable, Sequence

from planlint.checks.bore_cover import NarrowMitre, Tight
from planlint.checks.fastener_fit import DriveFault
from planlint.checks.joint_wood import NoWood
from planlint.checks.row_view import Row, rows
from planlint.checks.stepped_face import FaceStep
from planlint.drawings.bore_close_ups import (
    bore_close_up,
    distance_close_up,
    face_close_up,
    grain_close_up,
    length_close_up,
    screw_close_up,
    thickness_close_up,
    tip_close_up,
)
from planlint.drawings.close_ups import NO_MEASURE, Between, ByFact, CloseUp, Measure
from planlint.drawings.drawn_view import Room, drawn, sign_spots
from planlint.drawings.drive_close_up import drive_close_up
from planlint.drawings.fit_close_ups import FITS, step_close_up
from planlint.drawings.joined_wood import bodies_as_cut
from planlint.drawings.load_close_ups import LOADS
from planlint.drawings.margin_labels import Label, names_beside
from planlint.drawings.meeting_close_up import MEETINGS
from planlint.drawings.parts_alone import ALONE, best_corner, joint_at, parts_alone, ways_in
from planlint.drawings.piece_sheets import EDGE, HEAD, titled, uncertain
from planlint.drawings.place_close_ups import driver_close_up, eye_close_up
from planlint.drawings.primitives import Item, Line, Sheet, Text, paper_of, ring, words_cut_off, wrapped
from planlint.drawings.stock_close_ups import STOCK
from planlint.drawings.tongue_close_up import tongue_close_up
from planlint.drawings.viewpoints import VIEW_WORDS, VIEWS
from planlint.drawings.wood_close_ups import WOOD
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import dot, minus, plus
from planlint.model.plan import Join, Part
from planlint.reports.safe_words import count, held_against, measured, target, visible
from planlint.workplan.way_out import BuiltIn

Draws = Callable[[Piece, Finding, Row, Room, Measure], CloseUp | None]


def finding_sheet(piece: Piece, finding: Finding, number: int) -> Sheet:
    """One finding; ``number`` is its place in the report, from 1."""
    return finding_drawing(piece, finding, number)[0]


def finding_drawing(piece: Piece, finding: Finding, number: int) -> tuple[Sheet, Between | None]:
    """The sheet of a finding, and where in the piece the measure on it lies."""
    wide, high = paper_of(piece.plan.unit)
    words = _words(finding, piece.plan.unit, wide - 2 * EDGE)
    foot = 4.4 * len(words) + 6
    split = EDGE + (wide - 2 * EDGE) * 0.42
    base = high - EDGE - foot
    parts = parts_of(piece, finding)
    place: Room = (EDGE, EDGE + HEAD, split - 4, base - 4)
    near: Room = (split, EDGE + HEAD, wide - EDGE, base - 2)
    items: list[Item] = []
    located, where = locator(piece, parts, piece.plan.join_by_name.get(finding.joint or ""), place)
    items += located
    shown = close_up(piece, finding, parts, (near[0], near[1] + 8, near[2], near[3]))
    if shown is not None:
        items += [
            Text(
                (near[0], near[1] + 2.0),
                words_cut_off(shown.title, 3.0, near[2] - near[0], bold=True),
                3.0,
                bold=True,
            )
        ]
        items += [Line("thin", ((split - 2, EDGE + HEAD), (split - 2, base - 4))), *shown.items]
    items += [Text((EDGE, EDGE + HEAD + 2.0), where, 3.0, bold=True)]
    y = high - EDGE - foot + 4
    for line, bold in words:
        items += [Text((EDGE, y), line, 3.1, bold=bold)]
        y += 4.4
    title = f"{number}  {finding.grade.word}: {finding.rule}"
    says = " ".join([f"{finding.grade.word.capitalize()}: {finding.rule}.", *(line for line, _ in words)])
    sheet = titled(piece, f"finding-{number}", f"{finding.rule}, {target(finding)}", says, items, title)
    return sheet, None if shown is None else shown.between


def _words(finding: Finding, unit: str, room: float) -> list[tuple[str, bool]]:
    lines = [(line, True) for line in wrapped(visible(finding.says), 3.4, room, 3)]
    label, against = measured(finding, unit)
    lines += [(line, False) for line in wrapped(f"{label}: {visible(against)}.", 3.1, room, 2)]
    for repair in finding.repairs[:2]:
        lines += [(line, False) for line in wrapped(f"Do: {visible(repair.says)}", 3.1, room, 2)]
    return lines


def parts_of(piece: Piece, finding: Finding) -> list[Part]:
    """The parts that a finding names, those of its joint first."""
    named = list(finding.parts)
    join = piece.plan.join_by_name.get(finding.joint or "")
    if join is not None:
        named = [join.part_a.name, join.part_b.name, *named]
    known = piece.plan.part_by_name
    return [known[name] for name in dict.fromkeys(named) if name in known]


def locator(piece: Piece, parts: Sequence[Part], join: Join | None, room: Room) -> tuple[list[Item], str]:
    """The whole piece with the parts of a finding marked, from the corner that shows the most of them."""
    inner: Room = (room[0] + 24, room[1] + 8, room[2] - 24, room[3] - 2)
    bold = [part.index for part in parts]
    doubtful = [n for n in uncertain(piece) if n not in bold]

    name = best_corner(bodies_as_cut(piece), bold)
    shown = drawn(bodies_as_cut(piece), VIEWS[name], inner, hidden=False, bold=bold, doubtful=doubtful)
    where = sign_spots(shown, set(bold))
    items = list(shown.items)
    if join is not None:
        spot = joint_at(piece, join)
        items.append(Line("place", ring(shown.on_paper(spot), 4.5, 4.5, 32), closed=True))
    labels = [
        Label(visible(part.name), where[part.index].at, "fault", True)
        for part in parts
        if part.index in where
    ]
    hidden = [visible(part.name) for part in parts if part.index not in where]
    items += names_beside(labels, shown.items, (room[0], room[1] + 6, *room[2:]))
    note = f"Where: {VIEW_WORDS[name].replace('From', 'from')}"
    if hidden and bold:
        note += f" ({', '.join(hidden[:2])} hidden)"
    if set(bold) & set(uncertain(piece)):
        note += "; not placed for certain"
    return items, words_cut_off(note, 3.0, room[2] - room[0], bold=True)


def close_up(piece: Piece, finding: Finding, parts: Sequence[Part], room: Room) -> CloseUp | None:
    """What is wrong, near by, in the way that shows its kind best; the parts alone where nothing else fits."""
    measure = _measure(finding, piece.plan.unit)
    found = _fact_shown(piece, finding, parts, room, measure)
    if found is None:
        draws = _ROWS.get(finding.rule)
        for row in rows_found(piece, finding) if draws else ():
            assert draws is not None
            found = draws(piece, finding, row, room, measure)
            if found is not None:
                break
    if found is None and parts:
        join = piece.plan.join_by_name.get(finding.joint or "")
        found = parts_alone(piece, parts, room, [joint_at(piece, join)] if join else (), measure=measure)
    return found


def _measure(finding: Finding, unit: str) -> Measure:
    """The measure and its limit, as the report tells them."""
    held = held_against(finding, unit)
    if finding.measured is None or not held.found:
        return NO_MEASURE
    return Measure(held.found, held.limit) if held.kept_by else Measure(held.words, "")


def rows_found(piece: Piece, finding: Finding) -> list[Row]:
    """The rows of a finding's joint, that of its line first."""
    mine = [row for row in rows(piece) if row.join.name == finding.joint]
    return sorted(mine, key=lambda row: row.asked.span != finding.span)


# ---------------------------------------------------------------- by kind


def _tip(piece: Piece, _finding: Finding, row: Row, room: Room, measure: Measure) -> CloseUp:
    screw = min(row.screws, key=lambda each: piece.tip_cover(each)[0])
    return tip_close_up(piece, row, screw, room, measure)


def _grip(piece: Piece, _finding: Finding, row: Row, room: Room, measure: Measure) -> CloseUp:
    screw = min(row.screws, key=piece.grip)
    return length_close_up(piece, screw, piece.grip(screw), room, measure)


def _grain(piece: Piece, _finding: Finding, row: Row, room: Room, measure: Measure) -> CloseUp:
    if not measure.found:
        measure = Measure("between its layers", f"into the edge of {visible(row.into.stock.material.name)}")
    return grain_close_up(piece, min(row.screws, key=piece.grain_angle), room, measure)


def _thread(piece: Piece, _finding: Finding, row: Row, room: Room, _measure: Measure) -> CloseUp:
    screw, wood = row.screws[0], row.into.stock.material.name
    return screw_close_up(piece, screw, room, Measure(f"{screw.thread} thread", f"in {visible(wood)}"))


def _screw_length(piece: Piece, finding: Finding, row: Row, room: Room, _measure: Measure) -> CloseUp:
    held = held_against(finding, piece.plan.unit)
    kept = Measure(held.found, held.limit and f"kept: {held.limit}")
    return length_close_up(piece, row.screws[0], row.screws[0].length, room, kept)


def _spacing(piece: Piece, finding: Finding, row: Row, room: Room, measure: Measure) -> CloseUp | None:
    if len(row.pockets) < 2:
        return None
    pairs = list(zip(row.pockets, row.pockets[1:], strict=False))
    choose = max if finding.rule == "wide-spacing" else min
    first, second = choose(pairs, key=lambda pair: pair[1].station - pair[0].station)
    across = row.frame.across
    if finding.rule == "wide-spacing":
        return face_close_up(piece, row, room, measure, (first.exit, second.exit), near=True)
    edge = piece.settings.profile.bit_diameter / 2
    between = plus(first.mouth, across, edge), plus(second.mouth, across, -edge)
    return face_close_up(piece, row, room, measure, between, near=True)


def _ends(piece: Piece, _finding: Finding, row: Row, room: Room, measure: Measure) -> CloseUp:
    low, high = row.pockets[0], row.pockets[-1]
    frame = row.frame
    start, end = frame.base, plus(frame.base, frame.across, frame.high)
    between = (start, low.exit) if low.station >= frame.high - high.station else (high.exit, end)
    return face_close_up(piece, row, room, measure, between, near=True)


def _whole_width(piece: Piece, _finding: Finding, row: Row, room: Room, measure: Measure) -> CloseUp:
    frame = row.frame
    words = Measure(
        row.length(frame.high),
        measure.limit and f"{count(len(row.pockets), 'screw')}, {measure.limit}",
    )
    return face_close_up(piece, row, room, words, (frame.base, plus(frame.base, frame.across, frame.high)))


def _mitred_width(piece: Piece, finding: Finding, row: Row, room: Room, measure: Measure) -> CloseUp | None:
    """The width of the narrower part of a mitre, beyond its cut."""
    fact = finding.fact
    if not isinstance(fact, NarrowMitre):
        return None
    part, body = fact.part, piece.body(fact.part)
    way = body.along(part.across)
    at = joint_at(piece, row.join)
    off = dot(minus(body.middle, at), body.grain)
    at = plus(at, body.grain, (1.0 if off > 0 else -1.0) * (float(part.width) / 2 + 0.4))
    at = plus(at, way, dot(minus(body.middle, at), way))
    half = float(part.width) / 2
    return face_close_up(piece, row, room, measure, (plus(at, way, -half), plus(at, way, half)))


def _near_end(piece: Piece, _finding: Finding, row: Row, room: Room, measure: Measure) -> CloseUp | None:
    away = [(piece.end_distance(screw), screw) for screw in row.screws]
    known = [(far, screw) for far, screw in away if far is not None]
    if not known:
        return None
    far, screw = min(known, key=lambda each: each[0])
    body = piece.body(row.into)
    point = screw.pocket.exit
    ends = [body.planes[end] for end in row.into.ends]
    plane = min(ends, key=lambda each: abs(each.depth(point)))
    sign = 1.0 if dot(plane.normal, body.grain) > 0 else -1.0
    between = point, plus(point, body.grain, sign * far)
    if abs(dot(body.grain, row.frame.across)) < 0.5:
        return distance_close_up(piece, screw, between, room, measure, beside=True)
    return face_close_up(piece, row, room, measure, between, near=True)


def _driver(piece: Piece, finding: Finding, row: Row, room: Room, _measure: Measure) -> CloseUp:
    return driver_close_up(piece, row, parts_of(piece, finding), room)


_ROWS: dict[str, Draws] = {
    "tip-through": _tip,
    "short-grip": _grip,
    "into-end-grain": _grain,
    "thread-mismatch": _thread,
    "unstocked-screw": _screw_length,
    "thin-stock": lambda piece, _, row, room, measure: thickness_close_up(
        piece, row.screws[0], room, measure
    ),
    "wide-spacing": _spacing,
    "close-spacing": _spacing,
    "far-from-end": _ends,
    "near-end": _near_end,
    "lone-screw": _whole_width,
    "narrow-mitre": _mitred_width,
    "hole-in-sight": lambda piece, _, row, room, _measure: eye_close_up(piece, row, room),
    "no-room-to-drive": _driver,
    "no-build-order": _driver,
}


_BY_FACT: ByFact = {
    **ALONE, **FITS, **LOADS, **MEETINGS, **STOCK, **WOOD,
    Tight: bore_close_up, NoWood: tongue_close_up, DriveFault: drive_close_up,
}  # fmt: skip


def _fact_shown(
    piece: Piece, finding: Finding, parts: Sequence[Part], room: Room, measure: Measure
) -> CloseUp | None:
    """What a check judged that is no row of pockets; ``None`` where it is of another kind."""
    draws = _BY_FACT.get(type(finding.fact))
    if draws is not None:
        return draws(piece, finding.fact, room, measure)
    if finding.rule == "no-way-in":
        return ways_in(piece, parts, finding.fact if isinstance(finding.fact, BuiltIn) else None, room)
    join = piece.plan.join_by_name.get(finding.joint or "")
    if join is not None and isinstance(finding.fact, FaceStep) and finding.measured:
        return step_close_up(piece, join, finding.fact, room, measure)
    return None

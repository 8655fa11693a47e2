"""The screw in the wood that takes it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from planlint.checks.row_trial import behind, has_room, keeps_wood, set_out_freely, shifted
from planlint.checks.row_view import NIL, Row, mark_of, rows, screw_length
from planlint.findings.finding import Finding, Grade
from planlint.findings.rulebook import Rule
from planlint.geometry.facts import Screw
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import cross, dot, unit
from planlint.model.directions import Side
from planlint.model.threads import suited_thread
from planlint.text.measures import degrees, length, to_sixteenth
from planlint.text.source import Span

EDGE_IS_WEAK = frozenset({"fibreboard", "particleboard"})
"""Boards of fibres or chips pressed flat: a screw in the edge parts them."""


def short_grip(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Too little thread lies in the receiving part."""
    least = rule.limit("thread in the wood", piece.settings)
    full = rule.limit("thread for full value", piece.settings)
    for row in rows(piece):
        found = [(piece.grip(screw), screw) for screw in row.screws]
        if min(found, key=_grip)[0] >= least * row.screws[0].diameter - NIL:
            continue
        # Those that come out of the wood are told by tip-through.
        found = [(grip, screw) for grip, screw in found if piece.tip_cover(screw)[0] >= 0]
        if not found:
            continue
        grip, screw = min(found, key=_grip)
        limit = least * screw.diameter
        if grip >= limit - NIL:
            continue
        the_screw = f"The {row.length(screw.length)} screw of {row.joint}"
        if grip > NIL:
            says = f"{the_screw} has only {row.length(grip)} of thread in {row.into.name}: it pulls out."
        elif _in_narrow_edge(row):
            says = (
                f"{the_screw} does not reach {row.into.name} at all: the pockets are in the "
                f"{row.length(float(row.part.thickness))} edge of {row.part.name}, so that it must go through "
                f"{to_sixteenth(screw.pocket.setback, row.unit)} of wood first."
            )
        else:
            says = f"{the_screw} does not reach {row.into.name} at all."
        yield rule.finding(
            span=_screws_span(row),
            joint=row.join.name,
            parts=row.names,
            says=says,
            measured=max(grip, 0.0),
            limit=limit,
            unit="in",
            repairs=[
                *_in_a_face(row),
                f"{_longer(row, screw, limit)} (a joint that carries a load wants "
                f"{to_sixteenth(full * screw.diameter, row.unit)} of thread or more).",
            ],
        )


def _grip(found: tuple[float, Screw]) -> float:
    return found[0]


def tip_through(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A screw leaves the receiving part, or all but reaches its far side where it need not."""
    limit = rule.limit("wood before the point", piece.settings)
    least = rule.limit("wood at the least", piece.settings)
    for row in rows(piece):
        cover, at, screw = min(((*piece.tip_cover(s), s) for s in row.screws), key=lambda each: each[0])
        if cover >= limit - NIL:
            continue
        ways, out = _inside(row, screw, at, limit), cover < least - NIL
        if not ways and not out:
            continue  # The usual joint of thin stock: nothing that is kept both holds and leaves more.
        where = f"the {at.value if isinstance(at, Side) else at} of {row.into.name}"
        if cover >= 0:
            said = f"stops {row.length(cover)} short of {where}"
        elif isinstance(at, str):
            said, cover = f"runs into {where}", 0.0
        else:
            said = f"comes out at {where} by {row.length(-cover)}"
        yield rule.finding(
            span=_screws_span(row),
            joint=row.join.name,
            parts=row.names,
            says=f"The {row.length(screw.length)} screw of {row.joint} {said}.",
            measured=cover,
            limit=limit,
            unit="in",
            repairs=ways or [_nothing_fits(row, limit)],
            grade=None if out else min(rule.grade, Grade.CAUTION),
        )


def thread_mismatch(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A fine thread in soft or sheet material, or a coarse one in hard wood; the wood that takes it decides."""
    hard_from = piece.limits["thread-mismatch", "specific gravity"]
    for row in rows(piece):
        said = row.join.screws
        material = row.into.stock.material
        if said is None or said.thread is None:
            continue
        if material.specific_gravity is None and (material.kind == "hardwood" or not material.known):
            continue  # Nothing published to judge by.
        suits = suited_thread(material, piece.limits)
        if suits == said.thread:
            continue
        if suits == "fine":
            why = "a coarse thread splits hard wood, or shears off in it"
        else:
            why = f"a fine thread strips {'soft wood' if material.solid else 'a panel'}"
        gravity = material.specific_gravity if material.solid else None
        better = row.screw(row.pockets[0], float(said.length) if said.length is not None else None, suits)
        yield rule.finding(
            span=said.span,
            joint=row.join.name,
            parts=row.names,
            says=f"The {said.thread} screws of {row.joint} bite in {row.into.name}, which is {material.name}: {why}.",
            measured=gravity,
            limit=None if gravity is None else hard_from,
            unit=None if gravity is None else "specific gravity",
            repairs=[f"Use {row.screw_words(better)} screws, No. {better.gauge}."],
        )


def into_end_grain(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The thread ends up in end grain, or in the edge of a board of fibres or chips."""
    limit = rule.limit("angle to the grain", piece.settings)
    for row in rows(piece):
        material = row.into.stock.material
        if material.solid:
            angle = piece.grain_angle(row.screws[0])
            if angle >= limit - NIL:
                continue
            says = (
                f"The screws of {row.joint} run into the end grain of {row.into.name}, {degrees(angle)} from its "
                "fibres: they hold little there and work loose."
            )
        elif material.kind in EDGE_IS_WEAK and not row.into.is_face(row.entered):
            angle = None
            says = (
                f"The screws of {row.joint} run into the edge of {row.into.name}, which is {material.name}: "
                "they part its layers."
            )
        else:
            continue
        yield rule.finding(
            span=row.asked.span,
            joint=row.join.name,
            parts=row.names,
            says=says,
            measured=angle,
            limit=None if angle is None else limit,
            unit=None if angle is None else "degrees",
            repairs=[_other_way(row, limit)],
            basis="angle to the grain" if angle is not None else "common practice",
        )


def unstocked_screw(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """The plan asks for a length that the shop does not keep."""
    screws = piece.settings.screws
    lengths = screws.lengths
    slack = rule.limit("difference", piece.settings)
    for join in piece.plan.joins:
        if not join.pockets or join.screws is None or join.screws.length is None:
            continue
        asked = float(join.screws.length)
        nearest = min(lengths, key=lambda each: (abs(each - asked), each))
        if any(abs(each - asked) <= slack + NIL for each in (nearest, *screws.metric_lengths)):
            continue
        unit = piece.plan.unit
        kept = _kept([row for row in rows(piece) if row.join is join], nearest)
        yield rule.finding(
            span=join.screws.span,
            joint=join.name,
            parts=tuple(part.name for part in join.parts),
            says=(
                f"{join.part_a.name} to {join.part_b.name} asks for {length(asked, unit)} screws, which the shop does "
                "not keep."
            ),
            measured=asked,
            limit=nearest,
            unit="in",
            repairs=[
                f"Use {screw_length(kept, unit)} screws, which the shop keeps."
                if kept is not None
                else "No length kept in the shop both holds and stays inside the wood here: use thicker stock, drill "
                "the other part, or glue the joint without screws."
            ],
            basis="the shop's screws in the settings (common practice, from memory)",
        )


# ---------------------------------------------------------------- what to use instead


def _screws_span(row: Row) -> Span:
    said = row.join.screws
    return said.span if said is not None and said.length is not None else row.asked.span


def _in_narrow_edge(row: Row) -> bool:
    """Whether the pockets are drilled in an edge, so that the bore runs down the width of the part."""
    part = row.part
    return part.is_edge(row.asked.face) and part.thickness < part.width


def _in_a_face(row: Row) -> list[str]:
    """The faces to drill instead of a narrow edge, where the joint can be drilled from them."""
    part = row.part
    if not _in_narrow_edge(row) or part.is_face(row.side):
        return []
    through = row.piece.settings.profile.setback(float(part.thickness))
    return [
        f"Drill the pockets in the {part.facing.value} or {part.facing.opposite.value} of {part.name}, its faces: "
        f"there the screw goes through only {to_sixteenth(through, row.unit)} of wood."
    ]


def _longer(row: Row, screw: Screw, grip: float) -> str:
    fitting = _fitting(row, screw, grip, _covers(row.piece))
    if fitting is not None:
        return f"Use {row.screw_words(fitting)} screws"
    if _in_a_face(row):
        return f"No length kept in the shop both holds from that edge and stays inside {row.into.name}"
    return (
        f"No length kept in the shop both holds and stays inside {row.into.name}: use thicker stock for it, "
        f"or glue the joint in a groove or rabbet"
    )


def _inside(row: Row, screw: Screw, at: Side | str, limit: float) -> list[str]:
    """Ways to keep a screw ``limit`` inside: the pockets moved along, if it is an end or a cut that lies near; else a
    screw of another length, else the whole part moved."""
    far = at is row.entered.opposite
    ground = None if far else row.piece.ground(row.join, row.number)
    stations = None if ground is None else set_out_freely(row, ground.free)
    ways = []
    if stations is not None:
        ways.append(
            f"Set the pockets of {row.joint} out at {row.setting_out(stations)}: there the screws stay inside."
        )
    grip = row.piece.limits["short-grip", "thread in the wood"] * screw.diameter
    fitting = _fitting(row, screw, grip, (limit,))
    if fitting is not None:
        ways.append(f"Use {row.screw_words(fitting)} screws.")
    if not ways and (isinstance(at, str) or row.into.is_end(at)):
        ways += _aside(row, at, limit)
    return [way if n == 0 else f"Or {way[0].lower()}{way[1:]}" for n, way in enumerate(ways)]


def _aside(row: Row, at: Side | str, limit: float) -> list[str]:
    """How far the drilled part must move, square to its row, for all screws to stay inside."""
    piece, body, into = row.piece, row.piece.body(row.part), row.piece.body(row.into)
    mark = mark_of(row.unit)
    way = unit(cross(row.frame.across, into.planes[row.entered].normal))
    for by in [sign * n * mark for n in range(1, int(FURTHEST_ASIDE / mark) + 1) for sign in (1, -1)]:
        if all(piece.tip_cover(shifted(screw, way, by))[0] >= limit - NIL for screw in row.screws):
            toward = max(body.planes, key=lambda side: dot(body.planes[side].normal, way) * by)
            what = f"the {at.value if isinstance(at, Side) else at} of {row.into.name}"
            return [
                f"Move {row.part.name} {row.length(abs(by))} toward its {toward.value}, away from {what}."
            ]
    return []


FURTHEST_ASIDE = 4.0
"""How far a part is told to move at most, in inches. Basis: our own judgement."""


def _nothing_fits(row: Row, cover: float) -> str:
    return (
        f"No length kept in the shop leaves {row.length(cover)} of wood and still holds: use thicker stock for "
        f"{row.into.name}, or meet it where it is thicker."
    )


def _covers(piece: Piece) -> tuple[float, float]:
    """Wood to be left before a point: what is wanted, and what will do where nothing leaves more."""
    return piece.limits["tip-through", "wood before the point"], piece.limits[
        "tip-through", "wood at the least"
    ]


def _fitting(row: Row, screw: Screw, grip: float, covers: Sequence[float]) -> Screw | None:
    """A screw of the shop that holds and stays inside: the one nearest to twice the setback, as the tool chooses.

    Of the ``covers`` to be left before its point the first that any length leaves counts.
    """
    piece = row.piece
    kept = sorted(piece.settings.screws.lengths, key=lambda each: abs(each - 2 * screw.pocket.setback))
    others = [row.screw(screw.pocket, inches) for inches in kept]
    return next(
        (
            other
            for cover in covers
            for other in others
            if piece.grip(other) >= grip - NIL and piece.tip_cover(other)[0] >= cover - NIL
        ),
        None,
    )


def _kept(rows_of_join: Sequence[Row], nearest: float) -> float | None:
    """The length of the shop that holds and stays inside in every pocket of a join; ``nearest`` if none can be judged.

    ``None`` where no length does.
    """
    each = [(row, screw) for row in rows_of_join for screw in row.screws]
    if not each:
        return nearest
    first, screw = each[0]
    setback, piece = screw.pocket.setback, first.piece
    turns = piece.limits["short-grip", "thread in the wood"]
    kept = sorted(piece.settings.screws.lengths, key=lambda length: abs(length - 2 * setback))
    for cover in _covers(piece):
        for inches in kept:
            others = [row.screw(old.pocket, inches) for row, old in each]
            if all(
                piece.grip(new) >= turns * new.diameter - NIL and piece.tip_cover(new)[0] >= cover - NIL
                for new in others
            ):
                return inches
    return None


def _other_way(row: Row, limit: float) -> str:
    """Which face or part to drill instead, where that puts the thread ``limit`` degrees or more across the grain."""
    part, into = row.part, row.into
    other, piece = behind(row), row.piece
    if (
        into.stock.material.solid
        and keeps_wood(row, other)
        and piece.grain_angle(row.screw(other[0], None)) >= limit
        and has_room(row, other, ())
    ):
        face = row.asked.face.opposite.value
        return f"Drill the pockets in the {face} of {part.name}: there the screws cross the grain of {into.name}."
    grain = row.piece.body(part).grain
    across_grain = abs(dot(grain, row.pockets[0].direction)) < 0.5 if part.stock.material.solid else False
    if across_grain or (not part.stock.material.solid and part.is_face(row.side)):
        what = "side grain" if part.stock.material.solid else "face"
        return f"Drill {into.name} instead, so that the screws run into the {what} of {part.name}."
    return (
        f"Neither part takes a screw well here: join {part.name} and {into.name} with a spline, dowels or a lap, or "
        "screw both to a block behind."
    )

"""What the page shows of a piece, as plain data for its script: solids, bores, joints, findings, steps.

Lengths in inches to 0.001, in the piece's axes. Names and titles are carried as they are: the page takes them as text.
"""

from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Any

from planlint.checks.row_view import rows
from planlint.drawings.close_ups import Between
from planlint.drawings.drive_close_up import UNSAID
from planlint.drawings.finding_sheets import parts_of, rows_found
from planlint.drawings.joined_wood import bodies_as_cut
from planlint.drawings.joint_sheets import kind_words
from planlint.drawings.parts_alone import joint_at
from planlint.drawings.piece_sheets import uncertain
from planlint.drawings.place_close_ups import best_look
from planlint.drawings.step_sheets import looked_at, step_words
from planlint.drawings.true_edges import edges, faces
from planlint.findings.finding import Finding
from planlint.geometry.joint_facts import Screw, Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import plus, scaled
from planlint.model.plan import Join, Part
from planlint.reports.safe_words import held_against, measured, target, visible
from planlint.text.measures import length
from planlint.workplan.step_data import Step

Data = dict[str, Any]


def page_data(
    piece: Piece, findings: Sequence[Finding], steps: Sequence[Step], measures: Mapping[int, Between | None]
) -> Data:
    """All of a piece. ``measures`` says where the measure of a finding lies, by the finding's place."""
    low, high = piece.bounds
    doubtful = set(uncertain(piece))
    apart = _apart(piece)
    return {
        "title": visible(piece.plan.title),
        "low": _rounded(low),
        "high": _rounded(high),
        "parts": [
            {**_part(piece, part), "doubtful": part.index in doubtful, "apart": _rounded(apart[part.index])}
            for part in piece.plan.parts
        ],
        "joints": [
            {
                "name": visible(join.name),
                "says": kind_words(piece, join),
                "parts": [join.part_a.index, join.part_b.index],
                "at": _rounded(joint_at(piece, join)),
                "way": _maybe(_way(piece, join)),
            }
            for join in piece.plan.joins
        ],
        "screws": [
            *(_screw(piece, screw, row.join.index) for row in rows(piece) for screw in row.screws),
            *(
                _screw(piece, screw, join.index, bored=False)
                for join in piece.plan.joins
                for row in piece.fasteners(join)
                for screw in row.drives
            ),
        ],
        "findings": [_finding(piece, finding, measures.get(n)) for n, finding in enumerate(findings)],
        "steps": [_step(piece, step) for step in steps],
    }  # fmt: skip


def _part(piece: Piece, part: Part) -> Data:
    body, unit = bodies_as_cut(piece)[part.index], piece.plan.unit
    points: dict[tuple[float, float, float], int] = {}
    triangles: list[int] = []
    for face in faces(body):
        corners = [points.setdefault(_rounded(corner), len(points)) for corner in face.corners]
        for one, other in pairwise(corners[1:]):
            triangles += [corners[0], one, other]
    lines = [points.setdefault(_rounded(end), len(points)) for edge in edges(body) for end in edge]
    return {
        "name": visible(part.name),
        "stock": visible(part.stock.material.name),
        "kind": part.stock.material.kind,
        "size": size_words(part, unit),
        "points": [value for point in points for value in point],
        "triangles": triangles,
        "lines": lines,
        "joints": [join.index for join in piece.graph.joins_of(part)],
    }


def size_words(part: Part, unit: str) -> str:
    """The three measures of a part."""
    return (
        f"{length(part.length, unit)} long, {length(part.width, unit)} wide, "
        f"{length(part.thickness, unit)} thick"
    )


def _way(piece: Piece, join: Join | None) -> Vector | None:
    """From where the screws of a joint are seen best: from the side, over the drilled face, nearest to the front."""
    row = next((row for row in rows(piece) if row.join is join), None)
    if row is None:
        return None
    frame = row.frame
    sides = (plus(scaled(frame.face.normal, 0.55), frame.across, sign) for sign in (1.0, -1.0))
    return max(sides, key=lambda way: (round(way[0] * 0.6 - way[1] + way[2] * 0.7, 6), way))


def _screw(piece: Piece, screw: Screw, join: int, *, bored: bool = True) -> Data:
    pocket, profile = screw.pocket, piece.settings.profile
    return {
        "joint": join,
        "mouth": _rounded(pocket.mouth),
        "shoulder": _rounded(pocket.shoulder),
        "exit": _rounded(pocket.exit),
        "tip": _rounded(screw.tip),
        "bore": round(profile.bit_diameter / 2, 4) if bored else 0,
        "screw": round((screw.diameter or UNSAID) / 2, 4),
    }


def _finding(piece: Piece, finding: Finding, between: Between | None) -> Data:
    parts = parts_of(piece, finding)
    unit = piece.plan.unit
    label, against = measured(finding, unit)
    join = piece.plan.join_by_name.get(finding.joint or "")
    seen = rows_found(piece, finding) if finding.rule == "hole-in-sight" else ()
    eye = next((look[0] for row in seen if (look := best_look(piece, row))), None)
    at = joint_at(piece, join) if join else piece.body(parts[0]).middle if parts else None
    if between:
        at = plus(between[0], between[1])
        at = (at[0] / 2, at[1] / 2, at[2] / 2)
    return {
        "rule": finding.rule,
        "grade": finding.grade.word,
        "about": target(finding),
        "says": visible(finding.says),
        "measured": f"{label}: {visible(against)}",
        "measure": visible(held_against(finding, unit).words)
        if between and finding.measured is not None
        else "",
        "do": [visible(repair.says) for repair in finding.repairs],
        "parts": [part.index for part in parts],
        "joint": join.index if join else None,
        "at": _maybe(at),
        "way": _maybe(_way(piece, join)),
        "between": [_rounded(end) for end in between] if between else None,
        "eye": _maybe(eye),
    }


def _step(piece: Piece, step: Step) -> Data:
    every = list(step.each())
    said = step_words(piece, step)
    return {
        "added": [part.index for each in every for part in each.comes],
        "standing": [part.index for each in every for part in each.stands],
        "says": said,
        "joints": [work.join.index for each in every for work in each.work],
        "title": f"Step {step.number}: {said[0]}",
        "stuck": step.stuck,
        "way": looked_at(step)[0],
        "up": looked_at(step)[1],
    }


def _maybe(point: Vector | None) -> tuple[float, float, float] | None:
    return None if point is None else _rounded(point)


def _rounded(point: Iterable[float]) -> tuple[float, float, float]:
    x, y, z = (round(value, 3) + 0.0 for value in point)
    return x, y, z


def _apart(piece: Piece) -> list[Vector]:
    """For each part which way it goes when the piece is pulled apart along its joints: steps out of the first part."""
    from networkx import bfs_edges  # noqa: PLC0415 - only where a page is made

    network, found = piece.graph.network, dict[str, Vector]()
    for first in sorted(piece.plan.parts, key=lambda part: (-len(piece.graph.joins_of(part)), part.index)):
        if first.name not in found:
            found[first.name] = (0.0, 0.0, 0.0)
            for here, other in bfs_edges(network, first.name):
                join: Join = next(iter(network[here][other].values()))["join"]
                part, side = next(each for each in join.sides if each[0].name == here)
                found[other] = plus(found[here], piece.body(part).planes[side].normal)
    return [found[part.name] for part in piece.plan.parts]

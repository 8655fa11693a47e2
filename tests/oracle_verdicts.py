"""What the second oracle finds in a plan, by rule and joint, with what it measured. Limits come from ``rules/``."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import combinations, pairwise
from math import acos, degrees
from pathlib import Path
from typing import NamedTuple

import numpy as np
from manifold3d import Manifold

from tests.oracle_reader import WEAK, Scene
from tests.oracle_solids import (
    BIT,
    SQUARES,
    Array,
    Hole,
    Piece,
    Placed,
    Pocket,
    near,
    place,
    pockets_of,
    vertices,
)

BAND = 0.01
"""Inches round a limit in which either verdict agrees, and within which measures agree."""
LEANS = 32
"""Ways round a screw in which a leaning bit is tried."""
RULES = (
    "breakout", "mitre-breakout", "thin-cover", "close-spacing", "thin-stock", "short-grip", "tip-through", "near-end",
    "into-end-grain", "no-room-to-drive", "screws-meet", "overlap", "misfit",
)  # fmt: skip
Key = tuple[str, str]
"""A rule, and the joint or the two parts it speaks of."""


class Verdict(NamedTuple):
    told: bool | None
    """``None`` where the measure lies so near the limit that either will do."""
    measure: float | None = None
    exact: bool = True
    """Whether the measure itself must agree."""


@lru_cache
def limit(rule: str, name: str) -> float:
    page = tomllib.loads((Path(__file__).parent.parent / "rules" / f"{rule}.toml").read_text())
    return float(next(each["value"] for each in page["limit"] if each["name"] == name))


def least(value: float, wanted: float, *, exact: bool = True) -> Verdict:
    """A verdict where ``wanted`` is the least that will do."""
    return Verdict(None if abs(value - wanted) < BAND else value < wanted, value, exact)


class Judged(NamedTuple):
    """All verdicts on a plan, and the rules that were asked; where parts overlap or misfit, the rest is not."""

    verdicts: dict[Key, Verdict]
    rules: tuple[str, ...] = RULES
    unasked: frozenset[str] = frozenset()
    """Joints whose parts meet nowhere: what is told of them hangs on how that is said."""


def judge(scene: Scene) -> Judged | None:
    """Everything told of a plan; ``None`` where the plan itself is no fair question."""
    piece = place(scene)
    if piece.loose or piece.askew:
        return None
    wanted = limit("misfit", "length")
    if piece.misfit > BAND / 10:
        told = Verdict(piece.misfit > wanted, piece.misfit)
        return None if abs(piece.misfit - wanted) < BAND else Judged({("misfit", "plan"): told}, ("misfit",))
    found: dict[Key, Verdict] = dict(_overlaps(piece))
    if found:
        return Judged(found, ("overlap", "misfit"))
    drilled: list[Pocket] = []
    unasked: set[str] = set()
    for joint in piece.joints:
        pockets = pockets_of(piece, joint)
        if not pockets:
            continue
        touch = _touching(piece.placed[joint.a], piece.placed[joint.b], pockets[0])
        if touch < 1e-4:
            unasked.add(joint.name)
            continue
        if touch < 0.05:
            return None
        drilled += pockets
        for rule, verdict in _of_joint(pockets):
            found[rule, joint.name] = verdict
    for one, other in combinations(piece.joints, 2):
        mine, theirs = ([p for p in drilled if p.joint is each] for each in (one, other))
        if mine and theirs:
            found["screws-meet", "/".join(sorted((one.name, other.name)))] = _meeting(mine, theirs)
    return Judged(found, unasked=frozenset(unasked))


def _of_joint(pockets: list[Pocket]) -> Iterator[tuple[str, Verdict]]:
    thin = limit("thin-stock", "thickness")
    thickness = pockets[0].thickness
    if thickness < thin:
        yield "thin-stock", Verdict(None if thin - thickness < 1e-3 else True, thickness)
    yield from _covers(pockets, thickness < thin)
    apart = [abs(b - a) - BIT for a, b in pairwise(sorted(p.place for p in pockets))]
    if apart:
        yield "close-spacing", least(min(apart), limit("close-spacing", "wood between bores"))
    yield from _in_receiver(pockets)


# ---------------------------------------------------------------- wood round a bore


def _covers(pockets: list[Pocket], thin: bool) -> Iterator[tuple[str, Verdict]]:
    wanted = limit("breakout", "wood")
    worst: dict[str, float] = {}
    for pocket in pockets:
        for rule, wood in _beside(pocket, thin, wanted + BAND):
            worst[rule] = min(worst.get(rule, np.inf), wood)
    for rule, wood in worst.items():
        yield rule, least(wood, wanted)


def _beside(pocket: Pocket, thin: bool, far: float) -> Iterator[tuple[str, float]]:
    part, board = pocket.part, pocket.part.board
    square = not any(angle for _, angle, _ in board.cuts)
    for side in SQUARES:
        if side == pocket.row.face:
            continue
        behind = side in (
            (side[0], -pocket.row.face[1]) if side[0] == pocket.row.face[0] else None,
            pocket.side,
        )
        mitred = board.mitred(pocket.side) or board.mitred(side)
        if thin and behind and not mitred and board.cut_at(side) is None:
            continue  # thin-stock says it better.
        holes = [pocket.bore] if side == pocket.side else [pocket.bore, pocket.pilot]
        rule = "mitre-breakout" if mitred else "breakout" if board.cut_at(side) is None else "thin-cover"
        normal, offset = part.plane(side)
        for hole in holes:
            yield rule, wood_to(hole, normal, offset, part.corners, far, flat=square)
    for gone in part.taken:
        for hole in (pocket.bore, pocket.pilot):
            if hole.near(gone, far):
                yield "thin-cover", hole.gap(gone, far)


def wood_to(
    solid: Hole, normal: Array, offset: float, corners: Array, far: float, *, flat: bool = False
) -> float:
    """From a solid to that stretch of a plane that is a face of the convex body with these corners; less how far it
    reaches beyond the plane."""
    depth = float(np.min(offset - solid.corners @ normal))
    if flat or depth >= far:
        return depth
    face = corners[np.abs(corners @ normal - offset) < 1e-6]
    if len(face) < 3:
        return far
    slab = Manifold.hull_points(np.concatenate([face, face + 4 * normal]))
    gap = solid.gap(slab, far)
    return gap if gap > 0 else min(depth, 0.0)


# ---------------------------------------------------------------- the screw in the wood that takes it


def _in_receiver(pockets: list[Pocket]) -> Iterator[tuple[str, Verdict]]:
    into = pockets[0].into
    wanted, enough = (limit("tip-through", name) for name in ("wood before the point", "wood at the least"))
    grips, covers, ends = [], [], []
    for pocket in pockets:
        inside = sum(b - a for a, b in into.runs(pocket.exit, pocket.way, _past(pocket)))
        cover = np.inf
        if pocket.reach > 1e-3:
            cover = _tip(pocket, wanted + BAND)
            covers.append(cover)
        grips.append((inside, cover))
        ends.append(_end(pocket))
    if covers:
        cover = min(covers)
        # Between the two limits it is told where anything better can be had: that is not asked here.
        sure = None if enough - BAND < cover < wanted + BAND else cover < enough
        # Out at a side and into a cut as well, either is told; of a mere point past the joint only that it is out.
        whole = min(map(_past, pockets)) > 2 * pockets[0].diameter and not into.board.gone
        yield "tip-through", Verdict(sure, cover, exact=cover >= 0 or whole)
    needs = limit("short-grip", "thread in the wood") * pockets[0].diameter
    if any(abs(cover) < BAND for _, cover in grips):
        yield "short-grip", Verdict(None)
    elif staying := [grip for grip, cover in grips if cover >= 0]:
        yield "short-grip", least(min(staying), needs)
    if into.board.solid:
        angle = degrees(acos(min(1.0, abs(float(pockets[0].way @ into.grain)))))
        yield "into-end-grain", least(angle, limit("into-end-grain", "angle to the grain"))
        known = [end for end in ends if end is not None]
        if pockets[0].entered[0] != into.board.grain and known:
            low, high = min(end[0] for end in known), min(end[1] for end in known)
            needs = limit("near-end", "end distance") * pockets[0].diameter
            told = least(low, needs)
            yield "near-end", told if abs(high - low) < BAND else Verdict(None)
    elif into.board.wood in WEAK and pockets[0].entered[0] != into.board.facing[0]:
        yield "into-end-grain", Verdict(True)
    yield from _room(pockets)


def _past(pocket: Pocket) -> float:
    return max(float(pocket.joint.screw) - pocket.setback, 0.0)


def _tip(pocket: Pocket, far: float) -> float:
    """Least wood between what of the screw lies past the joint and the outside of the part that takes it."""
    into, (normal, offset) = pocket.into, pocket.meeting
    screw = pocket.beyond
    best = np.inf
    flat = not any(angle for _, angle, _ in into.board.cuts) and _along_axes(pocket)
    corners = into.corners
    if not flat or into.board.gone:
        behind = into.sawn.trim_by_plane(normal.tolist(), offset + 1e-9)
        corners = vertices(behind)
        if len(corners) < 4:
            return -np.inf
    for side in SQUARES:
        if side != pocket.entered:
            way, at = into.plane(side)
            best = min(best, wood_to(screw, way, at, corners, far, flat=flat))
    if best > 0:
        for block in into.blocks:
            gone = block ^ behind
            if not gone.is_empty() and screw.near(gone, far):
                best = min(best, screw.gap(gone, far))
    return best


def _along_axes(pocket: Pocket) -> bool:
    return bool(np.max(np.abs(pocket.into.turning.T @ pocket.meeting[0])) > 1 - 1e-9)


def _end(pocket: Pocket) -> tuple[float, float] | None:
    """From where a screw enters, along the grain, to the nearer end of the wood: least and most where it enters beside
    a wall. ``None`` where it enters nothing."""
    into, grain = pocket.into, pocket.into.grain
    aside = np.cross(grain, pocket.meeting[0])
    found: list[float] = []
    edge = False
    for off in (-1e-4, 0.0, 1e-4):
        start = pocket.exit + 1e-4 * pocket.meeting[0] + off * aside
        edge = edge or not into.holds(start[None, :])[0]
        for along in (-1e-4, 0.0, 1e-4):
            at = start + along * grain
            if into.holds(at[None, :])[0]:
                runs = [into.runs(at, way, 500.0) for way in (grain, -grain)]
                found.append(min((run[0][1] for run in runs if run), default=0.0))
            elif into.holds((at - 2 * along * grain)[None, :])[0]:
                found.append(0.0)  # Just on the edge of the wood.
    if found and edge:
        return 0.0, np.inf  # Just on the edge of the wood it enters there or not.
    return (min(found), max(found)) if found else None


def _room(pockets: list[Pocket]) -> Iterator[tuple[str, Verdict]]:
    into = pockets[0].into
    told: bool | None = False
    for pocket in pockets:
        normal, offset = pocket.meeting
        # All of the receiver may lie beyond the joint, and all of the driver before it.
        beyond = bool(np.min(into.corners @ normal) > offset - 1e-6)
        rubs, may_rub = (_meets(pocket.corridor(more)[1], pocket.part.wood) for more in (-BAND, BAND))
        if beyond and not may_rub:
            continue
        if may_rub and not rubs:
            told = None
            continue

        def shut(
            more: float, way: Array, pocket: Pocket = pocket, beyond: bool = beyond, rubs: bool = rubs
        ) -> bool:
            bit, drill = pocket.corridor(more, way)
            if rubs and _meets(drill, pocket.part.wood):
                return True
            return not beyond and (_meets(bit, into.wood) or _meets(drill, into.wood))

        if not shut(BAND, pocket.way):
            continue
        # Straight it may meet the wood: then leaning, tried finer than planlint tries.
        leans = pocket.leans(LEANS)
        if all(shut(-BAND, way) for way in (pocket.way, *leans)):
            told = True
            break
        free = [not shut(BAND, way) for way in leans]
        eighth = LEANS // 8 + 1
        if not any(all(free[(n + k) % LEANS] for k in range(eighth)) for n in range(LEANS)):
            told = None
    yield "no-room-to-drive", Verdict(told)


def _meets(hole: Hole, wood: Manifold) -> bool:
    return hole.near(wood, 0) and (hole.solid ^ wood).volume() > 1e-9


def _meeting(mine: list[Pocket], theirs: list[Pocket]) -> Verdict:
    wanted = limit("screws-meet", "wood between screws")
    far, gap = wanted + BAND, wanted + BAND
    for a in mine:
        for b in theirs:
            for one in (a.bore, a.screw):
                for other in (b.bore, b.screw):
                    (low, high), (bottom, top) = one.bounds, other.bounds
                    if np.all(low - far <= top) and np.all(bottom - far <= high):
                        gap = min(gap, one.gap(other.solid, far))
    return least(gap, wanted, exact=gap > 0)


# ---------------------------------------------------------------- whole parts


def _touching(a: Placed, b: Placed, pocket: Pocket) -> float:
    """Square inches in which two parts meet in a pocket's joint plane (or A's end meets the wood before it)."""
    skin = 1e-3
    normal, _ = pocket.meeting
    into = pocket.into.wood.translate((-skin * normal).tolist())
    part = (a if pocket.part is a else b).wood
    return float((part ^ into).volume() / skin)


def _overlaps(piece: Piece) -> Iterator[tuple[Key, Verdict]]:
    let_in = {frozenset((joint.a, joint.b)) for joint in piece.joints if joint.inset}
    wanted = limit("overlap", "depth")
    for a, b in combinations(piece.placed.values(), 2):
        pair = frozenset((a.board.name, b.board.name))
        if pair in let_in or not near(a.wood, b.wood, 0) or (a.wood ^ b.wood).volume() < 1e-7:
            continue
        key = "overlap", "/".join(sorted(pair))
        exact = a.board.turn is None and b.board.turn is None
        exact = exact and not a.board.cuts and not b.board.cuts
        if exact:
            out = way_out(a, b)
            yield key, Verdict(None if abs(out - wanted) < 1e-3 else out > wanted, out)
        else:
            yield key, Verdict(True if (a.wood ^ b.wood).volume() > 0.05 else None, None, exact=False)


def way_out(a: Placed, b: Placed) -> float:
    """The least straight slide along an axis after which two parts share no wood; both are built of blocks."""
    best = np.inf
    for axis in range(3):
        mine, theirs = set(_coordinates(a, axis)), set(_coordinates(b, axis))
        for sign in (-1, 1):
            moves = sorted({round(sign * (y - x), 9) for x in mine for y in theirs if sign * (y - x) > 1e-9})
            for move in moves:
                if move >= best:
                    break
                by = np.zeros(3)
                by[axis] = sign * move
                if (a.wood.translate(by.tolist()) ^ b.wood).volume() < 1e-7:
                    best = move
    return float(best)


def _coordinates(part: Placed, axis: int) -> Iterable[float]:
    at = float(part.at[axis])
    yield at
    yield at + float(part.size[axis])
    for low, high in part.board.gone:
        yield at + float(low[axis])
        yield at + float(high[axis])

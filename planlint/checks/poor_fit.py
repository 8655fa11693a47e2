"""Dados, grooves, rabbets and laps that do not fit what lies in them, and parts let into wood that is not cut."""

from collections import defaultdict
from collections.abc import Iterator
from typing import NamedTuple

from planlint.checks.cuts_for_parts import (
    MORTISED,
    MORTISES,
    cuts_for,
    kind_of_joint,
    matched,
    off_middle,
    opens_to,
)
from planlint.checks.joint_wood import wood_of_joints
from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.let_in import (
    NEAR,
    LetIn,
    channel,
    cut_box,
    in_frame_of,
    left_in,
    let_in,
    opens,
    overlap_of,
    runs_in,
    tongue_to_fit,
    width,
)
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.language.joint_table import Form
from planlint.model.directions import Axis, Side, side_of
from planlint.model.plan import Join, Part, Removal
from planlint.text.rounding import ROUNDING

LAP_FAULTS = frozenset({"lap-thick", "lap-gap", "lap-face"})
"""Faults of two parts that are cut for one another."""
NEAR_ALIKE = 1 / 64
"""Inches by which two amounts differ that are one. Basis: geometry, and what a rule is read to."""


class PoorFit(NamedTuple):
    """A part and the wood that it is let into: ``kind`` says what is wrong, ``amount`` by how much in inches.

    ``side`` is the side of the host toward which the cut should move, or on which it is cut by mistake; of a lap it
    tells the direction in which the cuts lie against one another, or that in which its cut has another width.
    """

    kind: str
    join: Join
    host: Part
    removal: Removal | None
    amount: float
    side: Side | None = None
    needed: float = 0.0
    hosts: tuple[str, ...] = ()
    """All that the part is let into, where it lies off all their cuts alike: then it is the part that lies wrong."""

    @property
    def part(self) -> Part:
        """What the host is cut for."""
        return self.join.part_a if self.host is self.join.part_b else self.join.part_b

    @property
    def swapped(self) -> bool:
        """Whether the cut is as deep as it should be wide, or the other way round: its numbers change places."""
        axis = self.join.side_b.axis
        if self.removal is None or self.removal.kind in MORTISES or self.kind not in {"narrow", "shallow"}:
            return False
        cut = cut_box(self.removal)
        other = width(cut, axis if self.kind == "narrow" else channel(cut, axis, self.host.grain)[0])
        return self.join.form is not Form.LAP and abs(other - self.needed) < NEAR_ALIKE


def poor_fit(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A cut that is too narrow, too shallow, too short or elsewhere for what lies in it, or that is missing; and wood
    that does not bear its joint."""
    limit, loose = rule.limit("difference", piece.settings), rule.limit("play", piece.settings)
    faults = list(poor_fits(piece, limit, loose))
    for fault in faults:
        wide, lap = fault.kind == "wide", fault.kind in LAP_FAULTS
        measured = fault.amount if fault.amount and fault.kind not in {"missing", "other-face"} else None
        yield rule.finding(
            fact=fault,
            kind=fault.kind,
            span=fault.removal.span if fault.removal is not None else fault.join.span,
            joint=fault.join.name,
            parts=(fault.part.name, *fault.hosts) if fault.hosts else (fault.host.name, fault.part.name),
            measured=measured,
            limit=None if measured is None else loose if wide else limit,
            basis="judgement" if lap else "play" if wide else None,
            grade=min(rule.grade, Grade.CAUTION) if wide else None,
            judged_by="play" if wide else "difference",
        )
    cut_wrong = ((f.host, f.part) if f.kind in LAP_FAULTS else (f.host,) for f in faults)
    yield from wood_of_joints(piece, rule, {part.index for parts in cut_wrong for part in parts})


def poor_fits(piece: Piece, limit: float, loose: float) -> Iterator[PoorFit]:
    """Every such fault, in the order of the joins."""
    if not any(part.removals for part in piece.plan.parts):
        return
    found: list[PoorFit] = []
    hosts: defaultdict[tuple[str, Side], list[LetIn]] = defaultdict(list)
    every: list[LetIn] = []
    for join in piece.plan.joins:
        made = join.made
        if made is None or not (cuts_for(join) or made.form is Form.LAP):
            continue
        if not piece.placement.fixed_together(join.part_a, join.part_b):
            continue
        lies = let_in(join, piece.body(join.part_a), piece.body(join.part_b))
        if lies is None:
            continue
        every.append(lies)
        if made.form is not Form.LAP:
            hosts[join.part_b.name, join.side_b].append(lies)
    laps = [each for each in every if each.join.form is Form.LAP]
    written = any(_uncut_in(piece, each) == () for each in laps)
    for lies in laps:
        found += _lap(piece, lies, every, limit, loose) or _uncut_lap(
            piece, lies, every, limit, written=written
        )
    bare: list[LetIn] = []
    cut: set[str] = set()
    used: set[Removal] = set()
    unsure = {each.join.span for fault in piece.placement.misfits for each in fault.distances}
    for held in hosts.values():
        for lies, removal in matched(piece, held):
            if removal is None:
                bare.append(lies)
            else:
                cut.add(kind_of_joint(lies.join))
                used.add(removal)
                fits = _fit(lies, removal, limit, loose)
                # Where the distance is told as the fault, what lies off its cut by it says nothing more.
                found += (each for each in fits if each.kind != "misplaced" or lies.join.span not in unsure)
    for lies in bare:
        # A dado in which nothing else lies is meant for what reaches far past it: that is turned on edge.
        meant = [
            each
            for each in lies.join.part_b.removals
            if each.kind == "dado" and each not in used and overlap_of(cut_box(each), lies.box)
            if each.kind in cuts_for(lies.join)
        ]
        found += [
            *(_fit(lies, meant[0], limit, loose) if len(meant) == 1 else _elsewhere(piece, lies, used, loose))
        ] or _uncut(piece, lies, cut, limit)
    yield from _as_one(piece, sorted(found, key=lambda each: each.join.index))


def _as_one(piece: Piece, found: list[PoorFit]) -> Iterator[PoorFit]:
    """Of a part that lies off all its cuts by as much the first of these faults alone."""
    told: set[str] = set()
    for each in found:
        part = each.join.part_a
        alike = [
            other for other in found
            if other.join.part_a is part and other.kind == each.kind and other.side is each.side
            and abs(other.amount - each.amount) < NEAR_ALIKE
        ]  # fmt: skip
        axis = each.side.axis if each.side is not None else None
        cut = [
            join.part_b.name for join in piece.graph.joins_of(part)
            if join.part_a is part and cuts_for(join) and join.part_b.removals and join.side_b.axis is not axis
        ]  # fmt: skip
        lines = {other.removal.span for other in alike if other.removal is not None}
        if each.kind == "misplaced" and len(lines) > 1 and {other.host.name for other in alike} == {*cut}:
            if part.name not in told:
                yield each._replace(hosts=tuple(dict.fromkeys(cut)))
            told.add(part.name)
        else:
            yield each


def _fit(
    lies: LetIn, removal: Removal, limit: float, loose: float, lapped: tuple[Part, Axis] | None = None
) -> list[PoorFit]:
    """What is wrong with a cut for what lies in it: the worst of it. Of a lap with the part and how it is deep."""
    join, cut, box = lies.join, cut_box(removal), lies.box
    side, slack = join.side_b, limit + ROUNDING
    host, deep_in = lapped or (join.part_b, side.axis)
    across, along = channel(cut, deep_in, host.grain)
    mortise, made = removal.kind in MORTISES, join.tradition
    axes = (across, along) if mortise or lapped else (across,)
    for axis in axes:
        said = "thick" if axis is join.part_a.facing.axis else "wide"
        if mortise and not ((made and said in made.measures) or join.part_a.removals):
            continue
        wide, thick = width(cut, axis), width(box, axis)
        below, above = cut.low[axis] - box.low[axis], box.high[axis] - cut.high[axis]
        to_fit = tongue_to_fit(join) and min(below, above) > -slack
        if wide < thick - slack and not to_fit:
            return [PoorFit("narrow", join, host, removal, thick - wide, side_of(axis, 1), thick)]
        if max(below, above) > slack and not to_fit:
            toward = side_of(axis, -1 if below > above else 1)
            return [PoorFit("misplaced", join, host, removal, max(below, above), toward)]
    deep, goes = width(cut, side.axis), float(made.inset) if made else 0.0
    if deep < goes - slack and not lapped:
        return [PoorFit("shallow", join, host, removal, goes - deep, side, goes)]
    short = max(cut.low[along] - box.low[along], box.high[along] - cut.high[along])
    if short > slack and not mortise:
        end = side_of(along, -1 if cut.low[along] - box.low[along] == short else 1)
        return [PoorFit("short", join, host, removal, short, end)]
    play, axis = max((width(cut, axis) - width(box, axis), axis) for axis in axes)
    kept_in = lapped or (removal.kind == "dado" and join.made is not None and join.made.shelf)
    if kept_in and play > loose + ROUNDING:
        return [PoorFit("wide", join, host, removal, play, side_of(axis, 1), width(box, axis))]
    return []


def _uncut(piece: Piece, lies: LetIn, cut: set[str], limit: float) -> list[PoorFit]:
    """A part let into wood that is not cut, where the plan writes such cuts elsewhere, or cut on its other face."""
    join, body = lies.join, piece.body(lies.join.part_b)
    side, host = join.side_b, join.part_b
    used = {each.side_b for each in piece.graph.joins_of(host) if each.part_b is host}
    for removal in host.removals if side.opposite not in used else ():
        box = cut_box(removal)
        other = removal.kind in cuts_for(join) and opens(box, body, side.axis, -side.sign)
        if other and off_middle(removal, lies) <= NEAR:
            return [PoorFit("other-face", join, host, removal, 0.0, side.opposite)]
    if kind_of_joint(join) not in cut or kind_of_joint(join) == MORTISED:
        return []
    goes = float(join.tradition.inset) if join.tradition else 0.0
    there = [each for cut in map(cut_box, host.removals) if (each := overlap_of(cut, lies.box))]
    if any(all(width(each, i) > width(lies.box, i) - limit for i in Axis) for each in there):
        return []
    return [PoorFit("missing", join, host, None, goes, side)]


def _elsewhere(piece: Piece, lies: LetIn, used: set[Removal], loose: float) -> Iterator[PoorFit]:
    """The one cut of its kind and width in the side that a part is let into, in which nothing lies, however far off."""
    join, body, axis = lies.join, piece.body(lies.join.part_b), lies.join.side_b.axis
    kinds = {"dado", "groove", "rabbet"} & {*cuts_for(join)}
    idle = [each for each in join.part_b.removals if each.kind in kinds and each not in used]
    for cut in idle if len(idle) == 1 and opens_to(lies, idle[0], body) else ():
        across, _ = channel(cut_box(cut), axis, join.part_b.grain)
        off = lies.box.low[across] - cut_box(cut).low[across]
        toward = side_of(across, 1 if off > 0 else -1)
        if (
            abs(width(cut_box(cut), across) - width(lies.box, across)) <= loose
            and abs(off) >= NEAR - ROUNDING
        ):
            yield PoorFit("misplaced", join, join.part_b, cut, abs(off), toward)


def _lap(piece: Piece, lies: LetIn, others: list[LetIn], limit: float, loose: float) -> list[PoorFit]:
    """Two parts lapped: what is left of both must fill the place that they share, and be cut there."""
    join = lies.join
    a, b = piece.body(join.part_a), piece.body(join.part_b)
    made = join.tradition if join.part_a.turn == join.part_b.turn else None
    said = made.measures.get("thick") if made is not None else None
    found: list[PoorFit] = []
    cuts = [(part, _place_in(piece, lies, part), _cut_for(piece, lies, part, others)) for part in join.parts]
    made_at = [
        in_frame_of(box if cut is None else overlap_of(cut_box(cut), box) or box, piece.body(part), b)
        for part, box, cut in cuts
    ]
    # The cuts lie against one another in one direction of three: joined end to edge it is not that of the joint.
    for axis in (join.side_b.axis, *(each for each in Axis if each is not join.side_b.axis)):
        deep = width(lies.box, axis)
        over = [box.between(axis, lies.box.low[axis], lies.box.high[axis]) for box in made_at]
        left_a, left_b = (left_in(body, box, axis, b) for body, box in zip((a, b), over, strict=True))
        if said is not None and left_a > deep - limit and axis is join.part_a.facing.axis:
            left_a = float(said)
        if left_a > deep - limit or left_b > deep - limit:
            continue  # What the plan does not write is taken to be cut as the other asks for.
        off = left_a + left_b - deep
        kind = "lap-thick" if off > 0 else "lap-gap"
        if abs(off) <= limit + ROUNDING:
            runs, its = (runs_in(body, box, axis, b) for body, box in zip((a, b), over, strict=True))
            off = sum(max(0, min(hi, top) - max(lo, low)) for lo, hi in runs for low, top in its)
            if off <= limit + ROUNDING:
                return [
                    fault for part, box, cut in cuts if cut is not None
                    for fault in _fit(LetIn(join, box), cut, limit, loose, lapped=(part, axis))
                ]  # fmt: skip
            return [PoorFit("lap-face", join, join.part_b, None, abs(off), side_of(axis, 1), deep)]
        found.append(PoorFit(kind, join, join.part_b, None, abs(off), side_of(axis, 1), deep))
    return [min(found, key=lambda each: each.amount)] if found else []


def _uncut_in(piece: Piece, lies: LetIn) -> tuple[Part, ...]:
    """Which parts of a lap are not cut in its place."""
    return tuple(
        part
        for part in lies.join.parts
        if not any(overlap_of(cut_box(each), _place_in(piece, lies, part)) for each in part.removals)
    )


def _uncut_lap(
    piece: Piece, lies: LetIn, others: list[LetIn], limit: float, *, written: bool
) -> Iterator[PoorFit]:
    """A part that is not cut in the place of its lap though the other is cut there, and leaves it wood: cut elsewhere
    for nothing, or not at all where the plan writes both cuts of another lap."""
    uncut, join = _uncut_in(piece, lies), lies.join
    if len(uncut) != 1 or (join.tradition and "thick" in join.tradition.measures):
        return
    (part,) = uncut
    other, axis, b = join.other(part), join.side_b.axis, piece.body(join.part_b)
    if join.part_a.is_end(join.side_a) or join.part_b.is_end(join.side_b):
        axis = part.facing.axis
    left = left_in(piece.body(other), lies.box, axis, b)
    if not limit < left < width(lies.box, axis) - limit:
        return
    place = _place_in(piece, lies, part)
    used = [_place_in(piece, each, part) for each in others if part in each.join.parts]
    for each in part.removals:
        cut = cut_box(each)
        as_deep = abs(width(cut, axis) - left) < limit
        as_wide = all(abs(width(cut, i) - width(place, i)) < limit for i in Axis if i is not axis)
        if (as_deep or as_wide) and not any(overlap_of(cut, box) for box in used):
            off, across = max(
                (abs(cut.low[i] + cut.high[i] - place.low[i] - place.high[i]) / 2, i)
                for i in Axis
                if i is not axis
            )
            toward = side_of(across, 1 if place.low[across] > cut.low[across] else -1)
            yield PoorFit("misplaced", join, part, each, off, toward)
            return
    if written:
        yield PoorFit("missing", join, part, None, left, join.side_of(part))


def _place_in(piece: Piece, lies: LetIn, part: Part) -> Box:
    """The place of a joint in the frame of either of its parts."""
    a, b = map(piece.body, lies.join.parts)
    return lies.box if part is lies.join.part_b else in_frame_of(lies.box, b, a)


_LAPPED = frozenset({"dado", "groove", "rabbet", "notch"})
"""The cuts that a lap is made with."""


def _cut_for(piece: Piece, lies: LetIn, part: Part, others: list[LetIn]) -> Removal | None:
    """The one cut of a part in the place of its lap, with nothing else in it; not what is rabbeted or grooved for glass
    or a panel, which is much narrower."""
    join, place = lies.join, _place_in(piece, lies, part)
    ends = join.part_a.is_end(join.side_a) or join.part_b.is_end(join.side_b)
    deep = join.part_a.facing.axis if ends else join.side_b.axis
    cuts = [each for each in part.removals if each.kind in _LAPPED and overlap_of(cut_box(each), place)]
    if len(cuts) != 1:
        return None
    cut = cut_box(cuts[0])
    sharing = [
        each for each in others if part in each.join.parts and overlap_of(cut, _place_in(piece, each, part))
    ]
    meant = cuts[0].kind in {"dado", "notch"} or all(
        2 * width(cut, axis) >= width(place, axis) for axis in Axis if axis is not deep
    )
    return cuts[0] if meant and sharing == [lies] else None

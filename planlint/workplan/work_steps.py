"""The order of work as steps: what is brought together when, how it lies and comes in, with which driver and clamps.

Steps are data; ``planlint.reports.steps_report`` puts them into words. Whoever draws or prints them reads the fields.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from planlint.geometry.facts import Vector
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.joint_kinds import APRON_WIDTH, SQUARISH
from planlint.geometry.shapes.vectors import scaled
from planlint.model.directions import Axis, Side
from planlint.model.plan import Join, Part
from planlint.model.workshop import SetUp
from planlint.workplan.assembly_order import Building, Meeting, assembly_order
from planlint.workplan.clamps import Clamp, Clamping
from planlint.workplan.finish_first import Finish, Finishing
from planlint.workplan.natural_units import FLAT, alike, bounds_of, natural_units, where
from planlint.workplan.order_costs import (
    BETWEEN,
    FALLS,
    LID,
    LOOSE,
    SET_ON,
    SET_ON_FLAT,
    TURNING,
    Cost,
    pose_costs,
    poses,
    rank,
)
from planlint.workplan.set_ups import set_ups

THICK = 4.0
"""Inches up to which what is flat is said to lie flat. Basis: our own judgement."""


class Slots(NamedTuple):
    """What a slotted joint lets move: a part, and along which axis, which is across its grain."""

    part: Part
    along: Axis


@dataclass(frozen=True)
class JoinWork:
    """One joint to be made."""

    join: Join
    settled: bool
    """Whether the parts are placed for certain, so that places along the joint can be told."""
    clamp: Clamp | None
    set_ups: tuple[SetUp, ...] = ()
    """The bits and drivers that reach its screws, where the usual pair does not."""

    @property
    def slots(self) -> Slots | None:
        """For a slotted joint, the wider of its boards that moves along it; ``None`` where none does."""
        join = self.join
        if not join.slotted or any(part.turn is not None for part in join.parts):
            return None
        ends = ((join.part_a, join.side_a), (join.part_b, join.side_b))
        moving = [part for part, side in ends if part.stock.material.solid and not part.is_edge(side)]
        widest = max(moving, key=lambda part: part.width, default=None)
        return None if widest is None else Slots(widest, widest.across)


@dataclass(frozen=True)
class Unit:
    """Parts that hang together by the time they are used, in the order of the plan."""

    kind: str
    """``part``; ``panel``, ``layers``, ``fitted``, ``frame`` or ``box`` as natural units are; ``piece`` for all that
    hangs together; of any other set ``carcass`` for panels and ``base`` for legs with what ties them, else
    ``assembly``."""
    parts: tuple[Part, ...]
    side: Side | None = None
    """Where it lies in the piece, for a unit that has its like elsewhere in it."""
    across: Axis | None = None
    """The axis that a frame is thin along, or that the walls of a box run along."""
    name: str = ""
    """What the plan calls it, where it places it as one."""
    own: bool = False
    """Whether it is made up by itself on the bench."""


class Way(NamedTuple):
    """How something comes in, by unit vectors in the piece's axes: along ``last``, and round a corner along ``first``
    before."""

    last: Vector
    first: Vector | None = None


@dataclass(frozen=True)
class Step:
    """``added`` is joined to ``standing`` by ``work``, which makes ``makes``.

    ``added`` are several where parts alike come in one after the other. A ``stuck`` step is one that no order makes:
    ``added`` is the set, ``work`` all of its joints, those that no driver reaches first.
    """

    number: int
    added: tuple[Unit, ...]
    standing: tuple[Unit, ...]
    makes: Unit
    work: tuple[JoinWork, ...]
    down: Side = Side.BOTTOM
    """The side of the piece that lies on the bench or the floor."""
    turned: bool = False
    """Whether what stands lay on another side in the step before."""
    way: Way | None = None
    """How ``added`` comes in; ``None`` where the plan does not settle it, or with ``spread``."""
    spread: bool = False
    """Whether a ring is drawn up all at once."""
    finish: tuple[Finish, ...] = ()
    ranked: int = BETWEEN
    """When ``added`` comes, as ``order_costs`` ranks it."""
    costs: tuple[Cost, ...] = ()
    """What a builder would rather not do of it."""
    flat: bool = False
    """Whether what is made lies flat on the bench."""
    twins: tuple[Step, ...] = ()
    """The same step on units alike, told with this one; of the same number."""
    stuck: bool = False

    @property
    def carried(self) -> bool:
        """Whether what comes lies on the bench, and the work is set on it."""
        return any(cost in {SET_ON, SET_ON_FLAT} for cost in self.costs)

    @property
    def made(self) -> tuple[Part, ...]:
        """The parts that hang together after this step, in the order of the plan."""
        return self.makes.parts

    @property
    def comes(self) -> tuple[Part, ...]:
        """The parts that come in, in the order in which they do."""
        return tuple(part for unit in self.added for part in unit.parts)

    @property
    def stands(self) -> tuple[Part, ...]:
        """The parts that they come to."""
        return tuple(part for unit in self.standing for part in unit.parts)

    def each(self) -> Iterator[Step]:
        """This step and its twins."""
        yield self
        yield from self.twins


@of_piece
def work_steps(piece: Piece) -> tuple[Step, ...]:
    """All steps, in an order in which each part has a way in and each joint can be driven when its turn comes, as far
    as there is one.

    What has to dry comes first: panels and layers. Then each unit by itself, units alike together, and then what they
    make. Where only another bit or driver than the usual one serves, the joint says which.
    """
    return tuple(_Steps(piece).all())


class _Steps:
    def __init__(self, piece: Piece) -> None:
        self.piece = piece
        self.clamping = Clamping(piece)
        self.reach = set_ups(piece)
        self.natural = {unit.parts: unit for unit in natural_units(piece)}
        self.lay: dict[frozenset[int], Side] = {}
        self.finishing = Finishing(piece)
        self.resting: dict[int, Side] = {}

    def all(self) -> Iterator[Step]:
        dry: list[list[Step]] = []
        after: list[list[Step]] = []
        for building in assembly_order(self.piece):
            for part in self._of(building):
                glued = bool(part) and part[-1].makes.kind in {"panel", "layers"}
                (dry if glued else after).append(part)
        for number, step in enumerate(
            (s for part in [*_with_twins(dry), *_with_twins(after)] for s in part), 1
        ):
            yield replace(step, number=number, twins=tuple(replace(t, number=number) for t in step.twins))

    def _of(self, building: Building) -> list[list[Step]]:
        """The steps of a building, unit by unit, those inside it before it."""
        found: list[list[Step]] = []
        waiting: list[tuple[Building, bool]] = [(building, False)]
        while waiting:
            here, ready = waiting.pop()
            if not ready:
                waiting.append((here, True))
                waiting += [(each, False) for each in reversed(here.inside)]
                continue
            found.append(self._in_turn(here, building.parts))
        return found

    def _in_turn(self, building: Building, whole: frozenset[int]) -> list[Step]:
        steps = [self._step(meeting, whole) for meeting in building.meetings]
        made = [number for number, step in enumerate(steps) if not step.stuck]
        if made:
            costs = [self._costs(building.meetings[number], steps[number]) for number in made]
            before = self.lay.get(max(building.meetings[made[0]].standing, key=len))
            for number, step_costs, down in zip(made, costs, poses(costs, before), strict=True):
                turned = before is not None and down is not before
                steps[number] = replace(
                    steps[number],
                    down=down,
                    turned=turned,
                    costs=(TURNING, *step_costs[down]) if turned else step_costs[down],
                    flat=self._flat(building.meetings[number].made, down),
                )
                self.lay[building.meetings[number].made] = before = down
        return _joined(steps)

    def _step(self, meeting: Meeting, whole: frozenset[int]) -> Step:
        if meeting.stuck:
            unit = self._unit(meeting.added, whole)
            return Step(0, (unit,), (), unit, self._work(meeting.joins, meeting.added), stuck=True)
        way = None
        if meeting.move is not None:
            comes = scaled(meeting.move.way, -1.0)
            way = Way(comes)
            if meeting.move.first is not None:
                way = Way(scaled(meeting.move.first[0], -1.0), comes)
        ranked = rank(meeting.added, meeting.joins, self.natural.get(meeting.added))
        return Step(
            0,
            (self._unit(meeting.added, whole),),
            tuple(self._unit(each, whole) for each in meeting.standing),
            self._unit(meeting.made, whole),
            self._work(meeting.joins, meeting.made),
            way=way,
            spread=meeting.move is None,
            finish=tuple(
                self.finishing.before(meeting.joins, meeting.added if ranked == LID else (), meeting.made)
            ),
            ranked=ranked,
        )

    def _flat(self, parts: frozenset[int], down: Side) -> bool:
        low, high = bounds_of(self.piece, parts)
        thick, *wide = (high[i] - low[i] for i in sorted(Axis, key=lambda axis: axis is not down.axis))
        return thick <= min(THICK, FLAT * min(wide))

    def _costs(self, meeting: Meeting, step: Step) -> dict[Side, tuple[Cost, ...]]:
        comes, drives = step.way and step.way.last, self._drives(step.work)
        if step.ranked == LOOSE:
            # What only rests is laid where its own weight keeps it, whichever way it came there.
            sides = {j.side_a if j.part_a.index in meeting.added else j.side_b for j in meeting.joins}
            under = Side.BOTTOM if Side.BOTTOM in sides else min(sides, key=list(Side).index)
            comes = self.piece.body(step.comes[0]).planes[under].normal
            self.resting.update(dict.fromkeys(meeting.added, under))
        costs = pose_costs(self.piece, meeting.made, meeting.added, comes, drives, step.ranked)
        kept = {self.resting[i] for i in meeting.made if i in self.resting}
        for down in costs:
            if kept and kept != {down} and FALLS not in costs[down]:
                costs[down] = (*costs[down], FALLS)
        return costs

    def _work(self, joins: Sequence[Join], present: frozenset[int]) -> tuple[JoinWork, ...]:
        clamps = self.clamping.of_step(joins, present)
        return tuple(
            JoinWork(join, self.piece.trusted(join), clamp, self.reach.taken(join, present))
            for join, clamp in zip(joins, clamps, strict=True)
        )

    def _drives(self, work: Sequence[JoinWork]) -> list[tuple[Vector, Vector]]:
        """For each row of screws the way from which its driver comes, and that in which its pockets or heads look."""
        found: dict[tuple[Vector, Vector], None] = {}
        for each in work:
            if not each.settled:
                continue
            for pocket in self.piece.pockets(each.join):
                face = self.piece.body(pocket.part).planes[pocket.face].normal
                found[scaled(pocket.direction, -1.0), face] = None
            for screw in self.piece.drives(each.join):
                head = scaled(screw.pocket.direction, -1.0)
                found[head, head] = None
        return list(found)

    def _unit(self, parts: frozenset[int], whole: frozenset[int]) -> Unit:
        own = tuple(self.piece.plan.parts[i] for i in sorted(parts))
        if len(own) == 1:
            return Unit("part", own)
        if parts == whole:
            return Unit("piece", own)
        natural = self.natural.get(parts)
        if natural is None:
            return Unit(_kind(own), own)
        like = [unit for unit in self.natural.values() if unit.kind == natural.kind]
        side = where(self.piece, parts, whole, natural.across) if len(like) > 1 else None
        kind = _kind(own) if natural.kind == "assembly" else natural.kind
        if kind == "frame" and _boards_on_edge(own, natural.across):
            kind = "carcass"
        return Unit(kind, own, side, natural.across, natural.name, own=True)


def _boards_on_edge(parts: Sequence[Part], across: Axis | None) -> bool:
    """Whether what is as flat as a frame is a shallow case: wide boards, none of which lies flat in it."""
    upright = across is not None and across is not Axis.Z
    return upright and all(part.across is across and part.width > APRON_WIDTH for part in parts)


def _kind(parts: Sequence[Part]) -> str:
    if len(parts) > 2 and 2 * sum(part.stock.sheet for part in parts) > len(parts):
        return "carcass"
    legs = sum(part.grain is Axis.Z and part.thickness >= SQUARISH * part.width for part in parts)
    return "base" if legs > 1 else "assembly"


def _shape(step: Step) -> tuple[object, ...]:
    """What two steps have in common that a builder calls the same: how many of what kind, and how they are joined."""
    units = tuple(sorted(tuple(alike(part) for part in unit.parts) for unit in step.added))
    standing = tuple(sorted(tuple(sorted(map(alike, unit.parts))) for unit in step.standing))
    return units, standing, _joints(step), step.stuck


def _joints(step: Step) -> tuple[object, ...]:
    return tuple(
        sorted(
            repr(
                (
                    work.join.tradition.kind if work.join.tradition else None,
                    work.join.glue,
                    work.join.slotted,
                    [(row.count, row.at, row.every, row.plugged) for row in work.join.pockets],
                    [(each.kind, each.row.count, each.thick, each.length) for each in work.join.fastenings],
                    work.set_ups,
                )
            )
            for work in step.work
        )
    )


def _with_twins(units: Sequence[list[Step]]) -> list[list[Step]]:
    """Units that are made in the same steps told as one, each step with its twins."""
    found: dict[object, list[Step]] = {}
    for number, steps in enumerate(units):
        shape: object = tuple(map(_shape, steps))
        if not steps or any(step.stuck for step in steps) or steps[-1].makes.kind == "piece":
            shape = number
        first = found.setdefault(shape, [])
        if not first:
            first += steps
            continue
        first[:] = [replace(one, twins=(*one.twins, other)) for one, other in zip(first, steps, strict=True)]
    return [steps for steps in found.values() if steps]


def _joined(steps: Sequence[Step]) -> list[Step]:
    """Parts alike that come in one after the other in the same way told as one step."""
    found: list[Step] = []
    for step in steps:
        last = found[-1] if found else None
        if (
            last is not None
            and not step.stuck
            and not last.stuck
            and not step.turned
            and step.way == last.way
            and len(step.added[0].parts) == 1
            and alike(step.added[0].parts[0]) == alike(last.added[-1].parts[0])
            and len(last.added[-1].parts) == 1
            and len(step.work) * len(last.added) == len(last.work)
            and _joints(step) == _joints(replace(last, work=last.work[-len(step.work) :]))
        ):
            found[-1] = replace(
                last,
                added=(*last.added, *step.added),
                makes=step.makes,
                work=(*last.work, *step.work),
                costs=(*last.costs, *step.costs),
                finish=tuple(dict.fromkeys((*last.finish, *step.finish))),
            )
        else:
            found.append(step)
    return found

"""The order of work as steps: what is brought together when, how it lies and comes in, with which driver and clamps.

Each is data (``one_step``).
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from functools import cache, partial

from planlint.geometry.joint_facts import Vector
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.geometry.shapes.cells import boxes_round
from planlint.geometry.shapes.joint_kinds import APRON_WIDTH, SQUARISH
from planlint.geometry.shapes.vectors import scaled
from planlint.model.directions import SIDES, Axis, Side
from planlint.model.plan import Join, Part
from planlint.text.grouping import grouped
from planlint.workplan import order_costs as costing
from planlint.workplan.assembly_order import BroughtTogether, Building, assembly_order
from planlint.workplan.bench_sides import PoseCosts, SetDown, ahead, amount, drives_of, pose_costs, poses
from planlint.workplan.blocking_graph import motions
from planlint.workplan.clamps import Clamping
from planlint.workplan.finish_first import Finishing
from planlint.workplan.natural_units import FLAT, bounds_of, natural_units, part_kinds, where
from planlint.workplan.order_costs import LID, LOOSE, TURNING, Cost, from_group
from planlint.workplan.repeated_steps import joined_steps, sorts, with_twins
from planlint.workplan.set_ups import set_ups
from planlint.workplan.step_data import JoinWork, Step, Unit, Way
from planlint.workplan.step_placings import placings, spacings_to
from planlint.workplan.way_in import joins_within

ON_FEET = 1.0
"""Inches over the floor up to which a leg still stands on it, on a glide or pad. Basis: our own judgement."""
_BOX = 4
"""Boards on edge that make a box without a floor."""
BOARD = 4
"""A board is so many times as wide as it is thick, or more: a stud is not. Basis: our own judgement."""
THICK = 4.0
"""Inches up to which what is flat is said to lie flat. Basis: our own judgement."""

PoseWays = dict[Side, tuple[tuple[Cost, ...], Way | None]]
"""What a step costs with each side down, and how what is added then comes."""


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
        self.bounds: dict[frozenset[int], Box] = {}
        self.units: dict[tuple[frozenset[int], frozenset[int]], Unit] = {}
        legs = frozenset(
            part.index
            for part in piece.plan.parts
            if part.grain is Axis.Z
            and part.thickness >= SQUARISH * part.width
            and piece.bodies[part.index].bounds.low[Axis.Z] <= piece.bounds.low[Axis.Z] + ON_FEET
        )
        # Legs in one line are the stiles of a frame.
        middles = [piece.bodies[i].middle for i in legs] or [(0.0, 0.0, 0.0)]
        spread = min(max(at) - min(at) for at in list(zip(*middles, strict=True))[:2])
        self.legs = legs if spread > ON_FEET else frozenset()

    def all(self) -> Iterator[Step]:
        units: list[tuple[Building, list[Step]]] = []
        kind, sort = part_kinds(self.piece), sorts(self.piece)
        for building in assembly_order(self.piece):
            units += self._of(building)
        self._lay(units)
        dries = [each.parts for each, steps in units if steps and steps[-1].makes.kind in {"panel", "layers"}]
        dry: list[list[Step]] = []
        after: list[list[Step]] = []
        for building, steps in units:
            within = any(building.parts <= each for each in dries)
            (dry if within else after).append(joined_steps(steps, kind))
        for number, step in enumerate(
            (s for part in [*with_twins(dry, sort), *with_twins(after, sort)] for s in part), 1
        ):
            yield replace(step, number=number, twins=tuple(replace(t, number=number) for t in step.twins))

    def _of(self, building: Building) -> list[tuple[Building, list[Step]]]:
        """The steps of a building, unit by unit, those inside it before it."""
        found: list[tuple[Building, list[Step]]] = []
        waiting: list[tuple[Building, bool]] = [(building, False)]
        while waiting:
            here, ready = waiting.pop()
            if not ready:
                waiting.append((here, True))
                waiting += [(each, False) for each in reversed(here.inside)]
                continue
            found.append((here, [self._step(meeting, building.parts) for meeting in here.meetings]))
        return found

    def _lay(self, units: Sequence[tuple[Building, list[Step]]]) -> None:
        """Say which way up each unit lies in each of its steps; those that are put together alike lie alike."""
        costs = [self._costs(*each) for each in units]
        told: list[list[PoseCosts]] = [
            [{down: said for down, (said, _) in each.items()} for _, each in steps] for steps in costs
        ]
        turnings = [[turning for turning, _ in steps] for steps in costs]
        # As it lies when it is made, a unit lies before what is built up on it.
        behind: dict[frozenset[int], dict[Side, float]] = {}
        after = [dict.fromkeys(SIDES, 0.0) for _ in units]
        for number in range(len(units) - 1, -1, -1):
            building = units[number][0]
            after[number] = behind.get(building.parts) or self._stood_up(building)
            if told[number]:
                ways = ahead(told[number], turnings[number], after[number])
                behind[_base(building)] = ways[0]
        alike_ones = grouped((self._manner(*unit), number) for number, unit in enumerate(units))
        for numbers in alike_ones.values():
            first = numbers[0]
            if not costs[first]:
                continue
            before = [self.lay.get(_base(units[number][0])) for number in numbers]
            then = {down: sum(after[number][down] for number in numbers) for down in SIDES}
            downs = poses([told[number] for number in numbers], turnings[first], before[0], then)
            for number, was in zip(numbers, before, strict=True):
                self._laid(*units[number], costs[number], downs, was)

    def _stood_up(self, building: Building) -> dict[Side, float]:
        """What it costs to stand up what was the last to be made, if that is large."""
        turning = SetDown(self.piece, building.parts).turning()
        large = turning.amount if turning is costing.TURNING_LARGE else 0.0
        return {down: 0.0 if down is Side.BOTTOM else large for down in SIDES}

    def _manner(self, building: Building, steps: Sequence[Step]) -> object:
        """How a unit is put together, sizes left out: what is alike in all of it lies alike."""
        if not steps or any(step.stuck for step in steps) or steps[-1].makes.kind == "piece":
            return building.parts
        return tuple(
            (
                step.ranked,
                len(step.added[0].parts),
                tuple(
                    (
                        join.tradition.kind if join.tradition else "",
                        join.side_a,
                        join.side_b,
                        *((part.grain, part.facing.axis) for part in join.parts),
                        *(row.face for row in join.pockets),
                        *(each.kind for each in join.fastenings),
                    )
                    for join in (work.join for work in step.work)
                ),
            )
            for step in steps
        )

    def _laid(
        self,
        building: Building,
        steps: list[Step],
        costs: Sequence[tuple[Cost, PoseWays]],
        downs: Sequence[Side],
        before: Side | None,
    ) -> None:
        made = [number for number, step in enumerate(steps) if not step.stuck]
        for number, (turning, step_costs), down in zip(made, costs, downs, strict=True):
            turned = before is not None and down is not before
            whole = building.meetings[number].made
            steps[number] = replace(
                steps[number],
                down=down,
                turned=turned,
                way=step_costs[down][1],
                costs=(turning, *step_costs[down][0]) if turned else step_costs[down][0],
                flat=self._flat(whole, down),
            )
            self.lay[whole] = before = down

    def _step(self, meeting: BroughtTogether, whole: frozenset[int]) -> Step:
        if meeting.stuck:
            unit = self._unit(meeting.added, whole)
            return Step(0, (unit,), (), unit, self._work(meeting.joins, meeting.added), stuck=True)
        way = None
        if meeting.move is not None:
            comes = scaled(meeting.move.way, -1.0)
            way = Way(comes)
            if meeting.move.first is not None:
                way = Way(scaled(meeting.move.first[0], -1.0), comes)
        ranked = meeting.ranked
        spaced = spacings_to(self.piece, meeting.added, meeting.made)
        return Step(
            0,
            (self._unit(meeting.added, whole),),
            tuple(self._unit(each, whole) for each in meeting.standing),
            self._unit(meeting.made, whole),
            self._work(meeting.joins, meeting.made, spaced),
            way=way,
            spacings=spaced,
            spread=meeting.move is None,
            help=meeting.help,
            finish=tuple(
                self.finishing.before(meeting.joins, meeting.added if ranked == LID else (), meeting.made)
            ),
            ranked=ranked,
            inside=self._inside(meeting),
        )

    def _inside(self, meeting: BroughtTogether) -> bool:
        here, there = self._bounds(meeting.added), boxes_round(list(map(self._bounds, meeting.standing)))
        self.bounds[meeting.made] = boxes_round((here, there))
        # A door laid on the front of a case lies on it, though its like lies there already.
        sides = {met.side for met in from_group(self.piece, meeting.added, meeting.joins)}
        on_it = len(sides) == 1 and Side.BOTTOM not in sides
        return (
            not on_it
            and here.high[Axis.Z] <= there.high[Axis.Z]
            and all(there.low[i] <= here.low[i] and here.high[i] <= there.high[i] for i in (Axis.X, Axis.Y))
        )

    def _flat(self, parts: frozenset[int], down: Side) -> bool:
        low, high = self._bounds(parts)
        thick, *wide = (high[i] - low[i] for i in sorted(Axis, key=lambda axis: axis is not down.axis))
        return thick <= min(THICK, FLAT * min(wide))

    def _costs(self, building: Building, steps: Sequence[Step]) -> list[tuple[Cost, PoseWays]]:
        """For each step of a unit that can be made, what it costs to turn it over before, and to lay it each way, with
        how what is added then comes."""
        found: list[tuple[Cost, PoseWays]] = []
        standing: SetDown | None = None
        kept: set[Side] = set()
        alike: object = None
        unit = self.natural.get(building.parts)
        finished = cache(partial(SetDown, self.piece, building.parts))
        for meeting, step in zip(building.meetings, steps, strict=True):
            if step.stuck:
                continue
            if standing is None:
                standing = SetDown(self.piece, frozenset[int]().union(*meeting.standing))
                kept = {self.resting[i] for each in meeting.standing for i in each if i in self.resting}
            turning, beside = standing.turning(), standing.box
            own = from_group(self.piece, meeting.added, meeting.joins)
            # The boards of a crate's front are laid on before it is turned for those of its back.
            laid = costing.manner(own) if step.ranked == LID else None
            was, alike = alike, (part_kinds(self.piece)[step.comes[0].index], len(step.comes), laid)
            turning = (
                costing.TURNING_AMID
                if turning is TURNING and was == alike and len(step.comes) == 1
                else turning
            )
            # A flat frame is made as it lies, and turned when it is whole.
            if found and turning is costing.TURNING_BOARDS and unit is not None and unit.kind == "frame":
                turning = TURNING
            if any(join.tradition is not None and join.tradition.inset for join in meeting.joins):
                beside = None
            steady = {down: standing.count < 3 or standing.steady(down) for down in SIDES}
            standing.add(meeting.added)
            ways: list[tuple[Vector | None, Way | None]] = [
                (way and way.last, way) for way in self._ways(meeting, step)
            ]
            sides = {met.side for met in own}
            if step.ranked == LOOSE:
                # What only rests is laid where its own weight keeps it, whichever way it came there.
                level = Side.BOTTOM in sides or any(join.fastenings for join in meeting.joins)
                under = Side.BOTTOM if level else min(sides, key=list(Side).index)
                ways = [(self.piece.body(step.comes[0]).planes[under].normal, step.way)]
                self.resting.update(dict.fromkeys(meeting.added, under))
            kept |= {self.resting[i] for i in meeting.added if i in self.resting}
            drives = drives_of(self.piece, meeting.joins, meeting.made, self._bounds(meeting.made))
            reach = boxes_round([self._met(join) for join in meeting.joins])
            best: PoseWays = {}
            for comes, way in ways:
                costs = pose_costs(
                    self.piece,
                    standing,
                    beside,
                    reach,
                    steady,
                    meeting.added,
                    comes,
                    drives,
                    step.ranked,
                    sides,
                    finished,
                )
                for down, here in costs.items():
                    falls = (costing.FALLS,) if kept and kept != {down} and costing.FALLS not in here else ()
                    told = (*here, *falls)
                    if down not in best or amount(told) < amount(best[down][0]):
                        best[down] = told, way
            found.append((turning, best))
        return found

    def _met(self, join: Join) -> Box:
        """The box that both parts of a joint share."""
        a, b = (self.piece.body(part).bounds for part in join.parts)
        (u, v, w), (x, y, z) = map(max, a.low, b.low), map(min, a.high, b.high)
        return Box((u, v, w), (x, y, z))

    def _ways(self, meeting: BroughtTogether, step: Step) -> Sequence[Way | None]:
        """How what is added may come: where its joints leave a choice, each way that is as square to them."""
        move = meeting.move
        if move is None or move.first is not None or meeting.help is not None:
            return [step.way]
        moves = motions(self.piece).moves_off(meeting.added, meeting.made)
        ways = [Way(scaled(each.way, -1.0)) for each in moves]
        return [step.way, *(way for way in ways if way != step.way)] if step.way in ways else [step.way]

    def _work(
        self, joins: Sequence[Join], present: frozenset[int], spaced: Sequence[Join] = ()
    ) -> tuple[JoinWork, ...]:
        clamps, places = self.clamping.of_step(joins, present), placings(self.piece, joins, spaced)
        return tuple(
            JoinWork(
                join, self.piece.trusted(join), clamp, places[join.index], self.reach.taken(join, present)
            )
            for join, clamp in zip(joins, clamps, strict=True)
        )

    def _bounds(self, whole: frozenset[int]) -> Box:
        if whole not in self.bounds:
            self.bounds[whole] = bounds_of(self.piece, whole)
        return self.bounds[whole]

    def _unit(self, parts: frozenset[int], whole: frozenset[int]) -> Unit:
        if (parts, whole) not in self.units:
            self.units[parts, whole] = self._unit_of(parts, whole)
        return self.units[parts, whole]

    def _laps(self, parts: frozenset[int]) -> bool:
        """Whether parts only lap across one another."""
        made = [join.tradition for join in self.piece.plan.joins if joins_within(join, parts)]
        return len(made) > 2 and all(each and each.kind == "cross lap" for each in made)

    def _unit_of(self, parts: frozenset[int], whole: frozenset[int]) -> Unit:
        own = tuple(self.piece.plan.parts[i] for i in sorted(parts))
        if len(own) == 1:
            return Unit("part", own)
        if parts == whole:
            return Unit("piece", own)
        natural = self.natural.get(parts)
        if natural is None:
            return Unit("grid" if self._laps(parts) else _kind(own, self.legs), own)
        like = [unit for unit in self.natural.values() if unit.kind == natural.kind]
        side = where(self.piece, parts, self._bounds(whole), natural.across) if len(like) > 1 else None
        kind = _kind(own, self.legs, own=True) if natural.kind == "assembly" else natural.kind
        if kind == "frame" and self._laps(parts):
            kind = "grid"
        elif kind == "frame" and _boards_on_edge(own, natural.across):
            kind = "carcass"
        of_units = any(unit.name and unit.parts < parts for unit in self.natural.values())
        if kind == "box" and natural.across is Axis.Y and not of_units:
            kind = "carcass"
        if kind == "frame" and natural.across is Axis.Z and _walled(own):
            kind, side = "box", None
        return Unit(kind, own, side, natural.across, natural.name, own=True)


def _base(building: Building) -> frozenset[int]:
    """What a set that can be made is built up on."""
    first = next(meeting for meeting in building.meetings if not meeting.stuck)
    return max(first.standing, key=len)


def _boards_on_edge(parts: Sequence[Part], across: Axis | None) -> bool:
    """Whether what is as flat as a frame is a shallow case: most of it boards, no studs, that stand on edge in it."""
    upright = across is not None and across is not Axis.Z
    return upright and 2 * sum(p.across is across and p.width >= BOARD * p.thickness for p in parts) > len(
        parts
    )


def _walled(parts: Sequence[Part]) -> bool:
    """Whether what is as flat as a frame is a tray or drawer: boards on edge round one that lies flat, or just four."""
    flat = [part.facing.axis is Axis.Z for part in parts]
    return 2 * sum(flat) < len(flat) and (any(flat) or len(flat) == _BOX)


def _kind(parts: Sequence[Part], legs: Collection[int], own: bool = False) -> str:
    wide = sum(part.stock.sheet or (own and part.width > APRON_WIDTH) for part in parts)
    level = all(part.grain is not Axis.Z for part in parts)
    if len(parts) > 2 and 2 * wide > len(parts):
        faces = [part.facing.axis for part in parts]
        return "box" if level and faces.count(Axis.Z) < 2 and {Axis.X, Axis.Y} <= {*faces} else "carcass"
    if sum(part.index in legs for part in parts) > 1:
        return "base"
    return "box" if len(parts) >= _BOX and level and _walled(parts) else "assembly"

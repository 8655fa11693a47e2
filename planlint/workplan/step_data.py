"""One step of the work as data: what is brought together, how it lies and comes in, with which driver and clamps.

``planlint.reports.steps_report`` puts steps into words. Whoever draws or prints them reads the fields.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.model.directions import Axis, Side
from planlint.model.join_details import Placing
from planlint.model.plan import Join, Part
from planlint.model.workshop import SetUp
from planlint.workplan.clamps import Clamp
from planlint.workplan.finish_first import Finish
from planlint.workplan.order_costs import BETWEEN, SET_ON, SET_ON_BOARD, SET_ON_FLAT, Cost
from planlint.workplan.tilted_or_sprung_in import Help


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
    placings: tuple[Placing, ...] = ()
    """Where its parts lie on one another: as the plan says it, or as it follows where that is said at later joints."""
    set_ups: tuple[SetUp, ...] = ()
    """The bits and drivers that reach its screws, where the usual pair does not."""

    @property
    def slots(self) -> Slots | None:
        """For a slotted joint, the wider of its boards that moves along it; ``None`` where none does."""
        join = self.join
        if not join.slotted or any(part.turn is not None for part in join.parts):
            return None
        moving = [part for part, side in join.sides if part.stock.material.solid and not part.is_edge(side)]
        widest = max(moving, key=lambda part: part.width, default=None)
        return None if widest is None else Slots(widest, widest.across)


@dataclass(frozen=True)
class Unit:
    """Parts that hang together by the time they are used, in the order of the plan."""

    kind: str
    """``part``; ``panel``, ``layers``, ``fitted``, ``frame`` or ``box`` as natural units are; ``piece`` for all that
    hangs together; of any other set ``carcass`` for panels, ``base`` for legs with what ties them, ``grid`` for
    what only laps across, else ``assembly``."""
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
    help: Help | None = None
    """How ``added`` is brought in, where no straight move does it: ``way`` is then how it comes before."""
    finish: tuple[Finish, ...] = ()
    spacings: tuple[Join, ...] = ()
    """What the plan says of how far what comes lies from parts that it does not touch, or in line with them."""
    ranked: int = BETWEEN
    """When ``added`` comes, as ``order_costs`` ranks it."""
    costs: tuple[Cost, ...] = ()
    """What a builder would rather not do of it."""
    inside: bool = False
    """Whether ``added`` comes to lie inside what stands: in a box, and not on a frame."""
    flat: bool = False
    """Whether what is made lies flat on the bench."""
    twins: tuple[Step, ...] = ()
    """The same step on units alike, told with this one; of the same number."""
    stuck: bool = False

    @property
    def carried(self) -> bool:
        """Whether what comes lies on the bench, and the work is set on it."""
        return any(cost in {SET_ON, SET_ON_BOARD, SET_ON_FLAT} for cost in self.costs)

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

"""The parts of a plan where they lie, and how the sides that are joined meet.

Nothing here judges, nor asks how a joint is drilled: that is the ``Piece`` built on it.
"""

from collections.abc import Callable
from functools import cached_property
from itertools import islice

from planlint.geometry.joint_facts import Contact, Overlap
from planlint.geometry.kept_facts import Facts, of_parts, of_sides
from planlint.geometry.shapes.body import Body, Box
from planlint.geometry.shapes.contact import contact
from planlint.geometry.shapes.joint_kinds import JointKind, joint_kind
from planlint.geometry.shapes.layers import glue_on, glued_in_layers, round_all
from planlint.geometry.shapes.overlaps import MOST_OVERLAPS, overlaps
from planlint.model.plan import Join, Part, Plan
from planlint.model.workshop import Settings
from planlint.placement.equations import on_tapers
from planlint.placement.joint_graph import JointGraph
from planlint.placement.solver import Placement, place


def no_hurry() -> None:
    """The clock of a piece that may take its time."""


class PlacedParts:
    """A placed plan: lengths in inches, points in the piece's axes."""

    def __init__(
        self, plan: Plan, settings: Settings | None = None, tick: Callable[[], None] = no_hurry
    ) -> None:
        """``tick`` is called before each fact that takes long to find; it may raise to have the work given up."""
        self.plan = plan
        self.settings = settings or Settings()
        self.limits = self.settings.limits
        self.tick = tick
        self.facts = Facts()

    # ------------------------------------------------------------ parts

    @of_parts
    def graph(self) -> JointGraph:
        return JointGraph(self.plan, self.limits)

    @of_parts
    def placement(self) -> Placement:
        return place(self.graph)

    @of_parts
    def bodies(self) -> tuple[Body, ...]:
        bodies = tuple(Body(part, self.placement.position(part)) for part in self.plan.parts)
        fixed = self.placement.fixed_together
        for join in self.plan.joins:
            a, b = bodies[join.part_a.index], bodies[join.part_b.index]
            if glued_in_layers(join) and fixed(*join.parts) and self.meet_flat(contact(join, a, b)):
                glue_on(join, a, b)
        return bodies

    def body(self, part: Part) -> Body:
        return self.bodies[part.index]

    def body_at(self, join: Join, part: Part) -> Body:
        """One of the two."""
        return self.meeting(join)[part is join.part_b]

    @of_sides
    def meeting(self, join: Join) -> tuple[Body, Body]:
        """Both parts of a join, each with the side at which it is met: of one that tapers the slant, where that is
        meant."""
        a, b = self.body(join.part_a), self.body(join.part_b)
        if not (join.part_a.tapers or join.part_b.tapers):
            return a, b
        on_a, on_b = on_tapers(join)
        return a.on_taper(on_a), b.on_taper(on_b)

    @of_parts
    def bounds(self) -> Box:
        """The smallest box round the whole piece."""
        return round_all(self.bodies)

    @cached_property
    def overlaps(self) -> tuple[Overlap, ...]:
        """Parts that run into one another, placed for certain and without a joint that says so, in the order of
        the plan; of more than ``MOST_OVERLAPS`` one more than that.
        """
        said = {
            frozenset((j.part_a.index, j.part_b.index))
            for j in self.plan.joins
            if j.tradition and j.tradition.inset
        }
        found = (
            each
            for each in overlaps(self.bodies, self.tick)
            if frozenset((each.part_a.index, each.part_b.index)) not in said
            and self.placement.fixed_together(each.part_a, each.part_b)
        )
        few = islice(found, MOST_OVERLAPS + 1)
        return tuple(sorted(few, key=lambda each: (each.part_a.index, each.part_b.index)))

    # ------------------------------------------------------------ joints

    @of_sides
    def contact(self, join: Join) -> Contact:
        self.tick()
        return contact(join, *self.meeting(join))

    def kind(self, join: Join) -> JointKind:
        return joint_kind(join, *self.meeting(join), self.contact(join))

    def inset(self, join: Join) -> float:
        """How deep A is meant to lie inside B's side; less than nothing where they are to stand apart."""
        return float(join.inset)

    def trusted(self, join: Join) -> bool:
        """Whether the parts lie fixed together, flat and touching: only then are there pockets to judge."""
        met, inset = self.contact(join), self.inset(join)
        if join.on_pins and 0 < met.gap + inset <= self.limits["misfit", "play on pins"]:
            inset = -met.gap
        return self.meet_flat(met, inset) and self.placement.fixed_together(join.part_a, join.part_b)

    def meet_flat(self, met: Contact, inset: float = 0.0) -> bool:
        """Whether two sides touch and lie flat on one another, one of them let in so deep."""
        return (
            bool(met.patches)
            and met.askew <= self.limits["askew", "angle"]
            and abs(met.gap + inset) <= self.limits["apart", "length"]
        )

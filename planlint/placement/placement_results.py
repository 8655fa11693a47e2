"""What placement finds: where each part lies, and every way in which the joins do not settle that."""

from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from planlint.model.directions import Axis, Side
from planlint.model.join_details import Placing
from planlint.model.plan import Join, Part, Plan
from planlint.model.wood_cuts import Triple
from planlint.placement.equations import Askew
from planlint.placement.joint_graph import JointGraph
from planlint.placement.open_rings import Doubt, Misplaced
from planlint.placement.part_frames import Vector


class Unlike(NamedTuple):
    """A distance that is told otherwise at the other end of the part, by just what a ring is open."""

    join: Join
    placing: Placing
    """The words to change."""
    inset: Fraction
    """The distance at the other end."""
    other: Join
    """The join there."""


class Remade(NamedTuple):
    """A join that would fit made as another is: let in so, as deep, or at its parts' far faces as the mirror image."""

    join: Join
    made: Join
    other: Join

    def told(self, plan: Plan) -> Plan:
        """The plan with that join made so, and all that its line tells as deep."""
        made, deep = self.made, self.made.tradition
        return plan.with_line(self.join, lambda it: made if it is self.join else replace(it, tradition=deep))


class Copied(NamedTuple):
    """A join of a part that would fit at a twin of what it names: where one like it is joined already, or whatever
    else is made so is no length that was meant."""

    join: Join
    named: Part
    meant: Part
    other: Join | None
    """What is joined there already; ``None`` where nothing is."""

    @property
    def of_b(self) -> bool:
        return self.join.part_b is self.named

    def made(self) -> Join:
        if self.of_b:
            return replace(self.join, part_b=self.meant)
        return replace(self.join, part_a=self.meant)


class Retold(NamedTuple):
    """A join that would fit laid as another is: that of its part's other end, or of a part and a host like its own."""

    join: Join
    other: Join
    placing: Placing | None
    """The words of ``join`` that say otherwise; ``None`` where it is said to be like a third."""
    instead: tuple[Placing, ...]
    """What it is to say: of ``placing``, or in all."""

    def told(self, plan: Plan) -> Plan:
        """The plan with that join laid so, and all that its line tells."""
        same = self.placing and (self.placing.side, self.placing.flush)

        def laid(each: Join) -> Join:
            kept = (old for old in each.placings if same and (old.side, old.flush) != same)
            return replace(each, placings=(*kept, *self.instead))

        return plan.with_line(self.join, laid)


class Closing(NamedTuple):
    """A part whose length, or its width, closes a ring where it is ``by`` inches more."""

    part: Part
    by: Fraction | float
    wide: bool = False
    others: tuple[Part, ...] = ()
    """What measures the same and has to be made so with it."""
    heals: int = 0
    """How many faults of the plan that takes away; 0 where it was not tried."""
    name: str = ""
    """Of the length by which all of them are told, where there is one."""
    sure: bool = False
    """Whether it is open by what the part's measure counts too often, or leaves out."""

    @property
    def now(self) -> Fraction:
        return self.part.width if self.wide else self.part.length

    @property
    def slight(self) -> bool:
        """Whether it changes by less than half of what it is now: by no mistake is more left out, or counted."""
        return 2 * abs(float(self.by)) < self.now

    @property
    def names(self) -> str:
        """What is made so, in words, in the order of the plan."""
        more = len(self.others)
        if more > 1:
            return f"{self.part.name} and the {more} others of that {'width' if self.wide else 'length'}"
        named = sorted((self.part, *self.others), key=lambda part: part.index)
        return " and ".join(each.name for each in named)

    def told(self, plan: Plan) -> Plan:
        """The plan with all of them made so."""
        made = (self._replace(part=each).made() for each in (self.part, *self.others))
        return plan.with_parts({each.name: each for each in made})

    def made(self) -> Part:
        by = Fraction(self.by)
        if self.wide:
            return replace(self.part, width=self.part.width + by)
        return replace(self.part, length=self.part.length + by)


class DrawerFit(NamedTuple):
    """A drawer that does not fit its opening: what of it runs across, to be made ``by`` inches longer; or, of slides
    that are thicker at one side, the join whose ``thick`` is to be as at the other."""

    parts: tuple[Part, ...]
    by: Fraction
    unlike: Join | None = None
    thick: Fraction = Fraction(0)


Cause = DrawerFit | Copied | Remade | Retold | Unlike
"""What a ring stays open for that no length is."""


class Misturned(NamedTuple):
    """A part of a ring, what it takes of it in inches, and what it would take ``facing`` another way, or with its
    length and width swapped where that is ``None``."""

    part: Part
    takes: Fraction
    instead: Fraction
    facing: Side | None


class Misfit(NamedTuple):
    """A join that the rest of the plan leaves no room for.

    ``amount`` is in inches along ``direction``, a unit vector out of A's named side (the joined one, or that of
    ``placing``; a ``centred`` counts toward right, back or top). For the contact: positive, a gap stays open;
    negative, the parts run into one another. For a placing: positive, A's side lies that much too far inside B's;
    negative, too far out.
    """

    join: Join
    placing: Placing | None
    """The words that cannot hold; ``None`` for the contact itself."""
    axis: Axis | None
    """``None`` for a direction that is no axis of the piece."""
    direction: Vector
    amount: Fraction | float
    loop: tuple[Join, ...]
    """The fewest joins that prove it: this one, then the way round from B back to A."""
    loop_parts: tuple[Part, ...]
    """B, then the parts on that way, A last; as many as ``loop``."""
    cause: Cause | None = None
    """What opens it other than a length; ``None`` where ``closing`` says it best, or nothing does."""
    closing: Closing | None = None
    """What of the loop would close it, made more or less."""
    doubts: tuple[Unlike | Closing | Retold, ...] = ()
    """What would close it as well as that: nothing tells which of them is meant."""
    turned: Misturned | None = None
    """A part of the ring that faces another way than is meant."""

    @property
    def distances(self) -> tuple[Unlike, ...]:
        """The distances of which one is to be changed."""
        return tuple(each for each in (self.cause, *self.doubts) if isinstance(each, Unlike))

    @property
    def along(self) -> str:
        """The direction in words."""
        if self.axis is not None:
            return self.axis.words
        return "square to the joint" if self.placing is None else "along the joint"


class FreeAxis(NamedTuple):
    """A direction in which nothing keeps a part, or a few that hang together, from sliding."""

    join: Join
    """The join that should fix it."""
    parts: tuple[Part, ...]
    """What slides: the smaller of the two rigid groups that the join ties together."""
    axis: Axis
    words: tuple[str, ...]
    """What the join could say, such as ``flush top``."""


class Faults(NamedTuple):
    """Everything about the joins that does not come out."""

    misfits: tuple[Misfit, ...]
    free: tuple[FreeAxis, ...]
    askew: tuple[Askew, ...]


class Placement:
    """Where each part of a plan lies, and what is wrong with that.

    ``places`` are scaled by ``scale``; parts of one number in ``groups`` cannot move against one another.
    """

    def __init__(
        self,
        graph: JointGraph,
        places: list[Triple],
        scale: int,
        groups: list[int],
        faults: Faults,
        doubts: tuple[Doubt | Misplaced, ...] = (),
    ) -> None:
        self.graph = graph
        self._places = places
        self._scale = scale
        self._groups = groups
        self._doubts = doubts
        self.misfits, self.free, self.askew = faults

    @property
    def unjoined(self) -> tuple[Part, ...]:
        return self.graph.unjoined

    @property
    def components(self) -> tuple[tuple[Part, ...], ...]:
        return self.graph.components

    def position(self, part: Part) -> Vector:
        """Inches from the piece's lowest corner to the part's: left, front, bottom, of its box before any turn."""
        x, y, z = self._places[self.graph.number[part.name]]
        scale = self._scale
        return float(x / scale), float(y / scale), float(z / scale)

    def exact(self, part: Part) -> tuple[Fraction, Fraction, Fraction] | None:
        """The same without rounding; ``None`` where an angle makes a coordinate irrational."""
        x, y, z = self._places[self.graph.number[part.name]]
        if isinstance(x, float) or isinstance(y, float) or isinstance(z, float):
            return None
        scale = self._scale
        return Fraction(x) / scale, Fraction(y) / scale, Fraction(z) / scale

    def group(self, part: Part) -> int:
        """The number of the rigid group that a part belongs to: its parts cannot move against one another."""
        return self._groups[self.graph.number[part.name]]

    def fixed_together(self, part_a: Part, part_b: Part) -> bool:
        """Whether the plan settles wholly how two parts lie to one another, and no open ring leaves it in doubt."""
        number = self.graph.number
        a, b = number[part_a.name], number[part_b.name]
        same = self._groups[a] == self._groups[b]
        return same and (not self._doubts or all(each.spares(a, b) for each in self._doubts))

"""A plan after its lets, loops and names are worked out: frozen, complete, and with its place in the text.

Every length is an exact ``Fraction`` of an inch. A part is described in its *own frame*: axes parallel to
the piece's (before any ``turned``), origin at the part's left, front, bottom corner, so ``size[Axis.X]``
is how far it reaches left to right.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple

from planlint.language.joint_table import Form, JointMade
from planlint.model.directions import Axis, Side, side_of
from planlint.model.join_details import Fastening, Placing, PocketRow, ScrewChoice, Tradition
from planlint.model.provenance import Provenance
from planlint.model.stock import Stock
from planlint.model.wood_cuts import EndCut, HalfSpace, Removal, Size, Trim
from planlint.text.source import PlanText, Span

__all__ = ["EndCut", "HalfSpace", "Removal", "Size", "Trim"]


class Turn(NamedTuple):
    """A turn of a part about its middle: ``angle`` degrees, right-handed about the axis (seen from above,
    a turn about vertical runs against the clock)."""

    angle: Fraction
    axis: Axis


@dataclass(frozen=True)
class Part:
    """One board or panel piece of the plan.

    ``grain`` is the axis along its length, ``facing`` the side its face looks to; the three measures are
    along the grain, across it, and through the face.
    """

    name: str
    index: int
    stock: Stock
    length: Fraction
    width: Fraction
    thickness: Fraction
    grain: Axis
    facing: Side
    span: Span
    name_span: Span
    turn: Turn | None = None
    cuts: tuple[EndCut, ...] = ()
    removals: tuple[Removal, ...] = ()
    finished: frozenset[Side] = frozenset()
    """The broad faces that are finished; none where the plan is silent."""
    rings: str | None = None
    """``"up"``, ``"down"`` or ``"alternate"``."""
    rough: bool = False
    exterior: bool = False
    fixed_to_wall: bool = False
    bottom_height: Fraction | None = None
    """Height of its bottom above the floor, for a part said to be hung."""
    covered: frozenset[Side] = frozenset()
    """Sides on which something lies that the plan has no part for: a cushion, a worktop, soil."""
    taped: frozenset[Side] = frozenset()
    """Edges that get veneer tape."""
    trims: tuple[Trim, ...] = ()

    @cached_property
    def across(self) -> Axis:
        """The axis its width lies along."""
        return Axis(3 - self.grain - self.facing.axis)

    def __hash__(self) -> int:
        return hash(self.name)

    @cached_property
    def size(self) -> Size:
        """Reach along x, y and z, before any turn."""
        by_axis = {self.grain: self.length, self.across: self.width, self.facing.axis: self.thickness}
        return by_axis[Axis.X], by_axis[Axis.Y], by_axis[Axis.Z]

    def is_end(self, side: Side) -> bool:
        """Whether a side is an end: end grain, in a board."""
        return side.axis == self.grain

    def is_face(self, side: Side) -> bool:
        """Whether a side is one of the two broad faces."""
        return side.axis == self.facing.axis

    def is_edge(self, side: Side) -> bool:
        """Whether a side is one of the two long edges."""
        return side.axis == self.across

    def kind_of(self, side: Side) -> str:
        return "end" if self.is_end(side) else "edge" if self.is_edge(side) else "face"

    @cached_property
    def ends(self) -> tuple[Side, Side]:
        return side_of(self.grain, -1), side_of(self.grain, 1)

    @cached_property
    def edges(self) -> tuple[Side, Side]:
        """The two long edges."""
        return side_of(self.across, -1), side_of(self.across, 1)

    def inside(self, side: Side, low: Size, high: Size) -> Fraction:
        """How far inside a side a box from ``low`` to ``high`` lies, in the part's own frame."""
        return low[side.axis] if side.sign < 0 else self.size[side.axis] - high[side.axis]

    def from_side(self, side: Side, away: Fraction) -> Fraction:
        """Where along its axis lies what is so far inside a side, in the part's own frame; and the other way round."""
        return away if side.sign < 0 else self.size[side.axis] - away

    def nearer(self, axis: Axis, low: Size, high: Size) -> Side:
        """Of the two sides along an axis the one that such a box lies nearer to; in the middle the first of them."""
        return min(side_of(axis, -1), side_of(axis, 1), key=lambda side: self.inside(side, low, high))

    @cached_property
    def slants(self) -> tuple[EndCut, ...]:
        """Of each side that is cut aslant, an end, an edge or one that tapers whole, the first such cut."""
        found: dict[Side, EndCut] = {}
        for cut in (*self.cuts, *(each for trim in self.trims for each in trim.slants)):
            if cut.angle and not cut.start:
                found.setdefault(cut.end, cut)
        return tuple(found.values())

    @cached_property
    def tapers(self) -> tuple[EndCut, ...]:
        """The slants of sides that taper only from somewhere on: a part may lie on the flat or on the slant."""
        return tuple(cut for trim in self.trims for cut in trim.slants if cut.start)

    @cached_property
    def second_cuts(self) -> tuple[EndCut, ...]:
        """The cuts at an end that was cut before."""
        return tuple(cut for cut in self.cuts if cut.angle and cut not in self.slants)

    def cut_at(self, side: Side) -> EndCut | None:
        """The cut at one side, if it is not square."""
        return next((cut for cut in self.slants if cut.end is side), None)


@dataclass(frozen=True)
class Join:
    """A statement that side ``side_a`` of part A meets ``side_b`` of part B."""

    name: str
    index: int
    part_a: Part
    side_a: Side
    part_b: Part
    side_b: Side
    span: Span
    """The whole first line of the statement."""
    placings: tuple[Placing, ...] = ()
    tradition: Tradition | None = None
    pockets: tuple[PocketRow, ...] = ()
    screws: ScrewChoice | None = None
    glue: str | None = None
    """``"all"`` or ``"middle third"``."""
    slotted: bool = False
    fastenings: tuple[Fastening, ...] = ()
    gap: Fraction = Fraction(0)
    """How far apart the two sides stand."""
    touches: bool = True
    """Whether the two sides lie against one another; else only the placings count."""

    @property
    def made(self) -> JointMade | None:
        """How it is made, of a traditional joint."""
        return None if self.tradition is None else self.tradition.joint

    @property
    def form(self) -> Form | None:
        return None if self.tradition is None else self.tradition.joint.form

    @cached_property
    def inset(self) -> Fraction:
        """How deep side A lies inside side B; less than nothing where they stand apart."""
        return self.tradition.inset if self.tradition is not None else -self.gap

    @cached_property
    def rests(self) -> bool:
        """Whether the one part only lies on the other, or on pins in it."""
        if self.tradition is not None:
            return self.tradition.kind == "resting"
        return bool(self.fastenings) and not (self.fastened or self.pockets or self.glue)

    @cached_property
    def hangs(self) -> bool:
        """Whether hinges or slides alone hold it."""
        return bool(self.fastenings) and all(each.moves for each in self.fastenings) and not self.pockets

    @property
    def slides(self) -> bool:
        """Whether a drawer runs here."""
        return any(each.kind == "slides" for each in self.fastenings)

    @property
    def on_pins(self) -> bool:
        """Whether the one part only lies on pins in the other: it may stop a little short of it."""
        return self.rests and any(each.kind == "pins" for each in self.fastenings)

    @property
    def fastened(self) -> bool:
        """Whether something other than pockets, glue or shape keeps the two parts together."""
        return any(each.holds for each in self.fastenings)

    @property
    def driven(self) -> bool:
        """Whether fasteners are driven through one part into the other."""
        return any(each.driven for each in self.fastenings)

    @cached_property
    def parts(self) -> tuple[Part, Part]:
        return self.part_a, self.part_b

    @cached_property
    def sides(self) -> tuple[tuple[Part, Side], tuple[Part, Side]]:
        """Each part with the side by which it is joined."""
        return (self.part_a, self.side_a), (self.part_b, self.side_b)

    @cached_property
    def both_ways(self) -> tuple[tuple[Part, Side, Part, Side], tuple[Part, Side, Part, Side]]:
        """Part and side, then those that they meet: from A to B, and from B to A."""
        one, other = self.sides
        return (*one, *other), (*other, *one)

    def other(self, part: Part) -> Part:
        """What one of its parts is joined to."""
        return self.part_b if part is self.part_a else self.part_a

    def side_of(self, part: Part) -> Side:
        """The side by which one of its parts is joined."""
        return self.side_a if part is self.part_a else self.side_b

    def drilled_as(self, other: Join | None) -> bool:
        """Whether it asks for the same pockets and fasteners as another."""
        return other is not None and (self.pockets, self.fastenings) == (other.pockets, other.fastenings)

    @property
    def called(self) -> tuple[str, str, str]:
        """Every way to call it: by its name, ``rail.left``, and ``rail.left/stile.right``."""
        short = f"{self.part_a.name}.{self.side_a.value}"
        return self.name, short, f"{short}/{self.part_b.name}.{self.side_b.value}"

    @property
    def lasting(self) -> str:
        """A name that holds whatever else is joined in the plan: its own, or both its sides."""
        return self.name if "." not in self.name else self.called[2]


def both_sides(part_a: Part, side_a: Side, part_b: Part, side_b: Side) -> str:
    """``rail.left/stile.right``."""
    return f"{part_a.name}.{side_a.value}/{part_b.name}.{side_b.value}"


@dataclass(frozen=True, slots=True)
class Load:
    """A load on a part: ``pounds`` in all, or per foot of its length; down, or ``towards`` a side."""

    part: Part
    pounds: Fraction
    per_foot: bool
    span: Span
    towards: Side | None = None


@dataclass(frozen=True, slots=True)
class Acceptance:
    """``accept RULE on TARGET because "…"``: the builder knows, and keeps it.

    ``names`` are the parts and joins that it covers where the target is a unit, an assembly, or all that is told in a
    loop or an assembly (``here``).
    """

    rule: str
    target: str
    reason: str | None
    span: Span
    names: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Plan:
    """A whole plan, ready to be placed."""

    source: PlanText
    unit: str
    """The unit of a bare number: a key of ``INCH_PER_UNIT``."""
    stocks: tuple[Stock, ...]
    parts: tuple[Part, ...]
    joins: tuple[Join, ...]
    spacings: tuple[Join, ...] = ()
    """What places parts by others that they do not touch: no joints, but they place parts as joins do. Their numbers
    follow those of the joins."""
    loads: tuple[Load, ...] = ()
    acceptances: tuple[Acceptance, ...] = ()
    span: Span = field(default=Span(0, 0))
    """The plan statement."""
    provenance: Provenance = field(default=Provenance(), compare=False, repr=False)
    """Where each part, join, cut, row of pockets and sum is said."""
    title: str = ""
    seen_from: tuple[Side, ...] = ()
    eye_height: Fraction | None = None
    for_children: bool = False
    purpose: str | None = None
    """``"crib"``, ``"bunk bed"``, ``"loft bed"``, ``"guard"`` or ``"stair guard"``, where the plan says so."""
    mattress: Fraction | None = None
    screw_metal: str | None = None
    """``"stainless"``, ``"galvanized"``, ``"coated"`` or ``"bronze"``, where the plan says so."""

    def with_parts(self, made: Mapping[str, Part]) -> Plan:
        """The plan with other parts in place of those of their names."""

        def now(part: Part) -> Part:
            return made.get(part.name, part)

        joins = (replace(join, part_a=now(join.part_a), part_b=now(join.part_b)) for join in self.joins)
        return replace(self, parts=tuple(map(now, self.parts)), joins=tuple(joins))

    def with_line(self, join: Join, made: Callable[[Join], Join]) -> Plan:
        """The plan with a join made otherwise, all that its line tells, and what is told like it and nowhere else."""
        said = enumerate(each.line.like for each in self.provenance.joins)
        like = {number for number, name in said if name is not None and name.text == join.name}
        like -= {each.index for each in self.joins if any(way.span != each.span for way in each.placings)}
        own = (each.name == join.name or each.index in like for each in self.joins)
        lined = (told or join.span.also_tells(each.span) for told, each in zip(own, self.joins, strict=True))
        joins = (made(each) if told else each for each, told in zip(self.joins, lined, strict=True))
        return replace(self, joins=tuple(joins))

    def lined_with(self, part: Part) -> tuple[Part, ...]:
        """The other parts that a part's line tells: those of its list, and of the turns of its loop."""
        return tuple(
            each for each in self.parts if each.name != part.name and part.span.also_tells(each.span)
        )

    @cached_property
    def part_by_name(self) -> dict[str, Part]:
        return {part.name: part for part in self.parts}

    @cached_property
    def join_by_name(self) -> dict[str, Join]:
        return {join.name: join for join in self.joins}

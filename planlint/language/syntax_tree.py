"""The tree of a plan: one node a statement, as it was written, each with its place in the text.

The language is read a line at a time, so the nodes inside a line carry offsets *relative to the line's
first character that is not white space*: the same line read twice is the same node. ``Statement.at``
turns such an offset into a place in the text. White space and comments are the gaps between statements,
so the text itself is the whole, lossless record; ``edit``-ing a plan replaces stretches of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from planlint.language.expression_tree import Expression, Name
from planlint.text.edits import TextEdit
from planlint.text.source import PlanText, Span


class Word(NamedTuple):
    """A keyword of the trade that stands for a value: a side, an axis, an orientation, a thread."""

    text: str
    start: int
    end: int


class SideOf(NamedTuple):
    """``apron_f.left``; ``part`` is ``None`` where a side stands alone."""

    part: Name | None
    side: Word
    start: int
    end: int


# ---------------------------------------------------------------- statements and details


class PlanHead(NamedTuple):
    """``plan "Potting bench"``."""

    title: str


class UnitLine(NamedTuple):
    """``unit inch``."""

    unit: Word


class SeenFrom(NamedTuple):
    """``seen from front, left``; empty for ``seen from nowhere``, all four for ``seen from all round``."""

    sides: tuple[Word, ...]


class ForChildren(NamedTuple):
    """``for children``: small children reach it."""

    word: Word


class UseAs(NamedTuple):
    """``use as bunk bed, mattress 6 thick``: what the piece is for, where a rule of safety hangs on it."""

    purpose: Word
    mattress: Expression | None


class ScrewMetal(NamedTuple):
    """``screws stainless``: what all screws of the plan are made of, or covered with."""

    metal: Word


class EyeHeight(NamedTuple):
    height: Expression


class Use(NamedTuple):
    """``use "carcass.plan" for drawer, thin``: the path as it is written, and what is wanted, if not all."""

    path: str
    names: tuple[Name, ...] | None = None


class Let(NamedTuple):
    name: Name
    value: Expression


class For(NamedTuple):
    name: Name
    first: Expression
    last: Expression


class AssemblyLine(NamedTuple):
    """``assembly drawer(wide, deep, high)``; its statements and its ``end`` are the details under it."""

    name: Name
    parameters: tuple[Name, ...]


class EndLine(NamedTuple):
    """``end``: the last detail of an assembly."""


class Given(NamedTuple):
    """``wide 12``: what a parameter of an assembly is where it is placed."""

    name: Name
    value: Expression


class PlaceLine(NamedTuple):
    """``place drawer as d1, wide 12, deep 18, high 4``."""

    assembly: Name
    name: Name
    given: tuple[Given, ...]
    mirrored: str | None = None
    """``left to right``, or how else it is turned into its mirror image."""


class StockLine(NamedTuple):
    """``stock rail of douglas fir, 1x4``: ``nominal``, or ``thickness`` and ``width``, or ``thickness`` alone."""

    name: Name
    species: Word
    nominal: Word | None
    thickness: Expression | None
    width: Expression | None
    length: Expression | None
    sheet: bool


class SizeItem(NamedTuple):
    """``34 long``: ``word`` is long, wide, thick or deep. ``of`` is a noun before it (``tenon 1 long``)."""

    value: Expression
    word: Word
    of: str | None


class CutItem(NamedTuple):
    """``left end cut 45, long at top``; ``end`` is ``None`` for ``ends cut``. With ``edge``, it is a long edge."""

    end: Word | None
    angle: Expression
    long_at: Word
    edge: bool = False


class ArcPoint(NamedTuple):
    """``2 at 14``: so far in from the side of an arc, so far from the left, front or bottom."""

    deep: Expression
    along: Expression


class TrimItem(NamedTuple):
    """``taper left, front to 7/8 at bottom, 5 from top``, ``chamfer 1/4 at top front``, ``rounded 2 at left front``,
    ``ends rounded 3`` (no ``sides``), ``bow 2 deep along front``; ``at`` are the sides behind ``at`` and ``from``."""

    kind: Word
    sizes: tuple[Expression, ...]
    sides: tuple[Word, ...]
    at: tuple[Word, Word] | None = None
    radius: bool = False
    end: bool = False  # Whether a whole end is rounded.
    points: tuple[
        ArcPoint, ...
    ] = ()  # What a bow runs through; ``sizes`` then are its radius, where that is told.


class RemovalItem(NamedTuple):
    """Rabbet, groove, dado, notch, cutout, slot, hole or arch, as written.

    ``rabbet`` and ``notch``: ``depths[i]`` is measured in from ``sides[i]``. ``groove`` and ``dado``: ``depths`` are
    (width, depth), ``sides`` are (the side it is cut in, the side it is measured from), ``offset`` is that distance.
    ``run`` is where it starts and where it stops, from the left, front or bottom; ``None`` where it runs the whole way.
    """

    kind: Word
    depths: tuple[Expression, ...]
    sides: tuple[Word, ...]
    offset: Expression | None
    run: tuple[Expression, Expression] | None = None
    beyond: Expression | None = None
    """Of a ``cutout``, ``slot`` or ``hole`` how far it lies from its third side. Its ``depths`` are its sizes (of a
    hole one), and how deep it goes into the first side; right through, if that is left out."""
    radius: bool = False  # Of an arch whether its depth is its radius.
    points: tuple[ArcPoint, ...] = ()  # What an arch runs through; as of a bow.


class Flag(NamedTuple):
    """A detail that is a plain word or two, normalised: ``upright``, ``finish both faces``, ``rough``, ``surfaced four
    sides``, ``exterior``, ``fixed to wall``, ``glued``, ``glued middle third``, ``slotted``; or one that is said of
    the side or the way in ``word``: ``facing``, ``finish``, ``rings``, ``covered``, ``taped``."""

    name: str
    word: Word


class Turned(NamedTuple):
    angle: Expression
    about: Word


class HungAt(NamedTuple):
    height: Expression


class SpacingItem(NamedTuple):
    """``gap 1/8 to slat_1.right``, ``in line with leg.front``, ``stands on floor``: ``kind`` is gap, line or floor.

    ``to`` is the side of the other part; a gap may leave the side out.
    """

    kind: str
    distance: Expression | None
    to: SideOf | Name | None


PartItem = SizeItem | Turned | CutItem | TrimItem | RemovalItem | Flag | HungAt | SpacingItem
"""In the usual order; only which way a part lies and faces stands right behind its measures."""


class PartLine(NamedTuple):
    """``part leg_fl of post, 34 long``; with ``like``, ``stock`` is the name of the part that these are like.

    With ``mirrors``, they are its mirror images: ``left to right``, or as it says.
    """

    names: tuple[Name, ...]
    stock: Name
    items: tuple[tuple[PartItem, int, int], ...]
    """Each detail with its start and end."""
    like: bool = False
    mirrors: str | None = None
    image: Span | None = None
    """Where it says what they are like, or mirror and which way."""


class PartDetails(NamedTuple):
    """Details of a part on a line of their own."""

    items: tuple[tuple[PartItem, int, int], ...]


class TraditionItem(NamedTuple):
    """``as mortise and tenon, tenon 1 long, through``, ``as dowels at 1, 3 from top, 3/8 thick``."""

    kind: Word
    measures: tuple[SizeItem, ...]
    words: tuple[Word, ...]
    row: RowOf | None
    end: int


class JoinLine(NamedTuple):
    """``join rail.left to stile.right``; ``others`` are the sides of more joins that are told alike, in pairs."""

    name: Name | None
    a: SideOf
    b: SideOf
    tradition: TraditionItem | None
    others: tuple[tuple[SideOf, SideOf], ...] = ()
    like: Name | None = None
    """The name of the join that this one is told as: ``rail.left``, as it is written."""


class PlacingLine(NamedTuple):
    """``flush top``, ``set back D from SIDE``, ``proud D at SIDE``, ``D from SIDE``, ``centred left to right``.

    ``verb`` is flush, set back, proud, from or centred.
    """

    verb: str
    distance: Expression | None
    sides: tuple[Word, ...]
    axis: Word | None


class PocketsLine(NamedTuple):
    count: Expression | None  # type: ignore[assignment]  # hides the tuple's own, which nobody calls
    at: tuple[Expression, ...] | None
    every: Expression | None
    first: Expression | None
    origin: Word | None
    face: SideOf
    plugged: bool
    last: Expression | None = None
    """How far the last one lies from the other end: then ``first`` is given too, and ``count`` or ``every``."""


class ScrewsLine(NamedTuple):
    """``screws coarse 1-1/4 gauge 8``; all three empty for ``screws to suit``."""

    thread: Word | None
    length: Expression | None
    gauge: Expression | None


class RowOf(NamedTuple):
    """Where the fasteners of a row lie: the fields mean what they mean for pockets."""

    count: Expression | None = None  # type: ignore[assignment]  # hides the tuple's own, which nobody calls
    at: tuple[Expression, ...] | None = None
    every: Expression | None = None
    first: Expression | None = None
    last: Expression | None = None
    origin: Word | None = None


class FastenersLine(NamedTuple):
    """``screws 3 through side, gauge 8, 2 long``, ``hinges at 3, 21 from bottom``, ``slides 18 long``.

    ``through`` is the part, or its face, that they are driven through; ``sizes`` are told as ``long``, ``thick``,
    ``gauge``, ``clearance``, ``pilot`` or ``sunk``; ``thread`` is such as ``M6`` or ``8d``; ``line`` is how far from a
    side the row runs.
    """

    kind: Word
    row: RowOf
    through: SideOf | Name | None
    sizes: tuple[SizeItem, ...]
    thread: Word | None
    line: tuple[Expression, Word] | None
    words: tuple[Word, ...]


class LoadLine(NamedTuple):
    amount: Fraction
    unit: Word
    per_foot: bool
    part: Name
    towards: Word | None = None
    """The side that it pushes to; down where the line does not say so."""


class Target(NamedTuple):
    """What an ``accept`` is about: a name, or one or two names each with a side; none for ``here``."""

    text: str
    named: tuple[tuple[Name, Name | None], ...]
    start: int
    end: int


class AcceptLine(NamedTuple):
    rule: Word
    target: Target
    reason: str | None


OnceAPlan = PlanHead | Use | AssemblyLine
"""What stands at the margin alone."""

PlanDetail = UnitLine | SeenFrom | EyeHeight | ForChildren | UseAs | ScrewMetal
JoinDetail = TraditionItem | PlacingLine | PocketsLine | ScrewsLine | FastenersLine | Flag
"""What stands indented under a `plan` and under a `join`; under a `part` it is ``PartDetails``."""
Lone = LoadLine | AcceptLine
"""What is said of parts and joins in a line of its own, and read once these are known."""
Repeated = Let | For | PlaceLine | StockLine | PartLine | JoinLine | Lone
Node = OnceAPlan | Repeated | EndLine | PlanDetail | PartDetails | JoinDetail
"""Every kind of line. Whoever goes through them ends in ``assert_never``, so that one not thought of fails the type
check."""


@dataclass(frozen=True, slots=True)
class Statement:
    """One line of the plan with the lines indented under it."""

    node: Node
    span: Span
    """From its first word to its last, in the text; a comment behind it is not part of it."""
    line: int
    details: tuple[Statement, ...] = ()

    def at(self, start: int, end: int) -> Span:
        """The place in the text of a node inside this line."""
        return Span(self.span.start + start, self.span.start + end)


@dataclass(frozen=True)
class Tree:
    """All statements of a plan that could be read, in order."""

    source: PlanText
    statements: tuple[Statement, ...]
    unread_names: frozenset[str] = frozenset()
    """Words of the lines that could not be read; one that ends in ``{`` is the start of a template's name."""
    plain: tuple[TextEdit, ...] = ()
    """Lines that were read in other words than the plan language has, each with the line in its words."""

"""What a join says of where its parts lie and what holds them: frozen, and with its place in the text.

Every length is an exact ``Fraction`` of an inch.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from planlint.language.joint_table import JOINTS, JointMade
from planlint.model.directions import Axis, Flips, Side
from planlint.model.wood_cuts import EndCut, HalfSpace, Removal, Size, Trim
from planlint.text.rounding import whole_up
from planlint.text.source import Span

__all__ = ["EndCut", "HalfSpace", "Removal", "Size", "Trim"]


@dataclass(frozen=True, slots=True)
class Placing:
    """One word of where A sits on B.

    With ``side``: A's side lies ``inset`` inside B's side (0 is flush, negative is proud). With ``centred``:
    both middles lie together along that axis. Just one of the two is set.
    """

    span: Span
    side: Side | None = None
    inset: Fraction = Fraction(0)
    centred: Axis | None = None
    flush: bool = False
    """Whether the plan said ``flush`` rather than a distance."""

    @property
    def axis(self) -> Axis:
        """The axis along which it says where A sits."""
        axis = self.centred if self.side is None else self.side.axis
        assert axis is not None, "a placing names a side or an axis"
        return axis

    def words(self, told: Callable[[Fraction], str]) -> str:
        """How a plan says it, with its distance as it is ``told``."""
        return self._said(told, back=self.side is not None and self.side.axis is not Axis.Z)

    def short_words(self, told: Callable[[Fraction], str]) -> str:
        """The same without `set back`, which goes without saying at the bench."""
        return self._said(told, back=False)

    def _said(self, told: Callable[[Fraction], str], *, back: bool) -> str:
        if self.side is None:
            return f"centred {self.axis.words}"
        return lies_words(self.side, self.inset, told(abs(self.inset)), back=back)


def lies_words(side: Side, inset: Fraction, told: str, *, back: bool) -> str:
    """``flush top``, ``proud D at left`` or ``D from left``, with `set back` before it where it is said ``back``."""
    if not inset:
        return f"flush {side.value}"
    if inset < 0:
        return f"proud {told} at {side.value}"
    return f"{'set back ' if back else ''}{told} from {side.value}"


@dataclass(frozen=True, slots=True)
class Tradition:
    """A joint from a traditional plan. ``inset`` is how deep A's side lies inside B's side."""

    kind: str
    measures: dict[str, Fraction]
    """Such as ``{"long": 1, "thick": 3/8}``."""
    words: frozenset[str]
    """Such as ``{"through", "haunched"}``."""
    span: Span
    inset: Fraction = Fraction(0)
    places: Fastening | None = None
    """How many dowels or biscuits lie in it and where, as far as the plan says it."""

    @property
    def joint(self) -> JointMade:
        return JOINTS[self.kind]


@dataclass(frozen=True, slots=True)
class PocketRow:
    """Pockets as the plan asks for them, all in one face of one part.

    Exactly one of ``count``, ``at`` and ``every`` is set. ``at`` are distances from ``origin`` along the joint;
    with ``every``, the first lies ``first`` from ``origin``. ``origin`` is ``None`` where the tool may choose.
    With ``last``, both ends are kept: the first lies ``first`` from one, the last ``last`` from the other, and the
    rest, ``count`` in all or no more than ``every`` apart, are spread evenly between.
    """

    face: Side
    in_b: bool
    span: Span
    count: int | None = None
    at: tuple[Fraction, ...] | None = None
    every: Fraction | None = None
    first: Fraction | None = None
    origin: Side | None = None
    plugged: bool = False
    last: Fraction | None = None

    @property
    def fixed(self) -> bool:
        """Whether the plan itself says where each pocket lies."""
        return self.at is not None or self.last is not None

    def between_ends(self, stretch: float) -> int:
        """How many lie along a stretch, one at each end of it: so many as are said, or no further apart than said."""
        if self.count is not None:
            return self.count
        assert self.every is not None
        return 1 + max(1, whole_up(stretch / float(self.every)))


@dataclass(frozen=True, slots=True)
class ScrewChoice:
    """Screws as the plan names them; ``None`` leaves a choice to the tool."""

    thread: str | None
    """``"coarse"`` or ``"fine"``."""
    length: Fraction | None
    gauge: int | None
    span: Span


@dataclass(frozen=True, slots=True)
class Fastening:
    """Fasteners that are placed and counted, all of one kind in one row: see ``fastener_statements.KINDS``.

    ``row.face`` is the face that they go in through, or that lies opposite the joint, in B if ``row.in_b``.
    """

    kind: str
    row: PocketRow
    thick: Fraction | None
    """Diameter; of slides how far apart they keep the two sides."""
    length: Fraction | None
    called: str | None
    """``No. 8``, ``M6`` or ``8d``, where that is how they are sold."""
    clearance: Fraction | None
    pilot: Fraction | None
    sunk: Fraction
    """How deep the head lies under the face."""
    line: tuple[Side, Fraction] | None
    """The row runs so far inside a side; ``None`` for the middle of the contact."""
    words: frozenset[str]
    span: Span
    far: Flips = frozenset()
    """Directions along which a row that names no side is measured from its far end, since its unit is mirrored."""

    @property
    def driven(self) -> bool:
        """Whether they go through one part into the other, and hold both fast."""
        return self.kind in {"screws", "bolts", "nails"}

    @property
    def holds(self) -> bool:
        """Whether they keep the two parts together; a pin only carries."""
        return self.kind != "pins"

    @property
    def moves(self) -> bool:
        """Whether the one part is to move on the other: a door turns, a drawer slides."""
        return self.kind in {"hinges", "slides"}

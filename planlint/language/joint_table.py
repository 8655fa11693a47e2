"""Every joint that can stand behind ``as``: what may be said of it, and how it is made.

How such joints are made is common practice, from memory.
"""

from collections.abc import Mapping
from enum import Enum, auto
from typing import NamedTuple


class Form(Enum):
    """What of A lies in B."""

    TONGUE = auto()
    """A tenon or tongue, in wood that another joint's screw may be driven into."""
    RABBET = auto()
    BRIDLE = auto()
    LAP = auto()
    FINGERS = auto()
    """Both parts lose wood by turns, all over the place that they share: either could be the shorter one."""
    LOOSE = auto()
    """Wood that is bought or made besides, in both."""
    PLAIN = auto()
    """Nothing: its shape alone holds nothing."""


class Comes(Enum):
    """How A comes off B, if nothing else stands before it."""

    ANYHOW = auto()
    OUT = auto()
    """Straight out, and no other way."""
    ALONG = auto()
    """Out of a channel, or along it: never square to its walls."""
    ENDWAYS = auto()
    """Along its socket alone."""
    OVER = auto()
    """The tails wedge against being drawn out: square to A's face, over the end of the pins."""
    OUT_OR_OVER = auto()
    PAST_ENDS = auto()
    """Out, or past the ends."""
    OFF_CHEEKS = auto()
    """So too, or square to its face: it meets with broad cheeks that lie open."""


class Silent(Enum):
    """How deep A goes into B where no measure says it."""

    NEEDED = auto()
    GROOVE = auto()
    """As deep as the cut in B there, else it is needed."""
    ACROSS = auto()
    """B's whole size that way."""
    SURFACE = auto()


class JointMade(NamedTuple):
    """What may be said of a joint, and how it is made."""

    form: Form
    comes: Comes
    makes: tuple[str, str] = ("", "")
    """What it makes of A and of B."""
    measures: Mapping[str, str] = {}
    """Each measure it takes, in a line of words."""
    words: tuple[str, ...] = ()
    inset_from: tuple[str, ...] = ()
    """The measures that say how deep A goes into B: the first given one counts."""
    silent: Silent = Silent.SURFACE
    cuts: tuple[str, ...] = ()
    """The cuts that a plan writes for it in B, those of its own name first."""
    rows: bool = False
    """Whether several lie in a row, of which a plan may say how many and where."""
    floored: bool = False
    """Whether it leaves wood behind what it lets in, unless it is said to go through."""
    floats: bool = False
    """Whether a panel may lie loose in it."""
    stands: bool = False
    """Whether A stands on B's side, and is not let into it as it is. Basis: geometry."""
    strong: bool = False
    """Whether it stands racking, which screws in a narrow rail do not. Basis: our own judgement."""
    shelf: bool = False
    """Whether it is cut for a shelf that fills it."""

    @property
    def splined(self) -> bool:
        return self.form is Form.LOOSE and not self.rows


_INTO, _OVER = "how far A goes into B", "how far A lies over B"
_EITHER = ("deep", "long")
_TENON = {
    "long": "length of the tenon, so how far A goes into B", "thick": "thickness of the tenon",
    "wide": "width of the tenon", "deep": "depth of the mortise, where it is cut deeper than the tenon is long",
}  # fmt: skip
_TONGUE = {"deep": _INTO, "long": _INTO, "thick": "thickness of the tongue", "wide": "width of the tongue"}
_BREADBOARD = {
    "long": "length of the tongue in the end", "thick": _TONGUE["thick"], "wide": _TONGUE["wide"], "deep": _INTO,
}  # fmt: skip
_LAP = {"long": _OVER, "deep": _OVER, "thick": "thickness left of A in the lap", "wide": "width of the lap"}
_TAILS = dict.fromkeys(_EITHER, "length of the tails in B")
_FINGERS = {**dict.fromkeys(_EITHER, "length of the fingers in B"), "wide": "width of a finger"}
_DOWELS = {"thick": "diameter of the dowels", "long": "their length", "deep": "depth in each part"}
_SPLINE = {
    "long": "length of the spline", "wide": "width of the spline, across the joint",
    "thick": "thickness of the spline", "deep": "depth of its slot in each part",
}  # fmt: skip

JOINTS: dict[str, JointMade] = {
    "mortise and tenon": JointMade(
        Form.TONGUE, Comes.OUT, ("tenon", "mortise"), _TENON, ("through", "stub", "haunched"), ("long",),
        Silent.NEEDED, stands=True, strong=True,
    ),
    "bridle": JointMade(
        Form.BRIDLE, Comes.PAST_ENDS, ("tongue", "open slot"), _LAP, ("through",), ("long", "deep"), Silent.ACROSS,
        strong=True,
    ),
    "half lap": JointMade(
        Form.LAP, Comes.OFF_CHEEKS, ("lap", "lap"), _LAP, (), ("long", "deep"), Silent.ACROSS, strong=True
    ),
    "cross lap": JointMade(
        Form.LAP, Comes.PAST_ENDS, ("lap", "lap"), {"deep": "how deep A is let into B", "wide": _LAP["wide"]}, (),
        ("deep",), Silent.NEEDED,
    ),
    "dado": JointMade(
        Form.TONGUE, Comes.ALONG, ("tongue", "dado"), _TONGUE, ("through", "stub"), _EITHER, Silent.GROOVE,
        ("dado", "groove"), floored=True, floats=True, shelf=True,
    ),
    "rabbet": JointMade(
        Form.RABBET, Comes.ANYHOW, ("tongue", "rabbet"), _TONGUE, (), _EITHER, Silent.GROOVE, ("rabbet", "notch"),
        floored=True, floats=True,
    ),
    "tongue and groove": JointMade(
        Form.TONGUE, Comes.ALONG, ("tongue", "groove"), _TONGUE, (), _EITHER, Silent.GROOVE, ("groove", "dado"),
        floored=True, floats=True,
    ),
    "cope and stick": JointMade(
        Form.TONGUE, Comes.ALONG, ("cope", "stuck groove"), _TONGUE, (), _EITHER, Silent.GROOVE,
        floored=True, floats=True,
    ),
    "through dovetail": JointMade(
        Form.FINGERS, Comes.OVER, ("tails", "pins"), _TAILS, (), _EITHER, Silent.ACROSS, strong=True
    ),
    "half-blind dovetail": JointMade(
        Form.FINGERS, Comes.OVER, ("tails", "half-blind pins"), _TAILS, (), _EITHER, Silent.NEEDED, floored=True
    ),
    "box joint": JointMade(
        Form.FINGERS, Comes.OUT_OR_OVER, ("fingers", "fingers"), _FINGERS, (), _EITHER, Silent.ACROSS
    ),
    "sliding dovetail": JointMade(
        Form.TONGUE, Comes.ENDWAYS, ("dovetailed tongue", "dovetailed slot"), _TONGUE, ("through", "stub"), _EITHER,
        Silent.GROOVE, ("dado", "groove"), floored=True, strong=True, shelf=True,
    ),
    "breadboard end": JointMade(
        Form.TONGUE, Comes.ALONG, ("tongue", "groove"), _BREADBOARD, ("through", "haunched"), ("long", "deep")
    ),
    "dowels": JointMade(
        Form.LOOSE, Comes.OUT, ("dowel holes", "dowel holes"), _DOWELS, rows=True, stands=True, strong=True
    ),
    "biscuits": JointMade(
        Form.LOOSE, Comes.OUT, ("biscuit slots", "biscuit slots"),
        {"deep": "depth of the slots", "long": "length of a biscuit"}, rows=True, stands=True,
    ),
    "loose spline": JointMade(
        Form.LOOSE, Comes.ALONG, ("spline groove", "spline groove"), _SPLINE, stands=True, strong=True
    ),
    "splined mitre": JointMade(Form.LOOSE, Comes.ALONG, ("spline groove", "spline groove"), _SPLINE),
    "mitre": JointMade(Form.PLAIN, Comes.ANYHOW),
    "butt": JointMade(Form.PLAIN, Comes.ANYHOW, stands=True),
    "resting": JointMade(Form.PLAIN, Comes.ANYHOW),
    "glued": JointMade(Form.PLAIN, Comes.ANYHOW, stands=True),
}  # fmt: skip

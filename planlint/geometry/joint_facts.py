"""What geometry finds, as plain frozen data. Lengths in inches, in the piece's axes; angles in degrees."""

from typing import NamedTuple

from planlint.model.directions import Side
from planlint.model.plan import Join, Part
from planlint.placement import part_frames

Vector = part_frames.Vector


class Contact(NamedTuple):
    """How A's side and B's side meet.

    ``normal`` is unit, out of A and into B. ``patches`` are convex polygons in the joint plane that do not
    overlap: more than one where a groove parts them, none where the sides do not touch. ``gap`` is how far B's
    plane lies beyond A's (negative: A reaches into B by a traditional joint, or runs into it); ``askew`` the
    angle by which the two sides fail to be opposed.
    """

    origin: Vector
    normal: Vector
    patches: tuple[tuple[Vector, ...], ...]
    area: float
    gap: float
    askew: float

    @property
    def points(self) -> list[Vector]:
        """The corners of all patches."""
        return [point for patch in self.patches for point in patch]


class Pocket(NamedTuple):
    """One pocket hole: a bore from the drilled face to its shoulder, then a pilot to the joint plane.

    ``direction`` is the unit vector from mouth to joint. ``exit`` is where the axis crosses the joint plane,
    ``shoulder`` where the screw's head bears, ``mouth`` the middle of the ellipse on the drilled face, ``tail`` the end
    of that ellipse farthest from the joint. ``station`` is the distance along the joint from its low end (left, front
    or bottom), ``row`` the index of the row in the join.
    """

    join: Join
    row: int
    part: Part
    into: Part
    face: Side
    side: Side
    """The side of the drilled part that meets the other."""
    station: float
    exit: Vector
    direction: Vector
    shoulder: Vector
    mouth: Vector
    tail: Vector
    setback: float
    plugged: bool


class Screw(NamedTuple):
    """The screw in a pocket. ``reach`` is how far its point lies past the joint plane, square to it."""

    pocket: Pocket
    thread: str
    """``"coarse"`` or ``"fine"``."""
    length: float
    gauge: int
    diameter: float
    tip: Vector
    reach: float
    chosen: bool
    """Whether the tool chose the length (``screws to suit``, or no screws line)."""


class Overlap(NamedTuple):
    """Two solids that run into one another: ``volume`` in cubic inches, ``depth`` the least way out."""

    part_a: Part
    part_b: Part
    volume: float
    depth: float


class Sight(NamedTuple):
    """Who sees a pocket's mouth: ``share`` of all eyes (0 to 1), the nearest eye that does, and from which side."""

    share: float
    eye: Vector | None
    seen_from: Side | None
    seated: bool
    mouth: float = 0.0
    """The largest share of the mouth that any one eye sees, 0 to 1."""

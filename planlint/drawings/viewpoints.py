"""From where a piece is looked at: parallel views by the six sides and from above a corner, and from an eye.

View arrangement and names follow third-angle projection (ISO 128-3 and ASME Y14.3, from memory): a view lies on that
side of the front view from which it is seen.
"""

from typing import NamedTuple

from planlint.geometry.joint_facts import Vector
from planlint.geometry.shapes.body import Plane
from planlint.geometry.shapes.vectors import cross, dot, minus, norm, unit

SeenAt = tuple[float, float]
"""A point on the paper of a view, in inches: to the right, and up."""
NEAR = 1.0
"""Inches before an eye nearer than which nothing is drawn. Basis: our own judgement."""


class View(NamedTuple):
    """A way of looking. ``right``, ``up`` and ``toward`` (out to who looks) are unit vectors, square to one another.

    Without an ``eye`` the projection is parallel; with one, lengths on paper are those an inch before the eye.
    """

    name: str
    right: Vector
    up: Vector
    toward: Vector
    eye: Vector | None = None

    @property
    def square(self) -> bool:
        """Whether it looks along an axis of the piece: its lengths are true."""
        return self.eye is None and max(map(abs, self.toward)) == 1.0

    def flat(self, point: Vector) -> SeenAt:
        """Where a point lies on paper; from an eye only for what lies before it."""
        x, y, z = point
        if self.eye is None:
            (a, b, c), (p, q, r) = self.right, self.up
            return x * a + y * b + z * c, x * p + y * q + z * r
        from_eye = minus(point, self.eye)
        deep = -dot(from_eye, self.toward)
        return dot(from_eye, self.right) / deep, dot(from_eye, self.up) / deep

    def ahead(self, point: Vector) -> float:
        """How far a point lies before the eye; endless for a parallel view."""
        return float("inf") if self.eye is None else -dot(minus(point, self.eye), self.toward)

    def leaves(self, plane: Plane) -> float:
        """How fast one comes out of a plane on the way to who looks: positive where the plane faces them.

        From an eye it is how far that lies outside the plane.
        """
        return dot(plane.normal, self.toward) if self.eye is None else -plane.depth(self.eye)


def parallel(name: str, toward: Vector, up: Vector) -> View:
    """A parallel view; ``up`` need not be square to ``toward``."""
    toward = unit(toward)
    right = unit(cross(up, toward))
    return View(name, right, cross(toward, right), toward)


def from_eye(eye: Vector, target: Vector) -> View:
    """What an eye sees that looks at a point."""
    toward = unit(minus(eye, target))
    up: Vector = (0.0, 0.0, 1.0) if norm(cross((0.0, 0.0, 1.0), toward)) > 0.05 else (0.0, 1.0, 0.0)
    right = unit(cross(up, toward))
    return View("eye", right, cross(toward, right), toward, eye)


VIEWS: dict[str, View] = {
    view.name: view
    for view in (
        parallel("front", (0, -1, 0), (0, 0, 1)),
        parallel("back", (0, 1, 0), (0, 0, 1)),
        parallel("left", (-1, 0, 0), (0, 0, 1)),
        parallel("right", (1, 0, 0), (0, 0, 1)),
        parallel("top", (0, 0, 1), (0, 1, 0)),
        parallel("bottom", (0, 0, -1), (0, -1, 0)),
        parallel("corner", (1, -1, 1), (0, 0, 1)),
        parallel("left-corner", (-1, -1, 1), (0, 0, 1)),
        parallel("back-corner", (-1, 1, 1), (0, 0, 1)),
        parallel("low-corner", (1, -1, -1), (0, 0, 1)),
    )
}
"""All parallel views by name. Those from a corner are isometric: the three axes are drawn equally short."""

VIEW_WORDS = {
    "front": "Front",
    "back": "Back",
    "left": "Left side",
    "right": "Right side",
    "top": "Top",
    "bottom": "Underside",
    "corner": "From above, front right",
    "left-corner": "From above, front left",
    "back-corner": "From above, back left",
    "low-corner": "From below, front right",
    "eye": "From the eye",
}

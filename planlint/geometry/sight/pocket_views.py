"""One piece and the people round it: asked which pockets can be seen."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

from planlint.geometry.joint_facts import Pocket, Sight, Vector
from planlint.geometry.shapes.body import Body, Box, Plane
from planlint.geometry.shapes.box_index import bounding_box
from planlint.geometry.sight.eyes import EyeArc, Eyes, all_eyes, arcs
from planlint.geometry.sight.mouth_sight import Mouth, Screen, mouth_of, seen, sight, walls
from planlint.model.directions import Side
from planlint.model.workshop import Viewer
from planlint.text.rounding import ROUNDING

_LOOKS_DOWN = 0.5
"""Of its normal that points down, from which on a face is an underside. Basis: our own judgement."""


class Looking:
    """Where eyes may stand round a piece, and what hides its pockets from them."""

    def __init__(
        self,
        bodies: Sequence[Body],
        bounds: Box,
        seen_from: tuple[Side, ...],
        viewer: Viewer,
        eye_height: float | None,
        bit_radius: float,
        there: Sequence[Body] | None = None,
        *,
        sitting: bool = False,
    ) -> None:
        """``there`` are the bodies that stand with those looked at; ``sitting`` has seated eyes look at any piece."""
        self._bodies = bodies
        self._there = bodies if there is None else there
        self._sitting = sitting
        self._bounds = bounds
        self._seen_from = seen_from
        self._viewer = viewer
        self._eye_height = eye_height
        self._bit_radius = bit_radius
        self._walls = walls(bounds, seen_from)
        self._sights: dict[tuple[object, ...], Sight] = {}
        self._seen: dict[tuple[object, ...], frozenset[int]] = {}

    @cached_property
    def _screen(self) -> Screen:
        return Screen(self._there, self._walls)

    @cached_property
    def _from_seats(self) -> Looking:
        """The same with all seated eyes too: under a board that is above them they look up."""
        return Looking(
            self._bodies,
            self._bounds,
            self._seen_from,
            self._viewer,
            self._eye_height,
            self._bit_radius,
            self._there,
            sitting=True,
        )

    def _for(self, pocket: Pocket) -> Looking:
        under = self._bodies[pocket.part.index].planes[pocket.face].normal[2] < -_LOOKS_DOWN
        return self._from_seats if under and not self._sitting else self

    # ------------------------------------------------------------ eyes

    def _arcs(self, centre: Vector | None) -> tuple[EyeArc, ...]:
        return arcs(
            self._bounds, self._seen_from, self._viewer, self._eye_height, centre, sitting=self._sitting
        )

    def arcs(self, centre: Vector) -> tuple[EyeArc, ...]:
        """The eyes that may look at a place of the piece."""
        return self._all_arcs if self._within_reach(centre) else self._arcs(centre)

    def _eyes(self, centre: Vector) -> Eyes:
        return self._all_eyes if self._within_reach(centre) else all_eyes(self._arcs(centre))

    def _within_reach(self, centre: Vector) -> bool:
        """Whether the piece is short enough, seen from here, that all its eyes count."""
        low, high = self._bounds
        reach = max(self._viewer.distances)
        return all(centre[i] - low[i] <= reach and high[i] - centre[i] <= reach for i in (0, 1))

    @cached_property
    def _all_arcs(self) -> tuple[EyeArc, ...]:
        return self._arcs(None)

    @cached_property
    def _all_eyes(self) -> Eyes:
        return all_eyes(self._all_arcs)

    @cached_property
    def _round_eyes(self) -> Box | None:
        """A box round all eyes; ``None`` where nobody looks."""
        eyes = self._all_eyes
        if not eyes.places:
            return None
        return bounding_box([(*place, height) for place in eyes.places for height in eyes.heights])

    # ------------------------------------------------------------ looks

    def _faces_nobody(self, face: Plane, side: Side, body: Body) -> bool:
        """Whether all eyes stand behind a face, or a wall right before it."""
        round_eyes = self._round_eyes
        if round_eyes is None:
            return True
        n = face.normal
        farthest = sum((round_eyes.high[i] if n[i] > 0 else round_eyes.low[i]) * n[i] for i in range(3))
        if farthest <= face.offset:
            return True
        return body.rotation is None and any(
            wall.side is side and abs(wall.plane - face.offset) < ROUNDING for wall in self._walls
        )

    def seen(self, row: Sequence[Pocket]) -> frozenset[int]:
        """Which pockets of a row, all in one face, anyone sees: by their place in the row."""
        body, side = self._bodies[row[0].part.index], row[0].face
        if side in body.part.covered:
            return frozenset()
        looking = self._for(row[0])
        if looking is not self:
            return looking.seen(row)
        if self._faces_nobody(body.planes[side], side, body):
            return frozenset()
        # Asked again and again while joints are drilled one way and another; the parts stay where they are.
        key = row[0].part.index, side, tuple((pocket.mouth, pocket.tail) for pocket in row)
        found = self._seen.get(key)
        if found is None:
            mouths = [self._mouth(pocket) for pocket in row]
            found = self._seen[key] = seen(mouths, self._eyes(row[len(row) // 2].mouth), self._screen)
        return found

    def sight(self, pocket: Pocket, centre: Vector) -> Sight:
        """Who sees a pocket, and what share of the eyes that may look at ``centre``."""
        body = self._bodies[pocket.part.index]
        looking = self._for(pocket)
        if looking is not self:
            return looking.sight(pocket, centre)
        if self._faces_nobody(body.planes[pocket.face], pocket.face, body):
            return Sight(0.0, None, None, False)
        key = pocket.part.index, pocket.face, pocket.mouth, pocket.tail, centre
        found = self._sights.get(key)
        if found is None:
            found = self._sights[key] = sight(self._mouth(pocket), self.arcs(centre), self._screen)
        return found

    def _mouth(self, pocket: Pocket) -> Mouth:
        return mouth_of(pocket, self._bodies[pocket.part.index], self._bit_radius)

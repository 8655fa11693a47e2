"""Where screws may go in placed parts, and how much wood is round one: what hangs on no other screw.

Nothing here judges.
"""

from functools import cached_property
from math import acos, degrees

from planlint.geometry.drilling.bore_clearance import Clearance, WoodBeside, clearance, clearances
from planlint.geometry.drilling.pocket_layout import RowFrame, allowed_stretch, row_frame
from planlint.geometry.drilling.screw_choice import end_distance, grip, tip_cover
from planlint.geometry.drilling.screw_clashes import Tenon
from planlint.geometry.fastener_bores import bored, may_be_bored
from planlint.geometry.joint_facts import Pocket, Screw
from planlint.geometry.kept_facts import of_joint
from planlint.geometry.let_in import interlocked
from planlint.geometry.placed_parts import PlacedParts
from planlint.geometry.shapes.vectors import dot
from planlint.model.directions import Side
from planlint.model.plan import Join, Part


class DrilledParts(PlacedParts):
    """A placed plan and the wood for its pockets and screws. Lengths in inches."""

    def drilled(self, join: Join, row: int) -> tuple[Part, Side, Part, Side]:
        """For a row of pockets: the drilled part and its meeting side, the receiving part and its own."""
        if join.pockets[row].in_b:
            return join.part_b, join.side_b, join.part_a, join.side_a
        return join.part_a, join.side_a, join.part_b, join.side_b

    @of_joint
    def row_frame(self, join: Join, row: int) -> RowFrame | None:
        """The lines a row is set out from; ``None`` where the sides do not touch."""
        part, side, _, _ = self.drilled(join, row)
        return row_frame(
            self.body_at(join, part), side, join.pockets[row].face, self.contact(join), self.settings.profile
        )

    @of_joint
    def allowed(self, join: Join, row: int = 0) -> tuple[float, float]:
        """The stretch of stations at which a bore keeps enough wood on all sides; empty if low > high."""
        frame, (part, side, _, _) = self.row_frame(join, row), self.drilled(join, row)
        face, body = join.pockets[row].face, self.body_at(join, part)
        return allowed_stretch(frame, body, side, face, self.settings) if frame else (0.0, -1.0)

    @cached_property
    def tenons(self) -> tuple[Tenon, ...]:
        """The tenons, tongues and laps of all traditional joints whose parts are placed for certain."""
        joins = (join for join in self.plan.joins if join.tradition is not None and self.trusted(join))
        return tuple(found for join in joins for found in interlocked(join, *self.meeting(join)))

    @cached_property
    def bored(self) -> tuple[Tenon, ...]:
        """The dowels, shelf pins and inserts whose places are known, each in the wood that is bored for it."""
        joins = (join for join in self.plan.joins if may_be_bored(join) and self.trusted(join))
        return tuple(
            found for join in joins for found in bored(join, *self.meeting(join), self.contact(join))
        )

    def tenons_beside(self, join: Join) -> list[Tenon]:
        """The tenons of other joints in either part of a join, and of neither; of its own too what is bored for."""
        return [
            each
            for each in self.tenons
            if each.join is not join and each.host in join.parts and each.body.part not in join.parts
        ] + [each for each in self.bored if each.host in join.parts]

    def entered(self, pocket: Pocket) -> Side:
        """The side of the receiving part that the screw enters."""
        return pocket.join.side_b if pocket.into is pocket.join.part_b else pocket.join.side_a

    def clearance(self, pocket: Pocket) -> Clearance:
        frame = self.row_frame(pocket.join, pocket.row)
        assert frame is not None
        return clearance(pocket, frame, self.body_at(pocket.join, pocket.part), self.settings)

    def clearances(self, pocket: Pocket) -> list[WoodBeside]:
        """All that lies beside a pocket's bore and pilot; exact is what is short of its limit."""
        frame = self.row_frame(pocket.join, pocket.row)
        assert frame is not None
        return clearances(pocket, frame, self.body_at(pocket.join, pocket.part), self.settings)

    def tip_cover(self, screw: Screw) -> tuple[float, Side | str]:
        """Least wood between a screw and the outside of the receiving part, and where; negative where it comes out."""
        return tip_cover(
            screw, self.body_at(screw.pocket.join, screw.pocket.into), self.entered(screw.pocket)
        )

    def grip(self, screw: Screw) -> float:
        """Length of thread in the receiving wood."""
        return grip(screw, self.body(screw.pocket.into))

    def end_distance(self, screw: Screw) -> float | None:
        """Along the receiving part's grain, from where the screw enters to the nearer end; ``None`` in end grain."""
        return end_distance(
            screw, self.body_at(screw.pocket.join, screw.pocket.into), self.entered(screw.pocket)
        )

    def grain_angle(self, screw: Screw) -> float:
        """Degrees between a screw and the grain of the wood that takes it: 0 is straight into end grain."""
        cosine = abs(dot(screw.pocket.direction, self.body(screw.pocket.into).grain))
        return degrees(acos(min(1.0, cosine)))

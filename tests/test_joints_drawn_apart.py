"""The ways that each kind of joint allows, against joints cut as in the trade from solids of manifold3d, drawn apart.

Each kind is cut here anew, from its description in the trade, in every way that the plan's words leave open: what one
of these lets go that way may be allowed, and nothing else.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import pytest
from manifold3d import Manifold, OpType

from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import unit
from planlint.inspection.inspect_plan import understand
from planlint.language.joint_table import JOINTS
from planlint.model.workshop import Settings
from planlint.text.source import PlanText
from planlint.workplan.blocking_graph import SIX, motions

STEPS = (0.04, 0.25)
"""Inches by which a part is drawn off its place."""
HAIR = 2e-4
"""Cubic inches that surfaces which slide past one another may share by rounding."""
LONG = 40.0
THIRD, THROUGH = (1 / 3, 2 / 3), (-LONG, LONG)

Cut = tuple[Manifold, Manifold]


def block(low: Vector, high: Vector) -> Manifold:
    return Manifold.cube([b - a for a, b in zip(low, high, strict=True)]).translate(list(low))


class Met:
    """Two whole boards that share the wood ``low`` to ``high``: A leaves B along ``out``, is thin along ``thin``."""

    def __init__(self, piece: Piece) -> None:
        join = piece.plan.joins[0]
        a, b = (piece.body(part).bounds for part in join.parts)
        self.a, self.b = block(*a), block(*b)
        self.at_low = a.low[join.part_a.facing.axis] == b.low[join.part_a.facing.axis]
        self.low = [max(one, other) for one, other in zip(a.low, b.low, strict=True)]
        self.high = [min(one, other) for one, other in zip(a.high, b.high, strict=True)]
        self.out, self.thin = join.side_a.axis, join.part_a.facing.axis
        self.sign = -join.side_a.sign
        self.along = next((i for i in range(3) if i not in (self.out, self.thin)), 0)
        self.deep = self.high[self.out] - self.low[self.out]

    def within(self, **shares: tuple[float, float]) -> Manifold:
        """The shared wood, or a share of it along ``out`` (from where A's end lies), ``thin`` and ``along``; what is
        beyond 0 to 1 runs past the wood."""
        low, high = list(self.low), list(self.high)
        for name, told in shares.items():
            i, share = getattr(self, name), told
            if name == "out" and self.sign < 0:
                share = 1 - share[1], 1 - share[0]
            size = self.high[i] - self.low[i]
            low[i], high[i] = (self.low[i] + size * each for each in share)
        return block((low[0], low[1], low[2]), (high[0], high[1], high[2]))

    def loose(self, *along: tuple[float, float]) -> Manifold:
        """Loose pieces 1/2 in deep in both boards, which only touch."""
        ends = [
            (low - 1 / 2, high + 1 / 2) if low == high else (low, high)
            for low, high in zip(self.low, self.high, strict=True)
        ]
        self.low, self.high = [low for low, _ in ends], [high for _, high in ends]
        return Manifold.batch_boolean([self.within(thin=THIRD, along=each) for each in along], OpType.Add)

    def flared(self, across: int, run: float = 0.0) -> Manifold:
        """A tail in the shared wood, wider at A's end: flared along ``across``, drawn on past the wood by ``run``."""
        third = next(i for i in range(3) if i not in (self.out, across))
        low, high = [*self.low], [*self.high]
        low[third], high[third] = low[third] - run, high[third] + run
        narrower = 0.15 * (high[across] - low[across])
        root = (self.high if self.sign > 0 else self.low)[self.out]
        corners = []
        for corner in product(*zip(low, high, strict=True)):
            at = [*corner]
            if at[self.out] == root:
                at[across] += narrower if at[across] == low[across] else -narrower
            corners.append(at)
        return Manifold.hull_points(corners)


def let_in(m: Met, tongue: Manifold, room: Manifold) -> Cut:
    """A ends at B but for its tongue, which lies in a mouth or channel of B."""
    return (m.a - m.within()) + tongue, m.b - room


def cuts(kind: str, words: str, m: Met) -> list[Cut]:
    """A joint cut as in the trade, in each way that its words leave open."""
    if "stub" in words:
        return [(m.a, m.b - m.within())]
    if "haunched" in words or kind == "mortise and tenon":
        tenon = m.within(thin=THIRD, along=(0.2, 0.8))
        return [let_in(m, tenon, tenon)]
    return CUT[kind](m) if kind in CUT else [(m.a, m.b)]


def pegged(m: Met) -> list[Cut]:
    pegs = m.loose((0.2, 0.3), (0.7, 0.8))
    return [(m.a + pegs, m.b - pegs)]


def rabbeted(m: Met) -> list[Cut]:
    return [(m.a, m.b - m.within(along=THROUGH, thin=(-LONG, 1) if m.at_low else (0, LONG)))]


def tailed(m: Met) -> list[Cut]:
    tail = m.flared(m.along)
    return [let_in(m, tail, tail)]


def fingered(m: Met) -> list[Cut]:
    finger = m.within(along=THIRD)
    return [let_in(m, finger, finger)]


def tongued(m: Met) -> list[Cut]:
    return [let_in(m, m.within(thin=THIRD), m.within(thin=THIRD, along=THROUGH))]


def splined(m: Met) -> list[Cut]:
    return [(m.a + m.loose((0, 1)), m.b - m.loose(THROUGH))]


def lapped(m: Met) -> list[Cut]:
    """Half of each is taken away; of two boards in one plane it is left open which half is whose."""
    if m.out == m.thin:
        return [(m.a - m.within(out=(0, 0.5)), m.b - m.within(out=(0.5, 1)))]
    halves = [m.within(thin=(0, 0.5)), m.within(thin=(0.5, 1))]
    return [(m.a - one, m.b - other) for one, other in (halves, halves[::-1])]


def bridled(m: Met) -> list[Cut]:
    """A's tongue in B's fork, or A's fork over B's tongue."""
    tongue = m.within(thin=THIRD)
    return [let_in(m, tongue, tongue), (m.a - tongue, m.b - (m.within() - tongue))]


CUT: dict[str, Callable[[Met], list[Cut]]] = {
    "dado": lambda m: [(m.a, m.b - m.within(along=THROUGH))],
    "sliding dovetail": lambda m: [let_in(m, m.flared(m.thin), m.flared(m.thin, LONG))],
    "dowels": pegged, "biscuits": pegged, "rabbet": rabbeted,
    "loose spline": splined, "splined mitre": splined,
    "tongue and groove": tongued, "cope and stick": tongued, "breadboard end": tongued,
    "through dovetail": tailed, "half-blind dovetail": tailed, "box joint": fingered,
    "half lap": lapped, "cross lap": lapped, "bridle": bridled,
}  # fmt: skip


def goes(cut: Cut, way: Vector) -> bool:
    a, b = cut
    return all((a.translate([x * far for x in way]) ^ b).volume() < HAIR for far in STEPS)


def allowed(kind: str, details: str, lies: str) -> tuple[Piece, list[Cut]]:
    text = f'plan "Two boards"\nstock b of poplar, 3/4 thick\n{lies.replace("KIND", f"{kind}, {details}".rstrip(", "))}'
    plan, mistakes = understand(PlanText("two.plan", text), Settings())
    assert plan is not None and not mistakes, mistakes
    piece = Piece(plan)
    return piece, cuts(kind, details, Met(piece))


SHELF = """
part side of b, 20 long, 12 wide, upright, facing left
part shelf of b, 14 long, 11 wide, crosswise, facing up
join shelf.left to side.right as KIND
"""
FRAME = """
part stile of b, 20 long, 3 wide, upright, facing front
part rail of b, 14 long, 3 wide, crosswise, facing front
join rail.left to stile.right as KIND
    flush front
"""
LAPPED = """
part stile of b, 20 long, 3 wide, upright, facing front
part rail of b, 14 long, 3 wide, crosswise, facing front
join rail.back to stile.front as KIND
"""
BOX = """
part side of b, 12 long, 5 wide, deep, facing left
part front of b, 14 long, 5 wide, crosswise, facing front
join front.left to side.right as KIND
    flush top
"""
AMID = (
    "    8 from bottom\n    flush front",
    "    8 from bottom\n    flush back",
    "    8 from bottom\n    1/2 from front",
)
AT_ENDS = ("    flush bottom\n    flush front", "    flush top\n    flush front")
ON_FRAME = ("    flush top", "    8 from top", "    flush bottom")
ON_LAP = tuple(
    f"    {z}\n    {x}"
    for z in ("flush top", "8 from top", "flush bottom")
    for x in ("flush left", "proud 2 at left")
)
CORNERS = ("    flush front", "    flush back")
MADE: tuple[tuple[str, str, str, tuple[str, ...]], ...] = (
    ("butt", "", SHELF, AMID), ("resting", "", SHELF, AMID), ("glued", "", SHELF, AMID), ("mitre", "", SHELF, AMID),
    ("mortise and tenon", "1/2 long, 3/8 thick", SHELF, AMID), ("mortise and tenon", "1 long", FRAME, ON_FRAME),
    ("dowels", "", SHELF, AMID), ("biscuits", "", SHELF, AMID),
    ("dado", "3/8 deep", SHELF, AMID), ("dado", "3/8 deep, stub", SHELF, AMID[2:]),
    ("sliding dovetail", "3/8 deep", SHELF, (*AMID, *AT_ENDS)),
    ("tongue and groove", "3/8 deep", SHELF, AMID), ("tongue and groove", "3/8 deep", FRAME, ON_FRAME),
    ("cope and stick", "3/8 deep", FRAME, ON_FRAME), ("loose spline", "", FRAME, ON_FRAME),
    ("splined mitre", "", FRAME, ON_FRAME),
    ("breadboard end", "1/2 long", SHELF, AMID), ("breadboard end", "1/2 long, haunched", SHELF, AMID),
    ("rabbet", "3/8 deep", SHELF, AT_ENDS), ("rabbet", "3/8 deep", FRAME, ON_FRAME),
    ("rabbet", "3/8 deep", BOX, CORNERS),
    ("through dovetail", "3/4 deep", BOX, CORNERS), ("half-blind dovetail", "1/2 deep", BOX, CORNERS),
    ("box joint", "3/4 deep", BOX, CORNERS),
    ("half lap", "3 deep", FRAME, ON_FRAME), ("half lap", "3/4 deep", LAPPED, ON_LAP),
    ("cross lap", "3/4 deep", LAPPED, ON_LAP),
    ("bridle", "3 deep", FRAME, ON_FRAME), ("bridle", "2 deep", FRAME, ON_FRAME),
)  # fmt: skip


def test_each_kind_is_cut_here() -> None:
    assert {kind for kind, _, _, _ in MADE} == set(JOINTS)


@pytest.mark.parametrize(("kind", "details", "lies", "places"), MADE)
def test_a_joint_goes_just_the_ways_that_it_allows(
    kind: str, details: str, lies: str, places: tuple[str, ...]
) -> None:
    for place in places:
        piece, ways_cut = allowed(kind, details, lies + place)
        free = motions(piece).freedom(piece.plan.joins[0])
        assert free is not None
        assert all((one ^ other).volume() < HAIR for one, other in ways_cut)
        for way in SIX:
            assert free.allows(way) is any(goes(cut, way) for cut in ways_cut), (place, way)
        # Aslant less is tried than there is.
        for x, y, z in product((-1.0, 0.0, 1.0), repeat=3):
            if abs(x) + abs(y) + abs(z) > 1 and free.allows(slant := unit((x, y, z))):
                assert any(goes(cut, slant) for cut in ways_cut), (place, slant)

"""Joints that a builder would not give up for screws, though screws would go in: refused unless they are asked for.

Limits of our own, each with what it rests on. None of them says that the screws fail, only that good practice keeps
the joint; a joint named by ``--joint`` is converted all the same.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from fractions import Fraction

from planlint.checks.piece_purpose import borne_by
from planlint.conversion.equivalents import CROSSED
from planlint.conversion.lap_changes import Lap
from planlint.geometry.drilling.pocket_layout import end_margin
from planlint.geometry.join_holds import shaped
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis, Side
from planlint.model.plan import Join, Part
from planlint.rulebook.limits import NIL
from planlint.statics.people import HIGHEST_SEAT, LEAST, bears_people
from planlint.text.measures import length, weight
from planlint.text.sayings import named

_THIN = Fraction(1, 2)
"""Inches: slats no thicker, ... Basis: own judgement. There a pocket leaves next to no wood over the screw's head."""
_NARROW = Fraction(3)
"""... and no wider than this, in inches, ... Basis: own judgement."""
_MANY = 3
"""... of which so many alike stand in one part, are let in, not screwed. Basis: own judgement."""
MOST_CROSSED = 2
"""Laps that hang together in which a part would be cut in two. Basis: own judgement: an egg-crate is strong because its
parts run on."""

_CARRIES = frozenset({"dado", "sliding dovetail", "rabbet"})
"""Joints in which wood carries the end of a board that people stand or sit on, as screws would alone."""

ALL_THE_SAME = "Name it with --joint to convert it all the same."


def kept(piece: Piece, joins: Iterable[Join]) -> Iterator[tuple[Join, str]]:
    """Joints that are better left, each with the reason."""
    wanted = list(joins)
    bearing = _titled(piece) | dict(_bearing(piece))
    slats, trodden = _slats(wanted), _trodden(piece)
    for join in wanted:
        a = join.part_a
        post = next((part for part in join.parts if part.name in bearing), None)
        assert join.tradition is not None
        if post is not None and join.tradition.joint.strong and _rail_at_post(join):
            yield (
                join,
                f"{bearing[post.name]}: the legs rack, and two screws in a rail work loose (own judgement)",
            )
        elif a.name in trodden and join.tradition.kind in _CARRIES and a.is_end(join.side_a):
            carries = (
                f"the {join.tradition.kind} carries its end, and screws alone would have to (own judgement)"
            )
            yield join, f"{trodden[a.name]}: {carries}"
        elif join.index in slats:
            count = slats[join.index]
            thick = length(a.thickness, piece.plan.unit)
            yield (
                join,
                f"{named(a)} is one of {count} slats only {thick} thick let into {named(join.part_b)}: a pocket "
                f"at each end leaves too little of it (slats up to {length(_THIN, piece.plan.unit)} thick and "
                f"{length(_NARROW, piece.plan.unit)} wide; own judgement)",
            )
        elif why := next((narrow(piece, join, part) for part, side in join.sides if part.is_end(side)), ""):
            yield join, why


def narrow(piece: Piece, join: Join, bar: Part) -> str:
    """Why a bar that ends at a joint is not screwed there: it takes one pocket, and now its joint keeps it straight."""
    least = piece.settings.bore_spacing + 2 * end_margin(piece.settings)
    wide, unit = max(bar.width, bar.thickness), piece.plan.unit
    if wide >= least - NIL or not shaped(join):
        return ""
    return (
        f"{named(bar)} is only {length(wide, unit)} wide: its end has room for one pocket, and on one screw it turns "
        f"(two need {length(least, unit)}, by close-spacing and breakout)"
    )


def crate(group: Iterable[Lap]) -> str:
    """Why laps that hang together are not cut up; empty where they may be."""
    cut = [lap for lap in group if not lap.ends_there]
    if len(cut) <= MOST_CROSSED:
        return ""
    parts = len({lap.split.name for lap in cut})
    return (
        f"{len(cut)} crossings hang together: cut there, {parts} parts would be {parts + len(cut)} pieces, and none "
        f"would run on through the others (at most {MOST_CROSSED} crossings; own judgement)"
    )


def _rail_at_post(join: Join) -> bool:
    posts = [part for part in join.parts if part.grain is Axis.Z]
    return len(posts) == 1 and join.side_a.axis is not Axis.Z


def _titled(piece: Piece) -> dict[str, str]:
    """All upright parts of a piece that, as its title says, people sit, lie or stand on."""
    does = borne_by(piece.plan)
    if does is None:
        return {}
    return {
        part.name: f"people {does} on it, as the plan's title says"
        for part in piece.plan.parts
        if part.grain is Axis.Z
    }


def _people(piece: Piece) -> Iterator[tuple[Part, str]]:
    """Low parts that bear people, as a load says: what of it. A load per foot is of things, which stay."""
    unit = piece.plan.unit
    for load in piece.plan.loads:
        if not bears_people(piece, load):
            continue
        high = Fraction(piece.body(load.part).bounds.high[2] - piece.bounds.low[2]).limit_denominator(1000)
        yield (
            load.part,
            f"{named(load.part)} bears {weight(load.pounds, unit)} of people at {length(high, unit)} above the floor "
            f"(taken for people from {weight(LEAST, unit)} up to {length(HIGHEST_SEAT, unit)} high)",
        )


def _trodden(piece: Piece) -> dict[str, str]:
    """The level boards that people stand on, as the title says, or are borne by, as a load says."""
    says = "people stand on {}, as the plan's title says"
    level = [part.name for part in piece.plan.parts if part.facing.axis is Axis.Z]
    told = {name: says.format(named(name)) for name in level if borne_by(piece.plan) == "stand"}
    return told | {part.name: bears for part, bears in _people(piece)}


def _bearing(piece: Piece) -> Iterator[tuple[str, str]]:
    """The upright parts of the frame under what people sit or lie on."""
    for borne, bears in _people(piece):
        carried = [borne]
        for part in carried:
            for join in piece.graph.joins_of(part):
                other = join.other(part)
                side = join.side_of(part)
                if other in carried:
                    continue
                frame = other.is_end(join.side_b if other is join.part_b else join.side_a)
                # Slats lie on a cleat, and that is screwed to the inside of a rail.
                if part.grain is not Axis.Z or side is Side.BOTTOM or frame:
                    carried.append(other)
        posts = [part.name for part in carried if part.grain is Axis.Z]
        yield from ((name, f"{bears}, and {named(name)} stands under it") for name in posts)


def _slats(joins: Iterable[Join]) -> dict[int, int]:
    """Joins of thin narrow parts of which many alike stand in one part: how many."""
    groups: dict[tuple[object, ...], list[Join]] = defaultdict(list)
    for join in joins:
        a = join.part_a
        assert join.tradition is not None
        thin = a.thickness <= _THIN and a.width <= _NARROW and a.is_end(join.side_a)
        if thin and join.tradition.inset and join.tradition.joint.form not in CROSSED:
            groups[join.part_b.name, join.side_b, a.width, a.thickness].append(join)
    return {join.index: len(group) for group in groups.values() if len(group) >= _MANY for join in group}

"""Two parts alike that are not mirror images of one another, in a piece that is the same on both sides but for them."""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator
from itertools import product
from typing import NamedTuple

from planlint.checks.placement_faults import let_into_one
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.joint_facts import Vector
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import body_polyhedra
from planlint.model.directions import Axis, Side
from planlint.model.like_parts import pattern
from planlint.model.plan import Part

SEEN = 1 / 32
"""Inches by which places are told apart. Basis: our own judgement: what a builder sees."""
_MOST_ALIKE = 60
"""Parts alike of which images are sought. Basis: our own judgement; of more, one off its place is no twin's."""


class UnlikeSides(NamedTuple):
    """A part that lies ``by`` inches off the mirror image of its twin, along an axis; at 0 it is cut as no image is; or
    one, its own twin, that ends so much farther past what it lies on at the one side than at the other."""

    part: Part
    twin: Part
    across: Axis
    along: Axis
    by: float


def unlike_sides(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """Of each two parts that alone have no image, the one of which that is true both ways, or that is told last."""
    placed = piece.placement
    wrong = any((placed.misfits, placed.free, placed.unjoined, placed.askew)) or any(
        each.depth > SEEN and not let_into_one(piece, each.part_a, each.part_b) for each in piece.overlaps
    )
    if wrong or not all(piece.contact(join).patches for join in piece.plan.joins):
        return
    found = [
        each
        for across in (Axis.X, Axis.Y)
        for each in _pairs(piece, across, rule.limit("meant", piece.settings))
    ]
    often = Counter(name for each in found for name in (each.part.name, each.twin.name))
    for each in found or _off_the_middle(piece, rule.limit("meant", piece.settings)):
        turned = often[each.twin.name] > often[each.part.name]
        fact = each._replace(part=each.twin, twin=each.part, by=-each.by) if turned else each
        if each.across is Axis.X or often[fact.part.name] == 1:
            yield rule.finding(
                fact=fact,
                span=fact.part.name_span,
                parts=dict.fromkeys((fact.part.name, fact.twin.name)),
                measured=abs(fact.by) or None,
                basis="judgement",
            )


def _pairs(piece: Piece, across: Axis, most: float) -> list[UnlikeSides]:
    """The pairs that have no images, all as much off; none where anything else has none either."""
    odd, both = without_image(piece, across)
    found: list[UnlikeSides] = []
    if 2 * len(odd) >= len(piece.plan.parts):
        return []
    for part in odd:
        image = _mirrored([piece.body(part).middle], across, both)[0]
        near = []
        for twin in (
            each
            for each in odd
            if each is not part and _alike(piece, each) == _alike(piece, part)
            if _counted(piece, each).isdisjoint(_counted(piece, part))
        ):
            by = [its - mine for its, mine in zip(piece.body(twin).middle, image, strict=True)]
            along = max(Axis, key=lambda axis: abs(by[axis]))
            near_by = along is not Axis.Z and abs(by[along]) <= most
            across_from = along is Axis.Z and _heights(piece, part) == _heights(piece, twin, turned=True)
            if sum(abs(each) > SEEN for each in by) < 2 and (near_by or across_from):
                off = by[along] if abs(by[along]) > SEEN else 0.0
                near.append(UnlikeSides(twin, part, across, along, off))
        if len(near) != 1:
            return []
        found += [each for each in near if part.index < each.part.index]
    return found if len({round(abs(each.by) / SEEN) for each in found}) == 1 else []


def _heights(piece: Piece, part: Part, *, turned: bool = False) -> set[object]:
    """From which ends, and how far, a part is told to lie up and down; ``turned`` the other way round."""
    joins = (join for join in piece.graph.joins_of(part) if join.part_a is part)
    told = ((it.side, it.inset) for join in joins for it in join.placings if it.side and it.axis is Axis.Z)
    return {(side.opposite if turned else side, inset) for side, inset in told}


def _off_the_middle(piece: Piece, most: float) -> list[UnlikeSides]:
    """The first of parts of one line, the only ones that have no image left to right, that lie on what is the same on
    both sides, flush at the one alone: no chance where both sides are seen."""
    odd, both = without_image(piece, Axis.X)
    by = {round((2 * piece.body(each).middle[Axis.X] - both) / SEEN) for each in odd}
    one = len(by) == 1 and all(_alike(piece, each) == _alike(piece, odd[0]) for each in odd)
    off = next(iter(by)) * SEEN if one else 0.0
    if not {Side.LEFT, Side.RIGHT} <= {*piece.plan.seen_from} or not 0 < abs(off) <= most:
        return []
    part, holds = odd[0], piece.graph.neighbours(odd[0])
    (low, *_), (high, *_) = piece.body(part).bounds
    left = min((piece.body(each).bounds.low[Axis.X] for each in holds), default=low)
    right = max((piece.body(each).bounds.high[Axis.X] for each in holds), default=high)
    past = sorted((left - low, high - right), key=abs)  # What ends short of it has play there.
    flush = abs(past[0]) <= SEEN < past[1]
    alike = abs(left + right - both) <= SEEN
    return [UnlikeSides(part, part, Axis.X, Axis.X, off)] if flush and alike else []


def without_image(piece: Piece, across: Axis) -> tuple[list[Part], float]:
    """The parts that are the mirror image of none across an axis, and twice where the middle of most lies."""
    alike: defaultdict[object, list[Part]] = defaultdict(list)
    for part in piece.plan.parts:
        alike[_alike(piece, part)].append(part)
    kin = [parts for parts in alike.values() if len(parts) <= _MOST_ALIKE]
    votes: defaultdict[int, list[float]] = defaultdict(list)
    for parts in kin:
        # Of parts alike in one row the outermost are images of one another.
        rows: defaultdict[object, list[float]] = defaultdict(list)
        for part in parts:
            middle = piece.body(part).middle
            rows[tuple(round(middle[it] / SEEN) for it in Axis if it is not across)].append(middle[across])
        for row in map(sorted, rows.values()):
            for one, its in zip(row, reversed(row), strict=True):
                votes[round((one + its) / SEEN)].append(one + its)
    both = max(votes.values(), key=len)[0] if votes else 0.0

    def imaged(part: Part, parts: list[Part]) -> bool:
        middles, corners = [piece.body(part).middle], _corners(piece, part)
        return any(
            _near(_mirrored(middles, across, both), [piece.body(each).middle])
            and _near(_mirrored(corners, across, both), _corners(piece, each))
            for each in parts
        )

    return [part for parts in kin for part in parts if not imaged(part, parts)], both


def _alike(piece: Piece, part: Part) -> object:
    """What is let in otherwise than its twin lies elsewhere for that."""
    let = Counter((each.inset, each.tradition and each.tradition.kind) for each in piece.graph.joins_of(part))
    return pattern(part), frozenset(let.items())


def _counted(piece: Piece, part: Part) -> set[object]:
    """The sides that it is counted from: of what lies in a row from one end, none is the image of another."""
    joins = [join for join in piece.graph.joins_of(part) if join.part_a is part]
    told = ((join.part_b, each) for join in joins for each in join.placings if each.side and not each.flush)
    return {(host, each.side) for host, each in told if each.axis is not Axis.Z}


def _corners(piece: Piece, part: Part) -> Collection[Vector]:
    """Those of its wood: of what is cut for other parts other rules speak."""
    body = piece.body(part)
    if (body.plain and part.turn is None) or part.removals:
        return [(x, y, z) for x, y, z in product(*zip(*body.bounds, strict=True))]
    return {corner for solid in body_polyhedra(body) for face in solid for corner in face}


def _mirrored(points: Collection[Vector], across: Axis, both: float) -> list[Vector]:
    turned = ([both - at if axis == across else at for axis, at in enumerate(each)] for each in points)
    return [(x, y, z) for x, y, z in turned]


def _near(images: Collection[Vector], points: Collection[Vector]) -> bool:
    return all(
        any(all(abs(a - b) <= 2 * SEEN for a, b in zip(image, each, strict=True)) for each in points)
        for image in images
    )

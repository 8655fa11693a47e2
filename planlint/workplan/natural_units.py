"""What a builder makes up as one on the bench before it meets anything else: panels, layers, parts with what is fitted
to them, flat frames and boxes."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from planlint.geometry.join_holds import glued
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.body import Box
from planlint.geometry.shapes.joint_kinds import makes_panel
from planlint.geometry.shapes.layers import round_all
from planlint.model.directions import Axis, Side, side_of
from planlint.model.like_parts import lie, section
from planlint.model.plan import Join
from planlint.placement.joint_graph import groups_of
from planlint.text.grouping import grouped
from planlint.workplan.finish_first import floating
from planlint.workplan.flat_frames import across_battens, clad, level_rings
from planlint.workplan.set_ups import reached, set_ups
from planlint.workplan.way_in import held_together

FLAT = 0.35
"""A frame is flat where it is no thicker than this share of its other two sizes. Basis: our own judgement."""
SMALL = 0.25
"""What is fitted to a part has no more wood than this share of it. Basis: our own judgement."""
ONE_THICKNESS = 1 / 16
"""Boards that differ by no more, in inches, are glued up and planed as one. Basis: our own judgement."""
STRIP = 1 / 3
"""A strip along a board's face covers no more than this share of it. Basis: our own judgement."""
TWINS = 1.5
"""A joint of a frame that has a twin counts so often: what is made twice alike is made faster. Basis: our own
judgement."""
_LEVEL = 0.5
"""The walls of a box are all this share of its height, or more. Basis: our own judgement."""


class Natural(NamedTuple):
    """A set of parts that is made up as one: ``kind`` is ``panel``, ``layers``, ``fitted``, ``frame``,
    ``box``, or ``assembly`` for what the plan places as one and what only rests against the rest.

    ``across`` is the axis that a frame is thin along, or that the walls of a box run along; ``name`` the one that the
    plan gives it.
    """

    kind: str
    parts: frozenset[int]
    across: Axis | None = None
    name: str = ""


@of_piece
def part_kinds(piece: Piece) -> tuple[int, ...]:
    """A number for each part, the same for parts that are made alike: that one of them is turned is no other work."""
    numbers: dict[object, int] = {}
    return tuple(
        numbers.setdefault((part.length, *section(part), *lie(part)), len(numbers))
        for part in piece.plan.parts
    )


@of_piece
def natural_units(piece: Piece) -> tuple[Natural, ...]:
    """The natural units of a piece: of any two, one lies within the other or they share nothing. Smallest first."""
    joins = [join for join in piece.plan.joins if join.part_a is not join.part_b and piece.trusted(join)]
    everything = range(len(piece.plan.parts))
    wholes = [each for each in held_together(everything, piece.plan.joins) if len(each) > 2]
    panels = [join for join in joins if makes_panel(join) and _alike_boards(join)]
    layers = [join for join in joins if _layers(piece, join)]
    atoms: list[Natural] = []
    for kind, ties in (("panel", panels), ("layers", layers)):
        atoms += [Natural(kind, each) for each in held_together(everything, ties) if len(each) > 1]
    by_part = grouped((part.index, join) for join in joins for part in join.parts)
    # A strip under the floor of a chest is the cleat of the board that most of it lies on.
    held_by = {}
    for join in sorted(joins, key=lambda join: piece.contact(join).area):
        if (strip := _cleat(piece, join, by_part)) is not None:
            held_by[strip] = join
    cleats = list(held_by.values())
    on_boards = held_together(everything, [*cleats, *panels, *layers]) if cleats else []
    atoms += [
        Natural("fitted", each) for each in on_boards if any(join.part_a.index in each for join in cleats)
    ]
    atoms += _fitted(piece, joins, atoms)
    found: list[Natural] = []
    rings = [Natural("frame", ring, axis) for axis, ring in level_rings(piece, joins)]
    frames = [*_frames(piece, joins, atoms, wholes), *rings]
    for each in [*_placed(piece), *atoms, *_leaning(piece, wholes), *frames]:
        proper = any(each.parts < whole for whole in wholes)
        if proper and all(
            each.parts.isdisjoint(other.parts) or other.parts < each.parts or each.parts < other.parts
            for other in found
        ):
            found.append(each)
    return tuple(sorted(found, key=lambda each: (len(each.parts), min(each.parts))))


def _placed(piece: Piece) -> list[Natural]:
    """What the plan places as one, where it hangs together by itself: smallest first."""
    placed: dict[str, set[int]] = {}
    for part in piece.plan.parts:
        said = piece.plan.provenance.parts.get(part.name)
        unit = said.scope.placed if said is not None else None
        while unit is not None:
            placed.setdefault(unit.name, set()).add(part.index)
            unit = unit.by.placed if unit.by is not None else None
    found: list[Natural] = []
    for name, members in placed.items():
        inside = [j for j in piece.plan.joins if j.part_a.index in members and j.part_b.index in members]
        if len(members) > 1 and len(held_together(members, inside)) == 1:
            found.append(_shaped(piece, frozenset(members))._replace(name=name))
    return sorted(found, key=lambda each: len(each.parts))


def _shaped(piece: Piece, parts: frozenset[int]) -> Natural:
    """A set of parts by its shape: a flat frame, a box, or neither."""
    low, high = bounds_of(piece, parts)
    size = [high[i] - low[i] for i in range(3)]
    for axis in Axis:
        if len(parts) > 2 and size[axis] <= FLAT * min(size[i] for i in range(3) if i != axis):
            return Natural("frame", parts, axis)
    for axis in Axis:
        if _walls(piece, parts, axis, size[axis]):
            return Natural("box", parts, axis)
    return Natural("assembly", parts)


def _alike_boards(join: Join) -> bool:
    """Whether both are boards, or both sheets, of one thickness: no panel in its frame."""
    a, b = join.parts
    return a.stock.sheet is b.stock.sheet and abs(a.thickness - b.thickness) <= ONE_THICKNESS


def _leaning(piece: Piece, wholes: Iterable[frozenset[int]]) -> list[Natural]:
    """Sets that only rest against one another, or hang or run in one another, each with the single parts that rest on
    it alone."""
    firm = [join for join in piece.plan.joins if not join.rests and not join.hangs]
    loose = [join for join in piece.plan.joins if join.rests]
    found: list[Natural] = []
    for whole in wholes if len(firm) < len(piece.plan.joins) else ():
        sets = [each for each in held_together(whole, firm) if len(each) > 1]
        home = {i: each for each in sets for i in each}
        if len(sets) < 2:
            continue
        rest_on: dict[int, set[frozenset[int]]] = {}
        for join in loose:
            for mine, other in (join.parts, join.parts[::-1]):
                if mine.index in whole and mine.index not in home:
                    rest_on.setdefault(mine.index, set()).add(home.get(other.index, frozenset()))
        for each in sets:
            on_it = {i for i, homes in rest_on.items() if homes == {each}}
            found.append(_shaped(piece, each | on_it))
    return found


def _layers(piece: Piece, join: Join) -> bool:
    """Whether two boards are glued face to face into one thicker one."""
    a, b = join.parts
    if not glued(join) or join.glue == "middle third" or a.stock is not b.stock or not _face_to_face(join):
        return False
    whole = max(float(part.length * part.width) for part in join.parts)
    return piece.contact(join).area > whole / 2


def _face_to_face(join: Join) -> bool:
    a, b = join.parts
    return a.is_face(join.side_a) and b.is_face(join.side_b) and a.grain is b.grain


def _cleat(piece: Piece, join: Join, by_part: Mapping[int, Sequence[Join]]) -> int | None:
    """The strip that a joint holds along a board's face; its ends meet nothing, nor ends of what the board holds too
    it."""
    (small, mine), (large, theirs) = sorted(join.sides, key=lambda end: end[0].length * end[0].width)
    along = large.is_face(theirs) and not small.is_end(mine) and small.grain is large.grain
    bulk = (
        small.width * 2 <= large.width and small.width * small.thickness * 2 <= large.width * large.thickness
    )
    if not along or not bulk or not (glued(join) or join.pockets or join.driven):
        return None
    laid = float(small.length * (small.width if small.is_face(mine) else small.thickness))
    beside = {part.index for other in by_part[large.index] if other is not join for part in other.parts}
    held = any(
        part is small
        and (part.is_end(side) or (met.is_end(theirs) and met.index in beside and met is not large))
        for other in by_part[small.index]
        for part, side, met, theirs in other.both_ways
    )
    # Where its like end at it, it is part of a frame of its own, such as a plinth.
    met_by = [
        met.stock is small.stock and met.is_end(theirs)
        for other in by_part[small.index]
        for part, _, met, theirs in other.both_ways
        if part is small
    ]
    held = held or sum(met_by) > 1
    whole = piece.contact(join).area > laid / 2 and laid <= STRIP * float(large.length * large.width)
    if held or not whole:
        return None
    reach = set_ups(piece).usual
    return small.index if all(reached(reach(each), {small.index}) for each in by_part[large.index]) else None


def _fitted(piece: Piece, joins: Sequence[Join], atoms: Iterable[Natural]) -> list[Natural]:
    """Parts with the cleats, battens and bands that are joined to them alone."""
    taken = {i: each.parts for each in atoms for i in each.parts}
    carriers: dict[int, set[frozenset[int]]] = {}
    late: set[int] = set()
    for join in (each for each in joins if not each.hangs):
        for mine, side, other, _ in join.both_ways:
            if join.rests and side is Side.TOP:
                continue  # What comes to lie on it later is no matter.
            late |= {mine.index} if join.rests else set()
            carriers.setdefault(mine.index, set()).add(taken.get(other.index, frozenset((other.index,))))
    wood = volumes(piece)
    fitted: dict[frozenset[int], set[int]] = {}
    for i, homes in carriers.items():
        if len(homes) == 1 and i not in taken and i not in late:
            (home,) = homes
            if wood[i] <= SMALL * sum(wood[j] for j in home):
                fitted.setdefault(home, set()).add(i)
    return [Natural("fitted", home | more) for home, more in fitted.items()]


def _frames(
    piece: Piece, joins: Sequence[Join], atoms: Sequence[Natural], wholes: Sequence[frozenset[int]]
) -> list[Natural]:
    """Flat frames, then boxes, each in the order in which they are taken for units."""
    home: dict[int, frozenset[int]] = {}
    for each in atoms:
        for i in each.parts:
            if len(each.parts) > len(home.get(i, frozenset())):
                home[i] = each.parts
    glue = [(min(each.parts), i) for each in atoms for i in each.parts]
    found: list[_FrameUnit] = []
    tied = [join for join in joins if not join.rests]
    firm = [join for join in tied if join.index not in floating(piece)]
    whole_of = {i: each for each in wholes for i in each}
    over = _lids(tied)
    lids = {join.index for join in tied if _laid_on(join) or not over.isdisjoint(p.index for p in join.parts)}
    like = part_kinds(piece)
    for axis in Axis:
        flat_on = [
            join for join in tied if join.index not in lids and abs(piece.contact(join).normal[axis]) < 0.5
        ]
        laid = across_battens(tied, axis)
        for ties in (flat_on, laid) if laid else (flat_on,):
            ends = [*((join.part_a.index, join.part_b.index) for join in ties), *glue]
            sets = [frozenset(each) for each in groups_of(range(len(piece.plan.parts)), ends)]
            twins = [sorted(like[i] for i in each) for each in sets]
            for members, shape in zip(sets, twins, strict=True):
                if len({home.get(i, frozenset((i,))) for i in members}) < 3:
                    continue
                twin = twins.count(shape) > 1
                if members == whole_of.get(min(members)) or (
                    ties is laid and not (twin and clad(laid, members))
                ):
                    continue
                out = [j for j in tied if (j.part_a.index in members) is not (j.part_b.index in members)]
                if ties is flat_on and any(
                    abs(piece.contact(join).normal[axis]) < 0.9 for join in out if join.index not in lids
                ):
                    continue
                low, high = bounds_of(piece, members)
                size = [high[i] - low[i] for i in range(3)]
                others = [size[i] for i in range(3) if i != axis]
                flat = size[axis] <= FLAT * min(others)
                # A lid or panel that lies loose in its grooves keeps no walls together.
                walls = max(held_together(members, firm), key=len)
                if flat or (ties is flat_on and _walls(piece, walls, axis, size[axis])):
                    inside = sum(
                        a in members and b in members and home.get(a, a) != home.get(b, b)
                        for a, b in ((join.part_a.index, join.part_b.index) for join in tied)
                    )
                    unit = Natural("frame" if flat else "box", members, axis)
                    found.append(_FrameUnit(unit, inside * (TWINS if twin else 1), others[0] * others[1]))
    return [each.unit for each in sorted(found, key=lambda one: _first(one, found))]


class _FrameUnit(NamedTuple):
    """A frame or box that may be made up, the joints that are made flat on the bench with it, and how large it is."""

    unit: Natural
    worth: float
    area: float


def _first(frame: _FrameUnit, every: Sequence[_FrameUnit]) -> tuple[float, ...]:
    """How soon a frame is taken for one: with all those that lie as it does and stand where others could be made
    instead, first what saves most work in the air, then what is smaller."""
    unit = frame.unit
    rivals = [e.unit.parts for e in every if e.unit.across is not unit.across and e.unit.parts & unit.parts]
    like = [
        each
        for each in every
        if each.unit.across is unit.across
        and (each is frame or any(each.unit.parts & rival for rival in rivals))
    ]
    return (
        unit.kind == "box",
        -sum(each.worth for each in like),
        sum(each.area for each in like),
        min(unit.parts),
    )


def _lids(joins: Sequence[Join]) -> set[int]:
    """Parts that lie level, and meet several others with one face alone: tops and floors, whatever ends at them."""
    sides = grouped(
        (part.index, (side, other.index, part.is_face(side)))
        for join in joins
        for part, side, other, _ in join.both_ways
    )
    return {
        i
        for i, met in sides.items()
        if len({side for side, _, _ in met}) == 1
        and met[0][0].axis is Axis.Z
        and met[0][2]
        and len({other for _, other, _ in met}) > 1
    }


def _laid_on(join: Join) -> bool:
    """Whether one part lies with its face on an edge of the other, or flat on it, as a top lies on its rails."""
    if join.part_a.is_face(join.side_a) and join.part_b.is_face(join.side_b):
        let_in = join.tradition is not None and join.tradition.inset
        return not let_in and join.part_a.stock is not join.part_b.stock
    a, b = (part.is_face(side) for part, side in join.sides)
    edge_a, edge_b = join.part_a.is_edge(join.side_a), join.part_b.is_edge(join.side_b)
    return (a and edge_b) or (b and edge_a)


def _walls(piece: Piece, parts: frozenset[int], axis: Axis, height: float) -> bool:
    """Whether all parts of a set run the whole height of a box, or most of it, and face two ways."""
    bounds = [piece.bodies[i].bounds for i in parts]
    faces = {piece.plan.parts[i].facing.axis for i in parts} - {axis}
    return (
        len(parts) > 3
        and len(faces) > 1
        and all(each.high[axis] - each.low[axis] >= _LEVEL * height for each in bounds)
    )


@of_piece
def volumes(piece: Piece) -> tuple[float, ...]:
    """The wood of each part, uncut, in cubic inches."""
    return tuple(float(part.length) * float(part.width) * float(part.thickness) for part in piece.plan.parts)


def bounds_of(piece: Piece, parts: Iterable[int]) -> Box:
    """The box round some parts, in the piece's axes."""
    return round_all(piece.bodies[i] for i in parts)


def where(piece: Piece, unit: Iterable[int], others: Box, along: Axis | None) -> Side | None:
    """On which side a unit lies in the box round what else there is, along an axis; ``None`` in the middle."""
    if along is None:
        return None
    here, there = bounds_of(piece, unit), others
    off = (here.low[along] + here.high[along]) - (there.low[along] + there.high[along])
    if abs(off) < 0.1 * (there.high[along] - there.low[along]):
        return None
    return side_of(along, 1 if off > 0 else -1)

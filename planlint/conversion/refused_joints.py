"""Joints that are not to be converted, whatever the rules say of the pockets."""

from collections.abc import Callable, Iterator
from fractions import Fraction

from planlint.checks.registry import judge
from planlint.conversion.cut_remains import FLAT_CURVE, corners_going, filled_aslant
from planlint.conversion.equivalents import CROSSED
from planlint.conversion.exact_boxes import box_of, own_box, piece_side, without
from planlint.conversion.length_words import bare_number
from planlint.geometry.drilling.pocket_layout import at_mitre
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.joint_kinds import edge_to_edge, makes_panel
from planlint.model.directions import side_of
from planlint.model.plan import Join, Part
from planlint.model.provenance import origin
from planlint.model.seasonal_movement import movement
from planlint.placement.equations import askew_by
from planlint.rulebook.limits import NIL
from planlint.rulebook.rule_files import Limit
from planlint.text.measures import by_rule, in_inches, length
from planlint.text.sayings import named

THIN_EDGE = Fraction(1, 4)
"""Inches: into the edge of stock no thicker no screw is driven. Basis: geometry; a screw is over 1/8 in thick."""

_MOST_NAMED = 4
"""Boards of a panel that a refusal names one by one. Basis: own judgement."""


def refusal(piece: Piece, join: Join) -> str:
    """Why a joint must stay as it is; empty where it may be converted."""
    tradition = join.tradition
    assert tradition is not None
    a, b = join.part_a, join.part_b
    if _told_as_another(piece, join):
        return (
            "its lines are told once for it and for another join (`like`): write both out, then convert them"
        )
    if join.fastenings:
        kinds = " and ".join(dict.fromkeys(each.kind for each in join.fastenings))
        return (
            f"{kinds} are told for it already, and hold it as it is: leave that line out to have it converted"
        )
    if not piece.trusted(join) and not _meets_uncut(piece, join):
        return f"{named(a)} and {named(b)} do not meet here as the plan says: mend that first"
    if tradition.inset:
        if a.is_face(join.side_a) and tradition.joint.form not in CROSSED:
            return (
                f"{named(a)} is let in by its face: taken back it would only be thinner, so it stays let in"
            )
        leans = None in {box_of(part, piece.placement) for part in join.parts}
        why = _aslant(piece, join) if leans or a.cut_at(join.side_a) is not None else ""
        if why:
            return why
    return (
        _too_thin(piece, join) or _narrow_mitre(piece, join) or ("" if join.slotted else _locked(piece, join))
    )


def _aslant(piece: Piece, join: Join) -> str:
    """Why a joint at an end cut aslant, or of parts that lean, stays: what goes must lie flat in the other part, and
    wholly in its wood."""
    a, b, side, made = join.part_a, join.part_b, join.side_a, join.tradition
    cut, body, other = a.cut_at(side), piece.body(a), piece.body(b)
    assert made is not None
    end = f"the {side.value} of {named(a)}"
    if cut is not None:
        end += f", cut {bare_number(cut.angle, 'in')} degrees off square,"
    if made.joint.form in CROSSED or [each for each in a.cuts if each.end is side] != ([cut] if cut else []):
        return f"{end} is lapped, or is no plain slant: how much to take off is for the bench"
    apart = askew_by(body.planes[side].normal, other.planes[join.side_b].normal)
    if apart > FLAT_CURVE:
        looks = join.side_b.value
        return f"{end} lies {apart:.2g} degrees off the {looks} of {named(b)}: cut it to lie flat there first"
    planes = (*other.planes.values(), *map(other.in_piece, other.trim_planes))
    out = -min(plane.depth(point) for plane in planes for point in corners_going(piece, join))
    if out > FLAT_CURVE:
        return f"{end} stands {by_rule(out, piece.plan.unit)} out of {named(b)}: cut there, that wood would be lost"
    for place, share in filled_aslant(piece, join).items():
        if (kind := b.removals[place].kind) not in made.joint.cuts or share < _FILLS - NIL:
            return (
                f"{end} fills {share:.0%} of the {kind} in {named(b)}, and how much of that to fill is for the bench: "
                "stop it at the joint, or leave it out, then convert again (what is cut for a joint goes if that fills "
                f"{_FILLS:.0%} of it; own judgement)"
            )
    return ""


_FILLS = 3 / 4
"""Share of its dado that an end must fill each way. Basis: own judgement; what goes in aslant leaves slivers open."""


def _too_thin(piece: Piece, join: Join) -> str:
    """That a part which meets the other by its end or edge is too thin for a pocket, and its edge for a screw."""
    if "thin-stock" not in judge(piece.settings):
        return ""
    limit = piece.limits.limit("thin-stock", "thickness")
    for part, side in join.sides:
        no_way_in = part.thickness <= THIN_EDGE or (part.is_end(side) and part.stock.material.solid)
        if part.thickness < limit.value and no_way_in and not part.is_face(side):
            thick, least = length(part.thickness, piece.plan.unit), length(limit.value, piece.plan.unit)
            return (
                f"{named(part)} is only {thick} thick: a pocket in it leaves no shoulder for the screw's head, and a "
                f"screw driven into it there does not hold (thin-stock: at least {least}, {limit.told})"
            )
    return ""


def _narrow_mitre(piece: Piece, join: Join) -> str:
    """That a mitre's stock is too narrow for pockets, though the rule on it is only a caution."""
    assert join.tradition is not None
    mitred = "mitre" in join.tradition.kind and all(at_mitre(part, side) for part, side in join.sides)
    if not mitred or "narrow-mitre" not in judge(piece.settings):
        return ""
    limit = piece.limits.limit("narrow-mitre", "width")
    narrow = min(join.parts, key=lambda part: part.width)
    if narrow.width >= limit.value - NIL:
        return ""
    wide, least = length(narrow.width, piece.plan.unit), length(limit.value, piece.plan.unit)
    return (
        f"{named(narrow)} is {wide} wide: a mitre is screwed only where its stock is wide enough (narrow-mitre: at "
        f"least {least}, {limit.told})"
    )


def _told_as_another(piece: Piece, join: Join) -> bool:
    """Whether a join is told as another is, or another as it is."""
    said = piece.plan.provenance.joins
    if join.index >= len(said) or not any(each.like for each in said):
        return False
    here = said[join.index]
    lines = {id(detail) for detail in here.statement.details}
    return here.like or any(
        id(origin(detail)[0]) in lines for each in said if each.like for detail in each.statement.details
    )


def _meets_uncut(piece: Piece, join: Join) -> bool:
    """Whether the two parts of a lap lie as the plan says, were nothing cut out of them: each fills the other's cut."""
    assert join.tradition is not None
    looks, other = piece_side(join.part_a, join.side_a), piece_side(join.part_b, join.side_b)
    a, b = box_of(join.part_a, piece.placement), box_of(join.part_b, piece.placement)
    if join.tradition.joint.form not in CROSSED or looks is None or other is None or a is None or b is None:
        return False
    inset = (b.plane(other) - a.plane(looks)) * other.sign
    return (
        looks.axis is other.axis
        and inset == join.tradition.inset
        and a.meets(b)
        and piece.placement.fixed_together(join.part_a, join.part_b)
    )


def _locked(piece: Piece, join: Join) -> str:
    """That screws would hold wood which must move across its grain, and by how much it moves."""
    assert join.tradition is not None
    if not join.tradition.joint.cuts and join.tradition.kind != "breadboard end":
        return ""
    found = _moving(join)
    if found is None:
        return _captured(piece, join)
    part, other = found
    unit, material = piece.plan.unit, part.stock.material
    panel = tuple(each for each in _panel(piece, part, _to_be_panel) if not _slotted(piece, each, other))
    width, boards = _width(piece, panel), _boards(panel)
    moves = movement(material, width, piece.settings.humidity)
    if moves is None:
        return (
            f"it would lock {boards} across its grain to {named(other)}; how much {material.name} moves "
            "is not published, so it is not risked"
        )
    held = _held(piece)
    if moves.inches <= held.value:
        return ""
    return (
        f"it would lock {boards} across its grain: {length(width, unit)} of {material.name} "
        f"moves {_amount(moves.inches, unit)} over a season, and {named(other)} does not move with it "
        f"({moves.basis}; held joints take up {length(held.value, unit)}, "
        f"{held.told if held.shop else 'own judgement'})"
    )


def _to_be_panel(join: Join) -> bool:
    """Whether two boards are one panel, or will be: a tongue that floats becomes an edge joint with screws."""
    return makes_panel(join) or (edge_to_edge(join) and join.part_a.thickness == join.part_b.thickness)


def _panel(piece: Piece, part: Part, panels: Callable[[Join], bool]) -> tuple[Part, ...]:
    """The boards joined to a part, each to the next, by joints that make panels; in the order of the plan, it among
    them."""
    return piece.graph.held_with(part, lambda join: panels(join) and piece.trusted(join))


def _slotted(piece: Piece, board: Part, other: Part) -> bool:
    """Whether a board is joined to another part so that it can move."""
    return any(join.slotted and other in join.parts for join in piece.graph.joins_of(board))


def _width(piece: Piece, panel: tuple[Part, ...]) -> Fraction:
    """How far a panel reaches across its grain; boards may lie over one another in tongues, and end to end."""
    first = panel[0]
    boxes = [box_of(each, piece.placement) for each in panel]
    if len(panel) == 1 or first.turn is not None or None in boxes:
        return sum((each.width for each in panel), Fraction(0))
    axis = first.across
    return max(box.high[axis] for box in boxes if box) - min(box.low[axis] for box in boxes if box)


def _boards(panel: tuple[Part, ...]) -> str:
    names = [named(part) for part in panel]
    if len(names) > _MOST_NAMED:
        names[_MOST_NAMED - 1 : -1] = [f"{len(names) - _MOST_NAMED} more"]
    return names[0] if len(names) == 1 else f"the panel of {', '.join(names[:-1])} and {names[-1]}"


def _held(piece: Piece) -> Limit:
    """Movement that held joints take up, by the rule that would judge the converted one."""
    return piece.limits.limit("locked-across-grain", "movement")


def _amount(inches: float, unit: str) -> str:
    """A movement to 1/32 in, or to a tenth of a millimetre: no figure behind it is truer."""
    return length(round(inches * 32) / 32 if in_inches(unit) else inches, unit)


def _moving(join: Join) -> tuple[Part, Part] | None:
    """A wide part that ends against another whose grain runs across it."""
    for part, side, other, _ in join.both_ways:
        if (
            not part.is_end(side)
            or not part.stock.material.solid
            or part.turn is not None
            or other.turn is not None
        ):
            continue
        if other.grain is part.across:
            return part, other
    return None


def _captured(piece: Piece, join: Join) -> str:
    """That a solid panel lies in grooves at both its edges, so that it floats between them."""
    part = join.part_a
    if join.tradition is None or join.tradition.kind != "tongue and groove" or not part.stock.material.solid:
        return ""
    panel = _panel(piece, part, makes_panel)
    edges = {
        each.side_a
        for board in panel
        for each in piece.graph.joins_of(board)
        if each.part_a is board
        and each.part_b not in panel
        and each.tradition is not None
        and each.tradition.inset
        and board.is_edge(each.side_a)
    }
    if (
        join.part_b in panel
        or not {side_of(part.across, -1), side_of(part.across, 1)} <= edges
        or not part.is_edge(join.side_a)
    ):
        return ""
    moves = movement(part.stock.material, _width(piece, panel), piece.settings.humidity)
    if moves is not None and moves.inches <= _held(piece).value:
        return ""
    amount = f" by {_amount(moves.inches, piece.plan.unit)} over a season ({moves.basis})" if moves else ""
    return f"{_boards(panel)} floats between grooves at both its edges, for it moves{amount}: screws would hold it fast"


def open_cuts(piece: Piece, join: Join) -> Iterator[str]:
    """What could be done where screws would come out in a cut that lies open under a joint."""
    for part, _, other, looks in join.both_ways:
        covers, towards = box_of(other, piece.placement), piece_side(other, looks)
        boxes = [
            box for each in piece.plan.parts if (box := box_of(each, piece.placement)) and each is not part
        ]
        for cut in part.removals:
            room = None if cut.planes else own_box(part, piece.placement, cut.low, cut.high)
            if room is None or covers is None or towards is None:
                continue
            deep = room.high[towards.axis] - room.low[towards.axis]
            under = room.common(covers.moved({towards: -deep}))
            if under is not None and without([under], boxes):
                yield (
                    f"stop the {cut.kind} in {named(part)} where it lies open under this joint, for the screws come "
                    "out in it; then convert again"
                )


def slotted_variant(piece: Piece, join: Join) -> Iterator[str]:
    """What could be written instead where wood must move."""
    if join.slotted or not _locked(piece, join):
        return
    found = _moving(join)
    if found is None:
        return
    part, _ = found
    join_of, width, middle, there = "this join", f"{named(part)}'s width", "the middle one", "at the middle"
    if len(_panel(piece, part, _to_be_panel)) > 1:
        join_of, width = "the join of each board of the panel", "its width"
        middle, there = "the one at the middle of the panel", "there"
    yield (
        f"Write `slotted` under {join_of} and convert again: the pockets then get slots along {width}, all but "
        f"{middle}, and no glue but {there}."
    )

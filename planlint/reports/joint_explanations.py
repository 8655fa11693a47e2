"""``--explain-joints``: what the tool found each joint to be, why, and where pockets and screws come to lie."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from planlint.geometry.drilling.pocket_layout import GRID
from planlint.model.directions import Axis, side_of
from planlint.reports.load_tables import carries, weight_told
from planlint.reports.page_layout import Page
from planlint.reports.safe_words import visible
from planlint.text.grouping import grouped
from planlint.text.measures import degrees, in_words, length, to_sixteenth
from planlint.text.rounding import TOUCH
from planlint.wording.fastener_words import fastener_name, fastener_places, through_words

if TYPE_CHECKING:
    from planlint.geometry.joint_facts import Contact, Screw, Vector
    from planlint.geometry.piece import Piece
    from planlint.model.plan import Join


def write_joints(page: Page, piece: Piece) -> None:
    """Every joint of one piece. Raises whatever the geometry raises; the caller tells it as our own fault."""
    for join in piece.plan.joins:
        _write_joint(page, piece, join)
    page.blank()
    told = weight_told(piece)
    page.heading("Weight and loads", visible(piece.plan.title))
    for words in told.words:
        page.prose(words, indent=2)
    for names, weighs, bears in told.rows:
        page.labelled("Part", f"{names}: {weighs}{f'; may bear for good {bears}' if bears else ''}", indent=2)
    page.blank()
    page.flush()


def _write_joint(page: Page, piece: Piece, join: Join) -> None:
    unit = piece.plan.unit
    a, b = (f"{part.name}.{side.value}" for part, side in join.sides)
    page.blank()
    page.heading(f"Joint {visible(join.name)}", f"{visible(a)} to {visible(b)}")
    contact = piece.contact(join)
    if not piece.trusted(join):
        page.labelled("Not sure", _doubt(piece, join, contact), indent=2)
        return
    kind = piece.kind(join)
    page.labelled("Kind", f"{kind.name}: {kind.why}", indent=2)
    if join.tradition:
        page.labelled("As", join.tradition.kind, indent=2)
        if join.pockets and join.tradition.kind in {"dowels", "biscuits"}:
            says = f"where the {join.tradition.kind} lie: set them out clear of the screws and their bores"
            page.labelled("Not said", says, indent=2)
    page.labelled("Contact", _patch(contact, unit), indent=2)
    screws = piece.screws(join)
    for alike in _alike(screws):
        page.labelled("Pockets", _pockets(join, contact, alike, unit), indent=2)
        page.labelled("Screws", _screws(alike[0], unit), indent=2)
    for number, row in enumerate(join.pockets):
        where = f"row {number + 1}, " if len(join.pockets) > 1 else ""
        end = _low_end(join, contact, row.face.axis)
        for label, words in _stretches(piece, join, number, end, unit):
            page.labelled(label, where + visible(words), indent=2)
    for each in piece.fasteners(join):
        words = fastener_name(each.fastening, unit, len(each.at))
        says = f"{words}, {visible(through_words(each))}, {fastener_places(each, unit)}"
        page.labelled(each.fastening.kind.capitalize(), says, indent=2)
    told = carries(piece, join)
    if told is not None:
        page.labelled("Carries", told, indent=2)
    if not screws and not join.fastenings:
        held = join.tradition.kind if join.tradition else "glue" if join.glue else "nothing"
        page.labelled("Screws", f"none; held by {held}", indent=2)


def _stretches(piece: Piece, join: Join, row: int, end: str, unit: str) -> Iterable[tuple[str, str]]:
    """Where along the joint a pocket may go, and why not elsewhere: a label and words for each stretch."""
    found = piece.allowed_stretches(join, row)
    free = _joined((each.low, each.high) for each in found if not each.why)
    # A plug covers a mouth that people see; it brings back no wood.
    plugged = _joined((each.low, each.high) for each in found if not {*each.why} - {_SEEN})
    if free:
        yield "May go", f"{', '.join(_reach(*each, unit) for each in free)} from the {end}"
    elif plugged:
        told = ", ".join(_reach(*each, unit) for each in plugged)
        yield "May go", f"if plugged: {told} from the {end}"
    else:
        yield "May go", "nowhere along this joint"
    for number, stretch in enumerate(found):
        if stretch.why:
            # Between a barred place and a free one lies a step of the grid: told as barred, so that no gap is left.
            low = found[number - 1].high if number and not found[number - 1].why else stretch.low
            high = found[number + 1].low if number + 1 < len(found) else stretch.high
            yield "Barred", f"{_reach(low, high, unit)} from the {end}: {'; '.join(stretch.why)}"


_SEEN = "in sight"
"""The reason of ``Piece.allowed_stretches`` that plugs take away."""


def _joined(reaches: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """Stretches, those that follow one another on the grid as one."""
    found: list[tuple[float, float]] = []
    for low, high in reaches:
        follows = found and low - found[-1][1] <= GRID + TOUCH
        found.append((found.pop()[0] if follows else low, high))
    return found


def _reach(low: float, high: float, unit: str) -> str:
    return (
        to_sixteenth(low, unit) if low == high else f"{to_sixteenth(low, unit)} to {to_sixteenth(high, unit)}"
    )


def _alike(screws: Sequence[Screw]) -> Iterable[list[Screw]]:
    """Screws that differ by their places only, together."""
    return grouped(
        ((each.pocket.row, each.thread, each.length, each.gauge, each.chosen, round(each.reach, 4)), each)
        for each in screws
    ).values()


def _doubt(piece: Piece, join: Join, contact: Contact) -> str:
    if contact.askew > piece.limits["askew", "angle"]:
        return f"the two sides are askew by {degrees(contact.askew)}"
    if not contact.patches:
        return f"the two sides do not touch (gap {length(contact.gap, piece.plan.unit)})"
    return f"the plan does not fix where {join.part_a.name} lies on {join.part_b.name}"


def _patch(contact: Contact, unit: str) -> str:
    reaches = reach_in_plane(contact.points, contact.normal)
    size = " by ".join(f"{length(reach, unit)} {words}" for words, reach in reaches)
    pieces = len(contact.patches)
    return size + (f", in {pieces} pieces" if pieces > 1 else "")


def reach_in_plane(points: Sequence[Vector], normal: Vector) -> list[tuple[str, float]]:
    """How far points reach along the two directions of the joint plane, in words a builder uses.

    In a slanted plane the first direction is the slope, measured in the plane itself.
    """
    steep = max(range(3), key=lambda axis: abs(normal[axis]))
    reaches = []
    for axis in Axis:
        if axis == steep:
            continue
        # The unit vector in the plane that runs as near along this axis as it can.
        along = [(1.0 if n == axis else 0.0) - normal[axis] * normal[n] for n in range(3)]
        size = sum(part * part for part in along) ** 0.5
        values = [sum(p * q for p, q in zip(point, along, strict=True)) / size for point in points]
        reaches.append(
            (axis.words if abs(normal[axis]) < TOUCH else "up the slope", max(values) - min(values))
        )
    return reaches


def _pockets(join: Join, contact: Contact, screws: Sequence[Screw], unit: str) -> str:
    pocket = screws[0].pocket
    places = [length(screw.pocket.station, unit) for screw in screws]
    end = _low_end(join, contact, pocket.face.axis)
    plugged = ", plugged" if pocket.plugged else ""
    return f"in the {pocket.face.value} face of {visible(pocket.part.name)}, {in_words(places)} from the {end}{plugged}"


def _screws(screw: Screw, unit: str) -> str:
    chosen = "chosen for this joint" if screw.chosen else "as the plan says"
    pocket = screw.pocket
    return (
        f"{screw.thread} {length(screw.length, unit)}, gauge {screw.gauge} ({chosen}); shoulder "
        f"{length(pocket.setback, unit)} back, point {length(screw.reach, unit)} into {visible(pocket.into.name)}"
    )


def _low_end(join: Join, contact: Contact, face: Axis) -> str:
    """The side from which stations of a pocket are counted: left, front or bottom, along the joint."""
    steep = max(range(3), key=lambda axis: abs(contact.normal[axis]))
    along = next((axis for axis in Axis if axis not in {steep, face}), join.side_a.axis)
    word: str = side_of(along, -1).value
    return word

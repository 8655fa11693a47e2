"""What kind of joint a join is, found from grain and geometry alone."""

from typing import NamedTuple

from planlint.geometry.joint_facts import Contact
from planlint.geometry.shapes.body import Body
from planlint.geometry.shapes.vectors import dot
from planlint.model.directions import Side
from planlint.model.plan import Join, Part

SQUARISH = 0.6
"""A part whose thickness is at least this share of its width is a leg or post. Basis: our own judgement."""
APRON_WIDTH = 6.0
"""A board whose edge meets a face is an apron or a batten up to this width, in inches. Basis: our own judgement."""
BAND_WIDTH = 2.0
"""An edge band is no wider than this, in inches. Basis: our own judgement."""


class JointKind(NamedTuple):
    """The trade's name of a joint, and what it was known by."""

    name: str
    why: str


def joint_kind(join: Join, body_a: Body, body_b: Body, contact: Contact) -> JointKind:
    """Name a joint: frame, leg and rail, edge to edge, edge band, mitre, panel corner, panel tee,
    top to apron, end to end, angled or lap. However the piece is turned, the name stays."""
    a, b = body_a.part, body_b.part
    cut_a, cut_b = body_a.cut_at(join.side_a), body_b.cut_at(join.side_b)
    if cut_a and cut_b:
        if a.turn != b.turn:
            return JointKind("angled", "both meeting ends are cut, and one part is turned against the other")
        if a.is_end(join.side_a) is not b.is_end(join.side_b):
            return JointKind("angled", f"{a.name} and {b.name} meet on a slant")
        return JointKind(
            "mitre", f"both meeting ends are cut, {float(cut_a.angle):g} and {float(cut_b.angle):g} degrees"
        )
    if a.turn != b.turn or cut_a or cut_b:
        return JointKind("angled", f"{a.name} and {b.name} meet at an angle other than square")
    if _rank(b, join.side_b) < _rank(a, join.side_a):
        # Name the joint from the part that ends against the other, whichever was written first.
        return _square_joint(b, join.side_b, a, join.side_a, body_a, contact)
    return _square_joint(a, join.side_a, b, join.side_b, body_b, contact)


def _rank(part: Part, side: Side) -> int:
    """Ends first, then edges, then faces."""
    return 0 if part.is_end(side) else 1 if part.is_edge(side) else 2


def _square_joint(a: Part, side_a: Side, b: Part, side_b: Side, body_b: Body, contact: Contact) -> JointKind:
    if a.is_face(side_a):
        return JointKind("lap", f"a face of {a.name} lies on a face of {b.name}")
    grains_along = a.grain == b.grain
    if _is_band(a, b) or _is_band(b, a):
        band, panel = (a, b) if _is_band(a, b) else (b, a)
        return JointKind("edge band", f"{band.name} is a narrow strip along {panel.name}")
    if a.is_end(side_a):
        if b.is_end(side_b):
            return JointKind("end to end", f"end grain of {a.name} meets end grain of {b.name}")
        if b.thickness >= SQUARISH * b.width and not b.stock.sheet:
            return JointKind(
                "leg and rail",
                f"the end of {a.name} meets the side of {b.name}, which is squarish in section",
            )
        if b.is_edge(side_b) and a.facing.axis == b.facing.axis:
            return JointKind(
                "frame", f"the end of {a.name} meets the edge of {b.name}, faces looking the same way"
            )
        return _panel_joint(a, b, body_b, contact, "end")
    if b.is_edge(side_b) and grains_along and a.facing.axis == b.facing.axis:
        return JointKind(
            "edge to edge", f"long edges of {a.name} and {b.name} meet, grain running the same way"
        )
    if b.is_face(side_b) and not a.stock.sheet and a.width <= APRON_WIDTH:
        return JointKind("top to apron", f"the edge of {a.name}, a rail, meets the face of {b.name}")
    return _panel_joint(a, b, body_b, contact, "edge")


def _is_band(a: Part, b: Part) -> bool:
    """Whether ``a`` is a narrow solid strip on the edge of the panel ``b``."""
    return (
        b.stock.sheet
        and not a.stock.sheet
        and a.width <= BAND_WIDTH
        and a.thickness <= BAND_WIDTH
        and (a.length > 4 * a.width and a.width <= 2 * b.thickness)
    )


def _panel_joint(a: Part, b: Part, body_b: Body, contact: Contact, what: str) -> JointKind:
    """A panel that meets the face of another: a corner where it lies at an end or edge of it, else a tee."""
    rim = _rim(contact, body_b, float(a.thickness))
    if rim is not None:
        return JointKind("panel corner", f"the {what} of {a.name} meets {b.name} at its {rim.value}")
    return JointKind("panel tee", f"the {what} of {a.name} meets {b.name} away from its ends")


def _rim(contact: Contact, body_b: Body, thickness: float) -> Side | None:
    """The side of B that the patch lies along, within half the thickness of the part that meets it."""
    points = contact.points
    for side, plane in body_b.planes.items():
        if not points or abs(dot(plane.normal, contact.normal)) > 0.5:
            continue
        depths = [plane.depth(point) for point in points]
        # A side that the patch runs up to with its narrow end is not the one it lies along.
        if max(depths) - min(depths) < 1.5 * thickness and min(depths) < 0.5 * thickness:
            return side
    return None


def edge_to_edge(join: Join) -> bool:
    """Whether two parts meet edge to edge, with the grain of both the same way."""
    a, b = join.parts
    edges = a.is_edge(join.side_a) and b.is_edge(join.side_b)
    return edges and a.grain is b.grain and a.turn == b.turn and not join.rests


def makes_panel(join: Join) -> bool:
    """Whether a joint makes one panel of two boards: one that lies loose in the other's groove moves by itself."""
    floats = join.tradition is not None and join.tradition.inset and not join.glue and not join.pockets
    return edge_to_edge(join) and not floats and not join.slotted

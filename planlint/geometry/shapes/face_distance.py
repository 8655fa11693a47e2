"""How far a round body lies from a face of a part, where a slanted end makes the face end before its plane does."""

from collections.abc import Sequence

from planlint.geometry.shapes.body import Body, Plane
from planlint.geometry.shapes.contact import plane_polygon, side_polygons
from planlint.geometry.shapes.convex import Hull, furthest, gap_between, spare_outside
from planlint.geometry.shapes.polygons import clipped_by_all
from planlint.geometry.shapes.vectors import plus
from planlint.model.directions import Side
from planlint.text.rounding import TOUCH


def to_face(hull: Hull, cover: float, body: Body, side: Side | Plane, within: Sequence[Plane] = ()) -> float:
    """Distance from a hull to the face of a side, or of a plane that trims the part (own frame), ``cover`` being that
    to the plane; in inches, negative where it came out.

    The nearest point of the plane may lie in air, past an edge of the face. Of the face only what lies ``within`` some
    planes counts; without end where nothing is left of it.
    """
    plane = body.in_piece(side) if isinstance(side, Plane) else body.planes[side]
    foot = plus(furthest(hull, plane.normal), plane.normal, cover)
    fences = [
        *(other for name, other in body.planes.items() if name is not side),
        *(body.in_piece(cut) for cut in body.trim_planes if cut is not side),
        *within,
    ]
    if all(fence.depth(foot) >= -TOUCH for fence in fences):
        return cover
    whole = [plane_polygon(body, side)] if isinstance(side, Plane) else side_polygons(body, side, whole=True)
    faces = [clipped_by_all(face, within) for face in whole]
    ways = [gap_between(hull, spare_outside(face, plane.normal)) for face in faces if face]
    away = min(ways, default=float("inf"))
    return away if away > 0 else cover

"""Bodies taken together: layers glued face to face, and the box round several."""

from collections.abc import Iterable

from planlint.geometry.shapes.body import Body, Box, Layer
from planlint.geometry.shapes.cells import boxes_round
from planlint.model.plan import Join


def glued_in_layers(join: Join) -> bool:
    """Whether a join glues two faces to one another all over: the two are one piece of wood then."""
    faces = join.part_a.is_face(join.side_a) and join.part_b.is_face(join.side_b)
    plain = join.tradition is None or join.tradition.kind == "glued"
    return faces and plain and (join.tradition is not None or join.glue == "all") and not join.pockets


def glue_on(join: Join, a: Body, b: Body) -> None:
    """Make the bodies of a join layers of one another."""
    a.layers += (Layer(join.side_a, b, join.side_b),)
    b.layers += (Layer(join.side_b, a, join.side_a),)


def round_all(bodies: Iterable[Body]) -> Box:
    """The smallest box along the axes round some bodies."""
    return boxes_round([body.bounds for body in bodies])

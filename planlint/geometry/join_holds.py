"""What holds two parts of a joint together: glue, or wood let into wood."""

from math import cos, radians

from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import dot
from planlint.language.joint_table import Form
from planlint.model.plan import Join


def on_end_grain(piece: Piece, join: Join) -> bool:
    """Whether a joint meets with the end grain of solid wood, where glue does not last."""
    limit = piece.limits["unheld", "end grain"]
    normal = piece.contact(join).normal
    return any(
        part.stock.material.solid
        and part.is_end(side)
        and abs(dot(piece.body(part).grain, normal)) > cos(radians(limit))
        for part, side in join.sides
    )


def glue_holds(piece: Piece, join: Join) -> bool:
    return glued(join) and not on_end_grain(piece, join)


def glued(join: Join) -> bool:
    return bool(join.glue) or (join.tradition is not None and join.tradition.kind == "glued")


def shaped(join: Join) -> bool:
    """Whether the joint is made so that its shape, pegs or glue keep it from turning."""
    return join.form not in {None, Form.PLAIN}

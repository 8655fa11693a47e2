"""What parts are made of: a material at a size."""

from dataclasses import dataclass
from fractions import Fraction

from planlint.model.timber import Material
from planlint.text.source import Span


@dataclass(frozen=True, slots=True)
class Stock:
    """A material at a size. ``nominal`` is the trade name of a dressed size, such as ``2x4``.

    ``width`` and ``length`` are ``None`` where the plan leaves them open; ``sheet`` tells a panel from a board.
    """

    name: str
    material: Material
    thickness: Fraction
    width: Fraction | None
    length: Fraction | None
    nominal: str | None
    sheet: bool
    span: Span
    written: str = ""
    """Its line as it is written, in this plan or in one that it uses."""

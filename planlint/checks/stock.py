"""The sizes that a plan gives its stock."""

from __future__ import annotations

from collections.abc import Iterator

from planlint.findings.finding import Finding
from planlint.findings.rulebook import Rule
from planlint.geometry.piece import Piece
from planlint.model.plan import Stock
from planlint.model.sizes import dressed, nominal_of
from planlint.text.measures import length


def nominal_size(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A softwood size written as actual that is most likely a nominal one: it comes dressed smaller."""
    unit, smallest = piece.plan.unit, rule.limit("sizes made", piece.settings)
    for stock in piece.plan.stocks:
        if (
            stock.nominal is not None
            or stock.width is None
            or stock.sheet
            or stock.material.kind != "softwood"
        ):
            continue
        if not _reads_nominal(stock):
            continue
        called = nominal_of(stock.thickness, stock.width) if stock.thickness >= smallest else None
        size = dressed(called) if called is not None else None
        if called is None or size is None:
            continue
        parts = [part.name for part in piece.plan.parts if part.stock is stock]
        if not parts:
            continue
        real = f"{length(size[0], unit)} x {length(size[1], unit)}"
        yield rule.finding(
            span=stock.span,
            parts=parts,
            says=(
                f"Stock {stock.name} is written as {length(stock.thickness, unit)} x {length(stock.width, unit)}, but "
                f"{stock.material.name} sold as {called} measures {real} once it is dressed."
            ),
            measured=float(stock.thickness),
            limit=float(size[0]),
            unit="in",
            repairs=[
                f"Write the nominal size tight, `{called}`, and check the lengths that follow from {real}.",
                "If your timber was measured and is so large, accept this finding and say so.",
            ],
            basis="sizes made",
        )


def _reads_nominal(stock: Stock) -> bool:
    """Whether a size is told in the numbers that timber is sold by: whole inches, or ``5/4`` thick.

    Other fractions were measured: 3-1/2 x 3-1/2 is a dressed 4x4, 1-1/2 x 3 was ripped from a 2x4.
    """
    whole_width = stock.width is not None and stock.width.denominator == 1
    return whole_width and (stock.thickness.denominator == 1 or "5/4" in stock.written)

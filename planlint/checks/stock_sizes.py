"""The sizes of stock: those that a plan gives, and those that the shop keeps."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple

from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule
from planlint.geometry.piece import Piece
from planlint.model.plan import Part
from planlint.model.stock import Stock
from planlint.model.timber import nearest_material
from planlint.model.trade_sizes import dressed, nominal_of


class Nominal(NamedTuple):
    """A stock written in the size that it is ``called``, and the size that it then has."""

    stock: Stock
    called: str
    dressed: tuple[Fraction, Fraction]


class UnknownWood(NamedTuple):
    """A stock of a wood that is not known, and the known name that is spelt most like it."""

    stock: Stock
    near: str | None


def unknown_wood(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A wood of which nothing is known: what hangs on the species is then not judged."""
    for stock in piece.plan.stocks:
        parts = [part.name for part in piece.plan.parts if part.stock is stock]
        if parts and not stock.material.known:
            near = nearest_material(stock.material.name)
            yield rule.finding(fact=UnknownWood(stock, near), span=stock.span, parts=parts, basis="judgement")


def nominal_size(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A softwood size written as actual that is most likely a nominal one: it comes dressed smaller."""
    smallest = rule.limit("sizes made", piece.settings)
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
        yield rule.finding(
            fact=Nominal(stock, called, size),
            span=stock.span,
            parts=parts,
            measured=float(stock.thickness),
            limit=float(size[0]),
            basis="sizes made",
        )


def _reads_nominal(stock: Stock) -> bool:
    """Whether a size is told in the numbers that timber is sold by: whole inches, or ``5/4`` thick.

    Other fractions were measured: 3-1/2 x 3-1/2 is a dressed 4x4, 1-1/2 x 3 was ripped from a 2x4.
    """
    whole_width = stock.width is not None and stock.width.denominator == 1
    return whole_width and (stock.thickness.denominator == 1 or "5/4" in stock.written)


# ---------------------------------------------------------------- parts and the stock they come from

_NO_GRAIN = frozenset({"fibreboard", "particleboard", "hardboard"})
"""Panels that are alike both ways: a part may lie on the sheet either way round. Basis: geometry."""
_SAME = Fraction(1, 64)
"""Thicknesses that differ by no more are one stock's. Basis: our own judgement."""


class TooShort(NamedTuple):
    """Like parts too large for a stock (the plan's, or the largest kept), which ``has`` less than they and what is cut
    off to ``trim`` them take; and whether they fit with their grain the other way."""

    parts: tuple[Part, ...]
    stock: Stock
    has: Fraction
    trim: Fraction
    turned: bool

    @property
    def unsold(self) -> bool:
        """Whether no stock that is sold is so long, where the plan does not tell how long it is."""
        own = self.parts[0].stock
        return own.length is None and self.stock == replace(own, length=self.stock.length)


class NotKept(NamedTuple):
    """Parts of a thickness that the stock kept of their wood does not give."""

    parts: tuple[Part, ...]
    kept: tuple[Fraction, ...]


def stock_too_short(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """A part is longer than the stock it is cut from, or wider than its sheet, the grain lying as the plan says."""
    trim = Fraction(rule.limit("to trim", piece.settings))
    alike: dict[tuple[int, Fraction, Fraction], list[Part]] = {}
    for part in piece.plan.parts:
        alike.setdefault((id(part.stock), part.length, part.width), []).append(part)
    for parts in alike.values():
        part = parts[0]
        if not _fits(part, part.stock, trim):
            yield _too_short(piece, rule, parts, part.stock, rule.grade)
            continue
        sold = Fraction(rule.limit("longest sold", piece.settings))
        if part.stock.length is None and part.length > sold:
            yield _too_short(piece, rule, parts, replace(part.stock, length=sold), Grade.CAUTION)
            continue
        kept = _kept_for(piece.settings.stock, part)
        if kept is None:
            yield _not_kept(piece, rule, parts)
        elif kept and not any(_fits(part, each, trim) for each in kept):
            largest = max(kept, key=lambda each: (each.length or 0, each.width or 0))
            yield _too_short(piece, rule, parts, largest, Grade.CAUTION)


def _fits(part: Part, stock: Stock, trim: Fraction) -> bool:
    """Whether a part can be cut from a stock. A part wider than a board is glued up of several."""
    long, wide = part.length + trim, part.width
    if stock.length is None or not stock.sheet:
        return stock.length is None or long <= stock.length
    turned = stock.material.kind in _NO_GRAIN and _on_sheet(wide, long, stock)
    return turned or _on_sheet(long, wide, stock)


def _on_sheet(long: Fraction, wide: Fraction, sheet: Stock) -> bool:
    return long <= (sheet.length or long) and wide <= (sheet.width or wide)


def _alike(kept: Sequence[Stock], part: Part) -> list[Stock]:
    return [each for each in kept if each.material == part.stock.material and each.sheet == part.stock.sheet]


def _kept_for(kept: Sequence[Stock], part: Part) -> list[Stock] | None:
    """What the shop keeps of a part's thickness; ``None`` where it keeps the wood, but nothing that gives it.

    Empty where nothing is to be said: where it does not keep the wood, or keeps thicker boards, to be planed.
    """
    alike, thick = _alike(kept, part), part.thickness
    own = [each for each in alike if abs(each.thickness - thick) <= _SAME]
    planed = any(each.thickness > thick and not each.sheet for each in alike)
    return own if own or planed or not alike else None


def _not_kept(piece: Piece, rule: Rule, parts: list[Part]) -> Finding:
    """Parts of a thickness that the shop's stock of that wood does not give."""
    part, sheet = parts[0], parts[0].stock.sheet
    kept = tuple(sorted({each.thickness for each in _alike(piece.settings.stock, part)}))
    return rule.finding(
        fact=NotKept(tuple(parts), kept),
        kind="not-so-thick",
        span=part.span,
        parts=[each.name for each in parts],
        measured=None if sheet else float(kept[-1]),
        limit=None if sheet else float(part.thickness),
        grade=min(rule.grade, Grade.CAUTION),
    )


def _too_short(piece: Piece, rule: Rule, parts: list[Part], stock: Stock, grade: Grade) -> Finding:
    part, trim = parts[0], Fraction(rule.limit("to trim", piece.settings))
    assert stock.length is not None
    too_long = part.length + trim > stock.length
    size, has = (part.length, stock.length) if too_long else (part.width, stock.width)
    assert has is not None  # Of a sheet without a width no part is too wide.
    needs = size + trim if too_long else size
    turns = stock.sheet and _on_sheet(part.width, part.length + trim, stock)
    return rule.finding(
        fact=TooShort(tuple(parts), stock, has, trim if too_long else Fraction(0), turns),
        kind="too-short" if too_long else "too-narrow",
        span=part.span,
        parts=[each.name for each in parts],
        measured=float(has),
        limit=float(needs),
        grade=grade,
    )

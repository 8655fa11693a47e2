"""Repairs of what parts are made of: stock of equal thickness, thicker or wider stock, nominal sizes."""

from collections.abc import Iterator
from fractions import Fraction

from planlint.checks.bore_cover import NarrowMitre
from planlint.checks.row_view import Row
from planlint.checks.stepped_face import IN_RABBET, FaceStep, UnlikeMitre
from planlint.checks.stock_sizes import Nominal, TooShort
from planlint.findings.finding import Finding
from planlint.language.expression_tree import Expression
from planlint.language.syntax_tree import StockLine
from planlint.model.plan import Part
from planlint.model.trade_sizes import dressed
from planlint.repairs.cut_repairs import as_deep
from planlint.repairs.drilling_repairs import drill_elsewhere
from planlint.repairs.join_edits import length_edit
from planlint.repairs.line_edits import change
from planlint.repairs.part_repairs import (
    add_item,
    lengthened,
    measure_of,
    of_stock,
    stock_thickness,
    take_item,
    thicker,
)
from planlint.repairs.repair_context import Context, Proposal
from planlint.text.edits import TextEdit
from planlint.text.measures import INCH_PER_UNIT, in_inches
from planlint.text.source import Span


def stepped_face(context: Context, finding: Finding) -> Iterator[Proposal]:
    """Both parts of one thickness: of the same stock, planed down, or of a stock as thick."""
    if isinstance(finding.fact, UnlikeMitre):
        yield from _as_wide(context, finding.fact)
        return
    step = finding.judged(FaceStep)
    if finding.kind == IN_RABBET:
        deep = step.high.thickness - context.exact(step.step)
        yield from stock_thickness(context, step.high.stock, deep)
        join = context.join_of(finding)
        for edits in as_deep(context, join, step.high.thickness) if join is not None else ():
            yield Proposal(edits, f"cut the rabbet in {step.low.name} deeper", moves=True, asks=True)
        return
    thick, thin = sorted((step.low, step.high), key=lambda part: -part.thickness)
    if thick.thickness == thin.thickness:
        return
    yield from _as_thick(context, thin, thick)
    yield from _as_thick(context, thick, thin)
    size = context.told(thin.thickness)
    place = measure_of(context, thick, "thick")
    if place is None:
        for edits in add_item(context, thick, f"{context.spelt(thin.thickness)} thick"):
            yield Proposal(edits, f"plane {thick.name} down to {size}", moves=True, asks=True)
    for part, other in ((thin, thick), (thick, thin)):
        yield from stock_thickness(context, part.stock, other.thickness)


def _as_wide(context: Context, mitre: UnlikeMitre) -> Iterator[Proposal]:
    """Of two mitred parts the one made as wide as the other of whose width more are; a question where that is even."""

    def fellows(part: Part) -> int:
        return sum(
            each.facing.axis is part.facing.axis and each.width == part.width for each in context.plan.parts
        )

    odd, other = sorted(mitre.join.parts, key=fellows)
    for part, like in ((odd, other), (other, odd)):
        asks = part is other or fellows(odd) == fellows(other)
        says = f"make {part.name} {context.told(like.width)} wide, as {like.name} is"
        for edits in lengthened(context, part, like.width - part.width, "wide"):
            yield Proposal(edits, says, moves=True, asks=asks)


def _as_thick(context: Context, part: Part, other: Part) -> Iterator[Proposal]:
    """A part made as thick as another: its own thickness changed or left out, or of the other's stock."""
    size = context.told(other.thickness)
    place = measure_of(context, part, "thick")
    if place is not None:
        taken = take_item(context, place)
        if part.stock.thickness == other.thickness and taken is not None:
            yield Proposal((taken,), f"leave {part.name} as thick as its stock, {size}", moves=True)
        elif other.thickness < part.stock.thickness:
            for edits in lengthened(context, part, other.thickness - part.thickness, "thick"):
                yield Proposal(edits, f"make {part.name} {size} thick", moves=True)
    for stock in sorted(context.plan.stocks, key=lambda each: each is not other.stock):
        same_width = stock.width == part.stock.width or measure_of(context, part, "wide") is not None
        if (
            stock is not part.stock
            and stock.material == part.stock.material
            and stock.sheet == part.stock.sheet
            and stock.thickness == other.thickness
            and same_width
        ):
            for edits in of_stock(context, part, stock.name):
                says = f"make {part.name} of {stock.name}, {size} thick"
                yield Proposal(edits, says, moves=True, asks=True)


def thin_stock(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The other part drilled; or stock that is thick enough."""
    yield from drill_elsewhere(context, finding)
    yield from thicker(context, finding.judged(Row).part, context.piece.limits["thin-stock", "thickness"])


def narrow_mitre(context: Context, finding: Finding) -> Iterator[Proposal]:
    """Wider stock; else splines instead of pockets."""
    least = Fraction(context.piece.limits["narrow-mitre", "width"]).limit_denominator(64)
    narrow = finding.judged(NarrowMitre).part
    place = measure_of(context, narrow, "wide")
    statement = context.at(narrow.stock.span)
    node = context.node(statement, StockLine)
    says = f"use stock {context.told(least)} wide or more"
    if place is not None:
        for edits in lengthened(context, narrow, least - narrow.width, "wide"):
            says = f"make {narrow.name} {context.told(least)} wide"
            yield Proposal(edits, says, moves=True, asks=True)
    elif node.width is not None:
        yield Proposal((length_edit(context, statement, node.width, least),), says, moves=True, asks=True)
    elif node.nominal is not None:
        first, _, second = node.nominal.text.partition("x")
        for wide in range(2, 13):
            size = dressed(f"{first}x{wide}")
            if size is not None and size[1] >= least and second != str(wide):
                edit = change(statement, node.nominal, f"{first}x{wide}")
                says = f"use {first}x{wide}, {context.told(size[1])} wide"
                yield Proposal((edit,), says, moves=True, asks=True)
                return


SOLD = tuple(Fraction(12 * feet) for feet in (6, 8, 10, 12, 14, 16))
"""Lengths that boards are sold in, in inches. Basis: common practice, even feet."""


def longer_stock(context: Context, finding: Finding) -> Iterator[Proposal]:
    """A board of the next length that is sold and long enough; only the builder knows whether it is to be had. A part
    as large as its sheet."""
    fact = finding.judged(TooShort) if isinstance(finding.fact, TooShort) else None
    if fact is None or fact.stock.length is None:
        return
    part = fact.parts[0]
    if fact.unsold and in_inches(context.unit):
        meant = part.length / INCH_PER_UNIT[context.unit] * INCH_PER_UNIT["mm"]
        for edits in lengthened(context, part, meant - part.length, others=fact.parts[1:]):
            yield Proposal(edits, f"make {part.name} {context.told(meant)} long", moves=True, asks=True)
        return
    if fact.stock.sheet:
        yield from _within_sheet(context, fact)
        return
    statement = context.at(fact.stock.span)
    node = context.node(statement, StockLine)
    need = max(part.length for part in fact.parts) + fact.trim
    sold = next((each for each in SOLD if each >= need), None)
    if sold is not None and node.length is not None:
        yield Proposal(
            (length_edit(context, statement, node.length, sold),),
            f"buy boards of {sold / 12} ft for {fact.stock.name}",
            asks=True,
        )


def _within_sheet(context: Context, fact: TooShort) -> Iterator[Proposal]:
    for part in fact.parts:
        sizes = ("wide", part.width, fact.stock.width), ("long", part.length, fact.stock.length)
        for word, now, most in sizes:
            over = now + fact.trim - most if most is not None else 0
            if over > 0:
                for edits in lengthened(context, part, -Fraction(over), word):
                    says = f"make {part.name} {context.told(now - over)} {word}, as its sheet gives"
                    yield Proposal(edits, says, moves=True, asks=True)


def nominal_size(context: Context, finding: Finding) -> Iterator[Proposal]:
    """The nominal size written tight; else the size it has once dressed."""
    stock, called, size = finding.judged(Nominal)
    statement = context.at(stock.span)
    node = statement.node
    if not isinstance(node, StockLine) or node.thickness is None or node.width is None:
        return
    end = _with_word(context, node.width, statement.span.start, statement.span.end)
    real = f"{context.told(size[0])} x {context.told(size[1])}"
    tight = change(statement, Span(node.thickness.start, end), called)
    says = f"write the nominal size tight, `{called}`: it measures {real}"
    yield Proposal((tight,), says, moves=True, asks=True)
    edits: tuple[TextEdit, ...] = tuple(
        length_edit(context, statement, each, value)
        for each, value in zip((node.thickness, node.width), size, strict=True)
    )
    says = f"write the size that {called} has once dressed, {real}"
    yield Proposal(edits, says, moves=True, asks=True)


def _with_word(context: Context, node: Expression, start: int, end: int) -> int:
    """Where a width ends with the word behind it, if it has one: `5 wide`."""
    behind = context.text[start + node.end : end]
    return node.end + (
        len(behind) - len(behind.lstrip()) + len("wide") if behind.lstrip().startswith("wide") else 0
    )

"""Stock lines: a material at a size."""

from fractions import Fraction

from planlint.language.expression_tree import Expression
from planlint.language.syntax_tree import Statement, StockLine
from planlint.model.elaboration_state import Workings
from planlint.model.expressions import name_of, positive_length
from planlint.model.foreign_lines import written_text
from planlint.model.mistake_log import FollowOn, Refusal
from planlint.model.provenance import StockSaid
from planlint.model.scope import Scope
from planlint.model.stock import Stock
from planlint.model.timber import Material, material_of
from planlint.model.trade_sizes import dressed, nominal_parts
from planlint.text.measures import in_inches

MOST_THICK = 8
MOST_THICK_PANEL = 4
LEAST_THICK = Fraction(1, 32)
MOST_WIDE = 240
LEAST_WIDE = Fraction(5, 32)
"""Inches; no stock of a joiner is thicker, thinner, wider or, where a plan counts in a metric unit, narrower: a size
beyond was written in another unit. The widest sheets pressed are 19 ft long. Basis: own judgement."""


def add_stock(workings: Workings, said: StockSaid) -> None:
    """Works out one stock line into ``workings.scope.stocks``, or notes what is wrong with it."""
    statement, node, scope = said
    try:
        stock = _stock(workings, statement, node, scope)
    except Refusal as refusal:
        workings.log.refuse(statement, refusal)
        workings.mark_broken("stock", node.name, scope)
        return
    workings.scope.stocks[stock.name] = stock
    workings.said_stocks[stock.name] = said


def _stock(workings: Workings, statement: Statement, node: StockLine, scope: Scope) -> Stock:
    name = scope.prefix + name_of(node.name, scope)
    written = written_text(statement, workings.source)
    first = workings.scope.stocks.get(name)
    if first is not None:
        says = workings.named_twice("stock", name, first.span, statement, scope)
        workings.log.refuse(statement, Refusal.at(node.name, says))
        raise FollowOn
    material = material_of(node.species.text)
    length = positive_length(node.length, scope, "the length") if node.length is not None else None
    if node.nominal is not None:
        thickness, width = _nominal(node, material)
        return Stock(
            name, material, thickness, width, length, node.nominal.text, False, statement.span, written
        )
    if node.thickness is None:
        raise Refusal(None, 0, f"stock {name} has no size: write one such as 2x4, 3/4 x 5-1/2, or 3/4 thick")
    thickness = positive_length(node.thickness, scope, "the thickness")
    _check_unit(workings, node.thickness, thickness, "thick", material)
    width_of = node.width
    if width_of is None:
        return Stock(name, material, thickness, None, length, None, material.panel, statement.span, written)
    width = positive_length(width_of, scope, "the width")
    _check_unit(workings, width_of, width, "wide", material)
    if thickness > width:
        says = "the thickness comes first, and {0} thick is more than {1} wide: change them round"
        quotes = ((node.thickness.start, node.thickness.end), (width_of.start, width_of.end))
        raise Refusal.at(node.thickness, says, last=width_of, quotes=quotes)
    sheet = material.panel or (node.sheet and length is not None)
    return Stock(name, material, thickness, width, length, None, sheet, statement.span, written)


def _check_unit(workings: Workings, node: Expression, size: Fraction, what: str, material: Material) -> None:
    """Refuses a size that no stock has, and asks for the unit that was forgotten."""
    unit, thick = workings.unit, what == "thick"
    most = MOST_WIDE if not thick else MOST_THICK_PANEL if material.panel else MOST_THICK
    metric = not in_inches(unit)
    least = LEAST_THICK if thick else LEAST_WIDE if metric else Fraction(0)
    if least <= size <= most:
        return
    said = f"{workings.length(size)} {what}"
    if size > most:
        metric_too = f"are these millimetres? {workings.to_say_millimetres}"
        hint = f"no stock is so {what}" if unit == "mm" else metric_too
    else:
        small = "thin" if thick else "narrow"
        hint = "are these inches? Write `unit inch` in the plan" if metric else f"no stock is so {small}"
    raise Refusal.at(node, f"{said}: {hint}")


def _nominal(node: StockLine, material: Material) -> tuple[Fraction, Fraction]:
    """Dressed thickness and width of the nominal size a line names."""
    word = node.nominal
    assert word is not None
    if material.panel:
        says = f"{material.name} comes in sheets, not by nominal size: write its thickness, such as 3/4 thick"
        raise Refusal.at(word, says)
    size = dressed(word.text)
    if size is not None:
        return size
    parts = nominal_parts(word.text)
    hint = "write the real size with spaces, such as 3/4 x 5-1/2"
    if parts is not None and parts[0] > parts[1]:
        first, _, second = word.text.partition("x")
        if dressed(f"{second}x{first}") is not None:
            hint = f"the thickness comes first: {second}x{first}"
    raise Refusal.at(word, f"timber is not sold as {word.text}; {hint}")

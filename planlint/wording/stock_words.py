"""The words for sizes of stock."""

from planlint.checks.stock_sizes import Nominal, NotKept, TooShort
from planlint.findings.finding import Finding
from planlint.geometry.piece import Piece
from planlint.text.measures import INCH_PER_UNIT, in_inches, length, listed
from planlint.wording.finding_text import Told
from planlint.wording.overlap_words import check_unit
from planlint.wording.row_words import at_least


def nominal_size(piece: Piece, _found: Finding, fact: Nominal) -> Told:
    stock, unit = fact.stock, piece.plan.unit
    real = " x ".join(length(each, unit) for each in fact.dressed)
    return Told(
        f"Stock {stock.name} is written as {length(stock.thickness, unit)} x {length(stock.width or 0, unit)}, but "
        f"{stock.material.name} sold as {fact.called} measures {real} once it is dressed.",
        [
            f"Write the nominal size tight, `{fact.called}`, and check the lengths that follow from {real}.",
            "If your timber was measured and is so large, accept this finding and say so.",
        ],
    )


def stock_too_short(piece: Piece, found: Finding, fact: TooShort | NotKept) -> Told:
    names = listed([each.name for each in fact.parts], 4)
    are = f"{names} {'is' if len(fact.parts) == 1 else 'are'}"
    if isinstance(fact, NotKept):
        return _not_kept(are, fact, piece.plan.unit)
    return _too_large(are, found, fact, piece.plan.unit)


def _not_kept(are: str, fact: NotKept, unit: str) -> Told:
    part = fact.parts[0]
    wood, sheet, needs = part.stock.material.name, part.stock.sheet, length(part.thickness, unit)
    has = listed([length(each, unit) for each in fact.kept])
    return Told(
        f"{are} {needs} thick; the shop keeps {wood} of {has}, {'not of that' if sheet else 'none so thick'}.",
        [f"Get {wood} {needs} thick, or make the part of what is kept."]
        if sheet
        else [f"Get {wood} {needs} thick or more.", "Or glue the part up of layers."],
    )


def _too_large(are: str, found: Finding, fact: TooShort, unit: str) -> Told:
    part, stock = fact.parts[0], fact.stock
    long = found.kind == "too-short"
    word, size = ("long", part.length) if long else ("wide", part.width)
    also = f", with {length(fact.trim, unit)} to trim its ends" if fact.trim else ""
    called = f"stock {stock.name}"
    if fact.unsold:
        called = "the longest that is sold"
    elif stock is not part.stock:
        called = f"the largest {part.stock.material.name} that the shop keeps of this thickness"
    if fact.turned:
        turned = f"{length(part.width, unit)} long and {length(part.length, unit)} wide"
        first = f"Let its grain run the other way, {turned}, if the look allows: the sheet holds it so."
    else:
        needs = at_least(found.limit or 0.0, unit)
        first = f"Get stock at least {needs} {word}, and write that size into the plan."
    ways = [first, "Or make it of two pieces that meet over a support."]
    if fact.unsold and in_inches(unit):
        ways.insert(0, check_unit(part.length / INCH_PER_UNIT[unit], unit, "mm", unit))
    return Told(
        f"{are} {length(size, unit)} {word}{also}; {called} is {length(fact.has, unit)} {word}.",
        ways,
    )

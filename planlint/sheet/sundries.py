"""What else to have at hand: screws, plugs, other fasteners, dowels, biscuits and splines, each with its spares."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

from planlint.checks.row_view import rows, screw_kind
from planlint.geometry.piece import Piece
from planlint.language.joint_table import Form
from planlint.model.join_details import Fastening
from planlint.model.plan import Join
from planlint.model.workshop import Buying
from planlint.sheet.joint_setouts import Loose, loose_pieces
from planlint.text.rounding import whole_up

SPARED = frozenset({"screws", "nails", "plugs", "head plugs", "dowels", "biscuits"})
"""What is bought with spares: it is cheap, and gets lost."""

ScrewKind = tuple[str, float, int]
"""Thread (and metal, where the plan says it), length in inches, gauge."""


@dataclass(frozen=True, slots=True)
class Sundry:
    """Something else to have at hand: ``needed``, and ``bought`` with spares; ``what`` is a code.

    ``size`` is that of pocket screws; ``made`` tells other fasteners, and those whose heads get plugs; ``loose`` what
    lies in a joint. Of splines their length is ``needed``, in ``SPLINE_UNIT``.
    """

    what: str
    size: ScrewKind | None
    needed: int
    bought: int
    kind: str = ""
    """In the shop's own words."""
    made: Fastening | None = None
    loose: Loose | None = None


@dataclass(frozen=True, slots=True)
class Unsettled:
    """A joint whose pockets, fasteners or dowels cannot be counted: the plan does not settle where its parts lie."""

    joint: str
    what: tuple[str, ...]
    """``pockets``, or the kinds of its fasteners."""
    many: int | None
    """How many there are in all, where the plan says that itself."""


@dataclass(frozen=True)
class Counts:
    """All that a piece, or several, takes, without spares."""

    screws: Counter[ScrewKind]
    plugs: int
    made: Counter[Fastening]
    heads: Counter[Fastening]
    """Those with sunk heads that get plugs."""
    loose: Counter[Loose]

    def with_(self, other: Counts) -> Counts:
        return Counts(*(getattr(self, each.name) + getattr(other, each.name) for each in fields(self)))


def counted(piece: Piece) -> Counts:
    """Everything in a piece's joints that are settled."""
    placed = rows(piece)
    metal = f"{piece.plan.screw_metal} " if piece.plan.screw_metal else ""
    made: Counter[Fastening] = Counter()
    for join in piece.plan.joins:
        for row in piece.fasteners(join):
            made[_of_metal(row.fastening, piece.plan.screw_metal)] += len(row.at)
    return Counts(
        Counter(
            (f"{metal}{thread}", long, gauge)
            for row in placed
            for thread, long, gauge in map(screw_kind, row.screws)
        ),
        sum(len(row.pockets) for row in placed if row.asked.plugged),
        made,
        Counter({each: many for each, many in made.items() if "plugged" in each.words}),
        loose_pieces(piece),
    )


def _of_metal(made: Fastening, metal: str | None) -> Fastening:
    """A fastener with the metal that the plan asks of all its screws among its words."""
    return replace(made, words=made.words | {metal}) if metal and made.kind == "screws" else made


def unsettled(piece: Piece) -> tuple[Unsettled, ...]:
    """The joints of which nothing is counted."""
    found = Counter(row.join.index for row in rows(piece))
    return tuple(
        each
        for join in piece.plan.joins
        if not piece.trusted(join) or found[join.index] < len(join.pockets)
        if (each := _left_out(join)) is not None
    )


def _left_out(join: Join) -> Unsettled | None:
    what = ["pockets"] if join.pockets else []
    what += [each.kind for each in join.fastenings]
    said = [*join.pockets, *(each.row for each in join.fastenings)]
    counts = [len(row.at) if row.at is not None else row.count for row in said]
    if join.tradition is not None and join.form is Form.LOOSE:
        what.append(join.tradition.kind)
        places = join.tradition.places
        counts.append(None if places is None else len(places.row.at or ()) or places.row.count)
    if not what:
        return None
    known = [each for each in counts if each is not None]
    return Unsettled(join.name, tuple(dict.fromkeys(what)), sum(known) if len(known) == len(counts) else None)


METALS = ("stainless", "galvanized", "coated", "bronze")


def metal_of(made: Fastening) -> str:
    """What a screw is made of, or covered with; empty where the plan does not say."""
    return next((metal for metal in METALS if metal in made.words), "")


def sundries(counts: Counts, buying: Buying) -> tuple[Sundry, ...]:
    """Screws by kind, plugs, other fasteners by kind and size, and what lies in joints."""

    def one(
        what: str,
        many: int,
        kind: str = "",
        size: ScrewKind | None = None,
        made: Fastening | None = None,
        loose: Loose | None = None,
    ) -> Sundry:
        bought = whole_up(many * (1 + buying.spare_screws)) if what in SPARED else many
        return Sundry(what, size, many, bought, kind, made, loose)

    found = [one("screws", many, size=kind) for kind, many in sorted(counts.screws.items())]
    found += [one("plugs", counts.plugs, buying.plugs)] if counts.plugs else []
    every = _by_size(counts.made)
    found += [one(made.kind, many, made=made) for made, many in every]
    found += [one("inserts", many, made=made) for made, many in every if "into inserts" in made.words]
    found += [one("head plugs", many, buying.plugs, made=made) for made, many in _by_size(counts.heads)]
    found += [one(loose.what, many, loose=loose) for loose, many in counts.loose.items()]
    return tuple(found)


def _by_size(counts: Mapping[Fastening, int]) -> list[tuple[Fastening, int]]:
    """By kind and size, whatever else is said of them: so they are sold."""
    merged: dict[object, tuple[Fastening, int]] = {}
    for made, count in counts.items():
        key = made.kind, made.called, made.thick, made.length, metal_of(made), "into inserts" in made.words
        first, many = merged.get(key, (made, 0))
        merged[key] = first, many + count
    return list(merged.values())

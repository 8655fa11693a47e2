"""A loaded part that bends further than it should."""

from collections.abc import Iterator
from typing import NamedTuple

from planlint.checks.overloaded_joint import as_it_bends, not_told
from planlint.checks.piece_purpose import borne_by
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule
from planlint.geometry.piece import Piece
from planlint.model.directions import Axis
from planlint.model.plan import Part
from planlint.statics.carried_loads import Standing, carried, pounds_of
from planlint.statics.people import bears_people
from planlint.statics.shelf_sag import Sag, lies_flat, sags
from planlint.statics.weights import part_weight


class Sags(NamedTuple):
    """A part under its load: how far it sags at first, and in the end (``last``), and the most that it may."""

    sag: Sag
    last: float
    most: float
    seen: bool
    """Whether it is the eye that minds; else it is the wood that bends too much for its span."""
    pounds: float
    stays: bool
    """Whether the load stays for good."""
    span_to_be: float
    """The longest span at which it would not, its load for each foot being the same."""
    in_one_place: bool
    """Whether it is people, where they tell most."""

    @property
    def flat(self) -> bool:
        """Whether it is its thickness that the load bends, and not its width: it lies on its face."""
        return self.sag.part.facing.axis is Axis.Z

    @property
    def deep_to_be(self) -> float:
        """How thick, or on edge how wide, it would have to be over the span that it has: stiffness grows with the cube
        of both."""
        part = self.sag.part
        return float(part.thickness if self.flat else part.width) * self.sag.span.long / self.span_to_be


def shelf_sag(piece: Piece, rule: Rule) -> Iterator[Finding]:
    """What lies on a part bends it further than its span allows, or than looks straight."""
    if not piece.plan.loads:
        return
    for standing in carried(piece)[0]:
        if standing.solution.loose:
            continue
        unknown: dict[str, list[Part]] = {}
        for part in dict.fromkeys(load.part for load in standing.loads if load.towards is None):
            if not lies_flat(piece, part):
                continue
            if not standing.structure.beams[part.name].known:
                unknown.setdefault(part.stock.material.name, []).append(part)
                continue
            found = _worst(piece, rule, standing, part)
            if found is not None:
                yield found
        for wood, parts in unknown.items():
            span = next(load.span for load in piece.plan.loads if load.part is parts[0])
            yield from not_told(rule, wood, parts, span)


def _worst(piece: Piece, rule: Rule, standing: Standing, part: Part) -> Finding | None:
    settings = piece.settings
    creep = rule.limit("creep", settings)
    shares = {name: 1 / rule.limit(name, settings) for name in ("span to sag", "span to sag under people")}
    shares["sag a foot"] = rule.limit("sag a foot", settings) / 12
    loads = [load for load in standing.loads if load.part is part and load.towards is None]
    stays = sum(pounds_of(load) for load in loads if load.per_foot)
    soft = not stays and part.facing.axis is Axis.Z and borne_by(piece.plan) == "lie"
    soft = soft or any(bears_people(piece, load) for load in loads)
    own = part_weight(piece, part).pounds
    pounds = sum(map(pounds_of, loads))
    lasting = (stays + own) / (pounds + own) if stays else 0.0
    worst: tuple[float, str, Sags] | None = None
    for n, each in enumerate(as_it_bends(piece, standing)):
        for sag in sags(piece, each, part) if not each.solution.loose else ():
            # The end of an overhang drops like half a span twice as long.
            long = sag.span.long * (2 if sag.span.overhang else 1)
            last = sag.inches * (1 + (creep - 1) * lasting)
            over = {"span to sag under people" if soft else "span to sag": last}
            if stays:
                over["sag a foot"] = sag.inches
            times, basis = max((inches / (shares[name] * long), name) for name, inches in over.items())
            if times > 1 and (worst is None or times > worst[0]):
                to_be = sag.span.long / times ** (1 / 3)
                most, seen = shares[basis] * long, basis == "sag a foot"
                worst = times, basis, Sags(sag, last, most, seen, pounds, stays > 0, to_be, n > 0)
    if worst is None:
        return None
    _, basis, fact = worst
    return rule.finding(
        fact=fact,
        kind="seen" if fact.seen else "",
        span=loads[0].span,
        parts=[part.name],
        measured=fact.sag.inches if fact.seen else fact.last,
        limit=fact.most,
        basis=basis,
    )

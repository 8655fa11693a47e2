"""What a piece weighs, what its shelves may bear, and what its screws carry: words and rows for sheet and report."""

from collections.abc import Iterator
from typing import NamedTuple

from planlint.checks.breaking_part import bent_most
from planlint.checks.hung_piece import wall_sum
from planlint.checks.overloaded_joint import as_it_bends, most_asked
from planlint.geometry.piece import Piece
from planlint.geometry.shapes.vectors import minus
from planlint.model.fastener_statements import KINDS
from planlint.model.plan import Join, Part
from planlint.reports.safe_words import visible
from planlint.reports.step_names import numbered_runs
from planlint.statics.carried_loads import carried
from planlint.statics.footing import what_hangs
from planlint.statics.joint_ties import Kind
from planlint.statics.shelf_sag import Bears, lies_flat, may_bear, sags
from planlint.statics.weights import part_weight, piece_weight
from planlint.text.grouping import grouped
from planlint.text.measures import in_inches, length, listed, stress, to_sixteenth, weight

_CARE = (
    "Worked out from average clear wood, and from allowed loads that were not written for furniture. How a part "
    "shears, or splits from the corner of a notch at its end, is not judged. Where people can be hurt, follow local "
    "codes and licensed practice: planlint certifies nothing."
)
_MOST_NAMES = 6


class LoadsTold(NamedTuple):
    """Lines of words, then a table."""

    words: tuple[str, ...]
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def loads_told(piece: Piece | None) -> Iterator[tuple[str, LoadsTold]]:
    """What a sheet tells of one piece, each under its title; nothing of several at once."""
    if piece is None:
        return
    yield "Weight, and what shelves may bear", weight_told(piece)
    screws = screws_told(piece)
    if screws is not None:
        yield "What the screws carry", screws


def weight_told(piece: Piece) -> LoadsTold:
    """The weight of the piece and of each part, and what those that lie flat may bear."""
    unit, whole = piece.plan.unit, piece_weight(piece)
    x, y, z = minus(whole.centre, piece.bounds.low)
    acts = (
        f"Its weight acts {to_sixteenth(x, unit)} from the left, {to_sixteenth(y, unit)} from the front and "
        f"{to_sixteenth(z, unit)} from the bottom."
    )
    if not centre_known(piece):
        acts = "Where its weight acts is not known: the plan does not settle where all parts lie."
    words = [f"The piece weighs {weight(whole.pounds, unit)}. {acts}"]
    if whole.guessed:
        words.append(
            f"No density is known here of {listed(whole.guessed)}: that of a usual softwood is taken."
        )
    words += _hung(piece)
    words += _under_loads(piece)
    rows = grouped(
        ((weight(part_weight(piece, part).pounds, unit), _bears(piece, part)), part)
        for part in piece.plan.parts
    )
    head = ("Parts", "Each weighs", "May bear for good, spread evenly")
    return LoadsTold(
        (*words, _CARE),
        head,
        tuple((listed(numbered_runs(parts), _MOST_NAMES), *told) for told, parts in rows.items()),
    )


def centre_known(piece: Piece) -> bool:
    """Whether the plan settles where all parts lie."""
    first, *others = piece.plan.parts or (None,)
    return all(first and piece.placement.fixed_together(first, each) for each in others)


def shelf_bears(piece: Piece, part: Part) -> Bears | None:
    """What a part that lies flat may bear for good."""
    limits = piece.limits
    stays = 1 / limits["shelf-sag", "span to sag"] / limits["shelf-sag", "creep"]
    return may_bear(piece, part, min(limits["shelf-sag", "sag a foot"] / 12, stays))


def _bears(piece: Piece, part: Part) -> str:
    unit, found = piece.plan.unit, shelf_bears(piece, part)
    if found is None:
        return ""
    inches, what = (12.0, "a foot") if in_inches(unit) else (1000 / 25.4, "a metre")
    each = f"{weight(found.pounds / found.span * inches, unit)} {what}"
    return (
        f"{weight(found.pounds, unit)} ({each}) over {to_sixteenth(found.span, unit)}, then it sags "
        f"{length(round(found.sag, 3), unit)} at first"
    )


def _hung(piece: Piece) -> Iterator[str]:
    unit = piece.plan.unit
    for standing in carried(piece)[0]:
        found = what_hangs(piece, standing)
        if found is not None:
            total = wall_sum(piece, found)
            yield (
                f"{weight(found.pounds, unit)} hangs on the wall: {weight(found.weighs, unit)} its own, "
                f"{weight(found.loads, unit)} load; it pulls {weight(found.pull, unit)} out of the wall at the top. "
                f"That is {total.used:.2f} of what {total.screws} No. 10 screws in {total.studs} "
                f"stud{'' if total.studs == 1 else 's'} may carry: check the sum at your wall."
            )
    for unjudged in carried(piece)[1]:
        where = f", as {visible(unjudged.join.name)} leaves it open where parts lie" if unjudged.join else ""
        yield f"The load on {visible(unjudged.load.part.name)} is not judged{where}."


def _under_loads(piece: Piece) -> Iterator[str]:
    """How far loaded parts bend, and what the floor carries under each foot."""
    unit = piece.plan.unit
    for standing in carried(piece)[0]:
        if standing.solution.loose:
            continue
        for part in dict.fromkeys(load.part for load in standing.loads if load.towards is None):
            places = as_it_bends(piece, standing) if lies_flat(piece, part) else ()
            found = [sag for each in places for sag in sags(piece, each, part)]
            if found:
                most = max(found, key=lambda each: each.inches)
                yield (
                    f"Under its load {visible(part.name)} sags {length(round(most.inches, 3), unit)} over "
                    f"{to_sixteenth(most.span.long, unit)} at first."
                )
        for fact in bent_most(piece, standing):
            part = fact.bent.part
            if part is fact.under:
                yield (
                    f"The loads bend {visible(part.name)} at most to {stress(fact.bent.psi, unit)}: {fact.used:.2f} of "
                    "what is allowed."
                )
        floor = standing.solution.on_supports(Kind.FLOOR)
        feet = grouped((weight(max(0.0, -pull[2]), unit), visible(name)) for name, pull in floor.items())
        if feet:
            told = "; ".join(
                f"{pounds} under {'each of ' if len(names) > 1 else ''}{listed(names, _MOST_NAMES)}"
                for pounds, names in feet.items()
            )
            yield f"With its loads the floor carries {told}."


# ---------------------------------------------------------------- screws


class Carried(NamedTuple):
    """The most that one screw of a joint carries, in pounds, and the share of what it may; ``None`` where that is not
    known. ``pull_judged``: whether a figure for what pulls on it is published."""

    along: float
    across: float
    used: float | None
    pull_judged: bool = True


def screws_told(piece: Piece) -> LoadsTold | None:
    """What the screws of each joint carry under the loads of the plan; ``None`` without any."""
    told = ((_carries(piece, join), visible(join.name)) for join in piece.plan.joins)
    rows = grouped((carried, name) for carried, name in told if carried is not None)
    if not rows:
        return None
    words = (
        "The most that one screw of each joint carries under the loads of the plan and the piece's own weight.",
    )
    head = ("Joint", "Pulling", "Across", "Of what is allowed")
    return LoadsTold(words, head, tuple((listed(names, len(names)), *most) for most, names in rows.items()))


def carries(piece: Piece, join: Join) -> str | None:
    """The same of one joint, as a sentence."""
    told = _carries(piece, join)
    if told is None:
        return None
    along, across, share = told
    one = "screw" if join.pockets else next(KINDS[each.kind].one for each in join.fastenings if each.driven)
    return (
        f"at most {along} pulling and {across} across one {one} under the loads; of what is allowed: {share}"
    )


def _carries(piece: Piece, join: Join) -> tuple[str, str, str] | None:
    unit, found = piece.plan.unit, screw_carries(piece, join)
    if found is None:
        return None
    share = "not known" if found.used is None else f"{found.used:.2f}"
    no_figure = "" if found.pull_judged else " across; no figure for what pulls"
    return weight(found.along, unit), weight(found.across, unit), f"{share}{no_figure}"


def screw_carries(piece: Piece, join: Join) -> Carried | None:
    """What the screw of a joint that carries most for what it may carries under the loads; ``None`` without any."""
    for standing in carried(piece)[0] if piece.plan.loads else ():
        asked = None if standing.solution.loose else most_asked(piece, standing, join)
        if asked is not None:
            (_, along, across), may, used = asked
            along = max(0.0, along)
            return (
                Carried(along, across, used, may.along is not None) if may else Carried(along, across, None)
            )
    return None

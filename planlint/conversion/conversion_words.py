"""What a conversion did, in a builder's words."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction

from planlint.conversion.conversion_result import ToldChange
from planlint.conversion.cut_remains import Remains
from planlint.conversion.cuts_taken_back import bow_along, bow_deep, bow_radius, removal_after, runs_along
from planlint.conversion.drilling_trials import Trial
from planlint.conversion.equivalents import EQUIVALENTS
from planlint.conversion.exact_boxes import Slice
from planlint.conversion.size_changes import Change
from planlint.conversion.statement_sites import Sites
from planlint.findings.finding import Grade
from planlint.language.joint_table import Form
from planlint.language.syntax_tree import RemovalItem
from planlint.model.directions import Side, side_of
from planlint.model.plan import Join
from planlint.text.grouping import grouped
from planlint.text.measures import by_rule
from planlint.text.sayings import Saying, named


def size_changes(sites: Sites, change: Change, join: Join) -> Iterator[ToldChange]:
    """Each size, cut and new part that a converted joint brings, with the reason."""
    yield from (ToldChange(Saying(says)) for says in _sizes_told(sites, change, join))
    a = change.slices_of(join.part_a)[0]
    for says in (*_bows_told(sites.unit, a, join.side_a), *_arches_told(sites, a, join.side_a)):
        yield ToldChange(Saying(says), "curve")
    for part, other in (join.parts, join.parts[::-1]):
        for number, remains in sorted(change.remains.get(part.name, {}).items()):
            if other.name in remains.lay and not remains.whole:
                yield _cut_told(sites.unit, change.slices_of(part)[0], number, remains)


def _sizes_told(sites: Sites, change: Change, join: Join) -> Iterator[str]:
    assert join.tradition is not None
    equivalent = EQUIVALENTS[join.tradition.kind]
    unit = sites.unit
    outputs = change.outputs[join.index]
    told = False
    split = next((part for part in join.parts if change.slices_of(part)[0].number), None)
    if split is not None and len(outputs) > 1:
        slices = change.slices_of(split)
        names = ", ".join(f"{named(each)} {by_rule(each.size(split.grain), unit)} long" for each in slices)
        other = join.other(split)
        yield f"{named(other)} runs through; {named(split)} becomes {len(slices)} parts: {names}"
        told = True
    elif join.tradition.inset:
        # A lap may shorten the other part; every other joint shortens the one let in.
        a, side_a, b, side_b = outputs[0]
        for of, side in [(of, side) for of, side in ((a, side_a), (b, side_b)) if side in of.cuts][:1]:
            yield _shorter(sites, of, side, equivalent.changes)
            told = True
    if join.form is Form.FINGERS and outputs[0].side_b is not join.side_b:
        yield (
            f"{named(join.part_b)} is the shorter one, since {named(join.part_a)} reaches past it and keeps its length"
        )
    elif join.form is Form.FINGERS:
        yield (
            f"{named(join.part_a)} is the shorter one, since it is let into {named(join.part_b)}, which keeps its "
            "length and covers the end grain at the corner"
        )
    if not told:
        yield equivalent.changes


def _bows_told(unit: str, of: Slice, side: Side) -> Iterator[str]:
    for bow in of.part.trims:
        if bow.kind == "bow" and of.cut(side) and bow_along(bow, of.part) is side.axis:
            radius = by_rule(bow_radius(bow, of.part), unit)
            deep = by_rule(bow_deep(bow, of), unit)
            yield (
                f"the {bow.sides[0].value} of {named(of.part)} keeps its curve, of {radius} radius: over what is left "
                f"that is {deep} deep"
            )


def _arches_told(sites: Sites, of: Slice, side: Side) -> Iterator[str]:
    part, unit = of.part, sites.unit
    for number, detail in enumerate(sites.removals(part)) if of.cut(side) else ():
        kept = removal_after(detail, of, number, sites.part_flips(part.name))
        assert isinstance(detail.item, RemovalItem)
        if kept is not None and kept.arc and runs_along(detail.item, part) is side.axis:
            (first, _), (deep, at), (last, _) = kept.arc
            ends = " and ".join(dict.fromkeys(by_rule(each, unit) for each in (first, last)))
            yield (
                f"the arch in {named(part)} keeps its curve: it is {by_rule(deep, unit)} deep at {by_rule(at, unit)} "
                f"from the {side_of(side.axis, -1).value}, and {ends} deep where what is left of it ends"
            )


def _cut_told(unit: str, of: Slice, number: int, remains: Remains) -> ToldChange:
    """What becomes of a cut in which a part lay; measured as the part is afterwards, unless it becomes two."""
    cut = f"the {of.part.removals[number].kind} in {named(of.part)}"
    start = Fraction(0) if of.number else of.cut(side_of(remains.along, -1))
    stop = of.part.size[remains.along] if of.number else of.size(remains.along)
    within = [(max(low - start, Fraction(0)), min(high - start, stop)) for low, high in remains.runs]
    runs = [f"from {by_rule(low, unit)} to {by_rule(high, unit)}" for low, high in within if low < high]
    if not runs:
        return ToldChange(Saying(f"{cut} is left out: nothing lies in it any longer"), "gone")
    now = f"{cut} is now cut {' and '.join(runs)} only, from its {side_of(remains.along, -1).value}"
    return ToldChange(Saying(f"{now}: elsewhere the joint filled it"), "stopped", Saying(now))


def outside_changes(sites: Sites, change: Change, join: Join) -> Iterator[str]:
    """What a converted joint changes on the outside of the piece: what is no longer seen of it, the end of a cut that
    nothing lay in, a corner."""
    made, b = join.tradition, join.part_b
    assert made is not None
    if made.kind == "mortise and tenon" and made.inset == b.size[join.side_b.axis]:
        yield f"the end of the tenon is no longer seen at the {join.side_b.opposite.value} of {named(b)}"
    elif EQUIVALENTS[made.kind].seen:
        yield EQUIVALENTS[made.kind].seen
    for part, shown in change.shown.get(join.index, ()):
        over = by_rule(change.slices_of(part)[0].cut(join.side_a), sites.unit)
        of, past = named(part), named(shown.past)
        yield (
            f"{of} stands {by_rule(shown.by, sites.unit)} out past {past} at the {shown.side}, where it lay {over} "
            f"over its edge: that corner goes too, and {of} ends square at {past}"
        )
    for part, other in (join.parts, join.parts[::-1]):
        for number, remains in sorted(change.remains.get(part.name, {}).items()):
            if other.name not in remains.lay:
                continue
            kind = part.removals[number].kind
            if remains.whole:
                yield (
                    f"{named(other)} reached into the {kind} in {named(part)} and filled only part of it; the {kind} "
                    "runs on open there now"
                )
            if remains.wider:
                yield f"the {kind} in {named(part)} was larger than what lay in it; all of that is wood now"
            if remains.open:
                yield (
                    f"the {kind} in {named(part)} ran on {by_rule(remains.open, sites.unit)} past {named(other)} with "
                    "nothing in it; that is wood now"
                )


def _shorter(sites: Sites, of: Slice, side: Side, why: str) -> str:
    part, axis = of.part, side.axis
    word = {"long": "shorter", "wide": "narrower", "thick": "thinner"}[sites.size_word(part, axis)]
    now, was = by_rule(of.size(axis), sites.unit), by_rule(part.size[axis], sites.unit)
    less = f"{named(part)} is {by_rule(of.cut(side), sites.unit)} {word} at the {side.value}"
    if of.number:
        return f"{less}, where it is {named(of)} now, {now} long: {why}"
    both = ", its other end counted too" if of.cut(side.opposite) else ""
    return f"{less}, now {now} instead of {was}{both}: {why}"


def reasons_of(tried: Iterable[Trial], unit: str) -> str:
    """Which rules stand against each way of drilling, and what stops the likeliest; pockets of one face that are set
    out otherwise told together, and fewer screws only where nothing else was tried."""
    plain = [trial for trial in tried if not trial.choice.plugged]
    ways = grouped(
        (replace(trial.choice, at=()).words(named(trial.part), unit), trial)
        for trial in [trial for trial in plain if not trial.choice.fewer] or plain
    )
    lines = []
    for words, trials in ways.items():
        rules = dict.fromkeys(f"{f.rule} ({f.grade.word})" for trial in trials for f in trial.findings)
        how = f", set out in {len(trials)} ways" if len(trials) > 1 else ""
        lines.append(f"{words}{how}: {', '.join(rules) or 'clean'}")
    stops = (f.says for trial in plain for f in trial.findings if f.grade is Grade.STOP and f.says)
    first = next(stops, "").rstrip(".")
    return "; ".join(lines) + (f". Of the first: {named(first)}" if first else "")

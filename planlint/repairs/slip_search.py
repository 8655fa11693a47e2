"""One slip of the pen that explains what lies wrong: every line told otherwise in trial, and what then lies right.

A plan whose joins contradict one another says a thing twice, so the word that is wrong shows: told otherwise, all
closes. Where one way alone does that it is what was meant; of several only the builder knows.
"""

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import chain, islice
from typing import NamedTuple

from planlint.checks.poor_fit import PoorFit
from planlint.checks.registry import By, hangs_on, judge
from planlint.checks.screw_hold import Tip
from planlint.checks.unlike_sides import UnlikeSides, without_image
from planlint.findings.finding import Finding, Grade, Identity
from planlint.geometry.kept_facts import of_piece
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import found_in, understand
from planlint.language.syntax_tree import PartDetails, PartLine
from planlint.model.directions import Axis
from planlint.model.like_parts import are_twins
from planlint.model.plan import Part
from planlint.placement.contradictions import closes
from planlint.placement.placement_results import FreeAxis, Misfit
from planlint.repairs.details_of_twins import cuts_told_again, joins_told_again
from planlint.repairs.edit_proof import brought
from planlint.repairs.evenness import idle_cuts, lone_screws, named_unlike, planes, unlike_steps
from planlint.repairs.repair_context import Context, Proposal
from planlint.repairs.word_slips import Edits, otherwise_laid, told_otherwise
from planlint.text.edits import apply
from planlint.text.source import PlanText

MOST_TRIED = 400
"""Lines told otherwise in trial for one cause. Basis: our own judgement; in pieces of ours a third is the most."""
MOST_FOUND = 12
"""Of those the ones that explain a cause. Basis: our own judgement; nobody weighs more."""
MOST_USUAL = 6
"""Repairs of a finding's own rule that are held against them. Basis: our own judgement."""

_Grades = tuple[int, int, int]
"""How many stops, cautions and advices are left."""


class Explanation(NamedTuple):
    """A line as it may be meant, and what is left to find then."""

    edits: Edits
    says: str
    gone: frozenset[Identity]
    left: _Grades
    again: bool
    """Whether it tells again what a part like it has."""
    turns: bool
    """Whether a part is turned more or less by it."""
    measure: bool
    """Whether it changes a measure: others may heal as much."""
    unheard: bool
    """Whether the plan has that measure nowhere else."""
    planes: int
    """In how many planes all parts begin and end: the fewer, the more of them are in line."""
    odd: tuple[int, int, int, int]
    """Parts that then lie the other way round than their names say, those that have no like on the other side, unlike
    steps from one part that is counted to the next, and cuts in which nothing lies."""
    lone_screws: int
    """Screws that have no like on the other side."""


class _Cause(NamedTuple):
    """What one slip may be the cause of: findings whose parts hang together."""

    identities: frozenset[Identity]
    names: frozenset[str]
    amounts: tuple[Fraction, ...]
    unjoined: tuple[str, ...]
    """Parts that hang on nothing."""
    slides: bool
    """Whether some may slide."""
    wrong: bool
    """Whether more lies wrong than what is not told."""


def by_one_slip(context: Context, finding: Finding, usual: Iterator[Proposal]) -> Iterator[Proposal]:
    """The ways to tell one line otherwise that explain what lies wrong with the parts of a finding, and those of its
    rule that do so as well: one alone is what was meant; of several the builder says which, unless the rule tells."""
    cause = _cause_of(context, finding)
    there = tuple(each.identity for each in context.inspection.findings)
    if cause is None and _may_face_otherwise(finding):
        turned, first = _turned(context.piece, finding, there), [*islice(usual, 1)]
        usual = chain(first, usual)
        if first and all(first[0].edits != way.edits for way in turned):
            yield from turned
            usual = (way._replace(asks=way.asks or bool(turned)) for way in usual)
    slips = _slips(context.piece, there, cause) if cause is not None else {}
    if cause is None or not any(finding.identity in each.gone for each in slips.values()):
        yield from usual
        return
    told: dict[object, Proposal] = {}
    ways, unproved = dict(slips), list[Proposal]()
    for way in islice(usual, MOST_USUAL):
        found = _explained(context.piece, way.says, way.edits, there, cause)
        if found is None:
            # What brings something else with it, and comes first, is mended along with that.
            unproved += [way] if not way.asks and not told else []
        elif found[0] in slips or not found[1].turns:
            told.setdefault(found[0], way)
            ways.setdefault(*found)
    ways = {lies: each for lies, each in ways.items() if finding.identity in each.gone}
    sure, ordered = _ranked(ways, slips, told, {each.rule for each in cause.identities})
    for lies in ordered:
        slip = ways[lies]
        asks = lies != sure or (slip.measure and lies in told and told[lies].asks)
        if asks and lies is ordered[0]:
            yield from unproved[:1]
        as_slip = Proposal(slip.edits, slip.says, moves=True, followed=True, larger=True)
        yield told.get(lies, as_slip)._replace(asks=asks)


@of_piece
def _turned(piece: Piece, finding: Finding, there: tuple[Identity, ...]) -> tuple[Proposal, ...]:
    """The parts of a joint turned to face another way, where nothing at all is found then: asked."""
    told = frozenset(each.identity for each in (finding, *finding.also) if each.rule == finding.rule)
    cause = _Cause(told, frozenset(finding.parts), (), (), False, True)
    said, ways = piece.plan.provenance, list[Proposal]()
    for name in finding.parts:
        for statement in (said.parts[name].statement, *said.parts[name].statement.details):
            node = statement.node
            laid = (
                otherwise_laid(piece, statement, node)
                if isinstance(node, PartLine | PartDetails) and said.is_own(statement)
                else ()
            )
            for edit in laid:
                found = _explained(piece, "", (edit,), there, cause)
                if found is not None and not any(found[1].left):
                    ways.append(Proposal((edit,), f"write `{edit.new}` for {name}", moves=True, asks=True))
    return tuple(ways)


def _ranked(
    ways: Mapping[object, Explanation],
    slips: Collection[object],
    told: Mapping[object, Proposal],
    rules: set[str],
) -> tuple[object | None, Sequence[object]]:
    """The one way that is meant, if that can be known; and those that are likely, the likeliest first: that leave least
    to find, by which parts lie as they are named and both sides are alike."""
    best = min((each.left, each.odd) for each in ways.values())
    likely = [lies for lies, each in ways.items() if (each.left, each.odd) == best]
    again = [lies for lies in likely if ways[lies].again]
    again = [
        lies for lies in again if ways[lies].lone_screws == min(ways[each].lone_screws for each in again)
    ]
    words = [lies for lies in likely if lies in slips and not ways[lies].measure]
    # A whole line that is told again for another part is a guess, however well that is in line then.
    single = [lies for lies in words if not ways[lies].again]
    fewest = min((ways[lies].planes for lies in single), default=0)
    likely = [lies for lies in likely if lies not in single or ways[lies].planes == fewest]
    words = [lies for lies in words if lies in likely]
    # One word is meant sooner than more, that the rule may be as sure of.
    known = [
        lies
        for lies, way in told.items()
        if not way.asks and lies in ways
        if lies in likely
        or ways[lies].odd < best[1]
        or (ways[lies].left == best[0] and not words and lies not in slips)
    ]
    told_too = [lies for lies in told if lies in likely]
    if words:
        known = [lies for lies in known if lies in slips]
        known = known if len(known) == 1 else [lies for lies in known if lies in again]
    # What a part like it has is meant sooner.
    sure = [lies for lies in known if lies in again][:1] or (again if len(again) == 1 else known[: not again])
    # What runs into another does not any more wherever it lies: that explains little.
    weak = rules == {"overlap"}
    if not sure and len(likely) == 1:
        # Just clear of what it ran into, or just on what it lay past, is the least that it is moved: meant where all is
        # alike on both sides.
        slip = ways[likely[0]]
        least = (slip.measure and "overlap" in rules) or (slip.unheard and rules == {"apart"})
        sure = [] if least and likely[0] in slips and any(best[1][:2]) else likely
    elif not sure and not weak and all(ways[lies].measure for lies in likely if lies not in words[:1]):
        # Some number heals whatever lies apart, a word seldom does.
        sure = words
    # What is told again for another part, and then lies as no name tells, is a guess.
    sure = [lies for lies in sure if not (ways[lies].again and ways[lies].odd[0])]
    first = [*told_too, *words] if weak else [*words, *told_too]
    return next(iter(sure), None), list(dict.fromkeys([*sure, *first, *likely]))


def _cause_of(context: Context, finding: Finding) -> _Cause | None:
    """The findings of where parts lie that hang together with one, and with it; ``None`` where there are none."""
    wrong = [each for each in context.inspection.findings if _by_places(each)]
    names, found = set(_parts(finding)), list[Finding]()
    while more := [each for each in wrong if each not in found and not names.isdisjoint(_parts(each))]:
        found += more
        names.update(name for each in more for name in _parts(each))
    if not found:
        return None
    amounts = (
        context.exact(abs(each.measured) / share)
        for each in found
        if each.measured and each.unit == "in"
        # What reaches farther at one side is so much too long, or lies half of it off.
        for share in ((1, 2) if isinstance(each.fact, UnlikeSides) and len(each.parts) == 1 else (1,))
    )
    untold = [each for each in found if each.rule == "unjoined"]
    free = [each for each in found if isinstance(each.fact, FreeAxis)]
    return _Cause(
        frozenset(each.identity for each in found),
        frozenset(names),
        tuple(dict.fromkeys(amounts)),
        tuple(dict.fromkeys(name for each in untold for name in each.parts)),
        bool(free),
        len(found) > len(untold) + len(free),
    )


def _lacking(piece: Piece, cause: _Cause) -> list[Part]:
    """The parts of a cause that may lack a join or a cut: what hangs on nothing, what has fewer than one like it."""
    parts, graph = [piece.plan.part_by_name[name] for name in sorted(cause.names)], piece.graph
    if cause.slides:
        parts = list(piece.plan.parts)

    def many(part: Part) -> tuple[int, int]:
        return len(graph.joins_of(part)), len(part.removals)

    fewer = (
        part
        for part in parts
        for theirs in [many(other) for other in piece.plan.parts if are_twins(part, other)]
        if any(mine < its for mine, its in zip(many(part), theirs, strict=True))
    )
    return list(dict.fromkeys([*map(piece.plan.part_by_name.__getitem__, cause.unjoined), *fewer]))


def _by_places(finding: Finding) -> bool:
    """Whether it is found because parts, or their cuts, do not lie where the plan's other lines have them."""
    unmet = isinstance(finding.fact, Tip) and finding.fact.beside
    if finding.kind == "no-wood":
        return False  # It is cut away on purpose.
    placed = hangs_on(finding.rule, By.PLACING | By.LIKENESS) or isinstance(finding.fact, PoorFit) or unmet
    return placed and finding.grade > Grade.ADVICE


def _may_face_otherwise(finding: Finding) -> bool:
    """Whether it is found of the holes and screws of a joint, that may be wrong for how the wood faces: what comes out
    at one joint alone is too long whichever way it does."""
    by_screws = hangs_on(finding.rule, By.PLACES | By.SCREWS) or finding.rule == "fastener-fit"
    long = finding.rule == "tip-through" or finding.kind == "comes-out"
    return by_screws and (not long or bool(finding.also))


def _parts(finding: Finding) -> Iterator[str]:
    yield from finding.parts
    if isinstance(finding.fact, Misfit):
        yield from (part.name for part in finding.fact.loop_parts)


@of_piece
def _slips(piece: Piece, there: tuple[Identity, ...], cause: _Cause) -> dict[object, Explanation]:
    """The slips that take away all of a cause and bring nothing, one for each way in which all then lies."""
    found: dict[object, Explanation] = {}
    lacking = _lacking(piece, cause)
    lacks = chain(cuts_told_again(piece, lacking), joins_told_again(piece, lacking))
    once = told_otherwise(piece, cause.names, cause.amounts) if cause.wrong else iter(())
    every = [((True, *each) for each in lacks), ((False, *each) for each in once)]
    if not (cause.unjoined or cause.slides):
        every.reverse()  # What lies wrong is told wrong sooner than something else is missing.
    for again, says, edits in islice(chain(*every), MOST_TRIED):
        explained = _explained(piece, says, edits, there, cause, again=again)
        if explained is not None:
            found.setdefault(*explained)
        if len(found) == MOST_FOUND:
            break
    return found


def _explained(
    piece: Piece, says: str, edits: Edits, there: tuple[Identity, ...], cause: _Cause, *, again: bool = False
) -> tuple[object, Explanation] | None:
    """How all lies once a line is told otherwise, where that explains a cause, and what is left then."""
    piece.tick()
    source = piece.plan.provenance.tree.source
    then = _laid(piece, PlanText(source.path, apply(source.text, edits)), there, cause)
    left = found_in(then) if then is not None else []
    now = Counter(each.identity for each in left)
    if then is None or brought(left, Counter(there), unsettled=True) or not cause.identities.isdisjoint(now):
        return None
    measure = all(edit.new[:1].isdigit() for edit in edits)
    gone = frozenset(each for each, many in Counter(there).items() if now[each] < many)
    grades = Counter(each.grade for each in left)
    told = (grades[Grade.STOP], grades[Grade.CAUTION], grades[Grade.ADVICE])
    images = {across: without_image(then, across) for across in (Axis.X, Axis.Y)}
    return _lying(then), Explanation(
        edits,
        says,
        gone,
        told,
        again,
        _turns(piece) != _turns(then),
        measure,
        measure and {edit.new for edit in edits}.isdisjoint(source.text.split()),
        planes(then),
        (
            named_unlike(then),
            sum(len(each) for each, _ in images.values()),
            unlike_steps(then),
            idle_cuts(then),
        ),
        sum(lone_screws(then, across, both) for across, (_, both) in images.items()),
    )


def _laid(piece: Piece, source: PlanText, there: Sequence[Identity], cause: _Cause) -> Piece | None:
    """The piece of a text in which nothing of a cause is left, and nothing else lies wrong; else ``None``."""
    plan, mistakes = understand(source, piece.settings)
    if plan is None or mistakes:
        return None
    then = Piece(plan, piece.settings, piece.tick)
    if not closes(then.graph) or _cut_twice(then) > _cut_twice(piece):
        return None
    return then if _meets(then, there, cause) and not _lies_wrong(then, there, cause) else None


def _cut_twice(piece: Piece) -> int:
    """How many ends are cut to a point: never by a slip of the pen."""
    return sum(len(part.cuts) - len({each.end for each in part.cuts}) for part in piece.plan.parts)


def _lies_wrong(then: Piece, there: Sequence[Identity], cause: _Cause) -> bool:
    """Whether something of a cause is left, or more lies wrong: asked before all else, of what is most likely to."""
    judging, found, allowed = judge(then.settings), Counter[Identity](), Counter(there)
    asked = dict.fromkeys([*judging.names(by=By.PLACING), *(each.rule for each in cause.identities)])
    for each in judging.ask(then, *(name for name in asked if name in judging)):
        found[each.identity] += 1
        if each.identity in cause.identities or found[each.identity] > allowed[each.identity]:
            return True
    return False


def _meets(then: Piece, there: Sequence[Identity], cause: _Cause) -> bool:
    """Whether no parts lie apart that did not, and none of a cause: known long before it is known why they do."""
    apart = {each.place for each in there if each.rule == "apart" and each not in cause.identities}
    return all(
        then.contact(join).patches
        for join in then.plan.joins
        if join.name not in apart and then.placement.fixed_together(*join.parts)
    )


def _lying(piece: Piece) -> object:
    """Where all parts, cuts and screws lie, and what is joined: alike for two texts that say the same piece."""
    bodies = [(part, piece.body(part).bounds) for part in piece.plan.parts]
    corner = [min(bounds.low[axis] for _, bounds in bodies) for axis in range(3)]

    def at(point: Sequence[float]) -> tuple[float, ...]:
        return tuple(round(float(it - low), 3) for it, low in zip(point, corner, strict=True))

    return (
        frozenset(
            (part.name, part.size, _cut_away(part), part.cuts, at(box.low), at(box.high))
            for part, box in bodies
        ),
        frozenset((join.name, *(at(screw.tip) for screw in piece.screws(join))) for join in piece.plan.joins),
    )


def _turns(piece: Piece) -> dict[str, Fraction]:
    return {each.name: abs(each.turn.angle) for each in piece.plan.parts if each.turn is not None}


def _cut_away(part: Part) -> frozenset[object]:
    removed = ((each.low, each.high, each.planes) for each in part.removals)
    return frozenset([*removed, *((each.kind, each.planes) for each in part.trims)])

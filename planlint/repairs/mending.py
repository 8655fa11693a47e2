"""Mending a plan: proposals tried together, proved by inspection, kept if all that they touch is better.

The first choice for every finding is tried at once. What did not take its finding away, or brought a new one, goes on
to its next choice, until what is left is right together. Findings that could only be seen then, or whose edits
clashed with others, are mended on the mended text. No text is tried twice and each step takes findings away
without adding one, so it ends.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from math import inf
from typing import NamedTuple

from planlint.budget.alarm import Stopwatch, TimeSpent
from planlint.checks.registry import By, hangs_on
from planlint.findings.finding import Finding, Identity, Repair
from planlint.inspection.inspection_result import Inspection
from planlint.model.workshop import Settings
from planlint.repairs.edit_extent import Extent, Extents
from planlint.repairs.edit_proof import Inspector, Proof, prove
from planlint.repairs.follow_up_repairs import with_what_follows
from planlint.repairs.joint_trial import both_ends_alike
from planlint.repairs.mended_plan import Mending, MendStep, RepairMade
from planlint.repairs.placing_proof import waiting
from planlint.repairs.proposals import proposals
from planlint.repairs.repair_context import MOST_TRIED, Context, Proposal
from planlint.text.edits import TextEdit, apply, clash
from planlint.text.source import PlanText

MOST_INSPECTIONS = 40
"""Inspections that mending one plan may cost; a usual one takes two to four. Basis: own judgement."""
LAST_PROOF = 0.5
"""Share of the time that is had once more to prove what stood when it ran out. Basis: own judgement."""
MOST_ALONE = 2
TRIED_ALONE = 3
"""Inspections of changes that are made one by one, before each is proved alone, and ways to drill that are tried for a
finding of them. Basis: measured; on 107 plans more of both found nothing more."""
MOST_PROOFS = 3
"""Proposals for one finding that are proved on one text. Basis: own judgement; the least harm comes first."""

_Wanted = Callable[[Finding], bool]
Pick = Callable[[MendStep], tuple[RepairMade, ...] | None]
"""Which of the changes of a step to keep; ``None`` to stop there."""
_Refusal = tuple[Identity, frozenset[tuple[str, str, str]]]
"""A repair that the builder does not want: its finding, and of each edit the statement, the words now and then."""


def mend(
    source: PlanText,
    settings: Settings | None = None,
    wanted: _Wanted = lambda _: True,
    pick: Pick = lambda step: step.changes,
    most: int = MOST_INSPECTIONS,
    asked: bool = False,
    seconds: float = inf,
    known: Iterable[Inspection] = (),
) -> Mending:
    """Mend what can be mended for certain. A plan that cannot be read or inspected whole is left as it is.

    ``asked``: a builder answers for each change, so those that only a builder can say are among them. After so many
    ``seconds`` of work, the builder's answers not counted, what is mended so far is given; raises ``TimeSpent`` where
    the plan is not even inspected by then. What is ``known`` is not inspected again.
    """
    inspector, clock = Inspector(settings, *known), Stopwatch(seconds)
    with clock.running():
        before = after = inspector.inspect(source)
    steps: list[MendStep] = []
    refused: set[_Refusal] = set()
    hopeless: set[Identity] = set()
    spent = False
    while after.whole and inspector.inspections < most and not spent:
        standing: list[RepairMade] = []
        task = _StepTask(inspector, wanted, most, asked, refused, hopeless, standing)
        step: MendStep | None = None
        try:
            with clock.running():
                step = _step(task, after)
                if step is None and hopeless:
                    # What was hopeless on an earlier text may not be on this one.
                    hopeless.clear()
                    step = _step(task, after)
        except TimeSpent:
            spent = True
            with suppress(TimeSpent), Stopwatch(seconds * LAST_PROOF).running():
                step = _part_of(inspector, MendStep(after, after, tuple(standing)), tuple(standing))
        if step is None:
            break
        kept = pick(step)
        if kept is None:
            break
        if kept != step.changes:
            refused.update(
                (finding.identity, _deed(step.before, change.edits))
                for change in step.changes
                if change not in kept
                for finding in change.findings
            )
            step = _part_of(inspector, step, kept)
            if step is None:
                continue
        steps.append(step)
        after = step.after
    return Mending(before, after, tuple(steps), inspector.inspections, spent)


def _part_of(inspector: Inspector, step: MendStep, kept: tuple[RepairMade, ...]) -> MendStep | None:
    """The changes kept, if they are right without the others too."""
    if not kept:
        return None
    proof = prove(inspector, step.before, _edits(kept))
    good = proof.clean and all(_gone(proof, change.findings) for change in kept)
    return MendStep(step.before, proof.after, kept) if good else None


def _edits(changes: tuple[RepairMade, ...]) -> list[TextEdit]:
    return [edit for change in changes for edit in change.edits]


def right_alone(inspection: Inspection, settings: Settings) -> Iterator[RepairMade]:
    """Changes of a plan inspected whole, each right without the others: an editor makes one of them, and no more."""
    inspector = Inspector(settings, inspection)
    step = _step(
        _StepTask(inspector, lambda _: True, MOST_ALONE, False, set(), set(), [], TRIED_ALONE), inspection
    )
    if step is not None:
        for change in step.changes:
            if len(step.changes) == 1 or _part_of(inspector, step, (change,)):
                yield change


# ---------------------------------------------------------------- one step


def _sure_first(ways: Iterator[Proposal], *, asked: bool) -> Iterator[Proposal]:
    """Proposals with those that only the builder can say behind the others, or left out."""
    later = []
    for way in ways:
        if not way.asks:
            yield way
        elif asked:
            later.append(way)
    yield from later


class _ToSettle:
    """A finding with its proposals, and which of them is its choice now."""

    def __init__(self, context: Context, finding: Finding, *, asked: bool) -> None:
        self.finding = finding
        self.choice = 0
        self._source = _sure_first(proposals(context, finding), asked=asked)
        self._found: list[Proposal] = []

    @property
    def proposal(self) -> Proposal | None:
        while len(self._found) <= self.choice < MOST_PROOFS:
            following = next(self._source, None)
            if following is None:
                return None
            self._found.append(following)
        return self._found[self.choice] if self.choice < len(self._found) else None

    def follow(self, longer: Proposal) -> None:
        """The choice now with what has to follow it, before the next choice."""
        self._found[self.choice] = longer


class _TriedRepair:
    """A proposal that is tried, and the cases that it is to settle."""

    def __init__(self, proposal: Proposal, case: _ToSettle, extent: Extent) -> None:
        self.proposal = proposal
        self.cases = [case]
        self.extent = extent

    def follow(self, proof: Proof, made: list[TextEdit], brought: list[Finding]) -> bool:
        """Take what follows from this proposal into it: whether that can be tried, once for each."""
        if self.proposal.followed:
            return False
        longer = with_what_follows(self.proposal, made, proof.after, brought)
        if longer is None:
            return False
        for case in self.cases:
            case.follow(longer)
        return True


class _StepTask(NamedTuple):
    """What is asked of one step, and what is known from those before it."""

    inspector: Inspector
    wanted: _Wanted
    most: int
    asked: bool
    refused: set[_Refusal]
    hopeless: set[Identity]
    """Findings whose proposals failed on an earlier text: not tried again."""
    standing: list[RepairMade]
    """What was not refuted when last tried."""
    most_tried: int = MOST_TRIED
    """Ways to drill, for one finding."""


def _step(task: _StepTask, before: Inspection) -> MendStep | None:
    """The largest set of changes found that is right together, or ``None``."""
    context, inspector = Context(before, task.most_tried), task.inspector
    extents = Extents(context)
    # What follows from another is judged anew once that is gone.
    following = {id(each) for told in before.told for each in told.beside}
    findings = sorted(
        (each for each in before.findings if task.wanted(each) and id(each) not in following),
        key=lambda each: -each.grade,
    )
    cases = [
        _ToSettle(context, finding, asked=task.asked)
        for finding in findings
        if finding.identity not in task.hopeless
    ]
    twins = _twins(context, cases)
    while inspector.inspections < task.most:
        settled = {id(case.finding) for case in cases if case.proposal}
        waits = waiting([each for each in findings if not task.asked and id(each) not in settled])
        ready = [case for case in cases if not waits(case.finding)]
        chosen = _choose(before, extents, ready, task.refused)
        if not chosen:
            return None
        edits = [edit for each in chosen for edit in each.proposal.edits]
        if inspector.tried(apply(before.source.text, edits)):
            _next(chosen[-1])
            continue
        proof = prove(inspector, before, edits)
        failed = _failed(proof, chosen)
        if not failed:
            task.hopeless.update(
                case.finding.identity for case in cases if case.choice and case.proposal is None
            )
            return _needed(task, MendStep(before, proof.after, tuple(_change(each) for each in chosen)))
        failing = {id(case) for each, _ in failed for case in each.cases}
        task.standing[:] = [_change(each) for each in chosen if id(each.cases[0]) not in failing]
        for each, brought in failed:
            if brought and each.follow(proof, edits, brought):
                continue
            for case in each.cases:
                twin = twins.get(id(case))
                # What one end of a part cannot have its other end shall not have either.
                if twin is not None and id(twin) not in failing and twin.proposal:
                    there, here = (_words(before, way.edits) for way in (twin.proposal, each.proposal))
                    twin.choice += there == here
            _next(each)
    return None


def _needed(task: _StepTask, step: MendStep) -> MendStep:
    """The step without the changes whose findings the others take away by themselves.

    Parts moved may do so for any joint: that is proved for all changes at once. Another change may for its own joint,
    or where what stands in the way is that of another.
    """
    inspector = task.inspector
    moving = tuple(change for change in step.changes if change.moves)
    if moving and len(moving) < len(step.changes) and inspector.inspections < task.most:
        moved = prove(inspector, step.before, _edits(moving))
        rest = tuple(each for each in step.changes if each.moves or not _gone(moved, each.findings))
        step = _part_of(inspector, step, rest) or step
    for change in reversed(step.changes):
        others = tuple(each for each in step.changes if each is not change)
        if inspector.inspections < task.most and any(_may_spare(each, change) for each in others):
            without = _part_of(inspector, step, others)
            if without and _gone(prove(inspector, step.before, _edits(others)), change.findings):
                step = without
    return step


def _may_spare(other: RepairMade, change: RepairMade) -> bool:
    joints = {finding.joint for finding in change.findings}
    names = {*joints, *(name for finding in change.findings for name in finding.parts)}
    here = any(finding.joint in joints for finding in other.findings) or not names.isdisjoint(other.also)
    between = any(hangs_on(finding.rule, By.ROOM) for finding in change.findings)
    return here or between or (other.moves and change.moves)


def _twins(context: Context, cases: list[_ToSettle]) -> dict[int, _ToSettle]:
    """For each case the one of the same rule at the other end of the same part, where the pockets there are alike."""
    found: dict[int, _ToSettle] = {}
    by_rule: dict[tuple[str, str | None], _ToSettle] = {
        (case.finding.rule, case.finding.joint): case for case in cases
    }
    for case in cases:
        join = context.join_of(case.finding)
        for other in context.piece.graph.joins_of(join.part_a) if join is not None else ():
            twin = by_rule.get((case.finding.rule, other.name))
            if join is not None and twin is not None and both_ends_alike(join, other):
                found[id(case)] = twin
    return found


def _words(before: Inspection, edits: Iterable[TextEdit]) -> list[tuple[str, str]]:
    """What edits make of what, in the order of the text: the same for the same repair at two places."""
    return [(before.source.text[slice(*edit.span)], edit.new) for edit in sorted(edits)]


def _deed(before: Inspection, edits: Iterable[TextEdit]) -> frozenset[tuple[str, str, str]]:
    """The same, with the statement that each edit stands in or follows: that holds when other lines have changed."""
    text = before.source.text
    lines = [reversed(text[: edit.span.start].split("\n")) for edit in sorted(edits)]
    heads = [next((line for line in each if line[:1].strip()), "") for each in lines]
    return frozenset((head, *words) for head, words in zip(heads, _words(before, edits), strict=True))


def _choose(
    before: Inspection, extents: Extents, cases: list[_ToSettle], refused: set[_Refusal]
) -> list[_TriedRepair]:
    """A proposal for each finding, as far as they can be made together: the worst findings choose first."""
    chosen: list[_TriedRepair] = []
    by_edits: dict[frozenset[TextEdit], _TriedRepair] = {}
    taken: set[TextEdit] = set()
    moving: set[str] = set()
    for case in cases:
        proposal = case.proposal
        while refused and proposal and (case.finding.identity, _deed(before, proposal.edits)) in refused:
            case.choice += 1
            proposal = case.proposal
        if proposal is None:
            continue
        edits = frozenset(proposal.edits)
        same = by_edits.get(edits)
        if same is not None:
            same.cases.append(case)
            continue
        extent = extents.of(proposal.edits, case.finding)
        if not clash(taken, edits) and not (proposal.moves and extent.names & moving):
            taken |= edits
            moving |= extent.names if proposal.moves else set()
            by_edits[edits] = _TriedRepair(proposal, case, extent)
            chosen.append(by_edits[edits])
    return chosen


def _next(chosen: _TriedRepair) -> None:
    for case in chosen.cases:
        case.choice += 1


def _gone(proof: Proof, findings: tuple[Finding, ...]) -> bool:
    settled = Counter(finding.identity for finding in findings)
    return proof.after.whole and all(
        proof.left[same] <= proof.there[same] - many for same, many in settled.items()
    )


def _failed(proof: Proof, chosen: list[_TriedRepair]) -> list[tuple[_TriedRepair, list[Finding]]]:
    """The proposals that did not do what they should, and those that brought something new, with what they brought;
    none only if all is right."""
    if not proof.after.whole:
        return [(each, []) for each in _unreadable(proof, chosen)]
    useless = [each for each in chosen if not _gone(proof, tuple(case.finding for case in each.cases))]
    brought: dict[int, list[Finding]] = {}
    for finding in proof.new:
        blamed = _blamed(finding, chosen)
        if blamed and not any(each in useless for each in blamed):
            # Of those tried least the one for the least finding: the others then stay as they are.
            one = min(reversed(blamed), key=lambda each: min(case.choice for case in each.cases))
            brought.setdefault(chosen.index(one), []).append(finding)
    return [(each, []) for each in useless] + [(chosen[number], found) for number, found in brought.items()]


def _unreadable(proof: Proof, chosen: list[_TriedRepair]) -> list[_TriedRepair]:
    """Those whose words stand on a line that cannot be read; all, where that does not tell."""
    text = proof.after.source.text
    lines = {text.count("\n", 0, mistake.span.start) for mistake in proof.after.unread}
    shift = 0
    found: list[_TriedRepair] = []
    edits = sorted((edit, number) for number, each in enumerate(chosen) for edit in each.proposal.edits)
    for edit, number in edits:
        first = text.count("\n", 0, max(0, edit.span.start + shift))
        shift += len(edit.new) - (edit.span.end - edit.span.start)
        if lines & set(range(first, first + edit.new.count("\n") + 2)):
            found.append(chosen[number])
    return found or chosen


def _blamed(finding: Finding, chosen: list[_TriedRepair]) -> list[_TriedRepair]:
    """Who may have brought a new finding: what touches its joint, else its parts, else whatever moves parts."""
    names = set(finding.parts)
    ways: tuple[Callable[[_TriedRepair], bool], ...] = (
        lambda each: finding.joint is not None and finding.joint in each.extent.names,
        lambda each: bool(names & each.extent.names),
        lambda each: each.proposal.moves,
        lambda _: True,
    )
    return next((found for way in ways if (found := [each for each in chosen if way(each)])), [])


def _change(chosen: _TriedRepair) -> RepairMade:
    findings = tuple(case.finding for case in chosen.cases)
    own = {name for finding in findings for name in (finding.joint, *finding.parts) if name}
    also = tuple(name for name in chosen.extent.ordered if name not in own)
    way = chosen.proposal
    return RepairMade(findings, Repair(way.says, way.edits, sure=True), also, way.moves, way.asks)

"""One plan through the whole street: read, worked out, placed, checked."""

import gc
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace

from planlint.budget.alarm import TimeSpent
from planlint.checks.acceptance import apply_acceptances
from planlint.checks.registry import By, Judge, hangs_on
from planlint.checks.shared_causes import cause_of
from planlint.findings.finding import Finding, Grade
from planlint.findings.rules_in_force import Rule, in_force, rule_book
from planlint.geometry.colliding_rows import given_way
from planlint.geometry.piece import Piece
from planlint.geometry.placed_parts import no_hurry
from planlint.inspection.check_run import Clock, check_all
from planlint.inspection.inspection_result import About, Inspection, Trouble, in_text, our_fault
from planlint.language.example_lengths import told_in_inches
from planlint.language.reader import read
from planlint.model.elaborate import elaborate
from planlint.model.plan import Plan
from planlint.model.workshop import Settings
from planlint.plugins.own_rules import every_rule
from planlint.rulebook.grades import OFF
from planlint.text.measures import in_inches
from planlint.text.source import Mistake, PlanText, Span
from planlint.wording.words_by_rule import worded

BUDGET = 60.0
"""Seconds that one plan may take before its inspection is given up. Basis: our own judgement."""


def inspect_text(source: PlanText, settings: Settings | None = None, budget: float = BUDGET) -> Inspection:
    """Inspect one plan. Never raises for anything in the text: what goes wrong on our side is in ``crashed``."""
    with _collector_at_rest():
        return _inspect(source, settings, budget)


@contextmanager
def _collector_at_rest() -> Iterator[None]:
    """No search for rings of garbage meanwhile: a plan makes none to speak of, and each search walks all its parts.

    Measured on 3,000 parts: an eighth of the time.
    """
    awake = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if awake:
            gc.enable()


def _inspect(source: PlanText, settings: Settings | None, budget: float) -> Inspection:
    clock = Clock(budget)
    settings = settings or Settings()
    try:
        plan, mistakes = understand(source, settings)
        rules = every_rule()
    except Exception as problem:
        return Inspection(source.path, source, crashed=(our_fault("reading", problem),))
    if mistakes or plan is None:
        nothing = Mistake(Span(0, len(source.text)), "nothing in this file could be read as a plan")
        unread = tuple(dict.fromkeys(sorted(mistakes))) or (nothing,)
        return Inspection(source.path, source, unread=unread)
    return _check(source, plan, settings, rules, clock)


def understand(source: PlanText, settings: Settings) -> tuple[Plan | None, list[Mistake]]:
    """The plan that a text says, and the mistakes in it; unless there are none the plan is only part of it."""
    tree, mistakes = read(source)
    plan, more = elaborate(tree, settings)
    # What lies within a stretch that is to be written anew is one mistake with that.
    anew = [(span.start, span.end) for span, _ in mistakes]
    told = [
        *mistakes,
        *(it for it in more if not any(a <= it.span.start <= it.span.end <= b for a, b in anew)),
    ]
    if told and plan is not None and not in_inches(plan.unit):
        lines = (source.line(source.position(each.span.start).line) for each in told)
        told = [
            each._replace(says=told_in_inches(each.says, line))
            for each, line in zip(told, lines, strict=True)
        ]
    return plan, told


def _check(
    source: PlanText, plan: Plan, settings: Settings, rules: Mapping[str, Rule], clock: Clock
) -> Inspection:
    try:
        piece = Piece(plan, settings, clock.tick)
        _ = piece.placement
    except Exception as problem:  # Every check would fail on it: said once.
        return Inspection(source.path, source, crashed=(our_fault("placing the parts", problem),))

    piece = _laid_out(piece, clock)
    standing, accepted, crashed = _judged(piece, rules, clock, settings)
    # What the whole was asked may hold the piece itself: a ring that would wait for the collector.
    piece.facts.piece.clear()
    piece.tick = no_hurry  # What is asked of the piece from here on is not held to the plan's time.
    if len(standing) > 1:
        # What a workshop's own rule says in its own words is told as often as it says so.
        book = rule_book()
        standing = [
            replace(finding, cause=cause_of(piece, finding)) if finding.rule in book else finding
            for finding in standing
        ]
    standing = [_with_lasting_name(plan, worded(piece, finding)) for finding in standing]
    accepted = [_with_lasting_name(plan, finding) for finding in accepted]
    return Inspection(
        source.path,
        source,
        findings=tuple(sorted(standing, key=in_text)),
        accepted=tuple(sorted(accepted, key=in_text)),
        crashed=tuple(crashed),
        about=About(plan.title, plan.unit, len(plan.parts), len(plan.joins)),
        piece=piece,
    )


def _laid_out(piece: Piece, clock: Clock) -> Piece:
    """The piece with rows given way to one another; as it is where that fails, and each check then tells of it."""
    try:
        return given_way(piece)
    except TimeSpent:
        if not clock.over:
            raise
    except Exception:
        pass
    return piece


def _with_lasting_name(plan: Plan, finding: Finding) -> Finding:
    joints = (plan.join_by_name.get(name) for name in (finding.joint, finding.against) if name is not None)
    return replace(finding, lasting=" + ".join(sorted(join.lasting for join in joints if join)))


def found_in(piece: Piece, settings: Settings | None = None) -> list[Finding]:
    """What every rule in force finds in a piece that has been placed, less what its plan accepts; for trials.

    ``settings`` may grade rules otherwise than those of the piece.
    """
    with _collector_at_rest():
        piece = given_way(piece)
        found, _, _ = _judged(piece, every_rule(), Clock(BUDGET), settings or piece.settings)
    piece.facts.piece.clear()
    return found


def _judged(
    piece: Piece, rules: Mapping[str, Rule], clock: Clock, settings: Settings
) -> tuple[list[Finding], list[Finding], list[Trouble]]:
    """What is found, what is found and accepted, and what went wrong."""
    off = frozenset(name for name, grade in settings.grades.items() if grade == OFF)
    judge = Judge(in_force(rules, settings))
    checked = check_all(piece, judge, clock)
    found = checked.found
    if settings.grades:
        found = [_regraded(finding, judge.rules[finding.rule].grade, settings.grades) for finding in found]
    unchecked = off.union(rule for trouble in checked.crashed for rule in trouble.rules)
    waiting: set[str] = set()
    if piece.plan.acceptances and any(hangs_on(finding.rule, By.PLACING) for finding in found):
        waiting = {
            name
            for join in piece.plan.joins
            if not piece.trusted(join)
            for name in (join.name, *(part.name for part in join.parts))
        }

    def unjudged(rule: str, places: Iterable[str]) -> bool:
        """What is accepted in joints that do not fit yet can be looked for only when they do."""
        return rule in unchecked or not (waiting.isdisjoint(places) or hangs_on(rule, By.PLACING))

    standing, accepted = apply_acceptances(piece.plan, found, judge.rules, unjudged)
    return standing, accepted, checked.crashed


def _regraded(finding: Finding, most: Grade, grades: Mapping[str, str]) -> Finding:
    """Where a shop graded a rule, its milder findings are no graver than that."""
    return replace(finding, grade=most) if finding.rule in grades and finding.grade > most else finding

"""A workshop's own rule that fails is told once in a run, with the first plan, and left out of all plans behind it.

One that is not there or cannot be used is told of the run, and of no plan.
"""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace

from planlint.findings.finding import Finding
from planlint.inspection.inspection_result import ABSENT, FAILED, Inspection, Trouble
from planlint.model.workshop import Settings
from planlint.rulebook.grades import OFF

Dropped = dict[str, Trouble]
"""Own rules that failed in a run, each with what was told of it. A process of ours keeps one for all its plans: they
come to it in their order, so nothing is left out before the plan that tells it."""


def rules_off(settings: Settings, dropped: Dropped) -> Settings:
    """Settings that have rules off which failed."""
    return (
        replace(settings, grades={**settings.grades, **dict.fromkeys(dropped, OFF)}) if dropped else settings
    )


def with_dropped(inspection: Inspection, settings: Settings, dropped: Dropped) -> Inspection:
    """An inspection that tells what was left out of it; what failed in it is put to that."""
    left_out = [trouble for rule, trouble in dropped.items() if settings.grades.get(rule) != OFF]
    for trouble in inspection.crashed:
        if trouble.kind == FAILED:
            dropped.update((rule, trouble) for rule in trouble.rules if rule not in dropped)
    return replace(inspection, crashed=(*inspection.crashed, *left_out)) if left_out else inspection


def told_once(
    inspections: Iterable[tuple[str, Inspection]], troubles: list[Trouble]
) -> Iterator[tuple[str, Inspection]]:
    """The inspections of a run: each failure of an own rule with the first plan, and its findings until then.

    To ``troubles`` is added what is told of the run.
    """
    failed: set[str] = set()
    for name, inspection in inspections:
        if not (failed or inspection.crashed):
            yield name, inspection
            continue
        # The same for every plan with the same settings.
        nowhere = [each for each in inspection.crashed if each.kind == ABSENT]
        troubles += (each for each in nowhere if each not in troubles)
        here = [each for each in inspection.crashed if each.kind != ABSENT]
        crashed = tuple(each for each in here if not (each.own and failed.issuperset(each.rules)))
        left_out = failed.union(*(each.rules for each in nowhere))
        yield name, replace(_without_findings(inspection, left_out), crashed=crashed)
        failed.update(rule for each in here if each.own for rule in each.rules)


def _without_findings(inspection: Inspection, rules: Collection[str]) -> Inspection:
    """What other rules found: a process of its own may not have known yet that one of these failed."""
    if not rules:
        return inspection
    from planlint.checks.acceptance import STALE  # noqa: PLC0415 - a rule that fails is rare

    def stays(finding: Finding) -> bool:
        if (
            finding.rule == STALE
        ):  # Where a rule is not checked, nobody knows whether an `accept` line has a use.
            line = inspection.source.text[slice(*finding.span)].split()
            return not (line[1:2] and line[1] in rules)
        return finding.rule not in rules

    return replace(
        inspection,
        findings=tuple(filter(stays, inspection.findings)),
        accepted=tuple(filter(stays, inspection.accepted)),
        proved=tuple(each for each in inspection.proved if stays(each[0])),
        left_out=tuple(sorted(rules)),
    )

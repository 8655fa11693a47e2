"""A whole plan converted: what can be, tried and verified; what cannot, with the reason."""

from __future__ import annotations

from collections.abc import Iterable
from math import inf

from planlint.conversion.conversion_result import Conversion, joins_named, traditional
from planlint.conversion.conversion_run import Run
from planlint.conversion.drilling_trials import MOST_TRIES, Tries, Watch
from planlint.conversion.joins_like_others import WrittenOut, written_out
from planlint.conversion.joint_measures import bad_measures
from planlint.conversion.statement_sites import Sites
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection, our_fault
from planlint.model.workshop import Settings
from planlint.text.source import PlanText


def convert(
    source: PlanText,
    settings: Settings | None = None,
    only: Iterable[str] | None = None,
    *,
    thorough: bool = False,
    seconds: float = inf,
    watch: Watch | None = None,
) -> Conversion:
    """Convert the traditional joints of a plan, or those named in ``only``. Raises ``KeyError`` for an unknown name.

    ``thorough`` tries every way to drill, also where the likeliest is clean, so that all can be told. After so many
    ``seconds`` no more ways are tried, and what was best so far is taken.
    ``watch`` is told of each way as it is tried: how many, of how many at the most.

    Whatever the plan, the result is a plan that reads: a joint that would not come out as it was is refused.
    """
    settings, tries = settings or Settings(), Tries(MOST_TRIES, seconds, watch)
    before = inspect_text(source, settings)
    if before.piece is None:
        return Conversion(source, source, unread=before.unread, troubles=before.crashed, before=before)
    likes = written_out(before.piece.plan, settings)
    if likes is None:
        return _converted(source, settings, before, only, tries, None, thorough=thorough)
    apart = inspect_text(likes.text, settings)
    return likes.of_source(
        _converted(likes.text, settings, apart, only, tries, likes, thorough=thorough), source
    )


def _converted(
    source: PlanText,
    settings: Settings,
    before: Inspection,
    only: Iterable[str] | None,
    tries: Tries,
    likes: WrittenOut | None,
    *,
    thorough: bool,
) -> Conversion:
    """The same of a plan in which no join is told as another: ``likes`` tells those so again."""
    assert before.piece is not None
    sites = Sites(before.piece.plan)
    joins = [join for join in before.piece.plan.joins if traditional(join)]
    if only is not None:
        named = [joins_named(before.piece.plan, name) for name in only]
        joins = [join for join in joins if any(mate in each for mate in sites.mates(join) for each in named)]
    mistakes = bad_measures(before.piece, sites, joins)
    if mistakes:
        return Conversion(source, source, unread=tuple(mistakes), before=before, unit=sites.unit)
    try:
        return Run(
            source, settings, before, sites, joins, tries, likes, asked=only is not None, thorough=thorough
        ).run()
    except Exception as problem:
        trouble = our_fault("converting this plan", problem)
        return Conversion(source, source, troubles=(trouble,), before=before, unit=sites.unit)

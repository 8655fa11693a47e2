"""A whole plan converted: what can be, tried and verified; what cannot, with the reason."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from math import inf

from planlint.conversion.conversion_result import Conversion, ToldChange, joins_named, traditional
from planlint.conversion.conversion_run import Asked, ImagesDiffer, Run
from planlint.conversion.drilling_trials import MOST_TRIES, Tries, Watch
from planlint.conversion.images_told_apart import told_by_themselves
from planlint.conversion.joins_like_others import of_source, written_out
from planlint.conversion.joint_measures import bad_measures
from planlint.conversion.same_piece import parts_moved
from planlint.conversion.size_changes import Change
from planlint.conversion.statement_sites import Sites
from planlint.inspection.inspect_plan import inspect_text
from planlint.inspection.inspection_result import Inspection, our_fault
from planlint.model.plan import Plan
from planlint.model.workshop import Settings
from planlint.text.edits import apply
from planlint.text.sayings import Saying, named
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
    asked = Asked(settings, frozenset(only) if only is not None else None, tries, likes, thorough)
    if likes is None:
        return _with_images(source, before, asked)
    apart = inspect_text(likes.text, settings)
    return of_source(_with_images(likes.text, apart, asked), source, likes.text, likes.edits)


def _with_images(source: PlanText, before: Inspection, asked: Asked) -> Conversion:
    """The conversion; mirror images that stop being alike are told by themselves first, where they can be."""
    try:
        return _converted(source, before, asked, images_apart=True)
    except ImagesDiffer as differ:
        assert before.piece is not None
        edits = told_by_themselves(before.piece.plan, differ.names)
        apart = PlanText(source.path, apply(source.text, edits), source.byte_order_mark)
        again = inspect_text(apart, asked.settings)
        if not edits or again.piece is None or list(parts_moved(before.piece, again.piece, Change())):
            return _converted(source, before, asked, images_apart=False)
        conversion = of_source(_with_images(apart, again, asked), source, apart, edits)
        return _told_of(conversion, again.piece.plan, differ.names)


def _told_of(conversion: Conversion, plan: Plan, names: Mapping[str, str]) -> Conversion:
    """With a word, at the first joint of each such part, or of what it was the image of, that it is told by itself."""
    joints = list(conversion.joints)
    for name, other in names.items():
        made = [
            (place, plan.join_by_name[each.joint]) for place, each in enumerate(joints) if not each.refused
        ]
        at = [place for part in (name, other) for place, join in made if part in (p.name for p in join.parts)]
        for place in at[:1]:
            says = Saying(
                f"{named(name)} is told by itself now: it is the mirror image of {named(other)} no longer"
            )
            joints[place] = replace(joints[place], changes=(*joints[place].changes, ToldChange(says, "note")))
    return replace(conversion, joints=tuple(joints))


def _converted(source: PlanText, before: Inspection, asked: Asked, *, images_apart: bool) -> Conversion:
    """The conversion of a plan in which no join is told as another. Raises ``ImagesDiffer`` if ``images_apart``."""
    assert before.piece is not None
    sites, only = Sites(before.piece.plan), asked.only
    joins = [join for join in before.piece.plan.joins if traditional(join)]
    if only is not None:
        named = [joins_named(before.piece.plan, name) for name in only]
        # What the same words tell, in the mirror or of another unit, can only be converted with it.
        joins = [
            join
            for join in joins
            if any(mate in each for mate in (*sites.mates(join), *sites.in_units(join)) for each in named)
        ]
    mistakes = bad_measures(before, sites, joins)
    if mistakes:
        return Conversion(source, source, unread=tuple(mistakes), before=before, unit=sites.unit)
    run = Run(before, sites, joins, asked, images_apart=images_apart)
    try:
        return run.run()
    except ImagesDiffer:
        raise
    except Exception as problem:
        trouble = our_fault("converting this plan", problem)
        return Conversion(source, source, troubles=(trouble,), before=before, unit=sites.unit)

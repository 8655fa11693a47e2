"""Finds what is wrong in a furniture plan joined with pocket screws, before timber is cut.

>>> import planlint
>>> inspection = planlint.inspect("bench.plan")              # doctest: +SKIP
>>> for finding in inspection.findings:                      # doctest: +SKIP
...     print(finding.grade.word, finding.rule, finding.says)

``inspect`` gives findings, ``read_plan`` the plan itself: its parts and joins with exact sizes in inches.
What the two need is imported when they are called, so that ``import planlint`` costs next to nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from concurrent.futures import Executor
    from os import PathLike

    from planlint.inspection.inspection_result import Inspection
    from planlint.inspection.plan_files import Refused
    from planlint.model.plan import Plan
    from planlint.model.workshop import Settings
    from planlint.text.source import Mistake, PlanText, Position

__version__ = "0.1.0"
__all__ = ["PlanNotRead", "__version__", "inspect", "inspect_collection", "read_plan"]


class PlanNotRead(ValueError):  # noqa: N818 - says what happened, as the rest of the tool does
    """The plan has mistakes in it; ``mistakes`` holds each with its line and column (from 1)."""

    def __init__(self, path: str, mistakes: list[tuple[Position, Mistake]]) -> None:
        self.path = path
        self.mistakes = mistakes
        told = "; ".join(f"line {at.line}, column {at.column}: {mistake.says}" for at, mistake in mistakes)
        super().__init__(f"{path}: {told}")


def inspect(plan: str | PathLike[str], settings: Settings | None = None, *, path: str = "plan") -> Inspection:
    """Inspect one plan.

    ``plan`` is a path, or the plan itself as a string of several lines, which reports then call ``path``.
    ``settings`` are the shop's fixture, screws, viewers and limits; without them, those of the collection that a file
    lies in are in force. Never raises for anything in the plan or its file: what could not be read is in
    ``Inspection.unread``, what failed besides in ``Inspection.crashed``.
    """
    from planlint.inspection.inspect_plan import inspect_text  # noqa: PLC0415
    from planlint.inspection.inspection_result import Inspection, Trouble, refused  # noqa: PLC0415
    from planlint.inspection.plan_files import Refused  # noqa: PLC0415

    read = _source(plan, path)
    if isinstance(read, Refused):
        return refused(*read)
    try:
        return inspect_text(read, _settings(plan, read, settings))
    except ValueError as problem:
        return Inspection(read.path, read, crashed=(Trouble("settings", str(problem)),))


def inspect_collection(
    paths: str | PathLike[str] | Iterable[str | PathLike[str]],
    settings: Settings | None = None,
    *,
    workers: int = 1,
    executor: Executor | None = None,
) -> Iterator[Inspection]:
    """Inspect plans and folders of plans, or just one of them, in a steady order. Never raises for a plan.

    ``workers`` above 1 shares the work among so many processes of our own (then the caller's module must be fit to be
    imported by them: keep the call under ``if __name__ == "__main__"``). ``executor`` is any other engine behind
    ``concurrent.futures.Executor``, such as a cluster's. Plans are read here and sent; ``Inspection.piece`` stays
    where the work was done. Without ``settings``, those of the collection are in force.
    """
    from os import PathLike, fspath  # noqa: PLC0415

    from planlint.collection.inspect_many import inspect_paths  # noqa: PLC0415

    several = [paths] if isinstance(paths, (str, PathLike)) else paths
    return inspect_paths([fspath(path) for path in several], settings, workers, executor)


def read_plan(plan: str | PathLike[str], settings: Settings | None = None, *, path: str = "plan") -> Plan:
    """The plan with every let, loop and size worked out; arguments as for ``inspect``.

    Raises ``PlanNotRead`` where the plan has mistakes in it or cannot be opened, ``ValueError`` where the settings of
    its collection have.
    """
    from planlint.inspection.inspect_plan import understand  # noqa: PLC0415
    from planlint.inspection.inspection_result import refused  # noqa: PLC0415
    from planlint.inspection.plan_files import Refused  # noqa: PLC0415

    read = _source(plan, path)
    if isinstance(read, Refused):
        inspection = refused(*read)
        raise PlanNotRead(read.path, [(inspection.position(0), mistake) for mistake in inspection.unread])
    found, mistakes = understand(read, _settings(plan, read, settings))
    if mistakes or found is None:
        raise PlanNotRead(read.path, [(read.position(mistake.span.start), mistake) for mistake in mistakes])
    return found


def _settings(plan: str | PathLike[str], read: PlanText, settings: Settings | None) -> Settings:
    """The settings for a plan, with the files that it uses; a plan that is no file uses none."""
    from planlint.inspection.used_files import settings_in_force, with_files  # noqa: PLC0415
    from planlint.model.workshop import Settings  # noqa: PLC0415

    if isinstance(plan, str) and "\n" in plan:
        return settings or Settings()
    if settings is None:
        return settings_in_force(read.path, read)
    return with_files(settings, read.path, read.path, read.text)


def _source(plan: str | PathLike[str], path: str) -> PlanText | Refused:
    from os import fspath  # noqa: PLC0415

    from planlint.inspection.plan_files import decoded, read_plan_file  # noqa: PLC0415

    if isinstance(plan, str) and "\n" in plan:
        return decoded(path, plan.encode("utf-8", "surrogatepass"))
    return read_plan_file(fspath(plan))

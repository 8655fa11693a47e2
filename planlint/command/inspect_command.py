"""Inspecting files and folders and telling it in the forms asked for."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, nullcontext, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from planlint.budget.allowance import DEFAULT_BUDGET, Budget
from planlint.collection.collection_root import (
    common_folder,
    find_root,
    portable,
    repository,
    told_by_ledger,
    told_from,
)
from planlint.collection.collection_run import FEW, RunWay, inspect_found
from planlint.collection.discovery import Found, discover
from planlint.collection.failing_rules import told_once
from planlint.collection.not_checked_out import not_here_of, submodules_not_here
from planlint.command.missing_rules import tell_strange
from planlint.command.progress_shown import Progress
from planlint.command.report_forms import PAGE
from planlint.command.stderr_notes import tell
from planlint.command.usage_error import CallWrong
from planlint.findings.finding import Grade
from planlint.inspection.inspection_result import Inspection
from planlint.inspection.plan_files import STANDARD_INPUT, SUFFIX, Refused
from planlint.reports.run_marks import UNMARKED, RunMarks, data_mark
from planlint.reports.safe_words import visible
from planlint.reports.tally import Report, Tally, Write, touches
from planlint.settings.layered_settings import SettingsBroken, Shop
from planlint.settings.settings_root import folder_of
from planlint.text.decode import MOST_BYTES
from planlint.text.plain_file import plain_bytes

if TYPE_CHECKING:
    from planlint.collection.touched_plans import TreeChange


@dataclass(frozen=True)
class Wishes:
    """What may be said on the command line about a run, beyond its plans and the form of its report."""

    explain: bool = False
    writes: tuple[tuple[str, str], ...] = ()
    """More reports: kind and file."""
    ledger: str | None = None
    workers: int | None = None
    """``None``: one for each core, where there are more than a few plans."""
    cache: str | None = None
    remember: bool = True
    changed_since: str | None = None
    shard: tuple[int, int] | None = None
    budget: Budget = DEFAULT_BUDGET
    fixes: bool = False
    """Look for repairs of the text too."""
    heed_excludes: bool = False
    """Leave out excluded plans though they are named."""
    every: bool = False
    """Tell plans in which nothing was found, however many there are."""
    brief: bool = False
    """A line for each finding."""
    first_in_full: bool = False
    """The first plan with findings in full, and a line for each finding of the others."""


def inspect_in_form(
    paths: Iterable[str],
    form: str,
    lowest: Grade,
    wishes: Wishes = Wishes(),
    *,
    called: Callable[[str], str] = str,
) -> int:
    """Inspect, write the report to standard output and others to files, and return the exit status.

    ``form`` is one of ``command.report_forms.FORMS``; ``called`` gives the name under which a file is told.
    Raises ``CallWrong`` where the run cannot be made as asked for.
    """
    paths = list(paths)
    if wishes.writes or form != "text":
        from planlint.command.output_files import for_programs, keep_apart, report_file  # noqa: PLC0415

        folders = [to for kind, to in wishes.writes if kind == PAGE]
        keep_apart([to for kind, to in wishes.writes if kind != PAGE], paths, wishes.ledger, folders=folders)
    files_named = [path for path in paths if path != STANDARD_INPUT]
    root, common = find_root(files_named), common_folder(files_named)
    own = repository(common or Path.cwd())
    shop = Shop()
    everything = _found(paths, root, shop, wishes)
    change = _change(root, own, wishes, everything)
    found = list(change.plans(everything, shop.finder.settings_file)) if change else everything
    divided = found if wishes.shard else None
    found = _part(found, wishes)
    several = as_told(len(found))
    way = _way(root, len(found), shop, wishes)
    ledger = _Compared(wishes, root, paths, everything) if wishes.ledger else None
    forms = {form, *(kind for kind, _ in wishes.writes)}
    run = _marks(root, own, shop, everything, ledger, divided) if forms & {"json", "sarif"} else UNMARKED
    tally = Tally(touched=change.of_the_keeper(wishes.ledger) if change else [])
    opened_at = {each.name: each.path for each in found if isinstance(each, Found)}
    with ExitStack() as opening:
        opening.enter_context(way.cache or nullcontext())
        to = sys.stdout.write if form == "text" else for_programs()
        reports = [report_in(form, to, wishes, lowest, several=several, run=run)]
        for kind, file in wishes.writes:
            if kind == PAGE:
                reports.append(_pages(file))
                continue
            reports.append(
                report_in(kind, report_file(file, opening), wishes, lowest, several=several, run=run)
            )
        progress = opening.enter_context(Progress(len(found) if several else 0))
        inspected_here = inspect_found(found, way, lambda each: called(each.path))
        for path, inspection in told_once(inspected_here, tally.troubles):
            name = called(portable(path))
            at = opened_at.get(path, path)
            told = _compared(path, at, inspection, ledger, change)
            owner = shop.owner_of(at)
            if owner:
                told = replace(told, owner=owner)
            tally.add(told)
            if form != "text" or not several or not told.sound:
                progress.hide()
            for report in reports:
                report.add(name, told)
            progress.advance()
        if ledger:
            ledger.tell_strange()
            tally.unmatched = ledger.unmatched()
        for report in reports:
            report.end(tally)
        sys.stdout.flush()
    if form != "text":
        tell_beside(tally)
    return max((tally.exit_status(lowest), *(getattr(report, "status", 0) for report in reports)))


def _compared(
    name: str, path: str, inspection: Inspection, ledger: _Compared | None, change: TreeChange | None
) -> Inspection:
    told = ledger.divide(name, inspection) if ledger else inspection
    return replace(told, newly_accepted=change.newly_accepted(path, told)) if change else told


def tell_beside(tally: Tally) -> None:
    """What a report for programs has no place for in front of a reader."""
    for entry in tally.unmatched:
        tell(f"this entry of the ledger no longer matches: {entry}")
    for file in tally.touched:
        tell(touches(file))
    for trouble in tally.troubles:
        tell(trouble.says)


def _pages(folder: str) -> Report:
    from planlint.drawings.folder_pages import FolderPages  # noqa: PLC0415
    from planlint.drawings.missing_packages import ExtraNeeded  # noqa: PLC0415 - only where drawings are asked for

    try:
        return FolderPages(folder)
    except ExtraNeeded as problem:
        raise CallWrong(str(problem)) from problem


def inspected(paths: list[str], wishes: Wishes) -> Iterator[tuple[str, Inspection]]:
    """Plans one after the other, without a report; each with its name from the root, as the system spells it."""
    root = find_root(path for path in paths if path != STANDARD_INPUT)
    shop = Shop()
    found = _found(paths, root, shop, wishes)
    way = _way(root, len(found), shop, wishes)
    with way.cache or nullcontext(), Progress(len(found) if len(found) > FEW else 0) as progress:
        for path, inspection in inspect_found(found, way):
            progress.advance()
            yield path, inspection


def _found(paths: list[str], root: Path, shop: Shop, wishes: Wishes) -> list[Found | Refused]:
    has_settings: dict[str, bool] = {}

    def left_out(path: str) -> bool:
        folder = path[: path.rfind(os.sep) + 1]
        told = has_settings.get(folder)
        if told is None:
            told = has_settings[folder] = shop.finder.settings_file(folder or ".") is not None
        return told and shop.left_out(path)

    broken: dict[str, SettingsBroken] = {}

    def heeding(path: str) -> bool:
        try:
            return left_out(path)
        except SettingsBroken as problem:  # Nobody knows what to leave out: told once, not for each plan.
            broken.setdefault(problem.source.path, problem)
            return False

    found = list(discover(paths, root, heeding, named_too=wishes.heed_excludes))
    if broken:
        raise CallWrong("\n  ".join(map(_mistakes, broken.values())))
    folders = [path for path in paths if path != STANDARD_INPUT and os.path.isdir(path)]  # noqa: PTH112
    for told in shop.idle(folders, (each.path for each in found if isinstance(each, Found))):
        tell(told)
    for inside in submodules_not_here(folders):
        if not heeding(os.path.join(inside, SUFFIX)):  # noqa: PTH118
            tell(
                f"{told_from(root, inside)} is a submodule that is not checked out here: no plan of it is inspected"
            )
    return found


def _mistakes(broken: SettingsBroken) -> str:
    """The mistakes in a settings file, a line for each where there are several."""
    told = list(map(visible, broken.told))
    return told[0] if len(told) == 1 else "\n  ".join([f"{len(told)} mistakes in the settings:", *told])


def _change(root: Path, own: Path | None, wishes: Wishes, found: list[Found | Refused]) -> TreeChange | None:
    if wishes.changed_since is None:
        return None
    from planlint.collection.git_knowledge import GitFailed  # noqa: PLC0415
    from planlint.collection.touched_plans import TreeChange  # noqa: PLC0415

    try:
        change = TreeChange(root, own, wishes.changed_since, found)
    except GitFailed as problem:
        raise CallWrong(f"--changed-since {wishes.changed_since}: {problem}") from problem
    for says in change.unknown:
        tell(f"--changed-since {wishes.changed_since}: {says}")
    return change


def _part(found: list[Found | Refused], wishes: Wishes) -> list[Found | Refused]:
    if wishes.shard is None:
        return found
    from planlint.collection.sharding import Shard  # noqa: PLC0415

    return list(Shard(*wishes.shard).of_all(found))


def _marks(
    root: Path,
    own: Path | None,
    shop: Shop,
    found: list[Found | Refused],
    ledger: _Compared | None,
    divided: list[Found | Refused] | None,
) -> RunMarks:
    """The marks of a run; ``divided`` are all plans of one that inspects a part of them."""
    from planlint.collection.git_knowledge import revision_of  # noqa: PLC0415

    files = {shop.finder.settings_file(folder_of(each.path)) for each in found if isinstance(each, Found)}
    held = []
    for file in sorted(filter(None, files)):
        with suppress(OSError, ValueError):
            held.append(
                f"{told_from(root, str(file))}\0".encode("utf-8", "surrogateescape") + plain_bytes(file)
            )
    return RunMarks(
        settings=data_mark(b"\0".join(held)) if held else None,
        ledger=ledger.mark if ledger else None,
        revision=revision_of(own) if own else None,
        plans=None if divided is None else data_mark(b"\0".join(_as_they_are(root, divided))),
        rule_pages=shop.rule_pages(str(own or root)),
    )


def _as_they_are(root: Path, plans: list[Found | Refused]) -> Iterator[bytes]:
    """The name of each plan, and a mark of its lines, whatever ends them."""
    for each in plans:
        yield told_from(root, each.path).encode("utf-8", "surrogateescape")
        if isinstance(each, Found):
            with suppress(OSError, ValueError):
                yield data_mark(plain_bytes(Path(each.path), MOST_BYTES).replace(b"\r\n", b"\n")).encode()


def as_told(plans: int) -> bool:
    """Whether so many plans are a collection, of which those without findings are not told."""
    return plans > FEW


def _way(root: Path, plans: int, shop: Shop, wishes: Wishes) -> RunWay:
    cache = None
    if wishes.remember and not wishes.explain and (wishes.cache or plans > FEW):
        from planlint.collection.result_cache import FOLDER, Cache  # noqa: PLC0415

        cache = Cache(Path(wishes.cache)) if wishes.cache else Cache(root / FOLDER, within=root)
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    workers = 1 if wishes.explain else wishes.workers or cores or 1
    return RunWay(shop.settings_for, wishes.budget, wishes.fixes, workers, None, cache, tell)


def report_in(
    kind: str, write: Write, wishes: Wishes, lowest: Grade, *, several: bool, run: RunMarks = UNMARKED
) -> Report:
    """A report in one of the forms."""
    if kind == "json":
        from planlint.reports.json_report import JsonReport  # noqa: PLC0415 - each only where it is asked for

        return JsonReport(write, wishes.shard, run)
    if kind == "sarif":
        from planlint.reports.sarif_report import SarifReport  # noqa: PLC0415

        return SarifReport(write, ledger=wishes.ledger is not None, run=run, shard=wishes.shard)
    if kind == "junit":
        from planlint.reports.junit_report import JunitReport  # noqa: PLC0415

        return JunitReport(write, lowest)
    if kind == "markdown":
        from planlint.reports.markdown_report import MarkdownReport  # noqa: PLC0415

        return MarkdownReport(write, lowest)
    if kind == "lines":
        from planlint.reports.line_report import LineReport  # noqa: PLC0415

        return LineReport(write)
    if kind == "quality":
        from planlint.reports.quality_report import QualityReport  # noqa: PLC0415

        return QualityReport(write)
    from planlint.reports.text_report import TextReport  # noqa: PLC0415

    return TextReport(
        None if write == sys.stdout.write else write,
        explain=wishes.explain,
        sound_too=not several or wishes.every,
        in_full=_in_full(wishes),
    )


def _in_full(wishes: Wishes) -> Callable[[Inspection], bool]:
    """Of which plans findings are told in full."""
    told: list[str] = []

    def first(inspection: Inspection) -> bool:
        if inspection.findings:
            told.append(inspection.path)
        return told[:1] == [inspection.path]

    return first if wishes.first_in_full else lambda _: not wishes.brief


class _Compared:
    """A ledger in use: what it knows of the plans of this run."""

    def __init__(self, wishes: Wishes, root: Path, paths: list[str], found: list[Found | Refused]) -> None:
        from planlint.collection.findings_ledger import LedgerBroken, read_ledger  # noqa: PLC0415

        assert wishes.ledger is not None
        try:
            self._ledger = read_ledger(Path(wishes.ledger))
        except LedgerBroken as problem:
            raise CallWrong(str(problem)) from problem
        self._file, self._root = Path(wishes.ledger), root
        named = self._ledger.plans({self._called(told_from(root, path)) for path in paths})
        if wishes.changed_since:  # Only some plans were looked for: those are gone whose files are.
            self._gone = {name for name in named if not os.path.lexists(self._file.parent / name)}
        else:
            there = {self._called(each.name) for each in found if isinstance(each, Found)}
            unread = {self._called(each.name or each.path) for each in found if isinstance(each, Refused)}
            self._gone = named - there - self._ledger.plans(unread)
        self._gone -= not_here_of(self._file, self._gone)

    @property
    def mark(self) -> str:
        """Of what the ledger holds."""
        return data_mark("\n".join(sorted(self._ledger.without(()))).encode())

    def _called(self, name: str) -> str:
        return portable(told_by_ledger(self._file, self._root, name))

    def divide(self, name: str, inspection: Inspection) -> Inspection:
        return self._ledger.divide(self._called(name), inspection)

    def unmatched(self) -> list[str]:
        """Its lines that it need not have any more."""
        from planlint.plugins.own_rules import every_rule  # noqa: PLC0415

        return self._ledger.unmatched(every_rule(), self._gone)

    def tell_strange(self) -> None:
        """Tell of rules that it has lines of and nobody here knows."""
        tell_strange(self._ledger)

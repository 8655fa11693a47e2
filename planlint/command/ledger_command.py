"""Writing a ledger of what is found now, and joining reports."""

from __future__ import annotations

from pathlib import Path

from planlint.command.inspect_command import Wishes, inspected
from planlint.command.usage_error import CallWrong
from planlint.findings.finding import GRADE_BY_WORD, Grade
from planlint.inspection.plan_files import STANDARD_INPUT


def record_ledger(paths: list[str], file: str, wishes: Wishes) -> int:
    """Write all findings of the plans to a ledger, and keep what it has of others; returns the exit status: 2, and
    nothing written, where a plan could not be inspected whole, for then nobody knows what is in it.
    """
    from planlint.collection.collection_root import find_root, portable, told_by_ledger, told_from  # noqa: PLC0415
    from planlint.collection.findings_ledger import Ledger, LedgerBroken, numbered, read_ledger, write_ledger  # noqa: PLC0415
    from planlint.command.output_files import keep_apart  # noqa: PLC0415
    from planlint.reports.safe_words import count, visible  # noqa: PLC0415
    from planlint.text.atomic_replace import NotReplaced  # noqa: PLC0415

    keep_apart([file], paths)
    try:
        old = read_ledger(Path(file)) if Path(file).is_file() else Ledger()
    except LedgerBroken as problem:
        raise CallWrong(f"{problem}; or remove the file, to record everything anew") from problem
    lines: list[str] = []
    broken: list[str] = []
    plans: set[str] = set()
    root = find_root(path for path in paths if path != STANDARD_INPUT)
    for called, inspection in inspected(paths, wishes):
        name = portable(told_by_ledger(Path(file), root, called))
        plans.add(name)
        if not inspection.whole:
            broken.append(inspection.path)
        accepted = set(map(id, inspection.accepted))
        lines += (entry for finding, entry in numbered(name, inspection) if id(finding) not in accepted)
    if broken:
        first = ", ".join(map(visible, broken[:5]))
        more = f" and {len(broken) - 5} more" if len(broken) > 5 else ""
        says = f"not written: these could not be inspected whole: {first}{more}"
        raise CallWrong(f"the ledger {visible(file)} is {says}; `planlint inspect` tells why")
    named = (told_by_ledger(Path(file), root, told_from(root, path)) for path in paths)
    gone = old.plans(map(portable, named)) - plans
    kept = old.without(plans | gone)
    try:
        write_ledger(Path(file), [*lines, *kept])
    except (OSError, ValueError, NotReplaced) as problem:
        why = getattr(problem, "strerror", None) or problem
        raise CallWrong(f"the ledger {visible(file)} cannot be written: {why}") from problem
    told = f"{visible(file)}: {count(len(lines), 'finding')} recorded for {count(len(plans), 'plan')}"
    dropped = len(old.without(plans)) - len(kept)
    if dropped:
        told += f"; {dropped} of plans that are gone taken out"
    if kept:
        told += f"; {len(kept)} of other plans kept"
    print(told)
    return 0


def join_reports(files: list[str], lowest: Grade) -> int:
    """Print one JSON report made of several; returns the exit status that one run over all plans would have had."""
    import json  # noqa: PLC0415

    from pydantic import ValidationError  # noqa: PLC0415

    from planlint.collection.sharding import NotJoined, join  # noqa: PLC0415
    from planlint.command.output_files import for_programs  # noqa: PLC0415
    from planlint.reports.json_schema import Report  # noqa: PLC0415
    from planlint.reports.safe_words import visible  # noqa: PLC0415

    reports = []
    for file in files:
        try:
            report = json.loads(Path(file).read_text(encoding="utf-8"), parse_constant=_no_number)
            Report.model_validate(report, strict=True)
        except (OSError, ValidationError, ValueError, RecursionError) as problem:
            why = getattr(problem, "strerror", None) or "it is no JSON report of planlint"
            raise CallWrong(f"{visible(file)} cannot be joined: {why}") from problem
        reports.append(report)
    try:
        joined = join(reports)
    except NotJoined as problem:
        raise CallWrong(visible(str(problem))) from problem
    for_programs()(json.dumps(joined, indent=2) + "\n")
    if joined["summary"]["unread"]:
        return 2
    return int(any(joined["summary"][word] for word, grade in GRADE_BY_WORD.items() if grade >= lowest))


def _no_number(word: str) -> None:
    raise ValueError(f"{word} is no number")

"""Writing a ledger of what is found now, and telling what is in it."""

import argparse
import os
from collections.abc import Mapping
from pathlib import Path

from planlint.collection.collection_root import find_root, portable, told_by_ledger, told_from
from planlint.collection.failing_rules import told_once
from planlint.collection.findings_ledger import (
    Ledger,
    LedgerBroken,
    is_ledger,
    read_ledger,
    with_lines,
    write_ledger,
)
from planlint.collection.not_checked_out import not_here_of
from planlint.command.inspect_command import Wishes, inspected
from planlint.command.inspect_options import add_plans, add_work, wishes_of
from planlint.command.ledger_shown import show_ledger
from planlint.command.missing_rules import tell_strange
from planlint.command.output_files import keep_apart
from planlint.command.stderr_notes import tell
from planlint.command.usage_error import CallWrong
from planlint.inspection.inspection_result import Trouble
from planlint.inspection.plan_files import STANDARD_INPUT
from planlint.reports.safe_words import count, visible
from planlint.text.atomic_replace import NotReplaced
from planlint.text.os_error_words import refused_by_system

_DEFAULT_LEDGER = "planlint.ledger"


def add_words(parser: argparse.ArgumentParser) -> None:
    actions = parser.add_subparsers(metavar="ACTION", required=True)
    record = actions.add_parser("record", help="write all that is found now to the ledger")
    add_plans(record)
    record.add_argument(
        "--ledger",
        metavar="FILE",
        default=_DEFAULT_LEDGER,
        help=f"the ledger ({_DEFAULT_LEDGER}, if not said)",
    )
    add_work(record)
    record.set_defaults(run=lambda call: record_ledger(call.plans, call.ledger, wishes_of(call)))
    show = actions.add_parser("show", help="count what is in the ledger, by rule, folder, owner and age")
    show.add_argument(
        "--ledger",
        metavar="FILE",
        default=_DEFAULT_LEDGER,
        help=f"the ledger ({_DEFAULT_LEDGER}, if not said)",
    )
    show.set_defaults(run=lambda call: show_ledger(call.ledger))


def _old(file: Path) -> Ledger:
    try:
        return read_ledger(file) if file.exists() else Ledger()
    except LedgerBroken as problem:
        anew = "; or remove the file, to record everything anew" if is_ledger(file) else "; say another file"
        raise CallWrong(f"{problem}{anew if file.is_file() else ''}") from problem


def record_ledger(paths: list[str], file: str, wishes: Wishes) -> int:
    """Write all findings of the plans to a ledger, and keep what it has of others; returns the exit status.

    Of a plan that could not be inspected whole nobody knows what is in it: what the ledger has of it stays, and so does
    what it has of a workshop's own rule that could not be checked. The exit status is 2 then.
    """
    if STANDARD_INPUT in paths:
        raise CallWrong("standard input has no name by which a ledger could know it: name the plan's file")
    keep_apart([file], paths, records=True)
    _old(Path(file))  # One that cannot be used is told before the work.
    lines: list[str] = []
    broken, missing = dict[str, str](), dict[str, str]()
    plans: set[str] = set()
    unchecked: dict[str, set[str]] = {}
    of_run: list[Trouble] = []
    root = find_root(paths)
    for called, inspection in told_once(inspected(paths, wishes), of_run):
        name = portable(told_by_ledger(Path(file), root, called))
        if inspection.unread or not all(each.own for each in inspection.crashed):
            broken[name] = portable(called)
            if inspection.no_plan:
                missing[name] = f"{broken[name]}: {inspection.unread[0].says}"
            continue
        plans.add(name)
        unchecked[name] = {rule for each in inspection.crashed for rule in each.rules}.union(
            inspection.left_out
        )
        accepted = set(map(id, inspection.accepted))
        lines += (entry for finding, entry in with_lines(name, inspection) if id(finding) not in accepted)
    old = _old(Path(file))  # Another run may have recorded other plans meanwhile.
    strange = tell_strange(old, set().union(*unchecked.values()))
    stays = {name: rules.union(strange) for name, rules in unchecked.items()}
    named = (told_by_ledger(Path(file), root, told_from(root, path)) for path in paths)
    gone = old.plans(map(portable, named)) - plans - old.plans(broken)
    elsewhere = not_here_of(Path(file), gone)
    kept = old.without(plans | (gone - elsewhere))
    try:
        write_ledger(Path(file), [*lines, *kept, *old.of_rules(stays)])
    except (OSError, ValueError, NotReplaced) as problem:
        why = refused_by_system(problem)
        raise CallWrong(f"the ledger {visible(file)} cannot be written: {why}") from problem
    dropped = len(old.without(plans)) - len(kept)
    recorded = f"{count(len(lines), 'finding')} recorded for {count(len(plans), 'plan')}"
    gone_too = f"; {dropped} of plans that are gone or left out taken out" if dropped else ""
    print(f"{visible(file)}: {recorded}{gone_too}{f'; {len(kept)} of other plans kept' if kept else ''}")
    _tell_kept(Path(file), old, broken, missing, count(len(elsewhere), "plan") if elsewhere else "")
    rules = sorted(set().union(*unchecked.values()))
    if rules:
        says = f"these rules could not be checked, and what the ledger has of them stays: {', '.join(rules)}"
        tell(f"{says}; `planlint inspect` tells why")
    return 2 if broken or rules or strange else 0


def _tell_kept(
    file: Path, old: Ledger, broken: Mapping[str, str], missing: Mapping[str, str], elsewhere: str
) -> None:
    """Tell of plans that were not inspected whole, and of paths from which none came, by their names in the ledger;
    and how many git has that are not checked out.
    """
    if elsewhere:
        tell(f"{elsewhere} not checked out here: what the ledger has there stays")
    for name, says in missing.items():
        stays = "; what the ledger has of it stays" if old.plans([name]) else ""
        until = ", until its folder is recorded" if stays and not os.path.lexists(file.parent / name) else ""
        tell(f"{says}{stays}{until}")
    unread = [called for name, called in broken.items() if name not in missing]
    if unread:
        first = ", ".join(unread[:5])
        more = f" and {len(unread) - 5} more" if len(unread) > 5 else ""
        says = f"these could not be inspected whole, and what the ledger has of them stays: {first}{more}"
        tell(f"{says}; `planlint inspect` tells why")

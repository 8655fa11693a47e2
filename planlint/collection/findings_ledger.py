"""The ledger: findings that were there before. A run that has one fails only for what is new.

One line a finding, ``["frames/a.plan", "lone-screw", "rail.left/stile.right", 1]``: the plan (from the folder that
holds the ledger), the rule, the joint or parts, and which of several alike. The file is UTF-8 in any locale, and its
lines are sorted, so that two branches seldom change the same ones; when they do, keeping both sides is right: order and
repetition do not matter. Nothing in a line changes when a plan is edited elsewhere; its hash is the fingerprint of the
finding in other reports too.
"""

import json
from collections.abc import Collection, Container, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cached_property
from pathlib import Path

from planlint.findings.finding import Finding, Identity
from planlint.inspection.inspection_result import Inspection, in_text
from planlint.settings.settings_root import SETTINGS_FILE
from planlint.text.atomic_replace import whole_file
from planlint.text.decode import utf8
from planlint.text.os_error_words import refused_by_system
from planlint.text.plain_file import plain_bytes
from planlint.text.source import Mistake

LEDGER_HEAD = (
    "# planlint ledger: findings that were there before, one a line. Sorted; in a merge keep both sides.\n"
)
_MARKS = ("<<<<<<<", "|||||||", "=======", ">>>>>>>")
"""What git puts where it could not merge."""


class LedgerBroken(ValueError):  # noqa: N818 - says what happened
    """The ledger cannot be used; the message says why."""


def with_lines(name: str, inspection: Inspection) -> Iterator[tuple[Finding, str]]:
    """Every finding of a plan, called ``name`` from the root, with its line, in the order of the text.

    Accepted ones are among them: so what is accepted or known does not change the number of what stands beside it.
    """
    findings = [*inspection.findings, *inspection.known, *inspection.accepted]
    numbers: dict[Identity, int] = {}
    for finding in sorted(findings, key=in_text):
        same = finding.lasting_identity
        number = numbers[same] = numbers.get(same, 0) + 1
        yield finding, json.dumps([name, *same, number])


def fingerprint(entry: str) -> str:
    """A finding's mark that outlives edits elsewhere: 32 hexadecimal digits of the SHA-256 of its line."""
    from hashlib import sha256  # noqa: PLC0415

    return sha256(entry.encode("ascii")).hexdigest()[:32]


class Ledger:
    """The entries of a ledger, and which of them a run met."""

    def __init__(self, lines: Iterable[str] = ()) -> None:
        self._entries = frozenset(lines)
        self._met: set[str] = set()
        self._plans: dict[str, tuple[str, ...]] = {}
        """The plans inspected whole, each with the rules that were left out."""

    def divide(self, name: str, inspection: Inspection) -> Inspection:
        """The inspection with what the ledger knows set apart."""
        standing = set(map(id, inspection.findings))
        new, known = [], []
        for finding, entry in with_lines(name, inspection):
            if id(finding) not in standing:  # What the plan accepts needs no entry: recording leaves it out.
                continue
            if entry in self._entries:
                self._met.add(entry)
                known.append(finding)
            else:
                new.append(finding)
        if inspection.whole:
            self._plans[name] = inspection.left_out
        return replace(inspection, findings=tuple(new), known=tuple(known)) if known else inspection

    def unmatched(self, known: Container[str], gone: Iterable[str] = ()) -> list[str]:
        """Entries of ``known`` rules that no longer match: of plans inspected whole, and of plans that are ``gone``;
        sorted."""
        plans = {**dict.fromkeys(gone, ()), **self._plans}
        return sorted(
            entry
            for entry, plan, rule in self._parsed
            if entry not in self._met and plan in plans and rule in known and rule not in plans[plan]
        )

    def strange_rules(self, known: Container[str]) -> list[str]:
        """The rules that it has entries of and that are not known here, as an own rule that is not installed; less
        those that were left out of an inspection, which are told there."""
        rules = {rule for _, _, rule in self._parsed}
        left_out = set().union(*self._plans.values())
        return sorted(rule for rule in rules if rule not in known and rule not in left_out)

    def plans(self, below: Iterable[str] = (".",)) -> set[str]:
        """The names of all plans in the ledger that are, or lie below, one of some paths from its folder."""
        paths = {path or "." for path in below}
        named = {path for path in paths if _folders_up(path) < 0}
        highest = max(map(_folders_up, paths), default=-1)
        outside = "/", "../" * (highest + 1)  # Everything, where no path holds the ledger's own folder.
        return {
            name
            for name in {plan for _, plan, _ in self._parsed}
            if not name.startswith(outside) or not named.isdisjoint(_way_up(name))
        }

    @cached_property
    def _parsed(self) -> list[tuple[str, str, str]]:
        """Each entry with its plan and its rule."""
        return [(entry, *json.loads(entry)[:2]) for entry in self._entries]

    def of_rules(self, by_plan: Mapping[str, Collection[str]]) -> list[str]:
        """The entries of some rules of each plan."""
        return [entry for entry, plan, rule in self._parsed if rule in by_plan.get(plan, ())]

    def without(self, plans: Collection[str]) -> list[str]:
        """The entries of all other plans."""
        return [entry for entry, plan, _ in self._parsed if plan not in plans]


def _folders_up(path: str) -> int:
    """How far above the ledger's own folder a path is: 0 for ``.``, 2 for ``../..``, -1 where it does not hold it."""
    steps = [] if path == "." else path.split("/")
    return len(steps) if set(steps) <= {".."} else -1


def _way_up(name: str) -> Iterator[str]:
    """A name, and the folders that it says."""
    while name:
        yield name
        name = name.rpartition("/")[0]


def read_ledger(file: Path) -> Ledger:
    """The ledger in a file. Raises ``LedgerBroken`` where there is none or a line of it is no entry."""
    if file.name == SETTINGS_FILE:
        raise LedgerBroken(f"{file} is no ledger: what is called so holds a shop's settings")
    try:
        text = utf8(plain_bytes(file))
    except (OSError, ValueError) as problem:
        raise LedgerBroken(f"the ledger {file} cannot be read: {refused_by_system(problem)}") from problem
    if isinstance(text, Mistake):
        raise LedgerBroken(f"the ledger {file} cannot be read: {text.says}")
    lines = []
    for number, line in enumerate(map(str.strip, text.split("\n")), 1):
        if line.startswith(_MARKS):
            raise LedgerBroken(
                f"line {number} of the ledger {file} is a mark that a merge left ({line[:7]}): keep the lines of both "
                f"sides, and take out those that begin with {' '.join(_MARKS)}"
            )
        if line and not line.startswith("#"):
            try:
                name, rule, place, count = json.loads(line)
                if not all(isinstance(word, str) for word in (name, rule, place)) or not isinstance(
                    count, int
                ):
                    raise TypeError
            except (ValueError, TypeError, RecursionError) as problem:
                raise LedgerBroken(f"line {number} of the ledger {file} is no entry") from problem
            lines.append(json.dumps([name, rule, place, count]))
    return Ledger(lines)


def is_ledger(file: Path) -> bool:
    """Whether a file begins as a ledger does, whatever stands in it now."""
    try:
        return plain_bytes(file).startswith(LEDGER_HEAD.partition(":")[0].encode("ascii"))
    except (OSError, ValueError):
        return False


def write_ledger(file: Path, lines: Iterable[str]) -> None:
    """Write a ledger, whole or not at all. Raises what ``whole_file`` does."""
    with whole_file(str(file)) as new:
        new.write(LEDGER_HEAD + "".join(f"{line}\n" for line in sorted(set(lines))))

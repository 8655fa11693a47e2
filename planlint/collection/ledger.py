"""The ledger: findings that were there before. A run that has one fails only for what is new.

One line a finding, ``["frames/a.plan", "lone-screw", "rail.left", 1]``: the plan (from the root), the rule, the joint
or parts, and which of several alike. Lines are sorted, so that two branches seldom change the same ones, and when they
do, keeping both sides is right: order and repetition do not matter. Nothing in a line changes when a plan is edited
elsewhere; its hash is the fingerprint of the finding in other reports too.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from planlint.findings.finding import Finding
from planlint.inspection.result import Inspection, in_text

HEAD = "# planlint ledger: findings that were there before, one a line. Sorted; in a merge keep both sides.\n"


class LedgerBroken(ValueError):  # noqa: N818 - says what happened
    """The ledger cannot be used; the message says why."""


def numbered(name: str, inspection: Inspection) -> Iterator[tuple[Finding, str]]:
    """Every finding of a plan, called ``name`` from the root, with its line, in the order of the text.

    Accepted ones are among them: so what is accepted or known does not change the number of what stands beside it.
    """
    findings = [*inspection.findings, *inspection.known, *inspection.accepted]
    numbers: dict[tuple[str, str], int] = {}
    for finding in sorted(findings, key=in_text):
        place = finding.joint if finding.joint is not None else ", ".join(sorted(finding.parts))
        number = numbers[finding.rule, place] = numbers.get((finding.rule, place), 0) + 1
        yield finding, json.dumps([name, finding.rule, place, number])


def fingerprint(entry: str) -> str:
    """A finding's mark that outlives edits elsewhere: 32 hexadecimal digits of the SHA-256 of its line."""
    from hashlib import sha256  # noqa: PLC0415

    return sha256(entry.encode("ascii")).hexdigest()[:32]


class Ledger:
    """The entries of a ledger, and which of them a run met."""

    def __init__(self, lines: Iterable[str] = ()) -> None:
        self._entries = frozenset(lines)
        self._met: set[str] = set()
        self._plans: set[str] = set()

    def divide(self, name: str, inspection: Inspection) -> Inspection:
        """The inspection with what the ledger knows set apart."""
        standing = set(map(id, inspection.findings))
        new, known = [], []
        for finding, entry in numbered(name, inspection):
            if entry in self._entries:
                self._met.add(entry)
                if id(finding) in standing:
                    known.append(finding)
            elif id(finding) in standing:
                new.append(finding)
        if inspection.whole:
            self._plans.add(name)
        return replace(inspection, findings=tuple(new), known=tuple(known)) if known else inspection

    def unmatched(self, gone: Iterable[str] = ()) -> list[str]:
        """Entries that no longer match: of plans inspected whole, and of plans that are ``gone``; sorted."""
        plans = self._plans | set(gone)
        return sorted(entry for entry in self._entries - self._met if json.loads(entry)[0] in plans)

    def plans(self) -> set[str]:
        """The names of all plans in the ledger."""
        return {json.loads(entry)[0] for entry in self._entries}


def read_ledger(file: Path) -> Ledger:
    """The ledger in a file. Raises ``LedgerBroken`` where there is none or a line of it is no entry."""
    try:
        text = file.read_text(encoding="utf-8")
    except (OSError, ValueError) as problem:
        raise LedgerBroken(
            f"the ledger {file} cannot be read: {getattr(problem, 'strerror', None) or problem}"
        ) from problem
    lines = []
    for number, line in enumerate(map(str.strip, text.splitlines()), 1):
        if line and not line.startswith("#"):
            try:
                name, rule, place, count = json.loads(line)
                if not all(isinstance(word, str) for word in (name, rule, place)) or not isinstance(
                    count, int
                ):
                    raise TypeError
            except (ValueError, TypeError, RecursionError) as problem:
                hint = "; a merge left it unfinished" if line[:7] in {"<" * 7, "=" * 7, ">" * 7} else ""
                raise LedgerBroken(f"line {number} of the ledger {file} is no entry{hint}") from problem
            lines.append(json.dumps([name, rule, place, count]))
    return Ledger(lines)


def write_ledger(file: Path, lines: Iterable[str]) -> None:
    """Write a ledger, whole or not at all. Raises ``OSError``."""
    write_whole(file, HEAD + "".join(f"{line}\n" for line in sorted(set(lines))))


def write_whole(file: Path, text: str) -> None:
    """Write a file, whole or not at all. Raises ``OSError``."""
    part = file.with_name(f".{file.name[:200]}.{os.getpid()}")
    try:
        with part.open("x", encoding="utf-8", errors="backslashreplace", newline="\n") as new:
            new.write(text)
        part.replace(file)
    finally:
        part.unlink(missing_ok=True)

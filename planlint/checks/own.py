"""Rules of a workshop's own: a check and its file, brought by any installed package.

An entry point in the group ``planlint.rules`` names the rule and its check: ``no-knots = "our_rules.checks:no_knots"``.
The check is like those here, ``(piece, rule) -> Iterator[Finding]``; the rule's file, ``no-knots.toml``, lies beside
the module of the check and has the shape of those in ``rules/``.

``importlib.metadata`` takes longer to import than to inspect a plan, so packages are looked through here: one small
file of each, and only where its folder lists one.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from planlint.findings.finding import GRADE_BY_WORD, Finding
from planlint.findings.rulebook import Limit, Rule, read_page, rule_book

if TYPE_CHECKING:
    from planlint.geometry.piece import Piece

GROUP = "planlint.rules"
_Check = Callable[["Piece", Rule], Iterator[Finding]]


@dataclass(frozen=True)
class OwnRule(Rule):
    """A rule whose file lies in another package."""

    file: Path = Path()

    @cached_property
    def page(self) -> Mapping[str, object]:
        return read_page(self.file)


class OwnRules(NamedTuple):
    """What packages bring; ``faults`` tells what could not be taken: the rule's name, and why."""

    rules: Mapping[str, Rule]
    checks: Mapping[str, _Check]
    faults: tuple[tuple[str, str], ...]


@cache
def own_rules() -> OwnRules:
    """The rules that installed packages bring, in the order of their names. Never raises for one of them."""
    rules: dict[str, Rule] = {}
    checks: dict[str, _Check] = {}
    faults: list[tuple[str, str]] = []
    for name, value in sorted(_entries()):
        try:
            if name in rule_book():
                raise ValueError("a rule of this name is in the book already")
            if name in rules:
                raise ValueError("two packages bring a rule of this name")
            check, file = _load(value)
            rules[name] = _rule(name, file)
            checks[name] = _guarded(check)
        except (Exception, SystemExit) as problem:  # Whatever a package of somebody else's does.
            detail = " ".join(str(problem).split())[:200]
            faults.append((name, f"{type(problem).__name__}: {detail}" if detail else type(problem).__name__))
    return OwnRules(rules, checks, tuple(faults))


def every_rule() -> Mapping[str, Rule]:
    """The rule book, and the rules that packages bring behind it."""
    own = own_rules().rules
    return {**rule_book(), **own} if own else rule_book()


def own_files() -> Iterator[Path]:
    """Every file that own rules may depend on: the code and rule files of their packages."""
    own_rules()
    for _, value in _entries():
        name = value.partition(":")[0].strip()
        for each in (name.partition(".")[0], name):
            module = sys.modules.get(each)
            if module and module.__file__:
                top = Path(module.__file__)
                found = top.parent.rglob("*") if top.name == "__init__.py" else top.parent.glob("*")
                yield from (file for file in found if file.suffix in {".py", ".toml"})


def _load(value: str) -> tuple[_Check, Path]:
    from importlib import import_module  # noqa: PLC0415

    module_name, _, attributes = value.partition(":")
    module = import_module(module_name.strip())
    check: object = module
    for attribute in attributes.strip().split("."):
        check = getattr(check, attribute)
    if not callable(check):
        raise TypeError(f"{value} is no function")
    if not module.__file__:
        raise TypeError(f"{module_name} lies in no folder")
    return check, Path(module.__file__).parent


def _guarded(check: _Check) -> _Check:
    """The check, held to what a check may do: yield findings of its rule, or raise an ``Exception``."""

    def guarded(piece: Piece, rule: Rule) -> Iterator[Finding]:
        try:
            for finding in check(piece, rule):
                if not isinstance(finding, Finding) or finding.rule != rule.name:
                    raise TypeError("it gave something that is no finding of its rule")
                yield finding
        except SystemExit as problem:
            raise RuntimeError("it tried to end the program") from problem

    return guarded


def _rule(name: str, folder: Path) -> Rule:
    from planlint.findings.pages import check_page  # noqa: PLC0415 - pydantic: only where there are own rules

    file = folder / f"{name}.toml"
    page = check_page(file.name, read_page(file))
    limits = {
        limit.name: Limit(limit.name, limit.value, limit.unit, limit.basis, limit.source, limit.sense)
        for limit in page.limit
    }
    return OwnRule(name, GRADE_BY_WORD[page.grade], page.order, limits, file)


@cache
def _entries() -> tuple[tuple[str, str], ...]:
    """Name and value of each entry point of the group, from every package that Python would import from."""
    found: dict[tuple[str, str], None] = {}
    here = os.getcwd()  # noqa: PTH109
    for folder in dict.fromkeys(sys.path):
        if (
            not folder or folder == here
        ):  # A collection of plans brings no code, even where it is the current folder.
            continue
        try:
            names = os.listdir(folder)  # noqa: PTH208 - at each start of the program
        except OSError:
            continue
        for name in names:
            if name.endswith((".dist-info", ".egg-info")):
                try:
                    with open(f"{folder}/{name}/entry_points.txt", "rb") as file:  # noqa: PTH123
                        data = file.read()
                except OSError:
                    continue
                if b"planlint.rules" in data:
                    found.update(dict.fromkeys(_section(data.decode("utf-8", "replace"))))
    return tuple(found)


def _section(text: str) -> Iterator[tuple[str, str]]:
    inside = False
    for line in map(str.strip, text.splitlines()):
        if line.startswith("["):
            inside = line.strip("[] \t") == GROUP
        elif inside and "=" in line and not line.startswith(("#", ";")):
            name, _, value = line.partition("=")
            yield name.strip(), value.split("[")[0].strip()

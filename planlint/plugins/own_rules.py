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
from contextlib import redirect_stdout
from dataclasses import dataclass
from functools import cache, cached_property
from math import inf
from pathlib import Path
from time import monotonic
from types import TracebackType
from typing import TYPE_CHECKING, Any, ClassVar, NamedTuple

from planlint.budget.alarm import TimeSpent, alarm, memory_ran_out
from planlint.findings.finding import Finding
from planlint.findings.rulebook import Rule, rule_book
from planlint.rulebook.grades import GRADE_BY_WORD
from planlint.rulebook.rule_files import Limit, read_page
from planlint.text.source import Span

if TYPE_CHECKING:
    from planlint.geometry.piece import Piece

GROUP = "planlint.rules"
OWN = "the workshop's own rule"
"""How everything begins that is told of them."""
NOWHERE = "and is checked in no plan"
"""What is told of one that is not there or cannot be used: the same for every plan with the same settings."""
_SECONDS_TO_LOAD = 10.0
"""Basis: our own judgement; a module that only says what its checks are takes far less."""
_MOST_FINDINGS = 500
"""Of one plan: as many as any rule may tell."""
_PACKAGE = Path(__file__).parent.parent
_Check = Callable[["Piece", Rule], Iterator[Finding]]


class OwnRuleFailed(Exception):  # noqa: N818 - says what happened
    """An own rule raised something, or gave what is no finding; the message says what, and where in its own code."""


class _Unusable(ValueError):  # noqa: N818 - likewise
    """An own rule cannot be used; the message says why, in words for its author."""


@dataclass(frozen=True)
class OwnRule(Rule):
    """A rule whose file lies in another package."""

    without_limits: ClassVar[str] = OWN
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
    """The rules that installed packages bring, in the order of their names.

    Never raises for one of them but ``MemoryError``, where there is too little to load it.
    """
    rules: dict[str, Rule] = {}
    checks: dict[str, _Check] = {}
    faults: dict[str, str] = {}
    for name, value in sorted(_entries()):
        start = monotonic()
        try:
            if name in rule_book():
                raise _Unusable("a rule of this name is in the book already")
            if name in rules:
                raise _Unusable("two packages bring a rule of this name")
            with alarm(_SECONDS_TO_LOAD), redirect_stdout(sys.stderr):
                check, folder = _load(value)
                rule = _rule(name, folder)
            rules[name], checks[name] = rule, _guarded(check, folder)
        except _Unusable as problem:
            faults[name] = str(problem)
        except TimeSpent as problem:
            took = f"{monotonic() - start:.1f} seconds{_place(problem.__traceback__)}"
            faults[name] = f"loading it was stopped after {took}"
        except (Exception, SystemExit) as problem:  # Whatever a package of somebody else's does.
            if memory_ran_out(problem):
                raise MemoryError from problem
            faults[name] = _told(problem, _place(problem.__traceback__))
    return OwnRules(rules, checks, tuple(faults.items()))


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
        raise _Unusable(f"{value} is no function")
    if not module.__file__:
        raise _Unusable(f"{module_name} lies in no folder")
    return check, Path(module.__file__).parent


_ENDED: Any = object()


def _guarded(check: _Check, folder: Path) -> _Check:
    """The check, held to what a check may do: yield findings of its rule, or raise ``OwnRuleFailed``."""

    def guarded(piece: Piece, rule: Rule) -> Iterator[Finding]:
        try:
            found: set[Finding] = set()
            given_so_far = 0
            with redirect_stdout(sys.stderr):  # A report may be on its way where it prints.
                given = iter(check(piece, rule))
            while True:
                with redirect_stdout(sys.stderr):
                    finding = next(given, _ENDED)
                if finding is _ENDED:
                    break
                if not isinstance(finding, Finding) or finding.rule != rule.name:
                    raise OwnRuleFailed(f"it gave something that is no finding of its rule{_start(check)}")
                wrong = _wrong(finding)
                if wrong:
                    raise OwnRuleFailed(f"it gave a finding with {wrong}{_start(check)}")
                given_so_far += 1
                if given_so_far > _MOST_FINDINGS:
                    raise OwnRuleFailed(
                        f"it gave more than {_MOST_FINDINGS} findings of one plan{_start(check)}"
                    )
                if finding not in found:
                    found.add(finding)
                    yield finding
        except TimeSpent as problem:
            raise TimeSpent(_place(problem.__traceback__, folder)) from problem
        except OwnRuleFailed:
            raise
        except (Exception, SystemExit) as problem:
            if memory_ran_out(problem):
                raise MemoryError from problem
            where = _place(problem.__traceback__, folder) or _start(check)
            if isinstance(problem, SystemExit):
                raise OwnRuleFailed(f"it tried to end the program{where}") from problem
            raise OwnRuleFailed(_told(problem, where)) from problem

    return guarded


def _wrong(finding: Finding) -> str:
    """What a finding has that no report could tell; nothing where it is right."""
    words = (finding.says, finding.basis, finding.kind, *(each.says for each in finding.repairs))
    names = (*finding.parts, *(each for each in (finding.joint, finding.against) if each is not None))
    if not (isinstance(finding.span, Span) and all(isinstance(each, int) for each in finding.span)):
        return "a span that is none"
    if not all(isinstance(each, str) for each in (*words, *names)) or not isinstance(
        finding.unit, str | None
    ):
        return "words that are none"
    return "" if finding.says.strip() else "no words"


def _told(problem: BaseException, where: str) -> str:
    detail = " ".join(str(problem).split())
    detail = f": {detail[:200]}{'…' if len(detail) > 200 else ''}" if detail else ""
    return f"{type(problem).__name__}{where}{detail}"


def _place(at: TracebackType | None, folder: Path | None = None) -> str:
    """The innermost place of a failure in its author's code: in a folder, else wherever it is not ours."""
    near = far = ""
    while at:
        file = Path(at.tb_frame.f_code.co_filename)
        where = f" in {file}, line {at.tb_lineno}"
        if folder and folder in file.parents:
            near = where
        elif _PACKAGE not in file.parents and not file.name.startswith("<"):
            far = where
        at = at.tb_next
    return near or far


def _start(check: _Check) -> str:
    """Where a check begins, as far as it is a plain function."""
    code = getattr(check, "__code__", None)
    return f" in {code.co_filename}, line {code.co_firstlineno}" if code else ""


def _rule(name: str, folder: Path) -> Rule:
    import tomllib  # noqa: PLC0415 - only where there are own rules

    from planlint.rulebook.rule_page import check_page  # noqa: PLC0415 - pydantic: likewise

    file = folder / f"{name}.toml"
    try:
        page = check_page(file.name, tomllib.loads(file.read_bytes().decode("utf-8")), called=str(file))
    except OSError as problem:
        raise _Unusable(f"its file {file} cannot be read: {problem.strerror}") from problem
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as problem:
        says = str(problem)
        raise _Unusable(f"its file {file} is not TOML: {says[:1].lower()}{says[1:]}") from problem
    except ValueError as problem:
        raise _Unusable(f"its file {problem}") from problem
    limits = {
        limit.name: Limit(
            limit.name,
            limit.value,
            limit.unit,
            limit.basis,
            limit.source,
            limit.sense,
            *(limit.range or (0, inf)),
        )
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

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
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager, redirect_stdout, suppress
from dataclasses import dataclass
from functools import cache, cached_property
from math import inf
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from planlint.budget.alarm import memory_ran_out
from planlint.budget.copied_process import CAN_COPY, CodePlace, Ended, Late, each_apart
from planlint.findings.finding import Finding
from planlint.findings.rules_in_force import Rule, rule_book
from planlint.rulebook.grades import GRADE_BY_WORD
from planlint.rulebook.rule_files import Limit, read_page
from planlint.text.decode import utf8
from planlint.text.os_error_words import refused_by_system
from planlint.text.source import Mistake

if TYPE_CHECKING:
    from planlint.geometry.piece import Piece

GROUP = "planlint.rules"
OWN = "the workshop's own rule"
"""How everything begins that is told of them."""
_SECONDS_TO_LOAD = 10.0
"""Basis: our own judgement; a module that only says what its checks are takes far less."""
_PACKAGE_FILE = "__init__.py"
_PACKAGE = Path(__file__).parent.parent


class OwnCheck(NamedTuple):
    """A check, and the folder of its module."""

    ask: Callable[[Piece, Rule], Iterator[Finding]]
    folder: Path

    @property
    def start(self) -> str:
        """Where it begins, as far as it is a plain function."""
        code = getattr(self.ask, "__code__", None)
        return f" in {code.co_filename}, line {code.co_firstlineno}" if code else ""


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
    checks: Mapping[str, OwnCheck]
    faults: tuple[tuple[str, str], ...]


@cache
def own_rules() -> OwnRules:
    """The rules that installed packages bring, in the order of their names.

    Never raises for one of them but ``MemoryError``, where there is too little to load it.
    """
    rules: dict[str, Rule] = {}
    checks: dict[str, OwnCheck] = {}
    faults: dict[str, str] = {}
    found: dict[str, str] = {}
    for name, value in sorted(_entries()):
        if name in rule_book():
            faults[name] = "a rule of this name is in the book already"
        elif name in found:
            faults[name] = "two packages bring a rule of this name"
        else:
            found[name] = value
    broken = dict(_tried(found))
    faults.update(broken)
    for name, value in found.items():
        if name in broken:
            continue
        try:
            with said_beside():
                checks[name] = _load(value)
            rules[name] = _rule(name, checks[name].folder)
        except (Exception, SystemExit) as problem:  # Whatever a package of somebody else's does.
            faults[name] = _why_not(problem)
    return OwnRules(rules, checks, tuple(sorted(faults.items())))


def _tried(entries: Mapping[str, str]) -> Iterator[tuple[str, str]]:
    """Rules that cannot be loaded, and why: each is loaded in a copy of this process first."""

    def load(names: tuple[str, ...]) -> Iterator[str | None]:
        for name in names:
            try:
                _rule(name, _load(entries[name]).folder)
            except MemoryError:
                yield None
            except (Exception, SystemExit) as problem:
                yield None if memory_ran_out(problem) else _why_not(problem)
            else:
                yield ""

    for name, told in each_apart(entries if CAN_COPY else (), load, lambda _: _SECONDS_TO_LOAD):
        if told is None:
            raise MemoryError
        if isinstance(told, Late):
            yield name, f"loading it was stopped after {_SECONDS_TO_LOAD:g} seconds{innermost(told.places)}"
        elif isinstance(told, Ended):
            yield name, f"loading it ended the process that did it, {told}"
        elif told:
            yield name, told


def _why_not(problem: BaseException) -> str:
    """Raises ``MemoryError`` where that is why."""
    if isinstance(problem, _Unusable):
        return str(problem)
    if memory_ran_out(problem):
        raise MemoryError from problem
    return problem_told(problem, innermost(traced(problem.__traceback__)))


@contextmanager
def said_beside() -> Iterator[None]:
    """What is printed in here, by this process or one that it starts, goes to standard error."""
    with suppress(OSError, ValueError, AttributeError):  # Whatever takes the place of a console.
        sys.stdout.flush()
    try:
        kept = os.dup(1)
        os.dup2(2, 1)
    except OSError:
        kept = None
    try:
        with redirect_stdout(sys.stderr):
            yield
    finally:
        if kept is not None:
            os.dup2(kept, 1)
            os.close(kept)


def every_rule() -> Mapping[str, Rule]:
    """The rule book, and the rules that packages bring behind it."""
    own = own_rules().rules
    return {**rule_book(), **own} if own else rule_book()


def own_files() -> Iterator[Path]:
    """Every file that own rules may depend on: all of their packages, and the code of what those import."""
    own_rules()
    needed: set[str] = set()
    for _, value in _entries():
        name = value.partition(":")[0].strip()
        for each in (name.partition(".")[0], name):
            module = sys.modules.get(each)
            if module and module.__file__:
                place = Path(module.__file__)
                files = list(_beside(place))
                yield from files
                for file in files if place.name == _PACKAGE_FILE else [place]:
                    needed |= _imports(file)
    seen = {"planlint", *sys.stdlib_module_names}
    while needed - seen:
        for name in needed - seen:
            seen.add(name)
            code = _file_of(name)
            if code and code.name == _PACKAGE_FILE:
                yield from (each for each in _beside(code) if each.suffix == ".py")
            elif code:
                yield code
                needed |= _imports(code)


def _beside(module: Path) -> Iterator[Path]:
    """The files that lie with a module, and those below where it stands for a package."""
    found = module.parent.rglob("*") if module.name == _PACKAGE_FILE else module.parent.glob("*")
    for file in found:
        kept = "__pycache__" not in file.parts and not file.name.startswith(".")
        if kept and file.is_file() and os.access(file, os.R_OK):
            yield file


def _imports(file: Path) -> set[str]:
    """The packages that a file of code imports by name, now or later."""
    if file.suffix != ".py":
        return set()
    import ast  # noqa: PLC0415 - only where there are own rules

    try:
        nodes = list(ast.walk(ast.parse(file.read_bytes())))
    except (SyntaxError, ValueError, RecursionError):
        return set()
    named = [each.name for node in nodes if isinstance(node, ast.Import) for each in node.names]
    named += [node.module or "" for node in nodes if isinstance(node, ast.ImportFrom) and not node.level]
    return {name.partition(".")[0] for name in named}


def _file_of(package: str) -> Path | None:
    from importlib.util import find_spec  # noqa: PLC0415 - likewise

    with suppress(ImportError, ValueError):
        spec = find_spec(package)
        return Path(spec.origin) if spec and spec.has_location and spec.origin else None
    return None


def _load(value: str) -> OwnCheck:
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
    return OwnCheck(check, Path(module.__file__).parent)


def problem_told(problem: BaseException, where: str) -> str:
    detail = " ".join(str(problem).split())
    detail = f": {detail[:200]}{'…' if len(detail) > 200 else ''}" if detail else ""
    return f"{type(problem).__name__}{where}{detail}"


def traced(at: TracebackType | None) -> list[CodePlace]:
    places = []
    while at:
        places.append((at.tb_frame.f_code.co_filename, at.tb_lineno))
        at = at.tb_next
    return places


def innermost(places: Iterable[CodePlace], folder: Path | None = None) -> str:
    """The innermost place in its author's code: in a folder, else wherever it is not ours."""
    near = far = ""
    for name, line in places:
        file = Path(name)
        where = f" in {file}, line {line}"
        if folder and folder in file.parents:
            near = where
        elif _PACKAGE not in file.parents and not name.startswith("<"):
            far = where
    return near or far


def _rule(name: str, folder: Path) -> Rule:
    import tomllib  # noqa: PLC0415 - only where there are own rules

    from planlint.rulebook.rule_page import check_page  # noqa: PLC0415 - pydantic: likewise

    file = folder / f"{name}.toml"
    try:
        text = utf8(file.read_bytes())
        if isinstance(text, Mistake):
            raise _Unusable(f"its file {file} cannot be read: {text.says}")
        page = check_page(file.name, tomllib.loads(text), called=str(file))
    except OSError as problem:
        raise _Unusable(f"its file {file} cannot be read: {refused_by_system(problem)}") from problem
    except tomllib.TOMLDecodeError as problem:
        says = str(problem)
        raise _Unusable(f"its file {file} is not TOML: {says[:1].lower()}{says[1:]}") from problem
    except ValueError as problem:
        raise _Unusable(f"its file {problem}") from problem
    limits = {}
    for each in page.limit:
        low, high = each.range or (0, inf)
        about = each.unit, each.basis, each.source, each.sense
        limits[each.name] = Limit(each.name, each.value, *about, low, high, each.between)
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

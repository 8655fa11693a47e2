"""The rule book: one file a rule under ``rules/``, read into plain frozen data.

A file ``rules/NAME.toml`` holds ``name``, ``grade``, ``question``, ``why``, ``repair``, ``order`` and any number of
``[[limit]]`` (name, value, unit, sense, range, basis, source, note) and ``[[case]]`` (title, plan, findings, mended).
``rulebook.rule_page`` has the strict model of it, for the tests and for ``make_ready``.

A run needs the names, grades and limits only, and reading some thirty TOML files would cost more than a small
inspection. So these come from ``_ready/rules.bin``, which carries a mark made from the bytes of the rule files:
whenever the two differ, the files decide. Long texts and cases are read from the file of a rule when asked for.
"""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from math import inf
from pathlib import Path
from typing import Any

from planlint.rulebook.grades import GRADE_BY_WORD, Grade
from planlint.rulebook.ready_made import READY_FOLDER, files_mark, ready_or_made, write_ready
from planlint.text.resources import resource

_READY = READY_FOLDER / "rules.bin"
_LimitRow = tuple[str, float, str, str, str | None, str | None, float, float, bool]
_Row = tuple[str, int, int, tuple[_LimitRow, ...]]


@dataclass(frozen=True, slots=True)
class Limit:
    """A number that a rule judges by, in ``unit``, and what it rests on."""

    name: str
    value: float
    unit: str
    basis: str
    source: str | None = None
    sense: str | None = None
    """``least`` or ``most``: on which side of the value a plan is sound."""
    lowest: float = 0.0
    highest: float = inf
    """Between which a shop may set it: outside of these it makes no sense, or nothing can be laid out by it."""
    between: bool = False
    """Whether it is of what stands between two things: with less than nothing they share it."""
    shop: str = ""
    """Where the shop set it: ``planlint.toml, line 4``; empty for the rule's own."""

    @property
    def told(self) -> str:
        """The basis as a report says it: a published source by its name, a limit of the shop by its place."""
        if self.shop:
            return f"the shop's own limit: {self.shop}"
        return f"{self.basis}: {self.source}" if self.source else self.basis


@dataclass(frozen=True, slots=True)
class Case:
    """A worked plan and what the rule must say of it: ``("lone-screw on rail.left",)``; empty for a sound plan."""

    title: str
    plan: str
    findings: tuple[str, ...]
    mended: str | None = None
    """The plan as mending leaves it; ``None`` where nothing is changed."""


@dataclass(frozen=True)
class RulePages:
    """One rule of the book. Its question, reasons and cases are read from its file when first asked for."""

    name: str
    grade: Grade
    order: int
    limits: Mapping[str, Limit]

    @cached_property
    def page(self) -> Mapping[str, object]:
        """Everything in the rule's file. Raises ``OSError`` where the file cannot be read."""
        return read_page(rules_folder() / f"{self.name}.toml")

    @property
    def question(self) -> str:
        return str(self.page["question"])

    @property
    def why(self) -> str:
        return str(self.page["why"])

    @property
    def repair(self) -> str:
        """The repair that the rule offers, in general words."""
        return str(self.page["repair"])

    @property
    def cases(self) -> tuple[Case, ...]:
        tables = self.page.get("case", [])
        assert isinstance(tables, list)
        return tuple(
            Case(case["title"], case["plan"], tuple(case["findings"]), case.get("mended")) for case in tables
        )

    def note(self, limit: str) -> str:
        """What the file adds to one of its limits; empty where it adds nothing."""
        tables = self.page.get("limit", [])
        assert isinstance(tables, list)
        return next((str(table.get("note", "")) for table in tables if table["name"] == limit), "")


def rules_folder() -> Path:
    """Where the rule files lie."""
    return resource("rules")


@cache
def book_pages() -> Mapping[str, RulePages]:
    """All rules by name, in the order of the catalogue.

    Raises ``ValueError`` where a rule's file is broken: a fault of this program, never of a plan.
    """
    files = _rule_files()
    rows: tuple[_Row, ...] = ready_or_made(_READY, files_mark(files), lambda: _rows(files))
    return {
        name: RulePages(name, Grade(grade), order, {limit[0]: Limit(*limit) for limit in limits})
        for name, grade, order, limits in rows
    }


def make_ready() -> Path:
    """Check every rule file (by pydantic, where that is installed) and write the ready-made book.

    Returns the file written. Raises ``ValueError`` for a broken rule file, ``OSError`` where the place is read-only.
    """
    files = _rule_files()
    try:
        import pydantic as _  # noqa: F401, PLC0415 - the build environment need not have it
    except ImportError:
        pass
    else:
        from planlint.rulebook.rule_page import check_page  # noqa: PLC0415 - pydantic is slow to import

        for file_name, data in files:
            check_page(file_name, _parse(data, file_name))
    write_ready(_READY, files_mark(files), _rows(files))
    return _READY


def _rule_files() -> list[tuple[str, bytes]]:
    folder = rules_folder()
    names = sorted(name for name in os.listdir(folder) if name.endswith(".toml"))  # noqa: PTH208
    found = []
    for name in names:
        with open(folder / name, "rb") as file:  # noqa: PTH123 - at each start of the program
            found.append((name, file.read()))
    return found


def _rows(files: list[tuple[str, bytes]]) -> tuple[_Row, ...]:
    rows = []
    for file_name, data in files:
        page = _parse(data, file_name)
        try:
            limits = tuple(
                (
                    str(limit["name"]),
                    float(limit["value"]),
                    str(limit["unit"]),
                    str(limit["basis"]),
                    limit.get("source"),
                    limit.get("sense"),
                    *map(float, limit.get("range", (0, inf))),
                    bool(limit.get("between")),
                )
                for limit in page.get("limit", [])
            )
            rows.append((str(page["name"]), int(GRADE_BY_WORD[page["grade"]]), int(page["order"]), limits))
        except (KeyError, TypeError, AttributeError) as problem:
            raise ValueError(f"rules/{file_name} is not a rule: {problem!r}") from problem
    return tuple(sorted(rows, key=lambda row: (row[2], row[0])))


def read_page(path: Path) -> Mapping[str, object]:
    """Everything in a rule file. Raises ``OSError`` where it cannot be read, ``ValueError`` where it is broken."""
    return _parse(path.read_bytes(), path.name)


def _parse(data: bytes, file_name: str) -> dict[str, Any]:
    import tomllib  # noqa: PLC0415 - only where the ready-made book does not serve

    try:
        return tomllib.loads(data.decode("utf-8"))
    except ValueError as problem:
        raise ValueError(f"rules/{file_name} cannot be read: {problem}") from problem

"""The settings in force for each plan of a run, and where each value comes from."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import fields, replace
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from planlint.model.workshop import Buying, DrillingProfile, Humidity, Settings, ShopScrews, Viewer
from planlint.rulebook.grades import OFF
from planlint.rulebook.limits import Limits
from planlint.settings.settings_root import SETTINGS_FILE, Finder, folder_of
from planlint.text.decode import decode, shown
from planlint.text.os_error_words import refused_by_system
from planlint.text.plain_file import plain_bytes
from planlint.text.source import Mistake, PlanText, Span

if TYPE_CHECKING:
    from planlint.rulebook.rule_files import Limit
    from planlint.settings.shop_file import Setting, ShopFile
    from planlint.settings.toml_places import KeyPath as Keys

_MOST_BYTES = 1_000_000
"""A settings file is well under this. Basis: own judgement."""


class SettingsBroken(ValueError):  # noqa: N818 - says what happened
    """A settings file has mistakes in it; no plan it holds for can be inspected."""

    def __init__(self, source: PlanText, mistakes: list[Mistake], *, again: bool = False) -> None:
        self.source = source
        self.mistakes = mistakes
        if again:
            super().__init__(f"the settings {source.path} have mistakes in them, told with the first plan")
            return
        more = [f"and {len(mistakes) - 10} more"] if len(mistakes) > 10 else []
        super().__init__("; ".join([*self.told[:10], *more]))

    @property
    def told(self) -> list[str]:
        """Each mistake with its place."""
        places = (self.source.position(each.span.start) for each in self.mistakes)
        return [
            f"{self.source.path}, line {line}, column {column}: {each.says}"
            for (line, column), each in zip(places, self.mistakes, strict=True)
        ]


class InForce(NamedTuple):
    """The settings for one folder of plans, and the file and the values in it that they come from."""

    settings: Settings
    file: Path | None
    source: PlanText | None
    said: Mapping[Keys, Setting]


class Shop:
    """Settings by the folders of plans; each file is read once."""

    def __init__(self) -> None:
        self.finder = Finder()
        self._told: set[str] = set()
        self._excluding: dict[Path, set[str]] = {}
        """The patterns of each file that something was excluded by."""
        self._files: dict[Path, ShopFile | SettingsBroken] = {}
        self._in_force: dict[str, InForce] = {}
        self._made: dict[tuple[Path, tuple[str, ...]], InForce] = {}
        """By the file and the sections of it: thousands of folders share one."""

    def settings_for(self, path: str) -> Settings:
        """The settings for a plan, by its path (``-`` for standard input).

        Raises ``SettingsBroken``, which tells the mistakes of a file in full for the first plan only.
        """
        try:
            return self.in_force(path).settings
        except SettingsBroken as broken:
            again = broken.source.path in self._told
            self._told.add(broken.source.path)
            raise SettingsBroken(broken.source, broken.mistakes, again=again) from None

    def in_force(self, path: str) -> InForce:
        """The settings for a plan, with where they come from. Raises ``SettingsBroken``."""
        folder = os.path.abspath(folder_of(path))  # noqa: PTH100
        known = self._in_force.get(folder)
        if known is None:
            file = self.finder.settings_file(folder)
            if file is None:
                known = InForce(_DEFAULT, None, None, {})
            else:
                shop_file = self._read(file)
                sections = shop_file.sections(_below(folder, file.parent))
                known = self._made.get((file, sections))
                if known is None:
                    said = shop_file.in_force(sections)
                    known = self._made[file, sections] = InForce(
                        _made(said, shop_file.source), file, shop_file.source, said
                    )
            self._in_force[folder] = known
        return known

    def left_out(self, path: str) -> bool:
        """Whether the settings exclude a plan that a folder holds. Raises ``SettingsBroken``."""
        file = self.finder.settings_file(folder_of(path))
        if file is None:
            return False
        patterns = self._read(file).exclude
        if not patterns:
            return False
        name = _below(os.path.abspath(path), file.parent)  # noqa: PTH100
        matching = [pattern for pattern in patterns if _matches(name, pattern)]
        self._excluding.setdefault(file, set()).update(matching)
        return bool(matching)

    def idle(self, folders: Iterable[str], plans: Iterable[str]) -> Iterator[str]:
        """What to tell of settings without effect: patterns that excluded nothing, tables of folders that have settings
        or a repository of their own; where the folder that their file lies in was looked through.

        ``folders`` are all that were looked through, ``plans`` what they gave.
        """
        looked = []
        for folder in folders:
            looked.append(os.path.realpath(folder))
            own = self.finder.settings_file(folder)
            if own:
                with suppress(
                    SettingsBroken
                ):  # It may hold for no plan at all: where one is below, it is told there.
                    self._read(own)
        files = [file for file, read in self._files.items() if not isinstance(read, SettingsBroken)]
        for file in files:
            shop_file = self._read(file)
            place = os.path.realpath(file.parent)
            if any(place == each or place.startswith(each.rstrip(os.sep) + os.sep) for each in looked):
                yield from self.overridden(file)
                used = self._excluding.get(file, ())
                idle = [pattern for pattern in dict.fromkeys(shop_file.exclude) if pattern not in used]
                if idle:
                    where = f"{shop_file.source.path}, {_line_of(shop_file, shop_file.settings['exclude',])}"
                    below = [
                        each
                        for each in map(os.path.abspath, plans)
                        if each.startswith(f"{file.parent}{os.sep}")
                    ]
                    yield from (f"{where}: {self._idle(pattern, file, below)}" for pattern in idle)

    def _idle(self, pattern: str, file: Path, plans: Iterable[str]) -> str:
        """Why a pattern excludes nothing; ``plans`` lie below its file."""
        for plan in plans:
            if _matches(_below(plan, file.parent), pattern):
                return f"`{pattern}` of exclude does not hold for {_below(plan, file.parent)}: {self._instead(plan)}"
        return f"`{pattern}` of exclude matches no plan here"

    def _instead(self, plan: str) -> str:
        """What keeps the settings further out from a plan."""
        own = self.finder.settings_file(folder_of(plan))
        if own:
            return f"{os.path.relpath(own)} is in force there"
        return f"{os.path.relpath(self.finder.root(folder_of(plan)))} is a git repository of its own"

    def overridden(self, file: Path) -> Iterator[str]:
        """What to tell of tables of a file for folders in which it is not in force."""
        shop_file = self._read(file)
        for name, section in shop_file.folders.items():
            inside = str(file.parent / name / "-.plan")
            if section and self.finder.settings_file(folder_of(inside)) != file:
                where = f"{shop_file.source.path}, {_line_of(shop_file, next(iter(section.values())))}"
                yield f"{where}: what [folders.{name}] says has no effect: {self._instead(inside)}"

    def owner_of(self, path: str) -> str:
        """Whose a plan is, as its settings say by folder; empty where they do not, or cannot be read."""
        return self._word("owner", path)

    def rule_pages(self, folder: str) -> str:
        """Where pages about the rules lie; empty likewise."""
        return self._word("rule-pages", os.path.join(folder, ""))  # noqa: PTH118

    def _word(self, key: str, path: str) -> str:
        try:
            said = self.in_force(path).said.get((key,))
        except SettingsBroken:
            return ""
        return said.value if said else ""

    def _read(self, file: Path) -> ShopFile:
        known = self._files.get(file)
        if known is None:
            known = self._files[file] = _read(file)
        if isinstance(known, SettingsBroken):
            raise SettingsBroken(known.source, known.mistakes)
        return known


_DEFAULT = Settings()
_OF_REPORTS = frozenset({"exclude", "owner", "rule-pages"})
"""Settings by which no plan is judged."""


def _line_of(file: ShopFile, setting: Setting) -> str:
    return f"line {file.source.position(setting.place.start).line}"


def _below(path: str, root: Path) -> str:
    return os.path.relpath(path, root).replace(os.sep, "/")


def _matches(name: str, pattern: str) -> bool:
    """Whether a name from the root is excluded: by a folder's or file's own name, or by a pattern with ``*``."""
    from fnmatch import fnmatchcase  # noqa: PLC0415 - only where the settings exclude something

    pattern = pattern.replace("\\", "/").removeprefix("./").rstrip("/")
    pieces = name.split("/")
    starts = ["/".join(pieces[:end]) for end in range(1, len(pieces) + 1)]
    if "/" not in pattern:
        return any(fnmatchcase(piece, pattern) for piece in pieces)
    written = pattern.lstrip("/")
    # `**/` may stand for no folder at all.
    return any(fnmatchcase(start, each) for start in starts for each in {written, written.replace("**/", "")})


def _read(file: Path) -> ShopFile | SettingsBroken:
    from planlint.plugins.own_rules import every_rule, own_rules  # noqa: PLC0415 - only where there is a settings file
    from planlint.settings.shop_file import ShopFile, read_shop_file  # noqa: PLC0415

    path = os.path.relpath(file)
    try:
        data = read_inside(file, file.parent, _MOST_BYTES)
        text = decode(path, data)
    except (OSError, ValueError) as problem:
        says = refused_by_system(problem)
        return SettingsBroken(PlanText(path, ""), [Mistake(Span(0, 0), f"it cannot be read: {says}")])
    if isinstance(text, Mistake):
        return SettingsBroken(PlanText(path, shown(data)), [text])
    found = read_shop_file(text, every_rule(), dict(own_rules().faults), str(file.parent))
    return found if isinstance(found, ShopFile) else SettingsBroken(text, found)


def read_inside(file: Path, root: Path, most: int) -> bytes:
    """The bytes of a plain file that lies inside a folder, links followed. Raises ``OSError`` or ``ValueError``."""
    try:
        real = file.resolve(strict=True)
    except RuntimeError as problem:
        raise ValueError("its links lead in a ring") from problem
    if not real.is_relative_to(root.resolve()):
        raise ValueError("it is a link that leads out of its collection")
    return plain_bytes(real, most, follow=False)  # A link that was put there just now is not followed.


# ---------------------------------------------------------------- from values to settings


def _made(said: Mapping[Keys, Setting], source: PlanText) -> Settings:
    from planlint.plugins.own_rules import every_rule  # noqa: PLC0415 - only where there is a settings file
    from planlint.settings.shop_file import PACKAGE_KEY  # noqa: PLC0415

    tables: dict[str, dict[str, Any]] = {}
    limits: dict[tuple[str, str], Limit] = {}
    grades: dict[str, str] = {}
    changes: dict[str, Any] = {}
    for keys, setting in said.items():
        if keys[0] == "rules":
            _, rule, key = keys
            if key == "grade":
                grades[str(rule)] = setting.value
            elif key != PACKAGE_KEY:
                usual = every_rule()[str(rule)].limits[str(key)]
                where = f"{SETTINGS_FILE}, line {source.position(setting.place.start).line}"
                limits[str(rule), str(key)] = replace(usual, value=setting.value, shop=where)
        elif keys == ("most-items",):
            changes["most_items"] = setting.value
        elif keys[0] not in _OF_REPORTS:
            tables.setdefault(str(keys[0]), {})[str(keys[1]).replace("-", "_")] = setting.value
    if "drilling" in tables:
        changes["profile"] = replace(DrillingProfile(), **tables["drilling"])
    if "viewer" in tables:
        changes["viewer"] = replace(Viewer(), **tables["viewer"])
    if "screws" in tables:
        changes["screws"] = _screws(tables["screws"])
    if "humidity" in tables:
        changes["humidity"] = Humidity(*tables["humidity"]["range"])
    if "stock" in tables:
        changes["stock"] = tables["stock"]["kept"]
    if "buying" in tables:
        changes["buying"] = _buying(tables["buying"])
    missing = tuple(
        (str(keys[1]), _to_install(str(keys[1]), setting, source))
        for keys, setting in said.items()
        if keys[0] == "rules" and keys[2] == PACKAGE_KEY and grades.get(str(keys[1])) != OFF
    )
    return Settings(limits=Limits(limits), grades=grades, not_installed=missing, **changes)


def _to_install(rule: str, setting: Setting, source: PlanText) -> str:
    package = f"`pip install {setting.value}`" if setting.value else "install the package that brings it"
    where = f"{source.path}, line {source.position(setting.place.start).line}, names it"
    return f'{where}: {package}, or say `{rule} = "off"` under [rules]'


def _buying(table: dict[str, Any]) -> Buying:
    """Lengths as fractions finer than any rule, inch or metric; spares as a share."""
    changes: dict[str, Any] = {
        key: Fraction(value).limit_denominator(127 * 64) if isinstance(value, float) else value
        for key, value in table.items()
    }
    if "spare_screws" in table:
        changes["spare_screws"] = table["spare_screws"] / 100
    return replace(Buying(), **changes)


def _screws(table: dict[str, Any]) -> ShopScrews:
    usual = ShopScrews()
    gauges = {thread: table.pop(f"{thread}_gauge", gauge) for thread, gauge in usual.gauges}
    if "lengths" in table:
        # Who lists his screws has no others, by whatever name, unless he lists those too.
        table.setdefault("metric_lengths", ())
    assert set(table) <= {each.name for each in fields(ShopScrews)}
    return replace(usual, gauges=tuple(gauges.items()), **table)

"""A ``planlint.toml`` read and checked: its values by folder, each with its place, or every mistake in it."""

import os
import re
from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from math import inf
from typing import Any

from planlint.findings.rules_in_force import Rule
from planlint.language.reader import read
from planlint.language.syntax_tree import StockLine
from planlint.model.elaboration_state import Workings
from planlint.model.mistake_log import MistakeLog
from planlint.model.nearest_name import nearest, offered
from planlint.model.provenance import LineSaid
from planlint.model.stock_statements import add_stock
from planlint.model.timber import nearest_material
from planlint.rulebook.grades import GRADE_BY_WORD, OFF
from planlint.settings.broken_toml import not_toml, value_taken_out, without_broken_lines
from planlint.settings.limit_ranges import in_range
from planlint.settings.toml_places import KeyPath, KeyPlace, places_of
from planlint.text.source import Mistake, PlanText, Span

_NAME_OF_A_PACKAGE = re.compile(r"[A-Za-z0-9]([A-Za-z0-9._-]*[A-Za-z0-9])?")
_GRADE = "grade"
PACKAGE_KEY = "package"
"""Behind the name of a workshop's own rule: what brings it."""
_ONLY_AT_THE_TOP = frozenset({"exclude", "most-items", "rule-pages"})
_BELOW_A_TABLE = (
    "{0} belongs to no table: write it above the first line in square brackets, such as `[rules]`"
)
_TABLES = ("drilling", "screws", "humidity", "stock", "buying")
"""The tables of which each key has one home."""
_DEEPEST = "this file is nested too deep to be settings"


@dataclass(frozen=True)
class Setting:
    """One value of the file: what it comes to, and where it stands."""

    value: Any
    place: Span


@dataclass(frozen=True)
class ShopFile:
    """What a settings file says. Keys of a setting are those of the file, a rule's limit by its own name."""

    source: PlanText
    settings: Mapping[KeyPath, Setting]
    """For the whole collection."""
    folders: Mapping[str, Mapping[KeyPath, Setting]]
    """For folders, by their paths from the root."""
    exclude: tuple[str, ...] = ()

    def sections(self, folder: str) -> tuple[str, ...]:
        """The folder sections that hold for a folder, by its path from the root: the nearest last."""
        found = [name for name in self.folders if name in {folder, "."} or folder.startswith(f"{name}/")]
        return tuple(sorted(found, key=lambda name: (name != ".", name.count("/"))))

    def in_force(self, sections: tuple[str, ...]) -> dict[KeyPath, Setting]:
        """What holds where these sections do: of each setting the last word."""
        merged = dict(self.settings)
        for name in sections:
            merged.update(self.folders[name])
        return merged


def read_shop_file(
    source: PlanText,
    rules: Mapping[str, Rule],
    unusable: Container[str] = frozenset(),
    root: str | None = None,
) -> ShopFile | list[Mistake]:
    """The settings in a text, or every mistake in it, in order.

    Rules that are ``unusable`` may be graded, so that they can be switched off. ``root`` is the folder that the file
    lies in, to tell of folders that are not there.
    """
    import tomllib  # noqa: PLC0415 - only where there is a settings file

    try:
        text, raw, broken = without_broken_lines(source)
        places = places_of(text.text)
    except tomllib.TOMLDecodeError as problem:
        return [not_toml(source, str(problem))]
    except RecursionError:
        return [Mistake(Span(0, 0), _DEEPEST)]
    except ValueError as problem:  # A whole number of thousands of digits.
        return [Mistake(Span(0, 0), f"this file cannot be read as settings: {problem}")]
    reading = _ShopReading(text, places, rules, unusable, root)
    found = reading.read(raw)
    reading.mistakes += broken
    return sorted(set(reading.mistakes)) if reading.mistakes or found is None else found


@dataclass
class _ShopReading:
    source: PlanText
    places: Mapping[KeyPath, KeyPlace]
    rules: Mapping[str, Rule]
    unusable: Container[str]
    root: str | None
    mistakes: list[Mistake] = field(default_factory=list)

    def read(self, raw: dict[str, Any]) -> ShopFile | None:
        from pydantic import ValidationError  # noqa: PLC0415

        from planlint.settings.setting_tables import WholeTable  # noqa: PLC0415

        try:
            said = WholeTable.model_validate(raw)
        except ValidationError as problem:
            errors = problem.errors(include_url=False)
            for error in errors:
                self._tell(error, WholeTable)
            for error in errors:
                value_taken_out(raw, [each for each in error["loc"] if not _made_up(each)])
            try:  # Whatever else is wrong is told in the same run.
                said = WholeTable.model_validate(raw)
            except ValidationError:
                return None
        folders: dict[str, dict[KeyPath, Setting]] = {}
        for name, section in said.folders.items():
            path = self._folder(name)
            if path in folders:
                says = f"the folder {path} has a table already, by another spelling: put the two together"
                self.mistakes.append(Mistake(self._key_at(("folders", name)), says))
            elif path is not None:
                folders[path] = dict(self._section(section, ("folders", name)))
        settings = dict(self._section(said, ()))
        top = (("most-items", said.most_items), ("rule-pages", said.rule_pages), ("exclude", said.exclude))
        settings.update({(key,): Setting(value, self._value_at((key,))) for key, value in top if value})
        return ShopFile(self.source, settings, folders, said.exclude)

    # ------------------------------------------------------------ places

    def _place_of(self, path: KeyPath) -> KeyPlace:
        """Where a key and its value stand, or the nearest above it that have a place."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places[path] if path else KeyPlace(Span(0, 0), Span(0, 0))

    def _key_at(self, path: KeyPath) -> Span:
        return self._place_of(path).key

    def _value_at(self, path: KeyPath) -> Span:
        return self._place_of(path).value

    # ------------------------------------------------------------ mistakes of form

    def _tell(self, error: Any, model: Any) -> None:
        from planlint.settings.setting_tables import BOUNDS  # noqa: PLC0415 - pydantic

        loc: KeyPath = tuple(each for each in error["loc"] if not _made_up(each))
        kind = error["type"]
        if kind == "extra_forbidden":
            key = str(loc[-1])
            known = _keys_of(model, loc[:-1])
            homes = (home for home in _TABLES if home not in loc and key in _keys_of(model, (home,)))
            home = next(homes, "")
            says = _no_such("setting", key, known)
            if len(loc) > 1 and key in _keys_of(model, ()):
                says = _BELOW_A_TABLE.format(key)
            elif home:
                says = f"{key} stands below a line `[{home}]`, its table"
            self.mistakes.append(Mistake(self._key_at(loc), says))
            return
        says = str(error["ctx"]["error"]) if kind == "value_error" else _WRONG_KIND.get(kind, error["msg"])
        if kind in {"missing", "too_long"} or (kind.startswith("tuple") and len(loc) > 1):
            pair = '["35 %", "65 %"]' if "humidity" in loc else '["56 in", "69 in"]'
            listed = kind != "tuple_type" or "humidity" in loc
            says = f"two values are due here, such as {pair}" if listed else says
        key = next((each for each in reversed(loc) if isinstance(each, str)), "")
        if kind.startswith(("dict", "model")) and len(loc) == 1 and key in _TABLES:
            says += f": write `[{key}]`, and below it such as {' and '.join(_keys_of(model, (key,))[:2])}"
        bounds = BOUNDS.get(key.replace("-", "_"))
        if kind == "value_error" and bounds and f"from {bounds[0]}" not in says:
            says += f"; from {bounds[0]} to {bounds[1]} makes sense here"
        if "rules" in loc and key in _ONLY_AT_THE_TOP:
            says = _BELOW_A_TABLE.format(key)
        elif kind in {"string_type", "dict_type"} and "rules" in loc:
            says = "a grade in quotes is due here, or a table with limits and a grade"
        self.mistakes.append(Mistake(self._value_at(loc), says))

    def _folder(self, name: str) -> str | None:
        words = name.replace("\\", "/").strip("/")
        pieces = [piece for piece in words.split("/") if piece not in {"", "."}]
        if ".." in pieces or name.startswith("/"):
            says = "a folder is named from the folder of this file downwards, such as `kitchens/painted`"
            self.mistakes.append(Mistake(self._key_at(("folders", name)), says))
            return None
        if self.root is not None and not os.path.isdir("/".join([self.root, *pieces])):  # noqa: PTH112
            self._tell_missing(self.root, pieces, self._key_at(("folders", name)))
        return "/".join(pieces) or "."

    def _tell_missing(self, above: str, pieces: list[str], place: Span) -> None:
        """Tell of a folder that is not there, with the nearest name; nothing where nobody can look."""
        for number_, piece in enumerate(pieces):
            try:
                there = [each.name for each in os.scandir(above) if each.is_dir()]
            except (OSError, ValueError):
                return
            if piece not in there:
                near = nearest(piece, there)
                offer = offered(near and "/".join([*pieces[:number_], near, *pieces[number_ + 1 :]]))
                self.mistakes.append(
                    Mistake(place, f"there is no folder {'/'.join(pieces)} beside this file{offer}")
                )
                return
            above = f"{above}/{piece}"

    # ------------------------------------------------------------ values

    def _section(self, section: Any, at: KeyPath) -> Iterator[tuple[KeyPath, Setting]]:
        for table in ("drilling", "viewer", "screws", "humidity"):
            for key, value in getattr(section, table).model_dump(by_alias=True, exclude_none=True).items():
                yield (table, key), Setting(value, self._value_at((*at, table, key)))
        for key, value in section.buying.model_dump(by_alias=True, exclude_none=True).items():
            place = self._value_at((*at, "buying", key))
            told = tuple(self._prices(value, (*at, "buying", key))) if key == "prices" else value
            yield ("buying", key), Setting(told, place)
        if section.stock.kept is not None:
            path: KeyPath = (*at, "stock", "kept")
            kept = tuple(self._kept(section.stock.kept, path))
            yield ("stock", "kept"), Setting(kept, self._value_at(path))
        if section.owner is not None:
            yield ("owner",), Setting(section.owner, self._value_at((*at, "owner")))
        for name, said in section.rules.items():
            yield from self._rule(name, said, (*at, "rules", name))

    def _kept(self, lines: Iterable[str], at: KeyPath) -> Iterator[Any]:
        """Stock in the words of a plan: what a stock line says behind ``of``."""
        for number_, words in enumerate(lines):
            yield from self._stock_line(number_, words, at)

    def _stock_line(self, number_: int, words: str, at: KeyPath) -> Iterable[Any]:
        text = PlanText(self.source.path, f"stock kept_{number_ + 1} of " + " ".join(words.split()))
        tree, mistakes = read(text)
        log = MistakeLog(text)
        workings = Workings(tree, log, "in")
        workings.to_say_millimetres = "Write the unit behind each measure, such as `18 mm`"
        for statement in tree.statements:
            if isinstance(statement.node, StockLine):
                add_stock(workings, LineSaid(statement, statement.node, workings.scope))
        wrong = [*mistakes, *log.mistakes]
        for stock in workings.scope.stocks.values():
            if not stock.material.known:
                offer = offered(nearest_material(stock.material.name))
                says = f"{stock.material.name} is not a wood or panel known here{offer}"
                wrong.append(Mistake(stock.span, says))
        if wrong or not workings.scope.stocks:
            says = wrong[0].says if wrong else 'write it as a plan does: "douglas fir, 2x4, 8 ft"'
            self.mistakes.append(Mistake(self._value_at((*at, number_)), says))
        return workings.scope.stocks.values()

    def _prices(self, lines: Iterable[str], at: KeyPath) -> Iterator[Any]:
        """``birch plywood, 3/4 thick, 48 x 96 at 78.50``: a stock line and what one of it costs."""
        for number_, words in enumerate(lines):
            line, said, price = words.rpartition(" at ")
            try:
                costs = float(price)
            except ValueError:
                costs = inf
            if not said or not 0 <= costs < 1e6:
                says = 'write what one costs behind the stock: "douglas fir, 2x4, 8 ft at 6.40"'
                self.mistakes.append(Mistake(self._value_at((*at, number_)), says))
                continue
            for stock in self._stock_line(number_, line, at):
                yield stock, costs

    def _rule(self, name: str, said: Any, at: KeyPath) -> Iterator[tuple[KeyPath, Setting]]:
        rule = self.rules.get(name)
        if rule is None:
            yield from self._rule_not_here(name, said, at)
            return
        if isinstance(said, str):
            yield from self._grade(name, said, at)
            return
        by_key = {each.replace(" ", "-"): each for each in rule.limits}
        for key, value in said.items():
            if key == _GRADE:
                yield from self._grade(name, value, (*at, key))
                continue
            if key == PACKAGE_KEY:
                self._package(value, (*at, key))
                continue
            limit = by_key.get(key.replace(" ", "-"))
            if limit is None:
                says = _no_such(f"limit of {name}", key, [*by_key, _GRADE])
                self.mistakes.append(Mistake(self._key_at((*at, key)), says))
                continue
            place = self._value_at((*at, key))
            try:
                yield ("rules", name, limit), Setting(in_range(value, rule.limits[limit]), place)
            except ValueError as problem:
                self.mistakes.append(Mistake(place, str(problem)))

    def _rule_not_here(self, name: str, said: Any, at: KeyPath) -> Iterator[tuple[KeyPath, Setting]]:
        """A rule that no package here brings, or that cannot be used; its limits are not known."""
        table = {_GRADE: said} if isinstance(said, str) else said
        package = self._package(table[PACKAGE_KEY], (*at, PACKAGE_KEY)) if PACKAGE_KEY in table else ""
        if name in _ONLY_AT_THE_TOP:
            self.mistakes.append(Mistake(self._key_at(at), _BELOW_A_TABLE.format(name)))
            return
        if name not in self.unusable:
            if PACKAGE_KEY not in table and _near(name, self.rules):
                self.mistakes.append(Mistake(self._key_at(at), _no_such("rule", name, self.rules)))
                return
            yield ("rules", name, PACKAGE_KEY), Setting(package, self._key_at(at))
        if _GRADE in table:
            yield from self._grade(name, table[_GRADE], at if isinstance(said, str) else (*at, _GRADE))

    def _package(self, said: Any, at: KeyPath) -> str:
        if isinstance(said, str) and _NAME_OF_A_PACKAGE.fullmatch(said):
            return said
        self.mistakes.append(
            Mistake(self._value_at(at), "the name of a package is due here, such as `our-rules`")
        )
        return ""

    def _grade(self, name: str, said: Any, at: KeyPath) -> Iterator[tuple[KeyPath, Setting]]:
        words = (*GRADE_BY_WORD, OFF)
        place = self._value_at(at)
        if said in words:
            yield ("rules", name, _GRADE), Setting(said, place)
            return
        offer = offered(nearest(said, words) if isinstance(said, str) else None)
        self.mistakes.append(Mistake(place, f"a rule is graded stop, caution or advice, or it is off{offer}"))


def _near(word: str, known: Iterable[str]) -> str | None:
    """The name most likely meant: spelt almost so, or a word may be the start of a key, or be part of it."""
    listed = list(known)
    part = (each for each in listed if word and (word in each or each in word))
    return nearest(word, listed) or next(part, None)


def _no_such(what: str, word: str, known: Iterable[str]) -> str:
    listed = list(known)
    offer = offered(_near(word, listed), f"; there are {', '.join(listed)}" if len(listed) <= 10 else "")
    shown = word if len(word) <= 40 else f"{word[:37]}…"
    return f"there is no {what} called {shown}{offer}"


def _keys_of(model: Any, path: KeyPath) -> list[str]:
    """The keys of the table at a path."""
    for key in path:
        field = next((each for each in model.model_fields.values() if each.alias == key), None)
        if field is None:  # The name of a folder.
            from planlint.settings.setting_tables import SectionTable  # noqa: PLC0415

            model = SectionTable
        elif key != "folders":
            model = field.annotation
    return [str(field.alias) for field in model.model_fields.values()]


def _made_up(each: str | int) -> bool:
    """Steps that pydantic adds for a choice of types, and that are no keys."""
    return isinstance(each, str) and (each == "str" or each.startswith(("dict[", "function-")))


_WRONG_KIND = {
    "string_type": "words in quotes are due here",
    "tuple_type": "a list in square brackets is due here",
    "dict_type": "a table is due here, with keys of its own",
    "model_type": "a table is due here, with keys of its own",
    "model_attributes_type": "a table is due here, with keys of its own",
}

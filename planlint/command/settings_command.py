"""``planlint settings [PLAN]``: what is in force for a plan, as a ``planlint.toml`` would say it, and where each value
comes from.
"""

import argparse
import os
import tomllib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import fields
from textwrap import fill
from typing import Any, NamedTuple

from planlint.command.usage_error import CallWrong
from planlint.inspection.inspect_plan import understand
from planlint.inspection.plan_files import STANDARD_INPUT, Refused, read_plan_file
from planlint.inspection.used_files import with_files
from planlint.language.reader import read
from planlint.language.syntax_tree import EyeHeight
from planlint.model.workshop import Humidity, Settings
from planlint.plugins.own_rules import every_rule, own_rules
from planlint.reports.page_layout import Page
from planlint.settings.layered_settings import InForce, SettingsBroken, Shop
from planlint.settings.toml_places import KeyPath as Keys
from planlint.settings.toml_writing import (
    key_words,
    length_words,
    plain_number,
    quoted,
    ratio_words,
    toml_array,
    with_unit,
)

_MEMORY = "common practice, from memory"
_JUDGEMENT = "judgement"
_BASES = {
    "drilling": _MEMORY,
    "screws": _MEMORY,
    "humidity": "common practice for heated rooms, from memory",
    "viewer": "ANSUR II (2012), 5th percentile of women to 95th of men, barefoot",
    "seated-below": _JUDGEMENT,
    "distances": _JUDGEMENT,
    "most-items": _JUDGEMENT,
    "buying": _MEMORY,
    "prices": "none is known",
    "plugs": "of any kind",
    "kept": "any stock goes",
    "exclude": "nothing is left out",
    "owner": "nobody is named",
    "rule-pages": "a rule's page is `planlint rules NAME`",
}
_COMMENTS_FROM = 60
"""Columns before a comment, at most: what is longer has its comment above."""


class _SettingLine(NamedTuple):
    """One setting: its key, its value as a file has it, and where that comes from. Without a key, only a remark."""

    key: str
    value: str
    remark: str


def add_words(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "plan", metavar="PLAN", nargs="?", help="a plan or a folder; the current folder, if not said"
    )
    parser.set_defaults(run=_run)


def _run(call: argparse.Namespace) -> int:
    """Write the settings for a plan or a folder to standard output; returns the exit status (2: they have mistakes)."""
    path = call.plan or "."
    if path != STANDARD_INPUT and not os.path.exists(path):  # noqa: PTH110
        raise CallWrong(f"there is no file or folder {path if path.isprintable() else ascii(path)}")
    folder = os.path.isdir(path)  # noqa: PTH112
    inside = os.path.join(path, "-.plan") if folder else path  # noqa: PTH118
    shop = Shop()
    page = Page()
    try:
        found = shop.in_force(inside)
        left_out = path != STANDARD_INPUT and shop.left_out(inside)
    except SettingsBroken as broken:
        for words in broken.told:
            page.prose(words)
        page.flush()
        return 2
    for words in _head(path, shop, found, left_out=left_out):
        page.verbatim(_remark(words, page.width))
    said, eyes = (None, "") if folder or path == STANDARD_INPUT else _eyes_of(path, found)
    if eyes and not said:
        page.verbatim(_remark(eyes, page.width))
    for group in _groups(found):
        page.blank()
        lines = [_of_the_plan(line, said, eyes) if said else line for line in group]
        room = max(
            (len(_setting(line)) for line in lines if len(_setting(line)) <= _COMMENTS_FROM), default=0
        )
        for line in lines:
            start = _setting(line).ljust(room)
            if line.key and len(start) + len(line.remark) + 4 <= page.width and len(start) <= room:
                page.verbatim(f"{start}  # {line.remark}")
            else:
                page.verbatim(_remark(line.remark, page.width))
                page.verbatim(_setting(line))
    page.flush()
    return 0


def _setting(line: _SettingLine) -> str:
    return f"{line.key} = {line.value}" if line.key else ""


def _remark(words: str, width: int) -> str:
    return fill(
        " ".join(words.split()),
        width,
        initial_indent="# ",
        subsequent_indent="# ",
        break_long_words=False,
        break_on_hyphens=False,
    )


def _head(path: str, shop: Shop, found: InForce, *, left_out: bool) -> Iterator[str]:
    what = "the current folder" if path == "." else path
    inside = path if os.path.isdir(path) else os.path.dirname(path)  # noqa: PTH112, PTH120
    root = os.path.relpath(shop.finder.root(inside))
    if found.source and found.file:
        yield f"Settings for {what}: {found.source.path}. A plan may use files in {root} and below."
        outer = shop.finder.passed_over(found.file)
        if outer:
            yield f"{os.path.relpath(outer)} is not in force here: the nearest file counts, and no other."
        yield from (f"{each}." for each in shop.overridden(found.file))
    else:
        yield (
            f"Settings for {what}: the usual ones, since no planlint.toml lies above. "
            f"A plan may use files in {root} and below."
        )
        beyond = shop.finder.beyond(inside)
        if beyond:
            yield f"{os.path.relpath(beyond)} is not in force here: {root} is a git repository of its own."
    if left_out:
        yield f"{what} is excluded: commands on a folder pass it over."


# ---------------------------------------------------------------- the eye height of a plan


def _eyes_of(path: str, found: InForce) -> tuple[float | None, str]:
    """The plan's own eye height, and where it says so; without one, what keeps it from being told, if anything does."""
    source = read_plan_file(path)
    if isinstance(source, Refused):
        return None, f"{path} cannot be read: an eye height of its own is not told here."
    plan, mistakes = understand(source, with_files(found.settings, path, path, source.text))
    if plan is None or mistakes:
        return None, f"{path} has mistakes in it: an eye height of its own is not told here."
    if plan.eye_height is None:
        return None, ""
    tree, _ = read(source)
    lines = [each for head in tree.statements for each in (head, *head.details)]
    line = next(each.line for each in lines if isinstance(each.node, EyeHeight))
    return float(plan.eye_height), f"{path}, line {line}"


def _of_the_plan(line: _SettingLine, height: float, where: str) -> _SettingLine:
    """A line about eyes, where the plan has an eye height of its own."""
    if line.key == "viewer.standing":
        return line._replace(value=toml_array([length_words(height)] * 2), remark=f"{where}: its eye height")
    if line.key in {"viewer.seated", "viewer.seated-below"}:
        return line._replace(remark=f"{line.remark}; the eye height of the plan stands for all eyes")
    return line


# ---------------------------------------------------------------- every setting


def _groups(found: InForce) -> Iterator[Iterable[_SettingLine]]:
    groups: dict[str, list[_SettingLine]] = {}
    for keys, value, basis in (*_others(found), *_of_rules(found)):
        group = str(keys[1]) if keys[0] == "rules" else str(keys[0]) if len(keys) > 1 else ""
        groups.setdefault(group, []).append(_line(found, keys, value, basis))
    yield from groups.values()
    for name, says in own_rules().faults:
        grade = found.settings.grades.get(name)
        line = _line(found, ("rules", name, "grade"), quoted(grade or ""), "")
        told = f"the workshop's own rule {name} cannot be used: {says}"
        yield [line if grade else _SettingLine("", "", f"{key_words('rules', name)}: {told}")]
    for name, says in found.settings.not_installed:
        told = f"the workshop's own rule {name} is not installed here"
        yield [_SettingLine("", "", f"{key_words('rules', name)}: {told}: {says}")]


def _line(found: InForce, keys: Keys, value: str, basis: str) -> _SettingLine:
    # A limit goes by its name, which may have spaces in it.
    key = key_words(*(str(each).replace(" ", "-") for each in keys))
    said, source = found.said.get(keys), found.source
    if said is None or source is None:
        follows = keys == ("screws", "metric-lengths") and ("screws", "lengths") in found.said
        return _SettingLine(
            key, value, "none, since screws.lengths is said" if follows else f"default: {basis}"
        )
    written = _as_written(source.text[slice(*said.place)])
    return _SettingLine(
        key, written or value, f"{source.path}, line {source.position(said.place.start).line}"
    )


def _as_written(text: str) -> str:
    """A value as its file has it, on one line; nothing for plain numbers, which are told with their unit."""
    value = tomllib.loads(f"value = {text}")["value"]
    if isinstance(value, list) and all(isinstance(each, str) for each in value):
        return toml_array(map(quoted, value))
    return quoted(value) if isinstance(value, str) else ""


def _of_rules(found: InForce) -> Iterator[tuple[Keys, str, str]]:
    for name, rule in every_rule().items():
        grade = found.settings.grades.get(name, rule.grade.word)
        yield ("rules", name, "grade"), quoted(grade), "the rule's own"
        for limit in rule.limits.values():
            value = rule.limit(limit.name, found.settings)
            yield ("rules", name, limit.name), with_unit(value, limit.unit), limit.told


def _others(found: InForce) -> Iterator[tuple[Keys, str, str]]:
    """Every setting but those of the rules: its keys, its value, and what that rests on."""
    settings = found.settings
    tables = {
        "drilling": settings.profile, "viewer": settings.viewer, "screws": settings.screws,
        "humidity": settings.humidity, "buying": settings.buying,
    }  # fmt: skip
    yield ("exclude",), "[]", _BASES["exclude"]
    yield ("owner",), '""', _BASES["owner"]
    yield ("rule-pages",), '""', _BASES["rule-pages"]
    yield ("most-items",), str(settings.most_items), _BASES["most-items"]
    for table, said in tables.items():
        for name, value in _written(said, settings):
            yield (table, name), value, _BASES.get(name) or _BASES[table]
    kept = toml_array(quoted(_shown(stock.written)) for stock in settings.stock)
    yield ("stock", "kept"), kept, _BASES["kept"]


def _written(said: Any, settings: Settings) -> Iterator[tuple[str, str]]:
    """The keys of a table, and what a file would say of each: lengths, where it is nothing else."""
    for each in fields(said):
        name, value = each.name.replace("_", "-"), getattr(said, each.name)
        if name == "gauges":
            yield from ((f"{thread}-gauge", quoted(f"No. {gauge}")) for thread, gauge in value)
        elif name == "tip-cover":
            yield name, length_words(settings.tip_cover)
        elif name in _OTHERWISE:
            yield name, _OTHERWISE[name](value)
        elif isinstance(said, Humidity):
            if name == "low":
                yield "range", toml_array(quoted(f"{plain_number(each)} %") for each in (said.low, said.high))
        else:
            yield name, _lengths(value)


def _lengths(value: Any) -> str:
    return toml_array(map(_lengths, value)) if isinstance(value, tuple) else length_words(float(value))


_OTHERWISE: dict[str, Callable[[Any], str]] = {
    "angle": lambda value: with_unit(value, "degrees"),
    "lean": lambda value: with_unit(value, "degrees"),
    "setback-ratio": ratio_words,
    "spare-screws": lambda value: quoted(f"{plain_number(100 * value)} %"),
    "plugs": quoted,
    "prices": lambda value: toml_array(
        quoted(f"{_shown(each.written)} at {plain_number(cost)}") for each, cost in value
    ),
}
"""How a setting is written that is no length."""


def _shown(written: str) -> str:
    return written.partition(" of ")[2] or written

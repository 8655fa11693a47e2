"""``planlint settings [PLAN]``: what is in force for a plan, and where each value comes from."""

from __future__ import annotations

import argparse
import os
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from planlint.command.call import CallWrong

if TYPE_CHECKING:
    from planlint.settings.shop import InForce

    Commands = argparse._SubParsersAction[Any]

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
    "kept": "not said",
}


def add_settings(commands: Commands) -> None:
    parser = commands.add_parser(
        "settings", help="tell what is in force for a plan, and where it comes from", allow_abbrev=False
    )
    parser.add_argument(
        "plan", metavar="PLAN", nargs="?", help="a plan or a folder; the current folder, if not said"
    )
    parser.set_defaults(run=_run, options=("--help",))


def _run(call: argparse.Namespace) -> int:
    return tell_settings(call.plan or ".")


def tell_settings(path: str) -> int:
    """Write the settings for a plan or a folder to standard output; returns the exit status (2: they have mistakes)."""
    from planlint.reports.page import Page  # noqa: PLC0415
    from planlint.settings.shop import SettingsBroken, Shop  # noqa: PLC0415

    if path != "-" and not os.path.exists(path):  # noqa: PTH110
        raise CallWrong(f"there is no file or folder {path if path.isprintable() else ascii(path)}")
    inside = os.path.join(path, "a.plan") if os.path.isdir(path) else path  # noqa: PTH112, PTH118
    shop = Shop()
    page = Page()
    try:
        found = shop.in_force(inside)
    except SettingsBroken as broken:
        for mistake in broken.mistakes:
            line, column = broken.source.position(min(mistake.span.start, len(broken.source.text)))
            page.prose(f"{broken.source.path}, line {line}, column {column}: {mistake.says}")
        page.flush()
        return 2
    root = os.path.relpath(shop.finder.root(os.path.dirname(inside)))  # noqa: PTH120
    what = "the current folder" if path == "." else path
    if found.source is not None:
        page.prose(f"Settings for {what}: {found.source.path}. A plan may use files in {root} and below.")
    else:
        page.prose(
            f"Settings for {what}: the usual ones, since no planlint.toml lies above. "
            f"A plan may use files in {root} and below."
        )
    page.blank()
    page.table(_rows(found))
    page.flush()
    return 0


def _rows(found: InForce) -> Iterator[tuple[str, str]]:
    from planlint.checks.own import every_rule  # noqa: PLC0415
    from planlint.reports.plain import quantity  # noqa: PLC0415

    settings = found.settings

    def row(keys: tuple[str, ...], called: str, value: str, basis: str) -> tuple[str, str]:
        said, source = found.said.get(keys), found.source
        if said is None or source is None:
            return called, f"{value}; default ({basis})"
        written = " ".join(source.text[slice(*said.place)].split()).strip("\"'")
        return called, f"{written}; {source.path}, line {source.position(said.place.start).line}"

    for name, rule in every_rule().items():
        grade = settings.grades.get(name, rule.grade.word)
        yield row(("rules", name, "grade"), name, grade, "the rule's own")
        for limit in rule.limits.values():
            value = quantity(rule.limit(limit.name, settings), limit.unit)
            yield row(("rules", name, limit.name), f"  {limit.name.replace(' ', '-')}", value, limit.told)
    for table, key, value in _values(found):
        basis = _BASES.get(key) or _BASES.get(table) or _JUDGEMENT
        keys = (table, key) if table else (key,)
        yield row(keys, f"{table}.{key}" if table else key, value, basis)


def _values(found: InForce) -> Iterator[tuple[str, str, str]]:
    """Every other setting: its table, its key, and its value in words."""
    from planlint.text.measures import degrees, inches  # noqa: PLC0415

    settings = found.settings
    profile, viewer, screws = settings.profile, settings.viewer, settings.screws
    yield "drilling", "angle", degrees(profile.angle)
    for name in ("bit_diameter", "pilot_diameter", "least_setback"):
        yield "drilling", name.replace("_", "-"), inches(getattr(profile, name))
    yield "drilling", "setback-ratio", f"{profile.setback_ratio:.4g} of the thickness"
    for name in ("driver_length", "driver_diameter", "drill_length", "drill_diameter"):
        yield "drilling", name.replace("_", "-"), inches(getattr(profile, name))
    yield "viewer", "standing", " to ".join(inches(each) for each in viewer.standing)
    yield "viewer", "seated", " to ".join(inches(each) for each in viewer.seated)
    yield "viewer", "seated-below", inches(viewer.seated_below)
    yield "viewer", "distances", ", ".join(inches(each) for each in viewer.distances)
    yield "screws", "lengths", ", ".join(inches(each) for each in screws.lengths)
    yield "screws", "coarse-gauge", f"No. {screws.gauge('coarse')}"
    yield "screws", "fine-gauge", f"No. {screws.gauge('fine')}"
    yield "screws", "tip-cover", inches(screws.tip_cover)
    yield "humidity", "range", f"{settings.humidity.low:g} to {settings.humidity.high:g} %"
    yield "stock", "kept", "; ".join(_shown(stock.written) for stock in settings.stock) or "any"
    yield "", "most-items", f"{settings.most_items:,} parts and joints"


def _shown(written: str) -> str:
    return written.partition(" of ")[2] or written

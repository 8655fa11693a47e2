"""What each command says of some plans, on pages wide and narrow and in files, is what somebody read: the kept pages.

    python -m tests.test_kept_pages --write      # writes them anew

Beside the kept record, which has one width: how lines are wrapped, marked and coloured, what files of a shop sheet
hold, where words lie on its paper, and what a shop's own settings, right and wrong, are told to be. A change of a page
is read like code.
"""

from __future__ import annotations

import difflib
import os
import re
import shutil
import sys
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from io import BytesIO, StringIO, TextIOWrapper
from itertools import islice
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

import pdfplumber
import pytest

from planlint.command.main import main
from planlint.inspection.inspect_plan import inspect_text
from planlint.model.stock import Stock
from planlint.plugins.own_rules import every_rule
from planlint.reports.page_layout import Page
from planlint.reports.text_report import write_inspection
from planlint.settings.shop_file import ShopFile, read_shop_file
from planlint.text.source import PlanText

ROOT = Path(__file__).parent.parent
KEPT = ROOT / "tests" / "kept_pages"
PLANS = [
    *(ROOT / "planlint" / "demo" / f"{name}.plan" for name in (
        "corner-counter", "dovetailed-box", "drawer-repair", "garden-bench", "mortised-table", "plant-stand",
        "step-stool", "tall-shelves", "wall-cabinet", "workbench",
    )),
    *(ROOT / "tests" / "orders" / f"{name}.plan" for name in (
        "butlers_tray", "chest_on_web_frames", "drawer_dovetailed", "nightstand_on_legs",
    )),
    *(KEPT / f"{name}.plan" for name in ("odd_cuts", "odd_joints", "odd_stock", "unread", "odd_words")),
]  # fmt: skip
FAULTY = ["drawer-repair.plan", "step-stool.plan", "tall-shelves.plan", "unread.plan", "odd_words.plan"]
COMMANDS: dict[str, tuple[int, list[str]]] = {
    "inspect-34": (34, ["inspect", "--no-cache", *FAULTY]),
    "inspect-72": (72, ["inspect", "--no-cache", "--explain-joints", "plant-stand.plan"]),
    "inspect-loads": (80, ["inspect", "--no-cache", "--explain-joints", "odd_stock.plan"]),
    "brief-60": (60, ["inspect", "--no-cache", "--brief", *FAULTY]),
    "lines": (100, ["inspect", "--no-cache", "--as", "lines", *FAULTY]),
    "quality": (100, ["inspect", "--no-cache", "--as", "quality", *FAULTY]),
    "junit": (100, ["inspect", "--no-cache", "--as", "junit", "--from", "stop", *FAULTY]),
    "markdown": (100, ["inspect", "--no-cache", "--as", "markdown", *FAULTY]),
    "steps-40": (40, ["steps", "workbench.plan"]),
    "steps-80": (80, ["steps", "dovetailed-box.plan"]),
    "steps-tray": (70, ["steps", "butlers_tray.plan"]),
    "steps-chest": (70, ["steps", "chest_on_web_frames.plan"]),
    "steps-joints": (90, ["steps", "odd_joints.plan"]),
    "steps-drawer": (70, ["steps", "drawer_dovetailed.plan"]),
    "steps-nightstand": (110, ["steps", "nightstand_on_legs.plan"]),
    "steps-json": (80, ["steps", "--as", "json", "wall-cabinet.plan"]),
    "sheet-40": (40, ["sheet", "wall-cabinet.plan", "mortised-table.plan"]),
    "sheet-80": (80, ["sheet", "corner-counter.plan"]),
    "sheet-bench": (84, ["sheet", "garden-bench.plan"]),
    "sheet-cuts": (96, ["sheet", "odd_cuts.plan"]),
    "sheet-joints": (96, ["sheet", "odd_joints.plan"]),
    "sheet-odd": (90, ["sheet", "odd_stock.plan"]),
    "sheet-json": (80, ["sheet", "--as", "json", "odd_stock.plan", "corner-counter.plan"]),
    "sheet-csv": (80, ["sheet", "--as", "csv", "mortised-table.plan", "corner-counter.plan"]),
    "sheet-html": (80, ["sheet", "--as", "html", "step-stool.plan"]),
    "sheet-letter": (80, ["sheet", "--to", "out.pdf", "step-stool.plan"]),
    "sheet-a4": (80, ["sheet", "--paper", "a4", "--to", "out.pdf", "wall-cabinet.plan", "dovetailed-box.plan"]),
    "mend-40": (40, ["mend", "--show", "tall-shelves.plan"]),
    "mend-90": (90, ["mend", "--show", "drawer-repair.plan", "step-stool.plan"]),
    "convert-50": (50, ["convert", "--explain", "mortised-table.plan"]),
    "rules-50": (50, ["rules"]),
    "rule-60": (60, ["rules", "screws-meet"]),
    "rule-cases": (76, ["rules", "wide-boards", "--cases"]),
    "settings-60": (60, ["settings", "shop/a.plan"]),
    "settings-120": (120, ["settings", "shop/annex/b.plan"]),
    "settings-wrong": (80, ["inspect", "--no-cache", "wrong/a.plan"]),
}  # fmt: skip
NAMES = [*COMMANDS, "ascii", "colours", "settings-lines"]
SHOWN = 40
"""Lines of a difference that are shown."""


@contextmanager
def collection(width: int) -> Iterator[None]:
    """In a folder of plans, beside a shop with settings and one whose settings are wrong."""
    before = Path.cwd()
    with TemporaryDirectory() as folder, patch.dict(os.environ, {"COLUMNS": str(width)}):
        at = Path(folder).resolve()
        for plan in PLANS:
            shutil.copy(plan, at)
        for name, inside in (("shop", ("a.plan", "annex/b.plan")), ("wrong", ("a.plan",))):
            for each in inside:
                (at / name / each).parent.mkdir(parents=True, exist_ok=True)
                shutil.copy(PLANS[0], at / name / each)
            shutil.copy(KEPT / f"{name}.toml", at / name / "planlint.toml")
        os.chdir(at)
        try:
            yield
        finally:
            os.chdir(before)


def given(name: str) -> list[str]:
    """What a command says and writes, and its exit status."""
    if name == "settings-lines":
        return [
            each
            for line in (KEPT / "settings.lines").read_text("utf-8").splitlines()
            for each in settled(line)
        ]
    if name in {"ascii", "colours"}:
        return on_a_page(coloured=name == "colours").splitlines()
    width, words = COMMANDS[name]
    said, beside = StringIO(), StringIO()
    with collection(width):
        folder = str(Path.cwd())
        with redirect_stdout(said), redirect_stderr(beside):
            status = main(words)
        written = paper(Path("out.pdf").read_bytes()) if Path("out.pdf").exists() else []
    lines = f"{said.getvalue()}{beside.getvalue()}".replace(folder, "FOLDER").splitlines()
    timeless = (re.sub(r"\b\d+(\.\d+)? s\b|\"?version\"?: \"[^\"]*\"", "…", line).rstrip() for line in lines)
    return [f"$ planlint {' '.join(words)}", *timeless, *written, f"exit status {status}"]


def settled(line: str) -> Iterator[str]:
    """What one line of a settings file comes to, or each mistake in it and what it marks."""
    found = read_shop_file(PlanText("planlint.toml", line), every_rule())
    yield line
    if isinstance(found, ShopFile):
        for where, settings in {"": found.settings, **found.folders}.items():
            for path, setting in settings.items():
                at = setting.place
                told = (
                    f"{': '.join(filter(None, (where, '.'.join(map(str, path)))))} = {shown(setting.value)}"
                )
                yield f"    {told}, from {line[at.start : at.end]!r}"
        yield f"    exclude {found.exclude}"
    else:
        for mistake in found:
            start, end = mistake.span
            yield f"    column {start + 1}, {line[start:end]!r}: {mistake.says}"


def shown(value: object) -> str:
    """A value; of a stock what its line says."""
    if isinstance(value, tuple):
        return f"({', '.join(map(shown, value))})"
    if isinstance(value, Stock):
        size = " x ".join(
            f"{float(each):.4g}" for each in (value.thickness, value.width, value.length) if each
        )
        return f"{value.material.name} {size} {value.nominal or ''}{' sheet' if value.sheet else ''}".rstrip()
    return repr(value)


def on_a_page(*, coloured: bool) -> str:
    """A plan's findings where only ASCII can be written, or in a terminal of 76 columns that shows colours."""
    out = BytesIO()
    said = {"FORCE_COLOR": "1", "TERM": "xterm-256color"} if coloured else {}
    with patch.dict(os.environ, said):
        if coloured:
            os.environ.pop("NO_COLOR", None)
        file = TextIOWrapper(out, encoding="utf-8" if coloured else "ascii", errors="replace")
        page = Page(file, 76)
        for plan in PLANS[-3:]:
            inspection = inspect_text(PlanText(plan.name, plan.read_text("utf-8")))
            write_inspection(page, inspection, plan.name)
        page.flush()
        file.flush()
    return out.getvalue().decode("utf-8").replace("\x1b", "ESC")


def paper(data: bytes) -> Iterator[str]:
    """Where words lie on a PDF, how large, and how much is drawn, to a point."""
    with pdfplumber.open(BytesIO(data)) as pdf:
        for page in pdf.pages:
            yield f"page {page.width:.0f} x {page.height:.0f}"
            for line in page.extract_text_lines(return_chars=True):
                first = line["chars"][0]
                at = f"{line['x0']:.0f} to {line['x1']:.0f}, {line['top']:.0f}"
                font = first["fontname"].rpartition("+")[2]
                yield f"{at} | {font} {first['size']:.1f} | {line['text']}"
            for what in ("rects", "lines", "curves"):
                drawn = getattr(page, what)
                sides = ("x0", "x1", "top", "bottom", "linewidth")
                sums = (sum(float(each[side] or 0) for each in drawn) for side in sides)
                yield f"{len(drawn)} {what}: {', '.join(f'{each:.4g}' for each in sums)}"
                inks = Counter(f"{each['stroking_color']} on {each['non_stroking_color']}" for each in drawn)
                yield from (f"    {count} {ink}" for ink, count in sorted(inks.items()))


@pytest.mark.usefixtures("own_surroundings", "unhurried")
@pytest.mark.parametrize("name", NAMES)
def test_a_page_is_what_was_read(name: str) -> None:
    kept = (KEPT / f"{name}.txt").read_text("utf-8").splitlines()
    differs = list(islice(difflib.unified_diff(kept, given(name), "kept", "now", n=0, lineterm=""), SHOWN))
    assert not differs, "\n".join(
        ["where that is meant: python -m tests.test_kept_pages --write, and read `git diff`", *differs]
    )


def test_no_page_is_kept_that_nobody_compares() -> None:
    assert {each.stem for each in KEPT.glob("*.txt")} == {*NAMES}


def write() -> None:
    for each in KEPT.glob("*.txt"):
        each.unlink()
    for name in NAMES:
        (KEPT / f"{name}.txt").write_text("".join(f"{line}\n" for line in given(name)), "utf-8")


if __name__ == "__main__":
    if sys.argv[1:] != ["--write"]:
        sys.exit("python -m tests.test_kept_pages --write")
    write()

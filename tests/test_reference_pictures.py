"""The pictures of the language reference: drawn from the plans above them, and as they are drawn today."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from planlint.drawings.piece_sheets import view_sheet
from planlint.drawings.svg_text import svg
from planlint.inspection.inspect_plan import inspect_text
from planlint.text.source import PlanText
from tests.word_lists import REFERENCE_PAGES

GRAMMAR = Path(__file__).parent.parent / "grammar"
TEXT = "\n".join((GRAMMAR / page).read_text("utf-8") for page in REFERENCE_PAGES)
DRAWN = re.findall(
    r"<!-- drawn: ([a-z-]+) -->\n```plan\n(.*?)```\n\n!\[[^\]]+\]\(drawings/([a-z-]+)\.svg\)", TEXT, re.DOTALL
)


@pytest.mark.parametrize(("name", "plan", "linked"), DRAWN, ids=[name for name, _, _ in DRAWN])
def test_a_picture_shows_its_plan(name: str, plan: str, linked: str) -> None:
    """Written anew where PLANLINT_DRAW_PICTURES is set."""
    assert linked == name
    inspection = inspect_text(PlanText("reference.plan", plan))
    assert inspection.piece is not None
    (sheet,) = view_sheet(inspection.piece, "corner")
    file, text = GRAMMAR / "drawings" / f"{name}.svg", svg(sheet)
    if os.environ.get("PLANLINT_DRAW_PICTURES"):
        file.write_text(text, "utf-8")
    assert file.read_text("utf-8") == text


def test_each_mark_has_its_picture() -> None:
    assert len(DRAWN) == TEXT.count("<!-- drawn:") == TEXT.count("](drawings/") > 0

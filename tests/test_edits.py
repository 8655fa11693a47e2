"""Edits of a text, and patches that other tools take."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planlint.text.edits import Clash, TextEdit, apply, before, clash, patch
from planlint.text.source import BYTE_ORDER_MARK, PlanText, Span


def edit(start: int, end: int, new: str) -> TextEdit:
    return TextEdit(Span(start, end), new)


def test_all_at_once() -> None:
    edits = [edit(6, 11, "wide"), edit(0, 5, "34"), edit(5, 5, ","), edit(0, 5, "34")]
    assert apply("three long", [edit(0, 5, "34"), edit(0, 5, "34")]) == "34 long"
    assert apply("three metres", edits) == "34, wides"


@pytest.mark.parametrize(
    "edits",
    [
        [edit(0, 4, "a"), edit(3, 6, "b")],
        [edit(2, 2, "a"), edit(2, 2, "b")],
        [edit(0, 4, "a"), edit(0, 4, "b")],
        [edit(0, 4, "a"), edit(2, 2, "b")],
        [edit(0, 99, "a")],
    ],
)
def test_clashes_are_refused(edits: list[TextEdit]) -> None:
    with pytest.raises(Clash):
        apply("0123456789", edits)
    assert len(edits) == 1 or clash(edits[:1], edits[1:])


def test_side_by_side_is_no_clash() -> None:
    assert not clash([edit(0, 4, "a")], [edit(4, 6, "b"), edit(4, 4, "c"), edit(0, 4, "a")])
    assert apply("0123456789", [edit(0, 4, "a"), edit(4, 6, "b"), edit(4, 4, "c")]) == "acb6789"


@st.composite
def edited(draw: st.DrawFn) -> tuple[str, list[TextEdit]]:
    text = draw(st.text("ab\n", max_size=30))
    places = sorted(draw(st.lists(st.integers(0, len(text)), max_size=8, unique=True)))
    edits = [
        edit(start, end, draw(st.text("xy\n", max_size=4)))
        for start, end in zip(places[::2], places[1::2], strict=False)
    ]
    return text, edits


@given(edited())
def test_what_is_not_edited_stays(case: tuple[str, list[TextEdit]]) -> None:
    """Each untouched character is found again, and its place is told back."""
    text, edits = case
    new = apply(text, edits)
    assert len(new) == len(text) + sum(len(e.new) - (e.span.end - e.span.start) for e in edits)
    untouched = [at for at in range(len(text)) if not any(e.span.start <= at < e.span.end for e in edits)]
    kept = [at for at in range(len(new)) if _is_kept(at, edits)]
    assert [new[at] for at in kept] == [text[at] for at in untouched]
    assert [before(at, edits) for at in kept] == untouched


def _is_kept(at: int, edits: list[TextEdit]) -> bool:
    shift = 0
    for (start, end), new in sorted(edits):
        if start + shift <= at < start + shift + len(new):
            return False
        shift += len(new) - (end - start)
    return True


# ---------------------------------------------------------------- patches

TEXTS = {
    "plain": (b"one\ntwo\nthree\nfour\nfive\nsix\n", b"one\ntwo\n3\nfour\nfive\nsix\nseven\n"),
    "CRLF": (b"one\r\ntwo\r\nthree\r\n", b"one\r\n2\r\nthree\r\n"),
    "marked": (BYTE_ORDER_MARK + b"one\ntwo\n", BYTE_ORDER_MARK + b"1\ntwo\n"),
    "no end": (b"one\ntwo", b"one\n2"),
    "an end put behind": (b"one\ntwo", b"one\ntwo\n"),
    "all gone": (b"one\n", b""),
    "not ASCII": ("plan “Regal”\n".encode(), "plan “Möbel”\n".encode()),
}
NAMES = ("shelf.plan", "a shelf.plan", "größe.plan", 'quo"te.plan', "deep/er/shelf.plan")


def source(name: str, data: bytes) -> PlanText:
    return PlanText(name, data.removeprefix(BYTE_ORDER_MARK).decode(), data.startswith(BYTE_ORDER_MARK))


@pytest.mark.parametrize("tool", ["git", "patch"])
@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("kind", TEXTS)
def test_other_tools_take_a_patch(kind: str, name: str, tool: str, tmp_path: Path) -> None:
    if not shutil.which(tool):
        pytest.skip(f"{tool} is not installed")
    old, new = TEXTS[kind]
    file = tmp_path / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(old)
    told = patch(name, source(name, old), source(name, new))
    how = ["git", "apply", "-"] if tool == "git" else ["patch", "-p1", "--binary"]
    done = subprocess.run(how, input=told.encode(), cwd=tmp_path, capture_output=True, check=False)
    assert done.returncode == 0, done.stderr.decode() + told
    assert (file.read_bytes() if file.exists() else b"") == new


def test_no_change_is_no_patch() -> None:
    same = source("a.plan", b"one\n")
    assert not patch("a.plan", same, same)

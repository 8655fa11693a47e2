"""The grammar itself, and the kept file it is loaded from."""

from __future__ import annotations

import logging
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from lark import Lark

from planlint.language import grammar_cache
from planlint.language.grammar_cache import STARTS, WholeWords, grammar_text, make_ready, tools


def test_there_are_no_conflicts() -> None:
    """Lark's strict build fails on any conflict of rules, and on terminals that could match the same text."""
    pytest.importorskip("interegular")
    options: dict[str, Any] = {"postlex": WholeWords(), "strict": True}
    strict = Lark(grammar_text(), parser="lalr", start=STARTS, maybe_placeholders=True, **options)
    assert strict.parse("flush top", start="line").data == "flush"
    assert {terminal.name for terminal in strict.terminals} == {
        terminal.name for terminal in tools().lark.terminals
    }


def test_the_ready_file_is_written_and_read(tmp_path: Path) -> None:
    path = make_ready(tmp_path / "new" / "grammar.bin")
    written = path.read_bytes()
    lark, builder, _ = grammar_cache._load(path)
    assert path.read_bytes() == written
    assert lark is not tools().lark
    assert builder is not tools().builder
    node = lark.parse("flush top", start="line")
    assert node == tools().lark.parse("flush top", start="line")


@pytest.mark.parametrize("broken", [b"", b"rubbish", b"0\n" + b"rubbish" * 9])
def test_a_spoiled_ready_file_is_written_anew(
    tmp_path: Path, broken: bytes, capfd: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "grammar.bin"
    path.write_bytes(broken)
    lark, _, _ = grammar_cache._load(path)
    assert lark.parse("flush top", start="line")
    assert len(path.read_bytes()) > 10_000
    assert capfd.readouterr() == ("", "")


def test_where_nothing_can_be_written_it_works_in_silence(
    tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    blocked = tmp_path / "file"
    blocked.write_bytes(b"")
    lark, _, _ = grammar_cache._load(blocked / "below" / "grammar.bin")
    assert lark.parse("flush top", start="line")
    assert capfd.readouterr() == ("", "")
    assert logging.getLogger("lark").level in {logging.NOTSET, logging.CRITICAL}
    with pytest.raises(OSError, match=r"."):
        make_ready(blocked / "grammar.bin")


def test_importing_the_reader_does_not_load_lark() -> None:
    code = "import sys, planlint.language.reader; print(sorted({'lark', 'difflib'} & set(sys.modules)))"
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"

"""The parser, from a grammar worked out once and kept beside the package.

Lark checks the kept file against the grammar's text, the options, its own version and Python's, and works the
grammar out anew where they differ; where nothing can be written it does so each time, in silence.
"""

from __future__ import annotations

from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from planlint.text.resources import resource

if TYPE_CHECKING:
    from collections.abc import Iterator

    from lark import Lark, Token

    from planlint.language.syntax_tree import Node
    from planlint.language.tree_builder import Builder

READY = Path(__file__).parent.parent / "_ready" / "grammar.bin"
"""The kept file: git-ignored, and put into the wheel by the build."""

STARTS = ["line", "expression"]


class WholeWords:
    """Has the lexer look for NAME in every state, so that words are always read whole."""

    always_accept = ("NAME",)

    def process(self, stream: Iterator[Token]) -> Iterator[Token]:
        return stream


class KeptFile(str):
    """A path that lark's mark of the kept file does not depend on: lark puts the option's words into the mark, and
    a file kept in one folder must serve in another."""

    __slots__ = ()

    def __str__(self) -> str:
        return "kept"


class KnownLines:
    """Lines read before, in this plan and others of a run: plans of one shop have many in common.

    What was not met again for a while is forgotten, so that a run of many plans takes no more memory than one of few.
    """

    __slots__ = ("_earlier", "_recent")

    def __init__(self) -> None:
        self._recent: dict[str, Node] = {}
        self._earlier: dict[str, Node] = {}

    def get(self, line: str) -> Node | None:
        node = self._recent.get(line)
        if node is None:
            node = self._earlier.get(line)
            if node is not None:
                self.keep(line, node)
        return node

    def keep(self, line: str, node: Node) -> None:
        if len(self._recent) >= _MOST_KNOWN:
            self._earlier, self._recent = self._recent, {}
        self._recent[line] = node


_MOST_KNOWN = 2_000
"""Lines known before the older half is forgotten. Basis: measured; 3 MB."""


class Tools(NamedTuple):
    """The parser, the builder it hands its nodes to, and the lines that they have read."""

    lark: Lark
    builder: Builder
    known: KnownLines


def grammar_text() -> str:
    """The grammar as it is written."""
    return resource("grammar", "plan.lark").read_text(encoding="utf-8")


@cache
def tools() -> Tools:
    """The parser and its builder, loaded once in a process."""
    return _load(READY)


def make_ready(path: Path = READY) -> Path:
    """Works out the grammar and keeps it in ``path``, for the build; raises ``OSError`` if it cannot be written."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.unlink(missing_ok=True)
    _load(path)
    if not path.is_file():
        raise OSError(f"cannot write {path}")
    return path


def _load(path: Path) -> Tools:
    from lark import Lark  # noqa: PLC0415 - loading it is most of the tool's start

    from planlint.language.tree_builder import Builder  # noqa: PLC0415

    if not path.parent.is_dir():
        with suppress(OSError):
            path.parent.mkdir(parents=True)
    builder = Builder()
    options: dict[str, Any] = {"transformer": builder, "postlex": WholeWords(), "cache": KeptFile(path)}
    return Tools(
        Lark(grammar_text(), parser="lalr", start=STARTS, maybe_placeholders=True, **options),
        builder,
        KnownLines(),
    )

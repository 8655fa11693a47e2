"""Edits of a text: stretches of it and what takes their place; and two texts told as a patch."""

from collections.abc import Iterable
from typing import NamedTuple

from planlint.text.source import PlanText, Span


class TextEdit(NamedTuple):
    """``new`` takes the place of ``span``; an empty span puts it in, an empty ``new`` takes the stretch out."""

    span: Span
    new: str


class Clash(ValueError):  # noqa: N818 - it is no error of the program: the edits clash
    """Two edits want the same stretch of text."""


def apply(text: str, edits: Iterable[TextEdit]) -> str:
    """The text with all edits made at once; an edit given twice is made once.

    Raises ``Clash`` where two of them overlap or put different words in at one place.
    """
    pieces: list[str] = []
    written = 0
    last = -1
    for (start, end), new in sorted(set(edits)):
        if start < written or start == end == last:
            raise Clash(f"two edits want the text at {start}")
        if end < start or end > len(text):
            raise Clash(f"there is no text from {start} to {end}")
        pieces += (text[written:start], new)
        written = end
        last = start if start == end else -1
    pieces.append(text[written:])
    return "".join(pieces)


def apply_within(text: str, within: Span, edits: Iterable[TextEdit]) -> str:
    """A stretch of the text with all edits made that lie in it. Raises as ``apply`` does."""
    start, end = within
    return apply(
        text[start:end], [TextEdit(Span(at.start - start, at.end - start), new) for at, new in edits]
    )


def clash(edits: Iterable[TextEdit], others: Iterable[TextEdit]) -> bool:
    """Whether two sets of edits cannot be made together. The same edit in both is no clash."""
    ours = set(edits)
    return any(_overlap(a.span, b.span) for b in others if b not in ours for a in ours)


def _overlap(a: Span, b: Span) -> bool:
    if a.start == a.end and b.start == b.end:
        return a.start == b.start
    return a.start < b.end and b.start < a.end


def before(offset: int, edits: Iterable[TextEdit]) -> int:
    """Where a place of the edited text was in the text before; a place in new words is where they were put."""
    shift = 0
    for (start, end), new in sorted(set(edits)):
        if offset < start + shift:
            break
        if offset < start + shift + len(new):
            return start
        shift += len(new) - (end - start)
    return offset - shift


def patch(path: str, old: PlanText, new: PlanText) -> str:
    """A unified diff, as ``git apply`` and ``patch -p1`` take it; empty where nothing differs.

    Lines keep their ends and the file its byte-order mark. ``path`` is told from the folder in which the patch
    is to be applied.
    """
    from difflib import unified_diff  # noqa: PLC0415 - only for a patch

    was, now = (_lines(text.to_bytes().decode("utf-8")) for text in (old, new))
    name = path.replace("\\", "/").lstrip("/")
    hunks = list(unified_diff(was, now, lineterm="\n"))[2:]
    if not hunks:
        return ""
    told = [f"--- {_told(f'a/{name}')}\n", f"+++ {_told(f'b/{name}')}\n"]
    told += (line if line.endswith("\n") else f"{line}\n\\ No newline at end of file\n" for line in hunks)
    return "".join(told)


def _lines(text: str) -> list[str]:
    """Lines with their ends; only a line feed ends one."""
    lines = text.split("\n")
    return [f"{line}\n" for line in lines[:-1]] + ([lines[-1]] if lines[-1] else [])


def _told(name: str) -> str:
    """A file's name as a patch has it: in quotes where it is not plain, with a tab behind it where it has spaces."""
    if name.isprintable() and '"' not in name and "\\" not in name:
        return f"{name}\t" if " " in name else name
    quoted = "".join(
        chr(byte) if 32 <= byte < 127 and byte not in b'"\\' else f"\\{byte:03o}"
        for byte in name.encode("utf-8", "surrogateescape")
    )
    return f'"{quoted}"'

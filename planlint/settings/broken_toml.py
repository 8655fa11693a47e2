"""What is wrong in a settings file, taken out, so that the rest is read too: readers end at the first they meet."""

from typing import Any

from planlint.text.source import Mistake, PlanText, Span

_MOST_BROKEN_LINES = 20
"""Lines that are no TOML taken out of one file, each for another reading of it. Basis: our own judgement."""


def without_broken_lines(source: PlanText) -> tuple[PlanText, dict[str, Any], list[Mistake]]:
    """The text with spaces in place of the lines that are no TOML, what it says, and what is wrong with each.

    Raises ``TOMLDecodeError`` for the first of them where that does not help: then what breaks it is no line by itself.
    """
    import tomllib  # noqa: PLC0415

    text, mistakes, first = source, list[Mistake](), None
    for _ in range(_MOST_BROKEN_LINES):
        try:
            return text, tomllib.loads(text.text), mistakes
        except tomllib.TOMLDecodeError as problem:
            first = first or problem
            mistake = not_toml(text, str(problem))
            line = text.position(mistake.span.start).line
            start = text.line_starts[line - 1]
            end = start + len(text.line(line))
            if not text.text[start:end].strip():
                break
            mistakes.append(mistake)
            text = PlanText(text.path, text.text[:start] + " " * (end - start) + text.text[end:])
    assert first is not None
    raise first


def not_toml(source: PlanText, says: str) -> Mistake:
    """The standard reader's message, with its place taken from its words."""
    what, _, where = says.rpartition(" (at ")
    numbers = [int(word) for word in where.rstrip(")").replace(",", "").split() if word.isdigit()]
    end = len(source.text)
    if len(numbers) == 2 and numbers[0] <= len(source.line_starts):
        start = min(source.line_starts[numbers[0] - 1] + numbers[1] - 1, end)
    else:
        start = end
    what = what or says
    return Mistake(Span(start, start), f"this is not TOML: {what[:1].lower()}{what[1:]}")


def value_taken_out(raw: dict[str, Any], path: list[Any]) -> None:
    """Take the value at a path out of what was read; of a list, the whole list."""
    for place, key in enumerate(path, 1):
        inner = raw.get(key)
        if place == len(path) or not isinstance(inner, dict):
            raw.pop(key, None)
            return
        raw = inner

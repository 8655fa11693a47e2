"""Where each key of a TOML text stands, and its value: the standard reader gives no places.

The text is one that the reader has taken without complaint, so nothing is checked here.
"""

import re
from typing import NamedTuple

from planlint.text.source import Span

KeyPath = tuple[str | int, ...]
"""Keys from the top down; a whole number is the place in an array."""


class KeyPlace(NamedTuple):
    """``key`` is where a key is named first; ``value`` its value, or for a table the same as the key."""

    key: Span
    value: Span


def places_of(text: str) -> dict[KeyPath, KeyPlace]:
    """The place of every key and every item of an array, by its path."""
    scan = _Scan(text)
    scan.document()
    return scan.places


_STRING = "|".join(
    (r'"""(?:\\.|(?!""")[^\\])*"""+', r"'''(?:(?!''').)*'''+", r'"(?:\\.|[^"\\])*"', r"'[^']*'")
)
"""A string of any of the four kinds; up to two more quotes at the end of the long kinds belong to the text."""
_KEY = re.compile(rf"{_STRING}|[\w-]+", re.DOTALL)
_AFTER_KEY = re.compile(r"[ \t]*(?:\.|=|\]\]?)")
_SCALAR = re.compile(rf"{_STRING}|[^,\]}}#\n\r]*[^,\]}}#\s]", re.DOTALL)
_WHITE = re.compile(r"[ \t]*")
_GAP = re.compile(r"(?:[ \t\r\n,]|#[^\n]*)*")
"""White space, line ends, commas and comments."""


class _Scan:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.places: dict[KeyPath, KeyPlace] = {}
        self.tables: dict[KeyPath, int] = {}
        """How many tables an array written with ``[[ ]]`` has so far."""

    def past(self, what: re.Pattern[str]) -> str:
        """What stands here, and goes past it."""
        found = what.match(self.text, self.at)
        assert found is not None
        self.at = found.end()
        return found[0]

    def document(self) -> None:
        table: KeyPath = ()
        while True:
            self.past(_GAP)
            start = self.at
            if brackets := self.past(re.compile(r"\[{0,2}")):
                table = self._table(self._keys(), start, repeated=brackets == "[[")
            elif self.at < len(self.text):
                self._pair(table)
            else:
                return

    def _table(self, keys: list[tuple[str, Span]], start: int, *, repeated: bool) -> KeyPath:
        path: KeyPath = ()
        for number, (key, span) in enumerate(keys):
            path = (*path, key)
            last = number == len(keys) - 1
            self.places.setdefault(path, KeyPlace(span, span))
            if last and repeated:
                count = self.tables[path] = self.tables.get(path, 0) + 1
                path = (*path, count - 1)
                self.places[path] = KeyPlace(Span(start, self.at), Span(start, self.at))
            elif not last and path in self.tables:
                path = (*path, self.tables[path] - 1)
        return path

    def _pair(self, table: KeyPath) -> None:
        path = table
        for key, span in self._keys():
            path = (*path, key)
            self.places.setdefault(path, KeyPlace(span, span))
        self.past(_WHITE)
        # An inline table or a dotted key may have named the path already; its value is this one.
        self.places[path] = KeyPlace(span, self._value(path))

    def _keys(self) -> list[tuple[str, Span]]:
        """A dotted key, and past the mark behind it."""
        keys, mark = list[tuple[str, Span]](), "."
        while mark == ".":
            self.past(_WHITE)
            start = self.at
            keys.append((_plain(self.past(_KEY)), Span(start, self.at)))
            mark = self.past(_AFTER_KEY).lstrip()
        return keys

    def _value(self, path: KeyPath) -> Span:
        start, mark = self.at, self.text[self.at]
        if mark not in "[{":
            self.past(_SCALAR)
            return Span(start, self.at)
        self.at += 1
        number = 0
        while not self._closed():
            if mark == "{":
                self._pair(path)
                continue
            item = (*path, number)
            span = self._value(item)
            self.places[item] = KeyPlace(span, span)
            number += 1
        return Span(start, self.at)

    def _closed(self) -> bool:
        """Goes past commas, and past the mark that closes an array or an inline table if it stands next."""
        self.past(_GAP)
        closed = self.text[self.at] in "]}"
        self.at += closed
        return closed


def _plain(key: str) -> str:
    """A key without its quotes."""
    if "\\" not in key or not key.startswith('"'):
        return key[1:-1] if key[0] in "\"'" else key
    import tomllib  # noqa: PLC0415 - a key with an escape in it is rare

    return str(tomllib.loads(f"key = {key}")["key"])

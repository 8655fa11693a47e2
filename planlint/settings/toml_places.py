"""Where each key of a TOML text stands, and its value: the standard reader gives no places.

The text is one that the reader has taken without complaint, so nothing is checked here.
"""

from __future__ import annotations

from typing import NamedTuple

from planlint.text.source import Span

Path = tuple[str | int, ...]
"""Keys from the top down; a whole number is the place in an array."""


class KeyPlace(NamedTuple):
    """``key`` is where a key is named first; ``value`` its value, or for a table the same as the key."""

    key: Span
    value: Span


def places_of(text: str) -> dict[Path, KeyPlace]:
    """The place of every key and every item of an array, by its path."""
    scan = _Scan(text)
    scan.document()
    return scan.places


class _Scan:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.places: dict[Path, KeyPlace] = {}
        self.tables: dict[Path, int] = {}
        """How many tables an array written with ``[[ ]]`` has so far."""

    def document(self) -> None:
        table: Path = ()
        while True:
            self._skip("\n")
            if self.at >= len(self.text):
                return
            if self._here("[["):
                start = self.at
                self.at += 2
                table = self._table(self._keys("]"), start, repeated=True)
            elif self._here("["):
                start = self.at
                self.at += 1
                table = self._table(self._keys("]"), start, repeated=False)
            else:
                self._pair(table)

    # ------------------------------------------------------------ tables and pairs

    def _table(self, keys: list[tuple[str, Span]], start: int, *, repeated: bool) -> Path:
        path: Path = ()
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

    def _pair(self, table: Path) -> None:
        path = table
        spans = []
        for key, span in self._keys("="):
            path = (*path, key)
            spans.append(span)
            self.places.setdefault(path, KeyPlace(span, span))
        self._skip()
        value = self._value(path)
        # An inline table or a dotted key may have named the path already; its value is this one.
        self.places[path] = KeyPlace(spans[-1], value)

    def _keys(self, end: str) -> list[tuple[str, Span]]:
        """A dotted key and the mark behind it."""
        keys = []
        while True:
            self._skip()
            start = self.at
            if self.text[self.at] in "\"'":
                key = self._string()
            else:
                while self.text[self.at].isalnum() or self.text[self.at] in "-_":
                    self.at += 1
                key = self.text[start : self.at]
            keys.append((key, Span(start, self.at)))
            self._skip()
            mark = self.text[self.at]
            self.at += 1
            if mark == end:
                if end == "]" and self._here("]"):
                    self.at += 1
                return keys

    # ------------------------------------------------------------ values

    def _value(self, path: Path) -> Span:
        start = self.at
        mark = self.text[self.at]
        if mark in "\"'":
            self._string()
        elif mark == "[":
            self.at += 1
            number = 0
            while not self._closed("]"):
                item = (*path, number)
                span = self._value(item)
                self.places[item] = KeyPlace(span, span)
                number += 1
        elif mark == "{":
            self.at += 1
            while not self._closed("}"):
                self._pair(path)
        else:
            while self.at < len(self.text) and self.text[self.at] not in ",]}#\n\r":
                self.at += 1
            end = start + len(self.text[start : self.at].rstrip(" \t"))
            return Span(start, end)
        return Span(start, self.at)

    def _closed(self, mark: str) -> bool:
        """Goes past commas, and past the mark that closes an array or an inline table if it stands next."""
        self._skip("\n,")
        if self.text[self.at] == mark:
            self.at += 1
            return True
        return False

    def _string(self) -> str:
        """A string of any of the four kinds; escapes are undone where a key could have them."""
        quote = self.text[self.at]
        triple = self._here(quote * 3)
        mark = quote * 3 if triple else quote
        start = self.at = self.at + len(mark)
        while not self._here(mark):
            self.at += 2 if quote == '"' and self.text[self.at] == "\\" else 1
        while triple and self.text[self.at + 3 : self.at + 4] == quote:
            self.at += 1  # Up to two more quotes belong to the text.
        raw = self.text[start : self.at]
        self.at += len(mark)
        return _unescaped(raw) if quote == '"' and "\\" in raw else raw

    # ------------------------------------------------------------ steps

    def _here(self, mark: str) -> bool:
        return self.text.startswith(mark, self.at)

    def _skip(self, more: str = "") -> None:
        """Goes past white space; with line ends among ``more``, past comments too."""
        text = self.text
        white = " \t\r" + more
        while self.at < len(text):
            if text[self.at] in white:
                self.at += 1
            elif text[self.at] == "#" and "\n" in more:
                end = text.find("\n", self.at)
                self.at = len(text) if end < 0 else end
            else:
                return


def _unescaped(raw: str) -> str:
    import tomllib  # noqa: PLC0415 - a key with an escape in it is rare

    return str(tomllib.loads(f'key = "{raw}"')["key"])

"""From the bytes of a file to the text of a plan, or one plain refusal.

A plan is UTF-8 with LF or CRLF line ends. What an editor would not show, or would show other than it is
(control characters, overrides of the writing direction), is refused before anything is read.
"""

from planlint.text.source import BYTE_ORDER_MARK, Mistake, PlanText, Span

MOST_BYTES = 4_000_000
"""A plan of 20,000 parts is well under this. Basis: own judgement."""

_BIDI = {
    "\u061c": "ARABIC LETTER MARK",
    "\u200e": "LEFT-TO-RIGHT MARK",
    "\u200f": "RIGHT-TO-LEFT MARK",
    "\u202a": "LEFT-TO-RIGHT EMBEDDING",
    "\u202b": "RIGHT-TO-LEFT EMBEDDING",
    "\u202c": "POP DIRECTIONAL FORMATTING",
    "\u202d": "LEFT-TO-RIGHT OVERRIDE",
    "\u202e": "RIGHT-TO-LEFT OVERRIDE",
    "\u2066": "LEFT-TO-RIGHT ISOLATE",
    "\u2067": "RIGHT-TO-LEFT ISOLATE",
    "\u2068": "FIRST STRONG ISOLATE",
    "\u2069": "POP DIRECTIONAL ISOLATE",
}
_BREAKS = {"\x85": "NEXT LINE", "\u2028": "LINE SEPARATOR", "\u2029": "PARAGRAPH SEPARATOR"}
_CONTROL_NAMES = {
    "\0": "NUL", "\x07": "BELL", "\x08": "BACKSPACE", "\x0b": "VERTICAL TAB", "\x0c": "FORM FEED",
    "\r": "a carriage return without a line feed", "\x1a": "SUBSTITUTE", "\x1b": "ESCAPE", "\x7f": "DELETE",
}  # fmt: skip

_PLAIN_BYTES = bytes(byte for byte in range(256) if byte >= 32 and byte != 127) + b"\t\n\r"
_HIDDEN_BEYOND_ASCII = (*_BIDI, *_BREAKS, *(chr(code) for code in range(0x80, 0xA0) if code != 0x85))


def decode(path: str, data: bytes) -> PlanText | Mistake:
    """The text of a plan file, or the one reason why its bytes are refused.

    The refusal says the place in words, and its span counts the characters before it (broken bytes counted
    as a decoder that replaces them would), without the byte-order mark.
    """
    if len(data) > MOST_BYTES:
        says = f"this file is over {MOST_BYTES // 1_000_000} MB, more than any plan: check that it is one"
        return Mistake(Span(0, 0), says)
    marked = data.startswith(BYTE_ORDER_MARK)
    body = data[3:] if marked else data
    text = utf8(data)
    if isinstance(text, Mistake):
        return text
    hidden = body.translate(None, _PLAIN_BYTES) or body.count(b"\r") != body.count(b"\r\n")
    if hidden or not (body.isascii() or all(character not in text for character in _HIDDEN_BEYOND_ASCII)):
        return _hidden(text)
    return PlanText(path, text, marked)


def utf8(data: bytes) -> str | Mistake:
    """The text of any file, without the byte-order mark, or the place that is not UTF-8."""
    body = data.removeprefix(BYTE_ORDER_MARK)
    try:
        return body.decode("utf-8")
    except UnicodeDecodeError as problem:
        return _not_utf8(data, body, problem.start)


def shown(data: bytes) -> str:
    """What can be seen of a file whose bytes are refused."""
    return data.removeprefix(BYTE_ORDER_MARK).decode("utf-8", "replace")


def _not_utf8(data: bytes, body: bytes, at: int) -> Mistake:
    before = body[:at].decode("utf-8")
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        says = "this file is saved as UTF-16, not as UTF-8: save it as UTF-8 in the editor"
    else:
        line = before.count("\n") + 1
        byte = at + len(data) - len(body) + 1
        says = (
            f"this file is not UTF-8: byte {byte} of it (hexadecimal {body[at]:02X}, on line {line}) belongs to no "
            "character; save it as UTF-8 in the editor"
        )
    return Mistake(Span(len(before), len(before) + 1), says)


def _hidden(text: str) -> Mistake:
    """One message for all characters of the text that an editor hides: the first place, and how many more."""
    places = [at for at, character in enumerate(text) if _is_hidden(character, text, at)]
    at = places[0]
    line_start = text.rfind("\n", 0, at) + 1
    where = f"line {text.count(chr(10), 0, at) + 1}, column {at - line_start + 1}"
    rest = len(places) - 1
    more = "" if not rest else f", and {rest} more after it" if rest > 1 else ", and one more after it"
    says = f"{_what(text[at])} at {where}{more}: only characters that can be seen may stand here; take it out"
    return Mistake(Span(at, at + 1), says)


def _is_hidden(character: str, text: str, at: int) -> bool:
    if character == "\r":
        return text[at + 1 : at + 2] != "\n"
    if character in {"\n", "\t"}:
        return False
    return character < " " or "\x7f" <= character < "\xa0" or character in _BIDI or character in _BREAKS


def _what(character: str) -> str:
    code = f"U+{ord(character):04X}"
    if character in _BIDI:
        return f"a character that changes the writing direction, {_BIDI[character]} ({code}),"
    if character in _BREAKS:
        return f"a line end that is not plain, {_BREAKS[character]} ({code}),"
    if character == "\r":
        return f"{_CONTROL_NAMES[character]} ({code})"
    name = _CONTROL_NAMES.get(character)
    return f"a control character, {f'{name} ({code})' if name else code},"

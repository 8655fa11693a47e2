"""Lengths in the examples that mistakes are told with: they are written in inches, and a metric plan must say so."""

import re

_LENGTH = r"(?:(?:[0-9]+-)?[0-9]+/[0-9]+|[1-3])"
"""What an example counts in inches: eighths and quarters, or a few whole ones. Larger numbers are the builder's own."""
_FAR = re.compile(
    rf"(?<=(?:from|. to|. at|mm x|cm x) )(?:{_LENGTH})(?= (?:to|of|from|in|through|at)\b|[,`]|$)"
)
_SIZE = re.compile(rf"(?<![\w/.-])(?<![a-z]s )(?:{_LENGTH})(?= (?:long|thick|wide|deep|from|at)\b)")
_CODE = re.compile(r"`[^`]+`")


def told_in_inches(says: str, line: str) -> str:
    """What is said of a line of a metric plan, with the unit behind each length of its examples that the line does not
    tell itself."""
    own = set(re.findall(rf"(?<![\w/.-]){_LENGTH}(?![\w/.-])", line))

    def with_unit(number: re.Match[str]) -> str:
        return number[0] if number[0] in own else f"{number[0]} in"

    return _CODE.sub(lambda code: _SIZE.sub(with_unit, _FAR.sub(with_unit, code[0])), says)

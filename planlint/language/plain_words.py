"""A line in words that are read as the plan's: spelt as elsewhere, or with small words that say nothing.

Only what means one thing stands in the table; a line that reads as it stands is never touched.
"""

import re
from functools import cache
from typing import Any

from planlint.language.any_order import MOST_CUT, MOST_SAID, called, filled_in
from planlint.language.grammar_cache import Tools
from planlint.language.line_repair import Edit, LineRepair


@cache
def _ways() -> list[tuple[re.Pattern[str], str]]:
    """The words and phrases of `meant` and `read as`, each with the plan's."""
    small = [(filled_in(theirs), ours) for theirs, ours in called("read as").items()]
    meant = ((each, ours) for each, ours in called("meant").items() if ours != "x")  # `1 by 4` may be `1x4`
    words = [(rf"(?<![\w.]){theirs}(?![\w.{{])", ours) for theirs, ours in meant]
    return [(re.compile(theirs), ours) for theirs, ours in (*words, *small)]


def in_plain_words(line: str, tools: Tools) -> tuple[Any, str] | None:
    """The node of a line that reads once its words are the plan's, and the line so written; ``None`` of any other.
    Nothing more is changed than it takes."""
    if len(line) > MOST_SAID or '"' in re.sub('(?<=[0-9])"', "", line):
        return None
    repair = LineRepair(line, "", tools)
    for theirs, ours in _ways():
        for _ in range(MOST_CUT):
            found = theirs.search(repair.text)
            if found is None:
                break
            repair.apply(Edit(*found.span(), found.expand(ours), "", (0, 0)))
            node, _trouble = repair.attempt(repair.text)
            if node is not None and not tools.builder.problems:
                return repair.move(node), repair.text
    return None

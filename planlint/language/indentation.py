"""Which line may stand under which, and a line with lines under it while these are read."""

from typing import Any, get_args

from planlint.language import syntax_tree
from planlint.language.syntax_tree import Statement
from planlint.text.source import Span

UNKNOWN = "?"
"""The kind of a line that could not be read: anything may stand under it, and nothing of that is kept."""

BELONGS: dict[type, str] = {
    **dict.fromkeys(get_args(syntax_tree.PlanDetail), "plan"),
    syntax_tree.PartDetails: "part",
    **dict.fromkeys(get_args(syntax_tree.JoinDetail), "join"),
}
"""What a detail stands under; every other line is a statement of its own."""

OPENS: dict[type, str] = {
    syntax_tree.PlanHead: "plan",
    syntax_tree.PartLine: "part",
    syntax_tree.JoinLine: "join",
    syntax_tree.For: "for",
    syntax_tree.AssemblyLine: "assembly",
}
"""The lines that others may stand under."""

HOLDS_STATEMENTS = frozenset({"", "for", "assembly"})

AT_THE_MARGIN = {
    "plan": "`plan` cannot be repeated: write it once, at the margin",
    "use": "`use` brings in a file once, for the whole plan: write it at the margin",
    "assembly": "an assembly is told once, for the whole plan: write it at the margin, and place it here",
}
"""The first words of lines that stand in no other, and what to say where one does."""

DETAIL_OF = "this is a detail of a {0}: indent it under its `{0}` line"

MARGIN_NODES = frozenset(get_args(syntax_tree.OnceAPlan))


class Indented:
    """A line that may have lines under it, while these are being read."""

    __slots__ = ("astray", "body", "children", "indent", "kind", "line", "node", "span")

    def __init__(self, indent: int, kind: str, node: Any, span: Span, line: int) -> None:
        self.indent = indent
        self.kind = kind
        self.node = node
        self.span = span
        self.line = line
        self.children: list[Statement] = []
        self.body = -1
        """Indentation of the lines under it; -1 before the first."""
        self.astray: object = None
        """What was last told about lines that do not fit here, so that a run of them is told once."""

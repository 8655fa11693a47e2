"""Edits of whole lines: a detail put in, a line taken out, a part given a statement of its own."""

from planlint.language.plain_lines import block_end, comment_start, indent_of, last_line, line_at, line_end
from planlint.language.syntax_tree import AssemblyLine, Statement
from planlint.repairs.repair_context import Context, InLine, NotInThisFile
from planlint.text.edits import TextEdit
from planlint.text.source import Span


def change(statement: Statement, node: InLine, new: str) -> TextEdit:
    """New words for a node, or a stretch, inside a line."""
    return TextEdit(statement.at(node.start, node.end), new)


def rewrite(statement: Statement, new: str) -> TextEdit:
    """New words for a whole line."""
    return TextEdit(statement.span, new)


def say_more(statement: Statement, more: str) -> TextEdit:
    """Words put in behind those of a line."""
    return TextEdit(Span(statement.span.end, statement.span.end), more)


def add_detail(context: Context, head: Statement, words: str, after: Statement | None = None) -> TextEdit:
    """A new detail under ``head``, on a line behind ``after``: a detail of it, else the last."""
    details = head.details
    text, own = context.text, indent_of(context.text, head.span.start)
    white = indent_of(text, details[0].span.start) if details else own + step_of(context)
    end = line_at(text, (after or (details or (head,))[-1]).span)[1]
    return TextEdit(Span(end, end), f"{line_end(text)}{white}{words}")


def add_details(context: Context, head: Statement, words: list[str]) -> TextEdit:
    """Several new details under ``head``, one a line, behind the others."""
    edit = add_detail(context, head, words[0])
    white = edit.new[: -len(words[0])]
    return edit._replace(new="".join(f"{white}{each}" for each in words))


def step_of(context: Context) -> str:
    """How much further the details of this plan are indented than what they stand under."""
    for statement in context.tree.statements:
        if statement.details:
            own, deeper = (
                indent_of(context.text, each.span.start) for each in (statement, statement.details[0])
            )
            return deeper[len(own) :]
    return "    "


def add_line(context: Context, before: Statement, words: str) -> TextEdit:
    """A new line in front of a statement, indented alike."""
    start = line_at(context.text, before.span)[0]
    white = indent_of(context.text, before.span.start)
    return TextEdit(Span(start, start), f"{white}{words}{line_end(context.text)}")


def statements_behind(context: Context, span: Span, said: list[list[str]], unit: str = "") -> TextEdit:
    """New statements, each its head and its details, behind the one at a place or the loop that it stands in. Raises
    ``Elsewhere`` in an assembly, unless they are told as its parts, of a ``unit``, are called there."""
    behind = context.at(span) if unit else _outermost(context, context.at(span))
    end, white = block_end(context.text, behind), indent_of(context.text, behind.span.start)
    step, feed = step_of(context), line_end(context.text) + white
    lines = [line for head, *details in said for line in (head, *(f"{step}{each}" for each in details))]
    return TextEdit(Span(end, end), "".join(f"{feed}{line}" for line in lines))


def _outermost(context: Context, statement: Statement) -> Statement:
    for each in context.tree.statements:
        if each.span.start <= statement.span.start <= last_line(each).span.end:
            if isinstance(each.node, AssemblyLine):
                raise NotInThisFile
            return each
    raise NotInThisFile


def line_taken_out(context: Context, statement: Statement) -> TextEdit:
    """A line without lines under it taken out; a comment behind it stays, on a line of its own."""
    start, end, after = line_at(context.text, statement.span)
    comment = context.text[statement.span.end : end]
    if comment_start(comment) < len(comment):
        return TextEdit(Span(statement.span.start, statement.span.end + comment_start(comment)), "")
    if after == end and start:  # The last line, without a line end: the one before it goes.
        start -= 2 if context.text[start - 2 : start] == "\r\n" else 1
    return TextEdit(Span(start, after), "")

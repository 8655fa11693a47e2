"""What is cut from a part as nodes of the tree, while a line is parsed."""

from typing import Any

from lark import Token

from planlint.language import syntax_tree
from planlint.language.row_nodes import Rows
from planlint.language.syntax_tree import Word

Told = tuple[Any, int, int]


class Cuts(Rows):
    """Builds the nodes of cuts: ends and edges off square, grooves, holes, tapers and the like."""

    def cut_one_end(self, children: list[Any]) -> Told:
        end, at = children[0], children[-1]
        return syntax_tree.CutItem(end, children[3], at), end.start, at.end

    def cut_both_ends(self, children: list[Any]) -> Told:
        at = children[-1]
        return syntax_tree.CutItem(None, children[2], at), children[0].start_pos, at.end

    def cut_one_edge(self, children: list[Any]) -> Told:
        item, start, end = self.cut_one_end(children)
        return item._replace(edge=True), start, end

    def cut_both_edges(self, children: list[Any]) -> Told:
        word, at = children[0], children[-1]
        return syntax_tree.CutItem(None, children[2], at, True), word.start, at.end

    def taper(self, children: list[Any]) -> Told:
        kind, *sides, wide, _, at, start, _, origin = [
            each for each in children if not (isinstance(each, Token) and each.value in {",", "to"})
        ]
        item = syntax_tree.TrimItem(kind, (wide, start), tuple(sides), (at, origin))
        return item, kind.start, origin.end

    def corner(self, children: list[Any]) -> Told:
        kind, one, *more, _, first, second = children
        sizes = (one, *(each for each in more if each is not None and not isinstance(each, Token)))
        return syntax_tree.TrimItem(kind, sizes, (first, second)), kind.start, second.end

    def rounded_end(self, children: list[Any]) -> Told:
        side, _, kind, radius = children
        return syntax_tree.TrimItem(kind, (radius,), (side,), end=True), side.start, radius.end

    def rounded_ends(self, children: list[Any]) -> Told:
        word, kind, radius = children
        return syntax_tree.TrimItem(kind, (radius,), (), end=True), word.start_pos, radius.end

    def bow(self, children: list[Any]) -> Told:
        kind, size, how, _, side = children
        item = syntax_tree.TrimItem(kind, (size,), (side,), radius=token_text(how) == "radius")
        return item, kind.start, side.end

    def arch(self, children: list[Any]) -> Told:
        kind, size, how, _, side = children
        item = syntax_tree.RemovalItem(kind, (size,), (side,), None, radius=token_text(how) == "radius")
        return item, kind.start, side.end

    def point(self, children: list[Any]) -> syntax_tree.ArcPoint:
        return syntax_tree.ArcPoint(*children)

    def bow_through(self, children: list[Any]) -> Told:
        kind, sizes, points, side = _through(children)
        return syntax_tree.TrimItem(kind, sizes, (side,), points=points), kind.start, side.end

    def arch_through(self, children: list[Any]) -> Told:
        kind, sizes, points, side = _through(children)
        return syntax_tree.RemovalItem(kind, sizes, (side,), None, points=points), kind.start, side.end

    def hole(self, children: list[Any]) -> Told:
        kind, wide, _, *deep, _, face, _, near, _, first, _, beyond, _, last = children
        depths = (wide, *(each for each in deep if each is not None and not isinstance(each, Token)))
        # How deep is a measure, and the word behind it a word.
        depths = tuple(each for each in depths if not isinstance(each, Word))
        item = syntax_tree.RemovalItem(kind, depths, (face, first, last), near, None, beyond)
        return item, kind.start, last.end

    def rabbet(self, children: list[Any]) -> Told:
        kind, first, _, second, _, one, other = children
        item = syntax_tree.RemovalItem(self.word(kind), (first, second), (one, other), None)
        return item, kind.start_pos, other.end

    def groove(self, children: list[Any]) -> Told:
        kind, wide, _, deep, _, _, cut_in, _, offset, _, origin = children
        item = syntax_tree.RemovalItem(self.word(kind), (wide, deep), (cut_in, origin), offset)
        return item, kind.start_pos, origin.end

    def notch(self, children: list[Any]) -> Told:
        kind = children[0]
        parts = [part for part in children[1:] if part is not None]
        depths = tuple(part for part in parts if not isinstance(part, (Token, Word)))
        sides = tuple(part for part in parts if isinstance(part, Word))
        if len(depths) != len(sides):
            says = (
                f"a notch needs a side for each of its {len(depths)} measures, and {len(sides)} are named: "
                "`notch A x B at SIDE SIDE`, or with three of each"
            )
            self.problems.append((kind.start_pos, sides[-1].end, says))
        return syntax_tree.RemovalItem(self.word(kind), depths, sides, None), kind.start_pos, sides[-1].end

    def cutout(self, children: list[Any]) -> Told:
        kind, one, _, other, *deep, _, face, _, near, _, first, _, beyond, _, last = children
        depths = (one, other, *(each for each in deep if each is not None and not isinstance(each, Token)))
        item = syntax_tree.RemovalItem(kind, depths, (face, first, last), near, None, beyond)
        return item, kind.start, last.end


def _through(children: list[Any]) -> tuple[Word, tuple[Any, ...], tuple[syntax_tree.ArcPoint, ...], Word]:
    """The word, the radius if it is told, the points and the side of an arc."""
    kind, radius, *_, side = children
    points = tuple(each for each in children if isinstance(each, syntax_tree.ArcPoint))
    return kind, (() if radius is None else (radius,)), points, side


def token_text(part: Any) -> str:
    return str(part.value) if isinstance(part, Token) else part.text


def start_of(part: Any) -> int:
    return (part.start_pos or 0) if isinstance(part, Token) else part.start


def end_of(part: Any) -> int:
    return (part.end_pos or 0) if isinstance(part, Token) else part.end

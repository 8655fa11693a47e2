"""From lark's reductions to the nodes of the tree, while a line is parsed: statements and their details."""

from collections.abc import Callable
from typing import Any, get_args

from lark import Token

from planlint.language import syntax_tree
from planlint.language.cut_nodes import Cuts, Told, end_of, start_of, token_text
from planlint.language.expression_tree import Name
from planlint.language.syntax_tree import Word
from planlint.language.vocabulary import SIDE_WORDS, USUAL_MIRROR
from planlint.text.source import Span


def _placing(verb: str) -> Callable[[Any, list[Any]], syntax_tree.PlacingLine]:
    """A distance from a side, told by such a word."""
    return lambda _self, children: syntax_tree.PlacingLine(verb, children[0], (children[1],), None)


class Builder(Cuts):
    """Builds the nodes of one line after another."""

    # ------------------------------------------------------------ statements

    def seen_from(self, children: list[Any]) -> syntax_tree.SeenFrom:
        return syntax_tree.SeenFrom(tuple(children))

    def seen_from_all_round(self, children: list[Any]) -> syntax_tree.SeenFrom:
        start = children[0].start_pos
        return syntax_tree.SeenFrom(
            tuple(Word(side, start, children[0].end_pos) for side in ("front", "left", "right", "back"))
        )

    def seen_from_nowhere(self, _children: list[Any]) -> syntax_tree.SeenFrom:
        return syntax_tree.SeenFrom(())

    def let(self, children: list[Any]) -> syntax_tree.Let:
        self._no_side(children[0])
        return syntax_tree.Let(*children)

    def for_loop(self, children: list[Any]) -> syntax_tree.For:
        self._no_side(children[0])
        return syntax_tree.For(*children)

    def _no_side(self, name: Name) -> None:
        """A length called by a side would leave `flush top` and `top from front` to be told apart."""
        if name.text in SIDE_WORDS:
            self.check_name(name.text, name.start)

    # ------------------------------------------------------------ assemblies

    def parameters(self, children: list[Any]) -> tuple[Name, ...]:
        for name in children:
            self._no_side(name)
        return tuple(children)

    def assembly(self, children: list[Any]) -> syntax_tree.AssemblyLine:
        name, parameters = children
        return syntax_tree.AssemblyLine(name, parameters or ())

    def end(self, _children: list[Any]) -> syntax_tree.EndLine:
        return syntax_tree.EndLine()

    def place(self, children: list[Any]) -> syntax_tree.PlaceLine:
        assembly, name, mirrored, across, *given = children
        how = None if mirrored is None else across.text if across is not None else USUAL_MIRROR
        return syntax_tree.PlaceLine(assembly, name, tuple(given), how)

    use_names = names = sides = Cuts.all_of

    def stock_nominal(self, children: list[Any]) -> syntax_tree.StockLine:
        name, species, nominal, sold = children
        return syntax_tree.StockLine(name, species, nominal, None, None, sold, False)

    def stock_actual(self, children: list[Any]) -> syntax_tree.StockLine:
        name, species, thick, wide, sold = children
        return syntax_tree.StockLine(name, species, None, thick, wide, sold, False)

    def stock_sheet(self, children: list[Any]) -> syntax_tree.StockLine:
        name, species, thick, *size = children
        wide, long = size or (None, None)
        return syntax_tree.StockLine(name, species, None, thick, wide, long, True)

    stock_sheet_size = stock_sheet
    stock_board = stock_actual

    def load(self, children: list[Any]) -> syntax_tree.LoadLine:
        amount, unit, per, part, towards = children
        if amount.unit is not None:
            says = "a load is written in lb, kg or N, and this is a length"
            self.problems.append((amount.start, amount.end, says))
        return syntax_tree.LoadLine(amount.value, unit, per is not None, part, towards)

    def HERE(self, token: Token) -> syntax_tree.Target:  # noqa: N802 - named as the terminal
        start = token.start_pos or 0
        return syntax_tree.Target(token.value, (), start, start + len(token))

    def target(self, children: list[Any]) -> syntax_tree.Target:
        first, side, other, other_side = children
        last = other_side or side or first
        text = self.line[first.start : last.end]
        named = ((first, side),) if other is None else ((first, side), (other, other_side))
        return syntax_tree.Target(text, named, first.start, last.end)

    # ------------------------------------------------------------ parts

    def part(self, children: list[Any]) -> syntax_tree.PartLine:
        return syntax_tree.PartLine(children[0], children[1], self._items(children[2:]))

    def part_like(self, children: list[Any]) -> syntax_tree.PartLine:
        names, other, *items = children
        return syntax_tree.PartLine(names, other, self._items(items), True, None, self._image(names, other))

    def part_mirrors(self, children: list[Any]) -> syntax_tree.PartLine:
        names, other, across, *items = children
        how = across.text if across is not None else USUAL_MIRROR
        image = self._image(names, across or other)
        return syntax_tree.PartLine(names, other, self._items(items), True, how, image)

    def _image(self, names: tuple[Name, ...], last: Name | Word) -> Span:
        """From behind the names of a part to the last word of what it is the image of."""
        behind = self.line[names[-1].end :]
        return Span(names[-1].end + len(behind) - len(behind.lstrip()), last.end)

    def part_details(self, children: list[Any]) -> syntax_tree.PartDetails:
        return syntax_tree.PartDetails(self._items(children))

    def run(self, children: list[Any]) -> Told:
        return (children[1], children[3]), children[0].start_pos, children[3].end

    def _items(self, children: list[Told]) -> tuple[Told, ...]:
        """The details of a part; where a groove runs belongs to the groove before it."""
        if not any(type(item[0]) is tuple for item in children):
            return tuple(children)
        items: list[Told] = []
        for item, start, end in children:
            if type(item) is not tuple:
                items.append((item, start, end))
                continue
            before = items[-1][0] if items else None
            if (
                isinstance(before, syntax_tree.RemovalItem)
                and before.kind.text not in {"notch", "cutout", "slot", "hole"}
                and before.run is None
            ):
                items[-1] = (before._replace(run=item), items[-1][1], end)
            else:
                says = (
                    "`from … to …` says where a groove, dado, rabbet or arch runs: it stands right behind one, "
                    "on its line"
                )
                self.problems.append((start, end, says))
        return tuple(items)

    def measure(self, children: list[Any]) -> Told:
        value, word = children
        return syntax_tree.SizeItem(value, word, None), value.start, word.end

    def plain_flag(self, children: list[Any]) -> Told:
        word = children[0]
        return syntax_tree.Flag(word.text, word), word.start, word.end

    def facing(self, children: list[Any]) -> Told:
        look = children[1]
        return syntax_tree.Flag("facing", look), children[0].start_pos, look.end

    def phrase(self, children: list[Any]) -> Told:
        words = [token_text(child) for child in children]
        start, end = start_of(children[0]), end_of(children[-1])
        name = " ".join(words)
        return syntax_tree.Flag(name, Word(name, start, end)), start, end

    def finish_one(self, children: list[Any]) -> Told:
        side = children[1]
        return syntax_tree.Flag("finish", side), children[0].start_pos, children[2].end_pos

    def covered(self, children: list[Any]) -> Told:
        side, last = children[1], children[-1] if children[-1] is not None else children[1]
        return syntax_tree.Flag("covered", side), children[0].start_pos, end_of(last)

    def taped(self, children: list[Any]) -> Told:
        word, side = children
        return syntax_tree.Flag("taped", side), word.start, side.end

    def rings(self, children: list[Any]) -> Told:
        how = children[1]
        return syntax_tree.Flag("rings", how), children[0].start_pos, how.end

    def gap(self, children: list[Any]) -> Told:
        word, distance, _, to = children
        return syntax_tree.SpacingItem("gap", distance, to), word.start, to.end

    def in_line(self, children: list[Any]) -> Told:
        word, to = children
        return syntax_tree.SpacingItem("line", None, to), word.start, to.end

    def stands(self, children: list[Any]) -> Told:
        return syntax_tree.SpacingItem("floor", None, None), children[0].start, children[0].end

    # ------------------------------------------------------------ joins

    def join(self, children: list[Any]) -> syntax_tree.JoinLine:
        """One join, or several told alike: each side to the one opposite, or all to the only one there."""
        name, firsts, seconds, tradition = children
        if len(firsts) != len(seconds) and 1 not in {len(firsts), len(seconds)}:
            says = f"{len(firsts)} sides are joined to {len(seconds)} here: name as many on both hands, or one on one"
            self.problems.append((firsts[0].start, seconds[-1].end, says))
        many = max(len(firsts), len(seconds))
        pairs = list(zip(firsts * (many // len(firsts)), seconds * (many // len(seconds)), strict=False))
        if name is not None and many > 1:
            says = "a name is for one join, and this line tells several: leave it out, or give each a line of its own"
            self.problems.append((name.start, name.end, says))
        return syntax_tree.JoinLine(name, *pairs[0], tradition, tuple(pairs[1:]))

    def join_named(self, children: list[Any]) -> Name:
        """Templates in it are filled in with each turn: the pieces of all its names, with dots and sides between."""
        pieces: list[Any] = []
        marks = ("", ".", "/", ".")
        named = [each for each in children if each is not None]
        for mark, each in zip(marks, named, strict=False):
            pieces += [mark, *(each.pieces if isinstance(each, Name) and each.pieces else [each.text])]
        start, end = named[0].start, named[-1].end
        return Name(self.line[start:end], tuple(piece for piece in pieces if piece != ""), start, end)

    def join_like(self, children: list[Any]) -> syntax_tree.JoinLine:
        line = self.join([*children[:3], None])
        return line._replace(like=children[3])

    def side_of(self, children: list[Any]) -> syntax_tree.SideOf:
        part, side = children
        return syntax_tree.SideOf(part, side, part.start, side.end)

    def side_of_side(self, children: list[Any]) -> syntax_tree.SideOf:
        part, side = children
        return syntax_tree.SideOf(Name(part.text, (), part.start, part.end), side, part.start, side.end)

    def tradition(self, children: list[Any]) -> syntax_tree.TraditionItem:
        measures = tuple(child for child in children[1:] if isinstance(child, syntax_tree.SizeItem))
        words = tuple(child for child in children[1:] if isinstance(child, Word))
        row = children[1]
        said = [child for child in (children[0], *children[2:]) if child is not None]
        end = max(each.word.end if isinstance(each, syntax_tree.SizeItem) else end_of(each) for each in said)
        if row is not None:
            end = max(end, *(each.end for each in (row.count, row.last, row.first, row.origin) if each))
        return syntax_tree.TraditionItem(children[0], measures, words, row, end)

    def tradition_measure(self, children: list[Any]) -> syntax_tree.SizeItem:
        noun, value, word = children
        return syntax_tree.SizeItem(value, word, noun.value if noun is not None else None)

    def tradition_line(self, children: list[Any]) -> Any:
        return children[0]

    def flush(self, children: list[Any]) -> syntax_tree.PlacingLine:
        return syntax_tree.PlacingLine("flush", None, tuple(children), None)

    set_back, proud, distance_from = _placing("set back"), _placing("proud"), _placing("from")

    def centred(self, children: list[Any]) -> syntax_tree.PlacingLine:
        return syntax_tree.PlacingLine("centred", None, (), children[0])

    def glued(self, children: list[Any]) -> syntax_tree.Flag:
        return syntax_tree.Flag("glued", children[0])

    def glued_middle(self, children: list[Any]) -> syntax_tree.Flag:
        first, last = children
        return syntax_tree.Flag(
            "glued middle third", Word("glued along the middle third", first.start, last.end_pos)
        )

    def slotted(self, children: list[Any]) -> syntax_tree.Flag:
        return syntax_tree.Flag("slotted", children[0])


def _plain(node: type[Any]) -> Callable[[Any, list[Any]], Any]:
    of_line = getattr(node, "of_line", None)

    def built(_self: Any, children: list[Any]) -> Any:
        return of_line(children) if of_line is not None else node(*children)

    return built


def _plain_item(node: type[Any]) -> Callable[[Any, list[Any]], Told]:
    def built(_self: Any, children: list[Any]) -> Told:
        held = (child for child in children if not isinstance(child, Token))
        return node(*held), start_of(children[0]), end_of(children[-1])

    return built


# A line or a detail of a part whose node holds what stands in it, in that order, and a line whose node has a class
# method `of_line`, need no method of their own.
for _node in (*get_args(syntax_tree.Node), syntax_tree.Given, *get_args(syntax_tree.PartItem)):
    _rule = "".join(f"_{one.lower()}" if one.isupper() else one for one in _node.__name__)[1:].removesuffix(
        "_line"
    )
    if not hasattr(Builder, _rule):
        of_part = _node in get_args(syntax_tree.PartItem)
        setattr(Builder, _rule, _plain_item(_node) if of_part else _plain(_node))

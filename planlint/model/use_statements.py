"""``use "…"``: the lets, the stock and the assemblies of other files, brought into a plan.

Where the files come from is not known here: they are handed over by a ``Loader``. A file is worked out once, however
often it is used, and its mistakes are told at the line of the plan through which it came first.
"""

from collections.abc import Callable, Iterable
from posixpath import dirname, join, normpath

from planlint.language.reader import read
from planlint.language.syntax_tree import AssemblyLine, Let, PlanHead, Statement, StockLine, UnitLine, Use
from planlint.model.assemblies import tell_assemblies
from planlint.model.elaboration_state import Workings
from planlint.model.expressions import settle_lets
from planlint.model.foreign_lines import brought
from planlint.model.mistake_log import MistakeLog, Refusal
from planlint.model.nearest_name import offered
from planlint.model.plan_head import HeadRead
from planlint.model.provenance import LineSaid
from planlint.model.stock_statements import add_stock
from planlint.model.workshop import MOST_FILES
from planlint.text.source import Mistake, PlanText, Span

Loader = Callable[[str], PlanText | Mistake]
"""The text of a file, by its path from the plan's folder, or why there is none. The same file is the same object."""


_MOST_TOLD = 5
"""Mistakes in the lines of one used file that are told; it is inspected on its own for the rest."""


def bring_in(workings: Workings, statements: Iterable[Statement], load: Loader | None) -> None:
    """Brings in what the ``use`` lines of a plan name, and notes what is wrong with them and with those files."""
    uses = [statement for statement in statements if isinstance(statement.node, Use)]
    _Uses(workings.log, load).into(workings, uses, "", [workings.source])


class _Uses:
    def __init__(self, log: MistakeLog, load: Loader | None) -> None:
        self.log = log
        self.load = load
        self.files: dict[int, Workings] = {}

    def into(self, user: Workings, uses: list[Statement], folder: str, chain: list[PlanText]) -> None:
        """Brings in what one file uses; ``chain`` are the files from the plan down to it."""
        for statement in uses:
            assert isinstance(statement.node, Use)
            path = normpath(join(folder, statement.node.path))
            try:
                self._merge(user, self._file(path, statement, chain), statement, statement.node)
            except Refusal as refusal:
                self.log.refuse(statement, refusal)
                user.scope.unread.add("{")  # Any name might have come from there.

    def _file(self, path: str, statement: Statement, chain: list[PlanText]) -> Workings:
        found = (
            self.load(path)
            if self.load is not None
            else Mistake(Span(0, 0), "no other file can be read from here")
        )
        if isinstance(found, Mistake):
            raise Refusal(None, 0, found.says)
        for number, user in enumerate(chain):
            if found is user or found.path == user.path:
                ring = " uses ".join(each.path for each in [*chain[number:], found])
                if number == len(chain) - 1:
                    raise Refusal(None, 0, f"{found.path} uses itself: take this line out")
                raise Refusal(None, 0, f"these files use one another in a ring: {ring}; take one `use` out")
        known = self.files.get(id(found))
        if known is not None:
            return known
        if len(self.files) >= MOST_FILES:
            raise Refusal(None, 0, f"this plan uses more than {MOST_FILES} files: put some of them together")
        return self._work_out(found, path, statement, chain)

    def _work_out(self, source: PlanText, path: str, here: Statement, chain: list[PlanText]) -> Workings:
        log = self.log
        tree, mistakes = read(source)
        for mistake in mistakes[:_MOST_TOLD]:
            log.elsewhere(source, mistake.span, here, mistake.says)
        if len(mistakes) > _MOST_TOLD:
            says = f"and {len(mistakes) - _MOST_TOLD} more mistakes from here on: inspect that file by itself"
            log.elsewhere(source, mistakes[_MOST_TOLD].span, here, says)
        wanted = (PlanHead, UnitLine, Use, Let, StockLine)
        statements = [
            brought(each, source, here) for each in tree.statements if isinstance(each.node, wanted)
        ]
        head = HeadRead(log, statements)
        file = Workings(tree, log, head.unit, here)
        self.files[id(source)] = file
        uses: list[Statement] = [each for each in statements if isinstance(each.node, Use)]
        self.into(file, uses, dirname(path), [*chain, source])
        settle_lets([(each, each.node) for each in statements if isinstance(each.node, Let)], file.scope, log)
        for each in statements:
            if isinstance(each.node, StockLine):
                log.enter(each, file.scope)
                add_stock(file, LineSaid(each, each.node, file.scope))
        tell_assemblies(
            file, [each for each in tree.statements if isinstance(each.node, AssemblyLine)], source
        )
        log.leave()
        return file

    def _merge(self, user: Workings, file: Workings, statement: Statement, node: Use) -> None:
        scope = user.scope
        wanted = self._wanted(file, statement, node)
        for name, value in file.scope.values.items():
            if wanted is not None and name not in wanted:
                continue
            origin = self._origin(user, file, "length", name, statement)
            if origin is None:
                continue
            scope.brought[name] = origin.source.path
            if value.is_length or file.unit == user.unit or not value.number:
                scope.values[name] = value
            else:
                scope.unfit[name] = (
                    f"{name} comes from {origin.source.path}, which counts in {file.unit}, and has no unit there, "
                    f"while {user.unit} is meant here: give it one there, such as `let {name} = 12 {file.unit}`"
                )
        for name, says in file.scope.unfit.items():
            scope.unfit.setdefault(name, says)
        for name, stock in file.scope.stocks.items():
            if (wanted is None or name in wanted) and self._origin(user, file, "stock", name, statement):
                scope.stocks[name] = stock
                user.said_stocks[name] = file.said_stocks[name]
        for name, assembly in file.scope.assemblies.items():
            if (wanted is None or name in wanted) and self._origin(user, file, "assembly", name, statement):
                scope.assemblies[name] = assembly
        scope.broken |= file.scope.broken
        scope.unread.update(file.scope.unread)
        for kind, names in file.scope.dropped.items():
            scope.dropped[kind].update(names)

    def _wanted(self, file: Workings, statement: Statement, node: Use) -> frozenset[str] | None:
        """The names that a line asks for, ``None`` for all; one that the file does not give is noted."""
        if node.names is None:
            return None
        scope = file.scope
        known = {*scope.values, *scope.unfit, *scope.stocks, *scope.assemblies}
        broken = {
            *scope.broken,
            *(name for name in (each.text for each in node.names) if name in scope.unread),
        }
        for name in node.names:
            dropped = any(name.text in names for names in scope.dropped.values())
            if name.text not in known and name.text not in broken and not dropped:
                says = f"{file.source.path} gives no length, stock or assembly called {name.text}"
                offer = offered(scope.offers.nearest(name.text, known))
                self.log.refuse(statement, Refusal.at(name, says + offer))
        return frozenset(name.text for name in node.names)

    def _origin(
        self, user: Workings, file: Workings, kind: str, name: str, statement: Statement
    ) -> Workings | None:
        """The file that gives a name; ``None`` where it is there already. Two files that give it are a mistake."""
        origin = file.origin.get((kind, name), file)
        known = user.origin.setdefault((kind, name), origin)
        if known is not origin:
            says = f"{kind} {name} comes from {known.source.path} and from {origin.source.path}: rename one of the two"
            self.log.refuse(statement, Refusal(None, 0, says))
            return None
        if kind == "length":
            there = name in user.scope.brought
        else:
            there = name in (user.scope.stocks if kind == "stock" else user.scope.assemblies)
        return None if there else origin

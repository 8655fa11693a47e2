"""The text of the new plan: the old with only the statements rewritten that must change."""

from collections.abc import Collection, Iterable, Iterator
from fractions import Fraction
from itertools import chain, groupby

from planlint.checks.acceptance import STALE, Stale
from planlint.conversion.exact_boxes import Slice
from planlint.conversion.join_lines import Choices, join_recipes
from planlint.conversion.length_words import bare_number as written
from planlint.conversion.part_lines import Recipe, part_recipes
from planlint.conversion.size_changes import Change
from planlint.conversion.statement_sites import Site, Sites
from planlint.conversion.text_stretches import apply_within, stacked
from planlint.inspection.inspection_result import Inspection
from planlint.language.expression_tree import Name
from planlint.language.plain_lines import block_end
from planlint.language.syntax_tree import AcceptLine, AssemblyLine, For, LoadLine, Statement, Target
from planlint.model.provenance import Path
from planlint.placement.placement_results import Placement
from planlint.text.edits import TextEdit, apply
from planlint.text.measures import INCH_PER_UNIT
from planlint.text.source import PlanText, Span

Accepted = tuple[str, str]
"""A rule and the name on which it is accepted."""


def rewritten(
    sites: Sites,
    change: Change,
    choices: Choices,
    placement: Placement,
    idle: Collection[Accepted] = (),
) -> PlanText:
    """The plan's text after a change, drilled as chosen.

    Acceptances that are ``idle``, of old names or of new, accept nothing: they are not told for each piece of a part.
    """
    source = sites.tree.source
    joins = join_recipes(sites, change, choices, placement)
    found = chain(part_recipes(sites, change), joins, _other_recipes(sites, change, idle))
    recipes = {(key, path): recipe for key, path, recipe in found}
    edits = _edits_of(sites, recipes, sites.tree.statements, ())
    return PlanText(source.path, apply(source.text, edits), source.byte_order_mark)


def idle_acceptances(inspection: Inspection) -> frozenset[Accepted]:
    """Acceptances that nothing answers to."""
    found = [finding.judged(Stale) for finding in inspection.findings if finding.rule == STALE]
    return frozenset((each.acceptance.rule, each.acceptance.target) for each in found)


class UnitsDiffer(Exception):  # noqa: N818 - the units differ; nothing is wrong with the program
    """The units of one assembly would have to be told differently."""

    def __init__(self, assembly: Statement) -> None:
        super().__init__()
        self.assembly = assembly


# ---------------------------------------------------------------- loops


def _edits_of(
    sites: Sites, recipes: dict[tuple[int, Path], Recipe], statements: Iterable[Statement], path: Path
) -> tuple[TextEdit, ...]:
    edits: list[TextEdit] = []
    for statement in statements:
        if isinstance(statement.node, For):
            edits += _loop_edits(sites, recipes, statement, path)
        elif isinstance(statement.node, AssemblyLine):
            units = [
                _edits_of(sites, recipes, statement.details, (unit,))
                for unit in sites.turns(statement, ())
                if not sites.in_mirror((unit,))
            ]
            if any(unit != units[0] for unit in units):
                raise UnitsDiffer(statement)
            edits += units[0] if units else ()
        else:
            edits += recipes.get((id(statement), path), ())
    return tuple(edits)


def _loop_edits(
    sites: Sites, recipes: dict[tuple[int, Path], Recipe], loop: Statement, path: Path
) -> Iterable[TextEdit]:
    """The edits inside a loop, where all its turns want the same; else the loop is told in several runs."""
    node = loop.node
    assert isinstance(node, For)
    turns = sites.turns(loop, path)
    by_turn = [(turn, _edits_of(sites, recipes, loop.details, (*path, turn))) for turn in turns]
    runs = [(edits, [turn for turn, _ in run]) for edits, run in groupby(by_turn, key=lambda each: each[1])]
    if len(runs) < 2:
        return runs[0][0] if runs else ()
    start, end = loop.span.start, block_end(sites.text, loop)
    texts = []
    for number, (edits, run) in enumerate(runs):
        head = []
        if number:
            head.append(TextEdit(loop.at(node.first.start, node.first.end), str(run[0])))
        if number < len(runs) - 1:
            head.append(TextEdit(loop.at(node.last.start, node.last.end), str(run[-1])))
        texts.append(apply_within(sites.text, start, end, [*head, *edits]))
    return (TextEdit(Span(start, end), stacked(sites.text, start, texts)),)


# ---------------------------------------------------------------- loads and acceptances


def _other_recipes(
    sites: Sites, change: Change, idle: Collection[Accepted]
) -> Iterator[tuple[int, Path, Recipe]]:
    """Lines that name a part which is now two, or a joint by a name that has changed."""
    split = {name: made for name, made in change.slices.items() if made[0].number}
    renamed = dict(_new_names(sites, change))
    for site, node in sites.others:
        called = next(each for each in node if isinstance(each, Name | Target))
        pieces = split.get(called.text, ())
        if isinstance(node, LoadLine) and pieces and not node.per_foot:
            yield id(site.statement), site.path, (_shared_out(sites, site, node, pieces),)
            continue
        renames = renamed.get(called.text, ()) if isinstance(called, Target) else ()
        now = [*renames, *(f"{called.text}{each.suffix}" for each in pieces)]
        if isinstance(node, AcceptLine):
            rule = node.rule.text
            now = [name for name in now if (rule, name) not in idle] or now[:1]
            now = now[:1] if (rule, called.text) in idle else now
        if now:
            at = site.statement.at(called.start, called.end)
            yield id(site.statement), site.path, (_repeated(sites, site, at, now),)


def _shared_out(sites: Sites, site: Site, node: LoadLine, pieces: tuple[Slice, ...]) -> TextEdit:
    """A load on a part that is now several: each bears its share by its length, and together they bear what it bore."""
    start, end = site.statement.span
    sizes = [each.size(each.part.grain) for each in pieces]
    shares = [Fraction(round(node.amount * size / sum(sizes) * 10), 10) for size in sizes[:-1]]
    shares.append(node.amount - sum(shares))
    word = len("load")
    texts = []
    for each, share in zip(pieces, shares, strict=True):
        edits = [
            TextEdit(
                site.statement.at(word, node.unit.start), f" {written(share * INCH_PER_UNIT['mm'], 'mm')} "
            ),
            TextEdit(site.statement.at(node.part.end, node.part.end), each.suffix),
        ]
        texts.append(apply_within(sites.text, start, end, edits))
    return TextEdit(site.statement.span, stacked(sites.text, start, texts))


def _repeated(sites: Sites, site: Site, at: Span, names: list[str]) -> TextEdit:
    start, end = site.statement.span
    texts = (apply_within(sites.text, start, end, [TextEdit(at, name)]) for name in names)
    return TextEdit(site.statement.span, stacked(sites.text, start, texts))


def _new_names(sites: Sites, change: Change) -> Iterator[tuple[str, list[str]]]:
    """For each way to call a join that changes its name, what it is called now."""
    for index, outputs in change.outputs.items():
        join = sites.plan.joins[index]
        if sites.join_line(join).name is not None:
            if len(outputs) > 1:
                yield join.name, [f"{join.name}_{number + 1}" for number in range(len(outputs))]
            continue
        _, old_short, old_long = join.called
        new = [f"{each.a.name}.{each.side_a.value}/{each.b.name}.{each.side_b.value}" for each in outputs]
        if new != [old_long]:
            yield old_long, new
            if join.name == old_short:
                yield old_short, new

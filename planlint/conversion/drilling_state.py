"""How the joins of a new plan are drilled while that is searched: the ways of each, what is taken, what was tried."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace

from planlint.checks.registry import judge, tells_joints
from planlint.conversion.drilling_choices import Choice, choices_for, mirrored_choice
from planlint.conversion.drilling_trials import (
    ANYWHERE,
    Key,
    Reach,
    Trial,
    Tries,
    as_told_of,
    drilled_part,
    new_joins,
)
from planlint.conversion.size_changes import Change
from planlint.conversion.statement_sites import Sites
from planlint.findings.finding import Finding, Grade, Identity
from planlint.geometry.piece import Piece
from planlint.inspection.inspect_plan import found_in
from planlint.inspection.inspection_result import Inspection
from planlint.model.directions import Flips
from planlint.model.join_details import PocketRow, ScrewChoice
from planlint.model.plan import Join


class DrillingState:
    """The choices while they are made, and what the rules find of the piece with them."""

    def __init__(
        self, sites: Sites, change: Change, bare: Inspection, tries: Tries, *, thorough: bool
    ) -> None:
        assert bare.piece is not None
        self.sites, self.tries, self.thorough = sites, tries, thorough
        self.piece = bare.piece
        self.joins = {
            key: join for key, join in new_joins(bare.piece.plan, change).items() if not join.pockets
        }
        self.ways = {key: ways for key, join in self.joins.items() if (ways := choices_for(bare.piece, join))}
        self.joins = {key: self.joins[key] for key in self.ways}
        self.alike = self._told_alike()
        for first, members in self.alike.items():
            for key in members:
                if key != first:
                    self.ways[key] = [
                        mirrored_choice(way, self.flips(first, key)) for way in self.ways[first]
                    ]
        self.tried: dict[Key, list[Trial]] = {key: [] for key in self.joins}
        self.current: dict[Key, Choice] = {key: ways[0] for key, ways in self.ways.items()}
        self.before = Counter(finding.identity for finding in bare.findings)
        self.settings = bare.piece.settings
        """By which findings are graded, and loads left out or not."""
        self._made: dict[tuple[Key, Choice], Join] = {}
        self._pieces: list[Piece] = []
        self._asked: dict[frozenset[tuple[Key, Choice]], tuple[Finding, ...]] = {}

    def _told_alike(self) -> dict[Key, list[Key]]:
        """Joins that can only be drilled alike: one line of an assembly tells them for all units, or they are mirror
        images."""
        found: dict[tuple[object, ...], list[Key]] = {}
        for key in self.joins:
            site, join = self.sites.joins[key[0]], self.sites.plan.joins[key[0]]
            unit = bool(site.path) and isinstance(site.path[0], str)
            together = unit or len(self.sites.mates(join)) > 1
            found.setdefault((self.sites.mark(join), key[1], together or key), []).append(key)
        return {members[0]: members for members in found.values()}

    def flips(self, first: Key, member: Key) -> Flips:
        """How a join is the mirror image of the first of those told by the same words."""
        return self.sites.flips[first[0]] ^ self.sites.flips[member[0]]

    def chosen_too(self, choices: Mapping[Key, Choice], first: Key, choice: Choice) -> dict[Key, Choice]:
        """The choices with one more: of all joins that the same words tell, each in its own mirror image."""
        asked = {key: mirrored_choice(choice, self.flips(first, key)) for key in self.alike[first]}
        return {**choices, **asked}

    def note(self, first: Key, trials: list[Trial]) -> None:
        """What was tried of a join was tried of all that the same words tell."""
        for key in self.alike[first]:
            flips, join = self.flips(first, key), self.joins[key]
            self.tried[key] = trials if key == first else [as_told_of(each, join, flips) for each in trials]

    def clean_now(self, key: Key) -> bool:
        """Whether nothing stands against the way that is taken as all joins are drilled now; then that is noted."""
        choice = self.current[key]
        if choice.plugged or self.about(key, self.inspect(self.current), Counter()):
            return False
        trial = Trial(choice, drilled_part(self.joins[key], choice), ())
        self.note(key, [trial, *(each for each in self.tried[key] if each.choice != choice)])
        return True

    def tried_at(self, key: Key) -> set[Choice]:
        """The ways tried of a join, plugs aside."""
        return {replace(trial.choice, plugged=False) for trial in self.tried[key]}

    def take(self, key: Key, found: Iterable[Finding]) -> None:
        """Notes the way that is taken now, with what is found of it."""
        choice = self.current[key]
        own = self.about(key, [each for each in found if each.joint is not None], Counter())
        seen = max((trial.seen for trial in self.tried[key] if trial.choice.face is choice.face), default=0.0)
        trial = Trial(choice, drilled_part(self.joins[key], choice), own, seen)
        self.note(key, [trial, *(each for each in self.tried[key] if each.choice != choice)])

    def inspect(self, choices: Mapping[Key, Choice]) -> tuple[Finding, ...]:
        """What is found with the joins drilled so; of joins that were drilled so before, what is known is kept."""
        asked = frozenset(choices.items())
        known = self._asked.get(asked)
        if known is not None:
            return known
        self.tries.spend()
        piece = self._piece(choices)
        found = self._asked[asked] = tuple(found_in(piece, self.settings))
        self._pieces = [*self._pieces[-_PIECES_KEPT:], piece]
        return found

    def stopped_still(
        self, keys: Iterable[Key], choices: Mapping[Key, Choice], rules: Iterable[str]
    ) -> tuple[Finding, ...] | None:
        """What some rules find with the joins drilled so, if that stops each of these; else more is to be asked."""
        piece, asking = self._piece(choices), judge(self.piece.settings)
        found = [finding for rule in sorted(rules) if rule in asking for finding in asking.ask(piece, rule)]
        stopped = {finding.joint for finding in found if finding.grade is Grade.STOP}
        if not all(self.joins[key].name in stopped for key in keys):
            return None
        return tuple(found)

    def _piece(self, choices: Mapping[Key, Choice]) -> Piece:
        drilled = {self.joins[key].index: self.drilled(key, choice) for key, choice in choices.items()}
        joins = [drilled.get(join.index, join) for join in self.piece.plan.joins]
        return self.piece.with_joins(joins, *self._pieces)

    def drilled(self, key: Key, choice: Choice) -> Join:
        """The join as its lines will say it; one for each choice."""
        made = self._made.get((key, choice))
        if made is None:
            join = self.joins[key]
            row = PocketRow(
                choice.face,
                choice.in_b,
                join.span,
                count=None if choice.at else choice.count,
                at=choice.at or None,
                origin=choice.origin if choice.at else None,
                plugged=choice.plugged,
            )
            screws = join.screws or ScrewChoice(None, None, None, join.span)
            made = self._made[key, choice] = replace(join, pockets=(row,), screws=screws)
        return made

    def total(self, found: Iterable[Finding]) -> tuple[int, int, int]:
        """What the pockets bring upon the whole plan: stops, cautions, advice."""
        new = [finding for finding in found if not self.before[finding.identity]]
        grades = Counter(finding.grade for finding in new)
        return grades[Grade.STOP], grades[Grade.CAUTION], grades[Grade.ADVICE]

    def about(self, key: Key, found: Iterable[Finding], shared: Counter[Identity]) -> tuple[Finding, ...]:
        """The findings that a joint answers for: its own, and those near it that come and go with its choice."""
        parts = self.parts(key)
        names = {self.joins[member].name for member in self.alike[key]}
        mine = []
        for finding in found:
            same = finding.identity
            near = (
                not self.before[same]
                and not shared[same]
                and parts & set(finding.parts)
                and not (finding.joint and tells_joints(finding.rule))
            )
            if finding.joint in names or finding.against in names or near:
                mine.append(finding)
        return tuple(mine)

    def parts(self, key: Key) -> set[str]:
        """The parts of all joins that can only be drilled like this one."""
        return {part.name for member in self.alike[key] for part in self.joins[member].parts}

    def reach(self, key: Key) -> list[tuple[str, Reach]]:
        """The parts of a join, each with the room round it in which its screws may meet those of others."""
        found = []
        for member in self.alike[key]:
            corners = self.piece.contact(self.joins[member]).points
            if corners:
                low, high = (tuple(each(axis) for axis in zip(*corners, strict=True)) for each in (min, max))
                found += [(part.name, (low, high)) for part in self.joins[member].parts]
            else:
                found += [(part.name, ANYWHERE) for part in self.joins[member].parts]
        return found

    def clean(self, key: Key) -> bool:
        """Whether a way is taken that nothing stands against, though it may need plugs."""
        return any(trial.choice == self.current[key] and trial.clean for trial in self.tried[key])

    def taken(self, key: Key) -> Trial:
        """The trial of the way that is taken."""
        return next(trial for trial in self.tried[key] if trial.choice == self.current[key])


_PIECES_KEPT = 12
"""Pieces tried before of which what is known of joins drilled likewise is kept. Basis: own judgement; memory."""

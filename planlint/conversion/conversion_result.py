"""What became of the traditional joints of a plan: the record of a conversion."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from planlint.conversion.drilling_trials import Drilled, Trial
from planlint.conversion.equivalents import EQUIVALENTS
from planlint.findings.finding import Finding
from planlint.inspection.inspection_result import Inspection, Trouble
from planlint.language.joint_table import Form
from planlint.model.plan import Join, Plan
from planlint.text.sayings import NOTHING, Saying
from planlint.text.source import Mistake, PlanText, Span


class ToldChange(NamedTuple):
    """What changes at one joint, in a sentence."""

    says: Saying
    kind: str = "size"
    """``size`` of a part, ``curve`` that it keeps, ``stopped`` or ``gone`` for a cut, ``note``."""
    cut: Saying = NOTHING
    """Of a cut that is stopped, how it is cut now, without the reason."""


@dataclass(frozen=True)
class Converted:
    """What became of one traditional joint."""

    joint: str
    was: str
    """The old joint in the plan's own words."""
    span: Span
    """Its place in the old text."""
    kind: str
    """The old joint, by its name in the table of joints."""
    becomes: str = ""
    """The new joint; empty where the old one stays."""
    refused: Saying = NOTHING
    """Why the old one stays."""
    offers: tuple[Saying, ...] = ()
    """What could be done instead."""
    changes: tuple[ToldChange, ...] = ()
    """Sizes and cuts that change, and why."""
    screws: str = ""
    """The screws that suit, by thread and length."""
    drilled: tuple[Drilled, ...] = ()
    """How it is drilled; more than one where a lap becomes two joints."""
    tried: tuple[Trial, ...] = ()
    """Where it is refused since every way of drilling it stops: all of them."""
    left: tuple[Finding, ...] = ()
    """Findings of the new plan at this joint."""
    outside: tuple[Saying, ...] = ()
    """What changes on the outside of the piece, if anything does."""
    strength: Saying = NOTHING
    """Of the new joint; of the old ones no published figure was found."""


@dataclass(frozen=True)
class User:
    """A plan that uses the file which was converted, as it is found with the file's new text."""

    path: str
    unread: tuple[Mistake, ...] = ()
    """Mistakes that the new text brings upon it."""
    new: tuple[Finding, ...] = ()
    """What is found in it now, and was not with the old text."""


@dataclass(frozen=True)
class Conversion:
    """A plan before and after."""

    source: PlanText
    result: PlanText
    joints: tuple[Converted, ...] = ()
    unread: tuple[Mistake, ...] = ()
    """Mistakes of the plan, or measures of its joints that cannot be true: then nothing is converted."""
    troubles: tuple[Trouble, ...] = ()
    before: Inspection | None = None
    after: Inspection | None = None
    elsewhere: tuple[Finding, ...] = ()
    """Findings of the new plan that belong to no converted joint."""
    unit: str = "in"
    cut_from: Mapping[str, str] = field(default_factory=dict)
    """Of a part that became several the old name, by the name of each."""
    users: tuple[User, ...] = ()
    """Of a file converted for those who use it: each of them that was named."""
    late: bool = False
    """Whether the time ran out before all ways to drill were tried."""
    waits_for_users: bool = False
    """Whether nothing was converted since the file only tells what others place."""

    @property
    def changed(self) -> bool:
        return self.result.text != self.source.text


def traditional(join: Join) -> bool:
    """Whether a join is one that the table converts; ``butt`` and ``mitre`` with pockets are screwed already."""
    tradition = join.tradition
    if tradition is None or tradition.kind not in EQUIVALENTS or (join.form is Form.PLAIN and join.pockets):
        return False
    return tradition.kind != "glued" or end_grain(join)


def end_grain(join: Join) -> bool:
    """Whether the end of a board meets the other part, where glue holds next to nothing."""
    return any(part.is_end(side) and part.stock.material.solid for part, side in join.sides)


def joins_named(plan: Plan, name: str) -> list[Join]:
    """The joins called so, by their own names or by their sides; raises ``KeyError`` where there is none."""
    found = [join for join in plan.joins if name in join.called]
    if not found:
        raise KeyError(name)
    return found

"""The shape of the JSON report, held by pydantic, and its JSON Schema. Not imported in a usual run."""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

At = Annotated[int, Field(ge=1)]
"""A line or a column; both count from 1."""
_Count = Annotated[int, Field(ge=0)]
_Part = Annotated[int, Field(ge=1, le=100_000)]
"""Of a run that was divided. Basis of the most: our own judgement."""


class StrictEntry(BaseModel):
    model_config = ConfigDict(extra="forbid")


class RepairEntry(StrictEntry):
    """What to do, in one sentence."""

    says: str


class BesideEntry(StrictEntry):
    """Something that goes with a finding when that is mended."""

    rule: str
    says: str


class FindingEntry(StrictEntry):
    """One fault. ``measured`` and ``limit`` are in ``unit``; lengths are always in inches (``in``)."""

    rule: str
    kind: str
    """A code for what is wrong, where a rule finds several things; else empty."""
    grade: Literal["stop", "caution", "advice"]
    joint: str | None
    """As the plan calls it now: a join written above may leave it the longer name."""
    lasting: str | None
    """The joint, or the pair of them, by the name that holds whatever else is joined."""
    parts: list[str]
    line: At
    column: At
    end_line: At
    end_column: At
    says: str
    measured: float | None
    limit: float | None
    unit: str | None
    basis: str
    repairs: list[RepairEntry]
    also: list[str]
    """The other joints, or parts, that have the same fault for the same cause."""
    reason: str | None
    """Why the plan accepts it, in its own words."""
    beside: list[BesideEntry]
    """What else is wrong there because of it."""


class UnreadEntry(StrictEntry):
    """Something that could not be read, or a check that could not be made (line 1, column 1)."""

    line: At
    column: At
    says: str


class UncheckedEntry(StrictEntry):
    """A workshop's own rule that is not installed or cannot be used: it was checked in no plan."""

    rule: str
    says: str


class AboutEntry(StrictEntry):
    """What the plan is; of one that could not be read nothing is known."""

    title: str
    unit: str
    parts: _Count
    joins: _Count


class WholeEntry(StrictEntry):
    """What ``planlint join`` makes other forms of: of no use to others, and of another shape in another version."""

    text: str | None
    """``null`` where the path led to no file that could be read."""
    record: list[Any]
    known: _Count
    newly_accepted: list[_Count] | None


class RunEntry(StrictEntry):
    """What the run was made with; marks of its settings and ledger are the same where those are."""

    version: str
    settings: str | None
    ledger: str | None
    revision: str | None
    plans: str | None
    rule_pages: str


class PlanEntry(StrictEntry):
    """One plan. Where it has mistakes under ``unread`` it was not inspected, and ``findings`` is empty.

    What the plan itself accepts and what a ledger knows is not among its ``findings``.
    """

    path: str
    name: str
    """From the root of the collection."""
    owner: str | None
    about: AboutEntry | None
    findings: list[FindingEntry]
    accepted: list[FindingEntry]
    known: list[FindingEntry]
    unread: list[UnreadEntry]
    whole: WholeEntry | None = None


class Summary(StrictEntry):
    """How many findings of each grade, and how many entries under each of the others, in all plans."""

    stop: _Count
    caution: _Count
    advice: _Count
    unread: _Count
    accepted: _Count
    known: _Count
    unmatched: _Count


class ShardEntry(StrictEntry):
    """Which part of a run this report is of: the ``number``-th (from 1) of ``of``."""

    number: _Part
    of: _Part


class ReportEntry(StrictEntry):
    """What ``planlint inspect --as json`` prints."""

    plans: list[PlanEntry]
    unmatched: list[str]
    """Lines of the ledger that no longer match anything found."""
    touched: list[str]
    """Settings files, and the ledger, that the change which was looked at touches."""
    unchecked: list[UncheckedEntry]
    run: RunEntry
    shard: ShardEntry | None = None
    summary: Summary


def json_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of the report."""
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **ReportEntry.model_json_schema()}

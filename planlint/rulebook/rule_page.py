"""The strict shape of a rule's file, held by pydantic: for the tests and for building the ready-made book."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

_Words = Annotated[str, Field(min_length=1, pattern=r"\S")]
RuleName = Annotated[str, Field(pattern=r"^[a-z]+(-[a-z]+)*$")]


class _PageTable(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class LimitPage(_PageTable):
    """One ``[[limit]]``; a published source is named, any other basis is not passed off as one."""

    name: _Words
    value: float
    unit: _Words
    sense: Literal["least", "most"] | None = None
    """Whether sound is at least the value, or at most; left out where a finding is compared with something else."""
    range: tuple[float, float] | None = None
    """From what to what a shop may set it; the rules of the book say it."""
    between: bool = False
    """Whether it is of what stands between two things, which they share with less than nothing."""
    basis: Literal["published source", "common practice", "from memory", "geometry", "judgement"]
    source: _Words | None = None
    note: str = ""

    @model_validator(mode="after")
    def _within_its_range(self) -> LimitPage:
        if self.range and not self.range[0] <= self.value <= self.range[1]:
            raise ValueError(f"limit {self.name!r} lies outside of its own range")
        return self

    @model_validator(mode="after")
    def _source_is_named(self) -> LimitPage:
        if self.basis == "published source" and not self.source:
            raise ValueError(f"limit {self.name!r} rests on a published source and must name it")
        return self


class CasePage(_PageTable):
    """One ``[[case]]``: a whole plan, and the findings of this rule and of others that it must give;
    ``mended`` is the plan as mending leaves it, where that changes it."""

    title: _Words
    plan: _Words
    findings: list[_Words]
    mended: _Words | None = None


class RulePage(_PageTable):
    """A whole rule file."""

    name: RuleName
    grade: Literal["stop", "caution", "advice"]
    order: int
    question: _Words
    why: _Words
    repair: _Words
    limit: list[LimitPage] = []
    case: list[CasePage] = []

    @model_validator(mode="after")
    def _names_once(self) -> RulePage:
        for what, names in (
            ("limit", [limit.name for limit in self.limit]),
            ("case", [case.title for case in self.case]),
        ):
            twice = sorted({name for name in names if names.count(name) > 1})
            if twice:
                raise ValueError(f"{what} named twice: {', '.join(twice)}")
        return self


_MOST_TOLD = 5
"""Mistakes of one page that are told. Basis: our own judgement."""


def check_page(file_name: str, page: object, *, called: str = "") -> RulePage:
    """The page of ``rules/FILE_NAME``, checked. Raises ``ValueError`` that says what is wrong in which file.

    A rule file that lies elsewhere is ``called`` by its path.
    """
    called = called or f"rules/{file_name}"
    try:
        checked = RulePage.model_validate(page)
    except ValidationError as problem:
        wrong = [_plainly(error) for error in problem.errors(include_url=False)]
        more = f"; and {len(wrong) - _MOST_TOLD} more" if len(wrong) > _MOST_TOLD else ""
        raise ValueError(f"{called}: {'; '.join(wrong[:_MOST_TOLD])}{more}") from problem
    if file_name != f"{checked.name}.toml":
        raise ValueError(f"{called}: the rule inside is named {checked.name}")
    return checked


def _plainly(error: Any) -> str:
    """One mistake of a page: its key, and what is wrong there."""
    words = [f"no. {each + 1}" if isinstance(each, int) else str(each) for each in error["loc"]]
    where = " ".join(words) or "the whole file"
    kind = error["type"]
    if kind == "value_error":
        says = str(error["ctx"]["error"])
        return says if not words else f"{where}: {says}"
    if kind == "literal_error":
        return f"{where} must be one of {error['ctx']['expected']}"
    if kind == "string_pattern_mismatch" and words[-1] == "name":
        return "name must be small letters with hyphens between words, such as no-oak"
    return f"{where} {_WRONG.get(kind, 'is wrong: ' + error['msg'])}"


_WRONG = {
    "missing": "is missing",
    "extra_forbidden": "is no key of a rule file",
    "string_type": "must be words in quotes",
    "string_too_short": "must not be empty",
    "string_pattern_mismatch": "must not be empty",
    "int_type": "must be a whole number",
    "int_from_float": "must be a whole number",
    "int_parsing": "must be a whole number",
    "float_type": "must be a number",
    "float_parsing": "must be a number",
    "finite_number": "must be a finite number",
    "list_type": "must be a list",
    "model_type": "must be a table with keys of its own",
}

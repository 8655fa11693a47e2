"""The strict shape of a rule's file, held by pydantic: for the tests and for building the ready-made book."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

Words = Annotated[str, Field(min_length=1, pattern=r"\S")]
RuleName = Annotated[str, Field(pattern=r"^[a-z]+(-[a-z]+)*$")]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, allow_inf_nan=False)


class LimitPage(_Strict):
    """One ``[[limit]]``; a published source is named, any other basis is not passed off as one."""

    name: Words
    value: float
    unit: Words
    sense: Literal["least", "most"] | None = None
    """Whether sound is at least the value, or at most; left out where a finding is compared with something else."""
    basis: Literal["published source", "common practice", "from memory", "geometry", "judgement"]
    source: Words | None = None
    note: str = ""

    @model_validator(mode="after")
    def _source_is_named(self) -> LimitPage:
        if self.basis == "published source" and not self.source:
            raise ValueError(f"limit {self.name!r} rests on a published source and must name it")
        return self


class CasePage(_Strict):
    """One ``[[case]]``: a whole plan, and the findings of this rule and of others that it must give;
    ``mended`` is the plan as mending leaves it, where that changes it."""

    title: Words
    plan: Words
    findings: list[Words]
    mended: Words | None = None


class RulePage(_Strict):
    """A whole rule file."""

    name: RuleName
    grade: Literal["stop", "caution", "advice"]
    order: int
    question: Words
    why: Words
    repair: Words
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


def check_page(file_name: str, page: object) -> RulePage:
    """The page of ``rules/FILE_NAME``, checked. Raises ``ValueError`` that says what is wrong in which file."""
    try:
        checked = RulePage.model_validate(page)
    except ValidationError as problem:
        raise ValueError(f"rules/{file_name}: {problem}") from problem
    if file_name != f"{checked.name}.toml":
        raise ValueError(f"rules/{file_name}: the rule inside is named {checked.name}")
    return checked

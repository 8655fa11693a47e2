"""An inspection as plain data: what comes back from a worker and what a cache keeps. The plan's text is not in it."""

from dataclasses import replace
from typing import Any

from planlint.findings.finding import Finding, Grade, Repair
from planlint.inspection.inspection_result import About, Inspection, Trouble
from planlint.inspection.plan_files import decoded
from planlint.text.edits import TextEdit
from planlint.text.source import Mistake, PlanText, Span

Record = list[Any]
"""``[about, findings, accepted, unread, crashed, proved]``: lists, words and numbers only, as JSON holds them."""


def record_of(inspection: Inspection) -> Record:
    """All of an inspection but the text, the piece and what a ledger says."""
    about = inspection.about
    return [
        [about.title, about.unit, about.parts, about.joins] if about else None,
        [_row(finding) for finding in inspection.findings],
        [[*_row(finding), finding.reason] for finding in inspection.accepted],
        [[*mistake.span, mistake.says] for mistake in inspection.unread],
        [[trouble.what, trouble.says, list(trouble.rules), trouble.kind] for trouble in inspection.crashed],
        [[inspection.findings.index(finding), _repair_row(repair)] for finding, repair in inspection.proved],
    ]


_WORD, _COUNT, _OR_NONE = str, int, type(None)
_REPAIR: tuple[Any, ...] = (_WORD, [(_COUNT, _COUNT, _WORD)], {bool, _OR_NONE})
_FINDING: tuple[Any, ...] = (
    *(_WORD, _COUNT, {_WORD, _OR_NONE}, [_WORD], _COUNT, _COUNT, _WORD),
    *({int, float, _OR_NONE}, {int, float, _OR_NONE}, {_WORD, _OR_NONE}, _WORD, [_REPAIR]),
    *(_WORD, {_WORD, _OR_NONE}, _WORD, _WORD, _WORD),
)
_SHAPE: tuple[Any, ...] = (
    {_OR_NONE, (_WORD, _WORD, _COUNT, _COUNT)},
    [_FINDING],
    [(*_FINDING, {_WORD, _OR_NONE})],
    [(_COUNT, _COUNT, _WORD)],
    [(_WORD, _WORD, [_WORD], _WORD)],
    [(_COUNT, _REPAIR)],
)
"""What a record is made of: a tuple is a list of just these, a list one of any number, a set any one of some."""


def _has_shape(value: object, shape: Any) -> bool:
    if isinstance(shape, frozenset | set):
        return any(_has_shape(value, each) for each in shape)
    if isinstance(shape, type):
        return type(value) is shape and not (shape is int and value < 0)  # type: ignore[operator]
    if not isinstance(value, list):
        return False
    if isinstance(shape, list):
        return all(_has_shape(each, shape[0]) for each in value)
    return len(value) == len(shape) and all(map(_has_shape, value, shape))


def quiet(record: Record) -> bool:
    """Whether a record tells nothing that has a place in the text."""
    return not (record[1] or record[2] or record[3] or record[4])


def remembered(record: Record, called: str, data: bytes) -> Inspection:
    """The inspection of a plan from a record that was kept in a file. Raises ``ValueError`` where it is none of it."""
    if not _has_shape(record, _SHAPE):
        raise ValueError("no record of an inspection")
    return _held(inspection_of(record, called, data))


def rejoined(record: Record, called: str, text: str, known: int) -> Inspection:
    """The inspection of a plan from another run's report: its last ``known`` findings are known from a ledger.

    Raises ``ValueError`` where the record is not one of this text.
    """
    if not _has_shape(record, _SHAPE) or known > len(record[1]):
        raise ValueError("no record of an inspection")
    found = _held(_inspection(record, called, PlanText(called, text)))
    at = len(found.findings) - known
    return replace(found, findings=found.findings[:at], known=found.findings[at:])


def _held(found: Inspection) -> Inspection:
    """The inspection, its places held to its text."""
    long = len(found.source.text)
    spans = [finding.span for finding in (*found.findings, *found.accepted)]
    spans += [mistake.span for mistake in found.unread]
    spans += [edit.span for _, repair in found.proved for edit in repair.edits]
    if any(not span.start <= span.end <= long for span in spans):
        raise ValueError("a record of another plan")
    return found


def inspection_of(record: Record, called: str, data: bytes) -> Inspection:
    """The inspection of a plan from its record and its bytes. Raises where the record is not one."""
    if quiet(record):  # Most plans of a collection that is remembered.
        about = record[0]
        return Inspection(called, PlanText(called, ""), about=About(*about) if about else None)
    text = decoded(called, data)
    return _inspection(
        record, called, text if isinstance(text, PlanText) else PlanText(called, text.text or "")
    )


def _inspection(record: Record, called: str, source: PlanText) -> Inspection:
    about, findings, accepted, unread, crashed, proved = record
    found = tuple(map(_finding, findings))
    return Inspection(
        called,
        source,
        findings=found,
        accepted=tuple(map(_finding, accepted)),
        unread=tuple(Mistake(Span(start, end), says) for start, end, says in unread),
        crashed=tuple(Trouble(what, says, tuple(rules), kind) for what, says, rules, kind in crashed),
        proved=tuple((found[number], _repair(row)) for number, row in proved),
        about=About(*about) if about else None,
    )


def _row(finding: Finding) -> Record:
    return [
        finding.rule,
        int(finding.grade),
        finding.joint,
        list(finding.parts),
        *finding.span,
        finding.says,
        finding.measured,
        finding.limit,
        finding.unit,
        finding.basis,
        list(map(_repair_row, finding.repairs)),
        finding.kind,
        finding.against,
        finding.cause,
        finding.lasting,
        finding.judged_by,
    ]


def _repair_row(repair: Repair) -> Record:
    return [repair.says, [[*edit.span, edit.new] for edit in repair.edits], repair.sure]


def _repair(row: Record) -> Repair:
    says, edits, sure = row
    return Repair(says, tuple(TextEdit(Span(start, end), new) for start, end, new in edits), sure)


def _finding(row: Record) -> Finding:
    rule, grade, joint, parts, start, end, says, measured, limit, unit, basis, repairs, *more = row
    kind, against, cause, lasting, judged_by, *reason = more
    return Finding(
        rule,
        Grade(grade),
        joint,
        tuple(parts),
        Span(start, end),
        says,
        measured,
        limit,
        unit,
        basis,
        tuple(map(_repair, repairs)),
        reason[0] if reason else None,
        kind,
        against,
        cause,
        lasting=lasting,
        judged_by=judged_by,
    )

"""The report as SARIF 2.1.0 (OASIS), the exchange format of code review and editors.

Columns count characters; paths are told from the root, percent-encoded. A fingerprint is made from the rule, the plan,
the joint or parts and which of several alike, so that it outlives edits elsewhere. What a plan or a ledger accepts is
there as suppressed; what could not be read or checked is a notification, and the run then counts as not successful.
What could not be read is a result too, of a rule of its own, for viewers that show nothing else.
"""

import json
import sys
from typing import Any

from planlint import __version__
from planlint.collection.findings_ledger import fingerprint, with_lines
from planlint.findings.finding import Finding, Grade, Repair
from planlint.findings.rules_in_force import Rule
from planlint.inspection.inspection_result import Inspection
from planlint.plugins.own_rules import every_rule
from planlint.reports.markdown_report import escaped
from planlint.reports.run_marks import UNMARKED, RunMarks
from planlint.reports.safe_words import NamesGiven, measured, quantity, safe_json, sentence, visible
from planlint.reports.tally import Tally, Write
from planlint.text.edits import TextEdit
from planlint.text.source import Span

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
NOT_READ = "not-read"
_LEVELS = {Grade.STOP: "error", Grade.CAUTION: "warning", Grade.ADVICE: "note"}
_Json = dict[str, Any]


class SarifReport:
    """One run with a result for each finding. ``ledger`` says whether findings were compared with one."""

    def __init__(
        self,
        write: Write,
        *,
        ledger: bool = False,
        run: RunMarks = UNMARKED,
        shard: tuple[int, int] | None = None,
    ) -> None:
        self._write = write
        self._ledger = ledger
        self._numbers = {name: number for number, name in enumerate(every_rule())}
        self._notifications: list[_Json] = []
        self._started = False
        self._edits: set[tuple[TextEdit, ...]] = set()
        """Of the plan that is told: the edits of its fixes."""
        rules = [*(_rule(rule, run.rule_pages) for rule in every_rule().values()), _rule_not_read()]
        driver = {
            "name": "planlint",
            "version": __version__,
            "semanticVersion": __version__,
            "rules": rules,
        }
        write(f'{{"$schema": {json.dumps(SCHEMA)}, "version": "2.1.0", "runs": [{{\n')
        write(f'"tool": {json.dumps({"driver": driver})},\n')
        # What stands before the last slash tells which runs are of one kind: each takes the place of the one before.
        part = f"part-{shard[0]}-of-{shard[1]}/" if shard else ""
        identity = {"id": f"planlint/{part}{run.revision or ''}"}
        write(f'"automationDetails": {json.dumps(identity)},\n')
        write('"columnKind": "unicodeCodePoints",\n"results": [')

    def add(self, name: str, inspection: Inspection) -> None:
        address = _address(name)
        self._edits = set()
        accepted, known = set(map(id, inspection.accepted)), set(map(id, inspection.known))
        for finding, entry in with_lines(name, inspection):
            result = self._result(inspection, address, finding, entry)
            if id(finding) in accepted:
                # A ledger does not hold them: whether they were there before, nobody knows.
                result["suppressions"] = [_in_source(finding)]
                self._write_result(result)
            elif id(finding) in known:
                result["suppressions"] = [{"kind": "external", "status": "accepted"}]
                self._write_result(result, "unchanged")
            else:
                result["suppressions"] = []
                self._write_result(result, "new")
        names = NamesGiven(inspection.source.text)
        numbers: dict[str, int] = {}
        for mistake in inspection.unread:
            says, place = sentence(mistake.says, names), [_location(inspection, address, mistake.span)]
            self._notify(NOT_READ, says, place)
            number = numbers[says] = numbers.get(says, 0) + 1
            result = {
                "ruleId": NOT_READ,
                "ruleIndex": len(self._numbers),
                "level": "error",
                "message": {"text": _words(says)},
                "locations": place,
                "partialFingerprints": _fingerprints(json.dumps([name, NOT_READ, says, number])),
                "suppressions": [],
            }
            self._write_result(result, "new")  # A ledger is made of plans that could all be read.
        for trouble in inspection.crashed:
            place = [{"physicalLocation": {"artifactLocation": {"uri": address}}}]
            self._notify("not-checked", sentence(trouble.says), place)

    def _write_result(self, result: _Json, state: str | None = None) -> None:
        if self._ledger and state:
            result["baselineState"] = state
        self._write(",\n" if self._started else "\n")
        self._write(safe_json(json.dumps(result)))
        self._started = True

    def end(self, tally: Tally) -> None:
        for trouble in tally.troubles:
            self._notify("not-checked", sentence(trouble.says), [])
        invocation = {
            "executionSuccessful": tally.whole,
            "toolExecutionNotifications": self._notifications,
        }
        self._write(f'\n],\n"invocations": [{safe_json(json.dumps(invocation))}]\n}}]}}\n')

    def _notify(self, what: str, says: str, locations: list[_Json]) -> None:
        self._notifications.append(
            {
                "descriptor": {"id": what},
                "level": "error",
                "message": {"text": _words(says)},
                "locations": locations,
            }
        )

    def _result(self, inspection: Inspection, address: str, finding: Finding, entry: str) -> _Json:
        place = _location(inspection, address, finding.span)
        if finding.joint is not None:
            place["logicalLocations"] = [
                {
                    "name": visible(finding.joint),
                    "fullyQualifiedName": visible(finding.lasting or finding.joint),
                    "kind": "joint",
                }
            ]
        elif finding.parts:
            place["logicalLocations"] = [{"name": visible(part), "kind": "part"} for part in finding.parts]
        label, numbers = measured(finding, inspection.about.unit if inspection.about else "in")
        told = [sentence(finding.says, finding.parts), f"{label}: {sentence(numbers)}"]
        told += (f"Do: {sentence(repair.says, finding.parts)}" for repair in finding.repairs)
        result: _Json = {
            "ruleId": finding.rule,
            "level": _LEVELS[finding.grade],
            "message": {"text": _words(" ".join(told))},
            "locations": [place],
            "partialFingerprints": _fingerprints(entry),
        }
        if finding.rule in self._numbers:  # A report that is joined may come from where more is installed.
            result["ruleIndex"] = self._numbers[finding.rule]
        fixes = []
        for repair in (*(each for proved, each in inspection.proved if proved == finding), *finding.repairs):
            if (
                repair.edits and repair.edits not in self._edits
            ):  # Made once, it takes all these findings away.
                self._edits.add(repair.edits)
                fixes.append(_fix(inspection, address, repair))
        if fixes:
            result["fixes"] = fixes
        return result


def _fingerprints(entry: str) -> _Json:
    mark = fingerprint(entry)
    # The second name is the one that some viewers look for.
    return {"planlint/v1": mark, "primaryLocationLineHash": f"{mark[:16]}:1"}


def _in_source(finding: Finding) -> _Json:
    """The plan's own ``accept`` line, with its reason."""
    suppression: _Json = {"kind": "inSource", "status": "accepted"}
    if finding.reason:
        suppression["justification"] = visible(finding.reason)
    return suppression


def _rule_not_read() -> _Json:
    why = "A plan that cannot be read whole is not inspected: half a plan would raise false alarms."
    return {
        "id": NOT_READ,
        "name": "NotRead",
        "shortDescription": {"text": "Can the plan be read?"},
        "fullDescription": {"text": why},
        "help": {"text": f"{why}\nDo: Correct the line as the message says, and inspect the plan again."},
        "defaultConfiguration": {"level": "error"},
    }


def _rule(rule: Rule, pages: str) -> _Json:
    limits = [
        f"{limit.name}: {quantity(limit.value, limit.unit)} ({limit.told})" for limit in rule.limits.values()
    ]
    why, do, more = sentence(rule.why), sentence(rule.repair), f"`planlint rules {rule.name}` tells more."
    help_words = [why, f"Do: {do}", *(f"Limit {limit}." for limit in limits), more]
    listed = "\n".join(f"- {escaped(limit)}" for limit in limits)
    in_markdown = [
        escaped(why),
        f"**Do:** {escaped(do)}",
        *([f"**Limits**\n\n{listed}"] if limits else []),
        more,
    ]
    return {
        **({"helpUri": f"{pages}{rule.name}"} if pages else {}),
        "id": rule.name,
        "name": "".join(map(str.capitalize, rule.name.split("-"))),
        "shortDescription": {"text": _words(sentence(rule.question))},
        "fullDescription": {"text": _words(sentence(rule.why))},
        "help": {
            "text": _words("\n".join(" ".join(words.split()) for words in help_words), lines=True),
            "markdown": "\n\n".join(in_markdown),
        },
        "defaultConfiguration": {"level": _LEVELS[rule.grade]},
    }


def _fix(inspection: Inspection, address: str, repair: Repair) -> _Json:
    fix: _Json = {
        "description": {"text": _words(sentence(repair.says))},
        "artifactChanges": [
            {
                "artifactLocation": {"uri": address},
                "replacements": [
                    {
                        "deletedRegion": _region(inspection, edit.span),
                        **({"insertedContent": {"text": edit.new}} if edit.new else {}),
                    }
                    for edit in sorted(repair.edits)
                ],
            }
        ],
    }
    if repair.sure is not None:
        fix["properties"] = {"provedByInspection": repair.sure}
    return fix


def _location(inspection: Inspection, address: str, span: Span) -> _Json:
    place: _Json = {"artifactLocation": {"uri": address}}
    if inspection.source.text:
        place["region"] = _region(inspection, span)
    return {"physicalLocation": place}


def _region(inspection: Inspection, span: Span) -> _Json:
    start, end = inspection.position(span.start), inspection.position(max(span))
    return {
        "startLine": start.line,
        "startColumn": start.column,
        "endLine": end.line,
        "endColumn": end.column,
    }


def _address(name: str) -> str:
    """A path from the root as a relative URI."""
    from urllib.parse import quote  # noqa: PLC0415

    try:
        data = name.encode("utf-8", sys.getfilesystemencodeerrors())
    except UnicodeEncodeError:  # Of no file system: in a report that is joined.
        data = name.encode("utf-8", "replace")
    return quote(data, safe="/")


def _words(words: str, *, lines: bool = False) -> str:
    """Plain text as SARIF has it, where square brackets would make a link."""
    shown = "\n".join(map(visible, words.split("\n"))) if lines else visible(words)
    return shown.replace("\\", "\\\\").replace("[", "\\[").replace("]", "\\]")

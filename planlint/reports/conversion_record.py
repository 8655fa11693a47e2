"""The report of a conversion for programs: the same as that for people, as one JSON text."""

import json
from collections.abc import Iterable
from typing import Any

from planlint.conversion.conversion_result import Conversion, Converted
from planlint.conversion.drilling_trials import Drilled, Trial
from planlint.conversion.joint_strength import NONE_OF_OLD
from planlint.findings.finding import Finding
from planlint.reports.json_report import unread_entries


def json_conversion(conversion: Conversion, written: str | None) -> str:
    """The same as one JSON text. ``text`` is the new plan; places are those of the old one, counted from 1."""
    entry = {
        "path": conversion.source.path,
        "changed": conversion.changed,
        "written": written,
        "unread": unread_entries(conversion.source, conversion.unread, conversion.troubles),
        "joints": [_joint_entry(conversion, joint) for joint in conversion.joints],
        "elsewhere": _findings(conversion.elsewhere),
        "users": [
            {
                "path": user.path,
                "unread": [mistake.says for mistake in user.unread],
                "new": _findings(user.new),
            }
            for user in conversion.users
        ],
        "text": conversion.result.text,
    }
    return json.dumps(entry, indent=2, allow_nan=False) + "\n"


def _joint_entry(conversion: Conversion, joint: Converted) -> dict[str, Any]:
    return {
        "joint": joint.joint,
        "line": conversion.source.position(joint.span.start).line,
        "was": joint.was,
        "becomes": joint.becomes or None,
        "refused": joint.refused or None,
        "instead": list(joint.offers),
        "changes": [each.says for each in joint.changes],
        "outside": list(joint.outside),
        "screws": joint.screws or None,
        "drilled": [_drilled_entry(drilled, conversion.unit) for drilled in joint.drilled],
        "tried": [_trial_entry(trial, conversion.unit) for trial in joint.tried],
        "left": _findings(joint.left),
        "strength": {"old": NONE_OF_OLD, "new": joint.strength} if joint.strength else None,
    }


def _drilled_entry(drilled: Drilled, unit: str) -> dict[str, Any]:
    return {
        "joint": drilled.join.name,
        "taken": _trial_entry(drilled.taken, unit),
        "untried": drilled.untried,
        "others": [_trial_entry(trial, unit) for trial in drilled.tried if trial is not drilled.taken],
    }


def _trial_entry(trial: Trial, unit: str) -> dict[str, Any]:
    choice = trial.choice
    return {
        "part": trial.part,
        "face": choice.face.value,
        "pockets": choice.count,
        "plugged": choice.plugged,
        "says": choice.words(trial.part, unit),
        "findings": [
            {"rule": each.rule, "grade": each.grade.word, "joint": each.joint} for each in trial.findings
        ],
    }


def _findings(findings: Iterable[Finding]) -> list[dict[str, Any]]:
    return [
        {"rule": each.rule, "grade": each.grade.word, "joint": each.joint, "says": each.says}
        for each in findings
    ]

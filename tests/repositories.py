"""What tests of whole collections share: calls of the command line and of git."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from planlint.collection.discovery import Found
from planlint.command import main
from planlint.inspection.plan_files import Refused
from tests.plans import SOUND

UNREAD = SOUND.replace("rail of board", "rail of bord")
git = pytest.mark.skipif(not shutil.which("git"), reason="needs git")


def called(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    """The status and what is written; without how far it is, which only a slow machine tells."""
    status = main.main(list(words))
    told = capsys.readouterr()
    return status, told.out, re.sub(r"(?m)^planlint: \d+ of \d+ plans inspected\n", "", told.err)


def run_git(folder: Path, *words: str) -> str:
    who = [
        "-c",
        "user.name=A Builder",
        "-c",
        "user.email=builder@example.com",
        "-c",
        "init.defaultBranch=trunk",
    ]
    done = subprocess.run(["git", *who, *words], cwd=folder, check=True, capture_output=True, text=True)
    return done.stdout.strip()


def names(found: list[Found | Refused]) -> list[str]:
    return [each.name if isinstance(each, Found) else f"{each.path}: {each.says}" for each in found]

"""The files that a plan uses, read before it is: so that a plan with all it needs can be handed to any worker.

Paths in a plan are untrusted: only plain files named ``*.plan`` inside the root of the plan's collection are opened,
links followed first, and only so many of them.
"""

import os
import re
from dataclasses import replace
from pathlib import Path
from posixpath import dirname, join, normpath

from planlint.inspection.plan_files import STANDARD_INPUT, SUFFIX, why_shut
from planlint.language.plain_lines import bare_lines
from planlint.model.workshop import MOST_FILES, Files, Settings
from planlint.settings.layered_settings import Shop, read_inside
from planlint.settings.settings_root import SETTINGS_FILE, Finder, folder_of
from planlint.text.decode import MOST_BYTES, decode
from planlint.text.source import Mistake, PlanText, Span

_NOWHERE = Span(0, 0)
_USE = re.compile(r'use[ \t]*"([^"]*)"')


def settings_in_force(path: str, source: PlanText) -> Settings:
    """The settings of its collection for one plan, with the files it uses. Raises ``SettingsBroken``."""
    return with_files(Shop().settings_for(path), path, source.path, source.text)


def with_files(settings: Settings, path: str, called: str, data: bytes | str) -> Settings:
    """The settings for a plan, with the files that its ``use`` lines name. Never raises for a plan.

    ``path`` is where the plan lies, ``called`` how it is told; ``data`` is what it holds.
    """
    if isinstance(data, bytes) and b"use" not in data:  # Most plans: not worth decoding.
        return settings
    text = data.decode("utf-8", "replace") if isinstance(data, bytes) else data
    if not _used(text):
        return settings
    return replace(settings, files=Files(_Gathering(path, called, text).texts))


class _Gathering:
    """Reads what one plan uses, and what those files use, each once."""

    def __init__(self, path: str, called: str, text: str) -> None:
        self.folder = folder_of(path) or "."
        self.called_from = "" if called == STANDARD_INPUT else dirname(called.replace(os.sep, "/"))
        self.root = Finder().root(self.folder)
        self.texts: dict[str, PlanText | Mistake] = {}
        self.left = MOST_BYTES
        self.read: dict[str, PlanText | Mistake] = {}
        """By their real paths."""
        if path != STANDARD_INPUT:
            self.read[os.path.realpath(path)] = PlanText(called, text)
        waiting = [join("", each) for each in _used(text)]
        while waiting:
            used = normpath(waiting.pop(0))
            if used in self.texts:
                continue
            known = len(self.read)
            found = self.texts[used] = self._find(used)
            if isinstance(found, PlanText) and len(self.read) > known:
                waiting += [join(dirname(used), each) for each in _used(found.text)]

    def _find(self, used: str) -> PlanText | Mistake:
        wrong = _wrong(used)
        if wrong:
            return Mistake(_NOWHERE, wrong)
        try:
            file = Path(self.folder, used)
            real = file.resolve()
            root = self.root.resolve()
            if not real.is_relative_to(root):
                return Mistake(_NOWHERE, self._outside(used))
            known = self.read.get(str(real))
            if known is None:
                known = self.read[str(real)] = self._read(real, root, used)
        except (OSError, ValueError, RuntimeError) as problem:  # A ring of links among them.
            says = (
                why_shut(problem)
                if isinstance(problem, (OSError, ValueError))
                else "its links lead in a ring"
            )
            return Mistake(_NOWHERE, f"{used} cannot be used: {says}")
        return known

    def _read(self, real: Path, root: Path, used: str) -> PlanText | Mistake:
        if len(self.read) > MOST_FILES + 1:
            return Mistake(
                _NOWHERE, f"this plan uses more than {MOST_FILES} files: put some of them together"
            )
        try:
            data = read_inside(real, root, MOST_BYTES)
        except FileNotFoundError:
            return Mistake(
                _NOWHERE, f"there is no file {used} here: the path counts from the folder of this plan"
            )
        self.left -= len(data)
        if self.left < 0:
            megabytes = MOST_BYTES // 1_000_000
            return Mistake(
                _NOWHERE, f"the files that this plan uses come to over {megabytes} MB: make them smaller"
            )
        text = decode(normpath(join(self.called_from, used)), data)
        return Mistake(_NOWHERE, f"{used} cannot be used: {text.says}") if isinstance(text, Mistake) else text

    def _outside(self, used: str) -> str:
        says = f"{used} lies outside of this plan's collection, and is not read"
        if not os.path.lexists(self.root / SETTINGS_FILE):
            says += f": put a {SETTINGS_FILE} into the folder that holds both"
        return says


def _wrong(used: str) -> str:
    """What is wrong with a path by its looks."""
    if used in {"", "."}:
        return 'the path of a file is due in the quotes, such as "carcass.plan"'
    if "\\" in used:
        return "folders in a path stand between slashes, /"
    if used.startswith(("/", "~")) or used[1:2] == ":":
        return "the path counts from the folder of this plan: do not start it at the top of the disk"
    if not used.endswith(SUFFIX):
        return f"only a plan can be used: its name ends in {SUFFIX}"
    return ""


def _used(text: str) -> list[str]:
    """The paths in the ``use`` lines of a text, whether they can be read or not."""
    found = (_USE.match(line) for line in bare_lines(text))
    return [use[1] for use in found if use][:1000]

"""What can be told of a plan at once: that it cannot be opened, or what an earlier run found. Else its task."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from typing import TYPE_CHECKING

from planlint.budget.allowance import Budget
from planlint.collection.inspection_record import remembered
from planlint.collection.worker_task import Task, troubled
from planlint.inspection.inspection_result import Inspection, Trouble, refused
from planlint.inspection.plan_files import STANDARD_INPUT, why_shut
from planlint.model.workshop import Settings
from planlint.text.decode import MOST_BYTES

if TYPE_CHECKING:
    from planlint.collection.result_cache import Cache

_USUAL_BYTES = 65_536


class Desk:
    """Where each plan comes first. It is opened here, with what it uses: a worker opens no file."""

    def __init__(
        self, settings: Callable[[str], Settings], budget: Budget, cache: Cache | None, *, fixes: bool
    ) -> None:
        self._settings = settings
        self._budget = budget
        self._cache = cache
        self._fixes = fixes
        self._folder: str | None = None
        self._in_folder = Settings()
        """The settings in the folder that was looked at last."""

    def look(self, path: str, told: str) -> Inspection | tuple[Task, str | None]:
        """The inspection of a plan, or the task of it and the key that its result is kept by. Never raises for a plan.

        ``told`` is the path under which reports tell it.
        """
        try:
            data = _read(path)
        except (OSError, ValueError) as problem:
            return refused(told, why_shut(problem))
        try:
            settings = self._settings_for(path)
        except ValueError as problem:
            return troubled(told, Trouble("settings", str(problem)))
        remembered, key = self._remembered(told, data, settings)
        if remembered:
            return remembered
        if b"use" in data:
            from planlint.inspection.used_files import with_files  # noqa: PLC0415 - few plans use others

            with_used = with_files(settings, path, told, data)
            if with_used is not settings:
                settings = with_used
                remembered, key = self._remembered(told, data, settings)
                if remembered:
                    return remembered
        return Task(told, data, settings, self._budget, self._fixes), key

    def _remembered(self, told: str, data: bytes, settings: Settings) -> tuple[Inspection | None, str | None]:
        """What an earlier run found, and the key it is kept by.

        The key of a plan that uses others holds them too, so without them nothing is found for such a plan.
        """
        if not self._cache:
            return None, None
        key = self._cache.key(data, settings, fixes=self._fixes)
        record = self._cache.find(key)
        if record is not None:
            try:
                return remembered(record, told, data), key
            except (ValueError, TypeError, IndexError):  # No record at all: as if it were not there.
                pass
        return None, key

    def _settings_for(self, path: str) -> Settings:
        """Plans of one folder come behind one another."""
        folder = path[: path.rfind(os.sep) + 1]
        if self._folder != folder:
            self._in_folder = self._settings(path)
            self._folder = folder
        return self._in_folder


def _read(path: str) -> bytes:
    if path == STANDARD_INPUT:
        return sys.stdin.buffer.read(MOST_BYTES + 1)
    # Thousands of them: no file object, and no room made for more than a plan usually is.
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0))
    try:
        data = os.read(handle, _USUAL_BYTES)
        # A pipe gives little at a time.
        while len(data) <= MOST_BYTES and (more := os.read(handle, _USUAL_BYTES)):
            data += more
    finally:
        os.close(handle)
    return data

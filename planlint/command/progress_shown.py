"""How far a long run is: a bar where somebody watches, a line now and then where nobody does."""

from __future__ import annotations

import sys
from time import monotonic
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress as Bar

_LINE_EVERY = 10.0
"""Seconds between two lines in a log."""
_BAR_EVERY = 0.1
"""Seconds between two pictures of the bar: as fast as an eye follows."""


class Progress:
    """Told on standard error, apart from any report. A run of 0 plans is too short to tell anything of."""

    def __init__(self, plans: int) -> None:
        self._plans = plans
        self._done = 0
        self._last = monotonic()
        self._bar: Bar | None = None
        self._shown = False
        if plans and sys.stderr.isatty():
            from rich.console import Console  # noqa: PLC0415 - where somebody watches a long run
            from rich.progress import BarColumn, MofNCompleteColumn, TimeRemainingColumn  # noqa: PLC0415
            from rich.progress import Progress as RichBar  # noqa: PLC0415

            self._bar = RichBar(
                "plans",
                BarColumn(),
                MofNCompleteColumn(),
                TimeRemainingColumn(),
                console=Console(stderr=True),
                auto_refresh=False,
                transient=True,
                redirect_stdout=False,
                redirect_stderr=False,
            )
            self._task = self._bar.add_task("", total=plans)

    def __enter__(self) -> Progress:
        return self

    def __exit__(self, *_: object) -> None:
        self.hide()

    def advance(self) -> None:
        """One more plan is done."""
        if not self._plans:
            return
        self._done += 1
        now = monotonic()
        if now - self._last < (_BAR_EVERY if self._bar else _LINE_EVERY):
            return
        self._last = now
        if self._bar:
            if not self._shown:
                self._bar.start()
                self._shown = True
            self._bar.update(self._task, completed=self._done, refresh=True)
        else:
            print(f"planlint: {self._done} of {self._plans} plans inspected", file=sys.stderr, flush=True)

    def hide(self) -> None:
        """Take the bar away: something is about to be written to the same screen."""
        if self._bar and self._shown:
            self._bar.stop()
            self._shown = False

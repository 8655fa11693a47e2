"""The root of a plan's collection: the nearest folder upwards that holds a ``planlint.toml``.

That one file counts, and no other is merged with it. The search ends at the top of a git repository, so that
nothing outside of one has a say in it.
"""

import os
from pathlib import Path

SETTINGS_FILE = "planlint.toml"
REPOSITORY = ".git"


class Finder:
    """Looks each folder up once."""

    def __init__(self) -> None:
        self._found: dict[str, tuple[Path | None, Path | None]] = {}
        self._asked: dict[str | Path, tuple[Path | None, Path | None]] = {}
        """The same by the words a folder was asked for in: thousands of plans share one."""

    def settings_file(self, folder: str | Path) -> Path | None:
        """The settings in force for the plans of a folder, or ``None`` where there are none."""
        return self._look(folder)[0]

    def passed_over(self, file: Path) -> Path | None:
        """The next settings file further out, which is not in force because a nearer one is."""
        inside = os.path.lexists(file.parent / REPOSITORY) or file.parent == file.parent.parent
        return None if inside else self.settings_file(file.parent.parent)

    def beyond(self, folder: str | Path) -> Path | None:
        """The settings file that would be in force if the repository of a folder, without one, were none of its own."""
        file, repository = self._look(folder)
        if file is not None or repository is None or repository == repository.parent:
            return None
        return self.settings_file(repository.parent)

    def root(self, folder: str | Path) -> Path:
        """The folder that a plan's ``use`` may not leave: that of its settings, else its repository's, else its own."""
        file, repository = self._look(folder)
        return file.parent if file else repository or Path(os.path.abspath(folder))  # noqa: PTH100

    def _look(self, folder: str | Path) -> tuple[Path | None, Path | None]:
        known = self._asked.get(folder)
        if known is None:
            known = self._asked[folder] = self._climb(folder)
        return known

    def _climb(self, folder: str | Path) -> tuple[Path | None, Path | None]:
        start = os.path.abspath(folder)  # noqa: PTH100 - a link keeps its own place in the collection
        passed: list[str] = []
        found: tuple[Path | None, Path | None] = (None, None)
        at = start
        while True:
            known = self._found.get(at)
            if known is not None:
                found = known
                break
            passed.append(at)
            top = os.path.lexists(os.path.join(at, REPOSITORY))  # noqa: PTH118
            file = os.path.join(at, SETTINGS_FILE)  # noqa: PTH118
            if os.path.lexists(file):
                found = Path(file), None
                break
            above = os.path.dirname(at)  # noqa: PTH120
            if top or above == at:
                found = None, Path(at) if top else None
                break
            at = above
        for each in passed:
            self._found[each] = found
        return found


def folder_of(path: str) -> str:
    """The folder that a plan lies in; for standard input, the current one."""
    return os.path.dirname(path) if path != "-" else ""  # noqa: PTH120

"""For the build alone: makes the ready-made grammar, rules and figures, so that an installed planlint starts at once.

Not part of an installed planlint. Runs in the isolated environment of the build, with the checkout (or the unpacked
source archive) as its root, from which planlint is imported without being installed.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class ReadyMade(BuildHookInterface[Any]):
    """Writes ``planlint/_ready`` before a wheel, or an editable install, is put together."""

    PLUGIN_NAME = "custom"

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:  # noqa: ARG002
        if self.target_name != "wheel":
            return
        sys.path.insert(0, self.root)
        try:
            from planlint.language import grammar_cache  # noqa: PLC0415
            from planlint.rulebook import figure_tables, rule_files  # noqa: PLC0415

            made = [rule_files.make_ready(), grammar_cache.make_ready(), *figure_tables.make_ready()]
        finally:
            sys.path.remove(self.root)
        build_data["artifacts"] += [f"/{Path(path).relative_to(self.root).as_posix()}" for path in made]

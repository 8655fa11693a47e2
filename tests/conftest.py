"""Random examples are the same in every run of the build server, so that what fails there can be run again here.

Away from it they are new each time, and ``tests/test_fuzz.py`` draws new ones there too.
"""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("same each time", derandomize=True)
if os.environ.get("CI"):
    settings.load_profile("same each time")

"""``python -m planlint``."""

import sys

from planlint.command.main import main

if __name__ == "__main__":
    sys.exit(main())

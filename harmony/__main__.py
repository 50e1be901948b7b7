"""Run the command line with ``python -m harmony``."""

import sys

from harmony.cli.main import main

sys.exit(main())

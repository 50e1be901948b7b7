"""`harmony workbench`: open the desks in JupyterLab on a sketchbook folder."""

from __future__ import annotations

import sys
from argparse import Namespace
from functools import partial

from harmony.cli.options import CommandParser

DESCRIPTION = """\
Open JupyterLab on a sketchbook folder. The desks are copied into FOLDER/desks
(a desk already there is left as it is) and opened already worked; the address
is printed when they are ready. Ctrl-C closes the workbench."""

EXAMPLES = """\
examples:
  harmony workbench
  harmony workbench ~/pieces/sketchbook
  harmony workbench sketchbook --no-browser
"""


def add_options(parser: CommandParser) -> None:
    """Declare the command's words and options."""
    parser.add_argument(
        "folder",
        metavar="FOLDER",
        nargs="?",
        default="sketchbook",
        help="the sketchbook's folder, made if it is not there (here, 'sketchbook')",
    )
    parser.add_argument(
        "--no-browser", action="store_true", help="print the address and open no browser"
    )


def run(options: Namespace) -> None:
    """Open the workbench and serve it until it is closed."""
    from harmony.workbench.launch import launch

    # Whoever reads the address through a pipe is waiting for it.
    announce = partial(print, file=sys.stdout, flush=True)
    launch(options.folder, open_browser=not options.no_browser, announce=announce)

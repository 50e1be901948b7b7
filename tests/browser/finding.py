"""The browser that the browser tests drive."""

from __future__ import annotations

import os
import shutil

import pytest

PROGRAMS = ("chromium-headless-shell", "chromium", "chromium-browser")
VARIABLE = "HARMONY_BROWSER"


def find_browser() -> str:
    """Give the path of a Chromium; skip, saying what to install, where there is none."""
    named = os.environ.get(VARIABLE)
    found = next(filter(None, map(shutil.which, [named] if named else PROGRAMS)), None)
    if found is None:
        pytest.skip(
            f"no browser: install {PROGRAMS[0]} or {PROGRAMS[1]}, or name one in {VARIABLE}"
        )
    return found

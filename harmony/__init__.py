"""A workbench for harmonic progressions and their voicing for real players.

The public functions are found here by name and loaded when first used, so
that ``import harmony`` costs nothing and a command loads only what it needs.
Called from here, each refuses what is of the wrong kind in one sentence
(:mod:`harmony.accepting`).
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from harmony.acoustics.api import spacing
    from harmony.chords.api import parse
    from harmony.errors import HarmonyError
    from harmony.harmonising.api import harmonise
    from harmony.reading.theme import open_theme
    from harmony.themes.api import canon, vary
    from harmony.voicings.api import prepare, voice

__version__: str

# public name -> the module that holds it; a new public function is one line here
_HOMES = {
    "HarmonyError": "harmony.errors",
    "canon": "harmony.themes.api",
    "harmonise": "harmony.harmonising.api",
    "open_theme": "harmony.reading.theme",
    "parse": "harmony.chords.api",
    "prepare": "harmony.voicings.api",
    "spacing": "harmony.acoustics.api",
    "vary": "harmony.themes.api",
    "voice": "harmony.voicings.api",
}

__all__ = [
    "HarmonyError", "canon", "harmonise", "open_theme", "parse", "prepare", "spacing", "vary",
    "voice",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    """Load a public name from its module on first use (PEP 562)."""
    if name == "__version__":
        from importlib.metadata import version

        value: Any = version("loom-harmony-workbench")
    elif name in _HOMES:
        value = getattr(import_module(_HOMES[name]), name)
        if not isinstance(value, type):
            value = import_module("harmony.accepting").accepting(value)
    else:
        raise AttributeError(f"module 'harmony' has no attribute {name!r}")
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    """Name the public surface, loaded or not."""
    return sorted({*globals(), *__all__, "__version__"})

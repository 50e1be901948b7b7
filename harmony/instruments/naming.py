"""Names as people type them: case and spacing do not matter, near misses are answered."""

from __future__ import annotations

from collections.abc import Sequence

_SIGNS = str.maketrans({"♭": "b", "♯": "#", "’": "'", "-": " "})


def fold(name: str) -> str:
    """Give the form of a name in which two spellings of it are equal."""
    return " ".join(name.translate(_SIGNS).casefold().split())


def suggest(name: str, known: Sequence[str]) -> str:
    """Give `` (did you mean 'x'?)`` for the nearest known name, or nothing."""
    from difflib import get_close_matches  # only a refusal needs it

    folded = {fold(one): one for one in known}
    near = get_close_matches(fold(name), list(folded), n=1, cutoff=0.55)
    return f" (did you mean {folded[near[0]]!r}?)" if near else ""

"""The marks that may stand at a note, by their names in MusicXML 4.0."""

from __future__ import annotations

ARTICULATIONS = frozenset(
    {
        "accent", "breath-mark", "caesura", "detached-legato", "doit", "falloff", "plop", "scoop",
        "soft-accent", "spiccato", "staccatissimo", "staccato", "stress", "strong-accent",
        "tenuto", "unstress",
    }
)  # fmt: skip
ORNAMENTS = frozenset(
    {
        "delayed-turn", "haydn", "inverted-mordent", "inverted-turn", "mordent", "schleifer",
        "shake", "trill-mark", "turn", "vertical-turn",
    }
)  # fmt: skip
TECHNICAL = frozenset(
    {
        "brass-bend", "double-tongue", "down-bow", "fingernails", "flip", "golpe", "half-muted",
        "harmonic", "heel", "open", "open-string", "smear", "snap-pizzicato", "stopped",
        "thumb-position", "toe", "triple-tongue", "up-bow",
    }
)  # fmt: skip
#: Technical marks with a text after an equals sign: ``fingering=3``.
TECHNICAL_WITH_TEXT = frozenset({"fingering", "fret", "other-technical", "pluck", "string"})
#: ``unpitched``: the pitch is only a place on the staff; ``tremolo=3``: three strokes.
OTHERS = frozenset({"arpeggiate", "fermata", "tremolo", "unpitched"})

_KNOWN = ARTICULATIONS | ORNAMENTS | TECHNICAL | TECHNICAL_WITH_TEXT | OTHERS


def is_mark(text: str) -> bool:
    """True for the name of a known mark, with its text where it has one.

    >>> is_mark("staccato"), is_mark("fingering=3"), is_mark("loud")
    (True, True, False)
    """
    return text.partition("=")[0] in _KNOWN

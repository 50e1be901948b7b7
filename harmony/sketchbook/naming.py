"""Names that a keep may have, on any composer's system."""

from __future__ import annotations

import unicodedata

from harmony.errors import HarmonyError

LONGEST_BYTES = 200  # with a number and an ending still under the 255 of most systems
_FORBIDDEN = '/\\:*?"<>|'
_DEVICES = {"con", "prn", "aux", "nul"} | {
    f"{port}{number}" for port in ("com", "lpt") for number in range(1, 10)
}


def check_name(name: str) -> str:
    """Give a name as it will stand in the folder, or say why it cannot.

    Letters of every script are welcome; what some system could not hold, or
    what could lead out of the folder, is not.

    Raises
    ------
    HarmonyError
        Saying what in the name is in the way.
    """
    clean = unicodedata.normalize("NFC", name).strip()
    if not clean:
        raise HarmonyError("A keep needs a name; any word will do.")
    for character in clean:
        if character in _FORBIDDEN or unicodedata.category(character) in ("Cc", "Cf", "Cs", "Co"):
            shown = character if character.isprintable() else f"U+{ord(character):04X}"
            raise HarmonyError(
                f"The name {clean!r} holds {shown!r}, which no file name can hold everywhere; "
                "letters, numbers, spaces, dots, dashes and underscores are accepted."
            )
    if clean.startswith(".") or clean.endswith("."):
        raise HarmonyError(
            f"The name {clean!r} begins or ends with a dot; a name with a letter there is accepted."
        )
    if clean.partition(".")[0].strip().casefold() in _DEVICES:
        raise HarmonyError(
            f"{clean!r} is the name of a device on some systems; another is accepted."
        )
    if len(clean.encode("utf-8")) > LONGEST_BYTES:
        raise HarmonyError(
            f"The name of the keep is too long ({len(clean)} letters); "
            f"up to {LONGEST_BYTES} plain letters are accepted."
        )
    return clean


def numbered(name: str, number: int) -> str:
    """Give the name for the first, second, ... keep of one name.

    >>> numbered("hymn", 1), numbered("hymn", 2)
    ('hymn', 'hymn 2')
    """
    return name if number == 1 else f"{name} {number}"

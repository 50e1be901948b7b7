"""A voicing told in plain text: bar by bar, voice by voice, with what each chord costs."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from harmony.cli.columns import format_columns, format_quarters

_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


def tell_voicings(
    data: Mapping[str, Any], places: Mapping[float, tuple[int, float]], *, asked: int = 1
) -> str:
    """Tell every alternative of a voicing.

    Parameters
    ----------
    data
        What ``harmony voice --json`` prints.
    places
        Bar and beat of each chord, by its offset in quarters.
    asked
        How many alternatives were asked for.
    """
    alternatives = data["alternatives"]
    found = len(alternatives)
    head = data["ensemble"]
    if found < asked:
        head += f": {asked} voicings asked for, {found} exist"
    tables = [
        "\n".join(_tell_alternative(data["voices"], alternative, places, number))
        for number, alternative in enumerate(alternatives)
    ]
    return "\n\n".join([head, *tables])


def tell_terms(terms: Mapping[str, float], ordinary: Mapping[str, float]) -> str:
    """Put the costs that count into words, dearest first: ``motion 6, leaps 3.5``.

    What of them every chord pays is told first, in one sum; the terms then say what is
    dearer than usual, and one entry what is not.
    """
    above = {name: cost - ordinary.get(name, 0.0) for name, cost in terms.items()}
    dearest = sorted(above.items(), key=lambda term: -term[1])
    told = [(name.replace("_", " "), cost) for name, cost in dearest if cost > 0]
    below = sum(cost for cost in above.values() if cost < 0)
    told = [("ordinary price", sum(ordinary.values())), *told, ("all else", below)]
    return ", ".join(f"{name} {format_cost(cost)}" for name, cost in told if round(cost, 2))


def format_cost(cost: float) -> str:
    """Write a cost with at most two decimals."""
    return f"{cost:.2f}".rstrip("0").rstrip(".").replace("-", "\u2212")


def _tell_alternative(
    voices: Sequence[str],
    alternative: Mapping[str, Any],
    places: Mapping[float, tuple[int, float]],
    number: int,
) -> Iterator[str]:
    letter = _LETTERS[number] if number < len(_LETTERS) else str(number + 1)
    yield f"{letter}  cost {format_cost(alternative['cost'])}, {_tell_status(alternative, number)}"
    if words := tell_terms(alternative["terms"], alternative.get("ordinary", {})):
        yield f"   {words}"
    if note := alternative.get("note"):
        yield f"   {note}"
    yield ""
    heads = ("bar", "beat", "chord", *voices, "cost", "of which")
    yield format_columns(heads, _build_rows(voices, alternative, places), right=(0, 1))


def _tell_status(alternative: Mapping[str, Any], number: int) -> str:
    if alternative["status"] == "optimal":
        return "proven the next best" if number else "proven: nothing cheaper keeps the rules"
    bound = format_cost(alternative["lower_bound"])
    return f"the search was stopped: nothing can cost less than {bound}, this may not be the best"


def _build_rows(
    voices: Sequence[str],
    alternative: Mapping[str, Any],
    places: Mapping[float, tuple[int, float]],
) -> Iterator[tuple[str, ...]]:
    last_bar = None
    for slot in alternative["slots"]:
        bar, beat = places[slot["offset"]]
        pitches = [pitch or "-" for pitch in slot["pitches"]] or ["-"] * len(voices)
        yield (
            "" if bar == last_bar else str(bar),
            format_quarters(beat),
            slot["figure"],
            *pitches,
            format_cost(sum(slot["terms"].values())),
            tell_terms(slot["terms"], slot.get("ordinary", {})),
        )
        last_bar = bar

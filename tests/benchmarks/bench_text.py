"""Speed of the parsers per symbol against music21's RomanNumeral and ChordSymbol.

Both read the same symbols of the check tables, each once and in the same order,
in the same run; caches of ours are emptied first, so every symbol is new. A whole
progression's text is compared with music21 reading the same chords as a RomanText
file, and with its classes alone.
"""

from __future__ import annotations

import time
import warnings
from collections.abc import Callable, Iterable

import pytest

from harmony.chords import api, inversion, leadsheet, numeral, qualities, roman, stack, words
from harmony.chords.api import parse
from harmony.pitch.key import Key
from tests.benchmarks.ledger import Ledger
from tests.published.rows import read_table

ROUNDS = 3


def _empty_caches() -> None:
    modules = (api, inversion, leadsheet, numeral, roman, stack, words)
    for module in modules:
        for value in vars(module).values():
            if hasattr(value, "cache_clear") and value.__module__ == module.__name__:
                value.cache_clear()
    qualities.name_degrees.cache_clear()


def _time_each(work: Callable[[tuple[str, ...]], object], items: list[tuple[str, ...]]) -> float:
    """Give the seconds that one item takes, all items once."""
    started = time.perf_counter()
    for item in items:
        work(item)
    return (time.perf_counter() - started) / len(items)


def _best(measure: Callable[[], float]) -> float:
    return min(measure() for _ in range(ROUNDS))


def _report(what: str, ours: float, theirs: float) -> None:
    print(
        f"\n{what}: {ours * 1e6:.1f} microseconds a symbol, music21 {theirs * 1e6:.0f};"
        f" {theirs / ours:.0f} times faster"
    )


@pytest.fixture(autouse=True)
def quiet() -> Iterable[None]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def test_roman_numerals(ledger: Ledger) -> None:
    from music21 import converter, key
    from music21 import roman as roman21

    rows = [row for row in read_table("05a_roman_numerals") if row["music21_agrees"] == "yes"]
    pairs = [(row["symbol"], row["key"]) for row in rows]
    keys = {name: Key.from_text(name) for _, name in pairs}
    theirs = {name: key.Key(name[0] + name[1:].replace("b", "-")) for _, name in pairs}

    def measure() -> float:
        _empty_caches()
        return _time_each(lambda pair: roman.read_numeral(pair[0], keys[pair[1]]).names, pairs)

    ours = _best(measure)
    other = _best(
        lambda: _time_each(
            lambda pair: roman21.RomanNumeral(pair[0], theirs[pair[1]]).pitches, pairs
        )
    )
    _report("Roman numerals", ours, other)
    ledger.enter("numerals", other / ours, note=f"{ours * 1e6:.0f} µs")
    lines = [f"m{bar} {name}: {symbol}" for bar, (symbol, name) in enumerate(pairs, start=1)]
    text = "Composer: none\nTime Signature: 4/4\n" + "\n".join(lines) + "\n"

    def measure_text() -> float:
        _empty_caches()
        return _time_each(lambda item: parse(item[0]), [(text,)]) / len(pairs)

    ours = _best(measure_text)
    _report("Roman numerals laid out in bars, against the class alone", ours, other)
    whole = _time_each(lambda item: converter.parse(item[0], format="romantext"), [(text,)]) / len(
        pairs
    )
    _report("The same RomanText file, bars, beats and durations", ours, whole)


def _figure_for_music21(row: dict[str, str]) -> str:
    """Write a symbol with music21's sign for a flat root; nothing where it refuses it so."""
    from music21 import harmony as harmony21

    figure = row["root"].replace("b", "-") + row["symbol"][len(row["root"]) :]
    try:
        harmony21.ChordSymbol(figure)
    except Exception:  # noqa: BLE001 - any refusal takes the symbol out of the comparison
        return ""
    return figure


def test_chord_symbols(ledger: Ledger) -> None:
    from music21 import harmony as harmony21

    rows = [row for row in read_table("05b_chord_symbols") if row["music21_agrees"] == "yes"]
    symbols = [(row["symbol"],) for row in rows if row["root"]]
    theirs = [(figure,) for row in rows if (figure := _figure_for_music21(row))]

    def measure() -> float:
        _empty_caches()
        return _time_each(lambda item: leadsheet.read_symbol(item[0]).names, symbols)

    ours = _best(measure)
    other = _best(lambda: _time_each(lambda item: harmony21.ChordSymbol(item[0]).pitches, theirs))
    _report("Chord symbols", ours, other)
    ledger.enter("chord_symbols", other / ours, note=f"{ours * 1e6:.0f} µs")
    text = " | ".join(item[0] for item in symbols)

    def measure_text() -> float:
        _empty_caches()
        return _time_each(lambda item: parse(item[0]), [(text,)]) / len(symbols)

    _report("Chord symbols laid out in bars, against the class alone", _best(measure_text), other)

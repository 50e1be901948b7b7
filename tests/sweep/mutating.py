"""Spoiling good input at random: bytes, numbers, words of its kind, pieces moved about."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from random import Random

_NUMBER = re.compile(rb"-?\d+(?:\.\d+)?")
_NUMBERS = (
    b"0",
    b"-1",
    b"1",
    b"2",
    b"7",
    b"99",
    b"-128",
    b"255",
    b"65536",
    b"1e308",
    b"0.5",
    b"1/0",
    b"nan",
    b"999999999999",
    b"00",
    b"\xd9\xa3",
    b"\xc2\xb2",
)
_ODD = (
    b"\x00",
    b"\r",
    b"\n\n",
    b"\t",
    b" ",
    b"\xc2\xa0",
    b"\xe2\x80\xae",
    b"\xff",
    b"\xf0\x9d\x84\xab",
    "♭".encode(),
    "♯".encode(),
    "Ж".encode(),
    "讃".encode(),
    b"'",
    b'"',
    b"\\",
    b"%s",
    b"{}",
    b"../",
)
LONGEST = 200_000  # what grows beyond is cut, so that the search stays quick


def spoil(
    data: bytes, chance: Random, words: Sequence[bytes] = (), others: Sequence[bytes] = ()
) -> bytes:
    """Give ``data`` with one to six small changes.

    ``words`` are pieces of the kind of input, ``others`` whole inputs to splice with.
    """
    for _ in range(chance.choice((1, 1, 1, 2, 3, 6))):
        data = chance.choice(_CHANGES)(data, chance, words, others)
    return data[:LONGEST]


def _place(data: bytes, chance: Random) -> int:
    return chance.randrange(len(data) + 1)


def _span(data: bytes, chance: Random) -> tuple[int, int]:
    start = _place(data, chance)
    return start, min(len(data), start + chance.choice((1, 1, 2, 5, 20, 200)))


def _flip(data: bytes, chance: Random, *_: object) -> bytes:
    if not data:
        return b"\x00"
    place = chance.randrange(len(data))
    return data[:place] + bytes([data[place] ^ (1 << chance.randrange(8))]) + data[place + 1 :]


def _drop(data: bytes, chance: Random, *_: object) -> bytes:
    start, end = _span(data, chance)
    return data[:start] + data[end:]


def _repeat(data: bytes, chance: Random, *_: object) -> bytes:
    start, end = _span(data, chance)
    return data[:end] + data[start:end] * chance.choice((1, 1, 2, 50)) + data[end:]


def _move(data: bytes, chance: Random, *_: object) -> bytes:
    start, end = _span(data, chance)
    rest = data[:start] + data[end:]
    place = _place(rest, chance)
    return rest[:place] + data[start:end] + rest[place:]


def _put(data: bytes, chance: Random, words: Sequence[bytes], _others: object) -> bytes:
    place = _place(data, chance)
    word = chance.choice([*words, *words, *_ODD]) if words else chance.choice(_ODD)
    return data[:place] + word + data[place:]


def _renumber(data: bytes, chance: Random, *_: object) -> bytes:
    found = list(_NUMBER.finditer(data))
    if not found:
        return data
    match = chance.choice(found)
    return data[: match.start()] + chance.choice(_NUMBERS) + data[match.end() :]


def _cut(data: bytes, chance: Random, *_: object) -> bytes:
    return data[: _place(data, chance)]


def _splice(data: bytes, chance: Random, _words: object, others: Sequence[bytes]) -> bytes:
    if not others:
        return data
    other = chance.choice(others)
    return data[: _place(data, chance)] + other[_place(other, chance) :]


_CHANGES: tuple[Callable[..., bytes], ...] = (
    _flip,
    _drop,
    _repeat,
    _move,
    _put,
    _put,
    _renumber,
    _renumber,
    _cut,
    _splice,
)

"""Numbers of the old and newer theorists for intervals as ratios of whole numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from functools import cache

from harmony.errors import HarmonyError


@cache
def prime_factors(number: int) -> tuple[tuple[int, int], ...]:
    """Give (prime, exponent) for a whole number above 0, primes rising."""
    if number < 1:
        raise HarmonyError(f"{number} has no prime factors; a whole number from 1 up is accepted.")
    found: dict[int, int] = {}
    rest, prime = number, 2
    while prime * prime <= rest:
        while rest % prime == 0:
            found[prime] = found.get(prime, 0) + 1
            rest //= prime
        prime += 1
    if rest > 1:
        found[rest] = found.get(rest, 0) + 1
    return tuple(found.items())


def euler_gradus(*numbers: int) -> int:
    """Give Euler's degree of agreeableness (gradus suavitatis, Tentamen, 1739).

    1 plus k (p - 1) for each prime p to the power k in the least common multiple
    of the numbers, which stand for the notes of a chord in lowest terms; lower
    is more agreeable.

    >>> euler_gradus(4, 5, 6), euler_gradus(10, 12, 15)
    (9, 9)
    """
    divisor = math.gcd(*numbers)
    multiple = math.lcm(*(number // divisor for number in numbers))
    return 1 + sum(exponent * (prime - 1) for prime, exponent in prime_factors(multiple))


def tenney_distance(ratio: Fraction) -> float:
    """Give Tenney's harmonic distance (1983): log2(a b) of a ratio a:b in lowest terms.

    >>> round(tenney_distance(Fraction(3, 2)), 6)
    2.584963
    """
    return math.log2(ratio.numerator * ratio.denominator)


def barlow_indigestibility(number: int) -> float:
    """Give Barlow's indigestibility of a whole number (1987).

    Twice the sum of n (p - 1)^2 / p over its primes p to the powers n.
    """
    return sum(2.0 * n * (p - 1) ** 2 / p for p, n in prime_factors(number))


def barlow_harmonicity(ratio: Fraction) -> float:
    """Give the size of Barlow's harmonicity (1987), infinite for the unison.

    The reciprocal of the summed indigestibilities of both numbers. The sign
    (which note is felt as the root) is given by :func:`barlow_polarity`.
    """
    below = barlow_indigestibility(ratio.numerator) + barlow_indigestibility(ratio.denominator)
    return math.inf if below == 0 else 1.0 / below


def barlow_polarity(ratio: Fraction) -> int:
    """Give 1 where the lower note of an interval is felt as its root, else -1.

    The sign convention is recalled from memory, not seen in print.
    """
    upward = ratio if ratio >= 1 else 1 / ratio
    harder_above = barlow_indigestibility(upward.numerator)
    return 1 if harder_above > barlow_indigestibility(upward.denominator) else -1


def ratios_to_numbers(ratios: Sequence[Fraction]) -> tuple[int, ...]:
    """Give the smallest whole numbers in the proportion of the ratios.

    >>> ratios_to_numbers([Fraction(1), Fraction(5, 4), Fraction(3, 2)])
    (4, 5, 6)
    """
    multiple = math.lcm(*(ratio.denominator for ratio in ratios))
    numbers = [int(ratio * multiple) for ratio in ratios]
    divisor = math.gcd(*numbers)
    return tuple(number // divisor for number in numbers)

"""Bessel functions J0 and J1, their zeros, and the scaled complementary error function.

Pure Python: heat conduction needs only these four, and importing a numerical library would slow the start.
The absolute error is below 1e-14; the tests compare with an independent library.
"""

import math
from functools import cache

ASYMPTOTIC_FROM = 25.0  # from here on, the error of twenty terms of Hankel's series is below 1e-15
HANKEL_PAIRS = 10
SERIES_NEAR_ZERO = 1e-8  # below it J0 is 1 and J1 is x/2 to the last digit
ERFCX_ASYMPTOTIC_FROM = 25.0  # exp(x²) still fits a double; the sixth term is then below 1e-14
NEWTON_STEPS = 8  # McMahon's start has two right digits and every step doubles them


def bessel_j0_j1(x: float) -> tuple[float, float]:
    """Bessel functions of the first kind, orders 0 and 1.

    Args:
        x: at least 0.
    Returns:
        J0(x), J1(x), each within 1e-14.
    Source:
        Backward recurrence J(n-1) = (2n/x)·J(n) − J(n+1), normalised by J0 + 2·(J2 + J4 + …) = 1, and for
        large x Hankel's asymptotic series: Watson, Theory of Bessel Functions, chapters 2 and 7 (from memory).

    >>> j0, j1 = bessel_j0_j1(2.0)
    >>> round(j0, 12), round(j1, 12)
    (0.223890779141, 0.576724807757)
    """
    if x < SERIES_NEAR_ZERO:
        return 1.0, x / 2
    return _by_recurrence(x) if x < ASYMPTOTIC_FROM else _by_hankel(x)


@cache
def bessel_zero(order: int, number: int) -> float:
    """A positive zero of J0 or J1.

    Args:
        order: 0 or 1.
        number: from 1; number 0 of J1 is 0 itself.
    Returns:
        The zero, to the last digit or two.
    Source:
        McMahon's expansion as the start, then Newton with J0' = −J1 and J1' = J0 − J1/x (from memory).

    >>> round(bessel_zero(0, 1), 10), round(bessel_zero(1, 1), 10)
    (2.4048255577, 3.8317059702)
    """
    if number == 0:
        return 0.0
    start = (number + (order - 0.5) / 2) * math.pi
    x = start - (4 * order * order - 1) / (8 * start)
    for _ in range(NEWTON_STEPS):
        j0, j1 = bessel_j0_j1(x)
        step = -j0 / j1 if order == 0 else j1 / (j0 - j1 / x)
        x -= step
        if abs(step) < 1e-15 * x:
            break
    return x


def erfcx(x: float) -> float:
    """exp(x²)·erfc(x) for x of at least 0, without overflow.

    Source:
        The definition, and for large x the asymptotic series 1/(x√π)·(1 − 1/(2x²) + 3/(4x⁴) − …).

    >>> erfcx(0.0), round(erfcx(30.0), 12)
    (1.0, 0.018795888861)
    """
    if x < ERFCX_ASYMPTOTIC_FROM:
        return math.exp(x * x) * math.erfc(x)
    inverse = 1 / (2 * x * x)
    bracket = 1 - inverse * (1 - 3 * inverse * (1 - 5 * inverse * (1 - 7 * inverse)))
    return bracket / (x * math.sqrt(math.pi))


def _by_recurrence(x: float) -> tuple[float, float]:
    above, here, evens = 0.0, 1e-300, 0.0  # any start value: the sum normalises it
    for order in range(2 * int(0.6 * x + 14), 0, -1):
        if order % 2 == 0:
            evens += here
        above, here = here, 2 * order / x * here - above
    scale = here + 2 * evens
    return here / scale, above / scale


def _by_hankel(x: float) -> tuple[float, float]:
    sine, cosine = math.sin(x), math.cos(x)
    root = 1 / math.sqrt(math.pi * x)
    p0, q0 = _hankel_sums(0, x)
    p1, q1 = _hankel_sums(1, x)
    # cos and sin of x − π/4 and x − 3π/4 by the addition theorems: a subtraction would lose digits.
    j0 = root * (p0 * (cosine + sine) - q0 * (sine - cosine))
    j1 = root * (p1 * (sine - cosine) + q1 * (sine + cosine))
    return j0, j1


def _hankel_sums(order: int, x: float) -> tuple[float, float]:
    inverse, p, q = 1 / (x * x), 0.0, 0.0
    for even, odd in _HANKEL[order]:
        p, q = p * inverse + even, q * inverse + odd
    return p, q / x


def _hankel_coefficients(order: int) -> tuple[tuple[float, float], ...]:
    """Coefficients of the powers of 1/x² in both sums, highest first."""
    coefficients, term = [1.0], 1.0
    for k in range(1, 2 * HANKEL_PAIRS):
        term *= (4 * order * order - (2 * k - 1) ** 2) / (8 * k)
        coefficients.append(term if k % 4 < 2 else -term)
    return tuple(zip(coefficients[::2], coefficients[1::2], strict=True))[::-1]


_HANKEL = (_hankel_coefficients(0), _hankel_coefficients(1))

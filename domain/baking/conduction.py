"""Transient heat conduction in a plane wall, a long cylinder and a sphere with a film on the surface.

A body at one temperature is put into surroundings at another. θ is the share of the initial difference that is
left (from 1 down to 0), x the position as a share of the half-thickness or radius L, Bi = hL/k the
Biot number (h film coefficient, k conductivity) and Fo = at/L² the Fourier number (a diffusivity, t time):

    θ(x, Fo) = Σ C(n) · f(λ(n) x) · exp(−λ(n)² Fo)

    plane wall   f = cos(z)       λ tan λ = Bi          C = 4 sin λ / (2λ + sin 2λ)
    cylinder     f = J0(z)        λ J1(λ) = Bi J0(λ)    C = 2 J1(λ) / (λ (J0(λ)² + J1(λ)²))
    sphere       f = sin(z)/z     1 − λ cot λ = Bi      C = 4 (sin λ − λ cos λ) / (2λ − sin 2λ)

Source: Conduction of Heat in Solids, second edition, 1959, chapters 3, 7 and 9 (from memory); the tests compare
with a printed table (ht-table) and with an independent finite-volume solution.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Literal

from domain.baking.special_functions import bessel_j0_j1, bessel_zero, erfcx
from domain.errors import OutOfRangeError, broken_limit

Shape = Literal["slab", "cylinder", "sphere"]

SHORT_SLAB_FOURIER = 0.05  # below it the next reflection is under erfc(2/(2·√0.05)) = 3e-10
STILL_SLAB_FOURIER = 1 / 144  # below it 1 − 2·erfc(1/(2·√Fo)) is 1 to the last digit of a double
STILL_FOURIER = 0.0125  # below it the middle of a cylinder or sphere has changed by less than 1e-7
# With so many terms, exp(−λ²·Fo) of the first term left out is below 2e-8 at every Fourier number used.
CENTRE_TERMS: MappingProxyType[Shape, int] = MappingProxyType({"slab": 6, "cylinder": 12, "sphere": 12})
SMALLEST_FOURIER = 1e-4  # our own limit: away from the middle, the number of terms grows as 1/√Fo
EXPONENT_STOP = 40.0  # exp(−40) is 4e-18
NEWTON_STEPS = 60  # guarded by a bracket; three or four are needed
LAST_STEP = 1e-8  # relative: Newton doubles the digits, so the root after this step is right to 1e-15

# Number of dimensions, and the volume (width, area) of the body with L = 1.
_BALLS: MappingProxyType[Shape, tuple[int, float]] = MappingProxyType(
    {"slab": (1, 2.0), "cylinder": (2, math.pi), "sphere": (3, 4 / 3 * math.pi)}
)


@dataclass(frozen=True, slots=True)
class Term:
    """One term: the root λ, the coefficient C, and the mean of f² over the body's volume."""

    root: float
    coefficient: float
    mean_square: float


def temperature_ratio(shape: Shape, biot: float, fourier: float, position: float = 0.0) -> float:
    """The share of the initial temperature difference that is left at one position.

    Args:
        shape: plane wall (`slab`), long cylinder or sphere.
        biot: hL/k, at least 0; infinite for a surface held at the surroundings' temperature.
        fourier: at/L², at least 0; away from the middle of a cylinder or sphere, 0 or at least 0.0001.
        position: distance from the middle as a share of L, 0 to 1.
    Returns:
        θ, from 1 down to 0; the terms left out are below 1e-6.
    Raises:
        OutOfRangeError: an argument outside these ranges.
    Source:
        The series above; for a plane wall at short times, both walls as half-spaces (Conduction of Heat in Solids,
        1959, 2.7).

    >>> round(temperature_ratio("slab", 1.0, 1.0), 4)
    0.5339
    """
    _check(biot, fourier, position)
    if fourier == 0 or biot == 0:
        return 1.0
    if shape == "slab" and fourier < SHORT_SLAB_FOURIER:
        return 1 - _wall_effect(biot, fourier, 1 - position) - _wall_effect(biot, fourier, 1 + position)
    if position == 0:
        return centre_ratio(shape, biot, terms_of(shape, biot), fourier)
    if fourier < SMALLEST_FOURIER:
        raise _too_short(fourier)
    terms = terms_of(shape, biot, _terms_needed(fourier))
    return sum(t.coefficient * _form(shape, t.root * position) * math.exp(-t.root * t.root * fourier) for t in terms)


def centre_ratio(shape: Shape, biot: float, terms: tuple[Term, ...], fourier: float) -> float:
    """θ in the middle, from given terms; a search for a time calls it repeatedly.

    Args:
        shape: plane wall, long cylinder or sphere.
        biot: hL/k, above 0.
        terms: from `terms_of` for this shape and Biot number.
        fourier: at/L², at least 0.
    Returns:
        θ, as from `temperature_ratio`.
    """
    if shape == "slab" and fourier < SHORT_SLAB_FOURIER:
        return 1.0 if fourier < STILL_SLAB_FOURIER else 1 - 2 * _wall_effect(biot, fourier, 1.0)
    if shape != "slab" and fourier < STILL_FOURIER:
        return 1.0
    left = 0.0
    for term in terms:
        exponent = term.root * term.root * fourier
        if exponent > EXPONENT_STOP:
            break
        left += term.coefficient * math.exp(-exponent)
    return left


def confinement(shape: Shape, terms: tuple[Term, ...], fourier: float) -> float:
    """The effect of the walls on a point source of heat in the middle, relative to infinite space.

    Args:
        shape: plane wall, long cylinder or sphere.
        terms: of the shape at its Biot number.
        fourier: at/L², above 0.
    Returns:
        1 at short times, falling to 0 as the difference escapes through the film.
    Source:
        Green's function as the sum of f(0)² exp(−λ² Fo) / (volume · mean of f²), over (4πat)^(−n/2) in n
        dimensions: Conduction of Heat in Solids, 1959, chapter 14 (from memory).
    """
    if fourier < SHORT_SLAB_FOURIER:
        return 1.0  # the distance to the wall and back is 2L: exp(−1/0.05) is 2e-9
    left = 0.0
    for term in terms:
        exponent = term.root * term.root * fourier
        if exponent > EXPONENT_STOP:
            break
        left += math.exp(-exponent) / term.mean_square
    dimensions, volume = _BALLS[shape]
    return left * math.pow(4 * math.pi * fourier, dimensions / 2) / volume


def terms_of(shape: Shape, biot: float, count: int = 0) -> tuple[Term, ...]:
    """The first terms of a shape's series, by default as many as the middle needs; cached for each Biot number."""
    return _terms(shape, float(f"{biot:.12g}"), count or CENTRE_TERMS[shape])


@lru_cache(maxsize=1024)
def _terms(shape: Shape, biot: float, count: int) -> tuple[Term, ...]:
    find = {"slab": _slab_term, "cylinder": _cylinder_term, "sphere": _sphere_term}[shape]
    return tuple(find(biot, number) for number in range(1, count + 1))


def _slab_term(biot: float, number: int) -> Term:
    before = (number - 1) * math.pi
    if math.isinf(biot):
        root = before + math.pi / 2
    else:  # λ = (n − 1)π + arctan(Bi/λ): one root of an increasing function
        root = _find_root(
            lambda x: (x - before - math.atan2(biot, x), 1 + biot / (x * x + biot * biot)),
            before,
            before + math.pi / 2,
            before + min(math.pi / 2, math.sqrt(biot)) / number,
        )
    double = 2 * root + math.sin(2 * root)
    return Term(root, 4 * math.sin(root) / double, double / (4 * root))


def _sphere_term(biot: float, number: int) -> Term:
    before = (number - 1) * math.pi
    if math.isinf(biot):
        root = number * math.pi
    else:  # λ = (n − 1)π + arctan(λ/(1 − Bi)), with the angle from 0 to π
        # The first root is above that of film and body resistance in series; 0 is a root as well.
        low = before or 0.9 * math.sqrt(3 * biot / (1 + 3 * biot / math.pi**2))
        root = _find_root(
            lambda x: (x - before - math.atan2(x, 1 - biot), 1 - (1 - biot) / (x * x + (1 - biot) ** 2)),
            low,
            before + math.pi,
            before + min(math.pi * (1 - 0.5 / number), math.sqrt(3 * biot)),
        )
    double = 2 * root - math.sin(2 * root)
    return Term(root, 4 * (math.sin(root) - root * math.cos(root)) / double, 3 * double / (4 * root**3))


def _cylinder_term(biot: float, number: int) -> Term:
    low, high = bessel_zero(1, number - 1), bessel_zero(0, number)
    if math.isinf(biot):
        root, (j0, j1) = high, bessel_j0_j1(high)
    else:
        # The first root is near that of film and body resistance in series. The others divide the interval between
        # the zeros of J1 and J0 about as those of a plane wall divide that between the zeros of sine and cosine.
        start = math.sqrt(2 * biot / (1 + 2 * biot / high**2))
        for _ in range(3 if low else 0):
            start = low + math.atan2(biot, start) / (math.pi / 2) * (high - low)

        def condition(x: float) -> tuple[float, float]:
            j0, j1 = bessel_values[x] = bessel_j0_j1(x)
            value, slope, bend = x * j1 - biot * j0, x * j0 + biot * j1, j0 - x * j1 + biot * (j0 - j1 / x)
            sign = 1 if number % 2 else -1  # so that the function increases through every root
            # Halley's method: fewer steps, and so fewer Bessel functions, than Newton's.
            return sign * value, sign * (slope - value * bend / (2 * slope) if slope else bend)

        bessel_values: dict[float, tuple[float, float]] = {}
        root = _find_root(condition, low, high, start)
        last = next(reversed(bessel_values))  # so near the root that one term of the Taylor series is enough
        j0, j1 = bessel_values[last]
        j0, j1 = j0 - (root - last) * j1, j1 + (root - last) * (j0 - j1 / last)
    squares = j0 * j0 + j1 * j1
    return Term(root, 2 * j1 / (root * squares), squares)


def _find_root(function: Callable[[float], tuple[float, float]], low: float, high: float, start: float) -> float:
    """Newton's method inside a bracket, for an increasing function that returns its value and slope."""
    x = start if low < start < high else (low + high) / 2
    for _ in range(NEWTON_STEPS):
        value, slope = function(x)
        if value == 0:
            break
        low, high = (low, x) if value > 0 else (x, high)
        better = x - value / slope if slope else low
        better = better if low <= better <= high else (low + high) / 2
        if abs(better - x) <= LAST_STEP * x:
            return better
        x = better
    return x


def _wall_effect(biot: float, fourier: float, distance: float) -> float:
    """The effect of one wall at *distance* on a half-space: 1 − θ, by the error function."""
    root = 2 * math.sqrt(fourier)
    near = distance / root
    if biot == math.inf:
        return math.erfc(near)
    return math.erfc(near) - math.exp(-near * near) * erfcx(near + biot * root / 2)


def _form(shape: Shape, z: float) -> float:
    if shape == "slab":
        return math.cos(z)
    if shape == "cylinder":
        return bessel_j0_j1(z)[0]
    return math.sin(z) / z if z else 1.0


def _terms_needed(fourier: float) -> int:
    # λ(n) is at least (n − 1)π, and the coefficients are at most 2: 2·exp(−18)·n is below 1e-6 after summing.
    return 2 + math.ceil(math.sqrt(18 / fourier) / math.pi)


def _check(biot: float, fourier: float, position: float) -> None:
    if not biot >= 0:
        raise OutOfRangeError("The Biot number must be at least 0.", path=("biot",), value=biot, limit=0)
    if not 0 <= fourier < math.inf:
        message = "The Fourier number must be finite and at least 0."
        raise OutOfRangeError(message, path=("fourier",), value=fourier, limit=0)
    if not 0 <= position <= 1:
        message, limit = "The position is from 0 (middle) to 1 (surface).", broken_limit(position, 0, 1)
        raise OutOfRangeError(message, path=("position",), value=position, limit=limit)


def _too_short(fourier: float) -> OutOfRangeError:
    message = f"The Fourier number must be 0 or at least {SMALLEST_FOURIER}."
    return OutOfRangeError(message, path=("fourier",), value=fourier, limit=SMALLEST_FOURIER)

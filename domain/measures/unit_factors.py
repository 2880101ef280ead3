"""Factor and offset of every unit, as pint resolved them from `units.txt`.

Pint takes an eighth of a start, and always finds the same. So what it found is kept (`resolved_units.json`) with a hash
of what it was asked; where that has changed since, pint is asked anew, and a test asks for the file to be written.
"""

import json
from collections.abc import Mapping
from fractions import Fraction
from hashlib import sha256
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from domain.measures.unit_engine import Affine

KEPT = "resolved_units.json"


def unit_factors(base_of: Mapping[str, str]) -> "dict[str, Affine]":
    """Factor and offset of units, exactly.

    Args:
        base_of: each unit's id, and the base unit of what it measures.
    Returns:
        Both by the unit's id.
    """
    kept = json.loads((files("domain.reference") / KEPT).read_text("utf-8"))
    if kept["asked"] == asked(base_of):
        return {unit: (Fraction(factor), Fraction(offset)) for unit, (factor, offset) in kept["factors"].items()}
    from domain.measures.unit_engine import resolve  # noqa: PLC0415 - seldom, see above

    return resolve(base_of)


def asked(base_of: Mapping[str, str]) -> str:
    """A hash of the definitions and of what is asked of them; pint's own version is held by the test alone."""
    definitions = (files("domain.reference") / "units.txt").read_bytes()
    return sha256(definitions + json.dumps(sorted(base_of.items())).encode()).hexdigest()

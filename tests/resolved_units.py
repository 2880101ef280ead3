"""`python -m tests.resolved_units`: write what pint makes of the units' definitions, after a change in them."""

import json
from pathlib import Path
from typing import Any

import domain.reference
from domain.measures.unit_engine import resolve
from domain.measures.unit_factors import KEPT, asked
from domain.measures.units import resolved_bases

FILE = Path(next(iter(domain.reference.__path__))) / KEPT


def resolved() -> dict[str, Any]:
    """What belongs into the file."""
    bases = resolved_bases()
    factors = {unit: [str(factor), str(offset)] for unit, (factor, offset) in resolve(bases).items()}
    return {"asked": asked(bases), "factors": factors}


if __name__ == "__main__":
    FILE.write_text(json.dumps(resolved(), indent=1) + "\n", "utf-8")

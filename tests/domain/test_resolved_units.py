"""What is kept of pint's answers is what pint says, and is not used once the definitions have changed."""

import json
import subprocess
import sys
from fractions import Fraction

import pytest

from domain.measures import unit_engine, unit_factors
from domain.measures.units import UNITS, resolved_bases
from tests.resolved_units import FILE, resolved


def test_what_is_kept_is_what_pint_says() -> None:
    kept = json.loads(FILE.read_text("utf-8"))
    assert kept == resolved(), "Write it, and read what changed: python -m tests.resolved_units"


def test_pint_is_asked_anew_where_a_definition_changed(monkeypatch: pytest.MonkeyPatch) -> None:
    bases = resolved_bases()
    one = {"us_cup": (Fraction(1), Fraction(0))}
    monkeypatch.setattr(unit_engine, "resolve", lambda _: one)
    assert unit_factors.unit_factors(bases)["us_cup"] == (UNITS["us_cup"].factor, Fraction(0))
    assert unit_factors.unit_factors(bases | {"furlong": "mm"}) == one
    monkeypatch.setattr(unit_factors, "asked", lambda _: "another text")
    assert unit_factors.unit_factors(bases) == one


def test_a_start_does_without_pint() -> None:
    code = "import sys, api.app; print(sorted({'pint', 'jinja2', 'rapidfuzz'} & set(sys.modules)))"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout == "[]\n"

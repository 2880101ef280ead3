"""Parts of answers that the shop's topics share."""

from fractions import Fraction
from typing import Any

from api.wire.answers import source_refs
from domain.errors import DomainError, NeededError
from domain.shop.composition import Use
from domain.shop.goods import Pack
from domain.shop.label_rules import CAUTIONS
from domain.sources import Cited


def use_citations(use: Use) -> tuple[Cited, ...]:
    """What the mass and the composition of a use rest on, each once."""
    of_masses = tuple(cited for line in use.lines for cited in line.cited)
    of_composition = use.composition.cited if use.composition is not None else ()
    return tuple(dict.fromkeys((*of_masses, *of_composition)))


def cautions_answer() -> list[dict[str, Any]]:
    """The usual cautions of labels and allergens."""
    return _CAUTIONS


_CAUTIONS = [{"id": one.id, "text": one.text, "sources": source_refs((one.cited,))} for one in CAUTIONS]


def exact_text(amount: Fraction) -> str:
    """An exact amount of money as a decimal to six places, half to even."""
    millionths = round(amount * 1_000_000)
    sign = "-" if millionths < 0 else ""
    return f"{sign}{abs(millionths) // 1_000_000}.{abs(millionths) % 1_000_000:06d}"


def pack_text(pack: Pack) -> str:
    """A pack's size as text: `1.5 kg`."""
    return f"{float(pack.size.amount):g} {pack.size.unit.id}"


def pieces_needed(*path: str | int) -> DomainError:
    """The refusal of a figure per piece where no pieces are given."""
    return NeededError("A figure per piece needs pieces.", path=path, code="pieces-needed")

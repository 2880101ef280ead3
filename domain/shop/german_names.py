"""Whether a German name of a product, such as Pflaumenkuchen, mentions an ingredient."""

import re
from types import MappingProxyType

from domain.reading.tokens import fold
from domain.reference import rows, words

_ENDINGS = ("en", "n", "e", "s")  # of plurals, and between the parts of compounds
_SHORTEST_STEM = 4  # letters; our own limit: shorter ones begin words that have nothing to do with them


def is_mentioned(identity: str, product_name: str) -> bool:
    """Whether a word of a product's name begins with a German name of an ingredient.

    Args:
        identity: of the ingredient.
        product_name: a compound names its first part.
    Returns:
        Whether it does.

    >>> is_mentioned("plum", "Pflaumenkuchen vom Blech"), is_mentioned("plum", "Apfelkuchen")
    (True, False)
    """
    stems = _STEMS.get(identity, ())
    return any(word.startswith(stems) for word in re.findall(r"[^\W\d_]+", fold(product_name)))


def _stem(name: str) -> str:
    noun = fold(name.rsplit(maxsplit=1)[-1])
    for ending in _ENDINGS:
        if noun.endswith(ending) and len(noun) > _SHORTEST_STEM + len(ending):
            return noun.removesuffix(ending)
    return noun


def _load() -> MappingProxyType[str, tuple[str, ...]]:
    names = {row["ingredient"]: words(row["names"]) for row in rows("ingredient_names") if row["language"] == "de"}
    stems = {identity: {_stem(name) for name in of_one} for identity, of_one in names.items()}
    return MappingProxyType(
        {
            identity: tuple(sorted(stem for stem in of_one if len(stem) >= _SHORTEST_STEM))
            for identity, of_one in stems.items()
        }
    )


_STEMS = _load()

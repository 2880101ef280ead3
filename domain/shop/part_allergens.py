"""Allergens that the words of a packet's list of ingredients name, in the languages of the reader of recipes."""

import re
from collections.abc import Iterator

from domain.reading.names import read_name
from domain.reading.tokens import tokenise
from domain.shop.allergens import ALLERGENS, MIXED_NUTS, PLAIN, TREE_NUTS
from domain.shop.goods import Good, ingredient_of

_WORDS = {word: listed.allergen for listed in ALLERGENS.values() for word in listed.words}
_NAMED = re.compile(rf"\b({'|'.join(sorted(map(re.escape, _WORDS), key=len, reverse=True))})\b", re.IGNORECASE)


def allergens_of_parts(good: Good) -> dict[str, str]:
    """The allergens that our table knows for the parts of a good.

    Args:
        good: of the shop.
    Returns:
        The part that each is in, by the id of the allergen, in the order of the parts.
    """
    holders: dict[str, str] = {}
    for part in good.parts:
        for allergen in _known(part.name)[0]:
            holders.setdefault(allergen, part.name)
    return holders


def unlisted_words(good: Good) -> Iterator[tuple[str, str]]:
    """Names with a word for an allergen that the row does not speak of: a part, the good itself, its label name.

    Args:
        good: of the shop. A name that is one of our ingredients is answered by our table, so it is not returned.
    Returns:
        Each name with the id of the allergen.
    """
    answered = {*(good.contains or ()), *good.may_contain, *good.free_from, *allergens_of_parts(good)}
    if not TREE_NUTS.isdisjoint(answered):
        answered.add(MIXED_NUTS)
    own = [name for name in (good.name, good.label_name) if good.ingredient is None and ingredient_of(name) is None]
    for name in dict.fromkeys((*own, *(part.name for part in good.parts))):
        if _known(name)[1]:
            continue
        for allergen in dict.fromkeys(_WORDS[match.casefold()] for match in _NAMED.findall(name)):
            if allergen not in answered:
                yield name, allergen


def _known(name: str) -> tuple[tuple[str, ...], bool]:
    """The allergens of what a name means, those in all of several meanings; and whether it means one ingredient."""
    ids = read_name([token.key for token in tokenise(name) if token.kind == "word"], None).ids
    if not ids:
        return (), False
    first, *others = (PLAIN[identity].contains for identity in ids)
    return tuple(allergen for allergen in first if all(allergen in other for other in others)), not others

"""Words, numbers and signs of a line, in the form in which they are compared."""

import re
import unicodedata
from functools import lru_cache
from typing import Literal, NamedTuple

VULGAR = {
    chr(code): unicodedata.normalize("NFKC", chr(code)).replace("\u2044", "/")
    for code in (*range(0xBC, 0xBF), *range(0x2150, 0x215F))  # all but the open ⅟
}
_FRACTIONS = "".join(VULGAR)
# One alternative for each kind of token; every repetition is over single characters, so the scan is linear.
_TOKEN = re.compile(
    rf"(?P<number>[0-9]++(?:[.,'’\u00a0\u202f\u2009][0-9]++)*+)"
    rf"|(?P<vulgar>[{_FRACTIONS}])"
    r"|(?P<word>[dlDL]['’](?=[^\W\d_])|[^\W\d_]++(?:['’][^\W\d_]++)?+['’]?)"
    r"|(?P<sign>\S)"
)
_DASHES = frozenset("-–—‐‑−")
INCH_SIGNS = frozenset(('"', "″", "”"))
Kind = Literal["number", "vulgar", "word", "sign"]


class Token(NamedTuple):
    """A word, number or sign; `key` is its folded form, `start` and `end` its place in the line.

    A NamedTuple, because a text has thousands of them.
    """

    kind: Kind
    text: str
    key: str
    start: int
    end: int


def tokenise(text: str) -> list[Token]:
    """The tokens of a line, in order; white space only separates them."""
    tokens = []
    for match in _TOKEN.finditer(text):
        kind: Kind = match.lastgroup  # type: ignore[assignment]  # the groups of the pattern are the kinds
        written = match.group()
        if kind == "word":
            key = fold(written)
        elif kind == "sign":
            key = "-" if written in _DASHES else "x" if written == "×" else written
        else:
            key = written
        tokens.append(Token(kind, written, key, *match.span()))
    return tokens


@lru_cache(maxsize=4096)  # recipes repeat few words; without it reading takes 1.5 times as long
def fold(word: str) -> str:
    """A word without case, accents and ligatures: `Œufs` and `oeufs` are one word.

    >>> fold("Œufs"), fold("Weiß"), fold("pâte")
    ('oeufs', 'weiss', 'pate')
    """
    if word.isascii():
        return word.lower()
    plain = unicodedata.normalize("NFKD", word.casefold().replace("œ", "oe").replace("æ", "ae").replace("’", "'"))
    return "".join(c for c in plain if not unicodedata.combining(c))


def within_initials(tokens: list[Token], at: int) -> bool:
    """Whether a word stands directly behind a full stop: S.R."""
    return 0 < at < len(tokens) and tokens[at - 1].text == "." and tokens[at].start == tokens[at - 1].end


def phrase_key(text: str) -> str:
    """The folded words of a phrase, one space apart, hyphens and full stops left out."""
    return " ".join(token.key for token in tokenise(text) if token.key not in "-.")


def joined_text(tokens: list[Token]) -> str:
    """The text of tokens of one line, with a space where white space stands between them."""
    text, end = "", tokens[0].start if tokens else 0
    for token in tokens:
        text += " " * (token.start > end) + token.text
        end = token.end
    return text

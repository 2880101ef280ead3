"""What stands before the words of a line: bullets, boxes, the number of a list; and rows of dots within it."""

from domain.reading.tokens import Token

_BULLETS = frozenset("-*•·☐□▢◦‣–—+✓✔○●▪")
_LEADERS = frozenset("._…")


def skip_bullet(tokens: list[Token]) -> int:
    """The place after the bullets or the box of a line."""
    at = 0
    while at < len(tokens) - 1 and tokens[at].kind == "sign" and tokens[at].text in _BULLETS:
        at += 1
    if tokens[at].key == "[" and at + 2 < len(tokens) and "]" in (tokens[at + 1].key, tokens[at + 2].key):
        at += 2 if tokens[at + 1].key == "]" else 3
    return at


def without_leaders(tokens: list[Token]) -> list[Token]:
    """The tokens without rows of dots: flour ..... 2 kg."""
    if not any(token.key in _LEADERS for token in tokens):
        return tokens
    return [
        token
        for at, token in enumerate(tokens)
        if token.key not in _LEADERS
        or (token.key == "." and not any(_is_leader(tokens, other) for other in (at - 1, at + 1)))
    ]


def _is_leader(tokens: list[Token], at: int) -> bool:
    return 0 <= at < len(tokens) and tokens[at].key in _LEADERS


def skip_number_of_list(tokens: list[Token], at: int) -> int:
    """The place after the number of a list's line: 2) 50 g pecans; 3. Butter 250 g.

    Args:
        tokens: of the line.
        at: after its bullet.
    Returns:
        The place; *at* without such a number.
    """
    if at + 3 >= len(tokens) or not tokens[at].text.isdigit() or tokens[at + 1].key not in (".", ")"):
        return at
    spaced = tokens[at + 2].start > tokens[at + 1].end
    more = any(token.kind in ("number", "vulgar") for token in tokens[at + 2 :])
    return at + 2 if spaced and more else at

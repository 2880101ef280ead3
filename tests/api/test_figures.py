"""One figure as text: it is read back as the same double in any locale."""

import re
from decimal import Decimal

from hypothesis import example, given
from hypothesis import strategies as st

from api.wire.figures import locale_proof, plain

CELL_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)E(0|-[1-9][0-9]*)")


@given(st.floats(allow_nan=False, allow_infinity=False))
@example(3.4)
@example(1e22)
@example(5e-324)
@example(-0.0)
def test_numbers_read_back_as_the_same_double(number: float) -> None:
    proof = locale_proof(number)
    assert CELL_NUMBER.fullmatch(proof)
    assert Decimal(proof) == Decimal(plain(number)) == Decimal(repr(number))
    assert float(proof) == float(plain(number)) == number
    assert not set(plain(number)) - set("0123456789.-")


@given(st.integers(-(10**15), 10**15))
def test_whole_numbers_have_no_point(number: int) -> None:
    assert plain(number) == plain(float(number)) == str(number)
    assert locale_proof(number) == f"{number}E0"

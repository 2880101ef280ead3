"""Orders as people write them, and the size that a label names."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import DomainError
from domain.reading.orders import OrderText, parse_order
from domain.tins.sizes import find_size, only_size
from tests.strategies import LAW

WRITTEN = [
    ("round 23 x 7 cm: 3 tins", OrderText(label="round 23 x 7 cm", tins=3)),
    ("20 x 30: 36 pieces", OrderText(label="20 x 30", portions=36)),
    ("86 pieces", OrderText(label="", portions=86)),
    ("86 Stück", OrderText(label="", portions=86)),
    (" rund 26 : 2 Formen. ", OrderText(label="rund 26", tins=2)),
    ("1 tin", OrderText(label="", tins=1)),
    ("moule rond : 12 parts", OrderText(label="moule rond", portions=12)),
]


@pytest.mark.parametrize(("text", "order"), WRITTEN)
def test_an_order_is_read_as_people_write_it(text: str, order: OrderText) -> None:
    assert parse_order(text) == order


@pytest.mark.parametrize("text", ["", "x", "3", "0 tins", "3 tins 2", "tins", "3.5 tins", "9999999 tins", "x" * 300])
def test_what_is_no_order_is_refused(text: str) -> None:
    with pytest.raises(DomainError) as refusal:
        parse_order(text)
    assert refusal.value.code == "unreadable_order"


SIZES = ["rectangle 20 x 30 x 5 cm", "round 26 x 6 cm", "round 20 x 6 cm"]


@pytest.mark.parametrize(
    ("label", "size"),
    [("20 × 30", 0), ("ROUND 26 x 6 CM", 1), ("round 20", 2), ("rectangle", 0), ("round 26x6cm", 1)],
)
def test_a_label_names_the_only_size_that_contains_it(label: str, size: int) -> None:
    assert find_size(label, SIZES) == SIZES[size]


@pytest.mark.parametrize("label", ["round", "moon", "x"])
def test_a_label_of_no_or_of_several_sizes_is_refused(label: str) -> None:
    with pytest.raises(DomainError) as refusal:
        find_size(label, SIZES)
    assert (refusal.value.code, refusal.value.candidates) == ("unknown_label", tuple(SIZES))


@pytest.mark.parametrize(
    ("label", "size"),
    [("27,5 x 18 cm", "rectangle 27.5 x 18 cm"), ("rund 26 x 6", "round 26 x 6 cm"), ("30 x 20", SIZES[0])],
)
def test_a_label_names_the_size_that_is_the_same_tin(label: str, size: str) -> None:
    assert find_size(label, [*SIZES, "rectangle 27.5 x 18 cm"]) == size


@pytest.mark.parametrize("label", ["", "Mill Lane shop", "Café 7", "round 26", "ROUND 26 x 6 cm", "26 cm round"])
def test_where_one_size_is_baked_a_name_is_the_customers(label: str) -> None:
    assert only_size(label, "round 26 x 6 cm") == "round 26 x 6 cm"


@pytest.mark.parametrize(
    "label", ["round 20 x 7 cm", "20 x 30", "square 23", "rund 24 cm", "ring 25 x 8 cm", "round 26 x 7 cm"]
)
def test_where_one_size_is_baked_another_tin_is_refused(label: str) -> None:
    with pytest.raises(DomainError) as refusal:
        only_size(label, "round 26 x 6 cm")
    assert refusal.value.code == "unknown_label"


@LAW
@given(text=st.text(max_size=60) | st.from_regex(r"[a-z0-9 x]{0,20}:? ?[0-9]{0,8} ?(tins|pieces|x)?", fullmatch=True))
def test_any_text_is_an_order_or_refused(text: str) -> None:
    with contextlib.suppress(DomainError):
        order = parse_order(text)
        assert (order.tins is None) != (order.portions is None)

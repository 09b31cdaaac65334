"""A choice of what to look at, as a key and as parameters."""

from datetime import date

from dashboard.filters import EVERYTHING, Filters


def test_equal_choices_are_one_key_whatever_their_order():
    one, other = Filters(regions=("Ridge", "Flats")), Filters(regions=("Flats", "Ridge", "Flats"))
    assert one == other
    assert hash(one) == hash(other)


def test_an_empty_choice_means_all():
    assert EVERYTHING.is_empty
    assert set(EVERYTHING.parameters().values()) == {None}


def test_a_choice_is_bound_as_it_is():
    chosen = Filters(first_day=date(2026, 4, 1), builders=("Birch", "unknown"))
    assert not chosen.is_empty
    assert chosen.parameters() | {"first_day": None, "builders": None} == EVERYTHING.parameters()
    assert chosen.parameters()["first_day"] == date(2026, 4, 1)
    assert chosen.parameters()["builders"] == ["Birch", "unknown"]

"""A large table against a plain dictionary: whatever is set, taken out and copied, both hold the same."""

from __future__ import annotations

import pickle

from hypothesis import given, settings
from hypothesis import strategies as st

from model.bay.large_table import LARGE, MAX_OVER, LargeTable, copied

STEPS = st.lists(st.tuples(st.integers(0, LARGE + 400), st.booleans(), st.booleans()), max_size=5 * MAX_OVER)


@settings(max_examples=60, deadline=None)
@given(st.integers(LARGE - 2, LARGE + 200), STEPS)
def test_it_holds_what_a_dictionary_holds_and_copies_stay_apart(
    count: int, steps: list[tuple[int, bool, bool]]
) -> None:
    plain = {key: f"#{key}" for key in range(count)}
    table = copied(plain)
    earlier: list[tuple[object, dict[int, str]]] = []
    for key, puts, copies in steps:
        if copies:
            earlier.append((table, dict(plain)))
            table = copied(table)
        if puts:
            table[key] = plain[key] = f"#{key}, anew"
        else:
            assert table.pop(key, None) == plain.pop(key, None)
        assert table.get(key) == plain.get(key)
        assert (key in table, len(table)) == (key in plain, len(plain))
    assert table == plain
    assert sorted(table) == sorted(plain)
    assert pickle.loads(pickle.dumps(table)) == plain
    assert all(before == kept for before, kept in earlier)


def test_small_tables_are_plain_and_large_ones_are_not() -> None:
    assert type(copied(dict.fromkeys(range(LARGE), 1))) is dict
    assert type(copied(dict.fromkeys(range(LARGE + 1), 1))) is LargeTable

"""Long tables show their first rows and fold the rest."""

import pandas as pd
import pytest

from homestead.screen import notes


def rows_of(n):
    return pd.DataFrame({"Days": [f"row {number}" for number in range(n)]})


@pytest.mark.parametrize(("rows_n", "folded_n"), [(0, 0), (8, 0), (9, 1), (47, 39)])
def test_eight_rows_stand_before_the_fold_and_none_is_lost(rows_n, folded_n):
    text = notes.Sheet(rows_of(rows_n), "Parts")._repr_html_()
    before, fold, after = text.partition("<details>")
    assert [before.count("<td"), after.count("<td")] == [rows_n - folded_n, folded_n]
    assert bool(fold) == bool(folded_n)
    assert all(f"row {number}<" in text for number in range(rows_n))


def test_numbers_of_a_figure_stand_whole_in_their_fold():
    text = notes.Numbers(rows_of(20), "A figure")._repr_html_()
    assert text.count("<details>") == 1 and text.count("<td") == 20

"""Tables saved as CSV: what is written is what came."""

import csv
import io
from html.parser import HTMLParser
from urllib.parse import unquote

import pandas as pd

from homestead.screen import notes
from homestead.screen.readable import csv_link, csv_text


def test_csv_reads_back_and_no_text_is_a_formula():
    table = pd.DataFrame(
        {"Name": ['=cmd|" "!A1', "a, b", "ü"], "Days": [1, 2, -3]}, index=["+x", "y", "z"]
    )
    table.index.name = "Row"
    rows = list(csv.reader(io.StringIO(csv_text(table))))
    assert rows[0] == ["Row", "Name", "Days"]
    assert rows[1] == ["'+x", '\'=cmd|" "!A1', "1"]
    assert rows[2:] == [["y", "a, b", "2"], ["z", "ü", "-3"]]


def test_link_holds_the_same_and_its_title_is_escaped():
    found = {}

    class Reader(HTMLParser):
        def handle_starttag(self, tag, attrs):
            found.update(dict(attrs))

    table = pd.DataFrame({"A": [1, 2]}, index=pd.Index(["x", "y"], name="n"))
    Reader().feed(csv_link(table, '<Sun & "rain">'))
    assert found["download"] == "sun-rain.csv"
    head, _, content = found["href"].partition(",")
    assert head == "data:text/csv;charset=utf-8"
    assert unquote(content) == "\ufeff" + csv_text(table)
    assert "Save as CSV" in notes.Numbers(table, "t")._repr_html_()

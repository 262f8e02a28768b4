"""Facts in words: every number of the shared reference folder is carried, with where it comes from."""

import re

import pytest
from shared_tables import FACTS, rows_of

from umbo import refdata

pytestmark = pytest.mark.shared


def in_hertz(match):
    return " ".join(f"{float(number) * 1000:g}" for number in match.groups() if number) + " Hz"


def numbers(text):
    """Every number in a text, without its sign, kilohertz turned into hertz."""
    text = re.sub(r"([\d.]+)(?:-([\d.]+))? kHz", in_hertz, text)
    return {abs(float(number)) for number in re.findall(r"\d+(?:\.\d+)?", text)}


@pytest.mark.parametrize("name", list(FACTS))
def test_every_number_of_a_fact_is_carried(shared_reference, name):
    carried = set()
    extra = ("recd_prediction_band",) if name == "recd_literature.csv" else ()
    for quantity in (FACTS[name], *extra):
        for source in refdata.available(quantity):
            found = refdata.table(quantity, source=source)
            side = found.sidecar
            for column in ("value", "value_to", "sd", "half_width_db", "n_ears"):
                if column in found.columns:
                    carried |= {abs(float(v)) for v in found.column(column)[found.present(column)]}
            words = [side.subjects, *side.notes, *side.not_found, side.edition]
            words += [cell for row in found.cells for cell in row]
            carried |= set().union(*(numbers(text) for text in words))
    for row in rows_of(shared_reference, name):
        for number in numbers(row["value"]):
            assert number in carried, (row, number)


@pytest.mark.parametrize("name", list(FACTS))
def test_nothing_recalled_has_become_something_read(shared_reference, name):
    recalled = sum(row["status"].startswith("from memory") for row in rows_of(shared_reference, name))
    statuses = [
        s for source in refdata.available(FACTS[name]) for s in refdata.table(FACTS[name], source=source).text("status")
    ]
    assert sum("memory" in status for status in statuses) >= recalled


def edges(cell):
    """Read "-2…+5" or "±5" as a pair."""
    if cell.startswith("±"):
        return -float(cell[1:]), float(cell[1:])
    low, high = cell.replace("−", "-").split("…")
    return float(low), float(high)


def test_plausibility_band_is_the_one_of_the_job_description(shared_reference):
    text = (shared_reference.parent / "JOB.md").read_text(encoding="utf-8")
    lines = text[text.index("### 3.2") : text.index("### 3.3")].splitlines()
    printed = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("|")]
    assert printed[0] == ["Age", "250", "500", "1k", "2–4k", "6k"]
    band = refdata.table("recd_plausibility_band", source="engineering-judgement")
    found = list(zip(band.column("low_db"), band.column("high_db"), strict=True))
    assert found == [edges(cell) for row in printed[2:] for cell in row[1:]]
    columns = ("frequency_from_hz", "frequency_to_hz")
    assert list(zip(*(band.column(name)[:5] for name in columns), strict=True)) == [
        (250, 250),
        (500, 500),
        (1000, 1000),
        (2000, 4000),
        (6000, 6000),
    ]
    assert band.column("age_from_months")[::5].tolist() == [0, 3, 12, 36, 84]

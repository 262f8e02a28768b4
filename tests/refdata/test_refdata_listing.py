"""The list of tables, the lines above a printed table, the page about them."""

import pytest

from umbo import refdata
from umbo.errors import TableError


def test_catalogue_has_a_line_for_every_table():
    entries = refdata.catalogue()
    assert [(e.quantity, e.source) for e in entries] == [
        (q, s) for q in refdata.available() for s in refdata.available(q)
    ]
    assert all(e.what and e.edition and e.obtained for e in entries)


def test_catalogue_of_one_quantity_says_how_it_was_obtained():
    ansi, iso, high = refdata.catalogue("retspl_insert")
    assert ansi.obtained == ("from memory",)
    assert iso.obtained == ("2 sources + memory", "1 source + memory", "from memory")
    assert high.obtained == ("2 sources",)
    assert iso.name == "retspl_insert/iso-389-2-1994"
    assert iso.columns == ("er3a_oes_db_spl", "er3a_ha2_db_spl")
    assert iso.rows == 23


def test_catalogue_of_an_unknown_quantity():
    with pytest.raises(TableError, match="no such quantity"):
        refdata.catalogue("recd_of_giants")


def test_header_lines_state_plane_disagreements_and_gaps():
    lines = refdata.header_lines(refdata.table("retspl_supra_aural", source="iso-389-1-1998"))
    assert lines[0] == "table: retspl_supra_aural/iso-389-1-1998"
    assert any("plane coupler:iec-60318-3" in line for line in lines)
    assert any(line.startswith("disagreement: TDH39 at 750 Hz: 7.5 dB here") for line in lines)
    transfer = refdata.header_lines(refdata.table("field_to_eardrum", source="iso-11904-1-2002"))
    assert any("plane free_field to eardrum" in line for line in transfer)


def test_cells_are_as_printed():
    found = refdata.table("nal_r", source="byrne-dillon-1986")
    assert found.cells[0] == ("250", "-17", "1 source + memory")


def test_the_page_names_every_table_column_and_reference():
    page = refdata.describe_tables()
    for entry in refdata.catalogue():
        assert f"### `{entry.quantity}` from `{entry.source}`" in page
        assert all(f"| `{column}` |" in page for column in entry.columns)
    for key in refdata.bibliography():
        assert f"**{key}**" in page
    assert all(f"**{word}**" in page for word in refdata.status_words())
    assert page == refdata.describe_tables()


def test_reference_refuses_an_unknown_key():
    with pytest.raises(TableError, match="cite 'nobody-1900'"):
        refdata.reference("nobody-1900")

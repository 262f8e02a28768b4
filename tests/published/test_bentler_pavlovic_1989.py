"""Bentler & Pavlovic 1989: minimum audible pressure at the eardrum from thresholds in a free field."""

import numpy as np
import pytest

from umbo import refdata


def test_map_is_free_field_threshold_plus_transfer_plus_one_ear():
    heard = refdata.table("map_eardrum", source="bentler-pavlovic-1989")
    field = refdata.table("sound_field_threshold", source="iso-389-7-2005")
    transfer = refdata.table("field_to_eardrum", source="ansi-s3.5-1997")
    frequency_hz, level_db = heard.series("map_eardrum_db_spl")
    checked = frequency_hz[frequency_hz >= transfer.column("frequency_hz")[0]]
    assert checked.size == frequency_hz.size - 1  # only 125 Hz lies below the transfer's first band
    expected = [
        field.at(f, "free_field_binaural_0deg_db_spl") + transfer.at(f, "ansi_s3p5_free_field_to_eardrum_db") + 1.7
        for f in checked
    ]
    assert level_db[1:] == pytest.approx(expected, abs=0.05)
    # At 125 Hz the transfer is taken as 0 dB.
    assert level_db[0] == pytest.approx(field.at(125, "free_field_binaural_0deg_db_spl") + 1.7, abs=0.05)
    assert np.all(np.diff(frequency_hz) > 0)

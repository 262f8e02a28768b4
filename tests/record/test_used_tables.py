"""An answer names the tables that took part in it, and no others."""

import pytest
from curve_case import s1_case
from fitted_case import fitted_case

from umbo.interchange import open_case
from umbo.record import verify_answer
from umbo.session import run


def tables_of(folder, *changes, without_targets=False):
    path = folder / "case.toml"
    text = path.read_text()
    if without_targets:
        text = text[: text.index("[[target]]")]
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    path.write_text(text)
    case = open_case(folder)
    return {line.partition(":")[0] for line in verify_answer(run(case.plan, case)).tables}


def test_imported_targets_name_no_prescription(tmp_path):
    found = tables_of(fitted_case(tmp_path / "case"))
    assert "retspl_insert/ansi-s3.6-undated" in found
    assert {"recd_adult_mean/derived-iso-389-2-1994", "recd_plausibility_band/engineering-judgement"} <= found
    assert {"fit_tolerances/bsa-undated", "fit_tolerances/mccreery-2013"} <= found
    assert "recd_age_limit/engineering-judgement" in found
    assert not {name for name in found if name.startswith(("nal_r", "prescription_constants", "nhl_correction"))}
    assert "recd_facts/munro-buttfield-2005" not in found  # one ear is compared with nothing


def test_a_prescription_names_its_constants_and_the_speech_it_is_for(tmp_path):
    change = ('prescription = "none"', 'prescription = "nal_r"')
    found = tables_of(fitted_case(tmp_path / "case", age_months=3), change, without_targets=True)
    assert {"nal_r/byrne-dillon-1986", "prescription_constants/byrne-dillon-1986"} <= found
    assert {"ltass/byrne-1994", "field_to_eardrum/ansi-s3.5-1997", "external_ear_resonance/keefe-1994"} <= found


def test_an_adults_open_ear_is_moved_by_no_table(tmp_path):
    change = ('prescription = "none"', 'prescription = "nal_r"')
    found = tables_of(fitted_case(tmp_path / "case", age_months=480), change, without_targets=True)
    assert "field_to_eardrum/ansi-s3.5-1997" in found
    assert not {name for name in found if name.startswith("external_ear_resonance")}


def test_a_correction_set_is_named(tmp_path):
    change = ('correction = "scenario protocol"', 'correction = "tone-pip-10-10-5-0"')
    found = tables_of(s1_case(tmp_path / "s1"), change)
    assert {name for name in found if name.startswith("nhl_correction/")}


@pytest.mark.parametrize(
    ("guidance", "is_adults"), [("mccreery_2013", False), ("wiseman_2023", False), ("bsa", True), ("project", True)]
)
def test_the_guidance_is_named(tmp_path, guidance, is_adults):
    """Every rms is held against both bounds of children; the tolerances of adults take part only where chosen."""
    found = tables_of(fitted_case(tmp_path / "case", guidance=guidance))
    assert {"fit_tolerances/mccreery-2013", "fit_tolerances/wiseman-2023"} <= found
    assert ("fit_tolerances/bsa-undated" in found) is is_adults


def test_two_ears_name_what_they_are_compared_by(tmp_path):
    found = tables_of(fitted_case(tmp_path / "case", {"right": {}, "left": {}}))
    assert {"recd_facts/munro-buttfield-2005", "fit_tolerances/engineering-judgement"} <= found

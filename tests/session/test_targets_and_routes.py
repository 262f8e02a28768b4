"""Which targets, limits and threshold routes a plan leads to, with the numbers where a published value gives them."""

import pytest
from curve_case import HZ, numbers, s1_case

from umbo.interchange import open_case
from umbo.session import run


def right(folder):
    case = open_case(folder)
    return run(case.plan, case).ears["right"]


def without(folder, first, last=None):
    """Cut the text from one heading up to another, or to the end."""
    text = (folder / "case.toml").read_text()
    start = text.index(first)
    stop = text.index(last, start + 1) if last else len(text)
    (folder / "case.toml").write_text(text[:start] + text[stop:])
    return folder


def test_nal_r_is_the_target_where_none_is_imported(tmp_path):
    folder = s1_case(tmp_path / "s1", changes=(('prescription = "none"', 'prescription = "nal_r"'),))
    ear = right(without(folder, '[[target]]\nname = "speech 65"', '[[target]]\nname = "limit"'))
    made = [target for target in ear.targets if target.input_db_spl is not None]
    assert [target.input_db_spl for target in made] == [55.0, 65.0, 75.0]
    assert str(made[0].method).startswith("NAL-R, 1986")
    # the thresholds are 50, 55, 60, 65 dB eHL: X = 0.05 (50 + 55 + 60) = 8.25 dB
    # target 65 at 1 kHz = speech + REUG + X + 0.31 x 55 + 1; speech 53.7 - 5 (table); REUG: a resonance of
    # 4200 Hz at three months against 2642 Hz puts 1 kHz where an adult has 629 Hz: 2.4 dB (ANSI S3.5 Table 3)
    assert made[1].level.value_at(1000.0) == pytest.approx(53.7 - 5 + 2.396 + 8.25 + 0.31 * 55 + 1, abs=0.01)
    assert "insertion_gain_for_child" in [finding.code for finding in ear.findings]
    assert ear.speech[0].deviation is not None


def test_without_a_target_nothing_is_compared(tmp_path):
    ear = right(without(s1_case(tmp_path / "s1"), '[[target]]\nname = "speech 65"', '[[target]]\nname = "limit"'))
    assert ear.speech[0].deviation is None
    assert "No speech was compared with a target." in ear.verdict.reasons


def test_without_a_limit_maximum_output_cannot_be_told(tmp_path):
    ear = right(without(s1_case(tmp_path / "s1"), '[[target]]\nname = "limit"'))
    assert ear.maximum.limit is None
    judgement = next(j for j in ear.verdict.judgements if j.criterion == "maximum_output")
    assert (str(judgement.outcome), "no discomfort limit" in judgement.sentence) == ("cannot_tell", True)


def test_measured_discomfort_comes_before_an_imported_limit(tmp_path):
    discomfort = (
        '[ear.right.discomfort]\nscale = "HL"\ntransducer = "insert"\ncoupler = "ha1"\ncoupling = "foam_tip"\n'
        f"frequency_hz = {numbers(HZ)}\nlevel_db = [90, 95, 95, 95]\n\n[ear.right.fitting]"
    )
    ear = right(s1_case(tmp_path / "s1", changes=(("[ear.right.fitting]", discomfort),)))
    # 90 dB HL + RETSPL HA-1 6.0 + RECD 9
    assert ear.maximum.limit.value_at(500.0) == pytest.approx(105.0, abs=0.01)
    assert ear.maximum.limit_source.startswith("discomfort levels")


@pytest.mark.parametrize(
    ("transducer", "route", "at_500"),
    [
        # HL 45 at 500 Hz: MAF 4.4 + REUG 1.4, an adult's at 315 Hz; minimum audible pressure 7.9 dB at 500 Hz
        ("sound_field", "MAF", 45 + 4.4 + 1.4),
        ("supra_aural", "REDD", 45 + 7.9),
        ("circumaural", "REDD", 45 + 7.9),
    ],
)
def test_thresholds_take_the_route_of_their_transducer(transducer, route, at_500, tmp_path):
    changes = (
        ('scale = "nHL"\ncorrection = "scenario protocol"', 'scale = "HL"'),
        ('transducer = "insert"', f'transducer = "{transducer}"'),
        (f"level_db = {numbers((60, 65, 65, 65))}", f"level_db = {numbers((45, 45, 45, 45))}"),
    )
    ear = right(s1_case(tmp_path / "s1", changes=changes))
    assert route in ear.thresholds.route
    assert ear.thresholds.at_eardrum.value_at(500.0) == pytest.approx(at_500, abs=0.1)


def test_severe_evoked_thresholds_are_warned_about(tmp_path):
    ear = right(s1_case(tmp_path / "s1", nhl=(75, 80, 85, 90)))
    assert "estimate_in_severe_loss" in [finding.code for finding in ear.findings]

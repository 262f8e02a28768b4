"""OSPL90, full-on gain, reference test gain and frequency range, from sweeps made in plain numpy."""

import numpy as np
import pytest
from aid_parts import CAL, EXACT, HA1, RATE_HZ, amplitude_fs, conditions, curve, recording, settings, tags

from umbo.aid import (
    HFA_HZ,
    Item,
    Volume,
    constant,
    full_on_gain,
    gain_of,
    output_90,
    reference_gain,
    reference_response,
)
from umbo.calibration import sweep_spectrum
from umbo.core import Grid, Outcome, Plane, PointState
from umbo.curves import SweepReading
from umbo.errors import InputError

FULL = settings(Volume.FULL_ON)
START_HZ, STOP_HZ, PERIOD_S = 80.0, 20000.0, 0.75


def sweep(amplitude):
    t = np.arange(int(0.6 * RATE_HZ)) / RATE_HZ
    rate = 0.6 / np.log(STOP_HZ / START_HZ)
    out = np.zeros(int(PERIOD_S * RATE_HZ))
    out[: t.size] = amplitude * np.sin(2 * np.pi * START_HZ * rate * (np.exp(t / rate) - 1))
    out[:480] *= np.sin(np.linspace(0, np.pi / 2, 480)) ** 2
    return out


def response_db(hz):
    """A gain with a peak at 1.5 kHz and a fall on both sides."""
    octaves = np.log2(np.maximum(hz, 1.0) / 1500)
    return 45.0 + 6 * np.exp(-((octaves / 0.5) ** 2)) - 2.5 * octaves**2


def through_aid(stimulus):
    hz = np.fft.rfftfreq(stimulus.size, 1 / RATE_HZ)
    return np.fft.irfft(np.fft.rfft(stimulus) * 10 ** (np.maximum(response_db(hz), -80) / 20), stimulus.size)


def reading(input_db, rng=None, noise_pa=0.0, calibration=EXACT, repeats=3):
    """A sweep with this level at the microphone, read in the coupler."""
    stimulus = sweep(0.5)
    out = through_aid(stimulus) / 0.5 * float(amplitude_fs(input_db))
    samples = np.tile(out, repeats)
    if rng is not None:
        samples = samples + noise_pa / calibration.pa_per_full_scale * rng.standard_normal(samples.size)
    spectrum = sweep_spectrum(
        recording(samples),
        recording(stimulus, "sweep"),
        calibration,
        repeats=repeats,
        start_hz=START_HZ,
        stop_hz=STOP_HZ,
    )
    return SweepReading(spectrum, HA1, tags(), clipped=False, findings=())


def test_output_and_gain_are_recovered(show):
    """60 draws with noise: OSPL90 and gain within 0.3 dB, 2 u covers about 95 %."""
    rng = np.random.default_rng(1)
    grid = Grid.twelfth_octave()
    inside = (grid.frequency_hz > 200) & (grid.frequency_hz < 7000)
    truth = response_db(grid.frequency_hz)[inside]
    clean = reading(50.0).on(grid).level.level_db[inside] - 50.0
    assert clean == pytest.approx(truth, abs=0.1)
    errors, covered = [], []
    for _ in range(60):
        level = reading(50.0, rng, noise_pa=0.02).on(grid).level
        gain = gain_of(level, conditions(input_db_spl=50.0, u=0.0, set_to=FULL))
        error = gain.level_db[inside] - clean
        errors.append(error)
        covered.append(np.abs(error) <= 2 * gain.u_db[inside])
        hfa = full_on_gain(level, conditions(input_db_spl=50.0, u=0.0, set_to=FULL)).high_frequency_average
        assert hfa.value == pytest.approx(np.mean([response_db(f) for f in HFA_HZ]), abs=0.3)
    rms = np.sqrt(np.mean(np.square(errors)))
    show(f"gain rms error {rms:.2f} dB, 2 u covers {100 * np.mean(covered):.0f} %")
    assert rms < 0.3
    assert 0.92 <= np.mean(covered) <= 0.99


def test_ospl90_maximum_and_averages():
    level = reading(90.0, calibration=CAL).on(Grid.twelfth_octave()).level
    found = output_90(level, conditions(input_db_spl=90.0, set_to=FULL), special_hz=(1584.9, 2511.9, 3981.1))
    peak = 90 + response_db(np.geomspace(500, 4000, 500))
    assert found.maximum.value == pytest.approx(peak.max(), abs=0.1)
    assert found.maximum.frequency_hz == pytest.approx(1500, rel=0.06)
    assert found.high_frequency_average.value == pytest.approx(90 + np.mean([response_db(f) for f in HFA_HZ]), abs=0.1)
    assert found.special_average.value == pytest.approx(
        90 + np.mean([response_db(f) for f in (1584.9, 2511.9, 3981.1)]), abs=0.1
    )
    assert [finding.code for finding in found.findings] == ["swept_limiter"]
    # the calibration is common to the three frequencies: it does not average out
    assert found.high_frequency_average.u == pytest.approx(0.2, abs=0.01)


def test_conditions_that_are_not_the_definition_s_are_named():
    found = output_90(curve(100.0), conditions(input_db_spl=85.0), special_hz=(1000.0, 1250.0, 1600.0))
    assert [finding.code for finding in found.findings] == [
        "other_input_level",
        "not_full_on",
        "special_average_spacing",
        "swept_limiter",
    ]
    on = conditions(input_db_spl=90.0, set_to=settings(Volume.FULL_ON, compression="on"))
    assert [finding.code for finding in output_90(curve(100.0), on).findings] == ["stimulus_matters", "swept_limiter"]
    unknown = conditions(input_db_spl=90.0, set_to=settings(Volume.FULL_ON, compression="unknown"))
    assert "not known to be off" in output_90(curve(100.0), unknown).findings[0].text


def test_maximum_leaves_out_what_cannot_be_used_and_averages_say_so():
    grid = Grid.twelfth_octave()
    at = grid.index(1000)
    level = curve(100 + 20 * (np.arange(grid.size) == at))
    marked = level.marked(PointState.CLIPPED, np.arange(grid.size) == at, "clipped here")
    found = output_90(marked, conditions(input_db_spl=90.0, set_to=FULL))
    assert found.maximum.value == 100.0
    assert found.high_frequency_average.doubt == "clipped: clipped here"


def test_a_level_elsewhere_or_without_an_input_is_refused():
    with pytest.raises(InputError, match="state the coupler that was used"):
        output_90(curve(100.0, plane=Plane.coupler("ha2")), conditions(input_db_spl=90.0))
    with pytest.raises(InputError, match="has no stated level"):
        gain_of(curve(100.0), conditions(input_db_spl=None))


def test_input_level_is_a_cause_of_its_own():
    gain = gain_of(curve(100.0), conditions(u=0.3))
    sizes = {line.id: line.u_db for line in gain.budget(1000).lines}
    assert sizes == {"input_level:box": pytest.approx(0.3), "calibration:coupler_mic": 0.2, "noise:output": 0.0}
    assert gain.start == Plane.aid_microphone()
    assert gain.end == HA1


@pytest.mark.parametrize(("hfa_90", "full", "set_to", "wanted", "outcome"), [
    (112.0, 48.0, 35.5, 35.0, Outcome.PASS),
    (112.0, 48.0, 39.0, 35.0, Outcome.FAIL),
    (112.0, 30.0, 30.0, 30.0, Outcome.PASS),
    (112.0, 48.0, 36.8, 35.0, Outcome.CANNOT_TELL),
])  # fmt: skip
def test_reference_test_gain(hfa_90, full, set_to, wanted, outcome):
    """HFA-OSPL90 minus 77 dB, or the full-on gain if that is lower (from memory of ANSI S3.22)."""
    high = output_90(curve(hfa_90), conditions(input_db_spl=90.0, set_to=FULL)).high_frequency_average
    gain = full_on_gain(curve(50 + full), conditions(input_db_spl=50.0, set_to=FULL)).high_frequency_average
    found = reference_gain(high, gain, curve(60 + set_to), conditions())
    assert found.wanted_db == pytest.approx(wanted)
    assert found.measured.value == pytest.approx(set_to)
    assert found.is_full_on is (full < hfa_90 - 77)
    assert found.outcome is outcome
    assert (found.finding is None) is (outcome is Outcome.PASS)


def test_frequency_range_of_a_closed_form():
    """24 dB an octave on both sides of 500 Hz and 4 kHz: 20 dB down lies 20/24 octave further out."""
    hz = Grid.twelfth_octave().frequency_hz
    values = 100 - 24 * np.maximum(np.log2(500 / hz), 0) - 24 * np.maximum(np.log2(hz / 4000), 0)
    found = reference_response(curve(values, u_db=0.1), conditions())
    assert found.average.value == pytest.approx(100.0)
    assert found.low.value == pytest.approx(500 / 2 ** (20 / 24), rel=1e-3)
    assert found.high.value == pytest.approx(4000 * 2 ** (20 / 24), rel=1e-3)
    # u: 0.1 dB at the crossing (of two points) and 0.1/sqrt(3) of the average over 24 dB an octave
    octave = found.high.u / found.high.value / np.log(2)
    assert 0.07 / 24 < octave < 0.13 / 24
    assert found.low.item is Item.RESPONSE_LOW
    assert not found.low.is_bound


def test_range_that_runs_into_the_coupler_s_end_is_a_bound():
    grid = Grid.twelfth_octave()
    level = curve(100.0).marked(PointState.OUTSIDE_COUPLER, grid.frequency_hz > 8000, "defined up to 8 kHz")
    found = reference_response(level, conditions())
    assert found.high.is_bound
    assert found.high.value == pytest.approx(7943, rel=0.01)
    assert "defined up to 8 kHz" in found.high.doubt
    assert found.low.is_bound
    assert constant("frequency_range_offset") == 20

"""Distortion, input-output curves, attack and release from tones made in plain numpy."""

import numpy as np
import pytest
from aid_parts import (
    CAL,
    EXACT,
    HA1,
    RATE_HZ,
    amplitude_fs,
    conditions,
    curve,
    noise_fs,
    recording,
    settings,
    tags,
    tone,
)

from umbo.aid import (
    Item,
    StimulusKind,
    attack_release,
    distortion_from_sweep,
    distortion_from_tones,
    expansion_check,
    gain_of,
    input_output,
    omitted_distortion,
)
from umbo.core import Grid, Outcome, Plane
from umbo.curves import HarmonicCurve, tone_series, tone_steps
from umbo.errors import InputError, RecordingError

TONES = conditions(StimulusKind.TONES, None)
STEPS = conditions(StimulusKind.LEVEL_STEPS, None)


def series(samples, steps, calibration=EXACT, repeats=1, settle_s=0.1, plane=HA1):
    return tone_series(
        recording(samples), steps, calibration, repeats=repeats, settle_s=settle_s, highest_harmonic=3, plane=plane,
        tags=tags(stimulus="tones"),
    )  # fmt: skip


def distorted(steps, gain_db, second, third):
    """Tones with harmonics, 5 ms of delay, and fades of 5 ms inside each step."""
    parts = []
    for step in steps:
        size = round((step.stop_s - step.start_s) * RATE_HZ)
        angle = 2 * np.pi * step.frequency_hz * np.arange(size) / RATE_HZ
        part = np.sin(angle) + second * np.sin(2 * angle + 1) + third * np.sin(3 * angle)
        fade = np.minimum(np.minimum(np.arange(size), np.arange(size)[::-1]) / 240, 1.0)
        parts.append(amplitude_fs(step.input_db_spl + gain_db) * part * fade)
    return np.roll(np.concatenate(parts), 240)


def test_distortion_from_tones(show):
    """50 draws in noise: within 0.2 percentage points, 2 u covers about 95 %."""
    steps = tone_steps((500.0, 800.0, 1600.0), (70.0, 70.0, 65.0), 0.6)
    clean = distorted(steps, 40.0, 0.03, 0.04)
    rng = np.random.default_rng(6)
    errors, covered, levels = [], [], []
    for _ in range(50):
        found = series(clean + noise_fs(75.0, clean.size, rng), steps)
        for each in distortion_from_tones(found, TONES):
            errors.append(each.total.value - 5.0)  # 3-4-5
            # these tones have no uneven chain behind them: only the noise is at work
            noise = next(
                cause.contribution_db[0] for cause in each.total.uncertainty.components if cause.across == "none"
            )
            covered.append(abs(each.total.value - 5.0) <= 2 * noise)
            assert each.total.u > noise
        levels.append(np.abs(found.level_db - [110, 110, 105]) <= 2 * found.uncertainty.u_db)
    show(f"THD rms error {np.std(errors):.3f} percentage points, 2 u covers {100 * np.mean(covered):.0f} %")
    assert np.sqrt(np.mean(np.square(errors))) < 0.2
    assert 0.91 <= np.mean(covered) <= 0.99
    assert np.mean(levels) >= 0.91


def test_distortion_states_what_it_holds_for():
    steps = tone_steps((500.0, 800.0, 1600.0), (70.0, 60.0, 65.0), 0.6)
    found = distortion_from_tones(series(distorted(steps, 40.0, 0.03, 0.0), steps), TONES)
    assert [each.total.frequency_hz for each in found] == [500, 800, 1600]
    assert [each.total.conditions.input_db_spl for each in found] == [70, 60, 65]
    assert found[0].harmonic_percent[2] == pytest.approx(3.0, abs=0.01)
    assert found[0].harmonic_percent[3] == pytest.approx(0.0, abs=0.05)
    assert [len(each.findings) for each in found] == [0, 1, 0]
    assert "the definition asks for 70 dB" in found[1].findings[0].text
    with pytest.raises(InputError, match="state the coupler that was used"):
        distortion_from_tones(series(distorted(steps, 40.0, 0.03, 0.0), steps), conditions(plane=Plane.coupler("ha2")))


class SweptHarmonics:
    """A reading with known harmonics."""

    name = "sweep"

    def harmonics(self, grid):
        second = np.full(grid.size, 20 * np.log10(0.03))
        third = np.full(grid.size, 20 * np.log10(0.04))
        known = grid.frequency_hz < 1500
        return {
            2: HarmonicCurve(second, known),
            3: HarmonicCurve(third, known),
            4: HarmonicCurve(np.zeros(grid.size), known),
        }


def test_distortion_from_a_sweep():
    low, high = distortion_from_sweep(SweptHarmonics(), np.array([800.0, 1600.0]), conditions(input_db_spl=70.0))
    assert low.total.value == pytest.approx(5.0, abs=1e-6)  # the fourth harmonic does not count
    assert low.total.doubt == ""
    assert low.harmonic_percent == {2: pytest.approx(3.0), 3: pytest.approx(4.0)}
    assert high.total.doubt == "no harmonic of the sweep stands above its noise here"


def test_distortion_may_be_omitted_where_the_response_rises():
    hz = Grid.twelfth_octave().frequency_hz
    rising = gain_of(curve(60 + 14 * np.log2(hz / 500)), conditions())
    assert "rises by 14 dB" in omitted_distortion(rising, 500.0).text
    assert omitted_distortion(gain_of(curve(60 + 10 * np.log2(hz / 500)), conditions()), 500.0) is None


def compressed(level_db, knee=55.0, ratio=2.0, gain=40.0, expansion=1.0, below=35.0):
    out = level_db + gain - (1 - 1 / ratio) * np.maximum(level_db - knee, 0.0)
    return out - (expansion - 1) * np.maximum(below - level_db, 0.0)


def stepped(levels_in, levels_out, frequency_hz=2000.0):
    return np.concatenate([tone(frequency_hz, level, 0.25) for level in levels_out]), tone_steps(
        (frequency_hz,), levels_in, 0.25
    )


def test_compression_ratio_and_knee(show):
    """60 random compressors in noise: ratio within 5 %, 2 u covers about 95 %."""
    rng = np.random.default_rng(2)
    levels = np.arange(40.0, 91.0, 5.0)
    errors, covered, knees = [], [], []
    for _ in range(60):
        knee, ratio = rng.uniform(50, 65), rng.uniform(1.4, 3.5)
        samples, steps = stepped(levels, compressed(levels, knee, ratio) + 0.1 * rng.standard_normal(levels.size))
        found = input_output(series(samples, steps), STEPS)
        errors.append(found.ratio.value / ratio - 1)
        covered.append(abs(found.ratio.value - ratio) <= 2 * found.ratio.u)
        knees.append(abs(found.knee.value - knee) <= 2 * found.knee.u)
    show(f"ratio rms error {100 * np.std(errors):.1f} %, covered {np.mean(covered):.2f}, knees {np.mean(knees):.2f}")
    assert np.sqrt(np.mean(np.square(errors))) < 0.05
    assert np.mean(covered) >= 0.9
    assert np.mean(knees) >= 0.9


def test_input_output_states_lines_limiting_and_contradictions():
    levels = np.arange(40.0, 101.0, 5.0)
    out = np.minimum(compressed(levels, 50.0, 2.0), 108.0)
    samples, steps = stepped(levels, out)
    found = input_output(series(samples, steps, CAL), STEPS)
    assert found.ratio.value == pytest.approx(2.0, rel=0.01)
    assert found.knee.value == pytest.approx(50.0, abs=0.3)
    assert found.limited_from_db_spl == pytest.approx(86.0, abs=0.5)
    assert found.expansion is None
    assert [finding.code for finding in found.findings] == ["compression_not_off"]
    # a calibration common to all steps is no uncertainty of a ratio
    assert found.ratio.u < 0.05
    linear = input_output(series(*stepped(levels[:8], levels[:8] + 30)), STEPS)
    assert (linear.ratio, linear.knee, linear.findings) == (None, None, ())


def test_steps_in_any_order_and_what_is_no_curve():
    levels = np.array([70.0, 50.0, 90.0, 60.0, 80.0])
    found = input_output(series(*stepped(levels, compressed(levels, 40.0))), STEPS)
    assert found.input_db_spl.tolist() == [50, 60, 70, 80, 90]
    assert found.ratio.value == pytest.approx(2.0, rel=0.02)
    assert found.knee is None
    with pytest.raises(InputError, match="use steps of one frequency"):
        input_output(
            series(
                np.concatenate([tone(1000.0, 90, 0.5), tone(2000.0, 90, 0.5)]),
                tone_steps((1000.0, 2000.0), (50, 50), 0.5),
            ),
            STEPS,
        )
    with pytest.raises(InputError, match="a level comes twice"):
        input_output(series(*stepped([50.0, 50.0], [90.0, 90.0])), STEPS)


@pytest.mark.parametrize(
    ("declared", "there", "outcome"),
    [
        ("on", True, Outcome.PASS),
        ("off", False, Outcome.PASS),
        ("off", True, Outcome.FAIL),
        ("on", False, Outcome.FAIL),
        ("unknown", True, Outcome.CANNOT_TELL),
    ],
)
def test_expansion(declared, there, outcome):
    levels = np.arange(20.0, 61.0, 5.0)
    samples, steps = stepped(levels, compressed(levels, 90.0, expansion=2.0 if there else 1.0))
    own = conditions(StimulusKind.LEVEL_STEPS, None, set_to=settings(expansion=declared))
    check = expansion_check(input_output(series(samples, steps), own))
    assert check.outcome is outcome
    assert check.value == pytest.approx(2.0 if there else 1.0, abs=0.05)
    if there:
        assert "below 35 dB SPL" in check.sentence


def followed(attack_tau, release_tau, rng=None):
    """55-90-55 dB at 2 kHz: 97 dB after 14 dB of overshoot, 80 dB after 17 dB of undershoot; 5 ms delay."""
    time_s = np.arange(int(3 * RATE_HZ)) / RATE_HZ - 0.005
    level = np.full(time_s.size, 80.0)
    up, down = (time_s >= 1) & (time_s < 2), time_s >= 2
    level[up] = 97.0 + 14 * np.exp(-(time_s[up] - 1) / attack_tau)
    level[down] = 80.0 - 17 * np.exp(-(time_s[down] - 2) / release_tau)
    out = amplitude_fs(level) * np.sin(2 * np.pi * 2000 * time_s)
    return out if rng is None else out + noise_fs(55.0, out.size, rng)


def test_attack_and_release(show):
    """40 random aids in noise: times within 10 % or 2 ms."""
    rng = np.random.default_rng(9)
    steps = tone_steps((2000.0,), (55.0, 90.0, 55.0), 1.0)
    good, covered = [], []
    for _ in range(40):
        attack_tau, release_tau = rng.uniform(0.003, 0.02), rng.uniform(0.03, 0.15)
        found = attack_release(recording(followed(attack_tau, release_tau, rng)), steps, CAL, STEPS, repeats=1)
        wanted = attack_tau * np.log(14 / 3), release_tau * np.log(17 / 4)
        for measure, truth in zip((found.attack, found.release), wanted, strict=True):
            good.append(abs(measure.value - truth) <= max(0.002, 0.1 * truth))
            covered.append(abs(measure.value - truth) <= 2 * measure.u)
    show(f"within 10 % or 2 ms {100 * np.mean(good):.0f} %, 2 u covers {100 * np.mean(covered):.0f} %")
    assert all(good)
    assert np.mean(covered) >= 0.9
    assert found.steady_high_db_spl == pytest.approx(97.0, abs=0.2)
    assert found.steady_low_db_spl == pytest.approx(80.0, abs=0.2)
    assert found.delay_s == pytest.approx(0.005, abs=0.001)
    assert found.attack.item is Item.ATTACK


def test_steps_that_are_too_short_or_not_the_definition_s():
    steps = tone_steps((2000.0,), (55.0, 80.0, 55.0), 1.0)
    found = attack_release(recording(followed(0.005, 0.7)), steps, CAL, STEPS, repeats=1)
    assert [finding.code for finding in found.findings] == ["not_settled", "other_input_level"]
    assert "still moved by" in found.release.doubt
    with pytest.raises(InputError, match="a low, a high and a low level"):
        attack_release(recording(followed(0.005, 0.1)), steps[:2] + steps[1:2], CAL, STEPS, repeats=1)


def test_tone_series_refuses_steps_it_cannot_read():
    steps = tone_steps((1000.0,), (50.0, 60.0), 0.3)
    with pytest.raises(RecordingError, match="play longer steps"):
        series(np.tile(tone(1000.0, 90, 0.3), 2), steps, settle_s=0.29)
    with pytest.raises(RecordingError, match="2 frequencies and 3 levels"):
        tone_steps((500.0, 800.0), (70.0, 70.0, 70.0), 1.0)


def test_tone_that_still_moves_is_told():
    time_s = np.arange(round(0.5 * RATE_HZ)) / RATE_HZ
    level = 90 + 10 * np.exp(-time_s / 0.3)
    samples = np.concatenate([amplitude_fs(level) * np.sin(2 * np.pi * 1000 * time_s), tone(1000.0, 90, 0.5)])
    found = series(samples, tone_steps((1000.0,), (50.0, 60.0), 0.5), settle_s=0.1)
    assert [finding.code for finding in found.findings] == ["not_settled"]

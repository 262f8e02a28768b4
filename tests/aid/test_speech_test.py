"""Speech through known systems: gain by percentile, dynamic range, effective compression."""

from dataclasses import replace

import numpy as np
import pytest
from aid_parts import CAL, EXACT, HA1, RATE_HZ, amplitude_fs, conditions, noise_fs, recording, settings, tags

from umbo.aid import StimulusKind, level_compression, speech_test
from umbo.core import PointState, Statistic
from umbo.curves import Noticed, speech_input, speech_reading
from umbo.errors import InputError

SIZE = int(8 * RATE_HZ)
NOTHING = Noticed(clipped=False, findings=())
TAGS = tags("speech", stimulus="speech")


def speech_like(rng, size=SIZE):
    """Noise with the slope of speech, its level moving slowly by some 25 dB; rms 1."""
    hz = np.fft.rfftfreq(size, 1 / RATE_HZ)
    coloured = np.fft.irfft(
        np.fft.rfft(rng.standard_normal(size)) * np.minimum(hz / 100, 1) / (1 + (hz / 500) ** 2) ** 0.5, size
    )
    slow = np.fft.irfft(np.fft.rfft(rng.standard_normal(size)) * (hz < 2.0), size)
    out = coloured * 10 ** (7 * slow / slow.std() / 20)
    return out / np.sqrt(np.mean(out**2))


STIMULUS = speech_like(np.random.default_rng(1))


def in_pascals(level_db):
    return STIMULUS * float(amplitude_fs(level_db)) / np.sqrt(2)


def slow_gain(samples, ratio, rate_db):
    """Instantaneous compression of the slow envelope, known exactly: level above 65 dB divided by the ratio."""
    power = np.convolve(samples**2, np.hanning(9600) / np.hanning(9600).sum(), "same")
    level = 10 * np.log10(power) - rate_db
    return samples * 10 ** (-(1 - 1 / ratio) * level / 20)


def read(samples, level_db, rng=None, noise_db=50.0, calibration=EXACT, set_to=None, name="take"):
    played = np.tile(samples, 2)
    if rng is not None:
        played = played + noise_fs(noise_db, played.size, rng)
    own = conditions(StimulusKind.SPEECH, level_db, u=0.0, set_to=set_to)
    reading = speech_reading(
        recording(played, name), recording(STIMULUS, "speech"), calibration, repeats=2, plane=HA1, tags=TAGS,
        noticed=NOTHING, input_db_spl=level_db,
    )  # fmt: skip
    heard = speech_input(recording(STIMULUS, "speech"), level_db, tags=TAGS, box="box", u_db=0.0)
    return speech_test(reading, heard, own)


def counted(test):
    hz = test.gain.frequency_hz
    return test.gain.states.is_usable & (hz > 180) & (hz < 6500)


def test_linear_gain_is_the_same_at_every_percentile():
    test = read(in_pascals(65.0) * 10 ** (30 / 20), 65.0)
    inside = counted(test)
    assert test.gain.level_db[inside] == pytest.approx(np.full(inside.sum(), 30.0), abs=0.05)
    for gain in test.percentile_gain.values():
        assert gain.level_db[inside] == pytest.approx(np.full(inside.sum(), 30.0), abs=0.1)
    assert test.compression.ratio[inside] == pytest.approx(np.ones(inside.sum()), abs=0.01)
    assert test.percentile_gain[99].tags.statistic is None
    assert test.level_db_spl == 65.0


def test_gain_with_noise_is_covered(show):
    """40 draws: 2 u covers the gain of every percentile at about 95 % of the bands."""
    rng = np.random.default_rng(2)
    within = {p: [] for p in (30, 65, 99)}
    truth = read(in_pascals(65.0) * 10 ** (30 / 20), 65.0)
    for _ in range(40):
        test = read(in_pascals(65.0) * 10 ** (30 / 20), 65.0, rng, noise_db=78.0)
        inside = counted(test)
        for p, gain in test.percentile_gain.items():
            usable = gain.states.is_usable & inside
            off = gain.level_db - truth.percentile_gain[p].level_db
            within[p].append((np.abs(off) <= 2 * gain.u_db)[usable])
    shares = {p: float(np.mean(np.concatenate(values))) for p, values in within.items()}
    show(f"2 u covers {shares}")
    assert all(0.88 <= share <= 1.0 for share in shares.values())


@pytest.mark.parametrize("ratio", [1.5, 2.0])
def test_slow_compression_narrows_the_range_by_its_ratio(ratio):
    samples = in_pascals(65.0) * 10 ** (30 / 20)
    rate_db = 10 * np.log10(np.mean(samples**2))
    test = read(slow_gain(samples, ratio, rate_db), 65.0)
    inside = counted(test) & (test.gain.frequency_hz > 900)  # low bands fluctuate by themselves in 125 ms
    plain = read(samples, 65.0)
    found = np.median(test.compression.ratio[inside])
    assert np.median(plain.compression.ratio[inside]) == pytest.approx(1.0, abs=0.01)
    assert 1.0 + 0.6 * (ratio - 1) < found < 1.0 + 1.1 * (ratio - 1)
    assert np.all(test.output_range.level_db[inside] < test.input_range.level_db[inside])
    soft, loud = (np.median(test.percentile_gain[p].level_db[inside]) for p in (30, 99))
    assert soft > loud + 3


def test_compression_between_levels():
    """55, 65, 75, 80 dB through a gain that falls by half a decibel a decibel: a ratio of 2."""
    tests = [
        read(in_pascals(level) * 10 ** ((30 - 0.5 * (level - 65)) / 20), level, calibration=CAL)
        for level in (80.0, 55.0, 75.0, 65.0)
    ]
    ratio = level_compression(tests)
    inside = counted(tests[0])
    assert ratio.ratio[inside] == pytest.approx(np.full(inside.sum(), 2.0), rel=0.05)
    assert np.all(ratio.ratio_u[inside] < 0.05)  # the calibration of 0.2 dB cancels
    limited = [replace(tests[0], output=tests[1].output), tests[1]]
    flat = level_compression(limited)
    assert flat.states.at(int(np.flatnonzero(inside)[0])) is PointState.WITHDRAWN


def test_tests_that_do_not_fit_are_refused():
    one = read(in_pascals(65.0), 65.0)
    with pytest.raises(InputError, match="measure speech at two levels or more"):
        level_compression([one])
    other = read(in_pascals(80.0), 80.0, set_to=settings(name="b", compression="on"))
    with pytest.raises(InputError, match="the settings 'reference' and 'b' differ"):
        level_compression([one, other])
    played, stimulus = recording(np.tile(STIMULUS, 2) * 0.1), recording(STIMULUS, "speech")
    place = {"repeats": 2, "plane": HA1, "tags": TAGS, "noticed": NOTHING, "input_db_spl": 65.0}
    reading = speech_reading(played, stimulus, EXACT, **place)
    heard = speech_input(stimulus, 65.0, tags=TAGS, box="box", u_db=0.0)
    with pytest.raises(InputError, match="use a recording rather than an exported curve"):
        speech_test(reading, heard, conditions(StimulusKind.SPEECH, None))


def test_speech_input_has_the_declared_level_and_its_percentiles():
    heard = speech_input(recording(STIMULUS, "speech"), 65.0, tags=TAGS, box="box", u_db=0.3)
    # bands from 125 Hz to 16 kHz hold nearly all of the power of this stimulus above 111 Hz
    spectrum = np.abs(np.fft.rfft(STIMULUS)) ** 2
    hz = np.fft.rfftfreq(STIMULUS.size, 1 / RATE_HZ)
    part = spectrum[(hz > 112.2) & (hz < 17783)].sum() / spectrum.sum()
    total = 10 * np.log10(np.sum(10 ** (heard.level.level_db / 10)))
    assert total == pytest.approx(65.0 + 10 * np.log10(part), abs=0.1)
    assert heard.percentiles[30].tags.statistic is Statistic.P30
    assert np.all(heard.percentiles[99].level_db > heard.percentiles[30].level_db)
    assert heard.level.u_db == pytest.approx(np.full(22, 0.3))
    with pytest.raises(InputError, match="it is silent"):
        speech_input(recording(np.zeros(4800), "speech"), 65.0, tags=TAGS, box="box", u_db=0.3)
    with pytest.raises(InputError, match="an uncertainty of -1"):
        speech_input(recording(STIMULUS, "speech"), 65.0, tags=TAGS, box="box", u_db=-1)

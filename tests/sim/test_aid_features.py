"""Features of the virtual aid, each against a plain measurement of its output or a loop."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from umbo.core import CouplerKind
from umbo.errors import InputError
from umbo.sim import (
    AidOnBench,
    Expansion,
    FrequencyLowering,
    NoiseFloor,
    Ports,
    RemoteMicrophone,
    Telecoil,
    VirtualAid,
    coupler_path,
    exponential_sweep,
    noise_reduction,
    speech_like,
    speech_shaped_noise,
    tone_canceller,
    tone_output_db_spl,
    tones,
)

RATE_HZ = 48000
PLAIN = VirtualAid(
    crossover_hz=(500.0, 1000.0, 2000.0, 4000.0),
    gain_db=(20.0,) * 5,
    ratio=(1.0,) * 5,
    knee_db_spl=(50.0,) * 5,
    low_hz=1e-3,
    high_hz=1e6,
)


def tone_pa(frequency_hz, level_db_spl, seconds=1.0):
    time_s = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return np.sqrt(2) * 2e-5 * 10 ** (level_db_spl / 20) * np.sin(2 * np.pi * frequency_hz * time_s)


def drive(aid, pressure_pa):
    return aid.process(pressure_pa, RATE_HZ, np.random.default_rng(0)).drive_pa


def db_spl(samples_pa):
    return 20 * np.log10(np.sqrt(np.mean(samples_pa**2)) / 2e-5)


def band_db(samples, low_hz, high_hz):
    power = np.abs(np.fft.rfft(samples)) ** 2 * 2 / samples.size**2
    frequency_hz = np.fft.rfftfreq(samples.size, 1 / RATE_HZ)
    return 10 * np.log10(power[(frequency_hz >= low_hz) & (frequency_hz < high_hz)].sum() / 4e-10)


@pytest.mark.parametrize("volume_db", [0.0, -7.5, -30.0])
def test_volume_takes_its_decibels(volume_db):
    out = drive(replace(PLAIN, volume_db=volume_db), tone_pa(1420.0, 60.0))
    assert db_spl(out[24000:]) == pytest.approx(80.0 + volume_db, abs=0.01)


def test_volume_leaves_the_knee_where_it_is():
    compressive = replace(PLAIN, ratio=(2.0,) * 5)
    full, turned_down = (
        [db_spl(drive(replace(compressive, volume_db=v), tone_pa(1420.0, level))[24000:]) for level in (40.0, 60.0)]
        for v in (0.0, -10.0)
    )
    assert np.array(full) - np.array(turned_down) == pytest.approx(10.0, abs=0.01)


def test_volume_above_full_on_is_refused():
    with pytest.raises(InputError, match="above full on"):
        replace(PLAIN, volume_db=1.0)


def test_weak_receiver_turns_the_ceiling_down_as_well():
    limited = replace(PLAIN, ceiling_db_spl=90.0)
    strong, weak = (drive(replace(limited, receiver_db=r), tone_pa(1420.0, 90.0)) for r in (0.0, -5.0))
    assert db_spl(strong[24000:]) == pytest.approx(90.0, abs=0.05)
    assert db_spl(weak[24000:]) == pytest.approx(85.0, abs=0.05)


@settings(max_examples=8, deadline=None)
@given(slope=st.floats(1.0, 4.0), most_db=st.floats(5.0, 25.0))
def test_expansion_has_its_slope_and_its_limit(slope, most_db):
    aid = replace(PLAIN, expansion=Expansion(knee_db_spl=(45.0,) * 5, slope=slope, most_db=most_db))
    inputs = np.array([50.0, 42.0, 39.0, 20.0])
    found = [db_spl(drive(aid, tone_pa(1420.0, level, 0.3))[9600:]) for level in inputs]
    below = np.maximum(45.0 - inputs, 0.0)
    assert found == pytest.approx(inputs + 20.0 - np.minimum((slope - 1.0) * below, most_db), abs=0.05)


def test_expansion_out_of_range_is_refused():
    with pytest.raises(InputError, match=r"slope of 0\.5"):
        Expansion(knee_db_spl=(40.0,), slope=0.5)
    with pytest.raises(InputError, match="expansion is for 2 bands, and it has 5"):
        replace(PLAIN, expansion=Expansion(knee_db_spl=(40.0, 40.0)))


NOISY_ROOM = speech_shaped_noise(np.random.default_rng(3), duration_s=10.0)


@pytest.mark.parametrize(("depth_db", "time_constant_s", "detection_s"), [(6.0, 0.5, 1.0), (12.0, 1.5, 2.0)])
def test_noise_reduction_follows_its_closed_form(depth_db, time_constant_s, detection_s):
    reduction = noise_reduction((depth_db,) * 5, time_constant_s=time_constant_s, detection_s=detection_s)
    how = AidOnBench(aid=PLAIN, level_db_spl=65.0, repeats=1, lead_in="silence")
    heard, lead = how.heard_pa(NOISY_ROOM)
    assert not np.any(heard[:lead])
    off, on = drive(PLAIN, heard)[lead:], drive(replace(PLAIN, noise_reduction=reduction), heard)[lead:]
    # level of the one over the other in windows of 100 ms: the same noise, so that it cancels
    ratio_db = 10 * np.log10((on**2).reshape(-1, 4800).sum(axis=1) / (off**2).reshape(-1, 4800).sum(axis=1))
    time_s = (np.arange(ratio_db.size) + 0.5) * 0.1 - PLAIN.delay_s
    expected = np.where(time_s < detection_s, 0.0, -depth_db * (1 - np.exp(-(time_s - detection_s) / time_constant_s)))
    assert ratio_db == pytest.approx(expected, abs=0.15)
    assert reduction.onset_db(time_s, 2) == pytest.approx(expected, abs=1e-9)


def test_noise_reduction_leaves_speech_alone_and_tells_bands_apart():
    reduction = noise_reduction((0.0, 4.0, 8.0, 12.0, 2.0))
    with_it = replace(PLAIN, noise_reduction=reduction)
    speech = speech_like(np.random.default_rng(4), duration_s=20.0).pascals(65.0)
    assert np.max(np.abs(drive(with_it, speech) - drive(PLAIN, speech))) < 1e-3 * np.max(np.abs(speech))
    noise = np.tile(NOISY_ROOM.pascals(65.0), 2)
    on, off = (drive(aid, noise)[-4 * RATE_HZ :] for aid in (with_it, PLAIN))
    for centre_hz, depth_db in ((250.0, 0.0), (720.0, 4.0), (1420.0, 8.0), (2840.0, 12.0), (8000.0, 2.0)):
        edges = (centre_hz / 1.03, centre_hz * 1.03)
        assert band_db(on, *edges) - band_db(off, *edges) == pytest.approx(-depth_db, abs=0.1)


def test_noise_reduction_rests_in_quiet():
    aid = replace(PLAIN, noise=NoiseFloor(level_dba=20.0))
    quiet = np.zeros(8 * RATE_HZ)
    plain = db_spl(drive(aid, quiet))
    assert db_spl(drive(replace(aid, noise_reduction=noise_reduction((10.0,) * 5)), quiet)) == pytest.approx(plain)


def test_canceller_attacks_tones_and_nothing_else():
    aid = replace(PLAIN, feedback_canceller=tone_canceller((10.0,) * 5))
    attacked = drive(aid, tone_pa(1420.0, 65.0, 3.0))
    assert db_spl(attacked[:19200]) == pytest.approx(85.0, abs=0.2)  # before 0.5 s nothing happens
    assert db_spl(attacked[-24000:]) == pytest.approx(75.0, abs=0.1)
    noise = NOISY_ROOM.pascals(65.0)
    assert db_spl(drive(aid, noise)) == pytest.approx(db_spl(drive(PLAIN, noise)), abs=0.1)


@pytest.mark.parametrize(
    ("bad", "sentence"),
    [
        ({"depth_db": (50.0,)}, "0 to 40 dB"),
        ({"time_constant_s": 0.0}, "0.01 to 30 s"),
        ({"detection_s": 0.33}, "50 ms blocks"),
    ],
)
def test_reductions_out_of_range_are_refused(bad, sentence):
    given_values = {"depth_db": (5.0,), **bad}
    with pytest.raises(InputError, match=sentence):
        noise_reduction(**given_values)
    with pytest.raises(InputError, match="is for 1 bands, and it has 5"):
        replace(PLAIN, noise_reduction=noise_reduction((5.0,)))


@settings(max_examples=10, deadline=None)
@given(
    start_hz=st.floats(1500.0, 5000.0),
    ratio=st.floats(1.0, 4.0),
    shift_hz=st.floats(0.0, 1200.0),
    octaves=st.floats(0.05, 1.5),
)
def test_tones_come_out_where_the_map_says(start_hz, ratio, shift_hz, octaves):
    lowering = FrequencyLowering(start_hz=start_hz, ratio=ratio, shift_hz=shift_hz)
    given_hz = float(np.round(start_hz * 2**octaves))
    out = drive(replace(PLAIN, lowering=lowering), tone_pa(given_hz, 65.0))
    found_hz = float(np.argmax(np.abs(np.fft.rfft(out))))
    assert found_hz == pytest.approx(lowering.mapped_hz(np.array([given_hz]))[0], abs=1.0)
    assert db_spl(out) == pytest.approx(85.0, abs=0.1)
    # and the map is the formula, but for the width of a band and a step of 20 Hz
    formula_hz = start_hz * (given_hz / start_hz) ** (1 / ratio) - shift_hz
    assert abs(found_hz - formula_hz) < given_hz * (2 ** (1 / 24) - 1) * 1.05 + 12.0


def test_lowering_leaves_the_rest_alone():
    lowering = FrequencyLowering(start_hz=3000.0, shift_hz=1000.0)
    low = tone_pa(1000.0, 65.0)
    assert drive(replace(PLAIN, lowering=lowering), low) == pytest.approx(drive(PLAIN, low), abs=1e-6)


@pytest.mark.parametrize("bad", [{"start_hz": 500.0}, {"start_hz": 2000.0, "ratio": 5.0}])
def test_lowering_out_of_range_is_refused(bad):
    with pytest.raises(InputError, match="leaves 1000 to 8000 Hz"):
        FrequencyLowering(**bad)
    with pytest.raises(InputError, match="shift of 1900 Hz"):
        FrequencyLowering(start_hz=2000.0, shift_hz=1900.0)


def plain_two_ports(frequency_hz, angle_deg, spacing_m, mismatch_db, speed_m_s):
    """Front minus delayed rear, the delay that of the sound from port to port (a cardioid), without equaliser."""
    arrival_s = spacing_m * np.cos(np.radians(angle_deg)) / speed_m_s
    front = 1.0
    rear = 10 ** (mismatch_db / 20) * np.exp(-2j * np.pi * frequency_hz * arrival_s)
    return front - rear * np.exp(-2j * np.pi * frequency_hz * spacing_m / speed_m_s)


@pytest.mark.parametrize("frequency_hz", [500.0, 1000.0, 2000.0, 4000.0])
def test_front_and_back_differ_as_two_ports_do(frequency_hz):
    ports = Ports(spacing_m=0.010, mismatch_db=-0.8)
    at_hz = np.array([frequency_hz])
    front, back = (abs(ports.response(at_hz, angle, directional=True)[0]) for angle in (0.0, 180.0))
    # speed of sound in air at 23 °C, 345.2 m/s (from memory)
    expected = [abs(plain_two_ports(frequency_hz, angle, 0.010, -0.8, 345.2)) for angle in (0.0, 180.0)]
    assert front / back == pytest.approx(expected[0] / expected[1], rel=0.01)
    swapped = replace(ports, swapped=True)
    reversed_ratio = [abs(swapped.response(at_hz, angle, directional=True)[0]) for angle in (180.0, 0.0)]
    assert reversed_ratio[0] / reversed_ratio[1] == pytest.approx(front / back, rel=1e-9)


def test_a_blocked_rear_port_leaves_no_direction():
    at_hz = np.array([1000.0, 2000.0])
    ports = Ports(rear_db=-40.0)
    front, back = (np.abs(ports.response(at_hz, angle, directional=True)) for angle in (0.0, 180.0))
    assert 20 * np.log10(front / back) == pytest.approx([0.0, 0.0], abs=0.5)


def test_sound_from_the_front_is_as_loud_with_both_ports():
    at_hz = np.array([1000.0, 2000.0, 4000.0])
    matched = Ports(mismatch_db=0.0)
    assert np.abs(matched.response(at_hz, 0.0, directional=True)) == pytest.approx(1.0, abs=1e-9)
    assert np.abs(matched.response(at_hz, 77.0, directional=False)) == pytest.approx(1.0, abs=1e-12)


def test_front_and_back_through_the_aid():
    aid = replace(PLAIN, directional=True)
    noise = speech_shaped_noise(np.random.default_rng(9), duration_s=2.0)
    levels = []
    for angle in (0.0, 180.0):
        heard, lead = AidOnBench(aid=aid, level_db_spl=65.0, repeats=1, direction_deg=angle).heard_pa(noise)
        levels.append(band_db(drive(aid, heard)[lead:], 950.0, 1050.0))
    response = [abs(aid.ports.response(np.array([1000.0]), angle, directional=True)[0]) for angle in (0.0, 180.0)]
    assert levels[0] - levels[1] == pytest.approx(20 * np.log10(response[0] / response[1]), abs=0.3)


def test_two_microphones_make_more_noise_where_they_are_boosted():
    aid = replace(PLAIN, noise=NoiseFloor(level_dba=30.0))
    quiet = np.zeros(4 * RATE_HZ)
    one, two = (replace(aid, directional=d).process(quiet, RATE_HZ, np.random.default_rng(5)) for d in (False, True))
    for k, centre_hz in ((12, 251.19), (36, 1000.0)):
        measured_db = band_db(two.drive_pa, centre_hz / 1.1, centre_hz * 1.1) - band_db(
            one.drive_pa, centre_hz / 1.1, centre_hz * 1.1
        )
        stated_db = 10 * np.log10(two.noise_density_pa2[k] / one.noise_density_pa2[k])
        assert measured_db == pytest.approx(stated_db, abs=0.7)
        # two microphones, and an equaliser that undoes their difference: 24 mm of path at 345.2 m/s, at most 12 dB
        difference = abs(1 - np.exp(-2j * np.pi * centre_hz * 0.024 / 345.2))
        most = min(10 ** (12.0 / 20), 1 / difference) if difference > 10 ** (-12.0 / 20) else difference * 10**1.2
        assert stated_db == pytest.approx(10 * np.log10(2 * most**2), abs=0.1)


def test_clogged_front_port_softens_what_comes_by_sound_only():
    clogged = replace(PLAIN, ports=Ports(front_db=-10.0), telecoil=Telecoil(equivalent_db_spl=60.0))
    sweep = exponential_sweep()
    plain_pa, _ = AidOnBench(aid=PLAIN, level_db_spl=60.0).heard_pa(sweep)
    clogged_pa, _ = AidOnBench(aid=clogged, level_db_spl=60.0).heard_pa(sweep)
    assert db_spl(plain_pa) - db_spl(clogged_pa) == pytest.approx(10.0, abs=1e-6)


@pytest.mark.parametrize("frequency_hz", [300.0, 1000.0, 4000.0])
def test_telecoil_has_its_response(frequency_hz):
    coil = Telecoil(equivalent_db_spl=57.0, low_corner_hz=300.0, high_corner_hz=8000.0)
    aid = replace(PLAIN, telecoil=coil)
    stimulus = tones((frequency_hz,), (60.0,), step_s=1.0)
    how = AidOnBench(aid=aid, level_db_spl=60.0, repeats=1, input="telecoil", field_a_per_m=0.0632)
    heard, lead = how.heard_pa(stimulus)
    found = db_spl(drive(aid, heard)[lead + 12000 : lead + 36000])

    def high_low(f):
        return 1 / np.sqrt((1 + (300.0 / f) ** 2) * (1 + (f / 8000.0) ** 2))

    # twice 31.6 mA/m: 6 dB more
    expected = 57.0 + 20.0 + 20 * np.log10(2.0) + 20 * np.log10(high_low(frequency_hz) / high_low(1000.0))
    assert found == pytest.approx(expected, abs=0.05)


def test_remote_microphone_has_its_offset():
    remote = RemoteMicrophone(offset_db=((500.0, -3.0), (2000.0, 3.0)))
    aid = replace(PLAIN, remote_microphone=remote)
    for frequency_hz, offset_db in ((250.0, -3.0), (1000.0, 0.0), (4000.0, 3.0)):
        stimulus = tones((frequency_hz,), (65.0,), step_s=1.0)
        levels = []
        for where in ("acoustic", "remote_microphone"):
            heard, lead = AidOnBench(aid=aid, level_db_spl=65.0, repeats=1, input=where).heard_pa(stimulus)
            levels.append(db_spl(drive(aid, heard)[lead + 12000 : lead + 36000]))
        assert levels[1] - levels[0] == pytest.approx(offset_db, abs=0.05)


def test_inputs_that_are_not_there_are_refused():
    sweep = exponential_sweep()
    with pytest.raises(InputError, match="this aid has none"):
        AidOnBench(aid=PLAIN, level_db_spl=65.0, input="remote_microphone").heard_pa(sweep)
    with pytest.raises(InputError, match="takes a magnetic field"):
        AidOnBench(aid=PLAIN, level_db_spl=65.0, input="telecoil").heard_pa(sweep)


def test_tone_output_knows_the_volume():
    path = coupler_path("receiver", CouplerKind.HA1)
    loud, _ = tone_output_db_spl(PLAIN, 60.0, path)
    soft, _ = tone_output_db_spl(replace(PLAIN, volume_db=-9.0), 60.0, path)
    assert loud - soft == pytest.approx(9.0, abs=1e-9)

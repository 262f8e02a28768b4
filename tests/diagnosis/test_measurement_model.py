"""The model of a measurement against two-ports put together by hand, closed forms and published effects."""

import numpy as np
import pytest

from umbo import acoustics as ac
from umbo.core import CouplerKind
from umbo.diagnosis import Parameter, source_class
from umbo.diagnosis._fit_grid import FIT_HZ
from umbo.diagnosis._forward import Setting
from umbo.diagnosis._parameters import absent

KINDS = (CouplerKind.HA1, CouplerKind.HA2, CouplerKind.CC04)
SETTING = Setting(FIT_HZ, source_class("insert"), KINDS)
HA1, HA2, CC04 = range(3)


def adult(**changes):
    values = absent(1)
    sizes = {"CANAL_LENGTH_M": 14e-3, "CANAL_RADIUS_M": 3.7e-3, "PROBE_TO_DRUM_M": 2e-3, **changes}
    for name, value in sizes.items():
        values[0, Parameter[name]] = value
    return values


def predict(values, kind=HA1):
    return SETTING.predict(values, np.array([kind]))


def between(low_hz, high_hz):
    return (low_hz <= FIT_HZ) & (high_hz >= FIT_HZ)


def test_an_even_canal_is_the_cylinder_of_the_acoustics():
    """Same source, cylinder, drum and coupler as umbo.acoustics puts together."""
    drum = ac.drum_impedance_kringlebotn_1988(FIT_HZ)
    source = ac.insert_earphone(FIT_HZ)
    whole = ac.cylinder(FIT_HZ, 14e-3, 3.7e-3, ac.EAR_AIR).terminate(drum)
    inner = ac.cylinder(FIT_HZ, 5e-3, 3.7e-3, ac.EAR_AIR).terminate(drum)
    at_drum = source.pressure_into(whole.input_impedance) * whole.pressure_ratio
    found = predict(adult(DRUM_MIX=1.0, PROBE_TO_DRUM_M=5e-3))
    assert np.abs(found.drum_db[0] - 20 * np.log10(np.abs(at_drum))).max() < 0.05
    assert np.abs(found.ear_db[0] - 20 * np.log10(np.abs(at_drum / inner.pressure_ratio))).max() < 0.05
    coupler = ac.Coupler("ha1").response(FIT_HZ)
    reading = source.pressure_into(coupler.input_impedance) * coupler.pressure_ratio
    assert np.abs(found.coupler_db[0] - 20 * np.log10(np.abs(reading))).max() < 0.01


def test_a_shallow_probe_has_its_notch_a_quarter_wave_from_the_drum():
    """f = c/4d for a rigid drum (F12); a stiff drum comes close."""
    found = predict(adult(DRUM_SCALE_DB=40.0, PROBE_TO_DRUM_M=10e-3))
    dip = FIT_HZ[np.argmin(found.ear_db[0] - found.drum_db[0])]
    assert dip == pytest.approx(ac.EAR_AIR.sound_speed_m_s / 40e-3, rel=0.12)


def test_a_leak_falls_by_twelve_decibels_an_octave_below_its_corner():
    """F13, with an ideal source: level re the sealed ear falls with the square of frequency."""
    flow = Setting(FIT_HZ, source_class("receiver"), KINDS)
    kind = np.array([HA1])
    wide, sealed = (flow.predict(adult(LEAK_HEIGHT_M=h), kind) for h in (450e-6, 0.0))
    loss = (wide.drum_db - sealed.drum_db)[0]
    low, octave_up = (int(np.argmin(np.abs(FIT_HZ - hz))) for hz in (126, 251))
    assert loss[octave_up] - loss[low] == pytest.approx(12.0, abs=2.5)
    assert np.abs(loss[between(2000, 8000)]).max() < 1.5


def test_a_grommet_takes_fifteen_decibels_from_125_to_750_hz():
    """Martin, Munro & Langer 1997: -15 dB on average (abstract read); a bore of 0.6 mm radius."""
    found, closed = predict(adult(HOLE_RADIUS_M=0.6e-3)), predict(adult())
    mean = (found.drum_db - closed.drum_db)[0][between(125, 750)].mean()
    assert mean == pytest.approx(-15.0, abs=5.0)


def test_effusion_lifts_the_low_frequencies_by_a_few_decibels():
    """Martin et al. 1996: up to 3.5 dB higher from 0.2 to 3 kHz (abstract read)."""
    found, dry = predict(adult(EFFUSION_M3=0.5e-6)), predict(adult())
    change = (found.drum_db - dry.drum_db)[0][between(200, 1000)]
    assert 1.0 < change.max() < 6.0


def test_the_couplers_lie_fourteen_decibels_apart():
    """Volume ratio 2 cc over 0.4 cc (F14, 13.98 dB), less the source's own impedance."""
    apart = (predict(adult(), CC04).coupler_db - predict(adult(), HA1).coupler_db)[0]
    assert apart[between(1500, 6000)].mean() == pytest.approx(13.98, abs=1.5)


@pytest.mark.parametrize(
    ("name", "value", "moves_coupler", "moves_drum"),
    [
        ("LEAK_HEIGHT_M", 300e-6, False, True),
        ("COUPLER_LEAK_HEIGHT_M", 300e-6, True, False),
        ("ATTENUATION_DB", 10.0, False, False),
        ("BORE_DEPTH_M", 5e-3, False, False),
        ("PROBE_TUBE_LENGTH_M", 75e-3, False, False),
        ("HOLE_RADIUS_M", 1e-3, False, True),
        ("DRIFT_DB", 3.0, False, True),
        ("TUBE_LENGTH_RATIO", 1.1, True, True),
    ],
)
def test_each_element_moves_what_it_should(name, value, moves_coupler, moves_drum):
    found, without = predict(adult(**{name: value})), predict(adult())
    assert bool(np.abs(found.coupler_db - without.coupler_db).max() > 0.1) is moves_coupler
    assert bool(np.abs(found.drum_db - without.drum_db).max() > 0.1) is moves_drum
    assert np.abs(found.ear_db - found.coupler_db - without.ear_db + without.coupler_db).max() > 0.1


def test_rows_do_not_see_each_other():
    """Any mixture of elements in one call gives what each gives alone, over more rows than a block holds."""
    rng = np.random.default_rng(4)
    rows = [adult(CANAL_LENGTH_M=rng.uniform(8e-3, 18e-3)) for _ in range(120)]
    for i, name in enumerate(("LEAK_HEIGHT_M", "COUPLER_LEAK_HEIGHT_M", "HOLE_RADIUS_M", "BORE_DEPTH_M")):
        rows[7 * i][0, Parameter[name]] = 4e-4
    rows[3][0, Parameter.WALL_MODULUS_PA] = 9e4
    rows[5][0, Parameter.EFFUSION_M3] = 4e-7
    kinds = rng.integers(0, 3, 120)
    together = SETTING.predict(np.concatenate(rows), kinds)
    for i in (0, 3, 5, 7, 14, 21, 100, 119):
        alone = predict(rows[i], kinds[i])
        for part in ("coupler_db", "ear_db", "drum_db"):
            np.testing.assert_allclose(getattr(together, part)[i], getattr(alone, part)[0], atol=1e-9)

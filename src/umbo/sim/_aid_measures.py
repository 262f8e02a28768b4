"""What a data-sheet test of a virtual aid should find, from its steady state in closed form."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from umbo.core import FloatArray
from umbo.refdata import table
from umbo.sim._aid import VirtualAid
from umbo.sim._aid_bench import AidOnBench
from umbo.sim._filtering import BAND_EDGE_RATIOS, TWELFTH_OCTAVE_HZ, density_power, third_octave_edges_hz
from umbo.sim._paths import Path
from umbo.sim._stimuli import level_db

__all__ = [
    "DISTORTION_DB_SPL",
    "DISTORTION_HZ",
    "HFA_HZ",
    "NoiseFound",
    "condition",
    "distortion_percent",
    "equivalent_noise",
    "hfa",
    "output_db_spl",
    "range_hz",
    "reference_volume_db",
]

_TEST = table("hearing_aid_test", source="ansi-s3.22-undated")


def condition(item: str) -> float:
    """A number of ANSI S3.22 as the table ``hearing_aid_test`` holds it.

    Parameters
    ----------
    item : str
        Name of its row.

    Returns
    -------
    float
        The value. [the row's unit]
    """
    return _TEST.at(item, "value")


#: Frequencies of the high-frequency average. [Hz]
HFA_HZ: FloatArray = np.array([condition(f"hfa_frequency_{k}") for k in (1, 2, 3)])

#: Frequencies of the distortion test. [Hz]
DISTORTION_HZ: tuple[float, ...] = (500.0, 800.0, 1600.0)

#: Input levels of the distortion test. [dB re 20 µPa]
DISTORTION_DB_SPL: tuple[float, ...] = tuple(condition(f"thd_input_{f:.0f}_hz") for f in DISTORTION_HZ)

_NOISE_BAND_HZ = (condition("input_noise_from"), condition("input_noise_to"))  # over which the noise is summed
_NOISE_THIRDS_HZ = 1000.0 * 10.0 ** (np.arange(-7, 8) / 10.0)  # 200 Hz to 5 kHz
_GRID_HZ = (TWELFTH_OCTAVE_HZ[0] * BAND_EDGE_RATIOS[0], TWELFTH_OCTAVE_HZ[-1] * BAND_EDGE_RATIOS[1])
_ROUNDS = 4


def output_db_spl(how: AidOnBench, path: Path, frequency_hz: FloatArray) -> FloatArray:
    """Steady level of the fundamental for tones, noise-free.

    Parameters
    ----------
    how : AidOnBench
        The aid as set, the level and the input.
    path : Path
        From the drive of the aid's receiver to the place of the output.
    frequency_hz : array (n,)
        Frequencies of the tones. [Hz]

    Returns
    -------
    array (n,)
        Levels. [dB re 20 µPa]
    """
    wanted = np.asarray(frequency_hz, dtype=np.float64)
    return np.asarray(level_db(_harmonics_pa(how, path, wanted)[0] ** 2 / 2.0))


def hfa(how: AidOnBench, path: Path, frequency_hz: FloatArray = HFA_HZ) -> float:
    """Mean output level at three frequencies.

    Parameters
    ----------
    how : AidOnBench
        The aid as set, the level and the input.
    path : Path
        From the drive of the aid's receiver to the place of the output.
    frequency_hz : array (3,)
        The frequencies, those of the high-frequency average or special ones. [Hz]

    Returns
    -------
    float
        Mean of the levels. [dB re 20 µPa]
    """
    return float(np.mean(output_db_spl(how, path, frequency_hz)))


def reference_volume_db(full_on: VirtualAid, path: Path) -> float:
    """Where the volume control stands at the reference test setting.

    HFA gain at 60 dB SPL is set to HFA-OSPL90 - 77 dB; the control stays full on where that is more than there is.

    Parameters
    ----------
    full_on : VirtualAid
        The aid at full-on gain, its features off.
    path : Path
        From the drive of the aid's receiver to the coupler microphone.

    Returns
    -------
    float
        What the control takes away, 0 or less. [dB]

    References
    ----------
    ANSI S3.22, from memory.
    """
    ospl90 = hfa(AidOnBench(aid=full_on, level_db_spl=condition("ospl90_input")), path)
    wanted_db_spl = ospl90 - condition("reference_test_gain_offset") + condition("reference_test_gain_input")
    volume_db = 0.0
    for _ in range(_ROUNDS):  # the curved characteristic adds a little to the fundamental, less at lower output
        how = AidOnBench(aid=replace(full_on, volume_db=volume_db), level_db_spl=condition("reference_test_gain_input"))
        volume_db = min(0.0, volume_db + wanted_db_spl - hfa(how, path))
    return volume_db


def range_hz(frequency_hz: FloatArray, level_db_spl: FloatArray, line_db_spl: float) -> tuple[float | None, ...]:
    """Where a response crosses a line on its way down from its highest point, to either side.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies, ascending. [Hz]
    level_db_spl : array (n,)
        The response. [dB re 20 µPa]
    line_db_spl : float
        The line. [dB re 20 µPa]

    Returns
    -------
    tuple of float or None
        Lower and upper crossing, joined by straight lines over log frequency; None where there is none. [Hz]
    """
    found: list[float | None] = []
    above = level_db_spl >= line_db_spl
    top = int(np.argmax(level_db_spl))
    for step in (-1, 1):
        place = top
        while 0 <= place + step < frequency_hz.size and above[place]:
            place += step
        if above[place]:
            found.append(None)
            continue
        inner = place - step
        share = (level_db_spl[inner] - line_db_spl) / (level_db_spl[inner] - level_db_spl[place])
        found.append(float(frequency_hz[inner] * (frequency_hz[place] / frequency_hz[inner]) ** share))
    return tuple(found)


def distortion_percent(how: AidOnBench, path: Path, frequency_hz: FloatArray) -> dict[str, FloatArray]:
    """Harmonics of steady tones over the fundamental.

    Parameters
    ----------
    how : AidOnBench
        The aid as set, the level and the input.
    path : Path
        From the drive of the aid's receiver to the place of the output.
    frequency_hz : array (n,)
        Frequencies of the tones. [Hz]

    Returns
    -------
    dict
        "second", "third" and "total" (root of the sum of squares), each of shape (n,). [percent]
    """
    first, second, third = _harmonics_pa(how, path, np.asarray(frequency_hz, dtype=np.float64))
    found = {"second": second, "third": third, "total": np.hypot(second, third)}
    return {name: np.asarray(100.0 * amplitude / first) for name, amplitude in found.items()}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NoiseFound:
    """Noise of an aid in silence.

    Attributes
    ----------
    output_db_spl : float
        Its level from 200 Hz to 5 kHz. [dB re 20 µPa]
    equivalent_db_spl : float
        The same less the HFA gain at 50 dB SPL. [dB re 20 µPa]
    whole_output_db_spl, whole_equivalent_db_spl : float
        The same over the whole twelfth-octave grid. [dB re 20 µPa]
    equivalent_third_db_spl : array (n,)
        Third-octave levels less the gain there at 50 dB SPL, at the exact centres from 200 Hz to 5 kHz. [dB re 20 µPa]
    """

    output_db_spl: float
    equivalent_db_spl: float
    whole_output_db_spl: float
    whole_equivalent_db_spl: float
    equivalent_third_db_spl: FloatArray


def equivalent_noise(aid: VirtualAid, path: Path, rng: np.random.Generator, sampling_rate_hz: float) -> NoiseFound:
    """Equivalent input noise of an aid as it is set, without the noise of the microphone in the coupler.

    Parameters
    ----------
    aid : VirtualAid
        The aid as set.
    path : Path
        From the drive of the aid's receiver to the coupler microphone.
    rng : Generator
        Source of the noise that moves the gains.
    sampling_rate_hz : float
        Samples a second. [Hz]

    Returns
    -------
    NoiseFound
        Expected levels.
    """
    quiet = aid.process(np.zeros(round(sampling_rate_hz)), sampling_rate_hz, rng)
    density = quiet.noise_density_pa2 * 10.0 ** (path.band_db() / 10.0)
    how = AidOnBench(aid=aid, level_db_spl=condition("ein_input"))
    gain_db = hfa(how, path) - how.level_db_spl
    total_db, whole_db = (float(level_db(density_power(density, np.array([e]))[0])) for e in (_NOISE_BAND_HZ, _GRID_HZ))
    thirds = density_power(density, third_octave_edges_hz(_NOISE_THIRDS_HZ))
    gains_db = output_db_spl(how, path, _NOISE_THIRDS_HZ) - how.level_db_spl
    return NoiseFound(
        output_db_spl=total_db,
        equivalent_db_spl=total_db - gain_db,
        whole_output_db_spl=whole_db,
        whole_equivalent_db_spl=whole_db - gain_db,
        equivalent_third_db_spl=level_db(thirds) - gains_db,
    )


def _harmonics_pa(how: AidOnBench, path: Path, frequency_hz: FloatArray) -> FloatArray:
    """Amplitudes of the fundamental and two harmonics at the end of the path, shape (3, n). [Pa]"""
    level = how.input_level_db_spl() + 20.0 * np.log10(np.abs(how.input_response(frequency_hz)))
    found, _ = how.aid.tone_drive_pa(frequency_hz, level)
    orders_hz = np.outer([1.0, 2.0, 3.0], frequency_hz)
    return np.asarray(found * np.abs(path.at(orders_hz.reshape(-1)).reshape(orders_hz.shape)))

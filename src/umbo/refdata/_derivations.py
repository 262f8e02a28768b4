"""Tables that are worked out from other tables, and the formulas they are worked out with.

The results are stored as tables like any other; a test works each one out again and compares.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from umbo.refdata._catalogue import table

if TYPE_CHECKING:
    from umbo.refdata._table import FloatArray, Table

__all__ = ["DERIVATIONS", "ear_simulator_transfer_impedance", "rederive"]

Columns: TypeAlias = Mapping[str, tuple[float | None, ...]]

_DENSITY_KG_M3 = 1.204  # air at about 20 degrees C, as the reference computation used
_SOUND_SPEED_M_S = 343.2
_STIFFNESS_PA = _DENSITY_KG_M3 * _SOUND_SPEED_M_S**2
_CC_M3 = 1e-6


def _common(first: Table, second: Table) -> FloatArray:
    return np.intersect1d(first.column("frequency_hz"), second.column("frequency_hz"))


def _difference(left: Table, left_column: str, right: Table, right_column: str, frequency_hz: FloatArray) -> FloatArray:
    pairs = [(left.at(f, left_column), right.at(f, right_column)) for f in frequency_hz]
    return np.array([a - b for a, b in pairs])


def _rounded(values: FloatArray, decimals: int) -> tuple[float, ...]:
    return tuple(float(value) + 0.0 for value in np.round(values, decimals))


def recd_adult_mean() -> Columns:
    """Adult mean RECD from reference thresholds: ear simulator minus 2 cc coupler, same earphone.

    Returns
    -------
    mapping of str to tuple
        Columns by name. [Hz, dB]
    """
    iso = table("retspl_insert", source="iso-389-2-1994")
    ha1 = table("retspl_insert", source="ansi-s3.6-undated")
    frequency_hz = iso.column("frequency_hz")
    oes = iso.column("er3a_oes_db_spl")
    ha2 = iso.column("er3a_ha2_db_spl")
    ha1_db = dict(zip(ha1.column("frequency_hz"), ha1.column("er3a_ha1_db_spl"), strict=True))
    volume_ratio_db = 20 * np.log10(2.0 / 0.4)

    def with_ha1(value: Callable[[int, float], float]) -> tuple[float | None, ...]:
        return tuple(round(float(value(i, ha1_db[f])), 2) if f in ha1_db else None for i, f in enumerate(frequency_hz))

    return {
        "frequency_hz": _rounded(frequency_hz, 6),
        "recd_re_ha1_db": with_ha1(lambda i, level: oes[i] - level),
        "recd_re_ha2_db": _rounded(oes - ha2, 2),
        "ha2_minus_ha1_db": with_ha1(lambda i, level: ha2[i] - level),
        "recd_re_0p4cc_stiff_source_db": with_ha1(lambda i, level: oes[i] - level - volume_ratio_db),
    }


def redd_average() -> Columns:
    """Average eardrum level at audiometric zero, and the same through the insert earphone's reference.

    Returns
    -------
    mapping of str to tuple
        Columns by name. [Hz, dB SPL, dB]
    """
    heard = table("map_eardrum", source="bentler-pavlovic-1989")
    insert = table("retspl_insert", source="iso-389-2-1994")
    frequency_hz = heard.column("frequency_hz")
    route = np.array([insert.at(f, "er3a_oes_db_spl") for f in frequency_hz])
    level = heard.column("map_eardrum_db_spl")
    return {
        "frequency_hz": _rounded(frequency_hz, 6),
        "eardrum_at_0_db_hl_db_spl": _rounded(level, 1),
        "insert_oes_route_db_spl": _rounded(route, 1),
        "insert_route_minus_map_db": _rounded(route - level, 1),
    }


def _coupler_to_eardrum(source: str, quantity: str, columns: Mapping[str, str]) -> Columns:
    heard = table("map_eardrum", source="bentler-pavlovic-1989")
    reference = table(quantity, source=source)
    frequency_hz = _common(heard, reference)
    result = {"frequency_hz": _rounded(frequency_hz, 6)}
    for name, column in columns.items():
        difference = _difference(heard, "map_eardrum_db_spl", reference, column, frequency_hz)
        result[name] = _rounded(difference, 1)
    return result


def coupler_to_eardrum_supra_aural() -> Columns:
    """Implied transfer from the earphone coupler to the eardrum, supra-aural earphones.

    Returns
    -------
    mapping of str to tuple
        Columns by name. [Hz, dB]
    """
    return _coupler_to_eardrum(
        "iso-389-1-1998",
        "retspl_supra_aural",
        {
            "tdh39_iec60318_3_to_eardrum_db": "tdh39_iec60318_3_db_spl",
            "dt48_iec60318_3_to_eardrum_db": "dt48_iec60318_3_db_spl",
            "supraaural_iec60318_1_to_eardrum_db": "supraaural_iec60318_1_db_spl",
        },
    )


def coupler_to_eardrum_circumaural() -> Columns:
    """Implied transfer from the ear simulator to the eardrum, circumaural earphone.

    Returns
    -------
    mapping of str to tuple
        Columns by name. [Hz, dB]
    """
    return _coupler_to_eardrum(
        "iso-389-8-2004", "retspl_circumaural", {"hda200_iec60318_1_to_eardrum_db": "hda200_db_spl"}
    )


def ear_simulator_transfer_impedance(frequency_hz: FloatArray, *, damped: bool) -> FloatArray:
    r"""Magnitude of the transfer impedance of the lumped occluded-ear simulator.

    A ladder: shunt C1 and the branch R2 L2 C2 at node 1; series L3; shunt C3 and the branch R4 L4 C4 at
    node 2; series L5; C5 at the microphone. The source is infinitely stiff, so L1 and R1 do not act.

    Parameters
    ----------
    frequency_hz : array (n,)
        Frequencies, 100 Hz to 10 kHz: the model's range. [Hz]
    damped : bool
        Whether the optional series resistances R3 and R5 are in.

    Returns
    -------
    array (n,)
        Microphone pressure over input volume velocity. [Pa s/m³]
    """
    values = table("oes_lumped_parameters", source="simulator-library-2024")

    def part(name: str) -> float:
        return values.at(name, "value")

    jw = 2j * np.pi * np.asarray(frequency_hz, dtype=np.float64)
    r3, r5 = (part("R3"), part("R5")) if damped else (0.0, 0.0)
    branch_2 = 1 / (part("R2") + jw * part("L2") + 1 / (jw * part("C2")))
    branch_4 = 1 / (part("R4") + jw * part("L4") + 1 / (jw * part("C4")))
    # From the microphone (pressure 1) back to the input, one Kirchhoff step a line.
    flow_5 = jw * part("C5")
    pressure_2 = 1 + (r5 + jw * part("L5")) * flow_5
    flow_3 = flow_5 + pressure_2 * (jw * part("C3") + branch_4)
    pressure_1 = pressure_2 + (r3 + jw * part("L3")) * flow_3
    flow_in = flow_3 + pressure_1 * (jw * part("C1") + branch_2)
    return np.asarray(1 / np.abs(flow_in))


_LOW_THIRD_OCTAVES_HZ = (100, 125, 160, 200, 250, 315, 400, 500, 630, 800)
_HIGH_THIRD_OCTAVES_HZ = (1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000)
_BETWEEN_HZ = (750, 1500, 3000, 6000)  # audiometric frequencies that are no third-octave centres
_OES_FREQUENCY_HZ = np.array(sorted(_LOW_THIRD_OCTAVES_HZ + _HIGH_THIRD_OCTAVES_HZ + _BETWEEN_HZ), dtype=np.float64)


def oes_transfer_impedance() -> Columns:
    """Transfer impedance of the lumped ear simulator against ideal volumes of 2 and 0.4 cm³.

    Returns
    -------
    mapping of str to tuple
        Columns by name. [Hz, dB, cm³]
    """
    frequency_hz = _OES_FREQUENCY_HZ
    magnitude = ear_simulator_transfer_impedance(frequency_hz, damped=False)
    damped = ear_simulator_transfer_impedance(frequency_hz, damped=True)
    omega = 2 * np.pi * frequency_hz
    level_db = 20 * np.log10(magnitude / 1e6)
    ideal_db = {cc: 20 * np.log10(_STIFFNESS_PA / (omega * cc * _CC_M3) / 1e6) for cc in (2.0, 0.4)}
    return {
        "frequency_hz": _rounded(frequency_hz, 6),
        "level_re_1_mpa_s_per_m3_db": _rounded(level_db, 2),
        "level_with_optional_damping_db": _rounded(20 * np.log10(damped / 1e6), 2),
        "equivalent_volume_cm3": _rounded(_STIFFNESS_PA / (omega * magnitude) / _CC_M3, 3),
        "oes_minus_2cc_stiff_source_db": _rounded(level_db - ideal_db[2.0], 2),
        "oes_minus_0p4cc_stiff_source_db": _rounded(level_db - ideal_db[0.4], 2),
        "0p4cc_minus_2cc_stiff_source_db": _rounded(ideal_db[0.4] - ideal_db[2.0], 2),
    }


_PROBE_DISTANCE_MM = (2, 3, 4, 5, 6, 8, 10, 12, 15)
_PROBE_FREQUENCY_HZ = (2000, 3000, 4000, 6000, 8000, 10000, 12500, 16000)


def probe_standing_wave_error() -> Columns:
    r"""Probe level minus eardrum level in front of a rigid eardrum, plane waves.

    .. math:: 20 \log_{10} |\cos(2 \pi f d / c)|, \quad f < c / 4d

    Returns
    -------
    mapping of str to tuple
        Columns by name; none past the first null. [mm, Hz, dB]
    """
    distance_m = np.array(_PROBE_DISTANCE_MM) * 1e-3
    null_hz = _SOUND_SPEED_M_S / (4 * distance_m)
    result: dict[str, tuple[float | None, ...]] = {
        "distance_from_eardrum_mm": tuple(float(d) for d in _PROBE_DISTANCE_MM),
        "quarter_wave_null_hz": _rounded(null_hz, 6),
    }
    for frequency_hz in _PROBE_FREQUENCY_HZ:
        error_db = 20 * np.log10(np.abs(np.cos(2 * np.pi * frequency_hz * distance_m / _SOUND_SPEED_M_S)))
        rounded = _rounded(error_db, 1)
        result[f"error_at_{frequency_hz}_hz_db"] = tuple(
            value if frequency_hz < null else None for value, null in zip(rounded, null_hz, strict=True)
        )
    return result


def nhl_correction_chirp(tone_pip: str) -> Columns:
    """Correction for narrow-band chirps: that of tone pips plus the difference two abstracts propose.

    Parameters
    ----------
    tone_pip : str
        Source of the tone-pip set.

    Returns
    -------
    mapping of str to tuple
        Columns by name. [Hz, dB]
    """
    tones = table("nhl_correction", source=tone_pip)
    step = table("chirp_minus_tone_pip", source="ferm-lightfoot-2015")
    frequency_hz = _common(tones, step)
    values = [tones.at(f, "correction_db") + step.at(f, "difference_db") for f in frequency_hz]
    return {"frequency_hz": _rounded(frequency_hz, 6), "correction_db": _rounded(np.array(values), 1)}


DERIVATIONS: Mapping[str, Callable[[], Columns]] = {
    "recd_adult_mean/derived-iso-389-2-1994": recd_adult_mean,
    "redd_average/derived-bentler-pavlovic-1989": redd_average,
    "coupler_to_eardrum/derived-iso-389-1-1998": coupler_to_eardrum_supra_aural,
    "coupler_to_eardrum/derived-iso-389-8-2004": coupler_to_eardrum_circumaural,
    "nhl_correction/narrow-band-chirp-5-5-0-minus-5-undated": partial(
        nhl_correction_chirp, "tone-pip-10-10-5-0-undated"
    ),
    "nhl_correction/narrow-band-chirp-10-5-0-minus-5-undated": partial(
        nhl_correction_chirp, "tone-pip-15-10-5-0-undated"
    ),
    "nhl_correction/narrow-band-chirp-15-10-5-0-undated": partial(nhl_correction_chirp, "tone-pip-20-15-10-5-undated"),
    "oes_transfer_impedance/computed-simulator-library-2024": oes_transfer_impedance,
    "probe_standing_wave_error/computed-rigid-drum": probe_standing_wave_error,
}
"""The function that works each derived table out, by "quantity/source"."""


def rederive(name: str) -> Columns:
    """Work a derived table out again.

    Parameters
    ----------
    name : str
        "quantity/source" of a derived table.

    Returns
    -------
    mapping of str to tuple
        Number columns by name; none for an empty cell. [the columns' units]
    """
    return DERIVATIONS[name]()

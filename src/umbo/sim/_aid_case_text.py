"""The case.toml of an aid-test case."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from umbo.sim._aid_case_takes import AidCaseTake
from umbo.sim._aid_scenario import AidScenario
from umbo.sim._aid_settings import settings_of
from umbo.sim._aid_stimuli import AidStimulus
from umbo.sim._microphones import MicrophoneChain
from umbo.sim._toml_text import TomlValue, pairs_text, table_text

__all__ = ["aid_case_text", "data_sheet_keys"]

_ENTERED_AT = "reference"  # the battery current is read at the reference test setting


def aid_case_text(
    scenario: AidScenario,
    takes: Sequence[AidCaseTake],
    stimuli: Mapping[str, AidStimulus],
    chain: MicrophoneChain,
    data_sheet: Mapping[str, TomlValue],
) -> str:
    """Text of case.toml.

    Parameters
    ----------
    scenario : AidScenario
        What was recorded.
    takes : sequence of AidCaseTake
        The recordings.
    stimuli : mapping of AidStimulus
        What was played, by name; only what a recording uses is written.
    chain : MicrophoneChain
        The chain in the coupler.
    data_sheet : mapping
        Keys of the data sheet; empty for none.

    Returns
    -------
    str
        TOML, keys as in the case format.
    """
    blocks = [
        pairs_text({"schema": 1, "id": scenario.name, "measured": scenario.measured}),
        table_text("[client]", {"code": scenario.name, "age_months": scenario.age_months}),
        *(table_text(f"[ear.{entry.side}]", {"middle_ear": "unknown"}) for entry in scenario.ears),
        table_text(
            f"[calibration.{chain.name}]",
            {"pa_per_full_scale": chain.pa_per_full_scale, "u_db": chain.u_db, "date": scenario.measured},
        ),
    ]
    used = {take.stimulus for take in takes}
    blocks += [
        table_text(f"[stimulus.{name}]", _stimulus_keys(entry)) for name, entry in stimuli.items() if name in used
    ]
    tested = [take.run.settings for take in takes if take.run is not None]
    for name in dict.fromkeys([*tested, _ENTERED_AT]):
        settings = settings_of(name)
        keys: dict[str, TomlValue] = {"volume": str(settings.volume), "features": settings.states()}
        blocks.append(table_text(f"[settings.{name}]", keys))
    if data_sheet:
        blocks.append(table_text("[data_sheet]", data_sheet))
    blocks += [
        table_text(f"[entered.{e.side}]", {"battery_current_ma": round(e.current_ma, 3), "settings": _ENTERED_AT})
        for e in scenario.ears
    ]
    blocks += [table_text("[[recording]]", _recording_keys(scenario, take)) for take in takes]
    return "\n".join(blocks)


def _stimulus_keys(entry: AidStimulus) -> dict[str, TomlValue]:
    sound = entry.sound
    keys: dict[str, TomlValue] = {"kind": sound.kind}
    if sound.kind == "silence":
        return keys
    keys["file"] = entry.file
    if sound.start_hz is not None and sound.stop_hz is not None:
        keys |= {"start_hz": sound.start_hz, "stop_hz": sound.stop_hz}
    if sound.step_s is not None:
        tone_hz: TomlValue = sound.frequency_hz[0] if sound.kind == "level_steps" else sound.frequency_hz
        return keys | {"frequency_hz": tone_hz, "levels_db_spl": sound.levels_db_spl, "step_s": sound.step_s}
    if entry.field_a_per_m is not None:
        return keys | {"field_a_per_m": entry.field_a_per_m}
    return keys | {"level_db_spl": entry.level_db_spl}


def _recording_keys(scenario: AidScenario, take: AidCaseTake) -> dict[str, TomlValue]:
    keys: dict[str, TomlValue] = {"name": take.name, "file": take.file}
    run = take.run
    if run is None:
        keys |= {"test": "check_source", "run": take.when}
    else:
        keys |= {"test": run.test, "settings": run.settings}
        if run.input != "acoustic":
            keys["input"] = run.input
        if run.direction_deg is not None:
            keys["direction_deg"] = run.direction_deg
        if run.lead_in != "stimulus":
            keys["lead_in"] = run.lead_in
    return keys | {
        "stimulus": take.stimulus,
        "repeats": take.repeats,
        "ear": str(take.ear),
        "place": "coupler",
        "coupler": str(take.coupler),
        "coupling": "foam_tip" if run is None else str(scenario.coupling),
        "source": str(take.source),
        "calibration": take.calibration,
    }


def data_sheet_keys(
    scenario: AidScenario, sheet: Mapping[str, Any], dynamics: Mapping[str, Any], features: Mapping[str, Any]
) -> dict[str, TomlValue]:
    """Nominal values of a model: what its sound aid does, rounded as a data sheet rounds.

    Parameters
    ----------
    scenario : AidScenario
        What was recorded.
    sheet, dynamics, features : mapping
        Truth of the sound aid in the first coupler.

    Returns
    -------
    dict
        Keys of the data sheet.
    """
    distortion, times = sheet["distortion"], dynamics["attack_release"]
    at_2k = times["frequency_hz"].index(2000.0)
    keys: dict[str, TomlValue] = {
        "standard": "ansi_s3_22",
        "coupler": str(scenario.couplers[0]),
        "maximum_ospl90_db_spl": float(round(sheet["ospl90"]["maximum_db_spl"])),
        "hfa_ospl90_db_spl": float(round(sheet["ospl90"]["hfa_db_spl"])),
        "hfa_full_on_gain_db": float(round(sheet["full_on_gain"]["hfa_db"])),
        "reference_test_gain_db": float(round(sheet["reference_test_gain_db"])),
        "equivalent_input_noise_db_spl": float(round(sheet["input_noise"]["equivalent_200_5000_db_spl"])),
        "battery_current_ma": scenario.ears[0].battery_current_ma,
        "attack_ms": float(round(1e3 * times["attack_s"][at_2k])),
        "release_ms": float(round(1e3 * times["release_s"][at_2k])),
        "distortion": {
            "frequency_hz": distortion["frequency_hz"],
            "thd_percent": [max(1.0, float(round(value))) for value in distortion["total_percent"]],
        },
        "response": _nominal_response(sheet),
    }
    for key, name in (("response_low_hz", "low_hz"), ("response_high_hz", "high_hz")):
        if sheet["response"][name] is not None:
            keys[key] = float(round(sheet["response"][name], -1))
    if "telecoil" in features:
        keys["telecoil_hfa_difference_db"] = float(round(features["telecoil"]["hfa_minus_acoustic_db"]))
    return keys


def _nominal_response(sheet: Mapping[str, Any]) -> dict[str, list[float]]:
    """Third-octaves from 200 Hz to 6.3 kHz of the response at reference settings, to half a decibel."""
    gain_db = sheet["response"]["gain_db"]
    names_hz = (200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300)
    return {
        "frequency_hz": [float(f) for f in names_hz],
        "gain_db": [round(2.0 * gain_db[8 + 4 * step]) / 2.0 for step in range(len(names_hz))],
    }

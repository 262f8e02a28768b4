"""The case.toml of a case of the bench."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from umbo.sim._case_takes import AID_SWEEP, CaseTake, speech_name
from umbo.sim._microphones import MicrophoneChain
from umbo.sim._scenario import Audiogram, EarScenario, Fault, Scenario
from umbo.sim._stimuli import SWEEP_HZ
from umbo.sim._toml_text import TomlValue, pairs_text, table_text

__all__ = ["SPEECH_FILE", "SWEEP_FILE", "case_text"]

SWEEP_FILE = "sweep.wav"
SPEECH_FILE = "speech.wav"


def case_text(
    scenario: Scenario, takes: Sequence[CaseTake], chains: Iterable[MicrophoneChain], *, has_speech: bool
) -> str:
    """Text of case.toml.

    Parameters
    ----------
    scenario : Scenario
        What was recorded.
    takes : sequence of CaseTake
        The recordings.
    chains : iterable of MicrophoneChain
        The chains; equal ones are written once.
    has_speech : bool
        Whether speech was played.

    Returns
    -------
    str
        TOML, keys as in the case format.
    """
    blocks = [
        pairs_text({"schema": 1, "id": scenario.name, "measured": scenario.measured}),
        table_text("[client]", {"code": scenario.name, "age_months": scenario.age_months}),
    ]
    for entry in scenario.ears:
        blocks += _ear_blocks(scenario, entry)
    for chain in {chain.name: chain for chain in chains}.values():
        keys: dict[str, TomlValue] = {
            "pa_per_full_scale": chain.pa_per_full_scale,
            "u_db": chain.u_db,
            "date": scenario.measured,
        }
        blocks.append(table_text(f"[calibration.{chain.name}]", keys))
    blocks += _stimulus_blocks(scenario, has_speech)
    blocks += [table_text("[[recording]]", _recording_keys(scenario, take)) for take in takes]
    blocks += [block for entry in scenario.ears for block in _target_blocks(entry)]
    return "\n".join(blocks)


def _ear_blocks(scenario: Scenario, entry: EarScenario) -> list[str]:
    head = f"ear.{entry.side}"
    ear: dict[str, TomlValue] = {"middle_ear": entry.ear.middle_ear}
    if Fault.SHALLOW_PROBE not in entry.faults:
        ear["tip_to_drum_mm"] = round(1e3 * entry.ear.probe_to_drum_m, 1)
    blocks = [table_text(f"[{head}]", ear)]
    for name, audiogram in (("thresholds", entry.thresholds), ("discomfort", entry.discomfort_in_force)):
        if audiogram:
            dial: dict[str, TomlValue] = {
                "scale": "HL",
                "transducer": "insert",
                "coupler": "ha1",
                "coupling": str(scenario.coupling),
            }
            blocks.append(table_text(f"[{head}.{name}]", {**dial, **_columns(audiogram)}))
    if entry.microphone_location_db is not None:
        effect = {**_columns(entry.microphone_location_db), "source": "invented with this case"}
        blocks.append(table_text(f"[{head}.mle]", effect))
    return blocks


def _stimulus_blocks(scenario: Scenario, has_speech: bool) -> list[str]:
    sweep: dict[str, TomlValue] = {
        "kind": "exponential_sweep",
        "file": SWEEP_FILE,
        "start_hz": SWEEP_HZ[0],
        "stop_hz": SWEEP_HZ[1],
    }
    blocks = [table_text("[stimulus.sweep]", {**sweep, "level_db_spl": scenario.bench.level_db_spl})]
    if any(entry.aid is not None for entry in scenario.ears):
        blocks.append(table_text(f"[stimulus.{AID_SWEEP}]", {**sweep, "level_db_spl": scenario.maximum_level_db_spl}))
    for level_db_spl in scenario.speech_levels_db_spl if has_speech else ():
        keys: dict[str, TomlValue] = {"kind": "speech", "file": SPEECH_FILE, "level_db_spl": level_db_spl}
        blocks.append(table_text(f"[stimulus.{speech_name(level_db_spl)}]", keys))
    return blocks


def _recording_keys(scenario: Scenario, take: CaseTake) -> dict[str, TomlValue]:
    place: dict[str, TomlValue] = {"place": "probe_tip"}
    if take.coupler is not None:
        place = {"place": "coupler", "coupler": str(take.coupler)}
    return {
        "name": take.name,
        "file": take.file,
        "stimulus": take.stimulus,
        "repeats": take.repeats,
        "ear": str(take.ear),
        **place,
        "coupling": str(scenario.coupling),
        "source": str(take.source),
        "calibration": take.calibration,
    }


def _target_blocks(entry: EarScenario) -> list[str]:
    return [
        table_text(
            "[[target]]",
            {
                "name": f"invented, speech {target.level_db_spl:g}",
                "ear": str(entry.side),
                "method": "invented with this case",
                "version": "1",
                "kind": "speech",
                "level_db_spl": target.level_db_spl,
                **_columns(target.levels),
            },
        )
        for target in entry.targets
    ]


def _columns(pairs: Audiogram) -> dict[str, TomlValue]:
    return {"frequency_hz": [float(f) for f, _ in pairs], "level_db": [float(level) for _, level in pairs]}

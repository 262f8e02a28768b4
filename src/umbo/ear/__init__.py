"""Real-ear quantities: RECD and its trust, thresholds at the eardrum, predicted levels, and closing the loop."""

from umbo.ear._agreement import Agreement, agreement
from umbo.ear._closing import Closing, close_loop
from umbo.ear._discomfort import (
    CONSTANT_RULE,
    DiscomfortRule,
    discomfort_rule,
    eardrum_discomfort,
    predicted_discomfort,
)
from umbo.ear._evoked_correction import (
    CorrectionSet,
    correction_finding,
    correction_names,
    correction_set,
    estimate_by_set,
)
from umbo.ear._expected import VOLUME_RATIO_DB, PlausibleRange, adult_recd_row, plausible_range
from umbo.ear._filled_in import (
    filled_in,
)
from umbo.ear._grade import Grade, grade
from umbo.ear._hearing_level import (
    NO_DISCOMFORT,
    NO_RESPONSE,
    estimate_findings,
    estimated_hearing_level,
    hearing_level,
)
from umbo.ear._limits import headroom, probe_limit, probe_mark
from umbo.ear._microphone_location import microphone_location_effect, unknown_microphone_location_effect
from umbo.ear._notch import NotchEstimate, distance_from_notch, notch_of
from umbo.ear._position import ProbePosition, probe_position
from umbo.ear._prediction import aided_level, for_coupling, for_source, require_closed, withdrawn_by_vent
from umbo.ear._probe import probe_to_eardrum
from umbo.ear._real_ear_gain import (
    Openness,
    insertion_gain,
    insertion_loss,
    openness,
    real_ear_gain,
    reference_microphone_finding,
    unaided_response_finding,
)
from umbo.ear._recd import adult_average_recd, measured_recd, recd_name
from umbo.ear._reference_thresholds import (
    ReferenceThresholds,
    reference_thresholds,
)
from umbo.ear._signatures import shape_findings
from umbo.ear._source_spread import source_spread_db
from umbo.ear._standard_audiograms import (
    standard_audiogram,
    standard_audiogram_names,
)
from umbo.ear._swapped import looks_swapped
from umbo.ear._threshold_checks import (
    at_limit_finding,
    below_map_finding,
    method_findings,
    recorder_finding,
    start_finding,
    two_references_finding,
)
from umbo.ear._threshold_methods import (
    Masking,
    Reliability,
    ThresholdMethod,
    estimate_u_db,
    require_frequency_specific,
    retest_u_db,
    threshold_components,
)
from umbo.ear._thresholds import (
    average_redd,
    convert_recd,
    coupler_to_coupler,
    measured_redd,
    retspl,
    sound_field_threshold,
)
from umbo.ear._two_ears import (
    asymmetry_finding,
    crossing_finding,
    identical_field_finding,
)
from umbo.ear._two_paths import TwoPaths, direct_sound, phase_bounds_db, phase_u_db, two_paths
from umbo.ear._unaided_gain import UNAIDED_SOURCE, field_to_eardrum, resonance_hz, unaided_gain
from umbo.ear._vent import Vent, ear_volume_m3, end_correction_m, vent_corner_hz, vent_effect, vent_transmission

__all__ = [
    "CONSTANT_RULE",
    "NO_DISCOMFORT",
    "NO_RESPONSE",
    "UNAIDED_SOURCE",
    "VOLUME_RATIO_DB",
    "Agreement",
    "Closing",
    "CorrectionSet",
    "DiscomfortRule",
    "Grade",
    "Masking",
    "NotchEstimate",
    "Openness",
    "PlausibleRange",
    "ProbePosition",
    "ReferenceThresholds",
    "Reliability",
    "ThresholdMethod",
    "TwoPaths",
    "Vent",
    "adult_average_recd",
    "adult_recd_row",
    "agreement",
    "aided_level",
    "asymmetry_finding",
    "at_limit_finding",
    "average_redd",
    "below_map_finding",
    "close_loop",
    "convert_recd",
    "correction_finding",
    "correction_names",
    "correction_set",
    "coupler_to_coupler",
    "crossing_finding",
    "direct_sound",
    "discomfort_rule",
    "distance_from_notch",
    "ear_volume_m3",
    "eardrum_discomfort",
    "end_correction_m",
    "estimate_by_set",
    "estimate_findings",
    "estimate_u_db",
    "estimated_hearing_level",
    "field_to_eardrum",
    "filled_in",
    "for_coupling",
    "for_source",
    "grade",
    "headroom",
    "hearing_level",
    "identical_field_finding",
    "insertion_gain",
    "insertion_loss",
    "looks_swapped",
    "measured_recd",
    "measured_redd",
    "method_findings",
    "microphone_location_effect",
    "notch_of",
    "openness",
    "phase_bounds_db",
    "phase_u_db",
    "plausible_range",
    "predicted_discomfort",
    "probe_limit",
    "probe_mark",
    "probe_position",
    "probe_to_eardrum",
    "real_ear_gain",
    "recd_name",
    "recorder_finding",
    "reference_microphone_finding",
    "reference_thresholds",
    "require_closed",
    "require_frequency_specific",
    "resonance_hz",
    "retest_u_db",
    "retspl",
    "shape_findings",
    "sound_field_threshold",
    "source_spread_db",
    "standard_audiogram",
    "standard_audiogram_names",
    "start_finding",
    "threshold_components",
    "two_paths",
    "two_references_finding",
    "unaided_gain",
    "unaided_response_finding",
    "unknown_microphone_location_effect",
    "vent_corner_hz",
    "vent_effect",
    "vent_transmission",
    "withdrawn_by_vent",
]

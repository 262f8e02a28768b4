"""Real-ear quantities: RECD and its trust, thresholds at the eardrum, predicted levels, and closing the loop."""

from umbo.ear._agreement import Agreement, agreement
from umbo.ear._closing import Closing, close_loop
from umbo.ear._expected import VOLUME_RATIO_DB, PlausibleRange, adult_recd_row, plausible_range
from umbo.ear._grade import Grade, grade
from umbo.ear._hearing_level import (
    ESTIMATE_U_DB,
    NO_DISCOMFORT,
    NO_RESPONSE,
    RETEST_U_DB,
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
from umbo.ear._recd import adult_average_recd, measured_recd, recd_name
from umbo.ear._signatures import shape_findings
from umbo.ear._source_spread import source_spread_db
from umbo.ear._swapped import looks_swapped
from umbo.ear._thresholds import (
    average_redd,
    convert_recd,
    coupler_to_coupler,
    field_to_eardrum,
    retspl,
    sound_field_threshold,
)

__all__ = [
    "ESTIMATE_U_DB",
    "NO_DISCOMFORT",
    "NO_RESPONSE",
    "RETEST_U_DB",
    "VOLUME_RATIO_DB",
    "Agreement",
    "Closing",
    "Grade",
    "NotchEstimate",
    "PlausibleRange",
    "ProbePosition",
    "adult_average_recd",
    "adult_recd_row",
    "agreement",
    "aided_level",
    "average_redd",
    "close_loop",
    "convert_recd",
    "coupler_to_coupler",
    "distance_from_notch",
    "estimate_findings",
    "estimated_hearing_level",
    "field_to_eardrum",
    "for_coupling",
    "for_source",
    "grade",
    "headroom",
    "hearing_level",
    "looks_swapped",
    "measured_recd",
    "microphone_location_effect",
    "notch_of",
    "plausible_range",
    "probe_limit",
    "probe_mark",
    "probe_position",
    "probe_to_eardrum",
    "recd_name",
    "require_closed",
    "retspl",
    "shape_findings",
    "sound_field_threshold",
    "source_spread_db",
    "unknown_microphone_location_effect",
    "withdrawn_by_vent",
]

"""Ways in which a case folder can be wrong: what spoils the valid case, what the sentence must name."""

from malformed_aid_tests import AID_TESTS
from malformed_audio import AUDIO
from malformed_case import Malformed
from malformed_curves import CURVES
from malformed_declarations import KEYS, TEXT, VALUES
from malformed_files import FILES
from malformed_meanings import REFERENCES, THRESHOLDS
from malformed_targets import TARGETS

__all__ = ["MALFORMED", "Malformed"]

#: Every malformed case. Some can only be seen when the samples are read: read every take and stimulus.
MALFORMED = [*TEXT, *KEYS, *VALUES, *THRESHOLDS, *REFERENCES, *FILES, *AUDIO, *CURVES, *TARGETS, *AID_TESTS]

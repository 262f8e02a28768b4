"""What went wrong with a measurement: a model of ear, coupler and probe fitted under every explanation.

The measurement is told apart by which explanation makes it most probable. The answer states how probable each one is,
shows its curve beside the measured one, says what to do next, and carries the probe's reading to the eardrum.
"""

from umbo.diagnosis._deciding import Deciding
from umbo.diagnosis._diagnose import diagnose, diagnose_many
from umbo.diagnosis._diagnosis import Diagnosis, Estimate, Explanation
from umbo.diagnosis._hypotheses import CAUSES
from umbo.diagnosis._measurement import Measurement
from umbo.diagnosis._parameters import Parameter
from umbo.diagnosis._sound_source import KnownSource, SourceClass, source_class

__all__ = [
    "CAUSES",
    "Deciding",
    "Diagnosis",
    "Estimate",
    "Explanation",
    "KnownSource",
    "Measurement",
    "Parameter",
    "SourceClass",
    "diagnose",
    "diagnose_many",
    "source_class",
]

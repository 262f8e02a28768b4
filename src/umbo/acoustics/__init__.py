"""Acoustic two-port models: couplers, ear canals, eardrums and sources.

Pressures in pascals, volume velocities in m³/s, time dependence e^(+jωt). Arrays have frequency as their
last axis; parameters may carry leading axes and every function vectorises over them.
"""

from umbo.acoustics._air import COUPLER_AIR, EAR_AIR, Air
from umbo.acoustics._canals import canal, cut_canal
from umbo.acoustics._couplers import Coupler, standing_wave_deviation_db
from umbo.acoustics._ear_canal import (
    SCANNED_EARS_DRUM_SPAN_M,
    SCANNED_EARS_SPREADING,
    SCANNED_EARS_WALL,
    EarCanal,
    canal_to_its_end,
)
from umbo.acoustics._hudde_engel_1998 import (
    MiddleEar,
    drum_impedance_hudde_engel_1998,
    drum_impedance_infant_2022,
    middle_ear_impedance,
)
from umbo.acoustics._kringlebotn_1988 import KringlebotnParameters, drum_impedance_kringlebotn_1988
from umbo.acoustics._lumped import leak_impedance, resonator_impedance, volume_impedance
from umbo.acoustics._microphone import HALF_INCH, ONE_INCH, Microphone
from umbo.acoustics._occluded_ear import occluded_ear_simulator, occluded_ear_simulator_lumped
from umbo.acoustics._radial_cavity import RadialCavity
from umbo.acoustics._sources import (
    HOOK_RECEIVER_TRANSDUCER,
    INSERT_TRANSDUCER,
    RECEIVER_TRANSDUCER,
    Source,
    Transducer,
    hook_receiver,
    ideal_flow_source,
    insert_earphone,
    receiver,
    thevenin_source,
)
from umbo.acoustics._standing_wave import drum_from_probe, pressure_ratio_at, rigid_drum_error_db
from umbo.acoustics._tubes import LineConstants, cone, cylinder, line, line_constants, slit
from umbo.acoustics._two_port import OPEN, RIGID, Terminated, TwoPort, identity, series, shunt
from umbo.acoustics._wall import INFANT_WALL, SkinWall, SoftWall, Wall

__all__ = [
    "COUPLER_AIR",
    "EAR_AIR",
    "HALF_INCH",
    "HOOK_RECEIVER_TRANSDUCER",
    "INFANT_WALL",
    "INSERT_TRANSDUCER",
    "ONE_INCH",
    "OPEN",
    "RECEIVER_TRANSDUCER",
    "RIGID",
    "SCANNED_EARS_DRUM_SPAN_M",
    "SCANNED_EARS_SPREADING",
    "SCANNED_EARS_WALL",
    "Air",
    "Coupler",
    "EarCanal",
    "KringlebotnParameters",
    "LineConstants",
    "Microphone",
    "MiddleEar",
    "RadialCavity",
    "SkinWall",
    "SoftWall",
    "Source",
    "Terminated",
    "Transducer",
    "TwoPort",
    "Wall",
    "canal",
    "canal_to_its_end",
    "cone",
    "cut_canal",
    "cylinder",
    "drum_from_probe",
    "drum_impedance_hudde_engel_1998",
    "drum_impedance_infant_2022",
    "drum_impedance_kringlebotn_1988",
    "hook_receiver",
    "ideal_flow_source",
    "identity",
    "insert_earphone",
    "leak_impedance",
    "line",
    "line_constants",
    "middle_ear_impedance",
    "occluded_ear_simulator",
    "occluded_ear_simulator_lumped",
    "pressure_ratio_at",
    "receiver",
    "resonator_impedance",
    "rigid_drum_error_db",
    "series",
    "shunt",
    "slit",
    "standing_wave_deviation_db",
    "thevenin_source",
    "volume_impedance",
]

"""The aid by itself, as the coupler shows it."""

from umbo.aid._output import HFA_HZ, MAXIMUM_INPUT_DB_SPL, high_frequency_average_db, maximum_db, saturation_finding

__all__ = ["HFA_HZ", "MAXIMUM_INPUT_DB_SPL", "high_frequency_average_db", "maximum_db", "saturation_finding"]

"""Published tables with their sources.

``table(quantity, source=...)`` returns one table from one source and edition; ``available()`` lists what
there is. A look-up is exact: nothing is interpolated unless ``interpolate`` is called, and nothing is ever
extrapolated.
"""

from umbo.refdata._bibliography import Reference, bibliography, reference
from umbo.refdata._catalogue import available, quantity_title, table
from umbo.refdata._derivations import DERIVATIONS, ear_simulator_transfer_impedance, rederive
from umbo.refdata._interpolate import Interpolated, interpolate
from umbo.refdata._listing import CatalogueEntry, catalogue, describe_tables, header_lines
from umbo.refdata._sidecar import ColumnInfo, Sidecar
from umbo.refdata._table import Table
from umbo.refdata._vocabulary import PLANES, RELATIONS, UNITS, is_status, status_words

__all__ = [
    "DERIVATIONS",
    "PLANES",
    "RELATIONS",
    "UNITS",
    "CatalogueEntry",
    "ColumnInfo",
    "Interpolated",
    "Reference",
    "Sidecar",
    "Table",
    "available",
    "bibliography",
    "catalogue",
    "describe_tables",
    "ear_simulator_transfer_impedance",
    "header_lines",
    "interpolate",
    "is_status",
    "quantity_title",
    "rederive",
    "reference",
    "status_words",
    "table",
]

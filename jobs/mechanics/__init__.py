"""Mechanics of pulling a standing stem over: an estimate for a competent person to judge, never a permission.

Each topic is a function in the module of its name: `stem`, `hinge`, `wind`, `line`, `pull`, `window`, `tackle`,
`travel`, `crew`, `bollard`, `ratings`, `resultants`, `restraint`, `uncertainty`, `measured`, `plan`, `least`. Its
inputs and its result are frozen dataclasses beside it, named as in the JSON interface (`exchange`). SI floats,
degrees in inputs and results, radians inside. Only NumPy and SciPy: no files, clock, framework or unit library.
"""

# The register of defaults has one order, whatever is imported first: defaults, ratings, limits, spreads.
from jobs.mechanics import rating_data  # isort: split

from jobs.mechanics import limits  # isort: split

from jobs.mechanics import spreads  # isort: split

from jobs.mechanics.defaults import DEFAULTS
from jobs.mechanics.errors import MechanicsError, OutOfRange, Refused
from jobs.mechanics.sources import SOURCES

MECHANICS_VERSION = "1.0"

__all__ = [
    "DEFAULTS",
    "MECHANICS_VERSION",
    "SOURCES",
    "MechanicsError",
    "OutOfRange",
    "Refused",
    "limits",
    "rating_data",
    "spreads",
]

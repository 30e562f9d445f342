"""Mechanics of pulling a standing stem over: an estimate for a competent person to judge, never a permission.

Each topic is a function in the module of its name: `stem`, `hinge`, `wind`, `line`, `pull`, `window`, `tackle`,
`travel`, `crew`, `bollard`, `ratings`, `resultants`, `restraint`, `uncertainty`, `measured`, and `plan`, a package;
topic `least` is in `inverse`. Inputs and result are frozen dataclasses beside it, named as in the JSON interface
(`exchange`). `findings` lists every code, `working` explains every figure. SI floats, degrees in inputs and results,
radians inside. Only NumPy and SciPy: no files, clock, framework or unit library.
"""

from jobs.mechanics.defaults import DEFAULTS
from jobs.mechanics.errors import MechanicsError, OutOfRange, Refused
from jobs.mechanics.sources import SOURCES

MECHANICS_VERSION = "1.0"

__all__ = ["DEFAULTS", "MECHANICS_VERSION", "SOURCES", "MechanicsError", "OutOfRange", "Refused"]

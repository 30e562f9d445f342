"""Shorthands of the tests of changes of facts."""

from crewlog.files.photographs import read_photograph
from gear.fact_changes.services import Grounds, change_fact
from tests.factories.gear import ItemFactory
from tests.files import jpeg


def carabiner(company, **changes):
    """A steel carabiner of 50 kN, which may carry 10 kN."""
    facts = {
        "gear_class": "connector",
        "description": "Steel carabiner",
        "working_load_limit_n": None,
        "breaking_strength_n": 50_000.0,
        "gate": "screw",
        "tag": "C-01",
    }
    return ItemFactory(company=company, **(facts | changes))


def grounds(*, shown=True, **changes):
    facts = {"reason": "read", "source": "marking", "words": "Stamp is 90, the 9 was worn and read as 5."}
    return Grounds(**(facts | {"shown": read_photograph(jpeg()) if shown else None} | changes))


def change(actor, item, subject, *, shown=True, **values):
    return change_fact(actor=actor, item=item, subject=subject, values=values, grounds=grounds(shown=shown))

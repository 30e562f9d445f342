"""Building the whole demo in one transaction."""

from django.db import transaction

from jobs.demo.facts import add_changes
from jobs.demo.history import add_history
from jobs.demo.people import add_people, found_company
from jobs.demo.pictures import add_pictures
from jobs.demo.readings import add_readings
from jobs.demo.reports import add_report
from jobs.demo.rounds import add_rounds
from jobs.demo.scenario import Cast, demo_data
from jobs.demo.store import add_store
from jobs.demo.works import add_works


@transaction.atomic
def build_demo() -> Cast:
    """Build both companies into an empty database; returns the cast of the riverside works."""
    data = demo_data()
    cast = found_company(data["company"])
    add_people(cast, data["people"])
    add_store(cast, data["items"])
    add_history(cast, data["items"], data)
    add_readings(cast, data["readings"])
    add_pictures(cast)
    add_changes(cast)
    add_report(cast)
    add_works(cast)
    add_rounds(cast)
    build_neighbour()
    return cast


def build_neighbour() -> Cast:
    """A second company, so that one can see that neither sees the other."""
    data = demo_data()["second_company"]
    cast = found_company(data["company"])
    add_people(cast, [data["person"]])
    cast.members["inspector"] = cast.members["owner"]  # a small firm: its owner examines its gear
    add_store(cast, data["items"])
    add_history(cast, data["items"], {})
    return cast

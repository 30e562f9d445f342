"""The check of the store that `verify_records` runs."""

from collections.abc import Iterator

from crewlog.models import Company
from gear.state_check.items import check_items
from gear.state_check.replay import told_by
from gear.state_check.settings import check_settings


def check_store(company: Company) -> Iterator[str]:
    """One sentence for each column of the store that does not say what the chain says.

    Worked out from the records alone: facts from registrations and changes, state from examinations, events, loads and
    endings, intervals and limits from what set them.
    """
    told = told_by(company)
    yield from check_items(company, told)
    yield from check_settings(company, told)

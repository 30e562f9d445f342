"""Two people on one page: what each had before them travels with the form, and the later save asks before it undoes."""

from crewlog.stale.authors import Change, changes_since
from crewlog.stale.comparing import Difference, StaleEdit, check_opened
from crewlog.stale.opened import Opened

__all__ = ["Change", "Difference", "Opened", "StaleEdit", "changes_since", "check_opened"]

"""Rules of the store that were broken; each code is stable."""

from crewlog.errors import RuleBroken


class AlreadyRetired(RuleBroken):
    """The item is retired; nothing can be recorded that would bring it back."""

    code = "already-retired"


class NotCompetent(RuleBroken):
    """The examiner may not sign for this item."""

    code = "not-competent"


class IncompleteExamination(RuleBroken):
    """A point of the checklist has no answer, or a measure no figure."""

    code = "examination-incomplete"


class DueTooLate(RuleBroken):
    """The next due date lies after the latest the rules allow."""

    code = "due-too-late"

"""Companies, people and the chain of records that everything else stands on."""

from crewlog.models.assessment import Assessment
from crewlog.models.company import Company, Membership, Role, UnitSystem, User
from crewlog.models.once import SentForm
from crewlog.models.paper import Paper, PaperBytes, PaperPurge
from crewlog.models.people import Competence, ExaminerDetails, Person, PersonDetails, Skill
from crewlog.models.record import EvidenceModel, Record
from crewlog.models.reminders import CalendarFeed, DigestSent, DigestWish
from crewlog.models.retention import Hold, HoldLift, RetentionPeriod

__all__ = [
    "Assessment",
    "CalendarFeed",
    "Company",
    "Competence",
    "DigestSent",
    "DigestWish",
    "EvidenceModel",
    "ExaminerDetails",
    "Hold",
    "HoldLift",
    "Membership",
    "Paper",
    "PaperBytes",
    "PaperPurge",
    "Person",
    "PersonDetails",
    "Record",
    "RetentionPeriod",
    "Role",
    "SentForm",
    "Skill",
    "UnitSystem",
    "User",
]

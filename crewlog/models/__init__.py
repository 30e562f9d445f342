"""Companies, people and the chain of records that everything else stands on."""

from crewlog.models.assessment import Assessment
from crewlog.models.company import Company, FellingWords, Membership, Role, UnitSystem, User
from crewlog.models.issued_document import IssuedDocument, IssuedDocumentBytes, IssuedDocumentPurge
from crewlog.models.mail import MailStop, QueuedMail
from crewlog.models.once import SentForm
from crewlog.models.people import Competence, ExaminerDetails, Person, PersonDetails, Skill
from crewlog.models.record import EvidenceModel, Record, RecordSubject
from crewlog.models.reminders import CalendarFeed, DigestSent, DigestWish
from crewlog.models.retention import Hold, HoldLift, RetentionPeriod
from crewlog.models.sign_in import SignInLimit

# A package of its own, whose tables stand on those above.
from crewlog.models.training import Learning, TrainingSession  # isort: skip

__all__ = [
    "Assessment",
    "CalendarFeed",
    "Company",
    "Competence",
    "DigestSent",
    "DigestWish",
    "EvidenceModel",
    "ExaminerDetails",
    "FellingWords",
    "Hold",
    "HoldLift",
    "IssuedDocument",
    "IssuedDocumentBytes",
    "IssuedDocumentPurge",
    "Learning",
    "MailStop",
    "Membership",
    "Person",
    "PersonDetails",
    "QueuedMail",
    "Record",
    "RecordSubject",
    "RetentionPeriod",
    "Role",
    "SentForm",
    "SignInLimit",
    "Skill",
    "TrainingSession",
    "UnitSystem",
    "User",
]

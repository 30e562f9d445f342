"""Companies, people and the chain of records that everything else stands on."""

from crewlog.models.company import Company, Membership, Role, UnitSystem, User
from crewlog.models.people import Competence, ExaminerDetails, Person, PersonDetails, Skill
from crewlog.models.record import EvidenceModel, Record

__all__ = [
    "Company",
    "Competence",
    "EvidenceModel",
    "ExaminerDetails",
    "Membership",
    "Person",
    "PersonDetails",
    "Record",
    "Role",
    "Skill",
    "UnitSystem",
    "User",
]

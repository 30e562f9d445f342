"""Minimum legal companies, people and sign-ins."""

import datetime as dt

import factory
from factory.django import DjangoModelFactory

from crewlog.evidence import Entry, append
from crewlog.evidence.qualification_state import digest_of
from crewlog.models import Company, Competence, Learning, Membership, Person, PersonDetails, Role, User
from crewlog.people.competence import competence_body

PASSWORD = "towpath-lantern-42"


class CompanyFactory(DjangoModelFactory):
    class Meta:
        model = Company

    name = factory.Sequence(lambda n: f"Company {n}")
    time_zone = "UTC"


class PersonFactory(DjangoModelFactory):
    class Meta:
        model = Person
        skip_postgeneration_save = True

    company = factory.SubFactory(CompanyFactory)

    @factory.post_generation
    def name(self, create, extracted, **kwargs):
        """`name=None` makes a person whose details were removed."""
        if create and extracted != "removed":
            PersonDetails.objects.create(person=self, name=extracted or f"Person {str(self.pk)[:4]}")


class UserFactory(DjangoModelFactory):
    class Meta:
        model = User
        skip_postgeneration_save = True

    email = factory.Sequence(lambda n: f"person{n}@example.test")

    @factory.post_generation
    def password(self, create, extracted, **kwargs):
        self.set_password(extracted or PASSWORD)
        if create:
            self.save()


class MembershipFactory(DjangoModelFactory):
    class Meta:
        model = Membership
        skip_postgeneration_save = True

    user = factory.SubFactory(UserFactory)
    company = factory.SubFactory(CompanyFactory)
    person = factory.SubFactory(PersonFactory, company=factory.SelfAttribute("..company"))
    role = Role.OWNER
    ends_on = factory.LazyAttribute(lambda o: dt.date(2099, 1, 1) if o.role == Role.AUDITOR else None)

    @factory.post_generation
    def on_record(self, create, extracted, **kwargs):
        """A sign-in stands on the record that gave it; `on_record=False` makes one that nobody gave."""
        if create and extracted is not False:
            body = {"person": self.person_id, "role": self.role, "ends_on": self.ends_on}
            append(self.company, "crewlog.sign-in-given", Entry(actor=None), body=body, people=[self.person])


class CompetenceFactory(DjangoModelFactory):
    class Meta:
        model = Competence
        skip_postgeneration_save = True

    person = factory.SubFactory(PersonFactory)
    evidence = "certificate 1, seen"
    granted_on = dt.date(2020, 1, 1)

    @factory.post_generation
    def on_record(self, create, extracted, **kwargs):
        """A qualification stands on the record that entered it; `on_record=False` makes one that nobody entered."""
        details = getattr(self.person, "details", None)
        if create and details is not None and extracted is not False:
            digest = digest_of(details.salt, self.evidence, [])
            body = competence_body(self) | {"evidence_digest": digest, "is_assessment": False}
            append(self.person.company, "crewlog.competence-entered", Entry(actor=None), body=body)


class LearningFactory(DjangoModelFactory):
    class Meta:
        model = Learning

    person = factory.SubFactory(PersonFactory)
    since = dt.date(2020, 1, 1)

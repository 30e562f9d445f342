"""Jobs, stems, plans and sheets: the legal minimum, and the story of a plan that holds with all its gear and people.

The story is built after the worked examples 12 and 13 of the mechanics, with invented names.
"""

import datetime as dt

import factory
from django.utils import timezone
from factory.django import DjangoModelFactory

from crewlog.models import Skill
from jobs.models import (
    Anchor,
    AnchorKind,
    Assignment,
    CrownPart,
    Duty,
    Hazard,
    HazardKind,
    Job,
    Place,
    PullPlan,
    Sheet,
    Stem,
    StemSection,
)
from tests.factories.crewlog import CompanyFactory, CompetenceFactory, PersonFactory
from tests.factories.gear import ItemFactory, stated_at_once
from tests.factories.replay import Start, laid
from tests.given import Given

SECTIONS = ((0.0, 0.50), (1.5, 0.40), (8.0, 0.26), (12.0, 0.16))
PLACES = (("haulers", 30.0, 104.0), ("bollard_tender", 30.0, 76.0), ("lookout", 40.0, 20.0))


class JobFactory(DjangoModelFactory):
    class Meta:
        model = Job
        skip_postgeneration_save = True

    company = factory.SubFactory(CompanyFactory)
    reference = factory.Sequence(lambda n: f"{n + 400:04d}")
    site_name = "Withy Cut"
    address = "Towpath, Eelpool Lock"
    emergency_department = "Harrow Mead Hospital"
    rescue_plan = "Second climber on the ground, kit at the foot of the stem."
    communication = "Whistle: one stop, two go."
    first_day = factory.LazyAttribute(lambda o: o.company.today())
    last_day = factory.LazyAttribute(lambda o: o.first_day + dt.timedelta(days=1))
    lead = factory.SubFactory(PersonFactory, company=factory.SelfAttribute("..company"), name="Jonas Pellaw")

    @factory.post_generation
    def crew(self, create, extracted, **kwargs):
        if create and extracted:
            self.crew.set(extracted)


class StemFactory(DjangoModelFactory):
    class Meta:
        model = Stem
        skip_postgeneration_save = True

    job = factory.SubFactory(JobFactory)
    label = factory.Sequence(lambda n: str(n + 1))

    class Params:
        measured = factory.Trait(
            species="common-alder",
            split_prone="no",
            green_density_kg_m3=900.0,
            measured_as="diameter",
            diameter_method="tape",
            bark_thickness_m=0.01,
            tree_height_m=12.0,
            height_method="clinometer",
            lean_deg=3.0,
            lean_azimuth_deg=270.0,
            lean_method="plumb",
            crown="crown",
            hinge_soundness="sound",
            attachment_soundness="sound",
            dead_or_dying="no",
            hung_up="no",
            union_or_crack="no",
            ground_fall_deg=2.0,
        )

    @factory.post_generation
    def rows(self, create, extracted, **kwargs):
        """A measured stem has its sizes and its crown; `rows=False` leaves them out."""
        if create and self.species and extracted is not False:
            for height_m, diameter_m in SECTIONS:
                StemSection.objects.create(stem=self, height_m=height_m, diameter_m=diameter_m)
            CrownPart.objects.create(stem=self, mass_kg=40.0, height_m=11.0, frontal_area_m2=2.0)


class PlanFactory(DjangoModelFactory):
    class Meta:
        model = PullPlan
        skip_postgeneration_save = True

    stem = factory.SubFactory(StemFactory)

    class Params:
        complete = factory.Trait(
            stem__measured=True,
            lay_azimuth_deg=90.0,
            hinge_height_m=0.3,
            notch_depth_ratio=0.26,
            notch_opening_deg=70.0,
            hinge_thickness_m=0.04,
            attach_height_m=8.0,
            attach_method="clinometer",
            sound_wood_height_m=10.0,
            anchor_distance_m=27.0,
            anchor_distance_method="tape",
            anchor_azimuth_deg=90.0,
            anchor_slope_deg=-4.0,
            anchor_height_m=0.5,
            gust_m_s=6.0,
            gust_source="measured",
            frozen_wood="no",
            parts=5,
            sheave_efficiency_ratio=0.92,
            sheave_efficiency_origin="measured",
            extended_length_m=3.0,
            two_blocked_length_m=0.8,
            setback_m=0.3,
            slack_m=0.3,
            hitch_spread_deg=10.0,
            haulers=4,
            tension_gauge="in_line",
            backup_anchor="own",
            wedge_planned=True,
            proof_pull_planned=True,
            side_target="no",
            shock_credible="no",
            bollard_hand_n=150.0,
            bollard_wraps=4.0,
        )

    @factory.post_generation
    def people(self, create, extracted, **kwargs):
        """A complete plan says where people stand; `people=False` leaves them out."""
        if create and self.attach_height_m is not None and extracted is not False:
            for place, distance_m, azimuth_deg in PLACES:
                Place.objects.create(plan=self, place=place, distance_m=distance_m, azimuth_deg=azimuth_deg)
            Place.objects.create(
                plan=self, place="cutter", distance_m=1.2, azimuth_deg=240.0, escape_route="Back and right, cleared."
            )


class AnchorFactory(DjangoModelFactory):
    class Meta:
        model = Anchor

    job = factory.SubFactory(JobFactory)
    name = factory.Sequence(lambda n: f"Stump {n + 1}")
    kind = AnchorKind.STUMP
    estimate_n = 60_000.0
    estimated_by = factory.SelfAttribute("job.lead")
    estimated_at = factory.LazyFunction(timezone.now)
    basis = "Sound alder stump, 60 cm across, roots whole"
    root_plate_checked = True
    decay_checked = True
    ground_checked = True


class HazardFactory(DjangoModelFactory):
    class Meta:
        model = Hazard

    stem = factory.SubFactory(StemFactory)
    kind = HazardKind.WAY
    description = "Towpath"
    distance_m = 9.0
    bearing_deg = 180.0
    control = "Closed at both gates, a lookout at each"


class SheetFactory(DjangoModelFactory):
    class Meta:
        model = Sheet

    stem = factory.SubFactory(StemFactory)
    number = factory.LazyAttribute(lambda o: f"{o.stem.job.reference}-{o.stem.label}")
    day = factory.LazyAttribute(lambda o: o.stem.job.first_day)


# role -> gear: the item's fields, then how it is used
METAL = {"breaking_strength_n": 100_000.0, "working_load_limit_n": None, "gate": "auto", "material": "steel"}
STRETCH = {"reference_elongation_ratio": 0.02, "reference_load_ratio": 0.10}
GEAR: dict[str, tuple[Given, Given]] = {
    "main_line": ({"rope": True, "tag": "R-07", "breaking_strength_n": 90_000.0, "length_m": 60.0, **STRETCH}, {}),
    "stem_sling": (
        {"sling": True, "tag": "S-12", "vertical_rating_n": 40_000.0},
        {"configuration": "choker", "choke_angle_deg": 130.0},
    ),
    "stem_connector": ({"gear_class": "connector", "tag": "C-30", "description": "Steel shackle", **METAL}, {}),
    "hitch_cord": (
        {
            "gear_class": "hitch_cord",
            "tag": "H-05",
            "description": "Hitch cord, 10 mm",
            "working_load_limit_n": None,
            "breaking_strength_n": 44_000.0,
            "diameter_mm": 10.0,
            "length_m": 4.0,
            "material": "aramid",
            "terminations": ["double_fisherman"],
            "manufactured_on": dt.date(2025, 3, 1),
        },
        {},
    ),
    "hitch_connector": ({"gear_class": "connector", "tag": "C-31", "description": "Steel carabiner", **METAL}, {}),
    "moving_block": ({"tag": "B-08", "construction": "double_in_line", "description": "Double block, in line"}, {}),
    "fixed_block": ({"tag": "B-06"}, {}),
    "fixed_block_connector": (
        {"gear_class": "connector", "tag": "C-32", "description": "Steel carabiner", **METAL},
        {},
    ),
    "tackle_rope": (
        {
            "rope": True,
            "gear_class": "tackle_rope",
            "tag": "R-21",
            "description": "Tackle rope, 12 mm, 40 m",
            "diameter_mm": 12.0,
            "length_m": 40.0,
        },
        {},
    ),
    "cleat": ({"gear_class": "cleat", "tag": "K-02", "description": "Cam cleat", "working_load_limit_n": 6_000.0}, {}),
    "anchor_sling": (
        {"sling": True, "tag": "S-14", "vertical_rating_n": 40_000.0},
        {"configuration": "basket", "basket_half_angle_deg": 20.0},
    ),
    "bollard": (
        {
            "gear_class": "bollard",
            "tag": "D-02",
            "description": "Bollard, 150 mm drum",
            "working_load_limit_n": 20_000.0,
        },
        {},
    ),
    "bollard_sling": ({"sling": True, "tag": "S-15", "vertical_rating_n": 40_000.0}, {"configuration": "straight"}),
    "tension_gauge": (
        {"gear_class": "load_cell", "tag": "L-01", "description": "Load cell, 20 kN", "working_load_limit_n": 20_000.0},
        {},
    ),
}
TAKES_ROPE = {"rope_diameter_min_mm": 8.0, "rope_diameter_max_mm": 18.0}
HOSTS: dict[str, Given] = {
    "moving_block": {"sheave_diameter_mm": 90.0, "sheave_count": 2, **TAKES_ROPE},
    "fixed_block": {"sheave_diameter_mm": 90.0, "sheave_count": 2, **TAKES_ROPE},
    "cleat": TAKES_ROPE,
    "bollard": {"sheave_diameter_mm": 150.0, **TAKES_ROPE},
}
PEOPLE = (
    ("Cai Thrush", "cutter", Skill.CUTTER),
    ("Wren Oakley", "hauler", Skill.HAULER),
    ("Tam Birkett", "hauler", Skill.HAULER),
    ("Ros Ferrier", "hauler", Skill.HAULER),
    ("Ivo Marsh", "hauler", Skill.HAULER),
    ("Nell Coppard", "bollard_tender", Skill.BOLLARD),
    ("Gil Strand", "hitch_tender", Skill.HITCH),
    ("Una Heron", "lookout", Skill.LOOKOUT),
)


def hang(sheet, role, **changes):
    """Put the story's item in a position, or the same with some of its fields changed."""
    fields, use = GEAR[role]
    item = ItemFactory(company=sheet.stem.job.company, **{**fields, **HOSTS.get(role, {}), **changes})
    return Assignment.objects.create(sheet=sheet, role=role, item=item, **use)


def give_duty(sheet, name, duty, skill, **changes):
    person = PersonFactory(company=sheet.stem.job.company, name=name, **changes)
    CompetenceFactory(person=person, skill=skill)
    return Duty.objects.create(sheet=sheet, duty=duty, person=person)


def passing_sheet(company, *, lead=None, label="7", **job):
    """A draft that nothing refuses: plan, load path, anchors, duties. Laid from an earlier build where there is one."""
    job.setdefault("reference", f"{JobFactory._meta.next_sequence() + 400:04d}")
    if lead is not None:
        job["lead"] = lead
    if job.keys() - {"reference", "lead"}:
        return built_sheet(company, label=label, **job)
    start = Start(company, lead, label, job["reference"])
    return laid(start, lambda: built_sheet(company, label=label, **job))


def built_sheet(company, *, label="7", **job):
    """The same, each row by its factory."""
    plan = PlanFactory(complete=True, stem__job=JobFactory(company=company, **job), stem__label=label)
    sheet = SheetFactory(stem=plan.stem)
    with stated_at_once():
        for role in GEAR:
            hang(sheet, role)
    for role in ("anchor", "bollard_anchor"):
        Assignment.objects.create(sheet=sheet, role=role, anchor=AnchorFactory(job=plan.stem.job))
    for name, duty, skill in PEOPLE:
        give_duty(sheet, name, duty, skill)
    first_aider = Duty.objects.get(sheet=sheet, duty="lookout").person
    CompetenceFactory(person=first_aider, skill=Skill.FIRST_AID)
    Duty.objects.create(sheet=sheet, duty="first_aider", person=first_aider)
    return sheet

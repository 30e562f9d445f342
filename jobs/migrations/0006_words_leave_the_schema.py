"""Words, labels and choices of the columns of stems and plans stand in their declarations alone. Nothing in the database changes."""

from django.db import migrations, models

UNANSWERED = {"null": True, "blank": True}
PLAN_FIGURES = (
    "lay_azimuth_deg", "notch_depth_ratio", "notch_opening_deg", "hinge_width_m", "attach_height_m",
    "sound_wood_height_m", "anchor_distance_m", "anchor_azimuth_deg", "anchor_slope_deg", "anchor_height_m",
    "sheave_efficiency_ratio", "extended_length_m", "two_blocked_length_m", "setback_m", "slack_m",
    "hitch_spread_deg", "second_efficiency_ratio", "gust_m_s", "bollard_hand_n", "bollard_wraps",
    "side_attach_height_m", "restraint_mass_kg", "restraint_slope_deg", "restraint_length_m", "restraint_slack_m",
)  # fmt: skip
PLAN_TOLERANCES = ("attach_tolerance_m", "anchor_tolerance_m", "gust_tolerance_m_s", "lean_tolerance_deg")
PLAN_ANSWERS = {
    "attach_method": 12,
    "anchor_distance_method": 12,
    "sheave_efficiency_origin": 10,
    "gust_source": 10,
    "frozen_wood": 10,
    "side_target": 10,
    "shock_credible": 10,
}
STEM_ANSWERS = {
    "split_prone": 10,
    "diameter_method": 10,
    "height_method": 12,
    "lean_method": 10,
    "crown": 10,
    "hinge_soundness": 10,
    "attachment_soundness": 10,
    "dead_or_dying": 10,
    "hung_up": 10,
    "union_or_crack": 10,
}
SIZES = (
    (
        models.Q(green_density_kg_m3__isnull=True)
        | models.Q(green_density_kg_m3__gte=300, green_density_kg_m3__lte=1400)
    )
    & (models.Q(bark_thickness_m__isnull=True) | models.Q(bark_thickness_m__gte=0, bark_thickness_m__lte=0.2))
    & (models.Q(tree_height_m__isnull=True) | models.Q(tree_height_m__gt=0, tree_height_m__lte=80))
)
SAID = "Height up to 80 m, bark up to 20 cm, density from 300 to 1400 kg/m³."
PLAN_CHOSEN = {
    "cut_method": (16, "conventional"),
    "rove": (16, "to_advantage"),
    "cleat_on": (16, "hauling_block"),
    "tension_gauge": (16, "none"),
    "backup_anchor": (8, "shared"),
    "restraint_attachment": (12, "axis"),
}


def altered_of_plans():
    fields = {name: models.FloatField(**UNANSWERED) for name in PLAN_FIGURES}
    fields |= {name: models.FloatField(default=0.0) for name in PLAN_TOLERANCES}
    fields |= {name: models.PositiveSmallIntegerField(**UNANSWERED) for name in ("haulers", "second_parts")}
    fields["hauler_tolerance"] = models.PositiveSmallIntegerField(default=0)
    fields |= {name: models.BooleanField(default=False) for name in ("side_line", "restraint")}
    fields |= {
        name: models.CharField(blank=True, default="", max_length=longest) for name, longest in PLAN_ANSWERS.items()
    }
    fields |= {
        name: models.CharField(default=first, max_length=longest) for name, (longest, first) in PLAN_CHOSEN.items()
    }
    return [migrations.AlterField("pullplan", name, field) for name, field in fields.items()]


def altered_of_stems():
    fields = {
        name: models.CharField(blank=True, default="", max_length=longest) for name, longest in STEM_ANSWERS.items()
    }
    fields["measured_as"] = models.CharField(default="diameter", max_length=10)
    fields["ground_fall_deg"] = models.FloatField(**UNANSWERED)
    sizes = "jobs_stem_sizes_positive"  # the same bounds, in the order of the columns
    return [
        *(migrations.AlterField("stem", name, field) for name, field in fields.items()),
        migrations.RemoveConstraint("stem", sizes),
        migrations.AddConstraint("stem", models.CheckConstraint(name=sizes, condition=SIZES, violation_error_message=SAID)),
    ]


def altered_of_redirects():
    return [
        migrations.AlterField("redirect", "kind", models.CharField(default="sheave", max_length=8)),
        migrations.AlterField("redirect", "friction_ratio", models.FloatField()),
    ]


class Migration(migrations.Migration):
    dependencies = [("jobs", "0005_one_withdrawal_a_sheet")]

    operations = [migrations.SeparateDatabaseAndState(state_operations=[*altered_of_plans(), *altered_of_stems(), *altered_of_redirects()])]

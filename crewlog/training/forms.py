"""The form of learning."""

from django import forms

from crewlog.models import Skill
from crewlog.web.form_boxes import choice_field


class LearningForm(forms.Form):
    skill = choice_field("Skill", Skill.choices, required=True, empty="Choose")

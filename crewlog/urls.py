"""Addresses: sign-in, the pages of the company, then gear and jobs."""

from django.urls import include, path

from crewlog.company import views as company_views
from crewlog.demo import views as demo_views
from crewlog.evidence import views as evidence_views
from crewlog.people import views as people_views
from crewlog.retention import views as retention_views
from crewlog.signin import views as signin_views
from crewlog.training import views as training_views
from crewlog.unsent import views as unsent_views
from crewlog.web import views

handler500 = "crewlog.site.answers.any_error"

urlpatterns = [
    path("", include("crewlog.site.urls")),
    path("accounts/", include("allauth.account.urls")),
    path("accounts/2fa/", include("allauth.mfa.urls")),
    path("accounts/devices/", signin_views.devices, name="devices"),
    path("accounts/devices/end/", signin_views.devices_end, name="devices_end"),
    path("accounts/devices/<int:device_id>/end/", signin_views.device_end, name="device_end"),
    path("demo/sign-in/<int:member_id>/", demo_views.demo_sign_in, name="demo_sign_in"),
    path("theme/", views.choose_theme, name="theme"),
    path("more/", views.more, name="more"),
    path("here/", unsent_views.who_is_here, name="who_is_here"),
    path("company/", company_views.company, name="company"),
    path("company/sign-in/", signin_views.sign_in_rules, name="sign_in_rules"),
    path("crew/<uuid:person_id>/examiner/", company_views.examiner, name="examiner"),
    path("crew/", people_views.crew, name="crew"),
    path("crew/new/", people_views.person_new, name="person_new"),
    path("crew/<uuid:person_id>/", people_views.person, name="person"),
    path("crew/<uuid:person_id>/edit/", people_views.person_edit, name="person_edit"),
    path("crew/<uuid:person_id>/sign-in/", people_views.person_sign_in, name="person_sign_in"),
    path("crew/<uuid:person_id>/invite/", people_views.person_invite, name="person_invite"),
    path("crew/<uuid:person_id>/left/", people_views.person_left, name="person_left"),
    path("crew/<uuid:person_id>/back/", people_views.person_back, name="person_back"),
    path("crew/<uuid:person_id>/remove/", people_views.person_remove, name="person_remove"),
    path("crew/<uuid:person_id>/competence/", people_views.competence_new, name="competence_new"),
    path("crew/competence/<int:competence_id>/end/", people_views.competence_end, name="competence_end"),
    path("crew/<uuid:person_id>/learning/", training_views.learning_new, name="learning_new"),
    path("crew/learning/<int:learning_id>/end/", training_views.learning_end, name="learning_end"),
    path("retention/", retention_views.retention, name="retention"),
    path("holds/", retention_views.holds, name="holds"),
    path("holds/<int:hold_id>/lift/", retention_views.hold_lift, name="hold_lift"),
    path("records/", views.records, name="records"),
    path("records/chain.jsonl", evidence_views.chain_export, name="chain_export"),
    path("records/verify_chain.py", evidence_views.chain_verifier, name="chain_verifier"),
    path("", include("gear.urls")),
    path("", include("jobs.urls")),
]

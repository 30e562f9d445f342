"""Who is asking, and in which theme."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from crewlog.felling_words import NORTH_AMERICAN, felling_words_of
from crewlog.models import Membership
from crewlog.quantities.number_style import POINT, numbers_with
from crewlog.web.http import THEMES, SeenRequest

Handler = Callable[[HttpRequest], HttpResponse]


class MemberMiddleware:
    """Sets request.member (None when signed out or lapsed) and request.theme."""

    def __init__(self, get_response: Handler) -> None:
        self.get_response = get_response

    def __call__(self, request: SeenRequest) -> HttpResponse:
        theme = request.COOKIES.get("theme", "device")
        request.theme = theme if theme in THEMES else "device"
        request.member = self.member(request)
        company = request.member.company if request.member else None
        mark, words = (company.decimal_mark, company.felling_words) if company else (POINT, NORTH_AMERICAN)
        with numbers_with(mark), felling_words_of(words):
            return self.get_response(request)

    def member(self, request: HttpRequest) -> Membership | None:
        if not request.user.is_authenticated:
            return None
        member = Membership.objects.select_related("company", "person__details").filter(user_id=request.user.pk).first()
        return None if member is None or member.has_lapsed() else member

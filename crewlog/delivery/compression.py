"""Pages and other text go over the wire compressed; what is compressed already (photographs, PDFs, fonts) as it is."""

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.middleware.gzip import GZipMiddleware

NOT_WHOLE = (204, 206, 304)  # no body, or a part of one whose offsets mean the plain bytes
TEXTS = ("text/", "application/json", "image/svg+xml")


class CompressedText(GZipMiddleware):
    """Django's, with its random padding against guesses by length, for whole answers of text only."""

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        is_text = response.headers.get("Content-Type", "").startswith(TEXTS)
        if not is_text or request.method == "HEAD" or response.status_code in NOT_WHOLE:
            return response
        return super().process_response(request, response)

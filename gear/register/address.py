"""The code on an item: its address, and the QR that is readable at the size it is printed."""

from urllib.parse import parse_qs, urlencode, urlsplit

import segno
from django.conf import settings
from segno import QRCode

from crewlog.errors import RuleBroken
from crewlog.models import Company
from gear.models import GearItem

OF = "of"  # says whose item a code is, so that another company's equal tag is not taken for it
QUIET = 2  # modules of white that the label itself keeps round the code; its own margin comes besides
GOOD_MODULE_MM, LEAST_MODULE_MM = 0.40, 0.25
LEVELS = ("h", "q", "m", "l")  # share that dirt may cover: 30, 25, 15, 7 per cent (ISO/IEC 18004)


def item_address(item: GearItem) -> str:
    """Where the code of an item leads."""
    return f"{settings.SITE_ADDRESS.rstrip('/')}{item.get_absolute_url()}?{urlencode({OF: item.company_id})}"


def label_code(address: str, side_mm: float) -> QRCode:
    """The most dirt-proof code whose modules are still coarse enough on a square of this side, else the coarsest.

    Raises RuleBroken where even that is too fine to be read.
    """
    code = segno.make_qr(address, error=LEVELS[-1])
    for level in LEVELS:
        code = segno.make_qr(address, error=level)
        if module_mm(code, side_mm) >= GOOD_MODULE_MM:
            return code
    if module_mm(code, side_mm) < LEAST_MODULE_MM:
        raise RuleBroken(
            "The site's address is too long for so small a label. Choose a larger one.", code="label-too-small"
        )
    return code


def module_mm(code: QRCode, side_mm: float) -> float:
    """Side of one module when the code with its quiet zone fills a square."""
    return float(side_mm / code.symbol_size(border=QUIET)[0])


def item_by_tag(company: Company, tag: str) -> GearItem | None:
    """The company's item with this tag, in whatever case it was typed; a scanned address counts by its last part."""
    said = urlsplit(tag.strip()) if "/" in tag else None
    if said is not None and parse_qs(said.query).get(OF, [str(company.pk)]) != [str(company.pk)]:
        return None
    text = (said.path if said is not None else tag.strip()).rstrip("/").rpartition("/")[2]
    if not text:
        return None
    found: GearItem | None = GearItem.objects.for_company(company).filter(tag__iexact=text).first()
    return found

"""What is taken, and what is not. Our own limits; the forms state them."""

MEGABYTE = 1_000_000
PHOTOGRAPH_BYTES = 15 * MEGABYTE
PHOTOGRAPH_PIXELS = 50_000_000
KEPT_SIDE_PX = 2400
THUMB_SIDE_PX = 360
DOCUMENT_BYTES = 10 * MEGABYTE
DOCUMENT_PAGES = 400
DOCUMENT_OBJECTS = 60_000
MOST_BYTES = max(PHOTOGRAPH_BYTES, DOCUMENT_BYTES)

PHOTOGRAPH_TYPES = "image/jpeg,image/png,image/webp"
DOCUMENT_TYPES = "application/pdf"
PHOTOGRAPH_WORDS = (
    f"JPEG, PNG or WebP, up to {PHOTOGRAPH_BYTES // MEGABYTE}\u00a0MB. Kept without the place and the camera's details."
)
DOCUMENT_WORDS = (
    f"PDF up to {DOCUMENT_BYTES // MEGABYTE}\u00a0MB and {DOCUMENT_PAGES} pages, without scripts, "
    "attachments or a password."
)

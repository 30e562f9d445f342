"""Requests nobody means: made from a seed, from the addresses and forms there are."""

import io
import json
import uuid
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import quote, quote_from_bytes

ODD_NUMBERS = (
    "0", "-1", "1", "2147483647", "2147483648", "4294967296", "32768", str(2**63 - 1), str(2**63), str(2**64 + 1),
    str(-(2**63) - 1), "9" * 400, "1e309", "NaN", "-inf", "0x10", "١٢٣", "１２", "²", "1_000", "+5", "1.5", " 7 ",
    "00001",
)  # fmt: skip
ODD_TEXTS = (
    "", "\x00", "a\x00b", "%", "'\";--", "<script>alert(1)</script>", "../../etc/passwd", "\u202e\u200b\ufeff",
    "🙂" * 50,
    "\r\nSet-Cookie: x=y", "é" * 300, "A" * 5_000, "\ufffe\uffff", "{{7*7}}", "None", "null", "true", "[]", "{}", "\\",
    "9999-12-31", "0000-00-00", "2026-02-30", "10000-01-01", "0001-01-01", "25:61", "2026-11-25T00:00:00+99:99",
    "12,5 kN",
    "1/0", "9**9**9", "=1+1", "\t", "\x7f\x1b[31m", "ﷺ" * 40,
)  # fmt: skip
ODD_BYTES = (b"\xff\xfe\xfd", b"\xc3\x28", b"\xed\xa0\x80", b"a\x00", b"\xf0\x9f\x99")
ODD_IDS = (*ODD_NUMBERS, str(uuid.UUID(int=0)), str(uuid.UUID(int=2**128 - 1)), "not-a-uuid")
QUERY_NAMES = (
    "page", "q", "s", "c", "p", "due", "days", "tag", "set", "e", "corrects", "kind", "what", "of", "on", "left", "all",
    "since", "verify", "next", "pick", "place", "item", "form", "code", "use", "accessory", "reason", "rank", "kit",
    "measure_diameter_mm", "a b", "",
)  # fmt: skip
HEADERS = {
    "HX-Request": ("true", "maybe"),
    "HX-History-Restore-Request": ("true",),
    "HX-Target": ("\u00ff", "x" * 2_000),
    "HX-Current-URL": ("http://[::1", "javascript:alert(1)"),
    "Accept": ("application/json", "*/*;q=x", "text/html;level=9" * 200),
    "Accept-Language": ("x" * 5_000, "en-\u00ff"),
    "X-Request-ID": ("a b c", "\u00ff" * 20, "good-request-id", "x" * 5_000),
    "X-Forwarded-For": ("1.2.3.4, bad", "::ffff:1.2.3.4", "x" * 1_000),
    "X-Forwarded-Proto": ("https", "ftp"),
    "If-Modified-Since": ("yesterday", "Thu, 01 Jan 1970 00:00:00 GMT", "Thu, 99 Foo 99999 99:99:99 GMT"),
    "If-None-Match": ('"x"', "*", '"' * 100),
    "Range": ("bytes=0-", "bytes=-1", "bytes=9999999999999999999-", "lines=1"),
    "Cookie": ("sessionid=\u00ff; theme=%00", "theme=<b>", "sessionid=" + "x" * 4_000, ";;;==="),
    "Referer": ("http://evil.example/", "\u00ff"),
    "Host": ("evil.example", "testserver:99999", "a b"),
    "Content-Length": ("-1", "x"),  # longer than the body: the test client itself stops there
    "Content-Encoding": ("gzip",),
}
METHODS = ("HEAD", "PUT", "PATCH", "DELETE", "OPTIONS", "TRACE")
CONTENT_TYPES = (
    "application/x-www-form-urlencoded", "application/x-www-form-urlencoded; charset=utf-16", "text/plain",
    "application/x-www-form-urlencoded; charset=no-such-letters", "multipart/form-data", "application/json",
    "multipart/form-data; boundary=x", "multipart/form-data; boundary=" + "y" * 300, "", "image/jpeg", "\u00ff/x",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Odd:
    """One request: how it is sent, and the number that makes it again."""

    number: int
    person: str
    method: str
    path: str
    body: bytes = b""
    content_type: str = ""
    headers: dict = field(default_factory=dict)

    def __str__(self):
        return (
            f"#{self.number} {self.person} {self.method} {self.path[:200]} {self.content_type[:60]} {self.body[:200]!r}"
        )


class FormFields(HTMLParser):
    """Names of the boxes of a page, each with the values the page offers for it."""

    def __init__(self):
        super().__init__()
        self.values = {}
        self.select = ""

    def handle_starttag(self, tag, attributes):
        said = dict(attributes)
        if tag == "select":
            self.select = said.get("name") or ""
        elif tag == "option" and self.select:
            self.values.setdefault(self.select, []).append(said.get("value") or "")
        elif tag in ("input", "textarea", "button") and said.get("name"):
            self.values.setdefault(said["name"], []).append(said.get("value") or "")


def fields_of(html):
    parser = FormFields()
    parser.feed(html)
    return parser.values


def odd_text(dice):
    return dice.choice(dice.choice((ODD_TEXTS, ODD_NUMBERS)))


def odd_segment(dice):
    """A part of an address, percent-encoded; now and then bytes that are no text."""
    if dice.random() < 0.15:
        return quote_from_bytes(dice.choice(ODD_BYTES), safe="")
    return quote(dice.choice(dice.choice((ODD_IDS, ODD_TEXTS))), safe="") or "0"


def odd_query(dice):
    pairs = []
    for _ in range(dice.randrange(4)):
        value = odd_segment(dice) if dice.random() < 0.8 else "1"
        pairs.append(f"{quote(dice.choice(QUERY_NAMES))}={value}")
    return "&".join(pairs)


def odd_form(dice, fields):
    """The page's own form, mostly as it stands, with some boxes filled oddly."""
    pairs = []
    for name, values in fields.items():
        fate = dice.random()
        if fate < 0.15:
            continue
        value = odd_text(dice) if fate < 0.4 else dice.choice(values)
        pairs.append((name, value or ("1" if dice.random() < 0.5 else "")))
    for _ in range(dice.randrange(3)):
        pairs.append((dice.choice((*fields, *QUERY_NAMES)), odd_text(dice)))
    return pairs


def urlencoded(pairs):
    return "&".join(f"{quote(k, safe='')}={quote(v, safe='')}" for k, v in pairs).encode()


def multipart(dice, pairs):
    out = io.BytesIO()
    for name, value in pairs:
        clean = name.replace('"', "%22").replace("\r", "").replace("\n", "")
        file_name = f'; filename="{dice.choice(("a.jpg", "..", "x" * 400, "a%00.pdf"))}"' if dice.random() < 0.2 else ""
        out.write(f'--odd\r\nContent-Disposition: form-data; name="{clean}"{file_name}\r\n\r\n'.encode())
        out.write(value.encode() + dice.choice((b"", b"", b"\xff\x00")) + b"\r\n")
    out.write(b"--odd--\r\n" if dice.random() < 0.9 else b"--od")
    return out.getvalue()


def odd_json(dice):
    kind = dice.randrange(6)
    if kind == 0:
        return b"[" * 100_000
    if kind == 1:
        return b'{"a":' * 3_000 + b"1" + b"}" * 3_000
    if kind == 2:
        return b'{"device": "\\ud800", "now": "2026-11-25T08:00:00+00:00", "items": {}}'
    now = "2026-11-25T08:00:00+00:00"
    answers = {dice.choice(("verdict", "point_a", odd_text(dice)[:59] or "x")): [odd_text(dice), now]}
    item = {"answers": answers, "seconds": dice.choice((1, -1, 2**70, "x")), "fail": dice.choice((True, False, 1))}
    place = dice.choice(("1", "0", "9999", "x"))
    device = dice.choice(("abc", "a\x00b", "\ud800", 7))
    said = {"device": device, "now": now, "offset_min": dice.choice((0, 10**9)), "items": {place: item}}
    return json.dumps(said).encode("utf-8", "surrogatepass")


def odd_body(dice, fields):
    """Bytes and the type they are said to be."""
    kind = dice.random()
    if kind < 0.5:
        return urlencoded(odd_form(dice, fields)), CONTENT_TYPES[0]
    if kind < 0.72:
        return multipart(dice, odd_form(dice, fields)), "multipart/form-data; boundary=odd"
    if kind < 0.86:
        return odd_json(dice), dice.choice(("application/json", "application/json", "text/plain"))
    if kind < 0.9:
        return b"&".join(b"f%d=1" % n for n in range(1_500)), CONTENT_TYPES[0]
    if kind < 0.93:
        return b"q=" + b"A" * 3_000_000, CONTENT_TYPES[0]
    raw = dice.choice((*ODD_BYTES, b"", b"q=%ff%00&page=%00", b"\x00" * 10_000))
    return raw, dice.choice(CONTENT_TYPES)


def odd_headers(dice):
    names = dice.sample(sorted(HEADERS), dice.choice((0, 0, 1, 2, 4)))
    return {name: dice.choice(HEADERS[name]) for name in names}

"""Plain drawn pictures that stand for photographs in the demo."""

import io
import math

from PIL import Image, ImageDraw

from crewlog.files.photographs import Photograph, read_photograph
from gear.files.services import store_photograph
from jobs.demo.scenario import Cast

SIZE = (1200, 900)
GROUND, ROPE, STRAND, CORE = "#8a8f86", "#d8cfb4", "#2f5d8c", "#f6f1e1"


def rope_with_wear() -> Photograph:
    """A rope across a bench, its sheath furred and cut in the middle."""
    picture = Image.new("RGB", SIZE, GROUND)
    draw = ImageDraw.Draw(picture)
    for row in range(0, SIZE[1], 90):
        draw.line((0, row, SIZE[0], row - 30), fill="#7d827a", width=3)
    for x in range(-40, SIZE[0] + 40, 2):
        y = 450 + 40 * math.sin(x / 260)
        draw.line((x, y - 75, x, y + 75), fill=ROPE, width=3)
        draw.line((x, y + 60, x, y + 75), fill="#b3a988", width=3)
    for x in range(-40, SIZE[0] + 40, 70):
        y = 450 + 40 * math.sin(x / 260)
        draw.line((x, y + 70, x + 60, y - 70), fill=STRAND, width=14)
    draw.ellipse((520, 380, 700, 470), fill=CORE, outline="#6b5f43", width=5)
    for step in range(60):
        left = 515 + step * 3.2
        draw.line((left, 385 - (step * 37) % 40, left + 12, 420 + (step * 53) % 50), fill="#efe7cd", width=3)
    return encoded(picture)


def block_plate() -> Photograph:
    """The cheek of a block with its marking."""
    picture = Image.new("RGB", SIZE, "#59605c")
    draw = ImageDraw.Draw(picture)
    draw.rounded_rectangle((380, 90, 820, 820), radius=200, fill="#c9ccc8", outline="#2b2f2d", width=10)
    draw.ellipse((480, 330, 720, 570), fill="#9aa09c", outline="#2b2f2d", width=8)
    draw.ellipse((575, 425, 625, 475), fill="#2b2f2d")
    draw.ellipse((550, 150, 650, 250), fill="#59605c", outline="#2b2f2d", width=8)
    draw.text((505, 640), "WLL 12 kN", fill="#16211c", font_size=44)
    return encoded(picture)


def encoded(picture: Image.Image) -> Photograph:
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=88)
    return read_photograph(out.getvalue())


def add_pictures(cast: Cast) -> None:
    """Pictures of what the demo's records tell."""
    for tag, picture, caption in (
        ("T-03", rope_with_wear(), "Sheath furred where it ran over the stone"),
        ("B-03", block_plate(), "Cheek with its marking"),
    ):
        store_photograph(actor=cast.members["lead"], item=cast.items[tag], upload=picture, caption=caption)

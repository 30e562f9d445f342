"""Two changes of facts in the demo: one upwards that waits for somebody else, one downwards that counts."""

from PIL import Image, ImageDraw

from crewlog.files.photographs import Photograph
from gear.fact_changes.services import Grounds, change_fact
from jobs.demo.pictures import SIZE, encoded
from jobs.demo.scenario import Cast

UPWARDS, DOWNWARDS = "C-01", "C-13"


def worn_stamp() -> Photograph:
    """The spine of a carabiner with a stamp of which one digit is worn."""
    picture = Image.new("RGB", SIZE, "#4c534f")
    draw = ImageDraw.Draw(picture)
    draw.rounded_rectangle((120, 300, 1080, 620), radius=90, fill="#c4c8c3", outline="#23282a", width=10)
    for row in range(312, 610, 7):
        draw.line((150, row, 1050, row + 4), fill="#b6bbb5", width=2)
    draw.text((300, 400), "90 kN", fill="#2b3130", font_size=130)
    draw.ellipse((300, 420, 350, 470), fill="#b9beb8")
    draw.text((760, 430), "TF-10451", fill="#2b3130", font_size=52)
    return encoded(picture)


def add_changes(cast: Cast) -> None:
    """The owner read one stamp as higher than it is on record; the inspector found one typed too high."""
    change_fact(
        actor=cast.members["owner"],
        item=cast.items[UPWARDS],
        subject="breaking_strength",
        values={"breaking_strength_n": 90_000.0},
        grounds=Grounds("read", "marking", "The stamp is 90, the 9 was worn and read as 5.", worn_stamp()),
    )
    change_fact(
        actor=cast.members["inspector"],
        item=cast.items[DOWNWARDS],
        subject="breaking_strength",
        values={"breaking_strength_n": 36_000.0},
        grounds=Grounds("typed", "certificate", "The certificate of the batch says 36 kN, 40 was typed."),
    )

"""A browser's long name in two words."""

BROWSERS = (
    ("Edg", "Edge"),
    ("OPR/", "Opera"),
    ("SamsungBrowser", "Samsung browser"),
    ("Firefox", "Firefox"),
    ("FxiOS", "Firefox"),
    ("CriOS", "Chrome"),
    ("Chrom", "Chrome"),
    ("Safari", "Safari"),
)
SYSTEMS = (
    ("iPhone", "an iPhone"),
    ("iPad", "an iPad"),
    ("Android", "Android"),
    ("Windows", "Windows"),
    ("Mac OS", "a Mac"),
    ("CrOS", "ChromeOS"),
    ("Linux", "Linux"),
)


def browser_words(agent: str) -> str:
    """ "Firefox on Windows"; what is not recognised is called an unknown browser."""
    browser = next((words for sign, words in BROWSERS if sign in agent), "an unknown browser")
    system = next((words for sign, words in SYSTEMS if sign in agent), "")
    return f"{browser} on {system}" if system else browser

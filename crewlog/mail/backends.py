"""Mail on the console, for trying things out: what a log keeps must not sign anybody in."""

from django.core.mail.backends.console import EmailBackend
from django.core.mail.message import EmailMessage

from crewlog.mail.secrets import without_links


class ConsoleBackend(EmailBackend):
    """Prints each mail without what follows the host in its links."""

    def write_message(self, message: EmailMessage) -> None:
        lines = [f"To: {', '.join(message.to)}", f"Subject: {message.subject}", "", without_links(str(message.body))]
        self.stream.write("\n".join([*lines, "-" * 79, ""]))

"""A mail server for tests of the outbox, and putting it in place."""

from django.core.mail import EmailMessage


class Server:
    """A mail server that does what a test says; `taken` is what it took."""

    does: Exception | None = None
    at = "open"
    taken: list[EmailMessage]

    def __init__(self, **_):
        pass

    def open(self):
        if Server.does is not None and Server.at == "open":
            raise Server.does

    def send_messages(self, messages):
        if Server.does is not None and Server.at == "send":
            raise Server.does
        Server.taken += messages

    def close(self):
        pass


def put_in_place(settings):
    """Let mail go to this server, which does nothing odd yet."""
    settings.EMAIL_BACKEND = "tests.mail_server.Server"
    Server.does, Server.at, Server.taken = None, "open", []
    return Server

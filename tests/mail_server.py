"""A mail server for tests of the outbox, and putting it in place."""

from django.core.mail import EmailMessage


class Server:
    """A mail server that does what a test says; `taken` is what it took."""

    does: Exception | None = None
    at = "open"
    takes: frozenset[str] = frozenset()  # addresses it takes, whatever it does with the others
    taken: list[EmailMessage]

    def __init__(self, **_):
        pass

    def open(self):
        if Server.does is not None and Server.at == "open":
            raise Server.does

    def send_messages(self, messages):
        is_taken = all(address in Server.takes for message in messages for address in message.to)
        if Server.does is not None and Server.at == "send" and not is_taken:
            raise Server.does
        Server.taken += messages

    def close(self):
        pass


def put_in_place(settings):
    """Let mail go to this server, which does nothing odd yet."""
    settings.EMAIL_BACKEND = "tests.mail_server.Server"
    Server.does, Server.at, Server.takes, Server.taken = None, "open", frozenset(), []
    return Server

"""Mail: where it goes out, its words, and the outbox it waits in until the server has taken it."""

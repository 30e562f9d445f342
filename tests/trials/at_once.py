"""Many processes that begin the same moment, each with a connection of its own; what each came to."""

import multiprocessing
import queue
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

PATIENCE_S = 240


@dataclass(frozen=True)
class Outcome:
    """What one process came to: a word, or the error that stopped it."""

    writer: int
    words: Any
    error: str = ""


def at_once(count: int, work: Callable[[int], Any]) -> list[Outcome]:
    """Run `work(0)` to `work(count - 1)`, each in a process; all begin when the last is ready."""
    from django.db import connections

    connections.close_all()
    fork = multiprocessing.get_context("fork")
    start, answers = fork.Barrier(count), fork.Queue()
    processes = [fork.Process(target=run, args=(number, work, start, answers)) for number in range(count)]
    for process in processes:
        process.start()
    found = []
    for _ in processes:
        try:
            found.append(answers.get(timeout=PATIENCE_S))
        except queue.Empty:
            found.append(Outcome(-1, None, f"no answer within {PATIENCE_S} s"))
            break
    for process in processes:
        process.join(timeout=5)
        if process.is_alive():
            process.kill()
    return sorted(found, key=lambda outcome: outcome.writer)


def run(number: int, work: Callable[[int], Any], start: Any, answers: Any) -> None:
    from django.db import connections

    try:
        start.wait(timeout=PATIENCE_S)
        answers.put(Outcome(number, work(number)))
    except Exception:
        answers.put(Outcome(number, None, traceback.format_exc()))
    finally:
        connections.close_all()

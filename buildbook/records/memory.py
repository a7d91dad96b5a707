"""The garbage collector, kept away from records while they are made."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """Spare the collector what is made inside and stays.

    Records live as long as the program: walking them again and again while they are made would
    take a third of the time.
    """
    enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if enabled:
            gc.enable()

"""What the tests share: cases, who is held against print, and what agreeing with print means."""

import asyncio
import time
from collections.abc import Callable, Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from decimal import Decimal
from functools import cache
from typing import Any

import numpy as np
import pytest

from hobbyclosure import working
from hobbyclosure.units import Q

PUBLISHED: list[tuple[Callable[..., Any], str]] = []


@contextmanager
def case(*what: Any) -> Iterator[None]:
    """One case of several in one test: what fails inside says which it was."""
    try:
        yield
    except BaseException as error:
        error.add_note(f"in the case {', '.join(map(str, what))}")
        raise


@contextmanager
def each_working_once() -> Iterator[None]:
    """Make each working once: those of the quantities stand in those of many checks."""
    made = cache(working.working)  # by assessment, and an assessment equals only itself
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            working, "working", lambda found, name, system="metric": made(found, name, system)
        )
        yield


def wait_for(found: Callable[[], object], seconds: float = 5.0) -> None:
    """Wait until something comes true, as what another thread writes."""
    end = time.monotonic() + seconds
    while not found() and time.monotonic() < end:
        time.sleep(0.02)
    assert found()


def published(
    fn: Callable[..., Any] | tuple[Callable[..., Any], ...], source: str
) -> Callable[[Callable[..., None]], Callable[..., None]]:
    """Record that the test holds fn (one, or several) against source; return the test unchanged."""

    def keep(test: Callable[..., None]) -> Callable[..., None]:
        PUBLISHED.extend((each, source) for each in (fn if isinstance(fn, tuple) else (fn,)))
        return test

    return keep


def rounds_to(value: Any, printed: str) -> bool:
    """Whether value, a Pint quantity or an SI float, rounds to a printed number with its unit.

    The tolerance is half the last printed digit: "14.2 mm**2" takes 14.15 to 14.25. Where
    trailing zeros are only place holders, write the digits that count: "2.46e4 psi".
    """
    number, _, unit = printed.partition(" ")
    digits = Decimal(number)
    half = 0.5 * 10.0 ** int(digits.as_tuple().exponent)
    found = value if isinstance(value, Q) else Q(value, Q(1, unit).to_base_units().units)
    # A value on the edge itself rounds either way in print; floats must not decide that.
    return bool(np.all(np.abs(found.to(unit).magnitude - float(digits)) <= half * (1 + 1e-9)))


def own_thread(run: Coroutine[Any, Any, None]) -> None:
    """Run where no loop runs yet: a browser of the same worker leaves one running in its thread."""
    with ThreadPoolExecutor(1) as pool:
        pool.submit(asyncio.run, run).result()

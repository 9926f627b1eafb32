"""One writer at a time: the operating system's lock, which a program that dies lets go of."""

import contextlib
import errno
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

PATIENCE = 0.8  # seconds a writer waits for another; a page stands still meanwhile
_BYTE = 2**30  # the byte that is locked, far behind what the file says of its holder
_NEW = os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)


class LockedError(OSError):
    """Someone else is writing; the message names the file and, where known, the process."""


@contextlib.contextmanager
def held(path: Path) -> Iterator[None]:
    """Hold the lock of a file, which need not exist; its folder must. Raises LockedError, OSError.

    The lock is a file of its own beside it, deleted by whoever holds it. Some network folders know
    no locks: there everyone goes on without, and of two who write at the same instant one wins.
    """
    lock = path.with_name(f".{path.name}.lock")
    end = time.monotonic() + PATIENCE
    while (handle := _taken(lock)) is None:
        if time.monotonic() > end:
            raise LockedError(f"{path.name} is being written by {_holder(lock)}: try again")
        time.sleep(0.01)
    try:
        yield
    finally:
        _let_go(handle, lock)


def _taken(lock: Path) -> int | None:
    """A handle that holds the lock, or None while someone else has it."""
    try:
        handle = os.open(lock, _NEW, 0o666)
    except PermissionError:
        if sys.platform == "win32":  # it is being deleted this moment
            return None
        raise
    try:
        if _locks(handle) and _is(handle, lock):
            os.ftruncate(handle, 0)
            os.write(handle, str(os.getpid()).encode())
            return handle
    except BaseException:
        os.close(handle)
        raise
    os.close(handle)
    return None


def _is(handle: int, lock: Path) -> bool:
    """Whether the open file is still the one of that name: its holder may have deleted it."""
    try:
        return os.path.samestat(os.fstat(handle), os.stat(lock, follow_symlinks=False))
    except FileNotFoundError:
        return False


def _let_go(handle: int, lock: Path) -> None:
    if sys.platform == "win32":  # an open file cannot be deleted there, not even by its holder
        os.close(handle)
        with contextlib.suppress(OSError):
            lock.unlink()
    else:
        with contextlib.suppress(OSError):
            lock.unlink()  # first: whoever gets this lock next sees that the file is gone
        os.close(handle)


def _holder(lock: Path) -> str:
    try:
        said = lock.read_text(encoding="ascii", errors="replace")[:12]
    except OSError:
        said = ""
    return f"process {said}" if said.isdecimal() else "another program"


if sys.platform == "win32":
    import msvcrt

    def _locks(handle: int) -> bool:
        os.lseek(handle, _BYTE, os.SEEK_SET)
        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except OSError as error:
            if error.errno in (errno.EACCES, errno.EDEADLK):  # somebody else has it
                return False
        os.lseek(handle, 0, os.SEEK_SET)
        return True

else:
    import fcntl

    _NO_LOCKS = (errno.ENOLCK, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS)

    def _locks(handle: int) -> bool:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError as error:
            if error.errno not in _NO_LOCKS:
                raise
        return True

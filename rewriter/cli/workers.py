"""Work spread over processes; one that dies takes its own piece along and no other.

Processes are spoken to through pipes alone, so nothing depends on shared memory: a system whose
folder for it cannot be written to spreads work all the same.
"""

from __future__ import annotations

import signal
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final, NamedTuple, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Generator, Iterator, Sequence
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess
    from types import FrameType

Piece = TypeVar("Piece")
Result = TypeVar("Result")

_ENDING: Final = ("SIGTERM", "SIGHUP")
"""What ends a process from outside; not every system has both."""


AHEAD: Final = 16
"""Pieces for each process that may be begun before the first of them is told."""


class _Worker(NamedTuple):
    process: BaseProcess
    pipe: Connection
    place: int


def spread(
    work: Callable[[Piece], Result],
    pieces: Sequence[Piece],
    workers: int,
    *,
    costs: Sequence[int],
    most: int,
) -> Generator[Result | None, None, None]:
    """Results in the order of the pieces; None for one whose process died.

    Of the next pieces the largest is begun first, so that in the end no process has long work
    before it while the others have none; only so many are begun before the first of them is
    told that results never pile up.

    Args:
        work: to be done with each piece.
        pieces: that processes can be sent.
        workers: how many processes at a time.
        costs: bytes of memory each piece takes.
        most: bytes that may be taken at a time; a piece that takes more is done alone.
    """
    running: dict[int, _Worker] = {}
    idle: list[_Worker] = []
    done: dict[int, Result | None] = {}
    waiting = list(range(len(pieces)))
    window = AHEAD * workers
    told = 0
    try:
        while told < len(pieces):
            while len(running) < workers:
                ahead = [place for place in waiting[:window] if place < told + window]
                place = _next(ahead, costs, most, [costs[one] for one in running])
                if place is None:
                    break
                worker = _given(work, pieces[place], place, idle)
                if worker:
                    running[place] = worker
                elif running:
                    break
                else:  # no process can be started
                    done[place] = work(pieces[place])
                waiting.remove(place)
            _collect(running, idle, done)
            while told in done:
                yield done.pop(told)
                told += 1
    finally:
        for worker in (*running.values(), *idle):
            _end(worker)


def _next(
    ahead: Sequence[int], costs: Sequence[int], most: int, taken: Sequence[int]
) -> int | None:
    """The piece to begin: the largest for which there is memory; None for waiting.

    Args:
        ahead: pieces that may be begun, in order.
        costs: of all pieces.
        most: bytes that may be taken at a time.
        taken: by each piece that is being worked on.
    """
    fitting = [place for place in ahead if costs[place] + sum(taken) <= most]
    if fitting:
        return max(fitting, key=lambda place: (costs[place], -place))
    return ahead[0] if ahead and not taken else None


def _given(
    work: Callable[[Piece], Result], piece: Piece, place: int, idle: list[_Worker]
) -> _Worker | None:
    """A worker that has a piece to do; None when no process can be started."""
    while idle:
        worker = idle.pop()._replace(place=place)
        try:
            worker.pipe.send(piece)
        except OSError:  # it died with nothing to do
            _end(worker)
        else:
            return worker
    import multiprocessing

    try:
        ours, theirs = multiprocessing.Pipe()
        process = multiprocessing.Process(target=_serve, args=(theirs, ours, work), daemon=True)
        process.start()
    except OSError:
        return None
    theirs.close()
    ours.send(piece)
    return _Worker(process, ours, place)


def _collect(running: dict[int, _Worker], idle: list[_Worker], done: dict[int, Any]) -> None:
    """Wait for results, and take those that are there."""
    from multiprocessing.connection import wait

    pipes = {worker.pipe: worker for worker in running.values()}
    for pipe in wait(list(pipes)) if pipes else ():
        worker = pipes[pipe]  # type: ignore[index]  # of what was given, wait returns some
        del running[worker.place]
        try:
            result, fault = worker.pipe.recv()
        except (EOFError, OSError):
            _end(worker)
            done[worker.place] = None
            continue
        idle.append(worker)
        if fault:
            raise fault
        done[worker.place] = result


def _end(worker: _Worker) -> None:
    worker.pipe.close()
    worker.process.terminate()
    worker.process.join()


def _serve(pipe: Connection, other_end: Connection, work: Callable[[Any], object]) -> None:
    """Do one piece after the other, until there is nobody to give any."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # whoever started this answers Ctrl-C
    for name in _ENDING:
        if hasattr(signal, name):
            signal.signal(getattr(signal, name), signal.SIG_DFL)
    other_end.close()  # else its own hold on it would keep the pipe open
    while True:
        try:
            piece = pipe.recv()
        except EOFError:
            return
        said: tuple[object, Exception | None]
        try:
            said = (work(piece), None)
        except Exception as fault:  # noqa: BLE001 - raised again where the work was given
            said = (None, fault)
        try:
            pipe.send(said)
        except OSError:
            return  # whoever wanted it is gone


@contextmanager
def ended_in_order() -> Iterator[None]:
    """Let a signal that ends the process end it as an exception does, everything tidied up."""
    before = {}
    for name in _ENDING:
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is not signal.SIG_IGN:  # nohup
            try:
                before[number] = signal.signal(number, _leave)
            except ValueError:  # not in the main thread, which alone is asked
                break
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _leave(number: int, _: FrameType | None) -> None:
    raise SystemExit(128 + number)  # as shells count it

"""Writers for the tests of the setup log, run as a process of their own.

`kill FILE COUNT SEED`: COUNT writers one after another, each killed at a random moment after a random number of
confirmed rows; prints how many rows had to be confirmed at least, and how many were. `write FILE SESSION COUNT TAG`:
write rows.
"""

from __future__ import annotations

import os
import random
import signal
import sqlite3
import sys
import time

from suspension_lab.workshop.setup_log import SetupLog


def writes_until_killed(path: str, session: int, tag: str, to: int) -> None:
    log = SetupLog(path)
    for number in range(10_000):
        log.add_run(session, remark=f"{tag}-{number}")
        os.write(to, f"{tag}-{number}\n".encode())


def kill(path: str, count: int, seed: int) -> None:
    chance = random.Random(seed)
    log = SetupLog(path)
    log.add_vehicle("scooter")
    session = log.start_session("scooter")
    confirmed: list[str] = []
    waited_for = 0
    for turn in range(count):
        back, to = os.pipe()
        child = os.fork()
        if child == 0:
            os.close(back)
            writes_until_killed(path, session, str(turn), to)
        os.close(to)
        with os.fdopen(back, "rb") as said:
            # Rows are waited for, and not a time alone, in which a busy machine may write none. The pause that
            # follows is about as long as a row takes, so that the kill falls anywhere within the next one.
            rows = chance.randrange(4)
            confirmed += [said.readline().decode().strip() for _ in range(rows)]
            waited_for += rows
            time.sleep(chance.uniform(0.0, 0.004))
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            confirmed += said.read().decode().split()
        # What the kill left behind is mended by whoever opens the file next.
        with sqlite3.connect(path) as connection:
            held = {row[0] for row in connection.execute("SELECT remark FROM runs")}
            assert set(confirmed) <= held, "a confirmed row is lost"
            assert len(held) <= len(confirmed) + turn + 1, "more than one unconfirmed row a kill"
            assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        connection.close()
    print(waited_for, len(confirmed))


def write(path: str, session: int, count: int, tag: str) -> None:
    log = SetupLog(path)
    for number in range(count):
        log.add_run(session, remark=f"{tag}-{number}")


if __name__ == "__main__":
    order, path, *rest = sys.argv[1:]
    if order == "kill":
        kill(path, int(rest[0]), int(rest[1]))
    else:
        write(path, int(rest[0]), int(rest[1]), rest[2])

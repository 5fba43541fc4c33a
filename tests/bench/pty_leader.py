"""The shell's part of a terminal session: run on a pseudo terminal's own side by :mod:`tests.bench.pty_harness`.

The state in which a program leaves its terminal can only be seen while the session's leader lives: when the leader
ends, the kernel hangs the terminal up and puts its settings back by itself, and every program would seem to leave it
as found. So the program is this process's child, as it is a shell's, and this process stays until the harness has
looked.

Standard input is the terminal; the argument is the number of a socket. One JSON line comes in (``argv``, ``cwd``,
``env``); two go out: ``{"pid", "started"}`` and, at the program's end, ``{"status", "ended"}`` (``time.monotonic``
seconds; status as a shell gives it, 128 + number for a signal).
"""

import fcntl
import json
import os
import signal
import socket
import sys
import termios
import time

NOT_STARTED = 127


def in_the_foreground(pid: int) -> None:
    """Give the terminal to a process group, as a shell does before and after each program."""
    signal.signal(signal.SIGTTOU, signal.SIG_IGN)
    os.tcsetpgrp(0, pid)


def become(argv: list[str], cwd: str | None, env: dict[str, str]) -> None:
    """Turn this forked process into the program, in a process group of its own, with every signal at its default."""
    os.setpgid(0, 0)
    in_the_foreground(os.getpid())
    for number in (signal.SIGTTOU, signal.SIGINT, signal.SIGPIPE):
        signal.signal(number, signal.SIG_DFL)
    if cwd is not None:
        os.chdir(cwd)
    os.execvpe(argv[0], argv, env)


def main() -> None:
    control = socket.socket(fileno=int(sys.argv[1]))
    control.set_inheritable(False)
    fcntl.ioctl(0, termios.TIOCSCTTY, 0)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    with control.makefile("rw", encoding="utf-8") as lines:
        order = json.loads(lines.readline())
        started = time.monotonic()
        pid = os.fork()
        if pid == 0:
            try:
                become(order["argv"], order["cwd"], order["env"])
            except OSError as error:
                os.write(2, f"{order['argv'][0]}: {error}\r\n".encode())
            os._exit(NOT_STARTED)
        print(json.dumps({"pid": pid, "started": started}), file=lines, flush=True)
        _, status = os.waitpid(pid, 0)
        ended = time.monotonic()
        in_the_foreground(os.getpgrp())
        code = os.waitstatus_to_exitcode(status)
        print(json.dumps({"status": 128 - code if code < 0 else code, "ended": ended}), file=lines, flush=True)
        lines.readline()


if __name__ == "__main__":
    main()

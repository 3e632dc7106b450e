# SPDX-License-Identifier: GPL-3.0-or-later
"""Runs a command whose standard output or error is a terminal, and prints what it wrote there.

    terminal.py COLUMNS out|err COMMAND...

The other stream is thrown away.  Line ends come back as the program wrote them.  Exit status: the command's.
"""
import fcntl
import os
import struct
import subprocess
import sys
import termios


def main():
    columns, stream, command = int(sys.argv[1]), sys.argv[2], sys.argv[3:]
    ours, theirs = os.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 24, columns, 0, 0))
    there = {"stdout": theirs, "stderr": subprocess.DEVNULL}
    if stream == "err":
        there = {"stdout": subprocess.DEVNULL, "stderr": theirs}
    with subprocess.Popen(command, **there) as process:
        os.close(theirs)
        written = b""
        while True:
            try:
                piece = os.read(ours, 65536)
            except OSError:  # how a terminal ends whose last user is gone
                break
            if not piece:
                break
            written += piece
    sys.stdout.buffer.write(written.replace(b"\r\n", b"\n"))
    return process.returncode


sys.exit(main())

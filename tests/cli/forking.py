"""The program in a process that forks for every command it is asked for.

Run as a script with the program on PYTHONPATH. A line of JSON on its standard input is one command: `words`, `at` (the
folder it stands in), `cache`, `told` and `said` (files for what it writes); the answer is a line with the exit code. A
command runs in a process of its own from `main` to the end of the interpreter; only importing is done once.
"""

import json
import os
import sys
from typing import Any

from saltriage.cli import main
from saltriage.cli.app import whole_program


def serve() -> bool:
    """Until there are no more commands. Returns: whether this is a process that is to run one."""
    for line in sys.stdin:
        asked = json.loads(line)
        child = os.fork()
        if child == 0:
            _take(asked)
            return True
        _, status = os.waitpid(child, 0)
        print(os.waitstatus_to_exitcode(status), flush=True)
    return False


def _take(asked: dict[str, Any]) -> None:
    """Become the process of a command: its folder, cache, arguments and files; nothing on standard input."""
    os.chdir(asked["at"])
    os.environ["SALTRIAGE_CACHE"] = asked["cache"]
    sys.argv = ["saltriage", *asked["words"]]
    for number, name in ((0, os.devnull), (1, asked["told"]), (2, asked["said"])):
        opened = os.open(name, os.O_RDWR | os.O_CREAT, 0o600)
        os.dup2(opened, number)
        os.close(opened)


if __name__ == "__main__":
    whole_program()  # every command with all that it imports at its top
    if serve():
        main()

"""What the tests kill: takes calls and notes on them without end, and says of each that it was kept.

python desk_writer.py ADDRESS BEGIN
"""

import sys

from sample_calls import MARA, plain_call

from saltriage.desk.opening import open_desk


def main(address: str, number: int) -> None:
    desk = open_desk(address)
    while True:
        number += 1
        call = desk.take(plain_call(number, MARA))
        print(f"took {call.uid}", flush=True)
        desk.note(call.number, f"note {number}", "kim")
        print(f"noted {call.uid}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))

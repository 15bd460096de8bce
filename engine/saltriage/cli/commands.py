"""Registers every command; each lives in a module of its own and imports what it needs when it runs."""

from saltriage.cli import ask as ask
from saltriage.cli import batch as batch
from saltriage.cli import cases as cases
from saltriage.cli import diagnose as diagnose
from saltriage.cli import follow_up as follow_up
from saltriage.cli import hand_over as hand_over
from saltriage.cli import history as history
from saltriage.cli import plan as plan
from saltriage.cli import rules as rules
from saltriage.cli import rules_train as rules_train
from saltriage.cli import serve as serve
from saltriage.cli import water as water

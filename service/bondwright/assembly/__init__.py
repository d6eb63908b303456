"""The parts of the service put together: evaluate, record, answer.

What belongs here: one module for each thing that is asked of the whole, the class that answers for all of them, and the one
module that names every real part. May be imported by api and cli; imports the rows below and, but for that module, no driver and no
engine of theirs: those are handed in.
"""

from bondwright.assembly.bondwright import Bondwright
from bondwright.assembly.impact import Impact
from bondwright.assembly.judging import Channels, Evaluated
from bondwright.assembly.keyring import Keyring
from bondwright.assembly.parts import build, build_keyring, database
from bondwright.assembly.recording import TENANT, Envelope

__all__ = ["TENANT", "Bondwright", "Channels", "Envelope", "Evaluated", "Impact", "Keyring", "build", "build_keyring", "database"]

"""The closed loop: a diagnosis is kept with what it promised, and new readings are held against that.

What did not answer as promised becomes evidence, and weighed doses correct the volume of the pool.
"""

from saltriage.follow_up.following import FollowUp, follow_up, open_record, opened
from saltriage.follow_up.record import Entry, Promise, Record, Verdict, record_data, record_text, save_record
from saltriage.follow_up.renaming import load_record, record_of
from saltriage.follow_up.volume import VolumeEstimate, estimate_volume

__all__ = [
    "Entry",
    "FollowUp",
    "Promise",
    "Record",
    "Verdict",
    "VolumeEstimate",
    "estimate_volume",
    "follow_up",
    "load_record",
    "open_record",
    "opened",
    "record_data",
    "record_of",
    "record_text",
    "save_record",
]

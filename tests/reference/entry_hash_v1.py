"""Makes entry_hash_v1.json, apart from the program: Python's own hashlib and struct alone.

    python3 entry_hash_v1.py > entry_hash_v1.json

The bytes of one entry, version 1, in this order:
    the text `wearbook entry v1` and one byte 0
    the 32 bytes of the hash of the entry before; before entry 1, 32 bytes 0
    seq, record                       numbers: 8 bytes, little-endian, two's complement
    kind                              texts: length in bytes as such a number, then UTF-8
    version                           number
    written_at, written_by, os_user   texts
    ends                              one byte 0 if it is missing, else one byte 1 and the number
    reason                            one byte 0 if it is missing, else one byte 1 and the text
    transcribed                       one byte, 0 or 1
    body                              one byte 0 if it is missing, else one byte 1 and the text
"""

import hashlib
import json
import struct
import sys


def number(value):
    return struct.pack("<q", value)


def text(value):
    data = value.encode("utf-8")
    return struct.pack("<Q", len(data)) + data


def optional(value, form):
    return b"\x00" if value is None else b"\x01" + form(value)


def entry_bytes(entry, previous):
    return b"".join([
        b"wearbook entry v1\x00",
        previous,
        number(entry["seq"]),
        number(entry["record"]),
        text(entry["kind"]),
        number(entry["version"]),
        text(entry["written_at"]),
        text(entry["written_by"]),
        text(entry["os_user"]),
        optional(entry["ends"], number),
        optional(entry["reason"], text),
        b"\x01" if entry["transcribed"] else b"\x00",
        optional(entry["body"], text),
    ])


def canonical(body):
    return json.dumps(body, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


CHARTER = {
    "clock": "scripted", "first_rso": "R. Okafor", "ledger_id": "0123456789abcdef",
    "licence": "L-000", "licensee": "Example Testing", "site": "Yard 1",
    "unit": "mrem", "zone": "America/Chicago",
}
SCHEME = {"from": "2026-01-01", "name": "site", "text": "scheme = \"site\"\n# \t\\ \u00b5Sv\n"}
WORKER = {
    "birth_date": "1990-02-28", "category": "exposed", "id": "W01",
    "monitored_from": "2026-01-05", "name": "Jos\u00e9 \u00c5berg", "role": "radiographer",
}
METER = {"id": "SM-1", "scale": "digital", "serial": "77", "sort": "survey meter"}

# record, kind, ends, reason, transcribed, body
ROWS = [
    (1, "charter", None, None, False, CHARTER),
    (2, "scheme", None, None, False, SCHEME),
    (3, "worker", None, None, True, WORKER),
    (4, "instrument", None, None, False, METER),
    (3, "worker", 3, "na\u00efve spelling", False, dict(WORKER, name="Jos\u00e9 \u00c5berg-Ruiz")),
    (4, "instrument", 4, "entered twice", False, None),
    (4, "instrument", 6, "it was not", False, METER),
]


def main():
    previous = bytes(32)
    for at, (record, kind, ends, reason, transcribed, body) in enumerate(ROWS):
        entry = {
            "seq": at + 1, "record": record, "kind": kind, "version": 1,
            # The charter and the scheme are one write, then one write a second.
            "written_at": "2026-03-01T12:00:%02dZ" % max(0, at - 1),
            "written_by": "R. Okafor", "os_user": "yard",
            "ends": ends, "reason": reason, "transcribed": transcribed,
            "body": None if body is None else canonical(body),
        }
        previous = hashlib.sha256(entry_bytes(entry, previous)).digest()
        entry["hash"] = previous.hex()
        print(json.dumps(entry))


if __name__ == "__main__":
    sys.exit(main())

"""An invented photo: a drive cable whose strands are worn thin behind its connector, as grays in a
PNG that every program writes alike, for nothing in it is packed."""

import struct
import zlib

WIDE, HIGH = 200, 120


def shade(x, y):
    """A gray of 0 to 15."""
    middle = HIGH // 2
    if x < 60:
        half = 22
        return 6 if abs(y - middle) < half else 13
    # Thinner behind the connector, and whole again after it.
    worn = max(0, 8 - abs(x - 78) // 4)
    half = 15 - worn
    if abs(y - middle) >= half:
        return 13 if (x * 7 + y * 3) % 19 else 12
    return 4 + (x + 2 * y) % 5 - (1 if worn > 4 else 0)


def chunk(kind, data):
    """One chunk of a PNG."""
    whole = kind + data
    return struct.pack(">I", len(data)) + whole + struct.pack(">I", zlib.crc32(whole))


def stored(data):
    """A zlib stream that packs nothing: at most 65535 bytes."""
    length = struct.pack("<HH", len(data), 0xffff - len(data))
    return b"\x78\x01\x01" + length + data + struct.pack(">I", zlib.adler32(data))


def worn_cable():
    """The photo's bytes."""
    rows = bytearray()
    for y in range(HIGH):
        rows.append(0)
        for x in range(0, WIDE, 2):
            rows.append(shade(x, y) << 4 | shade(x + 1, y))
    head = struct.pack(">IIBBBBB", WIDE, HIGH, 4, 0, 0, 0, 0)
    return (b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", stored(bytes(rows)))
            + chunk(b"IEND", b""))

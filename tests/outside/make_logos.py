#!/usr/bin/env python3
"""Writes the pictures that logos are tested with, by Python's own zlib, into tests/data.

usage: make_logos.py
"""

import struct
import zlib
from pathlib import Path

DATA = Path(__file__).parent.parent / "data"


def chunk(kind, data):
    """A chunk with its length and checksum (ISO/IEC 15948, 5.3)."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def picture(name, width, height):
    """A frame with a slanted bar and clear corners, so that a part cut off would show; RGBA."""
    edge = max(2, min(width, height) // 20)
    rows = []
    for y in range(height):
        row = bytearray(b"\0")
        for x in range(width):
            on_edge = min(x, y, width - 1 - x, height - 1 - y) < edge
            on_bar = abs(x / width - y / height) < 0.06
            row += bytes((0x8A, 0x4B, 0x1F, 255) if on_edge else (0x20, 0x50, 0x70, 200) if on_bar else (0, 0, 0, 0))
        rows.append(bytes(row))
    header = struct.pack(">IIBBBBB", width, height, 8, 6, 0, 0, 0)
    data = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", zlib.compress(b"".join(rows), 9)) + chunk(b"IEND", b"")
    (DATA / name).write_bytes(data)


picture("logo_wide.png", 640, 80)
picture("logo_tall.png", 90, 320)

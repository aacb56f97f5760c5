"""A copy of a zip file in which a few parts are new; every other part keeps its packed bytes."""

import struct
import zipfile
import zlib
from collections.abc import Collection, Mapping
from typing import BinaryIO

_LOCAL = struct.Struct("<4s5H3L2H")
_CENTRAL = struct.Struct("<4s4B4H3L5H2L")
_END = struct.Struct("<4s4H2LH")
_CHUNK = 1024 * 1024
_STREAMED = 0x08  # sizes stand behind the data; here they are known, so they go in front
_LEVEL = 6


def copy_with_changes(source: BinaryIO, new: Mapping[str, bytes], target: BinaryIO, gone: Collection[str] = ()) -> None:
    """Write the zip file `source` to `target`, with the content of some of its parts replaced; order and dates stay.

    Parts that `source` does not have come last; those in `gone` are left out.

    Raises zipfile.BadZipFile when the source is not what its directory says.
    """
    with zipfile.ZipFile(source) as archive:
        entries, comment = archive.infolist(), archive.comment
    there = {entry.filename for entry in entries}
    added = [zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)) for name in new if name not in there]
    for each in added:
        each.CRC = each.compress_size = each.file_size = 0
    entries = [*(entry for entry in entries if entry.filename not in gone), *added]
    directory = []
    position = 0
    for entry in entries:
        name = entry.orig_filename.encode("utf-8" if entry.flag_bits & 0x800 else "cp437")
        method, crc, packed, size = entry.compress_type, entry.CRC, entry.compress_size, entry.file_size
        data = None
        if entry.filename in new:
            content = new[entry.filename]
            press = zlib.compressobj(_LEVEL, zlib.DEFLATED, -15)
            data = press.compress(content) + press.flush()
            method, crc, packed, size = zipfile.ZIP_DEFLATED, zlib.crc32(content), len(data), len(content)
        flags = entry.flag_bits & ~_STREAMED
        year, month, day, hour, minute, second = entry.date_time
        date, clock = (year - 1980) << 9 | month << 5 | day, hour << 11 | minute << 5 | second // 2
        start = position
        target.write(_LOCAL.pack(b"PK\x03\x04", 20, flags, method, clock, date, crc, packed, size, len(name), 0))
        target.write(name)
        if data is None:
            _copy(source, entry, target)
        else:
            target.write(data)
        position += _LOCAL.size + len(name) + packed
        directory.append(
            _CENTRAL.pack(
                *(b"PK\x01\x02", entry.create_version & 0xFF, entry.create_system & 0xFF, 20, 0),
                *(flags, method, clock, date, crc, packed, size),
                *(len(name), 0, 0, 0, entry.internal_attr & 0xFFFF, entry.external_attr & 0xFFFFFFFF, start),
            )
            + name
        )
    whole = b"".join(directory)
    target.write(whole)
    target.write(
        _END.pack(b"PK\x05\x06", 0, 0, len(directory), len(directory), len(whole), position, len(comment)) + comment
    )


def _copy(source: BinaryIO, entry: zipfile.ZipInfo, target: BinaryIO) -> None:
    """Copy the packed bytes of one part."""
    source.seek(entry.header_offset)
    header = source.read(_LOCAL.size)
    if len(header) < _LOCAL.size or header[:4] != b"PK\x03\x04":
        raise zipfile.BadZipFile(f"no part at the place of {entry.filename}")
    *_others, name_length, extra_length = _LOCAL.unpack(header)
    source.seek(name_length + extra_length, 1)
    left = entry.compress_size
    while left:
        chunk = source.read(min(left, _CHUNK))
        if not chunk:
            raise zipfile.BadZipFile(f"part {entry.filename} is cut short")
        target.write(chunk)
        left -= len(chunk)

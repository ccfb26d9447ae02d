"""What all DXF files share: line patterns, plain text, the same bytes for the same drawing."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Final

from ezdxf._options import options
from ezdxf.document import Drawing as DxfDocument

INSUNITS_INCHES: Final = 1
INSUNITS_MM: Final = 4

_LINE_WEIGHTS = (13, 18, 25, 35, 50)  # hundredths of a mm that DXF knows
_FIXED_ID = "{00000000-0000-0000-0000-000000000000}"
_FIXED_DAY = 2451545.0  # a Julian date; nothing in the file comes from the clock


def add_pattern(document: DxfDocument, name: str, pattern: Sequence[float]) -> None:
    """A line pattern of dashes and gaps in turn, in units of the drawing."""
    lengths = [p * (1 if i % 2 == 0 else -1) for i, p in enumerate(pattern)]
    total = sum(abs(length) for length in lengths)
    document.linetypes.add(
        name, [total, *lengths], description=" ".join(f"{p:g}" for p in pattern)
    )


def line_weight(hundredths: float) -> int:
    """The nearest weight of lines that DXF knows, in 1/100 mm."""
    return min(_LINE_WEIGHTS, key=lambda w: abs(w - hundredths))


def rgb_of(colour: str) -> tuple[int, int, int]:
    """ "#rrggbb" as three numbers."""
    return int(colour[1:3], 16), int(colour[3:5], 16), int(colour[5:7], 16)


def one_line(text: str) -> str:
    """Text without line breaks and control codes, which would break a DXF file."""
    return re.sub(r"\s+", " ", re.sub(r"[\x00-\x1f\x7f]", " ", text)).strip()


def encode(document: DxfDocument) -> bytes:
    """The bytes of the file."""
    for name in ("$TDCREATE", "$TDUPDATE", "$TDUCREATE", "$TDUUPDATE"):
        document.header[name] = _FIXED_DAY
    for name in ("$FINGERPRINTGUID", "$VERSIONGUID"):
        document.header[name] = _FIXED_ID
    for name in sorted(document.entitydb.dxf_types_in_use()):
        document.classes.add_class(name)  # ezdxf would add them in the order of a set
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode(document.output_encoding, errors="dxfreplace")


@contextmanager
def fixed_meta_data() -> Iterator[None]:
    """ezdxf writes the time and a random id into files; the same roof must give the same file."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before

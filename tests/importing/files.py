"""Small files of shots, as devices and people write them. All invented."""

import io
import zipfile

HEADER = "Date,Club,Carry (yd),Total (yd),Offline (yd),Ball Speed (mph),Spin Rate"
ROWS = (
    "2026-02-20,54,80.5,84.0,-3.2,72.4,8200",
    "2026-02-20,54,82.0,85.5,1.0,73.0,8100",
    "2026-02-20,50,95.2,99.0,4.4,80.1,7600",
)
CSV = ("\n".join([HEADER, *ROWS]) + "\n").encode()


def many(rows: int, start: int = 0) -> bytes:
    """A CSV of so many different shots over some weeks, three clubs, two sessions a day."""
    lines = ["Date,Session,Club,Carry (m),Offline (m),Ball Speed (m/s)"]
    for i in range(start, start + rows):
        day = f"2026-{1 + i // 2000 % 9:02}-{1 + i // 100 % 20:02}"
        carry, side = 60 + i % 400 / 10, i % 120 / 10 - 6
        lines.append(
            f"{day},{i // 50 % 2},{50 + 4 * (i % 3)},{carry:.1f},{side:.1f},{20 + i / 4096:.6f}"
        )
    return ("\n".join(lines) + "\n").encode()


def workbook(rows, *, title="Shots") -> bytes:
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    sheet.title = title
    for row in rows:
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def with_part(content: bytes, name: str, new: bytes) -> bytes:
    """A workbook with one of its parts replaced or added."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed,
    ):
        for part in old.namelist():
            if part != name:
                packed.writestr(part, old.read(part))
        packed.writestr(name, new)
    return out.getvalue()

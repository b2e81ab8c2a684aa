"""Three spreadsheets of a small invented office, as they are before there is a ledger.

An XLSX file is a few XML files packed together (ECMA-376 Part 1). They are stored unpacked, since
packing gives other bytes with other versions of the library.
"""

import io
import zipfile
from datetime import date, timedelta
from xml.sax.saxutils import escape

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
TYPES = "http://schemas.openxmlformats.org/package/2006/content-types"
KIND = "application/vnd.openxmlformats-officedocument.spreadsheetml"


def cell(place, value):
    """One cell: a day as the serial number of the 1900 system with a date format."""
    if value is None or value == "":
        return ""
    if isinstance(value, bool):
        return f'<c r="{place}" t="b"><v>{int(value)}</v></c>'
    if isinstance(value, date):
        return f'<c r="{place}" s="1"><v>{(value - date(1899, 12, 30)).days}</v></c>'
    if isinstance(value, (int, float)):
        return f'<c r="{place}"><v>{value!r}</v></c>'
    return f'<c r="{place}" t="inlineStr"><is><t>{escape(value)}</t></is></c>'


def sheet(rows):
    """The XML of one table."""
    lines = []
    for at, row in enumerate(rows, start=1):
        cells = "".join(cell(f"{chr(65 + column)}{at}", value)
                        for column, value in enumerate(row))
        if cells:
            lines.append(f'<row r="{at}">{cells}</row>')
    return f'<worksheet xmlns="{MAIN}"><sheetData>{"".join(lines)}</sheetData></worksheet>'


def book(tables):
    """The bytes of a file of these tables, {name: rows}."""
    numbered = list(enumerate(tables.items(), start=1))
    names = "".join(f'<sheet name="{escape(name)}" sheetId="{at}" r:id="r{at}"/>'
                    for at, (name, _) in numbered)
    links = "".join(f'<Relationship Id="r{at}" Type="{OFFICE}/worksheet" '
                    f'Target="worksheets/sheet{at}.xml"/>' for at, _ in numbered)
    kinds = "".join(f'<Override PartName="/xl/worksheets/sheet{at}.xml" '
                    f'ContentType="{KIND}.worksheet+xml"/>' for at, _ in numbered)
    parts = {
        "[Content_Types].xml":
            f'<Types xmlns="{TYPES}"><Default Extension="rels" ContentType="application/vnd.'
            'openxmlformats-package.relationships+xml"/><Default Extension="xml" '
            'ContentType="application/xml"/><Override PartName="/xl/workbook.xml" '
            f'ContentType="{KIND}.sheet.main+xml"/><Override PartName="/xl/styles.xml" '
            f'ContentType="{KIND}.styles+xml"/>{kinds}</Types>',
        "_rels/.rels":
            f'<Relationships xmlns="{PACKAGE}"><Relationship Id="b" '
            f'Type="{OFFICE}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml":
            f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}"><sheets>{names}</sheets></workbook>',
        "xl/_rels/workbook.xml.rels":
            f'<Relationships xmlns="{PACKAGE}">{links}<Relationship Id="s" '
            f'Type="{OFFICE}/styles" Target="styles.xml"/></Relationships>',
        "xl/styles.xml":
            f'<styleSheet xmlns="{MAIN}"><fonts count="1"><font/></fonts><fills count="1"><fill/>'
            '</fills><borders count="1"><border/></borders><cellStyleXfs count="1"><xf/>'
            '</cellStyleXfs><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="14" '
            'applyNumberFormat="1"/></cellXfs></styleSheet>',
    }
    for at, (_, rows) in numbered:
        parts[f"xl/worksheets/sheet{at}.xml"] = sheet(rows)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_STORED) as file:
        for name, text in parts.items():
            stamp = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            stamp.create_system = 3
            file.writestr(stamp, '<?xml version="1.0" encoding="UTF-8"?>' + text)
    return packed.getvalue()


PEOPLE = [
    ("K01", "Ruth Calderwick (invented)", "rso", date(1971, 4, 9), date(2019, 2, 4)),
    ("K02", "Osei Brandvold (invented)", "radiographer", date(1986, 11, 23), date(2021, 6, 14)),
    ("K03", "Maren Tsukuda (invented)", "assistant", date(1997, 1, 30), date(2024, 3, 4)),
]
# Deep dose of the year in mrem, as the old form has it.
TOTALS = [("K01", 2024, 41), ("K02", 2024, 612.5), ("K03", 2024, 388),
          ("K01", 2025, 36), ("K02", 2025, 574), ("K03", 2025, 495.3)]


def workdays(first, count):
    """So many days from Monday to Thursday."""
    day = first
    while count:
        if day.weekday() < 4:
            yield day
            count -= 1
        day += timedelta(days=1)


def readings():
    """A row a person and day: readings of the pocket dosimeters in mR."""
    rows = [["Juniper Weld Testing (invented): daily readings, January and February 2026"], [],
            ["Sheet", "Date", "Site", "Camera", "Source", "Meter", "Survey mR/h", "Signed by",
             "Who", "As", "Pen", "Start mR", "End mR", "Chirper", "Alarm heard", "Badge on",
             "Running total"]]
    totals = {"K02": 0, "K03": 0}
    for number, day in enumerate(workdays(date(2026, 1, 5), 32)):
        for who, role, pen, chirper, most in (("K02", "radiographer", "P-2", "A-2", 9),
                                              ("K03", "assistant", "P-3", "A-3", 7)):
            start = (number * 3 + len(role)) % 4
            end = start + 1 + (number * 5 + len(role) * 2) % most
            totals[who] += end - start
            rows.append([f"26-{number + 1:03}", day, "TANK-4" if number % 3 else "BAY",
                         "C-1", "S-1", "M-1", 0.5 + (number % 4) / 10, "K02", who, role, pen,
                         start, end, chirper, True, True, totals[who]])
    return rows


def doses():
    """The dose book: people, sites, what is left of two years, and this year's readings."""
    people = [["Juniper Weld Testing (invented): people"], [],
              ["Number", "Name", "Position", "Born", "Monitored since"],
              *[list(row) for row in PEOPLE]]
    sites = [["Site", "Where", "Setting", "Since"],
             ["BAY", "The bay at the yard (invented)", "permanent radiographic installation", date(2019, 2, 4)],
             ["TANK-4", "Saltgrass tank farm (invented)", "temporary jobsite",
              date(2026, 1, 5)]]
    totals = [["Who", "Year", "DDE mrem"], *[list(row) for row in TOTALS]]
    return book({"People": people, "Sites": sites, "Years": totals, "Readings": readings()})


def equipment():
    """The equipment log: meters, cameras and sources, and checks with days as text."""
    head = ["No.", "Kind", "Serial", "Unit", "Range", "Scale", "Scales", "Preset", "Since"]
    pen = ["pocket dosimeter", "mR", "200 mR", "linear"]
    meters = [head]
    for number in ("P-2", "P-3"):
        meters.append([number, pen[0], f"J-{number[2]}501", *pen[1:], "", "", date(2024, 3, 4)])
    for number in ("A-2", "A-3"):
        meters.append([number, "alarm ratemeter", f"J-{number[2]}702", "", "", "", "",
                       "500 mR/h", date(2024, 3, 4)])
    meters.append(["M-1", "survey meter", "J-1903", "", "", "linear",
                   "10 mR/h / 100 mR/h / 1000 mR/h", "", date(2021, 6, 14)])
    cameras = [["No.", "Kind", "Serial", "Nuclide", "Activity Ci", "Activity on", "Since"],
               ["C-1", "exposure device", "J-417", "", "", "", date(2021, 6, 14)],
               ["S-1", "source assembly", "J-8842", "Ir-192", 92.4, date(2025, 12, 15),
                date(2025, 12, 18)]]
    checks = [["Meter", "Done on", "What", "Outcome", "Who", "Remarks"]]
    for number, what in (("P-2", "response check"), ("P-3", "response check"),
                         ("A-2", "calibration"), ("A-3", "calibration"),
                         ("M-1", "calibration")):
        checks.append([number, "12/03/2025", what, "pass", "Ruth Calderwick", ""])
    return book({"Meters": meters, "Cameras": cameras, "Checks": checks})


def inspections():
    """The inspection log: a row an item looked at."""
    rows = [["Camera", "Date", "Kind", "Looked by", "Item", "Found", "Reading mR/h", "Remarks"],
            ["C-1", date(2025, 12, 29), "quarterly", "K01", "device-surface-rate", "", 30, ""],
            ["C-1", date(2025, 12, 29), "quarterly", "K01", "device-metre-rate", "", 0.8, ""],
            ["C-1", date(2025, 12, 29), "quarterly", "K01", "all others", "good", "", ""]]
    for number, day in enumerate(workdays(date(2026, 1, 5), 32)):
        rows.append(["C-1", day, "daily", "K02", "device-surface-rate", "", 31 + number % 5, ""])
        rows.append(["C-1", day, "daily", "K02", "all others", "good", "", ""])
    return book({"Log": rows})


def files():
    """{file name: bytes}."""
    return {"office/doses.xlsx": doses(), "office/equipment-log.xlsx": equipment(),
            "office/inspection-log.xlsx": inspections()}

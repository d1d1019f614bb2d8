"""What people hand over that cannot be used, and what they are told: one table, so that the manual
can show it. Each entry: what happened, the file, and words that the answer must hold."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Broken:
    title: str
    given: bytes
    told: tuple[str, ...]


HEAD = "run,test,station,seq,target_mm,reading_mm,approach,mass_kg,time_s,temp_c,axis,stand_on\n"


def _table(*rows: str, head: str = HEAD) -> bytes:
    return (head + "\n".join(rows) + "\n").encode()


GOOD = "a,hold,nut,0,10,0.00,up,0,0,21,up,frame"

READINGS = (
    Broken("An empty file", b"", ("nothing", "header")),
    Broken("Blank lines alone", b"\n\n  \n,,,\n", ("nothing", "header")),
    Broken("A header alone", HEAD.encode(), ("row 1", "at least one reading")),
    Broken("A PDF", b"%PDF-1.7\n1 0 obj", ("PDF", "CSV")),
    Broken("A photograph", b"\xff\xd8\xff\xe0\x00\x10JFIF", ("picture",)),
    Broken("An old spreadsheet", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(64), ("XLS", "XLSX")),
    Broken("Bytes of a program", b"\x7fELF\x02\x01\x01\x00" * 9, ("text", "CSV")),
    Broken("A zip of something else", b"PK\x03\x04rubbish", ("damaged", "CSV")),
    Broken("A web page", b"<!doctype html><table></table>", ("web page",)),
    Broken("A letter", b"Dear Sir,\nmy printer is broken.\n", ("row 1", "target_mm", "reading_mm")),
    Broken("One column", b"reading_mm\n0.1\n0.2\n", ("row 1", "target_mm")),
    Broken("No column of readings", b"told,temperature\n1,20\n", ("row 1", "reading_mm")),
    Broken("Three columns of bare numbers", b"1,2,3\n2,3,4\n", ("row 1", "header")),
    Broken(
        "The same column twice", b"told,target_mm,read\n1,1,0.5\n", ("row 1", "target_mm", "Rename")
    ),
    Broken(
        "A number with two commas", b"told;read\n0;0\n1;0,3,5\n2;1\n", ("row 3, read:", "'0,3,5'")
    ),
    Broken(
        "Decimal commas between commas",
        b"told,read\n0,0,0\n1,0,8\n2,1,8\n",
        ("row 2", "semicolons"),
    ),
    Broken("A word for a number", b"told,read\n0,0\n1,ca. 0.8\n2,1\n", ("row 3, read:", "ca. 0.8")),
    Broken("Not a number", b"told,read\n0,0\n1,nan\n2,1\n", ("row 3, read:", "'nan'")),
    Broken("Infinity", b"told,read\n0,0\ninf,1\n2,1\n", ("row 3, told:", "'inf'")),
    Broken("A reading beyond any gauge", b"told,read\n0,0\n1,800\n2,1\n", ("row 3, read:", "500")),
    Broken("A target below 0", b"told,read\n-1,0\n0,1\n1,2\n", ("row 2, told:", "'-1'", "0 to")),
    Broken("A target of two metres and more", b"told,read\n0,0\n9999,1\n", ("row 3, told:",)),
    Broken("No target in a row", b"told,read\n0,0\n,1\n2,2\n", ("row 3, told:", "''")),
    Broken("Nobody says the test", b"told,read\n3,0\n1,1\n2,2\n", ("test:", "--test")),
    Broken("Two readings and no test", b"told,read\n0,0\n1,1\n", ("row 2, test:", "fine-steps")),
    Broken(
        "A test kind misspelt",
        _table(GOOD.replace("hold", "revresal")),
        ("row 2, test:", "'revresal'", "Did you mean reversal?"),
    ),
    Broken(
        "A station misspelt",
        _table(GOOD.replace("nut", "gantry-lefft")),
        ("row 2, station:", "Did you mean gantry-left?"),
    ),
    Broken(
        "A station of another arrangement",
        _table(GOOD.replace("nut", "nut-right")),
        ("row 2, station:", "'nut-right'", "Did you mean nut?"),
    ),
    Broken(
        "A direction misspelt",
        _table(GOOD.replace(",up,0", ",upp,0")),
        ("row 2, approach:", "'upp'", "up or down"),
    ),
    Broken(
        "A direction that is none",
        _table(GOOD.replace(",up,frame", ",sideways,frame")),
        ("row 2, axis:", "left-right"),
    ),
    Broken(
        "A stand on nothing",
        _table(GOOD.replace("frame", "air")),
        ("row 2, stand_on:", "frame, bed, table"),
    ),
    Broken(
        "A number used twice",
        _table(GOOD, GOOD),
        ("row 3, seq:", "row 2"),
    ),
    Broken(
        "A number below 0",
        _table(GOOD.replace(",0,10", ",-1,10")),
        ("row 2, seq:", "'-1'"),
    ),
    Broken(
        "Half a number",
        _table(GOOD.replace(",0,10", ",0.5,10")),
        ("row 2, seq:", "whole number"),
    ),
    Broken("No number", _table(GOOD.replace(",0,10", ",,10")), ("row 2, seq:",)),
    Broken("No run", _table(GOOD.replace("a,hold", ",hold")), ("row 2, run:",)),
    Broken(
        "Two tests in one run",
        _table(GOOD, GOOD.replace("hold,nut,0", "warm-up,nut,1")),
        ("row 3, test:", "row 2", "run a"),
    ),
    Broken(
        "Two stations in one run",
        _table(GOOD, GOOD.replace("nut,0", "screw,1")),
        ("row 3, station:", "nut", "row 2"),
    ),
    Broken(
        "Two directions in one run",
        _table(GOOD, GOOD.replace("nut,0", "nut,1").replace("up,frame", "left-right,frame")),
        ("row 3, axis:", "row 2"),
    ),
    Broken(
        "The stand moved within a run",
        _table(GOOD, GOOD.replace("nut,0", "nut,1").replace("frame", "bed")),
        ("row 3, stand_on:", "row 2"),
    ),
    Broken(
        "Time that runs back",
        _table(
            GOOD.replace("up,0,0,21", "up,0,60,21"),
            GOOD.replace("nut,0", "nut,1").replace("up,0,0,21", "up,0,30,21"),
        ),
        ("row 3, time_s:", "60", "row 2"),
    ),
    Broken(
        "A mass below 0", _table(GOOD.replace("up,0,0", "up,-1,0")), ("row 2, mass_kg:", "'-1'")
    ),
    Broken(
        "A mass in grams", _table(GOOD.replace("up,0,0", "up,500,0")), ("row 2, mass_kg:", "kg")
    ),
    Broken("A hot room", _table(GOOD.replace(",21,", ",451,")), ("row 2, temp_c:", "150 °C")),
    Broken("A cold room", _table(GOOD.replace(",21,", ",-80,")), ("row 2, temp_c:", "-50")),
    Broken(
        "Time before the session", _table(GOOD.replace("0,0,21", "0,-5,21")), ("row 2, time_s:",)
    ),
    Broken(
        "A cell beyond the header",
        _table(GOOD + ",what is this"),
        ("row 2, column 13", "no name above"),
    ),
    Broken(
        "A quote that is not closed",
        b'told,read\n0,"0\n' + b"1,1\n" * 9,
        ("row 2", "quote", "Close it"),
    ),
    Broken(
        "A thousand or a fraction",
        b"run;test;station;seq;target_mm;reading_mm;time_s\n"
        b"a;hold;nut;0;10;0.25;0\na;hold;nut;1;10;0.25;1,200\n",
        ("row 3, time_s:", "'1,200'", "thousand"),
    ),
    Broken("UTF-16 cut in half", "told,read\n0,0".encode("utf-16")[:-1], ("text",)),
    Broken("Zeros", bytes(300), ("text",)),
    Broken("Too many rows", b"told,read\n" + b"1,1\n" * 20_001, ("20000 rows",)),
    Broken("A row of three hundred cells", b"told,read\n" + b"1," * 300, ("200 cells",)),
)

ONE = 'arrangement = "one-screw"\n'


def _machine(text: str) -> bytes:
    return (ONE + text).encode()


MACHINES = (
    Broken("An empty machine", b"", ("arrangement", "two-screw-tied")),
    Broken("No arrangement", b'name = "x"', ("arrangement", "How many", "screws")[::2]),
    Broken("A misspelt arrangement", b'arrangement = "one-skrew"', ("Did you mean one-screw?",)),
    Broken("A number of screws", b"arrangement = 2", ("line 1, arrangement: 2",)),
    Broken("A later format", _machine("format = 2"), ("line 2, format: 2", "format 1")),
    Broken("A name without quotes", _machine("name = Shed"), ("line 2", "quotes")),
    Broken("A number for a name", _machine("name = 7"), ("line 2, name: 7",)),
    Broken("A decimal comma", _machine("[screw]\nlead_mm = 8,5"), ("line 3", "point: 8.5")),
    Broken("A unit behind the number", _machine("[screw]\nlead_mm = 8 mm"), ("line 3", "alone")),
    Broken(
        "A number in quotes",
        _machine('[screw]\nlead_mm = "8 mm"'),
        ("line 3, screw.lead_mm:", "lead_mm = 8,"),
    ),
    Broken(
        "A key in inches",
        _machine("[screw]\nlead_in = 0.5"),
        ("line 3, screw.lead_in", "lead_mm = 12.7"),
    ),
    Broken("A key without unit", _machine("[screw]\nlead = 8"), ("screw.lead:", "lead_mm")),
    Broken(
        "A misspelt key",
        _machine("[screw]\ndiamter_mm = 8"),
        ("line 3", "Did you mean diameter_mm?"),
    ),
    Broken(
        "A key of another part",
        _machine("[screw]\nspan_mm = 300"),
        ("line 3", "another part: guide.span_mm"),
    ),
    Broken("A misspelt part", _machine("[guids]\nspan_mm = 1"), ("line 2", "guide?")),
    Broken("A part that is a number", _machine("screw = 8"), ("line 2, screw: 8", "[screw]")),
    Broken("A lead below 0", _machine("[screw]\nlead_mm = -8"), ("line 3", "above 0")),
    Broken("A lead of 0", _machine("[screw]\nlead_mm = 0"), ("line 3", "above 0")),
    Broken("A lead without end", _machine("[screw]\nlead_mm = inf"), ("line 3", "above 0")),
    Broken("A lead that is no number", _machine("[screw]\nlead_mm = nan"), ("line 3", "above 0")),
    Broken(
        "A pitch that no screw has",
        _machine("[screw]\nlead_mm = 8\nstarts = 1"),
        ("line 3, screw.lead_mm: 8.0", "pitch times starts"),
    ),
    Broken("Half a start", _machine("[screw]\nstarts = 2.5"), ("line 3", "whole number")),
    Broken("True for a number", _machine("[screw]\nstarts = true"), ("line 3", "whole number")),
    Broken(
        "A word that is none of the choices",
        _machine('[nut]\nkind = "brass"'),
        ("line 3, nut.kind:", "plain, split or floating"),
    ),
    Broken(
        "A side that one screw has not",
        _machine("[screw.right]\nlead_mm = 8"),
        ("line 2, screw.right:", "[screw]"),
    ),
    Broken(
        "A side that two screws have not",
        b'arrangement = "two-screw"\n[screw.back]\nlead_mm = 8',
        ("line 2, screw.back:", "left or right"),
    ),
    Broken(
        "The only screw of two",
        b'arrangement = "two-screw"\nscrew = { side = "left" }',
        ("line 2, screw.side:", "leave it out"),
    ),
    Broken(
        "Guides wider than the base",
        _machine("guide = { span_mm = 500 }\nframe = { base_width_mm = 300 }"),
        ("line 2, guide.span_mm: 500", "300"),
    ),
    Broken(
        "A centre of mass outside the guides",
        _machine("guide = { span_mm = 300 }\ngantry = { centre_of_mass_mm = -20 }"),
        ("line 3, gantry.centre_of_mass_mm: -20", "left guide"),
    ),
    Broken("A mass in grams", _machine("gantry = { mass_kg = 1200 }"), ("line 2", "100 kg")),
    Broken("The same key twice", _machine('name = "a"\nname = "b"'), ("line 3", "twice")),
    Broken("The same table twice", _machine("[nut]\n[nut]"), ("line 3", "twice")),
    Broken("A bracket left open", _machine("[nut\nkind = 1"), ("line 2", "TOML")),
    Broken("No TOML at all", b"my printer has one screw", ("line 1", "TOML")),
    Broken("Nested without end", b"a = " + b"[" * 5000, ("TOML",)),
    Broken("Yes for true", _machine('[controller]\nstop_waits = "yes"'), ("true or false",)),
    Broken("A line instead of lines", _machine('[controller]\nbegin = "G21"'), ('["G21"]',)),
    Broken("An array of tables", _machine("[[screw]]\nlead_mm = 8"), ("screw", "a table")),
)

"""What heads of columns mean, in several languages, and where the row of heads is found."""

import pytest

from loombench.exchange.report import Notes
from loombench.exchange.tables.model import Sheet
from loombench.exchange.tables.read import read_tables
from loombench.exchange.wirelist.columns import find_columns
from loombench.exchange.wirelist.heads import Head, read_head
from loombench.exchange.wirelist.layout import AUTOMATIC, FIELDS, Layout
from loombench.facts.table import load_table


def sheet(text: str) -> Sheet:
    (found,) = read_tables(text.encode(), "list.csv", Notes())
    return found


@pytest.mark.parametrize(
    ("text", "head"),
    [
        ("wire_no", Head("wire_no")),
        ("WireNo", Head("wire_no")),
        ("Ltg-Nr.", Head("wire_no")),
        ("N° de fil", Head("wire_no")),
        ("Numero filo", Head("wire_no")),
        ("Nº cable", Head("wire_no")),
        ("From", Head("end", "from")),
        ("Von Stecker", Head("connector", "from")),
        ("Connecteur de départ", Head("connector", "from")),
        ("Broche arrivée", Head("cavity", "to")),
        ("hasta pin", Head("cavity", "to")),
        ("da connettore", Head("connector", "from")),
        ("Connector A", Head("connector", "a")),
        ("End 2 Pin", Head("cavity", "b")),
        ("Terminal no", Head("cavity")),
        ("From Terminal PN", Head("terminal", "from")),
        ("Querschnitt [mm²]", Head("size", "", "mm2")),
        ("Wire Size (AWG)", Head("size", "", "awg")),
        ("AWG", Head("size", "", "awg")),
        ("Sq. mm", Head("size", "", "mm2")),
        ("Gauge", Head("size")),
        ("Länge (mm)", Head("length", "", "mm")),
        ("L/mm", Head("length", "", "mm")),
        ("Longueur (m)", Head("length", "", "m")),
        ("Length in", Head("length", "", "in")),
        ("rating A", Head("rating")),
        ("Grundfarbe", Head("colour")),
        ("Kennfarbe", Head("stripe")),
        ("A", Head()),
        ("LHD", Head()),
        ("", Head()),
    ],
)
def test_a_head_is_known_by_its_meaning(text: str, head: Head) -> None:
    assert read_head(text) == head


HEADS = {
    "en": "Wire no;From connector;From pin;To connector;To pin;Colour;Size;Length",
    "de": "Ltg-Nr;Von Stecker;Von Kammer;Nach Stecker;Nach Kammer;Farbe;Querschnitt;Länge",
    "fr": "N° de fil;Connecteur départ;Voie départ;Connecteur arrivée;Voie arrivée;Couleur;Section;Longueur",
    "it": "Numero filo;Da connettore;Da pin;A connettore;A pin;Colore;Sezione;Lunghezza",
    "es": "Nº cable;Desde conector;Desde vía;Hasta conector;Hasta vía;Color;Sección;Longitud",
}
CANONICAL = ("wire_no", "from_conn", "from_cavity", "to_conn", "to_cavity", "colour", "size", "length")


@pytest.mark.parametrize("language", HEADS)
def test_a_list_is_understood_in_each_language(language: str) -> None:
    columns = find_columns(sheet(f"{HEADS[language]}\n1;X1;1;X2;1;RD;1;1\n"))
    assert columns.kind == "wires"
    assert columns.at == tuple((field, at) for at, field in enumerate(CANONICAL))


@pytest.mark.parametrize(
    ("text", "fields", "first"),
    [
        ("Title\n\nwire,connector,pin,connector,pin\n1,X1,1,X2,1\n", CANONICAL[:5], 2),
        ("wire,from,pin,to,pin\n1,X1,1,X2,1\n", CANONICAL[:5], 1),
        ("wire,from,,to,\n,connector,pin,connector,pin\n1,X1,1,X2,1\n", CANONICAL[:5], 2),
        ("wire,connector A,pin A,connector B,pin B\n1,X1,1,X2,1\n", CANONICAL[:5], 1),
        ("wire,from,to\n1,X1-1,X2-1\n", ("wire_no", "from", "to"), 1),
        ("circuit,end 1,end 2\n1,X1-1,X2-1\n", ("wire_no", "from", "to"), 1),
        ("wire,circuit,from,to\n1,30,X1-1,X2-1\n", ("wire_no", "signal", "from", "to"), 1),
    ],
)
def test_sides_are_said_or_repeated_or_stand_above(text: str, fields: tuple[str, ...], first: int) -> None:
    columns = find_columns(sheet(text))
    assert tuple(field for field, _ in columns.at) == fields
    assert (columns.kind, columns.first) == ("wires", first)


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("Connector,Description,Ways,Location\nX1,lamp,3,roof\n", "connectors"),
        ("Stecker;Gehäuse;Polzahl;Gegenstecker\nX1;a;3;X2\n", "connectors"),
        ("Connector;Pin;Wire;Signal\nX1;1;2;3\n", "pinout"),
        ("Splice;Wires\nS1;1,2\n", "splices"),
        ("Épissure;Fils gauche;Fils droite\nS1;1;2\n", "splices"),
        ("Fuse;Rating;Feed\nF1;10;X1-1\n", "fuses"),
        ("Massepunkt;Ort\nG1;here\n", "grounds"),
        ("a;b\n1;2\n", ""),
        ("nothing here\n", ""),
    ],
)
def test_companion_lists_are_told_apart(text: str, kind: str) -> None:
    assert find_columns(sheet(text), AUTOMATIC).kind == kind


def test_a_second_column_of_the_same_meaning_and_unknown_ones_are_named() -> None:
    columns = find_columns(sheet("wire,from,to,colour,colour,zzz\n1,X1-1,X2-1,RD,BK,9\n"))
    assert columns.twice == (4,)
    assert columns.unknown == (5,)


def test_the_caller_may_say_what_columns_mean() -> None:
    text = "a,b,c,wire\nx,y,z,1\n"
    layout = Layout(columns=((0, "from"), (1, "to"), (2, "option:LHD"), (3, "ignored")))
    columns = find_columns(sheet(text), layout)
    assert columns.kind == "wires"
    assert dict(columns.at) == {"from": 0, "to": 1, "option:LHD": 2}
    none = find_columns(sheet(text), Layout(header_line=-1, columns=((0, "from"), (1, "to"))))
    assert (none.kind, none.first) == ("wires", 0)
    assert find_columns(sheet("from,to\nwire,from,to\n1,a,b\n"), Layout(header_line=2)).of("wire_no") == 0


def test_every_alias_is_read_as_its_own_field() -> None:
    sided = {"from", "to", "end"}
    wrong = [
        (row.text("alias"), row.text("field"))
        for row in load_table("list_header")
        if row.text("field") not in sided and read_head(row.text("alias")).thing != row.text("field")
    ]
    assert wrong == []


def test_every_field_of_a_wire_list_has_a_head() -> None:
    words = [field.replace("conn", "connector") if field.endswith("_conn") else field for field in FIELDS]
    assert [word for word in words if not read_head(word).thing] == []

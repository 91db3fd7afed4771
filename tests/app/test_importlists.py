"""Lists of wires as they are looked at before they are imported, and what somebody says of their columns."""

from loombench.app.importing import Request, import_bytes
from loombench.app.importlists import Said, layouts_of, lists_seen
from loombench.exchange.missing import Answer
from loombench.exchange.wirelist.layout import AUTOMATIC

KNOWN = b"wire,from,pin,to,pin,colour\n1,X1,1,X2,1,BK\n2,X1,2,X2,2,RD\n"
ODD = b"nr,here,pin,there,pin,colour\n1,X3,1,X4,1,BK\n2,X3,2,X4,2,RD\n"
BARE = b"1,X5,1,X6,1\n2,X5,2,X6,2\n3,X5,3,X6,3\n"
ENDS = {0: "wire_no", 1: "from_conn", 2: "from_cavity", 3: "to_conn", 4: "to_cavity"}


def test_what_is_found_by_itself_needs_no_layout() -> None:
    files = {"known.csv": KNOWN}
    (seen,) = lists_seen(files, {})
    assert (seen.kind, seen.header_line, seen.count) == ("wires", 1, 2)
    assert seen.meanings == ("wire_no", "from_conn", "from_cavity", "to_conn", "to_cavity", "colour")
    assert seen.rows[0] == ("1", "X1", "1", "X2", "1", "BK")
    same = {("known.csv", ""): Said(dict(enumerate(seen.meanings)))}
    assert layouts_of(files, same) == {}


def test_what_is_said_of_one_list_is_not_said_of_another() -> None:
    files = {"known.csv": KNOWN, "odd.csv": ODD}
    assert [one.kind for one in lists_seen(files, {})] == ["wires", ""]
    layouts = layouts_of(files, {("odd.csv", ""): Said(ENDS, header_line=1)})
    assert list(layouts) == ["odd.csv"]
    assert [one.kind for one in lists_seen(files, layouts)] == ["wires", "wires"]
    made = import_bytes(files, Request((), accept=True, layouts=layouts))
    assert made.value is not None
    assert made.value.counts.connections == 4


def test_a_list_without_heads_is_read_by_what_is_said() -> None:
    layouts = layouts_of({"bare.csv": BARE}, {("bare.csv", ""): Said(ENDS, header_line=-1)})
    (seen,) = lists_seen({"bare.csv": BARE}, layouts)
    assert (seen.kind, seen.count) == ("wires", 3)
    made = import_bytes({"bare.csv": BARE}, Request((), accept=True, layouts=layouts))
    assert made.value is not None
    assert made.value.counts.connections == 3


def test_a_column_left_out_is_left_out() -> None:
    files = {"known.csv": KNOWN}
    layouts = layouts_of(files, {("known.csv", ""): Said({5: "ignored", 99: "colour", 3: "nonsense"})})
    (seen,) = lists_seen(files, layouts)
    assert seen.meanings[5] == "ignored"
    assert seen.meanings[3] == "to_conn"
    made = import_bytes(files, Request((), accept=True, layouts=layouts))
    assert made.value is not None
    assert "BK" not in "".join(made.value.files.values())


def test_answers_and_the_name_may_come_without_a_table() -> None:
    given = {("device", "X2"): Answer("lamp 5W")}
    made = import_bytes({"known.csv": KNOWN}, Request((), given=given, name='Old "loader"'))
    assert made.value is not None
    text = made.value.files["vehicle.circuit"]
    assert "vehicle \"Old 'loader'\"" in text
    assert "lamp X2 5W" in text


def test_what_is_no_list_is_not_looked_at() -> None:
    assert lists_seen({"a.kbl": b"<KBL_container/>", "b.png": b"\x89PNG", "c": b""}, {"a.kbl": AUTOMATIC}) == ()

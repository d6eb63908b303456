"""Only a strict, plain part of YAML is read; everything else is refused at its place, and nothing else ever escapes."""

import pytest
from hypothesis import given
from hypothesis import strategies as some

from bondwright.errors import UnreadableRules
from bondwright.shelf.packs import load_pack
from bondwright.shelf.reading.nodes import DEEPEST, LARGEST_FILE, Items, Map, Scalar, read_nodes

HOSTILE = (
    ("a key given twice", b"a: 1\nb: 2\na: 3\n", "3:1: key `a` stands twice in one map; first at line 1"),
    ("a key given twice in a flow map", b"a: {b: 1, b: 2}\n", "1:11: key `b` stands twice in one map; first at line 1"),
    ("a quoted key given twice", b"no: 1\n'no': 2\n", "2:1: key `no` stands twice"),
    ("an anchor", b"a: &x 1\n", "1:4: anchors (`&x`) are not used in rule files"),
    ("an alias", b"a: *x\n", "1:4: aliases (`*x`) are not used in rule files; write the value out"),
    ("a tag", b"a: !!python/object:os.system x\n", "1:4: tags (`tag:yaml.org,2002:python/object:os.system`) are not used"),
    ("a bare tag", b"a: ! x\n", "1:4: tags (`!`) are not used in rule files"),
    ("a merge key", b"a: 1\n<<: {b: 1}\n", "2:1: merge keys (`<<`) are not used"),
    ("a list as key", b"? [x]\n: 1\n", "1:3: a key is one word of text"),
    ("a directive", b"%YAML 1.1\n---\na: 1\n", "1:1: directives (`%`) are not used"),
    ("an unknown directive", b"%WHIM\n---\na: 1\n", "1:1: directives (`%`) are not used"),
    ("a document mark", b"---\na: 1\n", "1:1: a rule file is one document"),
    ("a second document", b"a: 1\n---\nb: 1\n", "2:1: a rule file is one document"),
    ("a tab as indent", b"a:\n\tb: 1\n", "2:1: a tab stands here; use spaces"),
    ("a tab in a text", b"a: 'x\ty'\n", "1:6: a tab stands here; use spaces"),
    ("an escaped tab", b'a: "x\\ty"\n', "1:4: escapes (`\\`) that stand for other characters are not used"),
    ("an escaped direction mark", b'a: "x\\u202ey"\n', "1:4: escapes (`\\`) that stand for other characters are not used"),
    ("a value left out", b"a:\nb: 1\n", "1:1: `a` has no value; write one"),
    ("an item left out", b"a: [1, '']\n", "1:8: a value is missing here; write one"),
    ("a tilde", b"a: ~\n", "1:1: `a` has no value"),
    ("a null", b"a: null\n", "1:1: `a` has no value"),
    ("a blank text", b"a: ' '\n", "1:1: `a` has no value"),
    ("a byte-order mark", b"\xef\xbb\xbfa: 1\n", "1:1: the file starts with a byte-order mark; save it as UTF-8 without one"),
    ("a byte-order mark within", "a: x\ufeffy\n".encode(), "1:5: the invisible character U+FEFF stands here; delete it"),
    ("Latin-1", b"a: 1\nb: caf\xe9\n", "2:7: this is not UTF-8; save the file as UTF-8"),
    ("a lone surrogate", b"a: \xed\xa0\x80\n", "1:4: this is not UTF-8"),
    ("UTF-16", "a: 1\n".encode("utf-16"), "1:1: this is not UTF-8"),
    ("a bell", b"a: \x07\n", "1:4: the invisible character U+0007 stands here"),
    ("a zero byte", b"a: 1\x00\n", "1:5: the invisible character U+0000 stands here"),
    ("Windows line ends", b"a: 1\r\nb: 2\r\n", "1:5: a carriage return stands here; save the file with line ends of one line feed"),
    ("a next-line character", "a: 1\u0085b: 2\n".encode(), "1:5: the invisible character U+0085 stands here"),
    ("a line separator", "a: 1\u2028b: 2\n".encode(), "1:5: the invisible character U+2028 stands here"),
    ("a right-to-left override", "a: x # \u202e\n".encode(), "1:8: the invisible character U+202E stands here"),
    ("a zero-width space", "a: x\u200by\n".encode(), "1:5: the invisible character U+200B stands here"),
    ("a no-break space", "a: 10\u00a0ohm\n".encode(), "1:6: the unusual space U+00A0 stands here; use an ordinary space"),
    ("a Cyrillic letter", "a: met\u0430l\n".encode(), "1:7: the character U+0430 can pass for another; type the plain letter or digit"),
    ("a Greek capital", "a: \u0391\n".encode(), "1:4: the character U+0391 can pass for another"),
    ("a full-width colon", "a\uff1a 1\n".encode(), "1:2: the character U+FF1A can pass for another"),
    ("an Arabic digit", "a: \u0661\n".encode(), "1:4: the character U+0661 can pass for another"),
    ("a combining accent", "a: e\u0301\n".encode(), "1:5: the character U+0301 can pass for another"),
    ("a bracket left open", b"a: 1\nb: [1, 2\n", "3:1: the text cannot be read from here on; look for a missing quote, bracket"),
    ("a key within a value", b"a: b: c\n", "1:5: the text cannot be read from here on"),
    ("brackets without end", b"[" * 900, f"1:{DEEPEST + 1}: lists and maps are nested deeper than 20"),
    ("dashes without end", b"- " * 50_000 + b"x", f"1:{2 * DEEPEST + 1}: lists and maps are nested deeper than 20"),
    ("a file too large", b"#" * (LARGEST_FILE + 1), "1:1: the file has 2000001 bytes; at most 2000000 are read"),
    ("an empty file", b"", "1:1: the file is empty"),
    ("only a comment", b"# nothing\n", "1:1: the file is empty"),
    ("a list of rules alone", b"- a\n", "1:1: a rule file is a map of sections, such as `rules:`"),
)


@pytest.mark.parametrize(("text", "says"), [row[1:] for row in HOSTILE], ids=[row[0] for row in HOSTILE])
def test_the_reader_refuses(text: bytes, says: str) -> None:
    with pytest.raises(UnreadableRules) as refusal:
        read_nodes(text, "f.yaml")

    assert f"f.yaml:{says}" == str(refusal.value)[: len(f"f.yaml:{says}")]


def test_values_keep_the_text_as_written_whatever_it_looks_like() -> None:
    written = {"no": "no", "octal": "012", "clock": "12:30", "clause": "411.30", "day": "2019-01-01", "version": "1e3", "truth": "true"}

    root = read_nodes("".join(f"{key}: {value}\n" for key, value in written.items()).encode(), "f.yaml")

    assert written == {key: node.text for key, node in root.entries.items() if isinstance(node, Scalar)}


def test_the_trade_s_own_signs_are_read() -> None:
    root = read_nodes("a: 10 mm² … 22 kΩ, 5 µS/cm at 20 °C; ≤ ½ Café\n".encode(), "f.yaml")

    assert isinstance(root.entries["a"], Scalar)


def test_columns_count_characters_not_bytes() -> None:
    root = read_nodes("é: {µ: 'no'}\n".encode(), "f.yaml")

    inner = root.entries["é"]
    assert isinstance(inner, Map)
    value = inner.entries["µ"]
    assert isinstance(value, Scalar)
    assert (value.quoted, value.place.line, value.place.column) == (True, 1, 8)


def test_as_many_lists_as_allowed_are_read() -> None:
    depth = DEEPEST - 1
    root = read_nodes(f"a: {'[' * depth}x{']' * depth}\n".encode(), "f.yaml")

    assert isinstance(root.entries["a"], Items)


SNIPPETS = (
    *("pack", "rules", "when", "all", "not", "id", "a", "yes", "above", "unknown", "10 mm2", "1,5", "'", '"', "|", ">", "*x", "&x", "!t"),
    *(":", ": ", "- ", "\n", "\n  ", "\n    ", "{", "}", "[", "]", ", ", "#", "? ", "<<", "%", "---", "\t", "\\", "é", "\u0430", "~"),
)


def read_or_refuse(data: bytes) -> None:
    """Reads `data` as a pack; a refusal must have a place within it."""
    try:
        load_pack(data, "f.yaml")
    except UnreadableRules as error:
        assert 1 <= error.line <= data.count(b"\n") + 2
        assert error.column >= 1
        assert "\n" not in error.detail


@given(some.binary(max_size=200))
def test_no_bytes_raise_anything_but_a_refusal(data: bytes) -> None:
    read_or_refuse(data)


@given(some.text(max_size=200))
def test_no_text_raises_anything_but_a_refusal(text: str) -> None:
    read_or_refuse(text.encode("utf-8", "replace"))


@given(some.lists(some.sampled_from(SNIPPETS), max_size=40))
def test_no_heap_of_yaml_signs_raises_anything_but_a_refusal(snippets: list[str]) -> None:
    read_or_refuse("".join(snippets).encode())

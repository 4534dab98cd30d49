"""What a telephone exchange says, read from its list."""

import gzip

import pytest
from prompts import said_in, texts


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        ("vm-hello: Hello.", ("vm-hello", "hello")),
        ("digits/h-1: First", ("digits/h-1", "first")),
        ("conf-kicked: You've been kicked - out!", ("conf-kicked", "you've been kicked out")),
        ("two-words: twenty-five", ("two-words", "twenty five")),
        ("colon: press: then wait", ("colon", "press then wait")),
        ("; a comment: not spoken", None),
        ("beep: [this is a beep]", None),
        ("press: Press 1 for yes", None),
        ("star: Press * to go on", None),
        ("silence:", None),
        ("no colon at all", None),
        ("", None),
    ],
)
def test_only_lines_that_tell_their_words_count(line, wanted):
    """Figures, signs and remarks may be said in several ways, so such lines are left out."""
    assert said_in(line) == wanted


@pytest.mark.parametrize("name", ["list.txt", "list.txt.gz"])
def test_list_may_be_packed(tmp_path, name):
    """Packed or plain, the same prompts are found."""
    whole = b"; list\nhello: Hello!\nbeep: [beep]\nbye: Good bye\n"
    path = tmp_path / name
    path.write_bytes(gzip.compress(whole) if name.endswith(".gz") else whole)

    assert texts(path) == {"hello": "hello", "bye": "good bye"}

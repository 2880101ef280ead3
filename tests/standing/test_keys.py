"""The keys file and what makes it: only hashes are kept, and a bad file stops the start with its place and reason."""

import hashlib
import os
import stat
from pathlib import Path

import pytest

from api.__main__ import main
from api.app import create_app
from api.serving.keys.access import check_start, is_loopback
from api.serving.keys.keyring import (
    CALCULATE,
    METRICS,
    MOST_BYTES,
    MOST_KEYS,
    Keyring,
    KeysFileError,
    load_keys,
    new_key,
    read_keys,
)
from api.settings import Settings

ALL_ADDRESSES = "0.0.0.0"  # noqa: S104 - never bound here
TABLET, METER = "tablet calculate " + "ab" * 32, "meter metrics " + "CD" * 32


def written(folder: Path, text: str | bytes) -> Path:
    path = folder / "keys"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return path


def test_a_key_is_256_random_bits_and_only_its_hash_is_kept() -> None:
    # RFC 4648, 5: a character of base64url holds six bits, so 32 bytes make 43.
    secret, key = new_key("tablet")
    assert (secret[:3], len(secret)) == ("tw_", 46)
    assert key.sha256 == hashlib.sha256(secret.encode()).digest()
    assert secret not in repr(key)
    assert len({new_key("tablet")[0] for _ in range(100)}) == 100


def test_a_file_is_read_whole(tmp_path: Path) -> None:
    both = METER.replace("metrics", "metrics,calculate")
    path = written(tmp_path, f"\ufeff# keys of the bakehouse\r\n\r\n{TABLET}\r\n  {both}")
    tablet, meter = read_keys(path)
    assert (tablet.name, set(tablet.scopes), tablet.sha256) == ("tablet", {CALCULATE}, b"\xab" * 32)
    assert (meter.name, set(meter.scopes), meter.sha256) == ("meter", {CALCULATE, METRICS}, b"\xcd" * 32)


BAD = {
    "": "holds no key",
    "# nothing\n": "holds no key",
    TABLET.rpartition(" ")[0]: ":1: a line is NAME SCOPES SHA256",
    f"{TABLET} {TABLET}": ":1: a line is NAME SCOPES SHA256",
    f"\n{TABLET}\n{TABLET.replace('abab', 'efef')}": ":3: the name tablet stands in line 2 already",
    f"{TABLET}\n\n{TABLET.replace('tablet', 'office')}": ":3: the same key stands in line 1 already",
    TABLET.replace("calculate", "all"): ":1: the scopes are calculate and metrics",
    TABLET.replace("calculate", "calculate,"): ":1: the scopes are",
    TABLET.replace("tablet", "tab:let"): ":1: a name has",
    TABLET.replace("tablet", "é"): ":1: a name has",
    TABLET.replace("tablet", "a" * 41): ":1: a name has",
    TABLET[:-1]: ":1: the third is the SHA-256",
    TABLET[:-1] + "g": ":1: the third is the SHA-256",
    "tablet calculate tw_" + "A" * 43: ":1: the third is the SHA-256",
    b"\xff\xfe": "not text in UTF-8",
    b"#" * (MOST_BYTES + 1): "longer than",
    "".join(f"k{i} calculate {i:064x}\n" for i in range(MOST_KEYS + 1)): f":{MOST_KEYS + 1}: more than",
}  # fmt: skip


@pytest.mark.parametrize("text", BAD, ids=[str(i) for i in range(len(BAD))])
def test_a_bad_file_says_where_and_why_and_never_what(tmp_path: Path, text: str | bytes) -> None:
    path = written(tmp_path, text)
    with pytest.raises(KeysFileError) as caught:
        load_keys(path)
    assert str(caught.value).startswith(str(path))
    assert BAD[text] in str(caught.value)
    assert "A" * 43 not in str(caught.value)


def test_what_is_no_file_is_refused_without_waiting_for_it(tmp_path: Path) -> None:
    for path, why in ((tmp_path / "none", "No such file"), (tmp_path, "directory"), (Path("/dev/zero"), "plain file")):
        with pytest.raises(KeysFileError, match=why):
            load_keys(path)


@pytest.mark.skipif(os.name == "nt", reason="modes are POSIX's")
def test_a_file_that_all_may_write_is_refused_and_one_that_all_may_read_is_not(tmp_path: Path) -> None:
    path = written(tmp_path, TABLET)
    path.chmod(0o644)
    assert load_keys(path)
    path.chmod(0o646)
    with pytest.raises(KeysFileError, match="chmod o-w"):
        load_keys(path)


def test_a_ring_finds_its_keys_and_nothing_else(tmp_path: Path) -> None:
    made = [new_key(f"key{i}") for i in range(5)]
    # A hash of a word of one's own is no key: a fast hash would not protect it.
    words = hashlib.sha256(b"treacle").hexdigest()
    ring = Keyring(written(tmp_path, "".join(f"{key.line}\n" for _, key in made) + f"word calculate {words}\n"))
    assert [ring.find(secret.encode()) for secret, _ in made] == [key for _, key in made]
    secret = made[0][0].encode()
    near = (secret[:-1], secret + b"A", secret + b"\n", b" " + secret, secret.swapcase())
    for wrong in (b"", b"treacle", b"\xff" * 46, *near):
        assert ring.find(wrong) is None


def test_a_bad_file_at_reload_leaves_the_keys_as_they_are(tmp_path: Path, caplog: pytest.LogCaptureFixture) -> None:
    (old, old_key), (new, newer_key) = new_key("old"), new_key("new")
    path = written(tmp_path, old_key.line)
    ring = Keyring(path)
    path.write_text("nonsense\n", "utf-8")
    ring.reload()
    assert ring.find(old.encode())
    assert "keys:1: a line is" in caplog.text
    path.write_text(newer_key.line, "utf-8")
    ring.reload()
    assert ring.find(old.encode()) is None
    assert ring.find(new.encode()) == newer_key
    assert "nonsense" not in caplog.text


def test_new_prints_the_key_alone_on_standard_output(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["key", "new", "tablet"]) == 0
    told = capsys.readouterr()
    secret = told.out.strip()
    line = next(line for line in told.err.splitlines() if line.startswith("tablet calculate "))
    assert secret not in told.err
    ring = Keyring(written(tmp_path, line))
    assert ring.find(secret.encode()) == ring.keys[0]


def test_new_adds_to_the_file_that_the_service_reads(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "keys"
    monkeypatch.setenv("TINWRIGHT_KEYS_FILE", str(path))
    assert main(["key", "new", "tablet"]) == 0
    secret = capsys.readouterr().out.strip()
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert secret not in path.read_text("utf-8")
    assert Keyring(path).find(secret.encode())
    assert main(["key", "new", "meter", "--scope", "metrics", "--scope", "calculate"]) == 0
    assert main(["key", "list"]) == 0
    assert capsys.readouterr().out.splitlines()[1:] == ["tablet calculate", "meter calculate,metrics"]
    assert main(["key", "new", "tablet"]) == 2
    assert "a key named tablet" in capsys.readouterr().err
    assert main(["key", "remove", "tablet"]) == 0
    assert [key.name for key in load_keys(path)] == ["meter"]
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert main(["key", "remove", "tablet"]) == 2


def test_new_puts_a_key_into_a_new_file_or_changes_nothing(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    keys, kept = tmp_path / "keys", tmp_path / "tablet.key"
    new = ["key", "new", "tablet", "--file", str(keys), "--output"]
    assert main([*new, str(kept)]) == 0
    secret = kept.read_text("ascii").strip()
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    told = capsys.readouterr()
    assert secret not in told.out + told.err
    assert f"is in {kept}" in told.err
    assert (found := Keyring(keys).find(secret.encode())) is not None
    assert found.name == "tablet"
    before = keys.read_bytes()
    # A name that is there already, a file that is there already, a folder that is not: all stays as it was.
    assert main([*new, str(tmp_path / "second.key")]) == 2
    assert main(["key", "new", "office", "--file", str(keys), "--output", str(kept)]) == 2
    assert main(["key", "new", "office", "--file", str(keys), "--output", str(tmp_path / "none" / "x")]) == 2
    assert "is there already, and was left as it is" in capsys.readouterr().err
    assert (keys.read_bytes(), kept.read_text("ascii").strip()) == (before, secret)
    assert {path.name for path in tmp_path.iterdir()} == {"keys", "tablet.key"}


@pytest.mark.parametrize("before", [b"#", b"# ours", f"{METER}".encode(), f"{METER}\n# end\n".encode()])
def test_what_stands_in_the_file_stays(tmp_path: Path, before: bytes) -> None:
    path = written(tmp_path, before)
    assert main(["key", "new", "tablet", "--file", str(path)]) == 0
    assert path.read_bytes().startswith(before.rstrip(b"\n") + b"\n")
    assert read_keys(path)[-1].name == "tablet"
    assert main(["key", "remove", "tablet", "--file", str(path)]) == 0
    assert path.read_bytes() == before.rstrip(b"\n") + b"\n"


def test_a_bad_name_or_file_is_told(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = written(tmp_path, "nonsense")
    for arguments in (["new", "a b"], ["new", "x", "--file", str(path)], ["list", "--file", str(path)], ["list"]):
        assert main(["key", *arguments]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "--file FILE" in told.err
    assert path.read_text("utf-8") == "nonsense"


def test_a_keys_file_that_cannot_be_used_is_told_by_its_variable(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r"TINWRIGHT_KEYS_FILE: .*No such file"):
        check_start(Settings(keys_file=tmp_path / "none"), host="127.0.0.1", access=None)


LOOPBACK = {
    # RFC 1122, 3.2.1.3 (127.0.0.0/8); RFC 4291, 2.5.3 (::1) and 2.5.5.2 (IPv4-mapped); RFC 6761, 6.3 (localhost).
    "127.0.0.1": True, "127.255.255.254": True, "::1": True, "localhost": True, "LocalHost": True,
    "::ffff:127.0.0.1": True, "0:0:0:0:0:0:0:1": True,
    ALL_ADDRESSES: False, "::": False, "": False, "10.0.0.1": False, "192.168.1.20": False, "::ffff:10.0.0.1": False,
    "128.0.0.1": False, "0": False, "127.1": False, "localhost.example": False, "bakehouse": False, "fe80::1": False,
}  # fmt: skip


@pytest.mark.parametrize("host", LOOPBACK)
def test_only_this_machine_s_own_addresses_are_open_unasked(host: str) -> None:
    assert is_loopback(host) is LOOPBACK[host]
    if LOOPBACK[host]:
        check_start(Settings(), host=host, access=None)
    else:
        with pytest.raises(ValueError, match=r"(?s)key new.*TINWRIGHT_KEYS_FILE.*--access open.*TINWRIGHT_ACCESS=open"):
            check_start(Settings(), host=host, access=None)
        check_start(Settings(access="open"), host=host, access=None)
        check_start(Settings(), host=host, access="open")


def test_keys_let_it_start_anywhere_and_contradict_openness(tmp_path: Path) -> None:
    path = written(tmp_path, TABLET)
    check_start(Settings(keys_file=path), host=ALL_ADDRESSES, access=None)
    for settings, access in ((Settings(keys_file=path, access="open"), None), (Settings(keys_file=path), "open")):
        with pytest.raises(ValueError, match="leave one of the two out"):
            check_start(settings, host="127.0.0.1", access=access)
    path.write_text("", "utf-8")
    with pytest.raises(KeysFileError):
        check_start(Settings(keys_file=path), host="127.0.0.1", access=None)


@pytest.fixture
def not_served(monkeypatch: pytest.MonkeyPatch) -> None:
    def serve(*_: object, **__: object) -> int:
        pytest.fail("it started")

    monkeypatch.setattr("api.__main__.serve", serve)


@pytest.mark.usefixtures("not_served")
def test_the_command_does_not_start_open_to_others(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--host", ALL_ADDRESSES]) == 2
    assert "can be reached from other machines" in capsys.readouterr().err


@pytest.mark.usefixtures("not_served")
@pytest.mark.parametrize("text", [None, "", "nonsense"])
def test_the_command_does_not_start_with_a_bad_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str | None
) -> None:
    path = tmp_path / "keys" if text is None else written(tmp_path, text)
    monkeypatch.setenv("TINWRIGHT_KEYS_FILE", str(path))
    assert main([]) == 2
    assert str(path) in capsys.readouterr().err
    # Nor does the application under any other server.
    with pytest.raises(KeysFileError):
        create_app()


def test_examples_are_tried_without_a_key(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TINWRIGHT_KEYS_FILE", str(written(tmp_path, TABLET)))
    assert main(["try", "openapi-examples/rescale-parkin.json"]) == 0

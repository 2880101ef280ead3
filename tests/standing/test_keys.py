"""The keys: only hashes are stored, a bad file is refused with its place and reason, and the service can be closed."""

import hashlib
import logging
from pathlib import Path

import pytest
from prometheus_client import CollectorRegistry

from api.__main__ import main
from api.app import create_app
from api.serving.keys.access import check_start, is_loopback
from api.serving.keys.keyring import MAX_KEYS, Keyring, new_key, read_keys
from api.serving.keys.keys_file import MAX_BYTES, KeysFileError
from api.serving.observing.metrics import process_metrics
from api.settings import Settings

ALL_ADDRESSES = "0.0.0.0"  # noqa: S104 - never bound here
TABLET, OFFICE = "tablet " + "ab" * 32, "office " + "CD" * 32


def written(folder: Path, text: str | bytes) -> Path:
    path = folder / "keys"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    path.chmod(0o600)
    return path


def metric(name: str) -> float:
    registry: CollectorRegistry = process_metrics().registry
    return registry.get_sample_value(name) or 0.0


def test_a_key_is_256_random_bits_and_only_its_hash_is_stored() -> None:
    # RFC 4648, 5: a character of base64url holds six bits, so 32 bytes make 43.
    secret, key = new_key("tablet")
    assert (secret[:3], len(secret)) == ("tw_", 46)
    assert key.sha256 == hashlib.sha256(secret.encode()).digest()
    assert secret not in repr(key)
    assert len({new_key("tablet")[0] for _ in range(100)}) == 100


def test_every_line_of_a_file_is_read(tmp_path: Path) -> None:
    path = written(tmp_path, f"\ufeff# keys of the bakehouse\r\n\r\n{TABLET}\r\n  {OFFICE}")
    tablet, office = read_keys(path)
    assert (tablet.name, tablet.sha256) == ("tablet", b"\xab" * 32)
    assert (office.name, office.sha256) == ("office", b"\xcd" * 32)


BAD = {
    "tablet": ":1: a line is NAME SHA256",
    f"{TABLET} {TABLET}": ":1: a line is NAME SHA256",
    "tablet calculate " + "ab" * 32: ":1: a line is NAME SHA256",
    f"\n{TABLET}\n{TABLET.replace('abab', 'efef')}": ":3: line 2 already has the name tablet",
    f"{TABLET}\n\n{TABLET.replace('tablet', 'office')}": ":3: line 1 already has this key",
    TABLET.replace("tablet", "tab:let"): ":1: a name has",
    TABLET.replace("tablet", "é"): ":1: a name has",
    TABLET.replace("tablet", "a" * 41): ":1: a name has",
    TABLET[:-1]: ":1: the second word is the SHA-256",
    TABLET[:-1] + "g": ":1: the second word is the SHA-256",
    "tablet tw_" + "A" * 43: ":1: the second word is the SHA-256",
    b"\xff\xfe": "not text in UTF-8",
    b"#" * (MAX_BYTES + 1): "longer than",
    "".join(f"k{i} {i:064x}\n" for i in range(MAX_KEYS + 1)): f":{MAX_KEYS + 1}: more than",
}


@pytest.mark.parametrize("text", BAD, ids=[str(i) for i in range(len(BAD))])
def test_a_bad_file_is_refused_with_its_place_and_without_its_content(tmp_path: Path, text: str | bytes) -> None:
    path = written(tmp_path, text)
    with pytest.raises(KeysFileError) as caught:
        read_keys(path)
    assert str(caught.value).startswith(str(path))
    assert BAD[text] in str(caught.value)
    assert "A" * 43 not in str(caught.value)


def test_a_keyring_finds_its_keys_and_nothing_else(tmp_path: Path) -> None:
    keys = [new_key(f"key{i}") for i in range(5)]
    # The hash of a word that somebody chose is no key: a fast hash would not protect it.
    word = hashlib.sha256(b"treacle").hexdigest()
    keyring = Keyring(written(tmp_path, "".join(f"{key.line}\n" for _, key in keys) + f"word {word}\n"))
    assert [keyring.find(secret.encode()) for secret, _ in keys] == [key for _, key in keys]
    secret = keys[0][0].encode()
    similar = (secret[:-1], secret + b"A", secret + b"\n", b" " + secret, secret.swapcase())
    for wrong in (b"", b"treacle", b"\xff" * 46, *similar):
        assert keyring.find(wrong) is None


def test_every_stored_hash_is_compared_in_constant_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    compared: list[bytes] = []

    def compare(stored: bytes, sha256: bytes) -> bool:
        compared.append(stored)
        return stored == sha256

    keys = [new_key(f"key{i}") for i in range(4)]
    keyring = Keyring(written(tmp_path, "".join(f"{key.line}\n" for _, key in keys)))
    monkeypatch.setattr("api.serving.keys.keyring.compare_digest", compare)
    for secret in (keys[0][0], keys[3][0], new_key("stranger")[0]):
        compared.clear()
        keyring.find(secret.encode())
        assert compared == [key.sha256 for _, key in keys]


@pytest.mark.parametrize("content", ["nonsense\n", None], ids=["bad line", "deleted"])
def test_a_failed_reload_keeps_the_keys_and_is_visible(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, content: str | None
) -> None:
    (old, old_key), (new, newer_key) = new_key("old"), new_key("new")
    path = written(tmp_path, old_key.line)
    keyring = Keyring(path)
    failures, loaded = metric("tinwright_keys_reload_failures_total"), metric("tinwright_keys_loaded_timestamp_seconds")
    assert loaded > 0
    path.unlink() if content is None else path.write_text(content, "utf-8")
    keyring.reload()
    assert keyring.find(old.encode())
    assert [record.levelno for record in caplog.records if "not reloaded" in record.getMessage()] == [logging.ERROR]
    assert ("No such file" if content is None else "keys:1: a line is") in caplog.text
    assert metric("tinwright_keys_reload_failures_total") == failures + 1
    assert metric("tinwright_keys_loaded_timestamp_seconds") == loaded
    written(tmp_path, newer_key.line)
    keyring.reload()
    assert keyring.find(old.encode()) is None
    assert keyring.find(new.encode()) == newer_key
    assert metric("tinwright_keys_reload_failures_total") == failures + 1
    assert metric("tinwright_keys_loaded_timestamp_seconds") > loaded
    assert "nonsense" not in caplog.text


@pytest.mark.parametrize("text", ["", "# nothing\n"])
def test_a_file_without_keys_closes_the_service(tmp_path: Path, caplog: pytest.LogCaptureFixture, text: str) -> None:
    secret, key = new_key("tablet")
    path = written(tmp_path, key.line)
    keyring = Keyring(path)
    path.write_text(text, "utf-8")
    keyring.reload()
    assert keyring.find(secret.encode()) is None
    assert "every request that needs a key is refused" in caplog.text
    assert Keyring(path).keys == ()  # also at the start


def test_a_keys_file_that_cannot_be_used_is_reported_with_its_variable(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r"TINWRIGHT_KEYS_FILE: .*No such file"):
        check_start(Settings(keys_file=tmp_path / "none"), host="127.0.0.1", access=None)


LOOPBACK = {
    # RFC 1122, 3.2.1.3 (127.0.0.0/8); RFC 4291, 2.5.3 (::1) and 2.5.5.2 (IPv4-mapped); RFC 6761, 6.3 (localhost).
    "127.0.0.1": True,
    "127.255.255.254": True,
    "::1": True,
    "localhost": True,
    "LocalHost": True,
    "::ffff:127.0.0.1": True,
    "0:0:0:0:0:0:0:1": True,
    ALL_ADDRESSES: False,
    "::": False,
    "": False,
    "10.0.0.1": False,
    "192.168.1.20": False,
    "::ffff:10.0.0.1": False,
    "128.0.0.1": False,
    "0": False,
    "127.1": False,
    "localhost.example": False,
    "bakehouse": False,
    "fe80::1": False,
}


@pytest.mark.parametrize("host", LOOPBACK)
def test_the_service_starts_without_keys_on_loopback_only(host: str) -> None:
    assert is_loopback(host) is LOOPBACK[host]
    if LOOPBACK[host]:
        check_start(Settings(), host=host, access=None)
    else:
        with pytest.raises(ValueError, match=r"(?s)key new.*TINWRIGHT_KEYS_FILE.*--access open.*TINWRIGHT_ACCESS=open"):
            check_start(Settings(), host=host, access=None)
        check_start(Settings(access="open"), host=host, access=None)
        check_start(Settings(), host=host, access="open")


@pytest.mark.parametrize("text", [TABLET, ""], ids=["a key", "no key"])
def test_with_a_keys_file_it_starts_anywhere_but_not_as_an_open_service(tmp_path: Path, text: str) -> None:
    path = written(tmp_path, text)
    check_start(Settings(keys_file=path), host=ALL_ADDRESSES, access=None)
    for settings, access in ((Settings(keys_file=path, access="open"), None), (Settings(keys_file=path), "open")):
        with pytest.raises(ValueError, match="remove one of the two"):
            check_start(settings, host="127.0.0.1", access=access)


@pytest.fixture
def not_served(monkeypatch: pytest.MonkeyPatch) -> None:
    def serve(*_: object, **__: object) -> int:
        pytest.fail("the service started")

    monkeypatch.setattr("api.__main__.serve", serve)


@pytest.mark.usefixtures("not_served")
def test_the_command_does_not_start_an_open_service_for_other_machines(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--host", ALL_ADDRESSES]) == 2
    assert "can be reached from other machines" in capsys.readouterr().err


@pytest.mark.usefixtures("not_served")
@pytest.mark.parametrize("text", [None, "nonsense"])
def test_the_command_does_not_start_with_a_bad_file(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str | None
) -> None:
    path = tmp_path / "keys" if text is None else written(tmp_path, text)
    monkeypatch.setenv("TINWRIGHT_KEYS_FILE", str(path))
    assert main([]) == 2
    assert str(path) in capsys.readouterr().err
    with pytest.raises(KeysFileError):
        create_app(Settings())

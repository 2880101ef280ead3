"""The keys file on disk and the `key` commands: owner and mode stay, commands lock, unsafe files are refused."""

import fcntl
import os
import stat
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from api.__main__ import main
from api.serving.keys import keys_file
from api.serving.keys.keyring import Keyring, read_keys
from api.serving.keys.keys_file import KeysFileError
from tests.standing.running import ROOT

pytestmark = pytest.mark.skipif(os.name == "nt", reason="owners, modes and locks of POSIX")
SERVICE_USER = 10_001
TABLET, OFFICE = "tablet " + "ab" * 32, "office " + "cd" * 32
needs_root = pytest.mark.skipif(os.name == "nt" or os.geteuid() != 0, reason="only root can change an owner")


def written(folder: Path, text: str, mode: int = 0o600) -> Path:
    path = folder / "keys"
    path.write_text(text, "utf-8")
    path.chmod(mode)
    return path


def owner_and_mode(path: Path) -> tuple[int, int, int]:
    status = path.stat()
    return status.st_uid, status.st_gid, stat.S_IMODE(status.st_mode)


def test_new_prints_the_key_alone_on_standard_output(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["key", "new", "tablet"]) == 0
    printed = capsys.readouterr()
    secret = printed.out.strip()
    line = next(line for line in printed.err.splitlines() if line.startswith("tablet "))
    assert secret not in printed.err
    keyring = Keyring(written(tmp_path, line))
    assert keyring.find(secret.encode()) == keyring.keys[0]


def test_new_list_and_remove_edit_the_file_of_the_service(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "keys"
    monkeypatch.setenv("TINWRIGHT_KEYS_FILE", str(path))
    assert main(["key", "new", "tablet"]) == 0
    printed = capsys.readouterr()
    assert "the user that runs the service must be the owner" in printed.err
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert printed.out.strip() not in path.read_text("utf-8")
    assert Keyring(path).find(printed.out.strip().encode())
    assert main(["key", "new", "office"]) == 0
    assert "must be the owner" not in capsys.readouterr().err
    assert main(["key", "list"]) == 0
    assert capsys.readouterr().out.splitlines() == ["tablet", "office"]
    assert main(["key", "new", "tablet"]) == 2
    assert "a key named tablet" in capsys.readouterr().err
    assert main(["key", "remove", "tablet"]) == 0
    assert "until it gets SIGHUP" in capsys.readouterr().err
    assert [key.name for key in read_keys(path)] == ["office"]
    assert main(["key", "remove", "tablet"]) == 2
    assert main(["key", "remove", "office"]) == 0
    assert "refuses every request" in capsys.readouterr().err
    assert read_keys(path) == ()


def test_new_writes_a_new_output_file_or_changes_nothing(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    keys, output = tmp_path / "keys", tmp_path / "tablet.key"
    new = ["key", "new", "tablet", "--file", str(keys), "--output"]
    assert main([*new, str(output)]) == 0
    secret = output.read_text("ascii").strip()
    assert stat.S_IMODE(output.stat().st_mode) == 0o600
    printed = capsys.readouterr()
    assert secret not in printed.out + printed.err
    assert f"is in {output}" in printed.err
    assert [key.name for key in Keyring(keys).keys] == ["tablet"]
    assert Keyring(keys).find(secret.encode())
    before = keys.read_bytes()
    # The name exists, the output file exists, the folder does not exist: nothing changes.
    assert main([*new, str(tmp_path / "second.key")]) == 2
    assert main(["key", "new", "office", "--file", str(keys), "--output", str(output)]) == 2
    assert main(["key", "new", "office", "--file", str(keys), "--output", str(tmp_path / "none" / "x")]) == 2
    assert "exists already and was not changed" in capsys.readouterr().err
    assert (keys.read_bytes(), output.read_text("ascii").strip()) == (before, secret)
    assert {path.name for path in tmp_path.iterdir()} == {"keys", "tablet.key"}


@pytest.mark.parametrize("before", ["#", "# ours", OFFICE, f"{OFFICE}\n# end\n"])
def test_the_rest_of_the_file_stays(tmp_path: Path, before: str) -> None:
    path = written(tmp_path, before)
    assert main(["key", "new", "tablet", "--file", str(path)]) == 0
    assert path.read_text("utf-8").startswith(before.rstrip("\n") + "\n")
    assert read_keys(path)[-1].name == "tablet"
    assert main(["key", "remove", "tablet", "--file", str(path)]) == 0
    assert path.read_text("utf-8") == before.rstrip("\n") + "\n"


def test_a_bad_name_or_file_is_reported(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    path = written(tmp_path, "nonsense")
    for arguments in (["new", "a b"], ["new", "x", "--file", str(path)], ["list", "--file", str(path)], ["list"]):
        assert main(["key", *arguments]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "--file FILE" in printed.err
    assert path.read_text("utf-8") == "nonsense"


@needs_root
@pytest.mark.parametrize("mode", [0o600, 0o640, 0o400])
def test_commands_of_root_keep_owner_and_mode_so_that_the_service_can_read_the_file(mode: int) -> None:
    with TemporaryDirectory() as name:  # the folders of pytest are for their owner only
        (folder := Path(name)).chmod(0o755)
        path = written(folder, f"{TABLET}\n{OFFICE}\n", mode)
        os.chown(path, SERVICE_USER, SERVICE_USER)
        before, inode = owner_and_mode(path), path.stat().st_ino
        assert main(["key", "remove", "tablet", "--file", str(path)]) == 0
        assert main(["key", "new", "bench", "--file", str(path)]) == 0
        assert (owner_and_mode(path), path.stat().st_ino) == (before, inode)
        text = subprocess.run(
            ["/bin/cat", path], user=SERVICE_USER, group=SERVICE_USER, capture_output=True, text=True, check=True
        ).stdout
    assert [line.split()[0] for line in text.splitlines()] == ["office", "bench"]


def test_a_link_stays_and_the_file_behind_it_changes(tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    path = written(tmp_path / "data", f"{TABLET}\n{OFFICE}\n")
    (link := tmp_path / "keys").symlink_to(path)
    assert main(["key", "remove", "tablet", "--file", str(link)]) == 0
    assert link.is_symlink()
    assert [key.name for key in read_keys(link)] == ["office"]


def test_commands_at_once_lose_no_change(tmp_path: Path) -> None:
    path = written(tmp_path, "".join(f"old{i} {i:064x}\n" for i in range(8)))

    def run(action: str, name: str) -> int:
        command = [sys.executable, "-m", "api", "key", action, name, "--file", str(path)]
        return subprocess.run(command, cwd=ROOT, check=False, capture_output=True, timeout=120).returncode

    actions = [*(("remove", f"old{i}") for i in range(8)), *(("new", f"new{i}") for i in range(4))]
    with ThreadPoolExecutor(6) as pool:
        assert set(pool.map(run, *zip(*actions, strict=True))) == {0}
    assert {key.name for key in read_keys(path)} == {f"new{i}" for i in range(4)}


def test_a_locked_file_is_waited_for_but_not_for_ever(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(keys_file, "LOCK_SECONDS", 0.3)
    path = written(tmp_path, TABLET)
    with path.open("r+") as other:
        fcntl.flock(other, fcntl.LOCK_SH)
        assert read_keys(path)  # readers share the lock
        assert main(["key", "remove", "tablet", "--file", str(path)]) == 2
        assert "another process has locked the file" in capsys.readouterr().err
        fcntl.flock(other, fcntl.LOCK_EX)
        with pytest.raises(KeysFileError, match="another process has locked the file"):
            read_keys(path)
    assert main(["key", "remove", "tablet", "--file", str(path)]) == 0


def test_a_full_disk_leaves_the_file_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = written(tmp_path, TABLET)
    write = os.pwrite

    def full(descriptor: int, content: bytes, offset: int) -> int:
        if len(content) < 10:
            raise OSError(28, "No space left on device")
        return write(descriptor, content[:-5], offset)

    monkeypatch.setattr(os, "pwrite", full)
    assert main(["key", "new", "office", "--file", str(path)]) == 2
    assert path.read_text("utf-8") == TABLET


@pytest.mark.parametrize(
    ("mode", "reason"), [(0o644, None), (0o640, None), (0o646, "chmod o-w"), (0o620, "chmod g-w"), (0o660, "chmod g-w")]
)
def test_a_file_that_others_may_write_is_refused(tmp_path: Path, mode: int, reason: str | None) -> None:
    path = written(tmp_path, TABLET, mode)
    if reason is None:
        assert read_keys(path)
        return
    with pytest.raises(KeysFileError, match=reason):
        read_keys(path)
    assert main(["key", "remove", "tablet", "--file", str(path)]) == 2
    assert path.read_text("utf-8") == TABLET


def test_a_folder_in_which_all_may_replace_files_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (folder := tmp_path / "shared").mkdir()
    path = written(folder, TABLET)
    (link := tmp_path / "link").symlink_to(path)
    folder.chmod(0o777)
    for name in (path, link):
        with pytest.raises(KeysFileError, match="every user may replace files in the folder"):
            read_keys(name)
    assert main(["key", "new", "x", "--file", str(folder / "second")]) == 2
    assert "every user may replace files" in capsys.readouterr().err
    assert not (folder / "second").exists()
    folder.chmod(0o1777)  # sticky: only the owner of the file or of the folder can replace it
    assert read_keys(path)
    monkeypatch.setattr(os, "geteuid", lambda: 4_321)
    if path.stat().st_uid != 0:  # root may own it for everybody
        with pytest.raises(KeysFileError, match="every user may replace files"):
            read_keys(path)


@needs_root
def test_a_sticky_folder_does_not_protect_the_file_of_another_user(tmp_path: Path) -> None:
    (folder := tmp_path / "shared").mkdir()
    path = written(folder, TABLET)
    folder.chmod(0o1777)
    os.chown(path, SERVICE_USER, SERVICE_USER)
    with pytest.raises(KeysFileError, match="every user may replace files"):
        read_keys(path)


def test_only_regular_files_are_opened_and_nothing_waits(tmp_path: Path) -> None:
    os.mkfifo(fifo := tmp_path / "fifo")
    started = time.monotonic()
    for path, reason in (
        (tmp_path / "none", "No such file"),
        (tmp_path, "not a regular file"),
        (Path("/dev/zero"), "not a regular file"),
        (fifo, "not a regular file"),
    ):
        with pytest.raises(KeysFileError, match=reason):
            read_keys(path)
        if path != tmp_path / "none":
            assert main(["key", "new", "tablet", "--file", str(path)]) == 2
        assert main(["key", "remove", "tablet", "--file", str(path)]) == 2
    assert time.monotonic() - started < 60  # opening a FIFO would wait for ever

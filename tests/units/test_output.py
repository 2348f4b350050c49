"""Files are written whole or not at all, and a device stays a device."""

import os
import stat
from pathlib import Path

import pytest

from advisor.faults import InputError
from advisor.output import save


def test_a_file_is_replaced_and_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "sheet.txt"
    path.write_text("old", encoding="utf-8")
    path.chmod(0o600)
    save(path, "new")
    assert path.read_text("utf-8") == "new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert list(tmp_path.iterdir()) == [path]


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_text("old", encoding="utf-8")
    (tmp_path / "link.txt").symlink_to("real.txt")
    save(tmp_path / "link.txt", "new")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text("utf-8") == "new"


def test_a_pipe_is_written_to_and_not_replaced(tmp_path: Path) -> None:
    path = tmp_path / "pipe"
    os.mkfifo(path)
    reader = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    save(path, "through")
    assert os.read(reader, 100) == b"through"
    assert stat.S_ISFIFO(path.stat().st_mode)
    os.close(reader)


def test_a_full_device_is_a_fault_and_stays(tmp_path: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("no /dev/full here")
    with pytest.raises(InputError, match="cannot be written"):
        save(Path("/dev/full"), "x")
    assert stat.S_ISCHR(Path("/dev/full").stat().st_mode)


@pytest.mark.parametrize("name", ["", "no-such-folder/x.txt"])
def test_what_cannot_be_written_is_one_fault(tmp_path: Path, name: str) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        save(tmp_path / name, "x")
    assert list(tmp_path.iterdir()) == []

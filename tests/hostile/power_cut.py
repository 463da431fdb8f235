"""A home whose disk forgets what was not synced, cut off at random moments; see `power_cut.c`."""

import os
import shutil
import subprocess
from dataclasses import dataclass, field
from pathlib import Path

SOURCE = Path(__file__).with_suffix(".c")


def built(folder: Path) -> Path | None:
    """Build the shim; None where there is no compiler or no Linux."""
    compiler = shutil.which("cc") or shutil.which("gcc")
    if compiler is None or not Path("/proc/self/fd").exists():
        return None
    library = folder / "power_cut.so"
    command = [
        compiler,
        "-O1",
        "-shared",
        "-fPIC",
        "-o",
        str(library),
        str(SOURCE),
        "-ldl",
        "-lpthread",
    ]
    return library if subprocess.run(command, check=False).returncode == 0 else None


@dataclass
class ForgetfulDisk:
    """A folder on a tmpfs, and what would be left of it."""

    root: Path
    library: Path
    cuts: int = 0
    home: Path = field(init=False)
    kept: Path = field(init=False)

    def __post_init__(self) -> None:
        self._fresh()

    def environment(self) -> dict[str, str]:
        """Return the environment of a process whose disk this is."""
        plain = {key: value for key, value in os.environ.items() if not key.startswith("DECKCALL_")}
        return plain | {
            "LD_PRELOAD": str(self.library), "CUT_HOME": str(self.home), "CUT_KEPT": str(self.kept),
            "DECKCALL_HOME": str(self.home),
        }  # fmt: skip

    def cut(self) -> None:
        """Go on with what was synced, in a folder of its own; the processes are dead already."""
        before, kept = self.home, self.kept
        self.cuts += 1
        self._fresh()
        self._restore(before.stat().st_ino, kept, self.home)
        self._sync_all()

    def _fresh(self) -> None:
        self.home = self.root / f"home{self.cuts}"
        self.kept = self.root / f"kept{self.cuts}"
        self.home.mkdir(parents=True)
        self.kept.mkdir()

    def _restore(self, inode: int, kept: Path, target: Path) -> None:
        names = kept / f"names-{inode}"
        if not names.exists():
            return
        for line in names.read_text(encoding="utf-8").splitlines():
            number, is_folder, name = line.split(" ", 2)
            if is_folder == "1":
                (target / name).mkdir()
                self._restore(int(number), kept, target / name)
                continue
            content = kept / f"file-{number}"
            (target / name).write_bytes(content.read_bytes() if content.exists() else b"")

    def _sync_all(self) -> None:
        """What is there after a cut lies on the disk."""
        for folder in (self.home, *(one for one in self.home.rglob("*") if one.is_dir())):
            lines = []
            for one in folder.iterdir():
                inode = one.stat().st_ino
                lines.append(f"{inode} {int(one.is_dir())} {one.name}\n")
                if one.is_file():
                    shutil.copy(one, self.kept / f"file-{inode}")
            (self.kept / f"names-{folder.stat().st_ino}").write_text(
                "".join(lines), encoding="utf-8"
            )

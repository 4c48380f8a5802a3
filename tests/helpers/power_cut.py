"""A power cut: what a disk may hold when the current goes, by the calls that a run made.

After Pillai et al., "All File Systems Are Not Created Equal", OSDI 2014: what was written to a file is sure
once the file was synced, what was changed in a folder once the folder was; until then each of these may be on
the disk or not, in any order. The calls are seen below the file calls of Python and of SQLite, by ptrace(2).
"""

import os
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import killed_at
from killed_at import Files, lying_in

RDI, RSI, RDX, R10, RAX = 14 * 8, 13 * 8, 12 * 8, 7 * 8, 10 * 8
OPEN, OPENAT, CREAT = 2, 257, 0o100
SEEN = {
    OPEN: "open", OPENAT: "openat", 1: "write", 18: "pwrite64", 74: "fsync", 75: "fdatasync", 77: "ftruncate",
    82: "rename", 83: "mkdir", 87: "unlink", 86: "link", 84: "rmdir", 20: "writev", 296: "pwritev", 76: "truncate",  # noqa: E501
    263: "unlinkat", 264: "renameat", 265: "linkat", 316: "renameat2", 258: "mkdirat",
}  # fmt: skip


@dataclass(frozen=True)
class Change:
    """One thing that may or may not be on the disk yet."""

    file: int
    """The file whose content it is about; 0 where it is about names in a folder."""
    at: int = 0
    data: bytes = b""
    size: int | None = None
    named: str = ""
    gone: str = ""


@dataclass
class Disk:
    """What is sure, and what is under way. Files have numbers, so that a rename takes their content along."""

    names: dict[str, int] = field(default_factory=dict)
    content: dict[int, bytes] = field(default_factory=dict)
    folders: set[str] = field(default_factory=set)
    under_way: list[Change] = field(default_factory=list)
    seen: dict[str, int] = field(default_factory=dict)
    """Names as the run sees them."""
    count: int = 0

    @classmethod
    def of(cls, files: Files) -> "Disk":
        disk = cls(folders={name for name in files if name.endswith("/")})
        for name, data in files.items():
            if not name.endswith("/"):
                disk.count += 1
                disk.names[name] = disk.seen[name] = disk.count
                disk.content[disk.count] = data
        return disk

    def made(self, name: str) -> None:
        if name not in self.seen:
            self.count += 1
            self.seen[name] = self.count
            self.under_way.append(Change(self.count, named=name))

    def written(self, name: str, at: int, data: bytes) -> None:
        self.under_way.append(Change(self.seen[name], at, data))

    def cut_to(self, name: str, size: int) -> None:
        self.under_way.append(Change(self.seen[name], size=size))

    def renamed(self, old: str, new: str) -> None:
        self.seen[new] = self.seen.pop(old)
        self.under_way.append(Change(self.seen[new], named=new, gone=old))

    def linked(self, old: str, new: str) -> None:
        self.seen[new] = self.seen[old]
        self.under_way.append(Change(self.seen[new], named=new))

    def removed(self, name: str) -> None:
        self.seen.pop(name, None)
        self.under_way.append(Change(0, gone=name))

    def synced(self, name: str) -> None:
        """Of a file its content; of a folder (a name that ends with a slash) what happened to its names."""
        if name.endswith("/") or not name:
            self._settle(lambda each: _is_name(each) and _folder(each.named or each.gone) == name)
        else:
            self._settle(lambda each: not _is_name(each) and each.file == self.seen.get(name))

    def _settle(self, which: Callable[[Change], bool]) -> None:
        for each in [each for each in self.under_way if which(each)]:
            apply(each, self.names, self.content)
        self.under_way = [each for each in self.under_way if not which(each)]

    def after(self, lasting: list[Change]) -> Files:
        """What lies there if these of the changes under way came to the disk, in that order."""
        names, content = dict(self.names), dict(self.content)
        for each in lasting:
            apply(each, names, content)
        files: Files = dict.fromkeys(self.folders, b"")
        return files | {name: content.get(number, b"") for name, number in names.items()}


def apply(each: Change, names: dict[str, int], content: dict[int, bytes]) -> None:
    if _is_name(each):
        if each.gone:
            names.pop(each.gone, None)
        if each.named:
            names[each.named] = each.file
        return
    old = content.get(each.file, b"")
    if each.size is not None:
        content[each.file] = old[: each.size].ljust(each.size, b"\0")
    else:
        content[each.file] = (
            old[: each.at].ljust(each.at, b"\0") + each.data + old[each.at + len(each.data) :]
        )


def _is_name(each: Change) -> bool:
    return bool(each.named or each.gone)


def _folder(name: str) -> str:
    parent = Path(name).parent.as_posix()
    return "" if parent == "." else f"{parent}/"


def cuts(disk: Disk, dice: random.Random) -> Iterator[Files]:
    """What may lie there now: nothing of what is under way, all of it, and some of it in another order."""
    under_way = disk.under_way
    yield disk.after([])
    yield disk.after(under_way)
    yield disk.after([each for each in under_way if _is_name(each)])
    yield disk.after([each for each in under_way if not _is_name(each)])
    for _ in range(2):
        some = [each for each in under_way if dice.random() < 0.5]
        names = [each for each in some if _is_name(each)]  # names keep their order: one folder has one
        data = [each for each in some if not _is_name(each)]
        dice.shuffle(data)
        yield disk.after([*data, *names])


def cut_states(work: Callable[[], None], folder: Path) -> list[Files]:
    """Every different state that a power cut at any call of ``work`` may leave in a folder."""
    disk, dice = Disk.of(lying_in(folder)), random.Random(1)
    states: dict[tuple[tuple[str, bytes], ...], Files] = {}

    def changed() -> None:
        for files in cuts(disk, dice):
            states.setdefault(tuple(sorted(files.items())), files)

    _follow(work, folder, disk, changed)
    return list(states.values())


def _follow(work: Callable[[], None], folder: Path, disk: Disk, changed: Callable[[], None]) -> None:  # noqa: C901, PLR0915
    child = killed_at.start(work)
    root = str(folder.resolve())

    def name_of(path: str) -> str | None:
        whole = os.path.realpath(os.path.join(os.readlink(f"/proc/{child}/cwd"), path))  # noqa: PTH115, PTH118
        if whole == root:
            return ""
        return os.path.relpath(whole, root) if whole.startswith(f"{root}/") else None

    def open_file(number: int) -> str | None:
        try:
            path = os.readlink(f"/proc/{child}/fd/{number}")  # noqa: PTH115
        except OSError:
            return None
        found = name_of(path.removesuffix(" (deleted)"))
        return f"{found}/" if found and Path(path).is_dir() else found

    memory = open(f"/proc/{child}/mem", "rb", buffering=0)  # noqa: PTH123, SIM115

    def text(at: int) -> str:
        memory.seek(at)
        return memory.read(300).split(b"\0")[0].decode()

    def data(at: int, size: int) -> bytes:
        memory.seek(at)
        return memory.read(size)

    def position(number: int) -> int:
        told = Path(f"/proc/{child}/fdinfo/{number}").read_text()
        return int(told.split("pos:")[1].split()[0])

    def entered(call: str, words: list[int]) -> Callable[[int], None] | None:  # noqa: C901, PLR0911, PLR0912
        """What the call does, to be done once it has."""
        if call in ("open", "openat"):
            at, flags = (0, words[1]) if call == "open" else (1, words[2])
            found = name_of(text(words[at]))
            if found and flags & CREAT:
                return lambda _: disk.made(found)
        elif call in ("write", "pwrite64"):
            found = open_file(words[0])
            if found and found in disk.seen:
                start = words[3] if call == "pwrite64" else position(words[0])
                whole = data(words[1], words[2])
                return lambda size: disk.written(found, start, whole[:size])
        elif call in ("fsync", "fdatasync"):
            found = open_file(words[0])
            if found is not None:
                return lambda _: disk.synced(found)
        elif call == "ftruncate":
            found = open_file(words[0])
            if found and found in disk.seen:
                return lambda _: disk.cut_to(found, words[1])
        elif call in ("rename", "link"):
            old, new = name_of(text(words[0])), name_of(text(words[1]))
            if old and new and old in disk.seen:
                return lambda _: (disk.renamed if call == "rename" else disk.linked)(old, new)
        elif call == "unlink":
            found = name_of(text(words[0]))
            if found and found in disk.seen:
                return lambda _: disk.removed(found)
        elif call == "mkdir":
            found = name_of(text(words[0]))
            if found:
                return lambda _: disk.folders.add(f"{found}/")
        elif call in (
            "writev",
            "pwritev",
            "truncate",
            "unlinkat",
            "renameat",
            "linkat",
            "renameat2",
            "mkdirat",
        ):
            raise AssertionError(f"a call that is not followed: {call}")
        return None

    with memory:
        for call, words, leave in killed_at.calls_of(child, SEEN, (RDI, RSI, RDX, R10)):
            done = entered(call, words)
            result = leave()
            if done is not None and result >= 0:
                done(result)
                changed()

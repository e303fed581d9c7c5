"""Find, read, check and compile a knowledge base; keep the compiled form for the next start."""

from __future__ import annotations

import gc
import hashlib
import os
import pickle
import re
from contextlib import suppress
from dataclasses import dataclass, fields
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError, Place, Problem, ProblemsFound
from advisor.version import __version__

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from advisor.knowledge.base import Base, HouseChange
    from advisor.knowledge.gather import Gathered
    from advisor.knowledge.yamlread import Document

__all__ = [
    "Checked",
    "check_folders",
    "check_whole",
    "knowledge_files",
    "load",
    "load_written",
    "shipped_folder",
]

_PACKAGE = Path(__file__).resolve().parent.parent
_MOST_FILES = 500
_MOST_ENTRIES = 20_000  # files and folders of any kind that are looked at
_MOST_OF_ONE = 2_000_000  # bytes, as the reader of YAML has it
_MOST_TOTAL = 20_000_000
_ID = re.compile(rb"""\bid["']?:\s*["']?([A-Za-z][\w-]*)""")
_QUOTED = re.compile(r"'([^']+)'")
_UNREAD = {
    "knowledge-unreadable": "only ordinary files that you may read are knowledge",
    "yaml-too-large": "split it into files by what a reader would look for",
}


def shipped_folder() -> Path:
    """Where the shipped base stands: inside the package, or beside it in a checkout."""
    installed = _PACKAGE / "_base"
    beside = _PACKAGE.parent / "knowledge"
    for folder in (installed, beside):
        if (folder / "base.yaml").is_file():
            return folder
    raise AdvisorError(
        "knowledge-missing",
        "the shipped knowledge base is not there",
        where=str(installed),
        hint="install curdwise again; the installation is incomplete",
    )


def knowledge_files(folder: Path) -> list[Path]:
    """The YAML files of a folder, in a fixed order. Raises ``AdvisorError`` when there are none."""
    if not folder.is_dir():
        raise AdvisorError(
            "knowledge-missing",
            "there is no such knowledge folder" if not folder.exists() else "this is not a folder",
            where=str(folder),
            hint="give the folder that holds the YAML files",
        )
    files: list[Path] = []
    entries = 0
    for here, folders, names in os.walk(folder):
        folders[:] = [name for name in folders if not name.startswith(".")]
        entries += len(folders) + len(names)
        # A folder that is called like a file is told as what it is when it is read.
        files += [
            Path(here, name)
            for name in (*names, *folders)
            if name.endswith((".yaml", ".yml")) and not name.startswith(".")
        ]
        if len(files) > _MOST_FILES or entries > _MOST_ENTRIES:
            what = f"{_MOST_FILES} YAML files" if len(files) > _MOST_FILES else "20 000 files"
            raise AdvisorError(
                "knowledge-too-large",
                f"more than {what}",
                where=str(folder),
                hint="name the folder that holds the knowledge and nothing else",
            )
    if not files:
        raise AdvisorError(
            "knowledge-missing",
            "no YAML files in this folder",
            where=str(folder),
            hint="knowledge files end in .yaml",
        )
    return sorted(files)


def load(house: Sequence[Path | str] = (), *, cache: bool = True) -> Base:
    """The shipped base, with house folders laid over it, each over the ones before.

    A house with any error is refused whole: ``ProblemsFound`` lists every one. The
    compiled form is kept in the user's cache folder under a hash of all content and
    of the program, so that the next start costs little.
    """
    files = _Files.of(shipped_folder(), house)
    if cache and not files.problems:
        kept = _kept(files.digest)
        if kept is not None:
            return kept
    base, _ = _whole(files)
    if cache:
        _keep(files.digest, base)
    return base


def load_written(house: Sequence[Path | str] = ()) -> tuple[Base, Gathered]:
    """Like ``load``, with the records as written, for tools that need the place of every word."""
    return _whole(_Files.of(shipped_folder(), house))


def check_folders(folders: Iterable[Path | str]) -> tuple[Base | None, list[Problem]]:
    """Check folders as a base of their own if they hold a ``base:``, else over the shipped one.

    A file stands for the folder it belongs to (see ``whole_folders``). Returns the base when
    it could be built, and every problem and note.
    """
    checked = check_whole(folders)
    return (None if checked.left_out else checked.base), checked.problems


@dataclass(frozen=True)
class Checked:
    """What a check found. Of a house only what the house brings in is told."""

    base: Base | None  # as far as it could be built
    problems: list[Problem]
    left_out: int  # records, files and changes that could not be taken
    house: bool  # whether the folders were laid over the shipped base
    shipped: frozenset[str]  # the names of the shipped files, if they were

    def tells(self, problem: Problem) -> bool:
        """Whether it is of what was checked: an error, or not a note on the shipped base."""
        return problem.severity == "error" or problem.where.name not in self.shipped


def check_whole(folders: Iterable[Path | str]) -> Checked:
    """The same, with what the rest could be checked of."""
    from advisor.knowledge.assemble import at_the_house, without_what_is_missed
    from advisor.knowledge.audit import audit
    from advisor.knowledge.belongs import says_base, whole_folders

    whole = list(whole_folders(map(Path, folders)))
    given = [_contents(folder, str(folder)) for folder in whole]
    own = any(says_base(raw) for folder in given for _, raw in folder.files)
    if own or not given:
        files = _Files(given or [_contents(shipped_folder(), "knowledge")], [])
    else:
        files = _Files([_contents(shipped_folder(), "knowledge")], given)
    base, problems, gathered = _compile(files)
    if base is not None:
        found = without_what_is_missed(audit(base, gathered), gathered)
        if files.houses:
            found = _brought_in(found, files)
            found = at_the_house(found, gathered, files.shipped_names)
        problems = [*problems, *found]
    if own:
        problems = _meant_for_a_house(problems, files)
    return Checked(
        base,
        sorted(problems, key=lambda p: (p.where, p.code)),
        gathered.left_out,
        bool(files.houses),
        files.shipped_names if files.houses else frozenset(),
    )


def _brought_in(found: list[Problem], files: _Files) -> list[Problem]:
    """Without the notes that the shipped base has by itself."""
    from advisor.knowledge.audit import audit

    alone = _Files(files.shipped, [])
    base = _kept(alone.digest) or _compile(alone)[0]
    known = {(p.code, p.message) for p in audit(base)} if base is not None else set()
    return [p for p in found if p.severity == "error" or (p.code, p.message) not in known]


def _meant_for_a_house(problems: list[Problem], files: _Files) -> list[Problem]:
    """Names missing from a base of its own that the shipped one has are one fault, not many."""
    from advisor.knowledge.belongs import base_place

    names = _ids_of(_contents(shipped_folder(), "knowledge").files)
    missed = [
        p
        for p in problems
        if p.code.startswith("unknown-") and not names.isdisjoint(_QUOTED.findall(p.message))
    ]
    if not missed:
        return problems
    count = len({name for p in missed for name in _QUOTED.findall(p.message) if name in names})
    what = "1 name that it lacks stands" if count == 1 else f"{count} names that it lacks stand"
    told = Problem(
        "base-in-house",
        f"this folder says `base:`, so it is a base of its own, and {what} in the shipped one",
        base_place(pair for folder in files.shipped for pair in folder.files),
        "take `base:` out to lay it over the shipped base",
    )
    return [told, *(p for p in problems if p not in missed)]


@dataclass(frozen=True)
class _Folder:
    """The files of a folder by name; those that cannot be read are problems."""

    files: list[tuple[str, bytes]]
    problems: list[Problem]


@dataclass(frozen=True)
class _Files:
    """What a base is made of: the folders of the base itself, and the houses over it."""

    shipped: list[_Folder]
    houses: list[_Folder]

    @classmethod
    def of(cls, shipped: Path, houses: Sequence[Path | str]) -> _Files:
        return cls([_contents(shipped, "knowledge")], [_contents(Path(h), str(h)) for h in houses])

    @property
    def problems(self) -> list[Problem]:
        return [p for folder in (*self.shipped, *self.houses) for p in folder.problems]

    @property
    def shipped_names(self) -> frozenset[str]:
        return frozenset(name for folder in self.shipped for name, _ in folder.files)

    @property
    def digest(self) -> str:
        """Of every byte and name."""
        digest = hashlib.sha256()
        shipped = [pair for folder in self.shipped for pair in folder.files]
        for group in (shipped, *(house.files for house in self.houses)):
            digest.update(b"\0group\0")
            for name, raw in group:
                digest.update(f"{name}\0{len(raw)}\0".encode())
                digest.update(raw)
        return digest.hexdigest()


def _contents(folder: Path, name: str) -> _Folder:
    from advisor.files import read_bounded

    files: list[tuple[str, bytes]] = []
    problems = []
    left = _MOST_TOTAL
    for path in [folder] if folder.is_file() else knowledge_files(folder):
        shown = name if path == folder else f"{name}/{path.relative_to(folder).as_posix()}"
        shown = "".join(c if c.isprintable() else "?" for c in shown)
        try:
            raw = read_bounded(
                path,
                _MOST_OF_ONE,
                code="knowledge-unreadable",
                saying="this file cannot be read",
                too_large=("yaml-too-large", f"the file is larger than {_MOST_OF_ONE // 10**6} MB"),
                plain=True,
            )
        except AdvisorError as error:
            hint = error.hint or _UNREAD[error.code]
            problems.append(Problem(error.code, error.message, Place(shown), hint))
            continue
        left -= len(raw)
        if left < 0:
            raise AdvisorError(
                "knowledge-too-large",
                f"more than {_MOST_TOTAL // 10**6} MB of YAML files",
                where=str(folder),
                hint="name the folder that holds the knowledge and nothing else",
            )
        files.append((shown, raw))
    return _Folder(files, problems)


def _whole(files: _Files) -> tuple[Base, Gathered]:
    """A base without any error, or ``ProblemsFound``.

    Houses are audited here as in a check. The shipped base is not: its own tests do that.
    """
    base, problems, gathered = _compile(files)
    if base is not None and files.houses:
        from advisor.knowledge.assemble import at_the_house, without_what_is_missed
        from advisor.knowledge.audit import audit

        found = without_what_is_missed(audit(base, gathered), gathered)
        found = [p for p in found if p.severity == "error"]
        problems = [*problems, *at_the_house(found, gathered, files.shipped_names)]
    errors = [p for p in problems if p.severity == "error"]
    if errors or base is None:
        raise ProblemsFound("the knowledge base is refused", errors)
    return base, gathered


def _compile(files: _Files) -> tuple[Base | None, list[Problem], Gathered]:
    """The base as far as it can be built, every error of its parts, and the records."""
    from advisor.knowledge.assemble import assemble
    from advisor.knowledge.base import Base
    from advisor.knowledge.gather import gather
    from advisor.knowledge.lines import base_rates, compile_lines, priors
    from advisor.knowledge.words import WEIGHTS
    from advisor.science.registry import calculations

    unread: list[Problem] = list(files.problems)
    missed: set[str] = set()
    shipped = [d for folder in files.shipped for d in _documents(folder, unread, missed)]
    houses = [_documents(folder, unread, missed) for folder in files.houses]
    gathered = gather(shipped, houses, missed)
    gathered.left_out += len({p.where.name for p in unread})
    assembly = assemble(gathered, calculations())
    problems = [*unread, *assembly.problems]
    built = assembly.built
    if not gathered.name and not unread:
        first = next((name for folder in files.shipped for name, _ in folder.files), "knowledge")
        problems.append(
            Problem(
                "base-missing",
                "no file says `base:` with a name and a version",
                Place(first),
                "add it to one file: base: {name: …, version: 1.0}",
            )
        )
    if built is None:
        return None, problems, gathered
    lines = compile_lines(
        built.findings, built.causes, gathered.section("causes"), built.checks, built.rules
    )
    house = _house_changes(gathered)
    base = Base(
        name=gathered.name,
        version=gathered.version,
        hash=files.digest,
        sources=built.sources,
        findings=built.findings,
        figures=built.figures,
        checks=built.checks,
        causes=built.causes,
        rules=built.rules,
        remedies=built.remedies,
        cautions=built.cautions,
        lines=lines,
        priors=priors(built.causes),
        base_rates=base_rates(built.findings),
        bystander=-WEIGHTS.get(gathered.bystander, 0.0),
        overlays=tuple(map(str, house)),
        house=house,
        techniques=built.techniques,
        choosing=built.choosing,
        brief_findings=built.findings_of_briefs(),
        brief_figures=built.brief_figures,
        parts=built.parts,
        protocols={p.technique: p for p in built.protocols.values()},
    )
    return base, problems, gathered


def _house_changes(gathered: Gathered) -> tuple[HouseChange, ...]:
    from advisor.knowledge.base import HouseChange
    from advisor.knowledge.gather import one_of

    made = []
    for change in gathered.differences():
        verb = "switched off" if change.after is None else "replaced" if change.before else "added"
        record = change.after or change.before
        title = record.title if record is not None else ""
        made.append(
            HouseChange(verb, one_of(change.section), change.id, title, change.why, change.place)
        )
    return tuple(made)


def _documents(folder: _Folder, problems: list[Problem], missed: set[str]) -> list[Document]:
    """The documents of a folder. What is wrong with a file, and the ids in it, are told."""
    from advisor.knowledge.yamlread import read_yaml

    documents = []
    for name, raw in folder.files:
        try:
            documents.append(read_yaml(raw, name))
        except ProblemsFound as found:
            problems.extend(found.problems)
            missed |= _ids_of([(name, raw)])
    return documents


def _ids_of(files: Iterable[tuple[str, bytes]]) -> set[str]:
    """What looks like an id in files, whether or not they are YAML."""
    return {key.decode() for _, raw in files for key in _ID.findall(raw)}


# The kept form.


def _cache_folder() -> Path:
    home = os.environ.get("XDG_CACHE_HOME")
    base = Path(home) if home and Path(home).is_absolute() else Path.home() / ".cache"
    return base / "curdwise"


def _program_stamp() -> str:
    """Changes whenever the code that compiles or holds a base changes."""
    digest = hashlib.sha256(__version__.encode())
    rooms = [_PACKAGE / room for room in ("knowledge", "knowledge/audit", "quantities", "science")]
    for path in sorted([_PACKAGE / "errors.py", *(p for r in rooms for p in r.glob("*.py"))]):
        stat = path.stat()
        digest.update(f"{path.name}{stat.st_mtime_ns}{stat.st_size}".encode())
    return digest.hexdigest()[:16]


def _cache_file(digest: str) -> Path:
    return _cache_folder() / f"base-{_program_stamp()}-{digest[:32]}.bin"


# What the first question needs; all else is loaded when it is first looked at. What only the
# choice of a technique needs stands apart, so that a diagnosis never waits for it, and so do the
# rules as they are written: reasoning goes by their lines.
_AT_ONCE = ("name", "version", "hash", "findings", "bystander", "overlays", "house")
_CHOOSING = (
    "techniques",
    "choosing",
    "brief_findings",
    "brief_figures",
    "parts",
    "protocols",
)
_WRITTEN = ("rules",)


def _kept(digest: str) -> Base | None:
    """The compiled base from an earlier start, if it is there, whole, and the user's own file."""
    from advisor.knowledge.base import Base

    with suppress(Exception):
        path = _cache_file(digest)
        if hasattr(os, "getuid") and path.stat().st_uid != os.getuid():
            return None
        raw = path.read_bytes()
        seal, raw = raw[:32], raw[32:]
        if hashlib.sha256(raw).digest() != seal:
            return None
        at_once, *later = _parts(raw)
        first = _unpacked(at_once)
        if first["hash"] == digest:
            rest = frozenset(f.name for f in fields(Base)).difference(first, _CHOOSING, _WRITTEN)
            names = (rest, frozenset(_WRITTEN), frozenset(_CHOOSING))
            # Each part keeps its own bytes only, and those only until it is loaded.
            waiting = zip(names, later, strict=True)
            return Base.waiting(first, ((n, partial(_unpacked, part)) for n, part in waiting))
    return None


def _joined(parts: Sequence[bytes]) -> bytes:
    """Parts one after the other, each behind its length."""
    return b"".join(len(part).to_bytes(8, "big") + part for part in parts)


def _parts(raw: bytes) -> list[bytes]:
    """The parts that were joined."""
    parts, at = [], 0
    while at < len(raw):
        end = at + 8 + int.from_bytes(raw[at : at + 8], "big")
        parts.append(raw[at + 8 : end])
        at = end
    return parts


def _unpacked(raw: bytes) -> dict[str, Any]:
    """A part of our own file, whose owner and seal were checked."""
    # Very many small objects, none of them garbage: the collector would only look on.
    collecting = gc.isenabled()
    gc.disable()
    try:
        part: dict[str, Any] = pickle.loads(raw)  # noqa: S301
        return part
    finally:
        if collecting:
            gc.enable()


def _keep(digest: str, base: Base) -> None:
    """Write the compiled base in one step; a cache that cannot be written is no error."""
    import tempfile

    with suppress(OSError):
        path = _cache_file(digest)
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        for old in sorted(path.parent.glob("base-*.bin"), key=lambda p: p.stat().st_mtime)[:-7]:
            old.unlink(missing_ok=True)
        parts = {field.name: getattr(base, field.name) for field in fields(base)}
        first, written, choosing = (
            {name: parts.pop(name) for name in names} for names in (_AT_ONCE, _WRITTEN, _CHOOSING)
        )
        raw = _joined([pickle.dumps(p, protocol=5) for p in (first, parts, written, choosing)])
        with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as out:
            out.write(hashlib.sha256(raw).digest() + raw)
        Path(out.name).replace(path)

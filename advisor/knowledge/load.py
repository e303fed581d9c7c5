"""Find, read, check and compile a knowledge base; keep the compiled form for the next start."""

from __future__ import annotations

import gc
import hashlib
import os
import pickle
from contextlib import suppress
from dataclasses import fields
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError, Place, Problem, ProblemsFound
from advisor.version import __version__

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from advisor.knowledge.base import Base
    from advisor.knowledge.gather import Gathered
    from advisor.knowledge.yamlread import Document

__all__ = ["check_folders", "knowledge_files", "load", "load_written", "shipped_folder"]

_PACKAGE = Path(__file__).resolve().parent.parent
_MOST_FILES = 500


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
    files = sorted(
        p
        for pattern in ("*.yaml", "*.yml")
        for p in folder.rglob(pattern)
        if not any(part.startswith(".") for part in p.relative_to(folder).parts)
    )
    if not files:
        raise AdvisorError(
            "knowledge-missing",
            "no YAML files in this folder",
            where=str(folder),
            hint="knowledge files end in .yaml",
        )
    if len(files) > _MOST_FILES:
        raise AdvisorError(
            "knowledge-too-large", f"more than {_MOST_FILES} YAML files", where=str(folder)
        )
    return files


def load(house: Sequence[Path | str] = (), *, cache: bool = True) -> Base:
    """The shipped base, with house folders laid over it.

    A base with any error is refused whole: ``ProblemsFound`` lists every one. The
    compiled form is kept in the user's cache folder under a hash of all content and
    of the program, so that the next start costs little.
    """
    shipped = _contents(shipped_folder(), "knowledge")
    overlays = [_contents(Path(folder), str(folder)) for folder in house]
    digest = _digest([shipped, *overlays])
    if cache:
        kept = _kept(digest)
        if kept is not None:
            return kept
    base, problems, _ = _compile(shipped, overlays, digest)
    errors = [p for p in problems if p.severity == "error"]
    if errors or base is None:
        raise ProblemsFound("the knowledge base is refused", errors)
    if cache:
        _keep(digest, base)
    return base


def load_written(house: Sequence[Path | str] = ()) -> tuple[Base, Gathered]:
    """Like ``load``, with the records as written, for tools that need the place of every word."""
    shipped = _contents(shipped_folder(), "knowledge")
    overlays = [_contents(Path(folder), str(folder)) for folder in house]
    base, problems, gathered = _compile(shipped, overlays, _digest([shipped, *overlays]))
    errors = [p for p in problems if p.severity == "error"]
    if errors or base is None or gathered is None:
        raise ProblemsFound("the knowledge base is refused", errors)
    return base, gathered


def check_folders(folders: Iterable[Path | str]) -> tuple[Base | None, list[Problem]]:
    """Check folders as a base of their own if they hold a ``base:``, else over the shipped one.

    A file stands for the folder it belongs to (see ``whole_folders``). Returns the base when
    it could be built, and every problem and note.
    """
    from advisor.knowledge.audit import audit
    from advisor.knowledge.belongs import says_base, whole_folders

    contents = [_contents(folder, str(folder)) for folder in whole_folders(map(Path, folders))]
    own = any(says_base(raw) for files in contents for _, raw in files)
    if own or not contents:
        shipped = [pair for files in contents for pair in files] or _contents(
            shipped_folder(), "knowledge"
        )
        base, problems, gathered = _compile(shipped, [], _digest([shipped]))
    else:
        shipped = _contents(shipped_folder(), "knowledge")
        base, problems, gathered = _compile(shipped, contents, _digest([shipped, *contents]))
    if base is not None:
        problems = [*problems, *audit(base, gathered)]
    return base, sorted(problems, key=lambda p: (p.where, p.code))


def _contents(folder: Path, name: str) -> list[tuple[str, bytes]]:
    found = []
    for path in [folder] if folder.is_file() else knowledge_files(folder):
        shown = name if path == folder else f"{name}/{path.relative_to(folder).as_posix()}"
        try:
            found.append((shown, path.read_bytes()))
        except OSError as error:
            raise AdvisorError(
                "knowledge-unreadable",
                f"this file cannot be read: {error.strerror}",
                where=str(path),
            ) from None
    return found


def _digest(groups: Iterable[Sequence[tuple[str, bytes]]]) -> str:
    digest = hashlib.sha256()
    for group in groups:
        digest.update(b"\0group\0")
        for name, raw in group:
            digest.update(f"{name}\0{len(raw)}\0".encode())
            digest.update(raw)
    return digest.hexdigest()


def _compile(
    shipped: Sequence[tuple[str, bytes]],
    overlays: Sequence[Sequence[tuple[str, bytes]]],
    digest: str,
) -> tuple[Base | None, list[Problem], Gathered | None]:
    from advisor.knowledge.base import Base
    from advisor.knowledge.build import Builder
    from advisor.knowledge.gather import gather
    from advisor.knowledge.lines import base_rates, compile_lines, priors
    from advisor.knowledge.words import WEIGHTS
    from advisor.science.registry import calculations

    problems: list[Problem] = []
    house = [pair for files in overlays for pair in files]
    documents = _documents(shipped, problems), _documents(house, problems)
    if problems:
        # Whatever an unreadable file holds would be missed everywhere else: noise, not news.
        return None, problems, None
    gathered = gather(*documents)
    built = Builder(gathered, calculations())
    if not gathered.name:
        first = shipped[0][0] if shipped else "knowledge"
        built.problems.append(
            Problem(
                "base-missing",
                "no file says `base:` with a name and a version",
                Place(first),
                "add it to one file: base: {name: …, version: 1.0}",
            )
        )
    if built.problems:
        return None, built.problems, gathered
    lines = compile_lines(
        built.findings, built.causes, gathered.section("causes"), built.checks, built.rules
    )
    base = Base(
        name=gathered.name,
        version=gathered.version,
        hash=digest,
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
        overlays=tuple(gathered.changes),
        techniques=built.techniques,
        choosing=built.choosing,
        brief_findings=built.findings_of_briefs(),
        brief_figures=built.brief_figures,
        parts=built.parts,
        protocols={p.technique: p for p in built.protocols.values()},
    )
    return base, [], gathered


def _documents(files: Iterable[tuple[str, bytes]], problems: list[Problem]) -> list[Document]:
    from advisor.knowledge.yamlread import read_yaml

    documents = []
    for name, raw in files:
        try:
            documents.append(read_yaml(raw, name))
        except ProblemsFound as found:
            problems.extend(found.problems)
    return documents


# The kept form.


def _cache_folder() -> Path:
    home = os.environ.get("XDG_CACHE_HOME")
    base = Path(home) if home and Path(home).is_absolute() else Path.home() / ".cache"
    return base / "curdwise"


def _program_stamp() -> str:
    """Changes whenever the code that compiles or holds a base changes."""
    digest = hashlib.sha256(__version__.encode())
    rooms = [_PACKAGE / room for room in ("knowledge", "quantities", "science")]
    for path in sorted([_PACKAGE / "errors.py", *(p for r in rooms for p in r.glob("*.py"))]):
        stat = path.stat()
        digest.update(f"{path.name}{stat.st_mtime_ns}{stat.st_size}".encode())
    return digest.hexdigest()[:16]


def _cache_file(digest: str) -> Path:
    return _cache_folder() / f"base-{_program_stamp()}-{digest[:32]}.bin"


# What the first question needs; all else is loaded when it is first looked at. What only the
# choice of a technique needs stands apart, so that a diagnosis never waits for it, and so do the
# rules as they are written: reasoning goes by their lines.
_AT_ONCE = ("name", "version", "hash", "findings", "bystander", "overlays")
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

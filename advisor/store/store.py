"""The store: save, read, export and delete."""

from __future__ import annotations

import re
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Self

from sqlalchemy import delete, exists, func, insert, or_, select, update
from sqlalchemy.exc import DBAPIError, IntegrityError

from advisor.errors import AdvisorError, did_you_mean
from advisor.store.records import Attempt, Learner
from advisor.store.tables import attempt as attempts
from advisor.store.tables import learner as learners

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from types import TracebackType

    from sqlalchemy.engine import Connection, Engine, Row
    from sqlalchemy.sql import Select

__all__ = ["Store"]

_LONGEST = 200
_CONTROL = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff]")


class Store:
    """An open store; close it, or use it in a ``with``.

    ``notices`` are sentences that its user must be told, such as a damaged file set aside.
    Whatever a method has returned from is on disk.
    """

    def __init__(self, engine: Engine, notices: tuple[str, ...] = ()) -> None:
        self.engine = engine
        self.notices = notices

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        value: BaseException | None,
        at: TracebackType | None,
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of all connections."""
        self.engine.dispose()

    @contextmanager
    def _transaction(self) -> Iterator[Connection]:
        try:
            with self.engine.begin() as connection:
                yield connection
        except IntegrityError:
            raise
        except DBAPIError as error:
            reason = str(error.orig).strip().splitlines()
            raise AdvisorError(
                "store-failed",
                f"the progress store failed: {reason[0] if reason else error}",
                where=self.engine.url.render_as_string(hide_password=True),
                hint="nothing was saved half; try again when the store can be reached",
            ) from None

    # Writing.

    def save(self, finished: Iterable[Attempt], *, replace: bool = False) -> int:
        """Save finished drills, all or none; how many were new or, with ``replace``, changed.

        An attempt whose key is there already is left as it is, or replaced, so that the same
        results may be gathered twice. Raises ``AdvisorError`` (``store-name``) for an empty or
        overlong name.
        """
        rows = _checked(finished)
        try:
            return self._save(rows, replace=replace)
        except IntegrityError:
            # Another program has just saved the same learner or the same attempt.
            return self._save(rows, replace=replace)

    def supersede(
        self, finished: Iterable[Attempt], *, of_exam: str, of_sheet: str, former: Iterable[str]
    ) -> tuple[Attempt, ...]:
        """Save what one sheet of an exam gives, in place of all it gave before, all or none.

        Keys of the exam begin with ``of_exam``, those of the sheet with ``of_sheet``; ``former``
        are keys that the same attempts had in another form. What their learners had for the same
        drills from another sheet of the exam goes too. Gives what went of people of another name;
        one of whom nothing is left is no longer known. Raises ``AdvisorError`` (``store-name``).
        """
        rows, keys = _checked(finished), list(former)
        try:
            return self._supersede(rows, of_exam, of_sheet, keys)
        except IntegrityError:
            return self._supersede(rows, of_exam, of_sheet, keys)

    def _supersede(
        self, rows: list[Attempt], of_exam: str, of_sheet: str, former: list[str]
    ) -> tuple[Attempt, ...]:
        staying = {row.key for row in rows}
        people = {(row.learner, row.group) for row in rows}
        same = {(row.learner, row.group, row.scenario) for row in rows}
        query = _attempts_query().add_columns(attempts.c.id, attempts.c.learner_id)
        query = query.where(
            or_(attempts.c.key.startswith(of_exam, autoescape=True), attempts.c.key.in_(former))
        )
        with self._transaction() as connection:
            before = [
                old
                for old in connection.execute(query).all()
                if old.key.startswith(of_sheet) or (old.name, old.class_name, old.scenario) in same
            ]
            self._save_in(connection, rows, replace=True)
            going = [old.id for old in before if old.key not in staying]
            connection.execute(delete(attempts).where(attempts.c.id.in_(going)))
            empty = ~exists().where(attempts.c.learner_id == learners.c.id)
            known = learners.c.id.in_([old.learner_id for old in before])
            connection.execute(delete(learners).where(known, empty))
        return tuple(_attempt_of(old) for old in before if (old.name, old.class_name) not in people)

    def _save(self, rows: list[Attempt], *, replace: bool) -> int:
        with self._transaction() as connection:
            return self._save_in(connection, rows, replace=replace)

    def _save_in(self, connection: Connection, rows: list[Attempt], *, replace: bool) -> int:
        new = 0
        for row in rows:
            taken = connection.execute(
                select(attempts.c.id, attempts.c.record, attempts.c.learner_id).where(
                    attempts.c.key == row.key
                )
            ).first()
            if taken is not None and not replace:
                continue
            learner = _learner_id(connection, row.learner, row.group)
            if taken is not None and (taken.record, taken.learner_id) == (row.record, learner):
                continue
            values = {
                "key": row.key,
                "learner_id": learner,
                "scenario": row.scenario,
                "mode": row.mode,
                "finished": row.finished,
                "score": row.score,
                "record": dict(row.record),
            }
            if taken is None:
                connection.execute(insert(attempts).values(values))
            else:
                change = update(attempts).where(attempts.c.id == taken.id)
                connection.execute(change.values(values))
            new += 1
        return new

    def delete(self, name: str, group: str | None = None) -> int:
        """Delete a learner and all attempts of theirs; how many attempts went.

        Without a class, the name must be in one class only. Raises ``AdvisorError``
        (``unknown-learner``, ``learner-unclear``).
        """
        found = self.learner(name, group)
        with self._transaction() as connection:
            row = connection.execute(
                select(learners.c.id).where(
                    learners.c.name == found.name, learners.c.class_name == found.group
                )
            ).first()
            if row is None:
                return 0
            gone = connection.execute(delete(attempts).where(attempts.c.learner_id == row.id))
            connection.execute(delete(learners).where(learners.c.id == row.id))
        if self.engine.dialect.name == "sqlite":
            self._forget_on_disk()
        return int(gone.rowcount)

    def _forget_on_disk(self) -> None:
        """Deleted rows stay readable in free pages and in the log until they are written over."""
        with self.engine.connect() as connection:
            raw: Any = connection.connection.dbapi_connection
            raw.execute("vacuum")
            raw.execute("pragma wal_checkpoint(truncate)")

    # Reading.

    def attempts(self, *, name: str | None = None, group: str | None = None) -> tuple[Attempt, ...]:
        """Finished drills, oldest first: of everybody, of a class, of a learner."""
        query = _attempts_query()
        if name is not None:
            query = query.where(learners.c.name == name)
        if group is not None:
            query = query.where(learners.c.class_name == group)
        with self._transaction() as connection:
            rows = connection.execute(query).all()
        return tuple(map(_attempt_of, rows))

    def learners(self, group: str | None = None) -> tuple[Learner, ...]:
        """Everybody, or a class, by name."""
        query = (
            select(
                learners.c.name,
                learners.c.class_name,
                func.count(attempts.c.id).label("number"),
                func.max(attempts.c.finished).label("last"),
            )
            .select_from(learners.outerjoin(attempts))
            .group_by(learners.c.id, learners.c.name, learners.c.class_name)
            .order_by(learners.c.class_name, learners.c.name)
        )
        if group is not None:
            query = query.where(learners.c.class_name == group)
        with self._transaction() as connection:
            rows = connection.execute(query).all()
        return tuple(Learner(row.name, row.class_name, row.number, row.last) for row in rows)

    def groups(self) -> tuple[str, ...]:
        """The names of all classes, the empty one of lone learners among them."""
        return tuple(dict.fromkeys(person.group for person in self.learners()))

    def learner(self, name: str, group: str | None = None) -> Learner:
        """One learner. Raises ``AdvisorError`` (``unknown-learner``, ``learner-unclear``)."""
        everybody = self.learners(group)
        found = [person for person in everybody if person.name == name]
        if not found:
            raise AdvisorError(
                "unknown-learner",
                f"there is no learner {name!r}" + (f" in class {group!r}" if group else ""),
                hint=did_you_mean(name, [p.name for p in everybody])
                or "curdwise class list names everybody",
            )
        if len(found) > 1:
            raise AdvisorError(
                "learner-unclear",
                f"{name!r} is in several classes: " + ", ".join(p.group or "none" for p in found),
                hint="name the class too",
            )
        return found[0]


def _attempts_query() -> Select[Any]:
    return (
        select(
            attempts.c.key,
            attempts.c.scenario,
            attempts.c.mode,
            attempts.c.finished,
            attempts.c.score,
            attempts.c.record,
            learners.c.name,
            learners.c.class_name,
        )
        .join_from(attempts, learners)
        .order_by(attempts.c.finished, attempts.c.id)
    )


def _attempt_of(row: Row[Any]) -> Attempt:
    return Attempt(
        key=row.key,
        learner=row.name,
        group=row.class_name,
        scenario=row.scenario,
        mode=row.mode,
        finished=row.finished,
        score=row.score,
        record=row.record,
    )


def _learner_id(connection: Connection, name: str, group: str) -> int:
    found = connection.execute(
        select(learners.c.id).where(learners.c.name == name, learners.c.class_name == group)
    ).scalar()
    if found is not None:
        return int(found)
    made = connection.execute(insert(learners).values(name=name, class_name=group))
    key = made.inserted_primary_key
    assert key is not None  # noqa: S101  (one row was inserted)
    return int(key[0])


def _checked(finished: Iterable[Attempt]) -> list[Attempt]:
    rows = list(finished)
    for row in rows:
        _check_name(row.learner, "learner")
        _check_name(row.group, "class", empty=True)
    return rows


def _check_name(name: str, what: str, *, empty: bool = False) -> None:
    if (not name.strip() and not (empty and name == "")) or len(name) > _LONGEST:
        raise AdvisorError(
            "store-name",
            f"the name of a {what} has 1 to {_LONGEST} characters, not {len(name.strip())}",
        )
    if _CONTROL.search(name):
        raise AdvisorError("store-name", f"the name of a {what} is one line of plain text")

"""An evaluation as tables for a spreadsheet."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING, Any

from advisor.errors import AdvisorError
from advisor.evaluation.data import bin_data, number, row_data
from advisor.evaluation.summary import BY

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from advisor.evaluation.evaluation import Evaluation
    from advisor.evaluation.outcome import Outcome

__all__ = ["write_tables"]


def write_tables(evaluation: Evaluation, folder: Path) -> tuple[Path, ...]:
    """Tables for a spreadsheet in a folder, made if need be: cases, reliability and the rest.

    Raises ``AdvisorError`` when they cannot be written.
    """
    tables: dict[str, list[dict[str, Any]]] = {
        "cases": [_case(o) for o in (*evaluation.outcomes, *evaluation.disturbed)],
        "confusions": [
            {"true": c.true, "named": c.named, "n": c.n, "stage_right": c.stage_right}
            for c in evaluation.confusions
        ],
        "reliability": [
            bin_data(b) for b in evaluation.summary.forecasts.table
        ] if evaluation.summary.forecasts else [],
        **{f"by-{what}": [_flat(row_data(r)) for r in evaluation.by(what)] for what in BY},
    }
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, rows in tables.items():
            path = folder / f"{name}.csv"
            _write(path, rows)
            written.append(path)
    except OSError as error:
        raise AdvisorError(
            "tables-unwritable",
            f"the tables cannot be written: {error.strerror or error}",
            where=str(folder),
            hint="choose a folder that you may write to",
        ) from None
    return tuple(written)


def _write(path: Path, rows: Sequence[dict[str, Any]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]) if rows else [])
        writer.writeheader()
        writer.writerows(rows)


def _flat(row: dict[str, Any]) -> dict[str, Any]:
    """A row with the parts of a share in columns of their own."""
    flat: dict[str, Any] = {}
    for key, value in row.items():
        if isinstance(value, dict):
            flat |= {f"{key}_{part}": each for part, each in value.items()}
        else:
            flat[key] = value
    return flat


def _case(o: Outcome) -> dict[str, Any]:
    return {
        "case": o.case,
        "condition": o.condition,
        "true": o.true,
        "named": o.named,
        "verdict": o.verdict,
        "stage": o.stage,
        "right": o.right,
        "in_three": o.in_three,
        "stage_right": o.stage_right,
        "probability": number(o.probability),
        "brier_all": number(o.brier_all),
        "questions": len(o.asked),
        "stopped": o.stopped,
        "minutes": number(o.effort.advised, 2) if o.effort else None,
        "symptoms": " ".join(o.symptoms),
    }

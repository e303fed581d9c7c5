"""A consultation: ask, tell, undo, save, resume, conclude. Every step gives a new one."""

from __future__ import annotations

from advisor.consult.case import Case, case_schema, read_case
from advisor.consult.consultation import Consultation
from advisor.consult.question import Option, Question

__all__ = ["Case", "Consultation", "Option", "Question", "case_schema", "read_case"]

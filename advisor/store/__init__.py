"""Storage for drill progress: an SQLite file by default, a PostgreSQL server for a school.

Names of people stay in here. The batch book is to share it.
"""

from __future__ import annotations

from advisor.store.opening import default_url, is_default, open_store
from advisor.store.records import Attempt, Learner
from advisor.store.store import Store

__all__ = ["Attempt", "Learner", "Store", "default_url", "is_default", "open_store"]

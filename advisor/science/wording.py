"""How a caution is worded: what is known, what to do, whose rule it is, and who decides.

Some words promise more than anybody can know about somebody else's bottle. They
are listed here, and no message of this package may hold one.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["BANNED", "DEFERRAL", "RECHECK", "Caution", "banned_words"]

DEFERRAL = (
    "General information only. Your local food code, alcohol law and licence conditions decide. "
    "If in doubt, ask your food-safety officer or regulator before you serve this."
)
RECHECK = "Check before relying on this."

BANNED = (
    "safe",
    "safely",
    "sterile",
    "shelf stable",
    "dairy free",
    "milk free",
    "allergen free",
    "vegan",
    "kills bacteria",
    "preserved by alcohol",
    "guaranteed",
    "harmless",
)


def banned_words(text: str) -> tuple[str, ...]:
    """The banned words found in ``text``, as written there; hyphens count as spaces."""
    import re

    words = "|".join(w.replace(" ", r"[\s-]+") for w in BANNED)
    pattern = rf"(?<![\w-])(?:{words})(?![\w-])"
    return tuple(m.group(0) for m in re.finditer(pattern, text, re.IGNORECASE))


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: ``stop`` cautions come before tips. Read ``text`` for the whole."""

    fact: str
    action: str
    jurisdiction: str
    stop: bool = False
    deferral: str = DEFERRAL

    @property
    def text(self) -> str:
        """Fact, action, jurisdiction and deferral in one paragraph."""
        return f"{self.fact} {self.action} ({self.jurisdiction}) {self.deferral}"

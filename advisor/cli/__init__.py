"""The command ``curdwise``: thin over the library."""

from __future__ import annotations

import gc
import os
import sys

from advisor.cli.exits import Exit

__all__ = ["Exit", "main"]


def main(arguments: list[str] | None = None) -> int:
    """Run the command and return its exit code. Bad input never ends in a traceback."""
    # Starting makes very many objects that all stay: the collector would only look on.
    gc.disable()
    from advisor.errors import AdvisorError

    try:
        from advisor.cli.app import run

        return int(run(arguments))
    except AdvisorError as error:
        from advisor.cli.problems import without_long_words

        said = without_long_words(str(error), arguments)
        print(f"curdwise: {said}", file=sys.stderr)  # noqa: T201
        return int(Exit.of(error))
    except KeyboardInterrupt:
        print("curdwise: interrupted", file=sys.stderr)  # noqa: T201
        return int(Exit.INTERRUPTED)
    except BrokenPipeError:
        # Whoever read our output has gone; keep the interpreter from complaining at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return int(Exit.OK)
    finally:
        gc.enable()

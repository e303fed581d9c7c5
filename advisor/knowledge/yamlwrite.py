"""Writing plain data as YAML that ``read_yaml`` reads back as the same data."""

from __future__ import annotations

from typing import Any

__all__ = ["yaml_text"]


def yaml_text(data: Any, *, width: int = 100, quote: str = "'") -> str:
    """YAML of plain data, keys in their order, lines of about ``width``.

    Text stays text in the sense of YAML 1.2: between ``quote`` where it would be read as a
    number or another thing (``1e5``).
    """
    import yaml

    from advisor.knowledge.yamlread import plain_value

    class Dumper(yaml.SafeDumper):
        pass

    def text(dumper: Any, value: str) -> Any:
        # The writer knows YAML 1.1, our reader 1.2: what reads as something else is quoted.
        style = None if isinstance(plain_value(value), str) else quote
        return dumper.represent_scalar("tag:yaml.org,2002:str", value, style=style)

    Dumper.add_representer(str, text)
    return yaml.dump(data, Dumper=Dumper, sort_keys=False, allow_unicode=True, width=width)

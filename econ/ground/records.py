"""Records: named values that belong together, made once and never changed.

Each is a ``Struct`` of msgspec declared ``frozen=True``: its class takes a hundredth of a data
class's time to make, which every command waits for two hundred times over, and its instances a
tenth.
"""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    # Types of what is changed are checked under this name alone.
    from dataclasses import replace as replace  # noqa: TID251
else:
    from msgspec.structs import replace

__all__ = ["replace"]

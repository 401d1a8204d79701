"""A progress bar for slow commands, silent when nobody looks."""

from __future__ import annotations

import sys
from types import TracebackType
from typing import Self

from tqdm import tqdm


class Progress:
    """Shows one bar for each part of a job; ``tell(part, done, whole)`` moves it."""

    def __init__(self, *, quiet: bool = False, always: bool = False) -> None:
        self.quiet = quiet or not (always or sys.stderr.isatty())
        self.bar: tqdm[None] | None = None
        self.part = ""

    def __enter__(self) -> Self:
        """Begin."""
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None) -> None:
        """Close the last bar."""
        if self.bar is not None:
            self.bar.close()

    def tell(self, part: str, done: int, whole: int) -> None:
        """Move the bar of a part."""
        if part != self.part:
            if self.bar is not None:
                self.bar.close()
            self.bar, self.part = tqdm(total=whole, desc=part.capitalize(), disable=self.quiet, unit=""), part
        if self.bar is not None:
            self.bar.update(done - self.bar.n)

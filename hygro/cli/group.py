"""The group of commands: how errors end, and where the log goes."""

from __future__ import annotations

import errno
import logging
import os
from typing import Any, Final

import click

from hygro.errors import HygroError

TRACEBACK: Final = "HYGRO_TRACEBACK"
"""Environment variable; set to 1, unexpected errors show where they came from."""

_INTERRUPTED = 130  # 128 + SIGINT, as shells expect


class Failure(click.ClickException):
    """One sentence on stderr, and an exit code."""

    def __init__(self, message: str, exit_code: int) -> None:
        super().__init__(message)
        self.exit_code = exit_code  # type: ignore[misc]  # click reads it from the instance

    def show(self, file: Any = None) -> None:
        """Print the sentence."""
        click.echo(f"hygro: {self.message}", err=True)


class HygroGroup(click.Group):
    """A group whose commands end with one sentence and the exit code of the error, and log to stderr."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; turn what goes wrong into a sentence."""
        handler = _StderrHandler()
        logger = logging.getLogger("hygro")
        level = logger.level
        logger.addHandler(handler)
        logger.setLevel(logging.INFO)
        try:
            return super().invoke(ctx)
        except HygroError as failure:
            raise Failure(failure.sentence(), failure.exit_code) from failure
        except KeyboardInterrupt:
            raise Failure("interrupted.", _INTERRUPTED) from None
        except (click.ClickException, click.exceptions.Exit, click.Abort):
            raise
        except Exception as failure:
            if os.environ.get(TRACEBACK) == "1" or _is_closed_pipe(failure):
                raise
            raise Failure(
                f"unexpected {type(failure).__name__}: {failure}. This is a fault of hygro; run again with "
                f"{TRACEBACK}=1 to see where it happened.",
                1,
            ) from failure
        finally:
            logger.removeHandler(handler)
            logger.setLevel(level)


class _StderrHandler(logging.Handler):
    """Write log lines to the stderr of the moment, which a progress bar may have taken over."""

    def emit(self, record: logging.LogRecord) -> None:
        """Write one line."""
        prefix = "" if record.levelno < logging.WARNING else f"{record.levelname.lower()}: "
        click.echo(f"{prefix}{record.getMessage()}", err=True)


def _is_closed_pipe(failure: Exception) -> bool:
    """Tell whether the reader of stdout has gone, which click ends quietly."""
    return isinstance(failure, OSError) and failure.errno == errno.EPIPE

"""The command line: `looseends`, one module for each of its commands."""

from looseends.cli.application import app, main

__all__ = ["app", "main"]

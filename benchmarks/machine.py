"""The machine and the versions that a timing belongs to, and how long the kernel takes to start."""

from __future__ import annotations

import os
import platform
import subprocess
import sys
import tempfile
from importlib.metadata import version
from pathlib import Path

_START = """
import time
begin = time.perf_counter()
from looseends.mechanics.kernel import warm_up
loaded = time.perf_counter()
warm_up()
print(loaded - begin, time.perf_counter() - loaded)
"""


def described() -> str:
    """Processor, cores, and versions, in one line."""
    versions = ", ".join(f"{name} {version(name)}" for name in ("numpy", "scipy", "numba", "clarabel"))
    return f"{_processor()}, {os.cpu_count()} cores, Python {platform.python_version()}, {versions}"


def _processor() -> str:
    info = Path("/proc/cpuinfo")
    if info.exists():
        names = [line.partition(":")[2].strip() for line in info.read_text().splitlines() if "model name" in line]
        if names:
            return names[0]
    return platform.processor() or platform.machine()


def processor_s(process: int) -> float:
    """Processor time [s] that a process has had; not a number where the system does not tell."""
    try:
        fields = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    except OSError:
        return float("nan")
    return (int(fields[11]) + int(fields[12])) / float(os.sysconf("SC_CLK_TCK"))


def starts() -> tuple[tuple[float, float], tuple[float, float]]:
    """Seconds to import and to warm up the kernel: the first time, when it is compiled, and the second, when loaded."""
    with tempfile.TemporaryDirectory() as folder:
        return _start(folder), _start(folder)


def _start(folder: str) -> tuple[float, float]:
    environment = {**os.environ, "NUMBA_CACHE_DIR": folder}
    done = subprocess.run([sys.executable, "-c", _START], env=environment, capture_output=True, text=True, check=True)
    loading, warming = (float(word) for word in done.stdout.split())
    return loading, warming

"""How long the kernel takes beside other solvers, on the machine at hand: `python -m benchmarks`."""

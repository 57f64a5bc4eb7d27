"""May this program be trusted? What it promises, simulated, each table with its aim beside it.

    python -m benchmarks.trust [--quick] [NAME...]

A module holds one table or more: functions from `quick` to a `Table`. `__main__` lists them.
"""

# What can be made here? `make demo` and `make test` are the two to know.
PYTHON ?= python3
SYSTEM_PACKAGES := chromium postgresql

.PHONY: demo test check bench lock run assets clean

demo: .venv/.run        ## plan the demo job and write its pack to build/fernhollow
	.venv/bin/truehang demo -o build

test: system .venv/.dev assets  ## everything CI runs
	.venv/bin/ruff check .
	.venv/bin/ruff format --check .
	.venv/bin/mypy
	.venv/bin/lint-imports
	.venv/bin/python -m pytest -n 2 --cov --cov-report=term

bench: .venv/.dev       ## medians and side-by-side ratios
	.venv/bin/python benchmarks/run.py

lock:                   ## write the hashed locks again from pyproject.toml
	uv pip compile pyproject.toml --extra build --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-emit-find-links --custom-compile-command "make lock" -q -o lock/run.lock
	uv pip compile pyproject.toml --all-extras --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-emit-find-links --custom-compile-command "make lock" -q -o lock/dev.lock

.venv/bin/python:
	$(PYTHON) -c 'import sys; sys.exit(0 if sys.version_info >= (3, 11) else "Truehang needs Python 3.11 or newer; name one with: make PYTHON=python3.12")'
	$(PYTHON) -m venv .venv

.venv/.run: .venv/bin/python lock/run.lock pyproject.toml
	test -e .venv/.dev || .venv/bin/python -m pip install -q --disable-pip-version-check --require-hashes -r lock/run.lock
	.venv/bin/python -m pip install -q --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $@

.venv/.dev: .venv/bin/python lock/dev.lock pyproject.toml
	.venv/bin/python -m pip install -q --disable-pip-version-check --require-hashes -r lock/dev.lock
	.venv/bin/python -m pip install -q --disable-pip-version-check --no-deps --no-build-isolation -e .
	touch $@

.PHONY: system
system:
	@sh .ci/system-packages $(SYSTEM_PACKAGES)

clean:
	rm -rf build dist .venv

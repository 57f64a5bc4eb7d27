# What can be made here? `make demo` and `make test` are the two to know.
PYTHON ?= python3
SYSTEM_PACKAGES := chromium libnss3-tools nginx-light postgresql

.PHONY: demo test coverage check bench faults bench-years bench-web bench-cutting bench-trust lock run assets clean mutants golden bench-programme

demo: .venv/.run        ## plan the demo job and write its pack to build/fernhollow
	.venv/bin/truehang demo -o build

test: system .venv/.dev assets  ## everything CI runs
	.venv/bin/ruff check .
	.venv/bin/ruff format --check .
	.venv/bin/mypy
	.venv/bin/lint-imports
	.venv/bin/python -m pytest -n 2 --dist loadfile --no-loadscope-reorder

coverage: system .venv/.dev assets  ## which lines the tests reach; they take half as long again
	.venv/bin/python -m pytest -n 2 --dist loadfile --no-loadscope-reorder --cov --cov-report=term

bench: .venv/.dev       ## medians and side-by-side ratios
	.venv/bin/python -m benchmarks.run

bench-years: .venv/.dev system  ## ten years of jobs in both databases: lists, search, backup, memory
	.venv/bin/python -m benchmarks.years

# Longer: make faults TRIALS="--rounds 64 --away 1 10 120"; one alone: TRIALS=kills
faults: .venv/.dev system  ## kills, databases that go away, many copies of one write: what is lost
	.venv/bin/python -m faults.run $(TRIALS)

run: .venv/.run assets  ## open the app in a browser: prints a link that works once
	.venv/bin/truehang serve

bench-web: .venv/.dev assets  ## 200 jobs, 20 people at once on loopback, for SECONDS (60 if left)
	.venv/bin/python benchmarks/web.py $(SECONDS)

golden: .venv/.dev      ## numbers of the demos beside what they were before the rooms were redesigned
	.venv/bin/python -m benchmarks.golden

# Longer, or one room: make mutants SAMPLE="--rooms plan --number 100 --seed 2"
mutants: .venv/.dev     ## small faults put in one at a time: how many the tests see, room by room
	nice .venv/bin/python -m benchmarks.mutants $(SAMPLE)

# The published instances are no part of the repo: TRUEHANG_DATA names the folder that has cutting/.
# More of them, longer: make bench-cutting OPTIONS="--sample 100 --seconds 10 --names"
OPTIONS ?= --sets falkenauer_u,falkenauer_t,scholl1,scholl2 --sample 2 --seconds 2
bench-cutting: .venv/.dev  ## published cutting instances, beside three other ways to solve them
	.venv/bin/python -m benchmarks.cutting $(OPTIONS)

# More of them, longer: make bench-programme SCHEDULES="--sample 50 --seconds 10"
SCHEDULES ?= --sample 6 --seconds 5
bench-programme: .venv/.dev  ## published schedules beside a plain model, and the demo of 24 openings
	.venv/bin/python -m benchmarks.programme $(SCHEDULES)

bench-trust: .venv/.dev  ## what is promised, simulated: every table with its aim (QUICK=--quick)
	.venv/bin/python -m benchmarks.trust $(QUICK)

bench-cutting-jobs: .venv/.dev  ## 200 generated jobs with several stocks, prices and a rack
	.venv/bin/python -m benchmarks.cutting_jobs

# Front-end parts are fetched by the lock's hashes and end up in the wheel, never in the repo.
VENDOR := src/truehang/web/static/vendor
assets: $(VENDOR)/.made
$(VENDOR)/.made: package.json package-lock.json
	@command -v npm >/dev/null || sh .ci/system-packages npm
	npm ci --ignore-scripts --no-audit --no-fund --loglevel=error
	mkdir -p $(VENDOR)
	cp node_modules/htmx.org/dist/htmx.min.js $(VENDOR)/htmx.min.js
	cp node_modules/htmx.org/LICENSE $(VENDOR)/htmx.LICENSE.txt
	cp node_modules/idb/build/umd.js $(VENDOR)/idb.js
	cp node_modules/idb/LICENSE $(VENDOR)/idb.LICENSE.txt
	mkdir -p $(VENDOR)/three
	cp node_modules/three/build/three.module.min.js node_modules/three/build/three.core.min.js $(VENDOR)/three/
	cp node_modules/three/LICENSE $(VENDOR)/three.LICENSE.txt
	@# Browsers look up no bare names without a script in the page, which our pages don't allow.
	for part in loaders/GLTFLoader controls/OrbitControls utils/BufferGeometryUtils utils/SkeletonUtils; do \
	  mkdir -p $(VENDOR)/three/$${part%/*} && sed "s#from 'three'#from '../three.module.min.js'#" \
	  node_modules/three/examples/jsm/$$part.js > $(VENDOR)/three/$$part.js || exit 1; done
	touch $@

lock:                   ## write the hashed locks again from pyproject.toml
	uv pip compile pyproject.toml --extra build --universal --python-version 3.11 --generate-hashes --no-strip-extras --no-emit-index-url --no-emit-find-links --custom-compile-command "make lock" -q -o lock/run.lock
	uv pip compile pyproject.toml --all-extras --universal --python-version 3.11 --generate-hashes --no-strip-extras --no-emit-index-url --no-emit-find-links --custom-compile-command "make lock" -q -o lock/dev.lock

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
	rm -rf build dist .venv node_modules $(VENDOR)

# One door: every target does the set-up it needs, on a fresh Debian machine too.

RUN := .venv/bin/python
PYTEST_ARGS ?=
FUZZ_ARGS ?=
KILL_ARGS ?=

.PHONY: demo test check bench fuzz kills samples setup

demo: setup
	$(RUN) scripts/demo.py

test: setup
	$(RUN) -m pytest -n auto --dist loadfile $(PYTEST_ARGS)

check: setup
	$(RUN) -m ruff check .
	$(RUN) -m ruff format --check .
	$(RUN) -m mypy
	PYTHONPATH=.:ui:io .venv/bin/lint-imports
	$(RUN) -m pytest -q tests/test_architecture.py

bench: setup
	$(RUN) scripts/bench.py
	$(RUN) benchmarks/solver.py
	$(RUN) benchmarks/composition.py
	$(RUN) benchmarks/takeoff.py

fuzz: setup
	$(RUN) scripts/fuzz.py $(FUZZ_ARGS)

kills: setup
	$(RUN) scripts/kill_test.py $(KILL_ARGS)

samples: setup
	$(RUN) scripts/make_samples.py

setup:
	@scripts/set_up.sh

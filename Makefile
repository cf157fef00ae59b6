# make demo    sets up everything, and plays a game aloud into a noisy hall
# make test    passes the tests
# make check   lint, types, tests and coverage: what CI runs
# make bench   measures; prints figures, decides nothing

PYTHON ?= python3
BIN := .venv/bin
STAMP := .venv/.ready
MODEL_STAMP := .venv/.models
SYSTEM_STAMP := .venv/.system
PACKAGES := libportaudio2 pulseaudio pulseaudio-utils maven

.PHONY: setup demo test check bench clean

setup: $(STAMP) $(MODEL_STAMP)

demo: setup
	$(BIN)/python -m callout.edges.demo

test: setup
	$(BIN)/python -m pytest

check: setup
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/python -m pytest --cov --cov-report=term:skip-covered --cov-report=json:build/coverage.json
	$(BIN)/python tests/coverage_gate.py build/coverage.json

bench: setup
	$(BIN)/python tests/bench/engine.py
	$(BIN)/python tests/bench/ear.py

$(SYSTEM_STAMP):
	@PYTHON=$(PYTHON) sh .ci/system $(PACKAGES)
	@$(PYTHON) -m venv .venv
	@touch $@

$(STAMP): pyproject.toml $(SYSTEM_STAMP)
	@echo "Installing what the program needs into .venv (once; some minutes)"
	$(BIN)/python -m pip install --quiet --upgrade pip
	$(BIN)/python -m pip install --progress-bar on --editable '.[voice,dev]'
	@touch $@

$(MODEL_STAMP): models/models.toml $(STAMP)
	$(BIN)/callout models
	@touch $@

clean:
	rm -rf .venv build dist .coverage

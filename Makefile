# make demo    sets up everything, and plays a game aloud into a noisy hall
# make test    passes the tests
# make check   lint, types, tests and coverage: what CI runs
# make bench   measures; prints figures, decides nothing
# make faults  kills, starves and damages a game in every way; takes two hours
#              make faults PART=10    tries each fault a tenth of the times
# make training  finds anew by how much the recognizer's network is changed for a hall; half an hour
# make clean   takes away all that the others made, but not the fetched recognizer
#
# PYTHON=python3.12 make demo    takes another Python

PYTHON ?= python3
BIN := .venv/bin
READY := .venv/.ready
MODELS := .venv/.models
SYSTEM := .venv/.system
TEST_SYSTEM := .venv/.test-system
COVERED := --cov --cov-report=term:skip-covered --cov-report=json:build/coverage.json
BUILDS_KEYS := gcc libc6-dev python3-dev

# Whoever forbids it has each of the tests' processes compile the program anew: two seconds each.
unexport PYTHONDONTWRITEBYTECODE

.PHONY: setup demo test check lint thorough gate bench faults training clean

setup: $(READY) $(MODELS)

demo: setup
	$(BIN)/python -m callout.edges.demo

test: setup $(TEST_SYSTEM)
	$(BIN)/python -m pytest -n 4 --dist worksteal $(if $(COVER),$(COVERED))

check: lint thorough
	$(MAKE) test gate COVER=yes

lint: setup
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

thorough: setup $(TEST_SYSTEM)
	$(BIN)/python -m pytest -n 4 --dist worksteal -m thorough

gate: $(READY)
	$(BIN)/python tests/coverage_gate.py build/coverage.json

bench: setup
	@$(BIN)/python -m pip install --quiet --editable '.[bench]'
	for bench in tests/bench/*.py; do $(BIN)/python $$bench || exit 1; done

faults: setup $(TEST_SYSTEM)
	$(BIN)/python -m tests.faults --part $(or $(PART),1)

training: setup
	@PYTHON=$(PYTHON) sh .ci/system espeak-ng flite festival festvox-kdlpc16k $(BUILDS_KEYS) g++
	@$(BIN)/python -m pip install --quiet --editable '.[training]'
	PYTHONPATH=.:tests/bench $(BIN)/python -m tests.training

clean:
	rm -rf .venv build dist .coverage .mypy_cache .pytest_cache .ruff_cache .hypothesis
	find . -name __pycache__ -prune -exec rm -rf {} +

# Each stamp is newer than what it was made from, so a second run does nothing.

$(SYSTEM): .ci/system
	@PYTHON=$(PYTHON) sh .ci/system libportaudio2 --if-possible maven ca-certificates $(BUILDS_KEYS)
	@$(PYTHON) -m venv .venv
	@touch $@

$(TEST_SYSTEM): $(READY)
	@PYTHON=$(PYTHON) sh .ci/system pulseaudio pulseaudio-utils libasound2-plugins strace espeak-ng \
		xvfb xdotool $(BUILDS_KEYS)
	@$(BIN)/python -m pip install --quiet --editable '.[keys]'
	@touch $@

$(READY): pyproject.toml $(SYSTEM)
	@echo "Installing what the program needs into .venv (once; some minutes)"
	@$(BIN)/python -m pip install --quiet --upgrade pip
	$(BIN)/python -m pip install --progress-bar on --editable '.[voice,dev]'
	@$(BIN)/python -m pip install --quiet --editable '.[keys]' || \
		echo "Going on without pedals, and with the keys of the terminal alone" >&2
	@touch $@

$(MODELS): models/models.toml $(READY)
	$(BIN)/callout models
	@touch $@

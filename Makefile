# Six commands, each does its own set-up: make run, make demo-visit, make test, make study, make bench, make lint.
# Needed beforehand: python3 (3.11 or newer) with pip, and make. Only wheels are installed, so no compiler.

PYTHON ?= python3
export UV_PYTHON_DOWNLOADS := never
export PIP_DISABLE_PIP_VERSION_CHECK := 1
export PIP_ROOT_USER_ACTION := ignore
# Problems here are small: more than one thread for linear algebra only waits for the others.
export OPENBLAS_NUM_THREADS ?= 1

UV := .tools/bin/uv
BIN := .venv/bin
# Words for single runs: make test PYTEST_ARGS="-k stamp", make study STUDY=visits, make study ROW="one wild reading"
# (the study that has this row; with STUDY=visits a layout is a row too: make study STUDY=visits ROW=yard-pickup; a whole
# run of it with fewer vehicles, written with their number: VISITS_VEHICLES=10 make study STUDY=visits)
PYTEST_ARGS ?=
# Files of tests are shared out among so many processes; 0 runs all in one.
TEST_PROCESSES ?= auto
STUDY ?=
ROW ?=

.PHONY: run demo-visit test study bench lint setup clean
.DEFAULT_GOAL := run

# Opens the demo bay and prints the link that signs in; Ctrl+C ends it.
run: .venv/.ok
	$(BIN)/looseends serve --demo

# One visit on the command line: its judgement, and the handover as a page and a PDF.
demo-visit: .venv/.ok
	$(BIN)/looseends demo --replace

test: lint
	$(BIN)/pytest -n $(TEST_PROCESSES) --maxprocesses 4 --dist loadfile $(PYTEST_ARGS)

lint: .venv/.ok
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .
	$(BIN)/mypy src studies benchmarks lessons
	$(BIN)/lint-imports

study: .venv/.ok
	$(BIN)/python -m studies $(STUDY) $(if $(ROW),ROW="$(ROW)")

bench: .venv/.ok
	$(BIN)/python -m benchmarks

setup: .venv/.ok

clean:
	rm -rf .venv .tools

$(UV):
	@command -v "$(PYTHON)" >/dev/null 2>&1 || { \
	  echo "Loose Ends needs Python 3.11 or newer, but there is no '$(PYTHON)' here: install it, or name one with make PYTHON=..." >&2; exit 1; }
	@"$(PYTHON)" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { \
	  echo "Loose Ends needs Python 3.11 or newer, found $$("$(PYTHON)" -V 2>&1) as '$(PYTHON)': name a newer one with make PYTHON=python3.11" >&2; exit 1; }
	@"$(PYTHON)" -m pip --version >/dev/null 2>&1 || { \
	  echo "Loose Ends needs pip for its set-up, but '$(PYTHON) -m pip' does not run: install pip (on Debian: apt-get install python3-pip)" >&2; exit 1; }
	@echo "Setting up: fetching the installer into .tools"
	@"$(PYTHON)" -m pip install -q --target .tools --upgrade --only-binary :all: 'uv==0.13.*' || { \
	  echo "The installer uv could not be fetched with pip: check the network or pip's settings, then run make again" >&2; exit 1; }
	@touch $@

.venv/.ok: $(UV) requirements.lock pyproject.toml
	@echo "Setting up: installing the locked packages into .venv"
	@$(UV) venv -q --clear --python "$(PYTHON)" .venv
	@$(UV) pip sync -q --python .venv --only-binary :all: --require-hashes --compile-bytecode requirements.lock || { \
	  echo "The locked packages could not be installed: check the network, then run make again" >&2; exit 1; }
	@$(UV) pip install -q --python .venv --no-deps --no-build-isolation -e .
	@$(BIN)/python -m compileall -q src
	@echo "Setting up: compiling the mechanics once, about 20 s"
	@$(BIN)/python -c "from looseends.mechanics.kernel import warm_up; warm_up()"
	@touch $@

# After a change of the dependencies in pyproject.toml.
.PHONY: lock
lock: $(UV)
	$(UV) pip compile -q --universal --generate-hashes --no-header --only-binary :all: --group dev --all-extras \
	  pyproject.toml -o requirements.lock

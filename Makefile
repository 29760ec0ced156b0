.DEFAULT_GOAL := help
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
DEMO ?= spadework-demo

.PHONY: help
help: ## show what can be made
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | awk -F ':.*## ' '{printf "  make %-8s %s\n", $$1, $$2}'

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Spadework needs Python 3.11 or newer; set PYTHON=..."; exit 1; }
	$(PYTHON) -m venv $(VENV)

$(VENV)/run.done: $(BIN)/python requirements/run.txt pyproject.toml
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/run.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-build-isolation --no-deps -e .
	@touch $@

$(VENV)/dev.done: $(BIN)/python requirements/dev.txt pyproject.toml
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/dev.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-build-isolation --no-deps -e .
	@touch $@ $(VENV)/run.done

.PHONY: demo
demo: $(VENV)/run.done ## run the main job on the invented demo comparison
	$(BIN)/spadework demo $(DEMO)

.PHONY: test
test: check ## everything that must hold: make check, then all tests
	$(BIN)/python -m pytest -n auto

.PHONY: search
search: $(VENV)/dev.done ## property tests with examples drawn anew, to find what the fixed ones miss
	$(BIN)/python -m pytest -n auto --hypothesis-profile=search tests/property

.PHONY: check
check: $(VENV)/dev.done ## style, types, import contracts, documentation
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports
	$(MAKE) --no-print-directory docs

.PHONY: docs
docs: $(VENV)/dev.done ## build the documentation into docs/_build/html
	$(BIN)/sphinx-build -q -W --keep-going -j auto -b html docs docs/_build/html

.PHONY: bench
bench: $(VENV)/dev.done ## measure speed beside general-purpose alternatives
	$(BIN)/python bench/run.py

.PHONY: format
format: $(VENV)/dev.done ## put the code into its format
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

.PHONY: lock
lock: $(BIN)/python ## write the hashed requirements anew
	$(BIN)/python -m pip install --quiet --disable-pip-version-check uv
	cd requirements && ../$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-annotate --no-header ../pyproject.toml build.in -o run.txt
	cd requirements && ../$(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-annotate --no-header --extra dev -c run.txt ../pyproject.toml build.in -o dev.txt

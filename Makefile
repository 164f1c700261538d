# Bare `make` lists the tasks. Everything is installed into .venv at the root; nothing else on the machine is touched.

PYTHON ?= $(shell command -v python3.11 || command -v python3)
VENV   := .venv
BIN    := $(VENV)/bin
DEMO   := src/ingle/data/examples/fernhollow/fernhollow.toml
PIP    := $(BIN)/python -m pip --disable-pip-version-check --quiet

.DEFAULT_GOAL := help
.PHONY: help demo test bench soak lint types format lock schema validation clean

help: ## list the tasks
	@awk -F':.*## ' '/^[a-z]+:.*## /{printf "make %-10s %s\n", $$1, $$2}' $(MAKEFILE_LIST)

demo: $(VENV)/.run ## install, plan the demonstration kitchen, print the plan, write its files to demo/
	@$(BIN)/ingle plan $(DEMO) --out demo/fernhollow.plan
	@echo "Open the page: $(BIN)/ingle serve, then http://localhost:8023/ and the third door."

test: $(VENV)/.test ## install what tests need, run everything, end with what did not run
	@$(BIN)/ruff check .
	@$(BIN)/lint-imports
	@$(BIN)/mypy
	@$(BIN)/pytest -n auto

bench: $(VENV)/.test ## compare speeds with general-purpose peers; exit 1 when one falls short
	@$(BIN)/python -c "import fipy" 2>/dev/null || echo "FiPy is not there: its row stays empty. To have it: $(BIN)/python -m pip install -r requirements/bench.lock"
	@$(BIN)/python -m benchmarks.run

soak: $(VENV)/.test ## the long runs: hundreds of random meals against the verifier, clients killed 100 times
	@INGLE_SOAK=1 $(BIN)/pytest tests/planning tests/notebook -q

lint: $(VENV)/.test ## style and import contract
	@$(BIN)/ruff check . && $(BIN)/lint-imports

types: $(VENV)/.test ## type check
	@$(BIN)/mypy

format: $(VENV)/.test ## put imports in order and mend what can be mended
	@$(BIN)/ruff check --fix .

lock: $(VENV)/.test ## write the lock files anew from pyproject.toml
	@$(BIN)/python -m pip install -q pip-tools
	@$(BIN)/pip-compile -q --strip-extras --no-header --no-emit-index-url --no-emit-trusted-host --no-emit-find-links --extra web -o requirements/run.lock pyproject.toml
	@$(BIN)/pip-compile -q --strip-extras --no-header --no-emit-index-url --no-emit-trusted-host --no-emit-find-links --extra test -o requirements/test.lock pyproject.toml
	@$(BIN)/pip-compile -q --strip-extras --no-header --no-emit-index-url --no-emit-trusted-host --no-emit-find-links --extra test --extra bench -o requirements/bench.lock pyproject.toml
	@$(BIN)/pip-compile -q --strip-extras --no-header --no-emit-index-url --no-emit-trusted-host --no-emit-find-links --extra cluster -o requirements/cluster.lock pyproject.toml

validation: $(VENV)/.run ## rebuild docs/validation.md: predictions beside measurements
	@$(BIN)/python -m tools.validation

schema: $(VENV)/.run ## write the JSON schema of the plan
	@$(BIN)/python -c "import json; from ingle.planning.planfile import schema; print(json.dumps(schema(), indent=1))" > docs/schema/plan.schema.json

clean: ## take away what make has made
	@rm -rf $(VENV) demo build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis .import_linter_cache

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Python 3.11 or newer is needed; found $$($(PYTHON) --version). Name another: make PYTHON=python3.12"; exit 1; }
	@echo "making $(VENV)"
	@$(PYTHON) -m venv $(VENV)

$(VENV)/.run: $(BIN)/python requirements/run.lock pyproject.toml
	@echo "installing what ingle needs into $(VENV)"
	@$(PIP) install -r requirements/run.lock hatchling editables
	@$(PIP) install --no-deps --no-build-isolation -e .
	@touch $@

$(VENV)/.test: $(VENV)/.run requirements/test.lock
	@echo "installing what its tests need into $(VENV)"
	@$(PIP) install -r requirements/test.lock
	@touch $@

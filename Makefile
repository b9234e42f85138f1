# Every target sets up what it needs in .venv; the second time that is quick.
# Kept to what GNU make 3.81 knows, which is what macOS ships.

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --quiet --disable-pip-version-check

.DEFAULT_GOAL := help
.PHONY: help demo serve test explore lint bench pictures lock clean

help: ## what can be made
	@awk -F ':.*## ' '/^[a-z]+:.*## / { printf "  make %-8s %s\n", $$1, $$2 }' Makefile

demo: $(VENV)/runtime.stamp ## decide the demo cabin: table, job, plan and papers in out/demo/
	$(BIN)/trimwright demo --out out/demo

serve: $(VENV)/runtime.stamp ## the shop in the browser, on this machine, with the demo job in place
	$(BIN)/trimwright serve

test: $(VENV)/dev.stamp ## all tests and doctests
	$(BIN)/python -m pytest -n 2 --dist worksteal

explore: $(VENV)/dev.stamp ## the property tests again, on examples drawn anew
	$(BIN)/python -m pytest -n 2 --dist worksteal -m hypothesis --hypothesis-profile anew tests

lint: $(VENV)/dev.stamp ## style, format, types, who may import whom
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports

bench: $(VENV)/dev.stamp ## time the verdicts on random cabins, the papers and the pages, and compare
	$(BIN)/python benchmarks/verdicts.py
	$(BIN)/python benchmarks/money.py
	$(BIN)/python benchmarks/papers.py
	$(BIN)/python benchmarks/pages.py

pictures: $(VENV)/dev.stamp ## a picture of every screen, both sizes, light and dark, in out/pictures/
	PYTHONPATH=.:benchmarks $(BIN)/python -m tests.browser.pictures out/pictures

COMPILE := $(BIN)/uv pip compile --quiet --universal --python-version 3.11 --no-emit-index-url --no-emit-find-links \
	--generate-hashes --custom-compile-command "make lock" pyproject.toml

lock: $(VENV)/dev.stamp ## choose the newest fitting version of every library again
	$(COMPILE) --upgrade --output-file requirements.lock
	$(COMPILE) --upgrade --group dev --constraints requirements.lock --output-file requirements-dev.lock

clean: ## remove the set-up and everything made
	rm -rf $(VENV) out dist build .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache

$(VENV)/pyvenv.cfg:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || \
	  { echo "Trimwright needs Python 3.11 or newer. If you have one under another name: make PYTHON=python3.12 ..."; exit 1; }
	@$(PYTHON) -c 'import ensurepip' 2>/dev/null || \
	  { echo "This Python cannot make a virtual environment. On Debian or Ubuntu: apt install python3-venv"; exit 1; }
	@echo "Setting up $(VENV), once"
	@$(PYTHON) -m venv $(VENV) || { rm -rf $(VENV); exit 1; }

$(VENV)/runtime.stamp: requirements.lock pyproject.toml | $(VENV)/pyvenv.cfg
	@$(PIP) install --require-hashes --requirement requirements.lock
	@$(PIP) install --no-deps --editable .
	@touch $@

$(VENV)/dev.stamp: requirements-dev.lock pyproject.toml | $(VENV)/pyvenv.cfg
	@$(PIP) install --require-hashes --requirement requirements-dev.lock
	@$(PIP) install --no-deps --editable .
	@touch $@

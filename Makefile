# `make run` and `make test` are all a newcomer needs; each does its own set-up.
SHELL := /bin/sh
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
HOST ?= 127.0.0.1
PORT ?= 8000
DATA_DIR ?= $(CURDIR)/data
export HOST PORT DATA_DIR

.DEFAULT_GOAL := help
.PHONY: help install install-dev run test lint format types check browser faults bench clean

help: ## Print every command
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/:.*## /\t/' | expand -t 14

install: $(VENV)/.installed ## Make .venv with what the app needs

$(VENV)/.installed: requirements.lock
	@./shared/setup/venv.sh "$(PYTHON)" "$(VENV)" requirements.lock
	@touch $@

install-dev: $(VENV)/.installed-dev ## The same, with what the tests and checks need

$(VENV)/.installed-dev: requirements-dev.lock
	@./shared/setup/venv.sh "$(PYTHON)" "$(VENV)" requirements-dev.lock
	@touch $@ $(VENV)/.installed

run: install ## Migrate and serve on http://HOST:PORT with everything it needs
	@$(BIN)/python manage.py serve

test: install-dev browser ## Every check and test, on SQLite
	@$(MAKE) --no-print-directory check
	@$(BIN)/python -m pytest -n 2 --dist worksteal

check: install-dev ## Lint, types, templates, import rules, migrations
	@$(BIN)/ruff check .
	@$(BIN)/ruff format --check .
	@$(BIN)/djlint templates --lint --quiet
	@$(BIN)/lint-imports --no-cache
	@$(BIN)/mypy
	@$(BIN)/python manage.py makemigrations --check --dry-run

format: install-dev ## Put code and templates into the house format
	@$(BIN)/ruff check --fix --quiet . || true
	@$(BIN)/ruff format .

browser: ## Chromium for the browser tests
	@./shared/setup/chromium.sh

faults: install-dev browser ## The long fault tests, by hand before a release
	@$(BIN)/python -m pytest tests/faults -m "long or not long"

bench: install-dev ## What things cost: figures to read, and what must not grow
	@$(BIN)/python -m tests.bench.progress
	@$(BIN)/python -m pytest tests/bench -m "long or not long" -s

clean: ## Remove .venv and caches; data stays
	@rm -rf $(VENV) .mypy_cache .pytest_cache .ruff_cache

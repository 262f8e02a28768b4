# Each target works alone on Debian with Python 3.11: it first makes the environment (.venv) as the lock file says.
# Only making the environment downloads anything.

SHELL := /bin/sh
VENV ?= .venv
export VENV
BIN := $(VENV)/bin

.DEFAULT_GOAL := help
.PHONY: help env env-peers demo test check lint types layers cover docs bench lock clean

help: ## list the targets
	@sed -n 's/^\([a-z-]*\):.*## \(.*\)/  make \1\t\2/p' $(MAKEFILE_LIST) | expand -t 16

env: ## make or renew the environment
	@tools/bootstrap.sh

env-peers:
	@tools/bootstrap.sh peers

demo: env ## write an invented case into out/demo, verify it, and say where the report is
	rm -rf out/demo
	$(BIN)/umbo demo --out out/demo

test: env ## run the tests
	$(BIN)/python -m pytest

check: lint types layers docs cover ## everything that must hold before a change lands

lint: env ## style and formatting
	$(BIN)/ruff check --output-format concise
	$(BIN)/ruff format --check

types: env ## static types
	$(BIN)/mypy

layers: env ## which package may import which
	$(BIN)/lint-imports

cover: env ## the tests, with the lines and branches they miss
	$(BIN)/python -m pytest --cov --cov-report=term-missing:skip-covered

docs: env ## build the documentation into docs/_build/html; a warning is an error
	$(BIN)/python -m sphinx --fail-on-warning --keep-going --quiet --builder html docs docs/_build/html
	@echo "umbo: the documentation is docs/_build/html/index.html"

bench: env-peers ## benchmarks, each against a general-purpose library in the same run
	$(BIN)/python -m pytest benchmarks --benchmark-only

lock: ## write the lock files anew (UPGRADE=--upgrade takes the newest versions)
	@tools/lock.sh $(UPGRADE)

clean: ## remove the environment and everything generated
	rm -rf .venv .cache build dist out docs/_build docs/reference .coverage .coverage.* .benchmarks
	rm -rf .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

# Two commands to know: `make demo` and `make test`.
SHELL := /bin/bash
.DEFAULT_GOAL := help
MANAGE := .venv/bin/python manage.py
# `make test ARGS="tests/api -k photo"` runs these only.
ARGS ?=

.PHONY: help demo run test coverage lint format bench screenshots lock clean ready ready-to-test

help: ## Say what there is
	@grep -hE '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/^([a-z-]+):.*## (.*)/  make \1\t\2/' | expand -t 20

ready:
	@.ci/setup

ready-to-test:
	@.ci/setup test

demo: ready ## Run one spring of a demo yard end to end, and leave the site up (DEMO_EXIT=1: end afterwards)
	@$(MANAGE) demo

run: ready ## Serve the embedded set-up: SQLite and files under var/, web and worker by one command
	@$(MANAGE) serve

test: ready-to-test ## Run all tests, on PostgreSQL and Redis where they can be had, and on SQLite
	@tests/run $(ARGS)

coverage: ready-to-test ## Run all tests and say which lines none of them reached; twice as long
	@FAYING_TEST_COVERAGE=yes tests/run $(ARGS)

lint: ready-to-test ## Hold the code against the habits of the house
	@.ci/lint

format: ready-to-test ## Put the code in order
	@.venv/bin/ruff check --fix-only --quiet . && .venv/bin/ruff format .

bench: ready-to-test ## Measure speed against bare baselines
	@tests/run --bench $(ARGS)

screenshots: ready-to-test ## Draw the pictures of the README anew
	@tests/run --screenshots $(ARGS)

lock: ready-to-test ## Make requirements.lock again from pyproject.toml
	@.venv/bin/uv pip compile -q --universal --all-extras --generate-hashes --no-emit-index-url --no-header \
	  --no-annotate --python-version 3.11 pyproject.toml -o requirements.lock

clean: ## Remove what can be made again; var/ with its data stays
	rm -rf .venv .mypy_cache .ruff_cache .pytest_cache .import_linter_cache .hypothesis .coverage htmlcov staticfiles
	find . -name __pycache__ -type d -prune -exec rm -rf {} +

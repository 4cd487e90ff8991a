# Each target sets up what it needs; the first run needs the package registries, later ones do not.
PY = .venv/bin/python
SERVE ?= 1
WORKERS ?= 2
# No registry address and no find-links line: where packages come from is the machine's business, their hashes are ours.
COMPILE = .cache/lock/bin/python -m piptools compile --quiet --generate-hashes --allow-unsafe --strip-extras --no-header \
  --no-emit-index-url --no-emit-find-links $(if $(UPGRADE),--upgrade)

# Tests start many processes: each would compile every module anew where Python may keep none of them.
test test-fast: export PYTHONDONTWRITEBYTECODE =
.DEFAULT_GOAL := help
.PHONY: help demo test test-fast bench lint format map checked screens lock

help: ## Say what each target does
	@grep -hE '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/^([a-z-]+):.*## /\1|/' | awk -F'|' '{printf "  %-10s %s\n", $$1, $$2}'

demo: ## Build the demo house, walk it, write its dated PDF, serve it (SERVE=0: do not serve)
	@sh .ci/prepare run
	@$(PY) -m inspect_app demo $(if $(filter 0,$(SERVE)),--no-serve)

test: ## Set up and run all tests, the browser tests included
	@sh .ci/prepare test
	@$(PY) -m pytest -n $(WORKERS) --dist loadgroup

test-fast: ## All tests but those that drive a browser
	@sh .ci/prepare test
	@$(PY) -m pytest -n $(WORKERS) --dist loadgroup -m "not browser"

bench: ## Print the table of benchmarks, as ratios measured in one run
	@sh .ci/prepare test
	@$(PY) -m tests.bench

lint: ## Check style and types
	@sh .ci/prepare test
	@$(PY) -m ruff check .
	@$(PY) -m ruff format --check .
	@$(PY) -m mypy

format: ## Put the code into its usual form
	@sh .ci/prepare test
	@$(PY) -m ruff check --fix .
	@$(PY) -m ruff format .

map: ## Write the map of the tree in DEVELOPERS.md anew
	@sh .ci/prepare test
	@$(PY) -m tests.tree_map

checked: ## Write the table of checked values, shared/CHECKED.md, anew from the tests
	@sh .ci/prepare test
	@$(PY) -m tests.published

screens: ## Take the pictures of the README anew from the demo house
	@sh .ci/prepare test
	@$(PY) -m inspect_app demo --no-serve
	@$(PY) -m tests.screens

lock: ## Make the lock files anew from pyproject.toml (UPGRADE=1: take the newest versions)
	@$${PYTHON:-python3} -m venv .cache/lock
	@.cache/lock/bin/python -m pip install --quiet --disable-pip-version-check pip-tools
	@$(COMPILE) --output-file requirements.lock pyproject.toml
	@$(COMPILE) --extra test --constraint requirements.lock --output-file requirements-test.lock pyproject.toml

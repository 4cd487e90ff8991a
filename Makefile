# Each target sets up what it needs; the first run needs the package registries, later ones do not.
PY = .venv/bin/python
SERVE ?= 1
WORKERS ?= 2

.DEFAULT_GOAL := help
.PHONY: help demo test test-fast bench lint format lock

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

lock: ## Make the lock files anew from pyproject.toml
	@sh .ci/prepare test
	@$(PY) -m pip install --quiet pip-tools
	@for extra in "" test; do \
	  $(PY) -m piptools compile --quiet --generate-hashes --allow-unsafe --strip-extras --no-header \
	    --no-emit-index-url --no-emit-find-links $${extra:+--extra $$extra} \
	    --output-file requirements$${extra:+-$$extra}.lock pyproject.toml; done

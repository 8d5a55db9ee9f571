# Works on a bare clone with make and Python 3.11 or newer; everything else lands in $(VENV).

VENV ?= .venv
RUN ?= .run
BIN := $(VENV)/bin
DEPLOY := services/deploy
ARGS ?=
LOCKS := runtime demo test tools
# Of the tests, the lock also holds everything that the demo needs.
ALL := $(VENV)/.ok-test
ANY_PYTHON = $(if $(wildcard $(BIN)/python),$(BIN)/python,python3)

# Where it is set, every process that a target starts would compile all modules anew.
unexport PYTHONDONTWRITEBYTECODE

.DEFAULT_GOAL := help
.PHONY: help demo test bench lint format openapi lock clean
.DELETE_ON_ERROR:

help: ## list the targets
	@sed -n 's/^\([a-z]*\):.*## /\1\t/p' $(MAKEFILE_LIST) | awk -F '\t' '{ printf "make %-8s %s\n", $$1, $$2 }'

demo: $(VENV)/.ok-demo ## start everything with invented data and print address and sign-ins (ONCE=1: check it and stop)
	$(BIN)/python manage.py demo $(if $(ONCE),--once)

test: $(ALL) ## check the layers, then run all tests in three processes (ARGS="tests/scoring -x" runs some)
	$(BIN)/lint-imports
	$(BIN)/python -m pytest $(if $(ARGS),$(ARGS),-n 3 --dist loadgroup --no-loadscope-reorder)

bench: $(ALL) ## measure the hot paths (CHECK=1: fail when one is over its limit)
	$(BIN)/python manage.py bench $(if $(CHECK),--check)

lint: $(ALL) ## ruff, formatting, types, layers
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy .
	$(BIN)/lint-imports

format: $(ALL) ## rewrite the sources in the common format
	$(BIN)/ruff check --fix .
	$(BIN)/ruff format .

openapi: $(ALL) ## accept a change of the HTTP interface into services/api/openapi.yaml
	DJANGO_SETTINGS_MODULE=services.settings.test $(BIN)/python -W ignore manage.py spectacular \
	    --file services/api/openapi.yaml --validate --fail-on-warn

lock: $(VENV)/.ok-tools ## resolve the lock files again from their .in files
	for name in $(LOCKS); do \
	    $(BIN)/uv pip compile --quiet --universal --python-version 3.11 --generate-hashes \
	        --no-emit-index-url --no-header --no-annotate $(UPGRADE) \
	        $(DEPLOY)/$$name.in --output-file $(DEPLOY)/$$name.txt || exit 1; \
	done

clean: ## end the demo's servers and remove their data and all caches (the environment stays: rm -r $(VENV))
	@if test -e $(RUN)/state.json; then $(ANY_PYTHON) -m services.devstack.clean $(RUN); fi
	rm -rf $(RUN) .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis .benchmarks staticfiles
	find . -name __pycache__ -type d -not -path './$(VENV)/*' -prune -exec rm -rf {} +

# pip as bundled with Python; only the hashes in the lock decide what may be installed.
$(VENV)/.ok-%: $(DEPLOY)/%.txt $(VENV)/.made
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes --only-binary :all: -r $<
	touch $@

$(VENV)/.made:
	@set -e; \
	if test -n "$(PY)"; then candidates="$(PY)"; \
	else candidates="python3.11 python3.12 python3.13 python3.14 python3"; fi; \
	found=; \
	for candidate in $$candidates; do \
	    if $$candidate -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then found=$$candidate; break; fi; \
	done; \
	if test -z "$$found"; then \
	    echo "error: no Python 3.11 or newer (looked for: $$candidates); install one, or give it: make PY=/path/to/python" >&2; \
	    exit 1; \
	fi; \
	if ! $$found -c 'import ensurepip, venv' 2>/dev/null; then \
	    version=$$($$found -c 'import sys; print("%d.%d" % sys.version_info[:2])'); \
	    echo "error: $$found cannot make environments; on Debian and Ubuntu: apt-get install python$$version-venv" >&2; \
	    exit 1; \
	fi; \
	test -x $(BIN)/pip || $$found -m venv $(VENV); \
	touch $@

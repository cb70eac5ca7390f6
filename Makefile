# Every target sets up the virtual environment first, so each works from a fresh clone.
# A distribution's interpreter is built with measured optimisations, one built at home often is not: it is some 7 %
# faster, so it comes first, where it can make environments.
PYTHON ?= $(firstword $(shell for each in /usr/bin/python3.11 python3.11 python3; do \
    "$$each" -c "import ensurepip" 2>/dev/null && echo "$$each"; done))
VENV := .venv
BIN := $(VENV)/bin

.PHONY: setup phone test explore faults bench mutation check lock clean

setup: $(VENV)/.ready

$(VENV)/.ready: requirements.lock pyproject.toml
	$(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --require-hashes --no-deps -r requirements.lock
	$(BIN)/python -m pip install --quiet --no-deps --no-build-isolation -e .
	touch $@

phone: setup          ## a phone in the terminal, on the demo programme
	@$(BIN)/advisor phone

test: setup           ## everything: lint, types, imports, tests (installs what they hold us against where missing)
	@./tests/install-servers
	@$(MAKE) --no-print-directory check
	$(BIN)/python -m pytest -q -n 2 --dist loadfile -m "not alone"
	$(BIN)/python -m pytest -q -m alone

check: setup          ## the fast part: lint, types, import directions
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo

explore: setup        ## the laws of the pure rooms on new examples, many of them
	LAWS=explore $(BIN)/python -m pytest -q tests/agronomy tests/wording tests/dialogue tests/records

faults: setup         ## a season of 20,000 growers through 60 kills and the worst gateway, then two rounds; judged (20 minutes at most)
	@./tests/install-servers
	@$(BIN)/python -m tests.whole.faults

bench: setup          ## measures, as ratios inside one run
	@$(BIN)/python -m tests.bench

mutation: setup       ## every small slip in the calculator: do its checks see it? (an hour at most)
	@$(BIN)/python -m tests.mutants

lock: setup           ## renews requirements.lock (needs the package registry, whose address is left out of it)
	CUSTOM_COMPILE_COMMAND="make lock" $(BIN)/pip-compile --quiet --generate-hashes --allow-unsafe --strip-extras \
	    --extra dev -o requirements.lock pyproject.toml
	sed -i '/^--/d' requirements.lock

clean:
	rm -rf $(VENV) mutants build dist .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis

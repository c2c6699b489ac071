# make demo    write the packet of the specimen chest into ./specimen-chest-packet
# make test    run every test
# make lint    run ruff, mypy and import-linter
# make bench   print times and memory; make bench BENCH=--suite runs the tests too
# make clean   remove what was built and set up
# Each sets up what it needs in ./.venv first. Needed beforehand: Python 3.11 or newer with pip, make and git.

VENV := .venv
BIN := $(VENV)/bin
PACKET := specimen-chest-packet
# extras of pyproject.toml that tests and checks are run with; "dev,browser,outside" adds what drives a browser and the
# libraries by other hands that the work is held against. What is left out where they are missing is told at the end
EXTRAS ?= dev
# two workers unless told otherwise: each test that carves holds its solids in memory
WORKERS ?= 2

READY := $(VENV)/.ready
READY_DEV := $(VENV)/.ready-with-$(EXTRAS)

.PHONY: demo test lint bench clean
.DELETE_ON_ERROR:

demo: $(READY)
	$(BIN)/camtools packet samples/specimen-chest.toml -o $(PACKET)
	@echo "The packet is in ./$(PACKET)"
	@echo "A piece of your own is set out on a page in your browser: $(BIN)/camtools setout"

test: $(READY_DEV)
	$(BIN)/python -m pytest -n $(WORKERS) --dist worksteal

lint: $(READY_DEV)
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo

bench: $(READY_DEV)
	$(BIN)/python -m benchmarks $(BENCH)

clean:
	rm -rf $(VENV) $(PACKET) build dist .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache

# The first Python on the path that is new enough. Its own pip fills the environment where Python came without ensurepip.
$(READY): pyproject.toml
	@python=; for p in $(PYTHON) python3 python3.14 python3.13 python3.12 python3.11 python; do \
	  if $$p -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null; then python=$$p; break; fi; done; \
	if [ -z "$$python" ]; then echo "camtools needs Python 3.11 or newer; name it with: make PYTHON=/path/to/python3" >&2; exit 1; fi; \
	test -x $(BIN)/python || $$python -m venv $(VENV) >/dev/null 2>&1 || $$python -m venv --clear --without-pip $(VENV) || exit 1; \
	if $(BIN)/python -m pip --version >/dev/null 2>&1; then pip="$(BIN)/python -m pip"; \
	elif $$python -m pip --python $(BIN)/python --version >/dev/null 2>&1; then pip="$$python -m pip --python $(BIN)/python"; \
	else echo "pip 22.3 or newer is needed: install your system's python3-venv or python3-pip, then try again" >&2; exit 1; fi; \
	echo "Setting up $(VENV)"; \
	$$pip install --quiet --disable-pip-version-check --editable "." || exit 1; \
	echo "$$pip" > $@

$(READY_DEV): $(READY)
	@echo "Setting up $(VENV) with $(EXTRAS)"
	@$$(cat $(READY)) install --quiet --disable-pip-version-check --editable ".[$(EXTRAS)]"
	@touch $@
